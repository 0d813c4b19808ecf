"""The thread that writes: what fails, fails alone and is told; the rest goes on."""

import logging
import queue
import shutil
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import Connection, text

from smokejournal.cook.log.entries import CookOpened, Note, Strike
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.journal import Change, Journal, JournalProblem, connections
from smokejournal.journal.opening import FILE_NAME
from smokejournal.journal.writer import Writer

AT_S = 1_780_000_000.0
OPENED = CookOpened("Ribs", "UTC")


def writer_of(journal: Journal) -> Writer:
    assert journal._writer is not None
    return journal._writer


class Held:
    """Keeps the writer busy until it is let go, so that what is submitted meanwhile waits together."""

    def __init__(self, journal: Journal) -> None:
        self._go = threading.Event()
        begun = threading.Event()

        def work(_: Connection) -> tuple[None, Change]:
            begun.set()
            self._go.wait(10)
            return None, Change()

        writer_of(journal).submit(work)
        assert begun.wait(10)

    def let_go(self) -> None:
        self._go.set()


def count_commits(journal: Journal) -> Callable[[], int]:
    """How often the file has been committed to since."""

    def version() -> int:
        with journal._engine.connect() as connection:
            return int(connection.exec_driver_sql("PRAGMA data_version").scalar_one())

    before = version()
    return lambda: version() - before


def test_what_waits_together_is_committed_together_and_in_order(journal: Journal) -> None:
    cook = journal.new_cook(OPENED, AT_S, AT_S).result(10)
    commits: list[str] = []
    raw = writer_of(journal)._connection.connection.dbapi_connection
    assert raw is not None
    raw.set_trace_callback(lambda sql: commits.append(sql) if sql == "COMMIT" else None)
    held = Held(journal)
    futures = [journal.append(cook, Note(f"{n}"), AT_S, AT_S) for n in range(100)]
    held.let_go()
    ids = [future.result(10).id for future in futures]
    assert ids == sorted(ids)
    assert len(commits) == 2


def test_one_that_fails_takes_nothing_with_it(journal: Journal) -> None:
    cook = journal.new_cook(OPENED, AT_S, AT_S).result(10)
    held = Held(journal)

    def fail(connection: Connection) -> tuple[None, Change]:
        connection.execute(text("INSERT INTO setting VALUES ('half', '1')"))
        raise RuntimeError("a mistake of ours")

    first = journal.append_readings(cook, [Reading(AT_S, "p1", 1.0)])
    bug = writer_of(journal).submit(fail)
    strike = journal.append(cook, Strike(999), AT_S, AT_S)
    other = journal.append_readings(99, [Reading(AT_S, "p1", 1.0)])
    again = journal.append_readings(cook, [Reading(AT_S, "p1", 2.0), Reading(AT_S, "p2", 3.0)])
    held.let_go()
    assert first.result(10) == (Reading(AT_S, "p1", 1.0),)
    assert again.result(10) == (Reading(AT_S + 0.001, "p1", 2.0), Reading(AT_S, "p2", 3.0))
    with pytest.raises(RuntimeError, match="a mistake of ours"):
        bug.result(10)
    with pytest.raises(SchemaProblem):
        strike.result(10)
    with pytest.raises(JournalProblem):
        other.result(10)
    assert journal.setting("half") is None
    assert journal.check() == ()


def test_readings_given_up_leave_no_trace_of_what_was_known_of_them(journal: Journal) -> None:
    cook = journal.new_cook(OPENED, AT_S, AT_S).result(10)

    def readings_then_fail(connection: Connection) -> tuple[None, Change]:
        journal._readings.add(connection, cook, [Reading(AT_S, "new", 1.0)])
        raise RuntimeError("after the channel got its number")

    with pytest.raises(RuntimeError):
        writer_of(journal).submit(readings_then_fail).result(10)
    kept = journal.append_readings(cook, [Reading(AT_S, "new", 2.0)]).result(10)
    assert kept == (Reading(AT_S, "new", 2.0),)
    assert journal.trace(cook, "new").value_c.tolist() == [2.0]


def test_a_listener_that_fails_is_logged_and_the_others_hear(
    journal: Journal, caplog: pytest.LogCaptureFixture
) -> None:
    heard: list[Change] = []

    def fail(change: Change) -> None:
        raise ValueError("listener is out of order")

    journal.subscribe(fail)
    journal.subscribe(heard.append)
    with caplog.at_level(logging.ERROR):
        journal.set_setting("a", 1).result(10)
        journal.set_setting("a", 2).result(10)
    assert heard == [Change(settings=True)] * 2
    assert "listener is out of order" in caplog.text


