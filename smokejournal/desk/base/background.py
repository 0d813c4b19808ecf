"""Slow work away from the painting thread: `context.after(in_background(work), done, failed)`."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from typing import TypeVar

from PySide6.QtCore import QRunnable, QThreadPool

T = TypeVar("T")


class _Work(QRunnable):
    def __init__(self, work: Callable[[], object], future: Future[object]) -> None:
        super().__init__()
        self._work = work
        self._future = future

    def run(self) -> None:
        try:
            result = self._work()
        except BaseException as error:  # noqa: BLE001 - handed to whoever asked, never swallowed
            self._future.set_exception(error)
        else:
            self._future.set_result(result)


def in_background(work: Callable[[], T]) -> Future[T]:
    """Do `work` on Qt's thread pool. It must touch no widget."""
    future: Future[T] = Future()
    QThreadPool.globalInstance().start(_Work(work, future))  # type: ignore[arg-type]
    return future
