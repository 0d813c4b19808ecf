"""The file of a journal, open: reading it, writing it, copying it, closing it."""

from __future__ import annotations

import logging
import sqlite3
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Self, TypeVar

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import SQLAlchemyError

from smokejournal.journal import backups, photos, problems
from smokejournal.journal.changes import Change
from smokejournal.journal.connections import driver_of, engine_for, uri_of
from smokejournal.journal.copies import JournalCopy, copies_in, says_the_same
from smokejournal.journal.header import check_links, is_there
from smokejournal.journal.lock import JournalLock
from smokejournal.journal.opening import FILE_NAME, prepare, prepare_to_read
from smokejournal.journal.own_file import OwnFile
from smokejournal.journal.private import make_folder
from smokejournal.journal.problems import JournalProblem
from smokejournal.journal.reading_table import ReadingTable
from smokejournal.journal.restoring import CopyContents, Restored, look_into, put_copy_in_place
from smokejournal.journal.writer import SAID, Work, Writer

T = TypeVar("T")

_log = logging.getLogger(__name__)

#: Closing waits no longer than this for what is still to be written [s].
LONGEST_CLOSE_S = 10.0


def _log_of(path: Path) -> Path:
    """Where SQLite keeps what isn't in the file itself yet."""
    return path.with_name(path.name + "-wal")


def _writes_ahead(path: Path) -> bool:
    """Whether the journal there keeps a write-ahead log (bytes 18 and 19 of the file; SQLite, Database
    File Format, 1.3)."""
    if not is_there(path):
        return False
    with path.open("rb") as file:
        return file.read(20)[18:20] == b"\x02\x02"


