"""The one thread that writes the journal."""

from __future__ import annotations

import itertools
import logging
import math
import queue
import sqlite3
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Generic, TypeVar

from sqlalchemy import Connection, Engine

from smokejournal.journal import problems
from smokejournal.journal.changes import Change
from smokejournal.journal.connections import WRITES, driver_of

T = TypeVar("T")
Work = Callable[[Connection], tuple[T, Change]]
Listener = Callable[[Change], None]

#: So many pieces of work share one commit at most, so that none waits long for its neighbors.
MOST_TOGETHER = 200

_log = logging.getLogger(__name__)


#: What was written stands in the log beside the file for so long at most [s]: whoever loses that log
#: loses no more.
CHECKPOINT_S = 60.0

#: What a person says goes before what a probe says: readings come in thousands.
SAID, READ, CLOSING = 0, 1, 2


@dataclass(frozen=True, slots=True)
class _Job(Generic[T]):
    work: Work[T]
    future: Future[T] = field(default_factory=Future)


@dataclass(frozen=True, slots=True, order=True)
class _Place:
    """A job's place in the queue: by rank, then as they came. Without a job the queue ends."""

    rank: int
    number: int
    job: _Job[Any] | None = field(compare=False)


@dataclass(frozen=True, slots=True)
class _Done:
    result: Any
    change: Change


_Outcome = _Done | Exception


class _Collapsed(Exception):
    """The database gave up the whole transaction, not only the one statement."""


