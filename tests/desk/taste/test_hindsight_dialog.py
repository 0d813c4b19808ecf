"""A finished cook counted again on Taste, as a person asks it."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QCheckBox, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    ItemAdded,
    LeadSet,
    ScheduleSet,
    ScheduleStarted,
)
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.cook.probes.probe import Calibration, CalibrationPoint, Probe
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.taste.hindsight_dialog import HindsightDialog
from smokejournal.desk.taste.page import TastePage
from tests.support.fakes import FixedClock

HOUR = 3600.0


@pytest.fixture
def dialog(qtbot: QtBot, context: DeskContext, clock: FixedClock) -> HindsightDialog:
    """Of a cook with two probes on straight lines, 10 °C an hour, the second 2 °C behind."""
    probe = context.program.journal.stores.save_probe(Probe(0, "thin one")).result()
    cook_id = context.program.new_cook("Shoulder", "UTC")
    live, begun_s = context.live(cook_id), clock.now_s()
    live.record(ItemAdded("pork shoulder", "red_meat", mass_kg=3.0)).result()
    for channel in (
        Channel("meat", "<b>thick end</b>"),
        Channel("other", "thin end", probe_id=probe.id),
    ):
        live.record(ChannelSet(channel)).result()
    live.record(LeadSet("meat", "other")).result()
    smoke = Stage(
        "s", "Smoke", (UntilTemperature(70.0, prove_s=0.0),), pit_target_c=110.0, purpose="cook"
    )
    rest = Stage("r", "Rest", (ForTime(1800.0),), purpose="rest")
    live.record(ScheduleSet(Schedule("x", (smoke, rest)))).result()
    live.record(ScheduleStarted()).result()
    readings = []
    for n in range(8 * 60 + 1):
        at_s, value = begun_s + 60.0 * n, 10.0 + n / 6.0
        readings += [Reading(at_s, "meat", value), Reading(at_s, "other", value - 2.0)]
    clock.forward(8 * HOUR)
    live.record_readings(readings).result()
    live.record(CookClosed()).result()
    clock.forward(HOUR)
    points = (CalibrationPoint("beside", 48.0, 50.0, 0.1, 0.1),)
    calibration = Calibration(0, probe.id, clock.now_s(), points, "offset")
    context.program.journal.stores.add_calibration(calibration).result()
    context.choose(cook_id)
    page = TastePage(context)
    qtbot.addWidget(page)
    page.resize(1200, 800)
    page.show()
    button = page.findChild(QPushButton, "tasteWhatIf")
    assert button is not None
    qtbot.waitUntil(button.isEnabled)
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    (found,) = [w for w in QApplication.topLevelWidgets() if isinstance(w, HindsightDialog)]
    return found


def test_the_other_probe_is_asked_first(qtbot: QtBot, dialog: HindsightDialog) -> None:
    assert dialog.lead.currentText() == "thin end"
    qtbot.waitUntil(lambda: "2.0 °C short of 70 °C" in dialog.first.text())
    assert "12 min more" in dialog.first.text()
    assert dialog.said.textFormat() != Qt.TextFormat.RichText
    assert "<b>thick end</b>: " in dialog.said.text()
    dialog.reject()


def test_another_target_moves_the_end_and_marks_the_score(
    qtbot: QtBot, dialog: HindsightDialog
) -> None:
    dialog.lead.setCurrentIndex(0)
    qtbot.waitUntil(lambda: "when it did" in dialog.first.text())
    dialog.target.edit.selectAll()
    qtbot.keyClicks(dialog.target.edit, "65")
    qtbot.waitUntil(lambda: "30 min sooner" in dialog.first.text())
    score = dialog.view.score
    assert score is not None
    marks = {mark.text: mark.at_s for mark in score.marks}
    assert marks["Cook closed"] - marks["Would have come off"] == pytest.approx(2.5 * HOUR, abs=60)
    dialog.target.edit.selectAll()
    qtbot.keyClicks(dialog.target.edit, "hot")
    assert "30 min sooner" in dialog.first.text()  # What can't be read is not asked.
    dialog.reject()


def test_a_calibration_made_since_can_be_supposed(qtbot: QtBot, dialog: HindsightDialog) -> None:
    box = dialog.findChild(QCheckBox, "hindsightNewer_other")
    assert box is not None
    assert "thin end as calibrated on" in box.text()
    box.click()
    qtbot.waitUntil(lambda: "when it did" in dialog.first.text())
    dialog.reject()
