"""Copies of the journal are there when they are needed, and making them disturbs nothing."""

import errno
import os
import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from smokejournal.cook.log.entries import CookClosed, CookOpened, Note, ScheduleStarted
from smokejournal.cook.log.readings import Reading
from smokejournal.journal import CopyStopped, Journal, JournalProblem, backups
from smokejournal.journal.copies import BACKUPS
from smokejournal.journal.opening import FILE_NAME
from smokejournal.services.program.backup_keeper import EVERY_S, BackupKeeper
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock

AT_S = 1_780_000_000.0


@pytest.fixture
def clock() -> FixedClock:
    return FixedClock(AT_S)


@pytest.fixture
def journal(folder: Path) -> Iterator[Journal]:
    with Journal.open(folder) as opened:
        yield opened


class Keeping:
    """A keeper and what it told."""

    def __init__(self, journal: Journal, clock: FixedClock) -> None:
        self.told: list[tuple[JournalProblem, float | None]] = []
        self.program = Program(journal, clock)
        self.keeper = BackupKeeper(
            self.program, lambda problem, newest_s: self.told.append((problem, newest_s))
        )

    def cook(self) -> int:
        cook = self.program.new_cook("Ribs", "UTC")
        self.program.live(cook).record(ScheduleStarted()).result(10)
        return cook

    def note(self, cook: int) -> None:
        self.program.live(cook).record(Note("more")).result(10)

    def close_cook(self, cook: int) -> None:
        self.program.live(cook).record(CookClosed()).result(10)
        self.keeper.settle()

    def start(self) -> None:
        self.keeper.start()
        self.keeper.settle()

    def look(self) -> None:
        self.keeper.look(self.program.clock.now_s())
        self.keeper.settle()


@pytest.fixture
def keeping(journal: Journal, clock: FixedClock) -> Iterator[Keeping]:
    keeping = Keeping(journal, clock)
    yield keeping
    keeping.keeper.close()
    keeping.program.close()


def copies(journal: Journal) -> list[Path]:
    folder = journal.folder / BACKUPS
    return sorted(folder.glob("*.sqlite")) if folder.exists() else []


def titles_in(copy: Path) -> list[str]:
    with closing(sqlite3.connect(copy)) as connection:
        return [title for (title,) in connection.execute("SELECT title FROM cook_line")]


def test_a_closed_cook_is_copied(journal: Journal, keeping: Keeping) -> None:
    cook = keeping.cook()
    keeping.keeper.settle()
    assert copies(journal) == []
    keeping.close_cook(cook)
    (copy,) = copies(journal)
    assert titles_in(copy) == ["Ribs"]
    assert sorted(path.name for path in copy.parent.iterdir()) == [copy.name]


def test_a_cook_under_way_is_copied_every_few_hours(
    journal: Journal, keeping: Keeping, clock: FixedClock
) -> None:
    cook = keeping.cook()
    clock.forward(EVERY_S - 1)
    keeping.look()
    assert copies(journal) == []
    clock.forward(1)
    keeping.look()
    assert len(copies(journal)) == 1
    # Nothing new, nothing to copy.
    clock.forward(EVERY_S)
    keeping.look()
    assert len(copies(journal)) == 1
    keeping.note(cook)
    keeping.look()
    keeping.look()
    assert len(copies(journal)) == 2


def test_the_start_copies_what_was_not_copied_for_a_day(
    journal: Journal, keeping: Keeping, clock: FixedClock
) -> None:
    keeping.start()
    assert copies(journal) == []  # nothing to lose yet
    cook = keeping.cook()
    keeping.start()
    assert len(copies(journal)) == 1
    clock.forward(86_000)
    keeping.note(cook)
    keeping.start()
    assert len(copies(journal)) == 1
    clock.forward(500)
    keeping.start()
    assert len(copies(journal)) == 2
    clock.forward(10 * 86_400)
    keeping.start()
    assert len(copies(journal)) == 2
    assert keeping.told == []


def full(*_: Any, **__: Any) -> Any:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def read_only(*_: Any, **__: Any) -> Any:
    raise OSError(errno.EROFS, os.strerror(errno.EROFS))


def no_room_left(_: Path) -> Any:
    return type("Usage", (), {"free": backups.ROOM_LEFT_BYTES})


def broken(*_: Any, **__: Any) -> Any:
    raise sqlite3.OperationalError("disk I/O error")