class JournalFile:
    """The file and what lies beside it in its folder. What the tables hold is the business of others."""

    def __init__(
        self,
        folder: Path,
        engine: Engine,
        *,
        lock: JournalLock | None = None,
        copied_to: Path | None = None,
    ) -> None:
        self.folder = folder
        self.read_only = lock is None
        self.copied_to = copied_to
        """The copy that was made because the journal was brought up to date; None otherwise."""
        self.path = folder / FILE_NAME
        self.lost_log = False
        """The program didn't end in order last time, and what it wrote last was taken away since."""
        self._engine = engine
        self._lock = lock
        self._own_file = None if lock is None else OwnFile(self.path)
        self._closing = threading.Lock()
        self._closed = False
        self._readings = ReadingTable()  # the writer has it forget what it knew after a failure
        self._writer = None if lock is None else Writer(engine, self.path, self._readings.forget)

    @classmethod
    def open(cls, folder: Path, *, read_only: bool = False) -> Self:
        """Opens the journal in `folder`; begins one where there is none.

        With `read_only` it may be open in the program at the same time, and nothing is written.
        JournalProblem where it can't be used, with the file left as it was.
        """
        folder = Path(folder)
        path = folder / FILE_NAME
        if read_only:
            try:
                check_links(folder)
                return cls(folder, engine_for(prepare_to_read(path)))
            except OSError as problem:
                raise problems.unreadable(folder, problem) from problem
        try:
            check_links(folder)
            make_folder(folder, parents=True)
        except OSError as problem:
            raise problems.of_os(problem, folder) from problem
        lock = JournalLock(folder)
        try:
            lost_log = lock.left_open and _writes_ahead(path) and not is_there(_log_of(path))
            copied_to = prepare(path)
            engine = engine_for(uri_of(path, read_only=False))
            opened = cls(folder, engine, lock=lock, copied_to=copied_to)
            opened.lost_log = lost_log
            with opened.reading() as connection:  # begins the log, which lasts while this is open
                connection.exec_driver_sql("SELECT 1 FROM setting LIMIT 1")
            lock.mark_open()
            return opened
        except BaseException as problem:
            lock.release()
            if isinstance(problem, OSError):
                raise problems.of_os(problem, folder) from problem
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # Reading and writing

    def submit(self, work: Work[T], rank: int = SAID) -> Future[T]:
        """Has the writer do a piece of work, which may be run twice. JournalProblem at once where that
        can't be."""
        self.check_open(writing=True)
        assert self._writer is not None
        return self._writer.submit(work, rank)

    def check_open(self, *, writing: bool = False) -> None:
        """JournalProblem where the journal is closed, or open for reading only while `writing`."""
        if self._closed:
            raise problems.closed(self.path)
        if writing and self.read_only:
            raise problems.read_only(self.path)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Reads as of one moment. JournalProblem for whatever the database finds wrong."""
        self.check_open()
        try:
            with self._engine.connect() as connection, connection.begin():
                yield connection
        except Exception as problem:
            trouble = problems.of_sqlite(problem, self.path)
            if trouble is None:
                raise
            raise trouble from problem

    def execute(self, statement: Any, change: Change) -> Future[None]:
        """Has the writer do one statement, and tell of `change`."""

        def work(connection: Connection) -> tuple[None, Change]:
            connection.execute(statement)
            return None, change

        return self.submit(work)

    def subscribe(self, callback: Callable[[Change], None]) -> Callable[[], None]:
        """Has `callback` called on the writer's thread after each commit; gives the way out.

        It must not wait for a write. In a journal that is read only it is never called.
        """
        return (lambda: None) if self._writer is None else self._writer.subscribe(callback)

    def flush(self, timeout_s: float = 10) -> None:
        """Waits until everything written so far is on disk. JournalProblem after `timeout_s`."""
        if self._writer is not None:
            self._writer.flush(timeout_s)

    def close(self) -> None:
        """Writes what is queued and lets the journal go. Once is enough, twice does no harm.

        What can't be written within ten seconds is given up.
        """
        with self._closing:
            if self._closed:
                return
            gone, in_order = self.is_gone(), False
            self._closed = True
            if self._writer is not None:
                if not self._writer.close(LONGEST_CLOSE_S):
                    _log.error("The disk hangs: what waited to be written is not in the journal")
                    return
                if gone:
                    self._save_at_the_end()
                else:
                    self._tidy()
                    in_order = True
            if self._own_file is not None:
                self._own_file.close()
            self._engine.dispose()
            if self._lock is not None:
                self._lock.release(in_order=in_order)

    def _save_at_the_end(self) -> None:
        try:
            path = self.save_what_was_open(time.time())
        except JournalProblem as problem:
            _log.error("What was written is gone with the journal's file: %s", problem)
        else:
            _log.warning("The journal's file was taken away; everything is in %s", path)

    def _tidy(self) -> None:
        """Empties the log into the file. What fails here is done at the next start by itself."""
        with suppress(SQLAlchemyError, sqlite3.Error), self._engine.connect() as connection:
            driver_of(connection).execute("PRAGMA optimize")
            driver_of(connection).execute("PRAGMA wal_checkpoint(TRUNCATE)")

    # Beside the file

    def keep_photo(self, source: Path) -> tuple[str, str]:
        """Copies a picture into the journal's folder; gives what a Photo entry needs: its hash and
        the ending of its name."""
        self.check_open(writing=True)
        return photos.keep_photo(self.folder, Path(source))

    def photo_path(self, sha256: str, suffix: str) -> Path:
        """Where a photo is kept."""
        return photos.photo_path(self.folder, sha256, suffix)

    def back_up(
        self,
        now_s: float,
        stop: threading.Event | None = None,
        lacks: Callable[[JournalProblem | None], None] = lambda _: None,
    ) -> Path:
        """Copies the journal as it stands into the folder `backups`; gives the copy's path.

        Slow, and on the caller's thread; whoever reads or writes isn't held up. Copies that are no
        longer worth their place are removed. `lacks` is told which photos could not be copied too, or
        None. CopyStopped once `stop` is set.
        """
        self.check_open(writing=True)
        self.flush()
        if self.is_gone():
            return self.save_what_was_open(now_s)
        copy, trouble = backups.keep_copy(self.path, now_s, stop or threading.Event())
        lacks(trouble)
        return copy

    def is_gone(self) -> bool:
        """Whether the file was removed, renamed or replaced since it was opened. Quick."""
        return self._own_file is not None and not self._closed and self._own_file.gone()

    def save_what_was_open(self, now_s: float) -> Path:
        """Copies what the file holds that was opened, with all that was written since, into `backups`;
        gives the copy's path. Slow, from any thread. It is made anew when the journal is closed.
        """
        assert self._own_file is not None
        try:
            return self._own_file.save(now_s)
        except OSError as problem:
            raise problems.of_os(problem, self.folder) from problem
        except sqlite3.Error as problem:
            raise problems.of_sqlite(problem, self.path) or problems.damaged(self.path) from problem

    @staticmethod
    def copies(folder: Path) -> list[JournalCopy]:
        """The copies of the journal in `folder`, newest first. Callable while it is open or damaged."""
        try:
            return copies_in(folder)
        except OSError as problem:
            raise problems.unreadable(folder, problem) from problem

    @staticmethod
    def look_into(copy: JournalCopy) -> CopyContents:
        """What is in a copy. Slow; JournalProblem where it can't be used."""
        return look_into(copy.path)

    @staticmethod
    def restore(folder: Path, copy: JournalCopy, now_s: float) -> Restored:
        """Puts a copy in the place of the journal in `folder`, which must be closed.

        What was there is kept under another name, and photos that are missing are put back.
        JournalProblem where it can't be done; the journal is then as it was.
        """
        lock = JournalLock(folder)
        try:
            return put_copy_in_place(folder / FILE_NAME, copy.path, now_s)
        finally:
            lock.release()

    def is_in(self, copy: JournalCopy) -> bool:
        """Whether a copy holds all that the journal holds."""
        self.check_open()
        return says_the_same(
            uri_of(self.path, read_only=True), f"{uri_of(copy.path, read_only=True)}&immutable=1"
        )
