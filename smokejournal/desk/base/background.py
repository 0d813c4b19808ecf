"""Slow work away from the painting thread: `context.after(in_background(work), done, failed)`."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from concurrent.futures import Future
from functools import cache
from typing import Any, TypeVar

from PySide6.QtCore import QObject, QThreadPool, Signal, Slot

T = TypeVar("T")


class _Jobs(QObject):
    """What is under way. Work holds widgets, and whoever lets go of a widget last takes it apart: that
    must be the painting thread, so a job is kept here until that thread has heard that it is done."""

    done = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self._numbers = itertools.count()
        self._held: dict[int, tuple[Callable[[], Any], Future[Any]]] = {}
        self.done.connect(self._let_go)

    def add(self, work: Callable[[], Any], future: Future[Any]) -> int:
        number = next(self._numbers)
        self._held[number] = work, future
        return number

    def do(self, number: int) -> None:
        """On a thread of the pool."""
        work, future = self._held[number]
        try:
            result = work()
        except BaseException as error:  # noqa: BLE001 - handed to whoever asked, never swallowed
            future.set_exception(error)
        else:
            future.set_result(result)

    @Slot(object)
    def _let_go(self, number: int) -> None:
        del self._held[number]


@cache
def _jobs() -> _Jobs:
    return _Jobs()


def in_background(work: Callable[[], T]) -> Future[T]:
    """Do `work` on Qt's thread pool. Called on the painting thread; `work` must touch no widget."""
    future: Future[T] = Future()
    jobs = _jobs()
    number = jobs.add(work, future)

    def run() -> None:
        jobs.do(number)
        jobs.done.emit(number)

    # A bare callable: PySide loses a QRunnable of Python's when its thread ends before `start` does,
    # and with it all that it holds (one in fourteen, on a busy machine).
    QThreadPool.globalInstance().start(run)
    return future