@pytest.mark.parametrize(
    ("where", "fail", "words", "cure"),
    [
        ("make_folder", read_only, "can't be written to", "permission"),
        ("put_in_place", full, "too little room", "Make room"),
        ("os.fsync", full, "too little room", "Make room"),
        ("shutil.disk_usage", no_room_left, "too little room", "Make room"),
        ("_copy", broken, "disk I/O error", "can be used"),
    ],
)
def test_a_copy_that_fails_is_told_once_and_the_cook_goes_on(
    journal: Journal,
    keeping: Keeping,
    clock: FixedClock,
    monkeypatch: pytest.MonkeyPatch,
    where: str,
    fail: Callable[..., Any],
    words: str,
    cure: str,
) -> None:
    cook = keeping.cook()
    keeping.start()
    earlier = copies(journal)
    assert len(earlier) == 1
    with monkeypatch.context() as patch:
        patch.setattr(f"smokejournal.journal.backups.{where}", fail)
        for _ in range(3):
            clock.forward(EVERY_S)
            keeping.note(cook)
            keeping.look()
        keeping.close_cook(cook)
        ((problem, newest_s),) = keeping.told
        assert words in problem.message
        assert cure in problem.cure
        assert "Recording goes on" in problem.cure
        assert newest_s == pytest.approx(AT_S, abs=1)
        # What was there stays, and nothing half made is left.
        assert copies(journal) == earlier
        assert len(list((journal.folder / BACKUPS).iterdir())) == 1
        assert len(journal.entries(cook)) == 6
    # Once it works again that is all; the next trouble is told anew.
    clock.forward(EVERY_S)
    keeping.look()
    assert len(copies(journal)) == 2
    with monkeypatch.context() as patch:
        patch.setattr(f"smokejournal.journal.backups.{where}", fail)
        keeping.note(cook)
        clock.forward(EVERY_S)
        keeping.look()
    assert len(keeping.told) == 2


def test_a_copy_that_fails_at_the_start_says_that_there_is_none(
    journal: Journal, keeping: Keeping
) -> None:
    keeping.cook()
    (journal.folder / BACKUPS).write_text("in the way")
    keeping.start()
    ((problem, newest_s),) = keeping.told
    assert BACKUPS in problem.message
    assert newest_s is None


def test_a_damaged_journal_is_not_copied_over_the_sound_ones(
    folder: Path, clock: FixedClock
) -> None:
    with Journal.open(folder) as journal:
        cook = journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
        journal.append_many(cook, [(AT_S, Note("n" * 500))] * 3000, AT_S).result(10)
        journal.back_up(AT_S - 40 * 86_400)
        journal.back_up(AT_S - 39 * 86_400 + 1)
        before = copies(journal)
    path = folder / FILE_NAME
    with path.open("r+b") as file:
        file.seek(path.stat().st_size - 80 * 4096)
        file.write(b"\xff" * 4096 * 8)
    with Journal.open(folder) as journal:
        with pytest.raises(JournalProblem, match="because it is damaged"):
            journal.back_up(AT_S)
        assert copies(journal) == before


def test_what_is_written_while_it_is_copied_neither_waits_nor_spoils_the_copy(
    journal: Journal, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Readings are committed between the steps of the copy, by the journal's own writer."""
    cook = journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
    journal.append_readings(
        cook, [Reading(AT_S + n, "p1", 20.0 + n / 1e4) for n in range(60_000)]
    ).result(30)
    steps = 0
    monkeypatch.setattr(backups, "STEP_PAGES", 16)

    class Written(threading.Event):
        def wait(self, timeout: float | None = None) -> bool:
            nonlocal steps
            steps += 1
            at_s = AT_S + 100_000 + steps
            journal.append_readings(cook, [Reading(at_s, "p1", 99.0)]).result(5)
            return False

    copy = journal.back_up(AT_S, Written())
    assert steps > 10
    with closing(sqlite3.connect(copy)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        # As it was when the copy began.
        assert connection.execute("SELECT count(*), max(value) < 99 FROM reading").fetchone() == (
            60_000,
            1,
        )
    assert len(journal.trace(cook, "p1")) == 60_000 + steps


def test_a_copy_can_be_given_up_at_once(journal: Journal) -> None:
    cook = journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
    journal.append_many(cook, [(AT_S, Note("n" * 500))] * 4000, AT_S).result(10)

    class Stopped(threading.Event):
        def wait(self, timeout: float | None = None) -> bool:
            self.set()
            return True

    with pytest.raises(CopyStopped):
        journal.back_up(AT_S, Stopped())
    assert list((journal.folder / BACKUPS).iterdir()) == []
