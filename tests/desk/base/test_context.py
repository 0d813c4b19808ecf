"""What every page shares: answers from the background, told to whoever asked, if they are still there."""

from __future__ import annotations

import gc
import weakref
from concurrent.futures import Future
from functools import partial

import pytest
import shiboken6
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from smokejournal.desk.base.context import DeskContext, Notice


class Asker(QLabel):
    """Shows what it is answered."""

    def on_done(self, answer: str) -> None:
        self.setText(answer)

    def on_kept(self, before: str, answer: str) -> None:
        self.setText(before + answer)

    def on_failed(self, error: BaseException) -> None:
        self.setText(f"failed: {error}")


@pytest.fixture
def asker(qtbot: QtBot) -> Asker:
    return Asker()  # Never shown, and deleted by some of the tests: not the bot's to close.


def test_an_answer_comes_to_whoever_asked(context: DeskContext, asker: Asker, qtbot: QtBot) -> None:
    future: Future[str] = Future()
    context.after(future, partial(asker.on_kept, "kept: "), asker.on_failed)
    assert asker.text() == ""
    future.set_result("yes")
    qtbot.waitUntil(lambda: asker.text() == "kept: yes")


def test_trouble_comes_to_whoever_asked(context: DeskContext, asker: Asker, qtbot: QtBot) -> None:
    future: Future[str] = Future()
    context.after(future, asker.on_done, asker.on_failed)
    future.set_exception(ValueError("no room"))
    qtbot.waitUntil(lambda: asker.text() == "failed: no room")


@pytest.mark.parametrize("way", ["bound", "partial", "named"])
def test_whoever_is_gone_is_not_answered(
    context: DeskContext, asker: Asker, qtbot: QtBot, way: str
) -> None:
    future: Future[str] = Future()
    if way == "bound":
        context.after(future, asker.on_done)
    elif way == "partial":
        context.after(future, partial(asker.on_kept, "kept: "))
    else:
        context.after(future, lambda answer: asker.setText(answer), asker=asker)
    shiboken6.delete(asker)
    future.set_result("yes")
    asked_later: list[str] = []
    later: Future[str] = Future()
    context.after(later, asked_later.append)
    later.set_result("on")
    # Posts run in order: once this one has, the first would have raised.
    qtbot.waitUntil(lambda: asked_later == ["on"])


def test_trouble_is_told_even_if_whoever_asked_is_gone(
    context: DeskContext, asker: Asker, qtbot: QtBot
) -> None:
    told: list[Notice] = []
    context.notice_given.connect(told.append)
    future: Future[str] = Future()
    context.after(future, asker.on_done, asker.on_failed)
    shiboken6.delete(asker)
    future.set_exception(ValueError("no room"))
    qtbot.waitUntil(lambda: [notice.text for notice in told] == ["no room"])


class Answer:
    """Stands for a large one: a score with all its traces."""


@pytest.mark.parametrize("fails", [False, True])
def test_an_answer_is_let_go_without_the_garbage_collector(
    context: DeskContext, asker: Asker, qtbot: QtBot, fails: bool
) -> None:
    gc.disable()
    try:
        answered: list[bool] = []
        future: Future[Answer] = Future()
        asked = weakref.ref(future)
        context.after(future, lambda _: answered.append(True), lambda _: answered.append(False))
        if fails:
            future.set_exception(ValueError("no room"))
        else:
            future.set_result(Answer())
        del future
        qtbot.waitUntil(lambda: answered == [not fails])
        qtbot.waitUntil(lambda: asked() is None)
    finally:
        gc.enable()
