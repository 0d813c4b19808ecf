"""The program starts with its window, or says why it can't: in a dialog and on the error output."""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

from smokejournal.cook.log.entries import CookOpened, ScheduleStarted
from smokejournal.cook.log.readings import Reading
from smokejournal.journal import Journal
from smokejournal.journal.opening import FILE_NAME

AT_S = 1_780_000_000.0

#: Runs the window in a process of its own. Dialogs are printed, as nobody is there to press OK.
RUN = """
import sys
import smokejournal.app as app
from PySide6.QtWidgets import QApplication, QMessageBox
from smokejournal.cli.commands import parse

QApplication.platformName = staticmethod(lambda: "a screen")
def answered(box):
    print("DIALOG", box.text(), "|", box.informativeText(), "|", box.detailedText()[-200:])
QMessageBox.exec = answered
def fail(*_, **__):
    raise ZeroDivisionError("the <b>moon</b> is full")
{patch}
code = app.run_window(parse(["--journal", sys.argv[1]]))
import threading
print("LEFT", [thread.name for thread in threading.enumerate() if not thread.daemon])
sys.exit(code)
"""


def start(folder: Path, tmp_path: Path, patch: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", RUN.format(patch=patch), str(folder)],
        env=os.environ
        | {
            "QT_QPA_PLATFORM": "offscreen",
            "SMOKEJOURNAL_STARTUP_PROBE": "1",
            "HOME": str(tmp_path / "home"),
            "XDG_STATE_HOME": str(tmp_path / "home"),
        },
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def fill(folder: Path) -> None:
    with Journal.open(folder) as journal:
        cook = journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
        journal.append(cook, ScheduleStarted(), AT_S, AT_S).result(10)
        journal.set_setting("currency", "USD").result(10)


def spoil(folder: Path, *statements: str) -> None:
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        for statement in statements:
            connection.execute(statement)
        connection.commit()


def test_spoilt_lines_and_settings_do_not_keep_the_window_away(
    folder: Path, tmp_path: Path
) -> None:
    fill(folder)
    spoil(
        folder,
        "UPDATE cook_line SET pieces = '[', title = CAST(x'ff' AS TEXT)",
        "UPDATE setting SET value = 'no JSON'",
    )
    ran = start(folder, tmp_path)
    assert "first paint" in ran.stdout, ran.stderr
    assert "DIALOG" not in ran.stdout
    assert ran.returncode == 0
    with Journal.open(folder, read_only=True) as journal:
        assert [line.title for line in journal.cooks()] == ["Ribs"]


def test_a_mistake_of_ours_before_the_window_is_told_with_what_is_safe(
    folder: Path, tmp_path: Path
) -> None:
    fill(folder)
    for patch in (
        "app.Window = fail",
        "app.Window.show_page = fail",
        "app.apply_ground = fail",
        "app.Journal.open = fail",
        "app.log_folder = fail",
    ):
        ran = start(folder, tmp_path, patch)
        assert "first paint" not in ran.stdout
        dialog = next(line for line in ran.stdout.splitlines() if line.startswith("DIALOG"))
        assert "had to stop (ZeroDivisionError: the <b>moon</b> is full)" in dialog, patch
        assert "What is in the journal is safe" in dialog
        assert "Start the program again" in dialog
        assert "had to stop" in ran.stderr
        assert "Traceback" in ran.stderr
        assert "LEFT ['MainThread']" in ran.stdout
        assert ran.returncode == 1
    Journal.open(folder).close()


def test_a_journal_that_can_not_be_used_is_told_in_the_same_dialog(
    folder: Path, tmp_path: Path
) -> None:
    folder.mkdir()
    (folder / FILE_NAME).symlink_to(tmp_path / "unplugged")
    ran = start(folder, tmp_path)
    assert "and nothing is there. | Connect the disk" in ran.stdout
    assert "and nothing is there." in ran.stderr
    assert "Traceback" not in ran.stderr
    assert ran.returncode == 2


def test_what_is_found_out_about_a_cook_only_when_it_is_shown_is_told_too(
    folder: Path, tmp_path: Path
) -> None:
    fill(folder)
    spoil(folder, "ALTER TABLE entry RENAME COLUMN payload TO other")
    ran = start(folder, tmp_path)
    assert "DIALOG The program had to stop" in ran.stdout
    assert ran.returncode == 1


def test_a_journal_without_a_copy_gets_one_at_the_start(folder: Path, tmp_path: Path) -> None:
    fill(folder)
    ran = start(folder, tmp_path, "app.SETTLE_MS = 0")
    assert ran.returncode == 0, ran.stderr
    (copy,) = (folder / "backups").iterdir()
    with closing(sqlite3.connect(copy)) as connection:
        assert connection.execute("SELECT title FROM cook_line").fetchall() == [("Ribs",)]
    again = start(folder, tmp_path, "app.SETTLE_MS = 0")
    assert again.returncode == 0, again.stderr
    assert list((folder / "backups").iterdir()) == [copy]


#: Presses the button of the first dialog that offers one, and puts the newest copy in place.
PUT_COPY = """
from smokejournal.desk.shell.restore_dialog import RestoreDialog
def pressed(box):
    answered(box)
    for button in box.buttons():
        if "copy" in button.text():
            button.click()
QMessageBox.exec = pressed
def chosen(dialog):
    dialog.table.selectRow(0)
    dialog.restore.click()
    dialog.findChild(app.QObject, "askDialog").accept()
RestoreDialog.exec = chosen
"""


def test_a_damaged_journal_offers_its_copies_at_once(folder: Path, tmp_path: Path) -> None:
    fill(folder)
    with Journal.open(folder) as journal:
        journal.back_up(AT_S)
    damaged = b"\xff" * 8192
    (folder / FILE_NAME).write_bytes(damaged)
    ran = start(folder, tmp_path, PUT_COPY)
    assert "is damaged" in ran.stdout
    assert "The copy is in place. Start the program again" in ran.stdout, ran.stderr
    (aside,) = folder.glob("journal-set-aside-*.sqlite")
    assert aside.read_bytes() == damaged
    assert str(aside) in ran.stdout
    with Journal.open(folder) as journal:
        assert [line.title for line in journal.cooks()] == ["Ribs"]


def test_a_copy_chosen_in_the_window_is_in_place_once_it_is_closed(
    folder: Path, tmp_path: Path
) -> None:
    fill(folder)
    with Journal.open(folder) as journal:
        journal.back_up(AT_S)
        journal.new_cook(CookOpened("Trout", "UTC"), AT_S, AT_S).result(10)
    patch = """
import os
del os.environ["SMOKEJOURNAL_STARTUP_PROBE"]
settled = app.Desk._settle_in
def ask(desk):
    settled(desk)
    # The oldest: the program may have made one of its own meanwhile.
    copy = app.Journal.copies(desk._journal.folder)[-1]
    desk.window.restore_asked.emit(copy)
app.Desk._settle_in = ask
"""
    ran = start(folder, tmp_path, patch)
    assert "The copy is in place" in ran.stdout, ran.stderr
    assert ran.returncode == 0
    with Journal.open(folder) as journal:
        assert [line.title for line in journal.cooks()] == ["Ribs"]
    assert len(list(folder.glob("journal-set-aside-*.sqlite"))) == 1


def test_a_start_that_can_not_copy_says_how_old_the_newest_copy_is(
    folder: Path, tmp_path: Path
) -> None:
    fill(folder)
    with Journal.open(folder) as journal:
        journal.back_up(AT_S)
        journal.set_setting("place", "Back yard").result(10)
    patch = """
import os
del os.environ["SMOKEJOURNAL_STARTUP_PROBE"]
import smokejournal.journal.backups as backups
backups.put_in_place = lambda *_: os.stat("/nothing/is/here")
def told(context, text, cure="", kind="trouble"):
    print("NOTICE", text, "|", cure)
    if "copied" in text:
        app.QCoreApplication.exit(0)
app.DeskContext.tell = told
"""
    ran = start(folder, tmp_path, patch)
    assert ran.returncode == 0, ran.stderr
    (notice,) = [line for line in ran.stdout.splitlines() if "NOTICE" in line]
    assert "could not be copied to" in notice
    assert "The newest copy of the journal is from 28 May 2026" in notice
    assert "Recording goes on" in notice


def test_damaged_readings_of_the_cook_under_way_are_told_in_the_window(
    folder: Path, tmp_path: Path
) -> None:
    fill(folder)
    with Journal.open(folder) as journal:
        journal.append_readings(1, [Reading(AT_S + n, "pit", 100.0) for n in range(300)])
    spoil(
        folder,
        "DROP TRIGGER reading_no_update",
        f"UPDATE reading SET value = 101 WHERE t_ms = {round(AT_S * 1000) + 150_000}",
    )
    patch = """
import os
del os.environ["SMOKEJOURNAL_STARTUP_PROBE"]
def told(context, text, cure="", kind="trouble"):
    print("NOTICE", text, "|", cure)
    if "readings" in text:
        app.QCoreApplication.exit(0)
app.DeskContext.tell = told
"""
    ran = start(folder, tmp_path, patch)
    assert ran.returncode == 0, ran.stderr
    (notice,) = [line for line in ran.stdout.splitlines() if "readings" in line]
    assert "NOTICE About 60 readings of pit between 28 May 2026, " in notice
    assert "Settings, Copies of the journal" in notice
