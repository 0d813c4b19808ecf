"""Calibrating and comparing probes on the Bench, as a person does."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import ChannelSet, LeadSet
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.text.quantities import US
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.bench.page import BenchPage
from smokejournal.inputs.simulated import practice
from tests.support.fakes import FixedClock

ZONE = "Europe/Berlin"


def page_of(qtbot: QtBot, context: DeskContext) -> BenchPage:
    page = BenchPage(context)
    qtbot.addWidget(page)
    page.resize(1110, 700)
    page.show()
    return page


def a_cook(context: DeskContext) -> int:
    cook_id = context.program.new_cook("Ribs", ZONE)
    live = context.live(cook_id)
    live.record(ChannelSet(Channel("left", "Left"))).result(10)
    live.record(ChannelSet(Channel("right", "Right"))).result(10)
    live.record(LeadSet("left", "right")).result(10)
    context.choose(cook_id)
    return cook_id


def press(qtbot: QtBot, page: QWidget, name: str) -> None:
    button = page.findChild(QPushButton, name)
    assert button is not None
    assert button.isEnabled()
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def settle(qtbot: QtBot, page: BenchPage) -> None:
    """Until nothing is being worked out for the page any more."""
    qtbot.waitUntil(lambda: page.compare.is_settled())


def write(qtbot: QtBot, page: QWidget, name: str, text: str) -> None:
    edit = page.findChild(QLineEdit, name)
    assert edit is not None
    assert edit.isVisibleTo(page)
    edit.setFocus()
    edit.selectAll()
    if text:
        qtbot.keyClicks(edit, text)
    else:
        edit.clear()


def choose(page: QWidget, name: str, data: object) -> None:
    box = page.findChild(QComboBox, name)
    assert box is not None
    assert box.findData(data) >= 0
    box.setCurrentIndex(box.findData(data))


def label(page: QWidget, name: str) -> str:
    found = page.findChild(QLabel, name)
    assert found is not None
    return found.text() if found.isVisibleTo(page) else ""


def enabled(page: QWidget, name: str) -> bool:
    found = page.findChild(QPushButton, name)
    assert found is not None
    return found.isEnabled()


def add_ice(qtbot: QtBot, page: BenchPage, reads: str) -> None:
    choose(page, "pointHow", "ice")
    write(qtbot, page, "pointReads", reads)
    press(qtbot, page, "pointAdd")


def add_boil(qtbot: QtBot, page: BenchPage, altitude: str, reads: str) -> None:
    choose(page, "pointHow", "boil")
    write(qtbot, page, "pointAltitude", altitude)
    write(qtbot, page, "pointReads", reads)
    press(qtbot, page, "pointAdd")


def test_ice_and_boiling_water_correct_a_channel_from_now_on(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    cook_id = a_cook(context)
    live = context.live(cook_id)
    live.record_readings([Reading(clock.now_s(), "left", 50.0)]).result(10)
    page = page_of(qtbot, context)
    press(qtbot, page, "benchCalibrateSide")
    assert "ice water first" in label(page, "calibrateResult")
    assert not enabled(page, "calibrateUse")
    write(qtbot, page, "calibrateName", "Thin one")
    choose(page, "calibrateClass", "K1")
    add_ice(qtbot, page, "0.8")
    assert label(page, "calibrateResult") == "Add −0.8 °C ± 0.2 °C to what it says."
    assert "One point" in label(page, "calibrateFindings")
    add_boil(qtbot, page, "520", "99.6")
    assert "−1.4 °C ± 0.6 °C where it says 100 °C" in label(page, "calibrateResult")
    assert "by altitude alone" in label(page, "calibrateFindings")
    choose(page, "calibrateChannel", "left")
    clock.forward(60)
    with qtbot.waitSignal(context.notice_given) as told:
        press(qtbot, page, "calibrateUse")
    assert "corrects what is read from now on" in told.args[0].text
    channel = plan_of(live.log()).channels["left"]
    assert channel.corrected(0.8) == pytest.approx(0.0, abs=1e-6)
    assert channel.corrected(99.6) == pytest.approx(98.24, abs=0.01)
    assert channel.uncertainty_c == pytest.approx(0.63, abs=0.02)
    assert channel.probe == "Thin one"
    assert channel.calibrated_at_s == pytest.approx(clock.now_s())
    assert [p.name for p in context.program.journal.stores.probes()] == ["Thin one"]
    assert len(context.program.journal.stores.calibrations()) == 1
    # What was read before is as it was; what comes now is corrected.
    live.record_readings([Reading(clock.now_s() + 1, "left", 50.0)]).result(10)
    pieces = next(t for t in live.score().traces if t.key == "left").pieces
    shown = np.concatenate([piece.value_c for piece in pieces])
    assert shown.tolist() == pytest.approx([50.0, channel.corrected(50.0)])
    qtbot.waitUntil(lambda: "Add −0.8 °C" in label(page, "calibrateHistory"))


def test_a_second_calibration_says_drift(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    page = page_of(qtbot, context)
    press(qtbot, page, "benchCalibrateSide")
    write(qtbot, page, "calibrateName", "Thin one")
    add_ice(qtbot, page, "0.2")
    with qtbot.waitSignal(context.notice_given):
        press(qtbot, page, "calibrateKeep")
    assert len(context.program.journal.stores.calibrations()) == 1
    qtbot.waitUntil(lambda: "Add −0.2 °C" in label(page, "calibrateHistory"))
    clock.forward(240 * 86_400)
    add_ice(qtbot, page, "1.5")
    assert "drifted by 1.3 °C ± 0.3 °C" in label(page, "calibrateFindings")
    assert "Calibrated 7 months ago" in label(page, "calibrateHistory")


@pytest.mark.parametrize(
    ("text", "message"),
    [("", "can't be empty"), ("abc", "Type a temperature"), ("9999", "from")],
)
def test_a_reading_that_is_none_adds_no_point(
    qtbot: QtBot, context: DeskContext, text: str, message: str
) -> None:
    page = page_of(qtbot, context)
    press(qtbot, page, "benchCalibrateSide")
    write(qtbot, page, "pointReads", text)
    press(qtbot, page, "pointAdd")
    assert message in label(page, "pointReadsProblem")
    assert page.calibrate.table.rowCount() == 0
    if text:
        edit = page.findChild(QLineEdit, "pointReads")
        assert edit is not None
        assert edit.text() == text


def test_what_is_mistyped_is_told_and_can_be_taken_out(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    press(qtbot, page, "benchCalibrateSide")
    write(qtbot, page, "calibrateName", "Thin one")
    add_ice(qtbot, page, "33")
    assert "Point 1 is more than 30 °C off" in label(page, "calibrateProblem")
    assert not enabled(page, "calibrateKeep")
    add_ice(qtbot, page, "0.5")
    page.calibrate.table.selectRow(0)
    press(qtbot, page, "calibrateOut")
    assert label(page, "calibrateProblem") == ""
    assert enabled(page, "calibrateKeep")


def test_a_boiling_point_needs_the_place(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    press(qtbot, page, "benchCalibrateSide")
    choose(page, "pointHow", "boil")
    assert "Type the altitude" in label(page, "pointReference")
    write(qtbot, page, "pointReads", "99")
    press(qtbot, page, "pointAdd")
    assert page.calibrate.table.rowCount() == 0
    write(qtbot, page, "pointAltitude", "99999")
    press(qtbot, page, "pointAdd")
    assert "from −430 m to 6000 m" in label(page, "pointAltitudeProblem")
    write(qtbot, page, "pointAltitude", "0")
    assert "100.0 °C ± 0.6 °C" in label(page, "pointReference")
    write(qtbot, page, "pointPressure", "955")
    assert "98.3 °C ± 0.2 °C" in label(page, "pointReference")


def test_a_probe_wants_a_name(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    press(qtbot, page, "benchCalibrateSide")
    add_ice(qtbot, page, "0.5")
    press(qtbot, page, "calibrateKeep")
    assert "Give the probe a name" in label(page, "calibrateNameProblem")
    assert page.calibrate.table.rowCount() == 1
    assert context.program.journal.stores.probes() == []


def test_fahrenheit_all_the_way(qtbot: QtBot, context: DeskContext) -> None:
    a_cook(context)
    page = page_of(qtbot, context)
    context.set_units(US)
    press(qtbot, page, "benchCalibrateSide")
    write(qtbot, page, "calibrateName", "Thin one")
    add_ice(qtbot, page, "33.4")
    assert label(page, "calibrateResult") == "Add −1.4 °F ± 0.4 °F to what it says."
    choose(page, "pointHow", "beside")
    write(qtbot, page, "pointTrue", "165")
    write(qtbot, page, "pointSure", "0.5")
    write(qtbot, page, "pointReads", "166")
    press(qtbot, page, "pointAdd")
    assert "where it says 166 °F" in label(page, "calibrateResult")


def test_a_point_is_taken_from_the_input_that_runs(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    cook_id = a_cook(context)
    live = context.live(cook_id)
    feeds = context.feeds
    assert feeds is not None
    feeds.start(cook_id, practice(), ())
    live.record_readings(
        [Reading(clock.now_s() + n, "left", 0.6 + 0.1 * (n % 2)) for n in range(30)]
    ).result(10)
    clock.forward(30)
    page = page_of(qtbot, context)
    press(qtbot, page, "benchCalibrateSide")
    choose(page, "pointLive", "left")
    qtbot.waitUntil(lambda: "steady" in label(page, "pointLiveWords"))
    press(qtbot, page, "pointTake")
    press(qtbot, page, "pointAdd")
    assert label(page, "calibrateResult").startswith("Add −0.6 °C") or label(
        page, "calibrateResult"
    ).startswith("Add −0.7 °C")
    assert page.calibrate.channel.currentData() == "left"
    feeds.stop()


def test_two_probes_are_compared_and_the_picture_is_drawn(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    cook_id = a_cook(context)
    live = context.live(cook_id)
    at = np.arange(0, 7200, 20.0)
    course = 5 + 60 * (1 - np.exp(-at / 3600))
    rng = np.random.default_rng(1)
    readings = [
        Reading(clock.now_s() + t, key, float(v))
        for key, off in (("left", 0.0), ("right", -2.2))
        for t, v in zip(at, course + off + rng.normal(0, 0.1, at.size), strict=True)
    ]
    live.record_readings(readings).result(10)
    page = page_of(qtbot, context)
    press(qtbot, page, "benchCompareSide")
    qtbot.waitUntil(lambda: "Right reads 2.2 °C lower than Left" in label(page, "compareSaid"))
    assert "Neither lags" in label(page, "compareSaid")
    assert "calibrate both" in label(page, "compareWarned")
    assert page.compare.plot.isVisibleTo(page)
    picture = page.compare.plot.grab().toImage()
    seen = {picture.pixelColor(x, picture.height() // 2).name() for x in range(picture.width())}
    assert len(seen) > 2
    context.set_units(US)
    qtbot.waitUntil(lambda: "°F lower than Left" in label(page, "compareSaid"))
    choose(page, "compareSecond", "left")
    qtbot.waitUntil(lambda: label(page, "compareSaid") == "Choose two different probes.")
    assert not page.compare.plot.isVisibleTo(page)
    choose(page, "compareSecond", "right")
    choose(page, "compareStretch", "stretch")
    qtbot.waitUntil(lambda: "Type when the stretch" in label(page, "compareSaid"))
    settle(qtbot, page)


def test_nothing_to_compare_is_said(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    press(qtbot, page, "benchCompareSide")
    qtbot.waitUntil(lambda: "needs a cook with two probes" in label(page, "compareSaid"))
    a_cook(context)
    page.compare.refresh()
    qtbot.waitUntil(lambda: "no readings at the same time" in label(page, "compareSaid"))
    settle(qtbot, page)


def test_a_kept_calibration_goes_on_in_the_next_cook(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    page = page_of(qtbot, context)
    press(qtbot, page, "benchCalibrateSide")
    write(qtbot, page, "calibrateName", "Thin one")
    add_ice(qtbot, page, "0.8")
    with qtbot.waitSignal(context.notice_given):
        press(qtbot, page, "calibrateKeep")
    made_at_s = clock.now_s()
    clock.forward(86_400)
    cook_id = a_cook(context)
    choose(page, "calibrateChannel", "right")
    found = page.findChild(QPushButton, "calibrateUse")
    assert found is not None
    assert found.text() == "&Use the last one"
    with qtbot.waitSignal(context.notice_given):
        press(qtbot, page, "calibrateUse")
    channel = plan_of(context.live(cook_id).log()).channels["right"]
    assert channel.offset_c == pytest.approx(-0.8)
    assert channel.calibrated_at_s == pytest.approx(made_at_s)
    assert len(context.program.journal.stores.calibrations()) == 1
