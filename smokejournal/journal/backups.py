"""Copies of the journal, whole even while it is being written."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from smokejournal.journal import problems
from smokejournal.journal.header import Version
from smokejournal.journal.private import make_file, make_folder

BACKUPS = "backups"


def sync_folder(folder: Path) -> None:
    """Has the names of files in `folder` put on disk, where the system knows how."""
    if os.name != "posix":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def put_in_place(whole: Path, path: Path) -> None:
    """Gives a finished file its name, such that after a power cut it is there whole or not at all."""
    descriptor = os.open(whole, os.O_RDWR)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
    os.replace(whole, path)
    sync_folder(path.parent)


def back_up(path: Path, version: Version) -> Path:
    """Copies the journal at `path` into the folder `backups` beside it; gives the copy's path.

    JournalProblem where the copy can't be made, or where what was copied is damaged.
    """
    folder = path.parent / BACKUPS
    try:
        make_folder(folder)
        stamp = datetime.now(UTC).strftime("%Y-%m-%d-%H%M%S")
        stem, number = f"{path.stem}-form-{version}-{stamp}", 1
        target = folder / f"{stem}.sqlite"
        while target.exists():
            number += 1
            target = folder / f"{stem}-{number}.sqlite"
        unfinished = target.with_suffix(".tmp")
        unfinished.unlink(missing_ok=True)
        try:
            make_file(unfinished)
            _copy(path, unfinished)
            put_in_place(unfinished, target)
        finally:
            unfinished.unlink(missing_ok=True)
    except OSError as problem:
        raise problems.of_os(problem, folder) from problem
    except sqlite3.Error as problem:
        raise problems.of_sqlite(problem, path) or problems.damaged(path) from problem
    return target


def _copy(path: Path, target: Path) -> None:
    # A plain copy of the file would lack what still stands in the write-ahead log.
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(target)) as copy:
        source.backup(copy)
        # One file, without a log beside it, is what people can carry away and put back.
        copy.execute("PRAGMA journal_mode=DELETE")
        if copy.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
            raise problems.damaged(path)
