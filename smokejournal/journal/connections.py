"""Connections to the journal's file, all set up alike."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import cast

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.pool import NullPool, QueuePool

#: How long to wait for another program that holds the file.
BUSY_MS = 5000
#: Marks the connection that writes: it takes the write lock at once, lest it fail halfway.
WRITES = "smokejournal_writes"


def uri_of(path: Path, *, read_only: bool) -> str:
    """`path` as SQLite's URI. It never makes a file that isn't there."""
    return f"{path.resolve().as_uri()}?mode={'ro' if read_only else 'rw'}"


def engine_for(uri: str, *, foreign_keys: bool = True, pooled: bool = True) -> Engine:
    """An engine whose connections commit only to disk and trust nothing in the file.

    `foreign_keys` off is for migrations: rebuilding a table with them on would silently delete the
    rows that point to it.
    """

    def connect() -> sqlite3.Connection:
        connection = sqlite3.connect(uri, uri=True, check_same_thread=False, timeout=BUSY_MS / 1000)
        # Python's own transactions leave changes of tables outside; we begin and end them ourselves.
        connection.isolation_level = None
        for pragma in (
            f"foreign_keys={'ON' if foreign_keys else 'OFF'}",
            # FULL, and where there is no write-ahead log, a commit waits until the rollback journal's
            # name is gone for good: else a power cut brings it back and takes the commit away
            # (sqlite.org/pragma.html, synchronous).
            "synchronous=EXTRA",
            "trusted_schema=OFF",
            # A cook is read through once: what a connection keeps beyond this is memory lost, in each
            # of the pool's.
            "cache_size=-500",
            # What is sorted on the way must not need the temporary folder, which may be full.
            "temp_store=MEMORY",
            # Without it, INSERT OR REPLACE slips past the triggers that guard entries and readings.
            "recursive_triggers=ON",
            f"busy_timeout={BUSY_MS}",
        ):
            connection.execute(f"PRAGMA {pragma}")
        return connection

    engine = create_engine(
        "sqlite://", creator=connect, poolclass=QueuePool if pooled else NullPool
    )

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writes = WRITES in connection.get_execution_options()
        driver_of(connection).execute("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def driver_of(connection: Connection) -> sqlite3.Connection:
    """The driver's own connection beneath, for what is said at every reading: much faster."""
    return cast(sqlite3.Connection, connection.connection.dbapi_connection)
