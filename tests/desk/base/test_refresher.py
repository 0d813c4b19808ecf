"""A widget's answer from the background: only in sight, one at a time, never an old one for good."""

from __future__ import annotations

import threading
from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt, QThreadPool, QTimer
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from smokejournal.desk.base.context import DeskContext, Notice
from smokejournal.desk.base.refresher import Refresher


class Trouble(Exception):
    """An error that says what went wrong and what to do."""

    message = "The disk is full."
    cure = "Make room."


class Desk:
    """A label that shows what it was last told, through a door that can be kept shut."""

    def __init__(self, qtbot: QtBot, context: DeskContext) -> None:
        self.label = QLabel()
        qtbot.addWidget(self.label)
        self.fact: str | None = "one"
        self.asked: list[str] = []
        self.error: Exception | None = None
        self.door = threading.Event()
        self.door.set()
        self.refresher = Refresher(self.label, context, self.ask, self.label.setText)

    def ask(self) -> Callable[[], str] | None:
        fact = self.fact
        if fact is None:
            return None
        self.asked.append(fact)

        def work() -> str:
            assert self.door.wait(10)
            if self.error is not None:
                raise self.error
            return fact

        return work


@pytest.fixture
def desk(qtbot: QtBot, context: DeskContext) -> Desk:
    return Desk(qtbot, context)


def test_out_of_sight_nothing_is_asked(desk: Desk, qtbot: QtBot) -> None:
    desk.refresher.refresh()
    desk.refresher.mark()
    assert desk.asked == []
    desk.label.show()
    qtbot.waitUntil(lambda: desk.label.text() == "one")
    assert desk.asked == ["one"]
    desk.label.hide()
    desk.label.show()
    qtbot.waitUntil(lambda: desk.refresher.settled)
    assert desk.asked == ["one"]  # Nothing changed.


def test_what_changes_meanwhile_is_asked_once_more(desk: Desk, qtbot: QtBot) -> None:
    desk.door.clear()
    desk.label.show()
    qtbot.waitUntil(lambda: desk.asked == ["one"])
    for fact in ("two", "three"):
        desk.fact = fact
        desk.refresher.refresh()
    assert desk.asked == ["one"]
    assert not desk.refresher.settled
    desk.door.set()
    qtbot.waitUntil(lambda: desk.refresher.settled)
    assert desk.asked == ["one", "three"]
    assert desk.label.text() == "three"


def test_what_changes_all_the_time_is_asked_all_the_same(
    qtbot: QtBot, context: DeskContext
) -> None:
    label, asked = QLabel(), []
    qtbot.addWidget(label)

    def ask() -> Callable[[], str]:
        asked.append(True)
        return lambda: "told"

    refresher = Refresher(label, context, ask, label.setText, soon_ms=80)
    label.show()
    qtbot.waitUntil(lambda: refresher.settled)
    before = len(asked)
    changes = QTimer(label)
    changes.timeout.connect(refresher.mark)
    changes.start(10)
    qtbot.waitUntil(lambda: len(asked) >= before + 2)
    changes.stop()
    qtbot.waitUntil(lambda: refresher.settled)


def test_with_nothing_to_ask_it_rests(desk: Desk, qtbot: QtBot) -> None:
    desk.fact = None
    desk.label.show()
    qtbot.waitUntil(lambda: desk.refresher.settled)
    assert desk.label.text() == ""


def test_trouble_is_told_and_asked_again(desk: Desk, qtbot: QtBot, context: DeskContext) -> None:
    notices: list[Notice] = []
    context.notice_given.connect(notices.append)
    desk.error = Trouble()
    desk.label.show()
    qtbot.waitUntil(
        lambda: [(n.text, n.cure) for n in notices] == [(Trouble.message, Trouble.cure)]
    )
    desk.error = None
    desk.refresher.mark()
    qtbot.waitUntil(lambda: desk.label.text() == "one")


def test_a_bug_comes_to_the_exception_hook(desk: Desk, qtbot: QtBot) -> None:
    desk.error = KeyError("lot")
    with qtbot.captureExceptions() as caught:
        desk.label.show()
        qtbot.waitUntil(lambda: len(caught) == 1)
    assert caught[0][0] is KeyError


def test_a_widget_that_is_deleted_while_it_waits_is_no_trouble(
    desk: Desk, qtbot: QtBot, context: DeskContext
) -> None:
    for _ in range(20):
        label = QLabel()
        door = threading.Event()

        def work(door: threading.Event = door) -> str:
            assert door.wait(10)
            return "told"

        Refresher(label, context, lambda work=work: work, label.setText)  # type: ignore[misc]
        label.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        label.show()
        qtbot.waitUntil(label.isVisible)
        with qtbot.waitSignal(label.destroyed):
            label.close()
        door.set()
    QThreadPool.globalInstance().waitForDone(5000)
    desk.label.show()
    qtbot.waitUntil(lambda: desk.label.text() == "one")  # Nothing was raised meanwhile.
