"""What holds for every test: no screen, nothing left running, property tests of modest size."""

import gc
import os
import sys
import threading
import time
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

# The same modest examples every time, so that a run tells about the change and not about luck.
# To search further: pytest --hypothesis-profile long
settings.register_profile("ci", deadline=None, max_examples=60, derandomize=True)
settings.register_profile("long", deadline=None, max_examples=3000)
settings.load_profile("ci")

#: A forecast that nobody waits for any more takes a second, and several on a busy machine.
PATIENCE_S = 10.0


@pytest.fixture(scope="session", autouse=True)
def one_application(qapp_args: list[str]) -> None:
    """Printing makes an application without widgets where there is none, and Qt ends the process when a
    widget comes later: whatever the order of the tests, there is one with widgets from the start."""
    from PySide6.QtWidgets import QApplication

    global _application
    _application = QApplication.instance() or QApplication(qapp_args)


_application: object = None


@pytest.fixture(autouse=True)
def dangling() -> Iterator[None]:
    """Fail a test that leaves threads, QThreads or QTimers running: they would stir in a later one.

    What qtbot.addWidget was given is deleted first, with the timers that belong to it.
    """
    before = set(threading.enumerate())
    yield
    left = [f"thread {thread.name}" for thread in _threads_left(before)] + _qt_left()
    if left:
        pytest.fail("left running: " + "; ".join(left))


def _threads_left(before: set[threading.Thread]) -> list[threading.Thread]:
    end_s = time.monotonic() + PATIENCE_S
    # A dummy stands for a thread of Qt's own pool, which is looked at further down.
    new = [
        thread
        for thread in threading.enumerate()
        if thread not in before and not isinstance(thread, threading._DummyThread)
    ]
    for thread in new:
        thread.join(max(0.0, end_s - time.monotonic()))
    return [thread for thread in new if thread.is_alive()]


# Objects already told of, by id and kept alive, so that one test's rest fails that test alone.
_told_of: dict[int, object] = {}


def _qt_left() -> list[str]:
    core = sys.modules.get("PySide6.QtCore")
    if core is None or core.QCoreApplication.instance() is None:
        return []
    import shiboken6

    core.QCoreApplication.sendPostedEvents(None, core.QEvent.Type.DeferredDelete)
    kinds = _with_subclasses(core.QTimer) | _with_subclasses(core.QThread)
    left = []
    for thing in [it for it in gc.get_objects() if type(it) in kinds]:
        if id(thing) in _told_of or not shiboken6.isValid(thing) or not _goes_on(core, thing):
            continue
        _told_of[id(thing)] = thing
        parent = thing.parent()
        owner = f" of {type(parent).__name__}" if parent is not None else ""
        left.append(f"{type(thing).__name__} {thing.objectName() or '(no name)'}{owner}")
    pool = core.QThreadPool.globalInstance()
    if not pool.waitForDone(int(PATIENCE_S * 1000)):
        left.append(f"{pool.activeThreadCount()} tasks of the global thread pool")
    return left


def _goes_on(core: Any, thing: Any) -> bool:
    if isinstance(thing, core.QTimer):
        return bool(thing.isActive())
    if thing is core.QThread.currentThread() or not thing.isRunning():
        return False
    return not thing.wait(int(PATIENCE_S * 1000))


def _with_subclasses(kind: type) -> set[type]:
    found = {kind}
    for subclass in kind.__subclasses__():
        found |= _with_subclasses(subclass)
    return found


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Tell above the closing line how the checks before pytest went (see packaging/test.py)."""
    told = os.environ.get("SMOKEJOURNAL_CHECKS")
    if told:
        terminalreporter.section("checks before pytest")
        for line in told.splitlines():
            terminalreporter.write_line(line, red="FAILED" in line)
