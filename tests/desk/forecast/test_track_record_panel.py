"""How good the forecasts were, as the panel shows it."""

from __future__ import annotations

import threading

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QLabel, QTableWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import CookClosed
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.forecast.track_record_panel import TrackRecordPanel
from smokejournal.journal import Journal, JournalProblem
from smokejournal.services.forecast.track_record import Walk
from tests.support.fakes import FixedClock
from tests.support.judged_cooks import finished


def shown(qtbot: QtBot, context: DeskContext) -> TrackRecordPanel:
    panel = TrackRecordPanel(context)
    qtbot.addWidget(panel)
    panel.resize(760, 560)
    panel.show()
    qtbot.waitExposed(panel)
    return panel


def text(panel: TrackRecordPanel, name: str) -> str:
    """What a label shows; empty where it isn't in sight."""
    label = panel.findChild(QLabel, name)
    assert label is not None
    return label.text() if label.isVisible() else ""


def rows(panel: TrackRecordPanel) -> list[list[str]]:
    table = panel.findChild(QTableWidget, "recordTable")
    assert table is not None
    if not table.isVisible():
        return []
    found = []
    for n in range(table.rowCount()):
        items = [table.item(n, place) for place in range(table.columnCount())]
        found.append(["" if item is None else item.text() for item in items])
    return found


def box(panel: TrackRecordPanel) -> QCheckBox:
    found = panel.findChild(QCheckBox, "recordSimulated")
    assert found is not None
    return found


def test_nothing_yet(qtbot: QtBot, context: DeskContext) -> None:
    panel = shown(qtbot, context)
    qtbot.waitUntil(lambda: text(panel, "recordAbove").startswith("Nothing to judge yet."))
    assert rows(panel) == []
    assert not box(panel).isVisible()
    assert text(panel, "recordMeaning0") == ""
    assert text(panel, "recordProgress") == ""


def test_real_cooks(qtbot: QtBot, context: DeskContext, clock: FixedClock) -> None:
    for held in (True, True, False):
        finished(context.program, clock, held)
    finished(context.program, clock, said=False)
    panel = shown(qtbot, context)
    qtbot.waitUntil(lambda: bool(rows(panel)))
    quarter, half, three, nine = rows(panel)
    assert quarter[:3] == ["a quarter", "3 of 3", "2 of 3\n21 – 94 %"]
    assert quarter[3:] == [
        "17 %\n30 min",
        "17 % too late\n30 min",
        "under 1 %\nunder 1 min",
    ]
    assert half[0] == "half"
    assert three == ["three quarters", "0 of 3", "–", "–", "–", "–"]
    assert nine[0] == "nine tenths"
    assert "3 cooks say little" in text(panel, "recordAbove")
    assert text(panel, "recordNotCounted").endswith("no forecast gave a time: 1.")
    assert "Wilson" in text(panel, "recordMeaning2")
    # The picture of the tenths stands below, with what it says and how to read it.
    said = text(panel, "recordTenthsSaid")
    assert said.startswith("Too few moments (")
    assert panel.tenths.isVisible()
    assert panel.tenths.accessibleName() == said
    assert text(panel, "recordMeaning0").startswith("Each bar is a tenth of the forecasts")
    assert not box(panel).isVisible()
    table = panel.table
    assert table.height() >= table.horizontalHeader().height() + sum(
        table.rowHeight(n) for n in range(4)
    )


def test_simulated_cooks_only_behind_their_box(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    finished(context.program, clock, held=False, simulated=True)
    panel = shown(qtbot, context)
    qtbot.waitUntil(lambda: box(panel).isVisible())
    assert rows(panel) == []
    assert text(panel, "recordAbove").endswith("Check the box to look at the simulated ones.")
    qtbot.mouseClick(box(panel), Qt.MouseButton.LeftButton, pos=box(panel).rect().center() / 4)
    assert rows(panel)[0][:3] == ["a quarter", "1 of 1", "0 of 1\n0 – 79 %"]
    assert text(panel, "recordAbove").startswith("Simulated cooks only. They prove nothing")
    finished(context.program, clock)
    box(panel).setFocus()
    qtbot.keyClick(box(panel), Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: bool(rows(panel)) and rows(panel)[0][2].startswith("1 of 1"))


def test_a_cook_that_ends_while_it_is_open_comes_in(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    finished(context.program, clock)
    panel = shown(qtbot, context)
    qtbot.waitUntil(lambda: bool(rows(panel)))
    finished(context.program, clock)
    qtbot.waitUntil(lambda: rows(panel)[0][1] == "2 of 2")
    cook_id = context.program.new_cook("Ribs", "UTC")
    context.live(cook_id).record(CookClosed()).result()
    qtbot.waitUntil(lambda: text(panel, "recordNotCounted").endswith("gave a time: 1."))


def test_out_of_sight_it_stops_and_goes_on_when_it_is_back(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    finished(context.program, clock)
    begun, go_on = threading.Event(), threading.Event()
    entries = Journal.entries

    def slow(self: Journal, cook_id: int) -> object:
        begun.set()
        assert go_on.wait(10)
        return entries(self, cook_id)

    monkeypatch.setattr(Journal, "entries", slow)
    cancelled: list[Walk] = []
    cancel = Walk.cancel
    monkeypatch.setattr(Walk, "cancel", lambda self: (cancelled.append(self), cancel(self))[1])
    panel = shown(qtbot, context)
    qtbot.waitUntil(begun.is_set)
    qtbot.waitUntil(lambda: text(panel, "recordProgress") == "Reading the finished cooks: 0 of 1")
    panel.hide()
    assert len(cancelled) == 1
    go_on.set()
    panel.show()
    qtbot.waitUntil(lambda: bool(rows(panel)))


def test_a_journal_that_can_not_be_read_is_told(
    qtbot: QtBot, context: DeskContext, monkeypatch: pytest.MonkeyPatch, tmp_path: object
) -> None:
    def broken(self: Walk) -> None:
        raise JournalProblem("The journal can't be read.", "Close it and try again.", context.program.journal.folder)  # fmt: skip

    monkeypatch.setattr(Walk, "run", broken)
    panel = shown(qtbot, context)
    qtbot.waitUntil(
        lambda: (
            text(panel, "recordProgress") == "The journal can't be read. Close it and try again."
        )
    )
    assert rows(panel) == []


def test_closed_before_the_answer_comes(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    finished(context.program, clock)
    panel = TrackRecordPanel(context)
    panel.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    panel.show()
    with qtbot.waitSignal(panel.destroyed):
        panel.close()
    other = shown(qtbot, context)
    qtbot.waitUntil(lambda: bool(rows(other)))
