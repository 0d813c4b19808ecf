"""A label that is cut with an ellipsis says so, and keeps its whole text."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from smokejournal.desk.parts.short_label import ShortLabel


def test_what_has_no_room_is_cut_and_told_whole_by_the_tool_tip(qtbot: QtBot):
    label = ShortLabel()
    qtbot.addWidget(label)
    label.setText("Thickest part, left side")
    label.resize(label.sizeHint())
    label.show()
    plain = QLabel("Thickest part, left side")
    qtbot.addWidget(plain)
    assert label.sizeHint() == plain.sizeHint()
    label.grab()
    assert label.toolTip() == ""
    label.resize(label.minimumSizeHint())
    assert label.width() < label.sizeHint().width()
    label.grab()
    assert label.toolTip() == label.text() == "Thickest part, left side"
    label.setText("Pit")
    label.grab()
    assert label.toolTip() == ""


def test_cut_in_the_middle_the_end_stays(qtbot: QtBot) -> None:
    label = ShortLabel()
    qtbot.addWidget(label)
    label.cut_in_the_middle()
    label.setText("side of trout 2")
    label.resize(label.fontMetrics().horizontalAdvance("side of trou"), 30)
    label.show()
    shown = label.fontMetrics().elidedText(
        label.text(), Qt.TextElideMode.ElideMiddle, label.contentsRect().width()
    )
    assert shown.endswith("2")
    qtbot.waitUntil(lambda: label.toolTip() == "side of trout 2")
