"""One program at a time writes a journal."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from smokejournal.cook.log.entries import CookOpened
from smokejournal.journal import Journal, JournalProblem
from smokejournal.journal.lock import LOCK_NAME, JournalLock

ROOT = Path(__file__).parents[2]
HOLDER = """
import sys, time
from pathlib import Path
from smokejournal.journal.lock import JournalLock
lock = JournalLock(Path(sys.argv[1]))
print("held", flush=True)
time.sleep(60)
"""


def holder_of(folder: Path) -> "subprocess.Popen[str]":
    process = subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(folder)], stdout=subprocess.PIPE, text=True, cwd=ROOT
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "held\n"
    return process


def test_a_second_program_is_told_who_holds_the_journal(folder: Path) -> None:
    folder.mkdir()
    with holder_of(folder) as process:
        with pytest.raises(JournalProblem) as told:
            Journal.open(folder)
        assert str(process.pid) in told.value.message
        assert "close it and start again" in told.value.cure
        process.kill()
    # The one who held it is gone without a word: nothing is in the way.
    Journal.open(folder).close()


def test_a_second_opening_in_the_same_program_is_told(journal: Journal, folder: Path) -> None:
    with pytest.raises(JournalProblem, match=str(os.getpid())):
        Journal.open(folder)
    assert journal.new_cook(CookOpened("Ribs", "UTC"), 5.0, 5.0).result(10) == 1


def test_what_is_left_in_the_lock_file_does_not_matter(tmp_path: Path) -> None:
    (tmp_path / LOCK_NAME).write_text("99999999\nand more")
    lock = JournalLock(tmp_path)
    assert (tmp_path / LOCK_NAME).read_text() == f"{os.getpid()}\n"
    lock.release()
    lock.release()
    JournalLock(tmp_path).release()


def test_the_lock_is_let_go_when_opening_fails(folder: Path) -> None:
    folder.mkdir()
    (folder / "journal.sqlite").write_text("no journal")
    with pytest.raises(JournalProblem):
        Journal.open(folder)
    (folder / "journal.sqlite").unlink()
    Journal.open(folder).close()
