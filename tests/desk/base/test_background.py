"""Work in the background: its answer, its trouble, and nothing left of either."""

from __future__ import annotations

import sys
import threading
import weakref
from collections.abc import Iterator
from typing import ClassVar

import pytest
from pytestqt.qtbot import QtBot

from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext


class Answer:
    """Stands for a large one: a score with all its traces."""


@pytest.fixture
def busy() -> Iterator[None]:
    """Other threads that want the interpreter all the time."""
    done = threading.Event()

    def spin() -> None:
        while not done.is_set():
            sum(range(100))

    usual_s = sys.getswitchinterval()
    sys.setswitchinterval(1e-5)
    threads = [threading.Thread(target=spin) for _ in range(2)]
    for thread in threads:
        thread.start()
    yield
    done.set()
    for thread in threads:
        thread.join()
    sys.setswitchinterval(usual_s)


def test_trouble_is_handed_to_whoever_asked() -> None:
    def fail() -> None:
        raise ValueError("no room")

    assert isinstance(in_background(fail).exception(5), ValueError)


class Owned:
    """Stands for a widget: whoever lets go of it last takes it apart."""

    ended_on: ClassVar[list[int]] = []

    def __del__(self) -> None:
        Owned.ended_on.append(threading.get_ident())

    def work(self) -> None:
        """Whatever takes a while."""

    def hear(self, _: object) -> None:
        """The answer."""


def test_what_work_holds_ends_on_the_painting_thread(
    busy: None, context: DeskContext, qtbot: QtBot
) -> None:
    Owned.ended_on.clear()
    for _ in range(100):
        context.after(in_background(Owned().work), Owned().hear)
    qtbot.waitUntil(lambda: len(Owned.ended_on) == 200)
    assert set(Owned.ended_on) == {threading.get_ident()}


def test_nothing_is_kept_of_an_answer_that_was_given(busy: None, qtbot: QtBot) -> None:
    answers: weakref.WeakSet[Answer] = weakref.WeakSet()

    def work() -> Answer:
        answer = Answer()
        answers.add(answer)
        return answer

    for _ in range(500):
        assert isinstance(in_background(work).result(5), Answer)
    qtbot.waitUntil(lambda: not answers)
