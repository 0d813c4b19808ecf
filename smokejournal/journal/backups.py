"""Copies of the journal, whole even while it is being written."""

from __future__ import annotations

import logging
import os
import shutil
import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from smokejournal.journal import problems
from smokejournal.journal.connections import uri_of
from smokejournal.journal.copies import (
    BACKUPS,
    ROOM_LEFT_BYTES,
    copies_in,
    free_name,
    which_to_keep,
)
from smokejournal.journal.durable import put_in_place
from smokejournal.journal.header import Version
from smokejournal.journal.photo_copies import keep_photos, prune_photos
from smokejournal.journal.private import make_file, make_folder
from smokejournal.journal.problems import JournalProblem

#: So many pages are copied at a time, with a pause in between that leaves the disk to the writer.
STEP_PAGES = 256
PAUSE_S = 0.004
#: Written out bit by bit: all at once at the end would hold up the writer's own commits.
SYNC_PAGES = 2048
#: Where the log can't be kept apart from the file, each commit makes a copy begin anew.
MOST_ROUNDS = 20

_log = logging.getLogger(__name__)


class CopyStopped(Exception):
    """The copy was given up because somebody asked for it."""


def back_up(path: Path, version: Version, now_s: float) -> Path:
    """Copies the journal at `path`, before it is changed, into the folder `backups` beside it.

    Gives the copy's path. JournalProblem where the copy can't be made, or where what was copied is
    damaged.
    """
    folder = path.parent / BACKUPS
    try:
        copy = _put_copy(path, lambda: free_name(folder, now_s, str(version)), threading.Event())
        trouble = keep_photos(path.parent, copy)
        if trouble is not None:
            _log.warning("%s", trouble)
        return copy
    except OSError as problem:
        raise problems.of_os(problem, folder) from problem
    except sqlite3.Error as problem:
        raise problems.of_sqlite(problem, path) or problems.damaged(path) from problem


def keep_copy(
    path: Path, now_s: float, stop: threading.Event
) -> tuple[Path, JournalProblem | None]:
    """Copies the journal at `path` while it is in use, with the photos that it refers to, and forgets
    copies that are no longer worth their place (`which_to_keep`). Gives the copy's path, and what is
    the matter where it lacks photos.

    JournalProblem where that can't be done, CopyStopped once `stop` is set. The journal itself is only
    read, and whoever writes it isn't held up.
    """
    folder = path.parent / BACKUPS
    try:
        size = sum(each.stat().st_size for each in (path, _log_of(path)) if each.exists())
        make_folder(folder)
        if shutil.disk_usage(folder).free < size + ROOM_LEFT_BYTES:
            raise problems.not_copied(folder, problems.no_room(folder))
        copy = _put_copy(path, lambda: free_name(folder, now_s), stop)
    except JournalProblem as problem:
        if problem.kind == "damaged":
            raise problems.not_copied(folder, problem) from problem
        raise
    except OSError as problem:
        raise problems.not_copied(folder, problems.of_os(problem, folder)) from problem
    except sqlite3.Error as problem:
        if stop.is_set():
            raise CopyStopped from problem
        trouble = problems.of_sqlite(problem, path)
        raise problems.not_copied(folder, trouble, str(problem)) from problem
    trouble = keep_photos(path.parent, copy, stop)
    _thin_out(path.parent, copy, now_s)
    return copy, trouble


def _thin_out(folder: Path, fresh: Path, now_s: float) -> None:
    gone = False
    try:
        copies = [copy for copy in copies_in(folder) if not copy.form]
        kept = which_to_keep([copy.at_s for copy in copies], now_s)
        for copy in copies:
            if copy.at_s not in kept and copy.path != fresh:
                copy.path.unlink()
                gone = True
        if gone:
            prune_photos(folder)
    except OSError as problem:
        _log.warning("Old copies of the journal could not be removed: %s", problem)


def _log_of(path: Path) -> Path:
    return path.with_name(path.name + "-wal")


def _put_copy(path: Path, name: Callable[[], Path], stop: threading.Event) -> Path:
    target = name()
    make_folder(target.parent)
    unfinished = target.with_suffix(".tmp")
    unfinished.unlink(missing_ok=True)
    try:
        make_file(unfinished)
        _copy(path, unfinished, stop)
        put_in_place(unfinished, target)
    finally:
        for ending in ("", "-journal"):
            unfinished.with_name(unfinished.name + ending).unlink(missing_ok=True)
    return target


def _copy(path: Path, target: Path, stop: threading.Event) -> None:
    # A plain copy of the file would lack what still stands in the write-ahead log.
    with (
        closing(sqlite3.connect(uri_of(path, read_only=False), uri=True)) as source,
        closing(sqlite3.connect(target)) as copy,
    ):
        source.isolation_level = None
        if source.execute("PRAGMA journal_mode").fetchone()[0] == "wal":
            # One moment for the whole copy: it need not begin anew at each commit, and with a log
            # beside the file nobody waits for a reader.
            source.execute("BEGIN")
            source.execute("SELECT count(*) FROM sqlite_schema").fetchone()
        # What is lost in a power cut has no name yet.
        copy.execute("PRAGMA synchronous=OFF")
        descriptor = os.open(target, os.O_RDWR)
        try:
            source.backup(copy, pages=STEP_PAGES, progress=_Pace(descriptor, stop))
        finally:
            os.close(descriptor)
        copy.set_progress_handler(stop.is_set, 1000)
        # One file, without a log beside it, is what people can carry away and put back.
        copy.execute("PRAGMA journal_mode=DELETE")
        if copy.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
            raise problems.damaged(path)
    if stop.is_set():
        raise CopyStopped


class _Pace:
    """Called after each step of a copy: lets others have the disk, and ends a copy not wanted."""

    def __init__(self, descriptor: int, stop: threading.Event) -> None:
        self._descriptor = descriptor
        self._stop = stop
        self._steps = 0

    def __call__(self, _: int, remaining: int, total: int) -> None:
        self._steps += 1
        if self._steps % (SYNC_PAGES // STEP_PAGES) == 0:
            os.fsync(self._descriptor)
        if self._stop.is_set() or (remaining and self._stop.wait(PAUSE_S)):
            raise CopyStopped
        if self._steps * STEP_PAGES > MOST_ROUNDS * (total + STEP_PAGES):
            raise sqlite3.OperationalError("it was written faster than it can be copied")
