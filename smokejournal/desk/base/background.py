"""Slow work away from the painting thread: `context.after(in_background(work), done, failed)`."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from typing import TypeVar

from PySide6.QtCore import QThreadPool

T = TypeVar("T")


def in_background(work: Callable[[], T]) -> Future[T]:
    """Do `work` on Qt's thread pool. It must touch no widget."""
    future: Future[T] = Future()

    def run() -> None:
        try:
            result = work()
        except BaseException as error:  # noqa: BLE001 - handed to whoever asked, never swallowed
            future.set_exception(error)
        else:
            future.set_result(result)

    # A bare callable: PySide loses a QRunnable of Python's when its thread ends before `start` does,
    # and with it all that it holds (one in fourteen, on a busy machine).
    QThreadPool.globalInstance().start(run)
    return future
