"""Qt's wheels keep their hands off the reference counts of None and True.

One wheel series, run on Python 3.11, gave back a reference to None at every call without a result
and one to True at every emitted signal. Up to 3.11 these objects are mortal: the process aborts
after seconds of drawing. From 3.12 on they are immortal and their counts stand still, so the same
tests hold there too.
"""

import sys
from collections.abc import Callable

import pytest
from PySide6.QtCore import QCoreApplication, QObject, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

TIMES = 1000
# Counts drift by a few as caches fill; a lost reference a call would show as a thousand.
DRIFT = 50


class Told(QObject):
    happened = Signal(object)


class Painted(QWidget):
    paints = 0

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.drawLine(0, 0, 10, 10)
        painter.end()
        self.paints += 1


def lowered_by(act: Callable[[], object]) -> tuple[int, int]:
    """How far a thousand calls lower the counts of (None, True)."""
    none, true = sys.getrefcount(None), sys.getrefcount(True)
    for _ in range(TIMES):
        act()
    return none - sys.getrefcount(None), true - sys.getrefcount(True)


def assert_kept(act: Callable[[], object]) -> None:
    act()
    none, true = lowered_by(act)
    assert none < DRIFT, f"{none} references to None lost in {TIMES} calls"
    assert true < DRIFT, f"{true} references to True lost in {TIMES} calls"


@pytest.mark.usefixtures("qapp")
def test_turning_the_event_loop_keeps_them() -> None:
    assert_kept(QCoreApplication.processEvents)


@pytest.mark.usefixtures("qapp")
def test_emitting_a_signal_keeps_them() -> None:
    told = Told()
    heard: list[object] = []
    told.happened.connect(heard.append)
    assert_kept(lambda: told.happened.emit(7))
    assert len(heard) == TIMES + 1


def test_repainting_keeps_them(qtbot: QtBot) -> None:
    widget = Painted()
    qtbot.addWidget(widget)
    with qtbot.waitExposed(widget):
        widget.show()
    assert_kept(widget.repaint)
    assert widget.paints > TIMES