class Writer:
    """Takes work from any thread and commits it by rank, and within a rank in its order of arrival.

    What waits when a commit begins shares it: each piece on its own savepoint, so that one that
    fails takes nothing with it. A future is settled when its work is on disk, after all listeners
    have heard of it, so that who waits for it finds everything up to date.
    """

    def __init__(self, engine: Engine, path: Path, forget: Callable[[], None]) -> None:
        self._path = path
        self._forget = forget
        self._connection = engine.connect().execution_options(**{WRITES: True})
        self._jobs: queue.PriorityQueue[_Place] = queue.PriorityQueue()
        self._numbers = itertools.count()
        self._door = threading.Lock()
        self._closed = False
        self._listeners: tuple[Listener, ...] = ()
        self._checkpoint_due_s = math.inf
        self._thread = threading.Thread(target=self._run, name="journal writer", daemon=True)
        self._thread.start()

    def submit(self, work: Work[T], rank: int = SAID) -> Future[T]:
        """Queues a piece of work. It runs within a transaction and may be run again if that fails."""
        job = _Job(work)
        with self._door:
            if self._closed:
                raise problems.closed(self._path)
            self._jobs.put(_Place(rank, next(self._numbers), job))
        return job.future

    def subscribe(self, listener: Listener) -> Callable[[], None]:
        """Has `listener` called on the writer's thread after each commit; gives the way out."""
        with self._door:
            self._listeners = (*self._listeners, listener)

        def leave() -> None:
            with self._door:
                self._listeners = tuple(one for one in self._listeners if one is not listener)

        return leave

    def flush(self, timeout_s: float) -> None:
        """Waits until everything queued so far is on disk. JournalProblem after `timeout_s`."""
        if threading.current_thread() is self._thread:
            raise RuntimeError("the writer can't wait for itself")
        try:
            self.submit(lambda _: (None, Change()), READ).result(timeout_s)
        except TimeoutError:
            raise problems.busy(self._path) from None

    def close(self, timeout_s: float) -> bool:
        """Writes what is queued, then ends. Nothing can be submitted afterwards. False where that
        takes longer than `timeout_s`: a disk that hangs must not keep the program from ending.
        """
        with self._door:
            if not self._closed:
                self._closed = True
                self._jobs.put(_Place(CLOSING, next(self._numbers), None))
        self._thread.join(timeout_s)
        if self._thread.is_alive():
            return False
        self._connection.close()
        return True

    def _run(self) -> None:
        while (job := self._next()) is not None:
            jobs, ended = [job], False
            while len(jobs) < MOST_TOGETHER and not ended:
                try:
                    another = self._jobs.get_nowait().job
                except queue.Empty:
                    break
                if another is None:
                    ended = True
                else:
                    jobs.append(another)
            wanted = [one for one in jobs if one.future.set_running_or_notify_cancel()]
            try:
                self._settle(wanted)
            except Exception as problem:  # noqa: BLE001 - logged, and told to all who wait
                # A mistake of ours in this very module must not end the log.
                _log.exception("The writer stumbled; recording goes on")
                for one in wanted:
                    if not one.future.done():
                        one.future.set_exception(problem)
            self._checkpoint_due_s = min(self._checkpoint_due_s, time.monotonic() + CHECKPOINT_S)
            if ended:
                return

    def _next(self) -> _Job[Any] | None:
        while True:
            left_s = self._checkpoint_due_s - time.monotonic()
            if left_s <= 0.0:
                self._checkpoint()
                continue
            try:
                return self._jobs.get(timeout=left_s if math.isfinite(left_s) else None).job
            except queue.Empty:
                continue

    def _checkpoint(self) -> None:
        """Put what stands in the log into the file, as far as no reader holds it up."""
        self._checkpoint_due_s = math.inf
        try:
            driver_of(self._connection).execute("PRAGMA wal_checkpoint(PASSIVE)")
        except sqlite3.Error as problem:
            _log.warning("The log could not be put into the file: %s", problem)

    def _settle(self, jobs: Sequence[_Job[Any]]) -> None:
        outcomes = self._commit_together(jobs) if len(jobs) > 1 else None
        if outcomes is not None:
            for job, outcome in zip(jobs, outcomes, strict=True):
                self._deliver(job, outcome)
            return
        for job in jobs:
            self._deliver(job, self._commit_alone(job))

    def _commit_alone(self, job: _Job[Any]) -> _Outcome:
        try:
            with self._transaction() as connection:
                result, change = job.work(connection)
        except Exception as problem:  # noqa: BLE001 - told to whoever waits for the future
            return self._told(problem)
        return _Done(result, change)

    def _commit_together(self, jobs: Sequence[_Job[Any]]) -> list[_Outcome] | None:
        """What came of each job; None where the common transaction came to nothing."""
        outcomes: list[_Outcome] = []
        try:
            with self._transaction() as connection:
                for job in jobs:
                    outcomes.append(self._on_savepoint(connection, job))
        except Exception as problem:  # noqa: BLE001 - each is tried alone, and then tells
            trouble = self._told(problem)
            _log.warning("A common commit came to nothing, trying one by one: %s", trouble)
            return None
        return outcomes

    def _on_savepoint(self, connection: Connection, job: _Job[Any]) -> _Outcome:
        connection.exec_driver_sql("SAVEPOINT one")
        try:
            result, change = job.work(connection)
        except Exception as problem:  # noqa: BLE001 - told to whoever waits for the future
            # Where the database gave up the whole transaction, this fails, and with it the commit.
            connection.exec_driver_sql("ROLLBACK TO one")
            connection.exec_driver_sql("RELEASE one")
            return self._told(problem)
        connection.exec_driver_sql("RELEASE one")
        return _Done(result, change)

    @contextmanager
    def _transaction(self) -> Iterator[Connection]:
        with self._connection.begin():
            yield self._connection
            # After some errors (a full disk) SQLite has rolled back by itself, and a commit of
            # nothing would succeed.
            if not driver_of(self._connection).in_transaction:
                raise _Collapsed

    def _told(self, problem: Exception) -> Exception:
        """The problem as whoever waits shall hear it; what was known of the tables is forgotten."""
        self._forget()
        if isinstance(problem, _Collapsed):
            return problems.disk_fault(self._path, "the transaction was given up")
        return problems.of_sqlite(problem, self._path) or problem

    def _deliver(self, job: _Job[Any], outcome: _Outcome) -> None:
        if isinstance(outcome, Exception):
            job.future.set_exception(outcome)
            return
        if outcome.change != Change():
            for listener in self._listeners:
                try:
                    listener(outcome.change)
                except Exception:  # noqa: BLE001 - told, and recording goes on
                    _log.exception("A listener failed on %r; recording goes on", outcome.change)
        job.future.set_result(outcome.result)
