"""Fuel to expect: on Plan, Tend and Stores, and the dialogs behind."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np
import pytest
from PySide6.QtCore import Qt, QThreadPool
from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QComboBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QWidget,
)
from pytestqt.qtbot import QtBot
from shiboken6 import delete

from smokejournal.cook.fuel.cooker import CookerFacts
from smokejournal.cook.log.entries import (
    ChannelSet,
    FuelForeseen,
    FuelLevel,
    LeadSet,
    ScheduleSet,
    ScheduleStarted,
    WeatherObserved,
)
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilSaid, UntilTemperature
from smokejournal.cook.text.quantities import US
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.fuel.cooker_dialog import CookerDialog
from smokejournal.desk.fuel.dialog import FuelDialog
from smokejournal.desk.fuel.line import FuelLine, Place
from smokejournal.science.forecast.values import SHARES, CookSoFar, Forecast
from smokejournal.services.forecast.finish import FinishForecasts
from tests.support.fakes import FixedClock

SMOKE = Stage("s1", "Smoke", (ForTime(6 * 3600.0),), pit_target_c=107.0)
OPEN = Stage("s2", "Till done", (UntilTemperature(92.0),), pit_target_c=121.0)
SAID = Stage("s2", "Till I say", (UntilSaid(),), pit_target_c=121.0)


@pytest.fixture
def cook_id(context: DeskContext) -> Iterator[int]:
    cook_id = context.program.new_cook("Shoulder", "UTC")
    context.live(cook_id).record(ScheduleSet(Schedule("", (SMOKE, OPEN)))).result()
    yield cook_id
    QApplication.processEvents()


def line(qtbot: QtBot, context: DeskContext, place: Place, holder: QWidget) -> FuelLine:
    qtbot.addWidget(holder)
    holder.resize(900, 60)
    found = FuelLine(place, context, holder)
    found.resize(900, 40)
    holder.show()
    qtbot.waitExposed(holder)
    return found


def text(widget: QWidget, name: str) -> str:
    label = widget.findChild(QLabel, name)
    assert label is not None
    return label.text()


def field(widget: QWidget, name: str) -> QLineEdit:
    found = widget.findChild(QLineEdit, name)
    assert found is not None
    return found


class TestLine:
    def test_plan(self, qtbot: QtBot, context: DeskContext, cook_id: int) -> None:
        holder = QWidget()
        shown = line(qtbot, context, "plan", holder)
        assert not shown.isVisible()
        shown.show_cook(cook_id, Schedule("", (SMOKE,)))
        qtbot.waitUntil(lambda: text(shown, "planFuel").startswith("Pellets: about 2."))
        shown.show_cook(cook_id, Schedule("", (SMOKE, OPEN)))
        qtbot.waitUntil(lambda: " in about " in text(shown, "planFuel"))
        shown.show_cook(cook_id, Schedule("", (SMOKE, SAID)))
        qtbot.waitUntil(lambda: "how long can't be known beforehand" in text(shown, "planFuel"))
        shown.show_cook(cook_id, Schedule())
        qtbot.waitUntil(lambda: "no stage sets a pit temperature" in text(shown, "planFuel"))

    def test_tend(
        self, qtbot: QtBot, context: DeskContext, cook_id: int, clock: FixedClock
    ) -> None:
        live = context.live(cook_id)
        live.record(ScheduleStarted()).result()
        clock.forward(3600.0)
        holder = QWidget()
        shown = line(qtbot, context, "tend", holder)
        shown.show_cook(cook_id, Schedule("", (SMOKE, OPEN)))
        qtbot.waitUntil(lambda: "Pellets left: unknown" in text(shown, "tendFuel"))
        assert shown.isVisible()
        live.record(FuelLevel(6.0, 0.1)).result()
        qtbot.waitUntil(lambda: "Pellets left 6.0 kg" in text(shown, "tendFuel"))

    def test_tend_against_the_forecast_and_the_alarm(
        self, qtbot: QtBot, context: DeskContext, cook_id: int, clock: FixedClock
    ) -> None:
        live = context.live(cook_id)
        live.record_many(
            [
                (clock.now_s(), what)
                for what in (
                    ChannelSet(Channel("pit", "Grate", role="pit")),
                    ChannelSet(Channel("meat", "Thick end")),
                    LeadSet("meat"),
                    ScheduleSet(Schedule("", (OPEN,))),
                    ScheduleStarted(),
                    FuelLevel(2.0, 0.1),
                )
            ]
        ).result()
        clock.forward(600.0)
        live.record_readings(
            [Reading(clock.now_s(), "pit", 120.0), Reading(clock.now_s(), "meat", 40.0)]
        ).result()

        def far(cook: CookSoFar) -> Forecast:
            reach_s = cook.now_s + 3600.0 * np.linspace(7.0, 9.0, 100)
            left = np.quantile(reach_s - cook.now_s, SHARES, method="inverted_cdf")
            return Forecast("forecast", cook.now_s, left, reach_s, reach_s[None, :])

        context.forecasts.finish = FinishForecasts(context.program, far)
        context.forecasts.finish.look(cook_id)
        holder = QWidget()
        shown = line(qtbot, context, "tend", holder)
        to_add: list[str] = []
        shown.add_changed.connect(to_add.append)
        shown.show_cook(cook_id, Schedule("", (OPEN,)))
        qtbot.waitUntil(lambda: "off the pit at about" in text(shown, "tendFuel"))
        assert re.fullmatch(r"Add about \d+\.\d kg of pellets by \d\d:\d\d\.", to_add[-1])
        assert "Fuel lasts until about " in text(shown, "tendFuel")
        # Beside what to add, half a sentence that says the same helps nobody.
        shown.make_room(300)
        assert not shown.label.isVisible()
        assert shown.more.isVisible()
        shown.make_room(3000)
        assert shown.label.isVisible()
        qtbot.waitUntil(lambda: len(live.log().of(FuelForeseen)) == 1)
        context.program.look_for_alarms(clock.now_s())
        assert [a.key.split(":")[0] for a in live.alarms(clock.now_s())] == ["fuel_short"]
        # The dialog tells the same, and not what nobody knew beforehand.
        dialog = FuelDialog(context, cook_id, Schedule("", (OPEN,)))
        qtbot.addWidget(dialog)
        dialog.show()
        qtbot.waitUntil(lambda: dialog._refresher.settled)
        assert "more is needed until the food is off the pit" in text(dialog, "fuelNow")
        assert "Add about " in text(dialog, "fuelNow")
        assert "would be 1 in 10" in text(dialog, "fuelRests")
        assert not dialog.total.isVisible()
        dialog.close()
        # Written down once, not at every look.
        clock.forward(60.0)
        context.ticked.emit(clock.now_s())
        qtbot.waitUntil(lambda: shown._refresher.settled)
        assert len(live.log().of(FuelForeseen)) == 1
        # A full hopper is told at once, and calls nobody.
        live.record(FuelLevel(30.0, 0.1)).result()
        assert live.alarms(clock.now_s()) == ()
        qtbot.waitUntil(lambda: "less than 1 in 10" in text(shown, "tendFuel"))
        qtbot.waitUntil(lambda: len(live.log().of(FuelForeseen)) == 2)
        assert live.alarms(clock.now_s()) == ()
        last = live.can_undo()
        assert last is not None
        assert isinstance(last.what, FuelLevel)

    def test_units(self, qtbot: QtBot, context: DeskContext, cook_id: int) -> None:
        holder = QWidget()
        shown = line(qtbot, context, "plan", holder)
        shown.show_cook(cook_id, Schedule("", (SMOKE,)))
        qtbot.waitUntil(lambda: "kg" in text(shown, "planFuel"))
        context.set_units(US)
        qtbot.waitUntil(lambda: "lb" in text(shown, "planFuel"))


class TestDialog:
    def test_closed_before_the_answer_comes(
        self, qtbot: QtBot, context: DeskContext, cook_id: int
    ) -> None:
        dialog = FuelDialog(context, cook_id, Schedule("", (SMOKE,)))
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.show()
        with qtbot.waitSignal(dialog.destroyed):
            dialog.close()
        qtbot.wait_until(lambda: QThreadPool.globalInstance().activeThreadCount() == 0)
        QApplication.processEvents()

    def test_gone_before_its_size_is_fitted(
        self, qtbot: QtBot, context: DeskContext, cook_id: int
    ) -> None:
        """It shows something and is deleted in the same turn: the size is fitted in the next one."""
        dialog = FuelDialog(context, cook_id, Schedule("", (SMOKE,)))
        dialog._show()
        # pytest-qt fails the test on an exception in the event loop.
        delete(dialog)
        for _ in range(3):
            QApplication.processEvents()
        qtbot.wait_until(lambda: QThreadPool.globalInstance().activeThreadCount() == 0)
        QApplication.processEvents()

    def test_what_if(self, qtbot: QtBot, context: DeskContext, cook_id: int) -> None:
        context.live(cook_id).record(WeatherObserved(air_c=4.0, wind_m_s=3.0)).result()
        dialog = FuelDialog(context, cook_id, Schedule("", (SMOKE, OPEN)))
        qtbot.addWidget(dialog)
        dialog.show()
        qtbot.waitUntil(lambda: dialog._refresher.settled)
        assert field(dialog, "fuelAir").text() == "4"
        assert text(dialog, "fuelTotal").startswith("About ")
        assert "for a fire of about" in text(dialog, "fuelTotal")
        assert "of food that isn't described yet" in text(dialog, "fuelRests")
        assert "none of your finished cooks says yet" in text(dialog, "fuelRests")
        qtbot.keyClicks(field(dialog, "fuelBurns"), "11 h")
        assert text(dialog, "fuelTotal").startswith("About ")
        assert "for a fire" not in text(dialog, "fuelTotal")
        assert "isn't described yet" not in text(dialog, "fuelRests")
        warm = text(dialog, "fuelTotal")
        air = field(dialog, "fuelAir")
        air.selectAll()
        qtbot.keyClicks(air, "-20")
        assert text(dialog, "fuelTotal") != warm
        air.selectAll()
        qtbot.keyClick(air, Qt.Key.Key_Delete)
        assert "Assumed, since nobody said: air of 15 °C" in text(dialog, "fuelRests")
        assert "as dense as at sea level" in text(dialog, "fuelRests")
        context.live(cook_id).record(WeatherObserved(pressure_hpa=850.0)).result()
        qtbot.keyClicks(air, "4")
        assert "sea level" not in text(dialog, "fuelRests")

    @pytest.mark.parametrize(
        ("name", "typed"),
        [("fuelAir", "900"), ("fuelWind", "-3"), ("fuelBurns", "soon"), ("fuelAir", "cold")],
    )
    def test_wrong_input_is_told_and_stays(
        self, qtbot: QtBot, context: DeskContext, cook_id: int, name: str, typed: str
    ) -> None:
        dialog = FuelDialog(context, cook_id, Schedule("", (SMOKE,)))
        qtbot.addWidget(dialog)
        dialog.show()
        edit = field(dialog, name)
        edit.setFocus()
        qtbot.keyClicks(edit, typed)
        # Enter reads the field and closes nothing.
        qtbot.keyClick(edit, Qt.Key.Key_Return)
        assert dialog.isVisible()
        assert text(dialog, f"{name}Problem")
        assert edit.text() == typed
        qtbot.waitUntil(lambda: dialog._refresher.settled)


class TestCooker:
    def keep(self, qtbot: QtBot, dialog: CookerDialog) -> None:
        button = dialog.findChild(QPushButton, "cookerKeep")
        assert button is not None
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)

    def test_said_and_kept(self, qtbot: QtBot, context: DeskContext) -> None:
        dialog = CookerDialog(context)
        qtbot.addWidget(dialog)
        dialog.show()
        shape = dialog.findChild(QComboBox, "cookerShape")
        assert shape is not None
        shape.setFocus()
        qtbot.keyClick(shape, Qt.Key.Key_Down)
        qtbot.keyClick(shape, Qt.Key.Key_Down)
        assert not dialog.deep.isVisible()
        qtbot.keyClicks(field(dialog, "cookerLength"), "120")
        qtbot.keyClicks(field(dialog, "cookerHeight"), "60 cm")
        qtbot.keyClicks(field(dialog, "cookerAltitude"), "350")
        learn = dialog.findChild(QCheckBox, "cookerLearn")
        assert learn is not None
        qtbot.mouseClick(learn, Qt.MouseButton.LeftButton, pos=learn.rect().center() / 4)
        with qtbot.waitSignal(dialog.kept):
            self.keep(qtbot, dialog)
        facts = context.forecasts.fuel.facts()
        assert facts == CookerFacts(
            "barrel", 1.2, None, 0.6, None, 350.0, learn=learn.isChecked(), since_s=None
        )
        assert facts.size_said

    @pytest.mark.parametrize(
        ("name", "typed"),
        [
            ("cookerLength", "900"),
            ("cookerHeight", "0"),
            ("cookerDepth", "deep"),
            ("cookerAltitude", "90000"),
        ],
    )
    def test_wrong_input(self, qtbot: QtBot, context: DeskContext, name: str, typed: str) -> None:
        dialog = CookerDialog(context)
        qtbot.addWidget(dialog)
        dialog.show()
        qtbot.keyClicks(field(dialog, name), typed)
        self.keep(qtbot, dialog)
        message = text(dialog, f"{name}Problem")
        assert "from" in message
        assert "to" in message
        assert field(dialog, name).text() == typed
        assert context.forecasts.fuel.facts() == CookerFacts()

    def test_count_from_now_and_all_again(
        self, qtbot: QtBot, context: DeskContext, clock: FixedClock
    ) -> None:
        dialog = CookerDialog(context)
        qtbot.addWidget(dialog)
        dialog.show()
        qtbot.mouseClick(dialog.start_over, Qt.MouseButton.LeftButton)
        assert "count" in text(dialog, "cookerSince")
        with qtbot.waitSignal(dialog.kept):
            self.keep(qtbot, dialog)
        assert context.forecasts.fuel.facts().since_s == clock.now_s()
        again = CookerDialog(context)
        qtbot.addWidget(again)
        again.show()
        qtbot.mouseClick(again.all, Qt.MouseButton.LeftButton)
        with qtbot.waitSignal(again.kept):
            self.keep(qtbot, again)
        assert context.forecasts.fuel.facts().since_s is None
