"""A new journal: made whole under another name, then given its own."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from smokejournal.cook.text.translate import translate
from smokejournal.journal import problems
from smokejournal.journal.connections import WRITES, engine_for, uri_of
from smokejournal.journal.durable import put_in_place
from smokejournal.journal.header import APPLICATION_ID, SCHEMA
from smokejournal.journal.private import make_file
from smokejournal.journal.problems import JournalProblem
from smokejournal.journal.tables import METADATA, REVISION
from smokejournal.journal.text_table import make_index

#: The table of the migrations, as they make it themselves.
_STAMP = (
    "CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL,"
    " CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num))"
)


def create(path: Path) -> None:
    """Makes an empty journal at `path`, where nothing is yet. JournalProblem where it can't."""
    log = path.with_name(path.name + "-wal")
    if log.exists() and log.stat().st_size:
        raise JournalProblem(
            translate(
                "Journal", "The journal's file {path} is gone, but its log {log} is still there."
            ).format(path=path, log=log.name),
            translate(
                "Journal",
                "Put {name} back beside it, or move the log to a safe place to begin a new journal.",
            ).format(name=path.name),
            path,
            "damaged",
        )
    unfinished = path.with_name(path.name + ".new")
    try:
        _remove(unfinished)
        try:
            _fill(unfinished)
            put_in_place(unfinished, path)
        finally:
            _remove(unfinished)
    except OSError as problem:
        raise problems.of_os(problem, path.parent) from problem
    except Exception as problem:
        trouble = problems.of_sqlite(problem, path)
        if trouble is None:
            raise
        raise trouble from problem


def _remove(path: Path) -> None:
    for ending in ("", "-wal", "-shm", "-journal"):
        path.with_name(path.name + ending).unlink(missing_ok=True)


def _fill(path: Path) -> None:
    make_file(path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA application_id={APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version={SCHEMA.packed}")
    engine = engine_for(uri_of(path, read_only=False), pooled=False)
    with engine.connect().execution_options(**{WRITES: True}) as writing, writing.begin():
        METADATA.create_all(writing)
        make_index(writing)
        writing.exec_driver_sql(_STAMP)
        writing.exec_driver_sql("INSERT INTO alembic_version VALUES (?)", (REVISION,))
    engine.dispose()
    with closing(sqlite3.connect(path)) as connection:
        # Where the disk can't share memory (a network share) this stays as it was, and works too.
        connection.execute("PRAGMA journal_mode=WAL")
