"""Everything that must be right before a journal may be used."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from smokejournal.cook.text.translate import translate
from smokejournal.journal import problems
from smokejournal.journal.connections import uri_of
from smokejournal.journal.creation import create
from smokejournal.journal.header import SCHEMA, check_file, is_there, version_of
from smokejournal.journal.problems import JournalProblem
from smokejournal.journal.restoring import finish
from smokejournal.journal.tables import METADATA

FILE_NAME = "journal.sqlite"
#: A file up to this size is checked page by page when it is opened (5 ms). A larger one is looked at
#: where it matters for opening; `Journal.check` does the rest when it is asked for.
CHECK_BYTES = 1 << 20


def prepare(path: Path) -> Path | None:
    """Makes the journal at `path` ready for writing: new if it isn't there, migrated if it is old.

    Gives the copy that was made before a migration. The caller holds the lock. JournalProblem where
    the file can't be used; it is left as it was.
    """
    finish(path)
    if not is_there(path):
        create(path)
    check_file(path)
    uri = uri_of(path, read_only=False)
    version = version_of(path, uri)
    _check_pages(path, uri)
    copy = None
    if version < SCHEMA:
        # Alembic is slow to import, and hardly ever needed.
        from smokejournal.journal.migration import migrate

        copy = migrate(path, version)
    _check_tables(path, uri)
    _check_writable(path, uri)
    return copy


def prepare_to_read(path: Path) -> str:
    """The URI by which the journal at `path` is read without writing anything in it."""
    if not is_there(path):
        raise problems.no_journal(path)
    check_file(path)
    uri = uri_of(path, read_only=True)
    try:
        version = version_of(path, uri)
    except JournalProblem:
        # In a folder that can't be written, the log can't be opened. Without a log there is nobody
        # who writes, and the file can be read as it stands.
        log = path.with_name(path.name + "-wal")
        if log.exists() and log.stat().st_size:
            raise
        uri += "&immutable=1"
        version = version_of(path, uri)
    if version < SCHEMA:
        raise JournalProblem(
            translate("Journal", "The journal {path} was written by an older version.").format(
                path=path
            ),
            translate("Journal", "Open it once with the program, which updates it."),
            path,
        )
    _check_pages(path, uri)
    _check_tables(path, uri)
    return uri


def _check_pages(path: Path, uri: str) -> None:
    if path.stat().st_size > CHECK_BYTES:
        return
    try:
        with closing(sqlite3.connect(uri, uri=True)) as connection:
            found = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    except sqlite3.Error as problem:
        raise problems.of_sqlite(problem, path) or problems.damaged(path) from problem
    if found != "ok":
        raise problems.damaged(path)


def _check_tables(path: Path, uri: str) -> None:
    try:
        with closing(sqlite3.connect(uri, uri=True)) as connection:
            rows = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")
            names = {name for (name,) in rows}
    except sqlite3.Error as problem:
        raise problems.of_sqlite(problem, path) or problems.damaged(path) from problem
    if not names.issuperset(METADATA.tables):
        raise problems.damaged(path)


def _check_writable(path: Path, uri: str) -> None:
    try:
        with closing(sqlite3.connect(uri, uri=True, isolation_level=None)) as connection:
            version = connection.execute("PRAGMA user_version").fetchone()[0]
            connection.execute("BEGIN IMMEDIATE")
            # On a file that can only be read, the transaction alone would begin without a word.
            connection.execute(f"PRAGMA user_version={version}")
            connection.execute("ROLLBACK")
            # A copy that was put in place, or a journal that was made on a failing disk, has no
            # write-ahead log yet. Where there can be none, commits are slower and as safe.
            connection.execute("PRAGMA journal_mode=WAL")
    except sqlite3.Error as problem:
        raise problems.of_sqlite(problem, path) or problems.damaged(path) from problem


def faults(path: Path, stop: Callable[[], bool]) -> tuple[str, ...]:
    """What a thorough look at every page, index and reference of a journal finds; empty if sound.

    It is slow, and given up once `stop()` is true.
    """
    found: list[str] = []
    try:
        with closing(sqlite3.connect(uri_of(path, read_only=True), uri=True)) as connection:
            connection.set_progress_handler(stop, 10_000)
            pages = [str(row[0]) for row in connection.execute("PRAGMA integrity_check(20)")]
            found.extend(page for page in pages if page != "ok")
            for table, row, parent, _ in connection.execute("PRAGMA foreign_key_check"):
                found.append(f"{table} row {row} points to no {parent}")
    except sqlite3.DatabaseError as problem:
        if stop():
            return ()
        found.append(str(problem))
    return tuple(found)
