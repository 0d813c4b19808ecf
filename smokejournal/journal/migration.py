"""Bringing an older journal up to date, after a copy of it is safe.

Loaded only when a journal is behind: Alembic takes a sixth of a second to import.
"""

from __future__ import annotations

import logging
import time
from pathlib import Path

from alembic import command
from alembic.config import Config

from smokejournal.cook.text.translate import translate
from smokejournal.journal import problems
from smokejournal.journal.backups import back_up
from smokejournal.journal.connections import WRITES, engine_for, uri_of
from smokejournal.journal.header import SCHEMA, Version
from smokejournal.journal.problems import JournalProblem

SCRIPTS = Path(__file__).with_name("migrations")

_log = logging.getLogger(__name__)


def config_for(scripts: Path) -> Config:
    """Alembic's configuration, without a file of its own."""
    config = Config()
    # Alembic reads its options with % as a mark of its own.
    config.set_main_option("script_location", str(scripts).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config


def migrate(
    path: Path, version: Version, *, scripts: Path = SCRIPTS, target: Version = SCHEMA
) -> Path:
    """Copies the journal at `path`, then brings it to `target`; gives the path of the copy.

    All migrations run in one transaction. One that fails leaves the journal as it was, and is a
    JournalProblem that names the copy.
    """
    copy = back_up(path, version, time.time())
    config = config_for(scripts)
    engine = engine_for(uri_of(path, read_only=False), foreign_keys=False, pooled=False)
    try:
        with engine.connect().execution_options(**{WRITES: True}) as writing, writing.begin():
            config.attributes["connection"] = writing
            command.upgrade(config, "head")
            orphans = writing.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
            if orphans:
                raise RuntimeError(f"rows that point nowhere: {orphans[:5]}")
            writing.exec_driver_sql(f"PRAGMA user_version={target.packed}")
    except Exception as problem:
        _log.exception("The journal %s could not be brought up to date", path)
        trouble = problems.of_sqlite(problem, path)
        raise trouble or JournalProblem(
            translate("Journal", "The journal {path} could not be updated ({detail}).").format(
                path=path, detail=str(problem).splitlines()[0] if str(problem) else problem
            ),
            translate(
                "Journal",
                "It is unchanged, and a copy is {copy}. Use the version of the program that "
                "wrote it until this is fixed, and report this message.",
            ).format(copy=copy),
            path,
        ) from problem
    finally:
        engine.dispose()
    return copy
