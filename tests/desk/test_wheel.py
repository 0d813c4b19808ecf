"""The wheel scrolls and changes nothing: on every page and in every dialog that can be opened from one."""

from __future__ import annotations

import ast
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QAbstractSpinBox, QApplication, QComboBox, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.parts.choice_box import ChoiceBox, DayEdit
from smokejournal.desk.parts.zone_box import ZoneBox
from smokejournal.desk.schedule.rule_form import ChannelBox
from smokejournal.desk.shell.window import Window
from tests.support.tend_desk import QuietPlayer

DESK = Path(__file__).resolve().parents[2] / "smokejournal" / "desk"


def turn(widget: QWidget, notches: int = -3) -> None:
    """The wheel over the middle of a widget, as the window system sends it."""
    at = widget.rect().center()
    event = QWheelEvent(
        QPointF(at),
        QPointF(widget.mapToGlobal(at)),
        QPoint(),
        QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(widget, event)


def says(widget: QWidget) -> object:
    if isinstance(widget, QComboBox):
        return widget.currentIndex(), widget.currentText()
    assert isinstance(widget, QAbstractSpinBox)
    return widget.text()


@pytest.mark.parametrize(
    "make", [ChoiceBox, lambda: ZoneBox("zone"), lambda: ChannelBox("channel", "Channel")]
)
def test_a_closed_list_keeps_its_choice(qtbot: QtBot, make: Callable[[], QComboBox]) -> None:
    box = make()
    qtbot.addWidget(box)
    if not box.count():
        box.addItems(["one", "two", "three"])
    box.setCurrentIndex(1)
    box.show()
    before = says(box)
    for notches in (-3, 3):
        turn(box, notches)
        assert says(box) == before


def test_a_date_keeps_its_day(qtbot: QtBot) -> None:
    day = DayEdit()
    qtbot.addWidget(day)
    before = says(day)
    turn(day)
    assert says(day) == before


def test_on_every_page_the_wheel_changes_nothing(qtbot: QtBot, context: DeskContext) -> None:
    program = context.program
    cook = program.new_cook("Shoulder", "Europe/Vienna")
    context.choose(cook)
    window = Window(context, QuietPlayer())
    qtbot.addWidget(window)
    window.show()
    seen = 0
    for name in ("journal", "plan", "tend", "taste", "stores", "bench"):
        window.show_page(name)
        for widget in window.findChildren(QWidget):
            if isinstance(widget, QComboBox | QAbstractSpinBox):
                before = says(widget)
                turn(widget)
                turn(widget, 3)
                turn(widget)
                assert says(widget) == before, widget.objectName()
                seen += 1
    assert seen > 40
    window.close_unasked()
    window.deleteLater()


def test_no_list_or_number_of_the_desk_is_one_that_the_wheel_changes() -> None:
    """Forms are made when they are first asked for, so the code is looked at as well."""
    bad = {"QComboBox", "QSpinBox", "QDoubleSpinBox", "QSlider", "QDial"}
    bad |= {"QDateEdit", "QTimeEdit", "QDateTimeEdit"}
    found = []
    for path in DESK.rglob("*.py"):
        if path.name == "choice_box.py":
            continue
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            name = node.func if isinstance(node, ast.Call) else None
            if isinstance(name, ast.Name) and name.id in bad:
                found.append(f"{path.name}:{node.lineno} {name.id}")
            if isinstance(node, ast.ClassDef):
                found += [
                    f"{path.name}:{node.lineno} {base.id}"
                    for base in node.bases
                    if isinstance(base, ast.Name) and base.id in bad
                ]
    assert not found
