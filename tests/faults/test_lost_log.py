"""The program was cut off, and the write-ahead log was taken away before the next start: it is said."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from smokejournal.cook.log.entries import CookOpened, Note
from smokejournal.journal import Journal

WRITE = """
import sys, time
from pathlib import Path
from smokejournal.cook.log.entries import CookOpened, Note
from smokejournal.journal import Journal
journal = Journal.open(Path(sys.argv[1]))
cook = journal.new_cook(CookOpened("Ribs", "UTC"), 1e9, 1e9).result(10)
journal.append(cook, Note("bark set"), 1e9, 1e9).result(10)
print("written", flush=True)
time.sleep(60)
"""

SHOW = """
import sys
import smokejournal.app as app
from smokejournal.cli.commands import parse

app.SETTLE_MS = 0
def told(context, text, cure="", kind="trouble"):
    print("NOTICE", text, cure)
app.DeskContext.tell = told
sys.exit(app.run_window(parse(["--journal", sys.argv[1]])))
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "journal"


def cut_off(folder: Path) -> None:
    """Written and killed, as by a power cut."""
    ran = subprocess.Popen([sys.executable, "-c", WRITE, str(folder)], stdout=subprocess.PIPE)
    assert ran.stdout is not None
    assert ran.stdout.readline() == b"written\n"
    ran.send_signal(signal.SIGKILL)
    ran.wait(20)
    ran.stdout.close()


def test_a_log_that_was_taken_away_is_told_once(folder: Path, tmp_path: Path) -> None:
    Journal.open(folder).close()
    cut_off(folder)
    os.remove(folder / "journal.sqlite-wal")
    shown = [
        subprocess.run(
            [sys.executable, "-c", SHOW, str(folder)],
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
            check=True,
        ).stdout
        for _ in range(2)
    ]
    assert "Up to a minute of readings and entries may be missing. Look at the end" in shown[0]
    assert "cut off" not in shown[1]


def test_a_program_that_was_cut_off_and_kept_its_log_lost_nothing(folder: Path) -> None:
    cut_off(folder)
    with Journal.open(folder) as journal:
        assert not journal.lost_log
        (line,) = journal.cooks()
        assert [e.what for e in journal.entries(line.id)][1:] == [Note("bark set")]


def test_ending_in_order_leaves_nothing_to_say(folder: Path) -> None:
    for _ in range(3):
        with Journal.open(folder) as journal:
            assert not journal.lost_log
            journal.new_cook(CookOpened("Ribs", "UTC"), 1e9, 1e9).result(10)
        assert not (folder / "journal.sqlite-wal").exists()


def test_a_copy_that_was_put_in_place_writes_ahead_again(folder: Path) -> None:
    Journal.open(folder).close()
    with closing(sqlite3.connect(folder / "journal.sqlite")) as connection:
        assert connection.execute("PRAGMA journal_mode=DELETE").fetchone() == ("delete",)
    with Journal.open(folder) as journal:
        assert not journal.lost_log
    with closing(sqlite3.connect(folder / "journal.sqlite")) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_a_journal_that_an_earlier_version_closed_is_not_suspected(folder: Path) -> None:
    Journal.open(folder).close()
    (folder / "journal.lock").write_text("4711\n")
    with Journal.open(folder) as journal:
        assert not journal.lost_log
