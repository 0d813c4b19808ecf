"""The small forms: what they ask, what they refuse, and what comes of them."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication, QLabel, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import FuelAdded, FuelLevel, ProbeMoved, WeatherObserved, Wrap
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.text.quantities import US
from smokejournal.desk.entry.entry_form import EntryForm, Said
from smokejournal.desk.entry.fuel_form import FuelForm, HopperForm
from smokejournal.desk.entry.reading_form import ReadingForm
from smokejournal.desk.entry.small_forms import NoteForm, ProbeMovedForm, WrapForm
from smokejournal.desk.entry.weather_form import WeatherForm
from tests.support.tend_desk import TendDesk, tend  # noqa: F401 - a fixture

NOW = 1_790_000_000.0
OAK = Lot(0, "Oak, second bag", bag_kg=9.0, price=18.0, currency="EUR", bags_bought=2)


def opened(qtbot: QtBot, form: EntryForm) -> list[Said]:
    qtbot.addWidget(form)
    form.resize(320, 500)
    form.show()
    qtbot.waitExposed(form)
    said: list[Said] = []
    form.said.connect(said.append)
    form.open()
    return said


def enter(qtbot: QtBot, field: QWidget, text: str) -> None:
    edit = field.edit  # type: ignore[attr-defined]
    edit.clear()
    qtbot.keyClicks(edit, text)


def record(qtbot: QtBot, form: EntryForm) -> None:
    qtbot.mouseClick(form.record, Qt.MouseButton.LeftButton)


def test_weather_in_either_unit_and_what_it_feels_like(qtbot: QtBot):
    form = WeatherForm(lambda: NOW)
    said = opened(qtbot, form)
    form.set_units(US)
    feels = form.findChild(QLabel, "weatherFeels")
    assert feels is not None
    enter(qtbot, form.air, "20")
    assert feels.text() == "Feels like: give the wind."
    enter(qtbot, form.wind, "15")
    # The published chart: 20 °F in a wind of 15 mph feels like 6 °F.
    assert feels.text() == "Feels like 6 °F (wind chill)."
    form.sky.setCurrentIndex(5)
    enter(qtbot, form.pressure, "29.92")
    record(qtbot, form)
    seen = said[0].payloads[0]
    assert isinstance(seen, WeatherObserved)
    assert seen.air_c == pytest.approx(-6.667, abs=0.001)
    assert seen.wind_m_s == pytest.approx(6.7056)
    assert seen.pressure_hpa == pytest.approx(1013.2, abs=0.1)
    assert seen.sky == "overcast"
    assert seen.humidity_pct is None
    assert said[0].at_s == NOW


def test_weather_without_anything_and_gusts_below_the_wind(qtbot: QtBot):
    form = WeatherForm(lambda: NOW)
    said = opened(qtbot, form)
    record(qtbot, form)
    assert "at least one thing" in form.problem.text()
    enter(qtbot, form.wind, "5")
    enter(qtbot, form.gust, "3")
    record(qtbot, form)
    assert "at least as strong" in form.gust.problem()
    enter(qtbot, form.humidity, "140")
    record(qtbot, form)
    assert form.humidity.problem()
    assert said == []
    assert form.humidity.text() == "140"


def test_fuel_by_part_of_a_bag(qtbot: QtBot):
    form = FuelForm(lambda: NOW)
    form.set_lots([OAK, Lot(2, "Old apple", retired=True)])
    said = opened(qtbot, form)
    assert form.lot.count() == 1
    qtbot.keyClick(form.measure.focusProxy(), "c")
    enter(qtbot, form.part, "50")
    sure = form.findChild(QLabel, "fuelSure")
    assert sure is not None
    assert sure.text() == "4.5 kg, give or take 450 g"
    record(qtbot, form)
    added = said[0].payloads[0]
    assert added == FuelAdded("Oak, second bag", 4.5, 0.45, "fraction", 2.0, "EUR")


def test_fuel_of_a_lot_that_is_typed(qtbot: QtBot):
    form = FuelForm(lambda: NOW)
    form.set_lots([])
    said = opened(qtbot, form)
    enter(qtbot, form.mass, "4 lb 8 oz")
    record(qtbot, form)
    assert "Name the lot" in form.problem.text()
    qtbot.keyClicks(form.lot.lineEdit(), "Beech & alder")
    record(qtbot, form)
    added = said[0].payloads[0]
    assert isinstance(added, FuelAdded)
    assert added.lot == "Beech & alder"
    assert added.mass_kg == pytest.approx(2.041, abs=0.001)
    assert added.price_per_kg is None


def test_fuel_without_a_mass_says_so(qtbot: QtBot):
    form = FuelForm(lambda: NOW)
    form.set_lots([OAK])
    said = opened(qtbot, form)
    record(qtbot, form)
    assert form.mass.problem() == "This can't be empty."
    assert said == []


def test_hopper_as_a_share_of_full_by_mass_and_emptied(qtbot: QtBot):
    form = HopperForm(lambda: NOW)
    form.set_full(8.0)
    said = opened(qtbot, form)
    enter(qtbot, form.share, "25")
    record(qtbot, form)
    level = said[-1].payloads[0]
    assert level == FuelLevel(2.0, 0.4, 25.0)
    form.written()
    qtbot.keyClick(form.measure.focusProxy(), "b")
    enter(qtbot, form.mass, "1.5")
    record(qtbot, form)
    level = said[-1].payloads[0]
    assert isinstance(level, FuelLevel)
    assert (level.mass_kg, level.as_percent) == (1.5, None)
    form.written()
    qtbot.keyClick(form.measure.focusProxy(), "c")
    record(qtbot, form)
    assert said[-1].payloads[0] == FuelLevel(0.0, 0.0, 0.0)


def test_wrap_by_digit_and_enter(qtbot: QtBot):
    form = WrapForm(lambda: NOW)
    said = opened(qtbot, form)
    qtbot.keyClick(form.material.focusProxy(), "2")
    qtbot.keyClick(form.material.focusProxy(), Qt.Key.Key_Return)
    assert said[0].payloads == (Wrap("paper"),)


def test_probe_moved_offers_the_one_most_likely_meant(qtbot: QtBot):
    form = ProbeMovedForm(lambda: NOW)
    form.set_channels([Channel("a", "Thick end"), Channel("b", "Thin end")], "b")
    said = opened(qtbot, form)
    record(qtbot, form)
    assert said[0].payloads == (ProbeMoved("b"),)


def test_when_is_read_at_the_moment_of_recording(qtbot: QtBot):
    now = [NOW]
    form = WrapForm(lambda: now[0])
    said = opened(qtbot, form)
    enter(qtbot, form.when, "-10")
    now[0] += 60
    record(qtbot, form)
    assert said[0].at_s == NOW + 60 - 600
    form.failed("The disk is full.")
    enter(qtbot, form.when, "tomorrow")
    record(qtbot, form)
    assert "Type nothing for now" in form.when.problem()
    assert len(said) == 1


def test_fuel_on_the_page_takes_its_lots_from_the_stores(tend: TendDesk):  # noqa: F811
    tend.context.program.journal.stores.save_lot(OAK).result()
    tend.begin()
    tend.show()
    tend.key("f")
    form = tend.widget(QWidget, "fuelForm")
    assert isinstance(form, FuelForm)
    form.mass.setFocus()
    tend.type("2.5")
    tend.key(Qt.Key.Key_Return)
    tend.recorded("Fuel added: 2.5 kg")
    added = tend.entries(FuelAdded)[0]
    assert isinstance(added, FuelAdded)
    assert (added.lot, added.price_per_kg) == ("Oak, second bag", 2.0)


def test_the_hopper_of_the_cook_is_known(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    tend.key("h")
    tend.type("50")
    tend.key(Qt.Key.Key_Return)
    tend.recorded("Hopper holds 4.5 kg")


@pytest.mark.parametrize("kind", [NoteForm, FuelForm, HopperForm, WeatherForm, ReadingForm])
def test_tab_goes_through_a_form_from_top_to_bottom(qtbot: QtBot, kind: type[EntryForm]):
    form = kind(lambda: NOW)
    opened(qtbot, form)
    qtbot.waitUntil(lambda: QApplication.focusWidget() is not None)
    room = form._scroll.widget()
    passed: list[QWidget] = []
    focus = QApplication.focusWidget()
    while focus is not None and room.isAncestorOf(focus):
        assert focus not in passed
        passed.append(focus)
        qtbot.keyClick(focus, Qt.Key.Key_Tab)
        focus = QApplication.focusWidget()
    assert focus is form.record
    assert passed[-1] is form.when.edit
    places = [widget.mapTo(room, QPoint(0, 0)) for widget in passed]
    assert places == sorted(places, key=lambda at: (at.y(), at.x()))
    qtbot.keyClick(focus, Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is form.cancel
