from __future__ import annotations

import sys
import threading

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QLabel, QPlainTextEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.desk.shell.bug_dialog import MOST_KEPT, BugReporter


def first_fault(reporter: BugReporter, what: str = "first") -> None:
    try:
        raise ValueError(what)
    except ValueError:
        reporter.report(*sys.exc_info())  # type: ignore[arg-type]


def second_fault(reporter: BugReporter) -> None:
    try:
        raise KeyError("second")
    except KeyError:
        reporter.report(*sys.exc_info())  # type: ignore[arg-type]


def reporter_of(qtbot: QtBot) -> BugReporter:
    window = QWidget()
    qtbot.addWidget(window)
    reporter = BugReporter(window)
    reporter.window = window  # type: ignore[attr-defined]
    return reporter


def details(reporter: BugReporter) -> str:
    assert reporter.dialog is not None
    box = reporter.dialog.findChild(QPlainTextEdit, "bugDetails")
    assert box is not None
    return box.toPlainText()


def test_it_says_that_the_cook_is_safe_and_that_recording_goes_on(qtbot: QtBot) -> None:
    reporter = reporter_of(qtbot)
    first_fault(reporter)
    assert reporter.dialog is not None
    assert reporter.dialog.isVisible()
    assert not reporter.dialog.isModal()
    label = reporter.dialog.findChild(QLabel, "bugSafe")
    assert label is not None
    assert "The cook is safe" in label.text()
    assert "recording goes on" in label.text()
    assert "ValueError: first" in details(reporter)


def test_the_same_error_is_not_shown_twice(qtbot: QtBot) -> None:
    reporter = reporter_of(qtbot)
    first_fault(reporter)
    assert reporter.dialog is not None
    reporter.dialog.close()
    for n in range(50):
        first_fault(reporter, f"again {n}")
    assert not reporter.dialog.isVisible()
    assert reporter.count() == 51


def test_another_error_is_added_to_the_same_dialog(qtbot: QtBot) -> None:
    reporter = reporter_of(qtbot)
    first_fault(reporter)
    dialog = reporter.dialog
    second_fault(reporter)
    assert reporter.dialog is dialog
    assert "ValueError: first" in details(reporter)
    assert "KeyError: 'second'" in details(reporter)
    assert dialog is not None
    count = dialog.findChild(QLabel, "bugCount")
    assert count is not None
    assert count.text() == "2 errors so far"


def test_an_error_on_another_thread_is_shown_on_this_one(qtbot: QtBot) -> None:
    reporter = reporter_of(qtbot)
    with qtbot.waitSignal(reporter.reported):
        worker = threading.Thread(target=first_fault, args=(reporter,))
        worker.start()
        worker.join()
    assert reporter.dialog is not None
    assert reporter.dialog.isVisible()


def test_details_can_be_copied(qtbot: QtBot) -> None:
    reporter = reporter_of(qtbot)
    first_fault(reporter)
    assert reporter.dialog is not None
    button = reporter.dialog.findChild(QPushButton, "bugCopy")
    assert button is not None
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert "ValueError: first" in QGuiApplication.clipboard().text()


def test_a_fault_that_is_always_new_does_not_fill_memory(qtbot: QtBot) -> None:
    reporter = reporter_of(qtbot)
    for n in range(MOST_KEPT * 3):
        reporter.report(ValueError, ValueError(str(n)), None)
    assert reporter.count() == MOST_KEPT * 3
    assert details(reporter).count("ValueError") == MOST_KEPT


def test_stopping_the_program_is_no_fault(qtbot: QtBot) -> None:
    reporter = reporter_of(qtbot)
    reporter.report(KeyboardInterrupt, KeyboardInterrupt(), None)
    assert reporter.dialog is None
    assert reporter.count() == 0