def test_a_full_disk_is_told_with_its_cure_and_recording_goes_on(journal: Journal) -> None:
    cook = journal.new_cook(OPENED, AT_S, AT_S).result(10)

    def most_pages(number: int) -> None:
        def work(connection: Connection) -> tuple[None, Change]:
            connection.exec_driver_sql(f"PRAGMA max_page_count={number}").scalar()
            return None, Change()

        writer_of(journal).submit(work).result(10)

    most_pages(1)  # as small as what is in it
    held = Held(journal)
    many = [Reading(AT_S + n, "p1", 1.0) for n in range(5000)]
    small = journal.set_setting("small", 1)
    big = journal.append_readings(cook, many)
    also_small = journal.set_setting("also small", 1)
    held.let_go()
    with pytest.raises(JournalProblem) as full:
        big.result(10)
    assert "no room left" in full.value.message
    assert "Make room" in full.value.cure
    small.result(10)
    also_small.result(10)
    assert len(journal.trace(cook, "p1")) == 0
    most_pages(1_000_000)
    assert len(journal.append_readings(cook, many).result(10)) == 5000
    assert len(journal.trace(cook, "p1")) == 5000
    assert journal.check() == ()


def test_a_mistake_in_the_writer_itself_does_not_end_the_recording(
    journal: Journal, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def stumble(*args: object) -> None:
        raise AssertionError("a bug")

    with monkeypatch.context() as patch:
        patch.setattr(writer_of(journal), "_commit_alone", stumble)
        with pytest.raises(AssertionError, match="a bug"):
            journal.set_setting("a", 1).result(10)
    assert "stumbled" in caplog.text
    journal.set_setting("a", 2).result(10)
    assert journal.setting("a") == 2


def give_up(connection: Connection) -> None:
    """What SQLite does by itself after some errors: all of the transaction is taken back."""
    raw = connection.connection.dbapi_connection
    assert raw is not None
    raw.execute("ROLLBACK")


def test_a_transaction_that_the_database_gave_up_takes_no_neighbors_with_it(
    journal: Journal,
) -> None:
    def collapse(connection: Connection) -> tuple[None, Change]:
        give_up(connection)
        raise RuntimeError("the disk went away")

    held = Held(journal)
    before = journal.set_setting("before", 1)
    bad = writer_of(journal).submit(collapse)
    after = journal.set_setting("after", 1)
    held.let_go()
    before.result(10)
    after.result(10)
    with pytest.raises(RuntimeError, match="went away"):
        bad.result(10)
    assert journal.setting("before") == journal.setting("after") == 1


@pytest.mark.parametrize("together", [False, True])
def test_what_was_given_up_in_silence_is_not_called_recorded(
    journal: Journal, together: bool
) -> None:
    def collapse(connection: Connection) -> tuple[None, Change]:
        connection.exec_driver_sql("INSERT INTO setting VALUES ('lost', '1')")
        give_up(connection)
        return None, Change(settings=True)

    heard: list[Change] = []
    journal.subscribe(heard.append)
    held = Held(journal)
    neighbor = journal.set_setting("near", 1) if together else None
    lost = writer_of(journal).submit(collapse)
    held.let_go()
    with pytest.raises(JournalProblem, match="did not take"):
        lost.result(10)
    assert journal.setting("lost") is None
    if neighbor is not None:
        neighbor.result(10)
        assert journal.setting("near") == 1
    assert heard == ([Change(settings=True)] if together else [])
    journal.set_setting("next", 1).result(10)
    assert journal.setting("next") == 1


DISK_FAULT = """
import resource, sys
from pathlib import Path
from smokejournal.cook.log.entries import CookOpened, Note
from smokejournal.journal import Journal, JournalProblem

with Journal.open(Path(sys.argv[1])) as journal:
    cook = journal.new_cook(CookOpened("Ribs", "UTC"), 5.0, 5.0).result(10)
    size = (journal.folder / "journal.sqlite-wal").stat().st_size
    resource.setrlimit(resource.RLIMIT_FSIZE, (size + 100, resource.RLIM_INFINITY))
    try:
        journal.append(cook, Note("lost?"), 6.0, 6.0).result(10)
    except JournalProblem as problem:
        print("TOLD", problem.message, problem.cure)
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY,) * 2)
    journal.append(cook, Note("kept"), 7.0, 7.0).result(10)
    print([entry.what.kind for entry in journal.entries(cook)], journal.check())
"""


@pytest.mark.skipif(sys.platform == "win32", reason="there are no limits to set")
def test_a_disk_that_refuses_is_told_and_recording_goes_on(folder: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-c", DISK_FAULT, str(folder)],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        cwd=Path(__file__).parents[2],
    )
    assert ran.returncode == 0, ran.stderr
    told, rest = ran.stdout.splitlines()
    assert told.startswith("TOLD The disk did not take what was to be recorded")
    assert rest == "['cook_opened', 'note'] ()"


def test_another_program_on_the_file_is_told_and_recording_goes_on(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "BUSY_MS", 50)
    with Journal.open(folder) as journal:
        cook = journal.new_cook(OPENED, AT_S, AT_S).result(10)
        with closing(sqlite3.connect(folder / FILE_NAME, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            held = [journal.append(cook, Note(f"{n}"), AT_S, AT_S) for n in range(3)]
            for future in held:
                with pytest.raises(JournalProblem, match="Another program"):
                    future.result(10)
            assert len(journal.entries(cook)) == 1
            other.execute("ROLLBACK")
        journal.append(cook, Note("kept"), AT_S, AT_S).result(10)
        assert len(journal.entries(cook)) == 2


def test_a_write_that_was_called_off_in_time_is_not_made(journal: Journal) -> None:
    held = Held(journal)
    off = journal.set_setting("off", 1)
    on = journal.set_setting("on", 1)
    assert off.cancel()
    held.let_go()
    on.result(10)
    assert journal.setting("off") is None


def test_flush_waits_for_what_is_queued_and_says_when_it_takes_too_long(journal: Journal) -> None:
    held = Held(journal)
    future = journal.set_setting("a", 1)
    with pytest.raises(JournalProblem):
        journal.flush(timeout_s=0.01)
    assert not future.done()
    held.let_go()
    journal.flush()
    assert future.done()


def test_the_writer_does_not_wait_for_itself(journal: Journal) -> None:
    told: queue.SimpleQueue[BaseException] = queue.SimpleQueue()

    def listen(change: Change) -> None:
        try:
            journal.flush()
        except RuntimeError as problem:
            told.put(problem)

    journal.subscribe(listen)
    journal.set_setting("a", 1).result(10)
    assert "wait for itself" in str(told.get(timeout=10))


def test_many_threads_write_and_read_at_once(journal: Journal) -> None:
    cooks = [journal.new_cook(OPENED, AT_S, AT_S).result(10) for _ in range(4)]

    def tend(cook: int) -> None:
        for n in range(40):
            journal.append(cook, Note(f"{n}"), AT_S + n, AT_S).result(30)
            journal.append_readings(cook, [Reading(AT_S + n, "p1", float(n))]).result(30)
            log = journal.log(cook)
            assert len(log.entries) == n + 2
            assert len(log.traces["p1"]) == n + 1

    failed: list[BaseException] = []

    def guarded(cook: int) -> None:
        try:
            tend(cook)
        except BaseException as problem:
            failed.append(problem)
            raise

    threads = [threading.Thread(target=guarded, args=(cook,)) for cook in cooks]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert not failed


def test_the_log_beside_the_file_is_put_into_it_by_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("smokejournal.journal.writer.CHECKPOINT_S", 0.05)
    path = tmp_path / "journal" / FILE_NAME
    with Journal.open(path.parent) as journal:
        cook = journal.new_cook(OPENED, AT_S, AT_S).result(10)
        journal.append(cook, Note("held in the file itself"), AT_S, AT_S).result(10)
        end_s = time.monotonic() + 10.0
        while b"held in the file itself" not in path.read_bytes():
            assert time.monotonic() < end_s
            threading.Event().wait(0.01)
        journal.flush()
        # As after a crash in which the log is lost: the file alone.
        other = tmp_path / "other"
        other.mkdir()
        shutil.copyfile(path, other / FILE_NAME)
    with Journal.open(other) as left:
        assert Note("held in the file itself") in [entry.what for entry in left.entries(cook)]
