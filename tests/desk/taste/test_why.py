"""What made it last, asked on Taste as a person does."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton, QTextBrowser
from pytestqt.qtbot import QtBot

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.taste.page import TastePage
from tests.support.fakes import FixedClock
from tests.support.learned_cooks import finished_cook


def page_of(qtbot: QtBot, context: DeskContext, cook_id: int) -> TastePage:
    context.choose(cook_id)
    page = TastePage(context)
    qtbot.addWidget(page)
    page.resize(1200, 760)
    page.show()
    return page


def why(page: TastePage) -> QPushButton:
    button = page.findChild(QPushButton, "tasteWhy")
    assert button is not None
    return button


def said(page: TastePage) -> QLabel:
    label = page.findChild(QLabel, "tasteSaid")
    assert label is not None
    return label


def test_it_is_said_and_stands_in_the_sheet(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    page = page_of(qtbot, context, finished_cook(context.program, clock))
    qtbot.waitUntil(why(page).isEnabled, timeout=10_000)
    sheet = page.findChild(QTextBrowser, "tasteSheet")
    assert sheet is not None
    assert "What made it last" not in sheet.toPlainText()
    qtbot.mouseClick(why(page), Qt.MouseButton.LeftButton)
    assert not why(page).isEnabled()
    assert "few seconds" in said(page).text()
    qtbot.waitUntil(lambda: "What made it last" in sheet.toPlainText(), timeout=20_000)
    qtbot.waitUntil(why(page).isEnabled, timeout=10_000)
    assert "as planned, the model gives this piece" in said(page).text()
    assert "Not explained" in sheet.toPlainText()


def test_where_nothing_can_be_told_it_says_what_to_do(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    page = page_of(qtbot, context, finished_cook(context.program, clock, lead=False))
    qtbot.waitUntil(why(page).isEnabled, timeout=10_000)
    qtbot.mouseClick(why(page), Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "Choose one in the next plan" in said(page).text(), timeout=20_000)
    assert said(page).property("kind") == "problem"


def test_a_cook_under_way_can_not_be_asked(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    page = page_of(qtbot, context, finished_cook(context.program, clock, close=False))
    what_if = page.findChild(QPushButton, "tasteWhatIf")
    assert what_if is not None
    qtbot.waitUntil(what_if.isEnabled, timeout=10_000)
    assert not why(page).isEnabled()
