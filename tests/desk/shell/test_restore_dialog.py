from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import ScheduleStarted
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.desk.shell.restore_dialog import RestoreDialog
from smokejournal.desk.shell.settings_dialog import SettingsDialog
from smokejournal.journal import Journal, JournalCopy


def rows(dialog: RestoreDialog) -> list[list[str]]:
    model = dialog.table.model()
    return [
        [model.index(row, column).data() for column in range(model.columnCount())]
        for row in range(model.rowCount())
    ]


def press(qtbot: QtBot, within: Any, name: str) -> None:
    button = within.findChild(QPushButton, name)
    assert button is not None
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def opened(qtbot: QtBot, context: DeskContext) -> tuple[SettingsDialog, RestoreDialog]:
    """As a person gets there: from the settings."""
    settings = SettingsDialog(context)
    qtbot.addWidget(settings)
    settings.show()
    press(qtbot, settings, "settingsCopies")
    dialog = settings.findChild(RestoreDialog)
    assert dialog is not None
    return settings, dialog


def two_copies(context: DeskContext) -> list[JournalCopy]:
    """The older holds ribs, the newer trout too; one from the day before that can't be read."""
    journal, now_s = context.program.journal, context.now_s()
    context.program.new_cook("Ribs", "UTC")
    journal.back_up(now_s)
    context.program.new_cook("Trout", "UTC")
    journal.back_up(now_s + 60)
    (journal.folder / "backups" / "journal-2020-01-01-120000.sqlite").write_bytes(b"Dear diary")
    return Journal.copies(journal.folder)


def test_each_copy_is_listed_with_what_is_in_it(qtbot: QtBot, context: DeskContext) -> None:
    two_copies(context)
    _, dialog = opened(qtbot, context)
    qtbot.waitUntil(lambda: len(rows(dialog)) == 3 and rows(dialog)[2][2] == "–")
    newer, older, damaged = rows(dialog)
    assert newer[2] == "2"
    assert newer[3].startswith("Trout, ")
    assert older[2] == "1"
    assert older[3].startswith("Ribs, ")
    assert newer[1].endswith(" kB")
    assert "1 Jan 2020" in damaged[0]
    assert damaged[3] == "can't be used"
    assert not dialog.restore.isEnabled()
    dialog.table.selectRow(2)
    assert not dialog.restore.isEnabled()
    assert "not a journal" in dialog.text.text()
    dialog.table.selectRow(1)
    assert dialog.restore.isEnabled()


@pytest.mark.parametrize("under_way", [False, True])
def test_a_copy_is_asked_for_only_after_a_yes(
    qtbot: QtBot, context: DeskContext, under_way: bool
) -> None:
    copies = two_copies(context)
    if under_way:
        context.live(1).record(ScheduleStarted()).result(10)
    settings, dialog = opened(qtbot, context)
    asked: list[object] = []
    settings.restore_asked.connect(asked.append)
    qtbot.waitUntil(lambda: len(rows(dialog)) == 3 and rows(dialog)[1][2] == "1")
    dialog.table.selectRow(1)
    answers: list[Callable[[AskDialog], QPushButton]] = [lambda one: one.no, lambda one: one.yes]
    for answer in answers:
        assert asked == []
        press(qtbot, dialog, "restorePut")
        asking = dialog.findChild(AskDialog)
        assert asking is not None
        assert "isn't deleted" in asking.text.text()
        assert "Start it again" in asking.text.text()
        assert ("A cook is under way" in asking.text.text()) == under_way
        qtbot.mouseClick(answer(asking), Qt.MouseButton.LeftButton)
        QApplication.sendPostedEvents(None, 52)  # DeferredDelete
    assert asked == [copies[1]]
    assert not settings.isVisible()


def test_that_there_is_none_is_said(qtbot: QtBot, context: DeskContext) -> None:
    _, dialog = opened(qtbot, context)
    qtbot.waitUntil(lambda: "no copy yet" in dialog.text.text())
    assert not dialog.restore.isEnabled()


def test_closing_while_it_looks_inside_does_no_harm(qtbot: QtBot, context: DeskContext) -> None:
    two_copies(context)
    settings, dialog = opened(qtbot, context)
    press(qtbot, dialog, "restoreClose")
    press(qtbot, settings, "settingsCancel")
    assert not settings.isVisible()
