"""Writing readings against the bare database, and opening a full journal against a small one."""

from __future__ import annotations

import sqlite3
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from smokejournal.cook.log.entries import CookOpened
from smokejournal.cook.log.readings import Reading
from smokejournal.journal import Journal
from tests.bench.cooks import CHANNELS, FROM_S, small_cook
from tests.bench.measure import Result, in_turn, milliseconds


def measure(quick: bool) -> list[Result]:
    with tempfile.TemporaryDirectory() as folder:
        return [
            commits(Path(folder), 200 if quick else 1000),
            opening(Path(folder), 200 if quick else 2000),
        ]


def commits(folder: Path, rounds: int) -> Result:
    """Eight readings a commit, each waited for, as a cook's second goes by."""
    keys = [f"channel{n}" for n in range(CHANNELS)]
    with (
        closing(Journal.open(folder / "readings")) as journal,
        closing(bare_database(folder / "bare.sqlite")) as bare,
    ):
        cook_id = journal.new_cook(CookOpened("Bench", "UTC"), FROM_S, FROM_S).result()
        ours_moments, bare_moments = moments(), moments()

        def ours() -> float:
            started_s = time.perf_counter()
            for _ in range(rounds):
                at_s = next(ours_moments)
                readings = [Reading(at_s, key, 100.0) for key in keys]
                journal.append_readings(cook_id, readings).result()
            return rounds * CHANNELS / (time.perf_counter() - started_s)

        def theirs() -> float:
            started_s = time.perf_counter()
            for _ in range(rounds):
                at_s = next(bare_moments)
                rows = [(n, round(at_s * 1000), 100.0) for n in range(CHANNELS)]
                bare.execute("BEGIN IMMEDIATE")
                bare.executemany("INSERT INTO reading VALUES (?, ?, ?)", rows)
                bare.execute("COMMIT")
            return rounds * CHANNELS / (time.perf_counter() - started_s)

        ours_per_s, bare_per_s = in_turn(5, ours, theirs)
    than = "/s, sqlite3 alone"
    return Result("readings committed", "/s", ours_per_s, bare_per_s, than, "above 0.5")


def moments() -> Iterator[float]:
    at_s = FROM_S
    while True:
        at_s += 1.0
        yield at_s


def bare_database(path: Path) -> sqlite3.Connection:
    """The same table with the same promises: on disk before a commit returns."""
    connection = sqlite3.connect(path, isolation_level=None)
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
        connection.execute(f"PRAGMA {pragma}")
    connection.execute("CREATE TABLE channel (id INTEGER PRIMARY KEY) STRICT")
    connection.executemany("INSERT INTO channel VALUES (?)", [(n,) for n in range(CHANNELS)])
    connection.execute(
        "CREATE TABLE reading (channel_id INTEGER NOT NULL REFERENCES channel (id), "
        "t_ms INTEGER NOT NULL, value REAL NOT NULL, PRIMARY KEY (channel_id, t_ms)) "
        "STRICT, WITHOUT ROWID"
    )
    return connection


def opening(folder: Path, many: int) -> Result:
    """Opening a journal, counting its cooks and listing the first page of them."""
    few = many // 100
    with filled(folder / "many", many), filled(folder / "few", few):
        pass

    def look(name: str) -> None:
        with closing(Journal.open(folder / name)) as journal:
            journal.count_cooks()
            journal.cooks(limit=50)

    many_ms, few_ms = in_turn(
        15, lambda: milliseconds(lambda: look("many")), lambda: milliseconds(lambda: look("few"))
    )
    what = f"opening a journal with {many:,} cooks"
    return Result(what, "ms", many_ms, few_ms, f"ms, one with {few}", "under 1.3")


@contextmanager
def filled(folder: Path, cooks: int) -> Iterator[None]:
    with closing(Journal.open(folder)) as journal:
        for number in range(cooks):
            at_s = FROM_S + number * 86_400.0
            opened = CookOpened(f"Cook {number}", "UTC", simulated=True)
            cook_id = journal.new_cook(opened, at_s, at_s).result()
            said = [(at_s, what) for what in small_cook(number)]
            journal.append_many(cook_id, said, at_s)
            readings = [Reading(at_s + n, "pit", 100.0 + n % 7) for n in range(60)]
            journal.append_readings(cook_id, readings)
        journal.flush()
    yield
