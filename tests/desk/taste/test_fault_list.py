"""What went wrong, chosen on Taste, kept, shown beside the verdict, and changed."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import CookClosed, ItemAdded, ScheduleStarted, Served, Tasted
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.taste.page import TastePage
from tests.support.fakes import FixedClock


def page_of(qtbot: QtBot, context: DeskContext, clock: FixedClock) -> TastePage:
    cook_id = context.program.new_cook("Trout", "UTC")
    live = context.live(cook_id)
    live.record(ItemAdded("trout", "fish", mass_kg=1.0)).result()
    live.record(ScheduleStarted()).result()
    clock.forward(3 * 3600)
    live.record(CookClosed()).result()
    context.choose(cook_id)
    page = TastePage(context)
    qtbot.addWidget(page)
    page.resize(1200, 900)
    page.show()
    return page


def tastings(context: DeskContext) -> list[Tasted]:
    assert context.chosen is not None
    held = context.live(context.chosen).log().holding()
    return [e.what for e in held if isinstance(e.what, Tasted)]


def test_a_fault_is_chosen_kept_shown_with_its_causes_and_changed(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    page = page_of(qtbot, context, clock)
    faults = page.notes.faults
    assert not faults.boxes["bitter"].isVisible()
    qtbot.mouseClick(faults.fold, Qt.MouseButton.LeftButton)
    assert faults.boxes["white_protein"].isVisible()
    assert not faults.boxes["soft_skin"].isVisible()  # No bird on the plan.
    faults.boxes["white_protein"].click()
    assert faults.fold.text() == "What went wrong (1)"
    assert "Often: The pit rose too fast" in faults.causes.text()
    keep = page.findChild(QPushButton, "tasteKeep")
    assert keep is not None
    qtbot.mouseClick(keep, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: [t.faults for t in tastings(context)] == [("white_protein",)])
    qtbot.waitUntil(lambda: page.verdict.findChild(QLabel, "fault_white_protein") is not None)
    shown = page.verdict.findChild(QLabel, "fault_white_protein")
    assert shown is not None
    assert shown.text().startswith("White protein on the surface. Often: ")
    qtbot.waitUntil(lambda: "White protein on the surface" in page.sheet.toPlainText())

    change = next(
        b for b in page.verdict.findChildren(QPushButton) if b.objectName().startswith("tastingCh")
    )
    qtbot.mouseClick(change, Qt.MouseButton.LeftButton)
    assert page.notes.faults.boxes["white_protein"].isChecked()
    page.notes.faults.boxes["white_protein"].click()
    page.notes.faults.boxes["dry_edge"].click()
    qtbot.mouseClick(keep, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: [t.faults for t in tastings(context)] == [("dry_edge",)])


def test_servings_and_the_rest_are_asked_and_the_sheet_says_what_one_cost(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    page = page_of(qtbot, context, clock)
    assert context.chosen is not None
    live = context.live(context.chosen)
    live.record(ItemAdded("char", "fish", price=20.0, currency="EUR")).result()
    keep = page.findChild(QPushButton, "tasteKeep")
    assert keep is not None
    qtbot.keyClicks(page.notes.rest_cost.edit, "4")
    qtbot.mouseClick(keep, Qt.MouseButton.LeftButton)
    assert page.notes.servings.problem() == "Say for how many it was, too."
    qtbot.keyClicks(page.notes.servings.edit, "4")
    qtbot.mouseClick(keep, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: Served(4, 4.0, "EUR") in [e.what for e in live.log().holding()])
    qtbot.waitUntil(lambda: "6.00 EUR for each of 4 servings." in page.sheet.toPlainText())
