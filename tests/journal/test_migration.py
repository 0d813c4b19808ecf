"""Bringing a journal up to date: a copy first, all or nothing, and the models say the same."""

import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine

from smokejournal.cook.log.entries import CookOpened, Note
from smokejournal.cook.log.readings import Reading
from smokejournal.journal import Journal, JournalProblem, migration, opening
from smokejournal.journal.header import APPLICATION_ID, SCHEMA, Version
from smokejournal.journal.migration import SCRIPTS, config_for, migrate
from smokejournal.journal.opening import FILE_NAME
from smokejournal.journal.tables import REVISION

AT_S = 1_780_000_000.0
LATER = Version(SCHEMA.major + 1, 0)

REBUILDS_TABLES = """
import sqlalchemy as sa
from alembic import op

revision = "next"
down_revision = "{head}"


def upgrade():
    # Tables that are rebuilt lose what is not said again.
    with op.batch_alter_table(
        "cook", recreate="always", table_kwargs={{"sqlite_strict": True, "sqlite_autoincrement": True}}
    ) as table:
        table.add_column(sa.Column("rating", sa.Integer()))
    op.execute("CREATE TABLE extra (id INTEGER PRIMARY KEY) STRICT")
{more}
"""


def scripts_with(tmp_path: Path, more: str = "") -> Path:
    scripts = tmp_path / "scripts %d"
    shutil.copytree(SCRIPTS, scripts, ignore=shutil.ignore_patterns("__pycache__"))
    (scripts / "versions" / "v_next.py").write_text(
        REBUILDS_TABLES.format(head=REVISION, more=more)
    )
    return scripts


def fill(folder: Path) -> Path:
    with Journal.open(folder) as journal:
        cook = journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
        journal.append(cook, Note("before"), AT_S, AT_S).result(10)
        journal.append_readings(cook, [Reading(AT_S + n, "p1", float(n)) for n in range(9)])
    return folder / FILE_NAME


def dump(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as connection:
        return list(connection.iterdump())


def ask(path: Path, query: str) -> object:
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(query).fetchone()[0]


def schema_of(path: Path) -> dict[str, str]:
    with closing(sqlite3.connect(path)) as connection:
        rows = connection.execute(
            "SELECT name, sql FROM sqlite_schema WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%'"
        )
        return {name: re.sub(r"\s+", "", sql) for name, sql in rows}


def test_a_new_journal_equals_one_that_came_through_all_migrations(
    folder: Path, tmp_path: Path
) -> None:
    Journal.open(folder).close()
    migrated = tmp_path / "migrated.sqlite"
    with closing(sqlite3.connect(migrated)) as connection:
        connection.execute(f"PRAGMA application_id={APPLICATION_ID}")
    migrate(migrated, Version(0, 0))
    assert schema_of(migrated) == schema_of(folder / FILE_NAME)
    for query in ("SELECT version_num FROM alembic_version", "PRAGMA user_version"):
        assert ask(migrated, query) == ask(folder / FILE_NAME, query)


def test_the_models_are_stamped_with_the_newest_migration() -> None:
    assert ScriptDirectory.from_config(config_for(SCRIPTS)).get_heads() == [REVISION]


def test_every_table_is_strict(folder: Path) -> None:
    path = fill(folder)
    with closing(sqlite3.connect(path)) as connection:
        loose = connection.execute(
            "SELECT name FROM pragma_table_list WHERE type = 'table' AND NOT strict"
            " AND name NOT LIKE 'sqlite_%' AND name <> 'alembic_version'"
        ).fetchall()
    assert loose == []


def test_a_copy_is_kept_and_rebuilt_tables_keep_what_points_to_them(
    folder: Path, tmp_path: Path
) -> None:
    path = fill(folder)
    before = dump(path)
    copy = migrate(path, SCHEMA, scripts=scripts_with(tmp_path), target=LATER)
    assert copy.parent == folder / "backups"
    assert dump(copy) == before
    assert list(copy.parent.iterdir()) == [copy]
    assert ask(path, "PRAGMA user_version") == LATER.packed
    assert ask(path, "SELECT count(*) FROM entry") == 2
    assert ask(path, "SELECT count(*) FROM reading") == 9
    assert ask(path, "SELECT rating IS NULL FROM cook") == 1
    assert ask(path, "SELECT strict FROM pragma_table_list WHERE name = 'cook'") == 1
    assert "AUTOINCREMENT" in str(ask(path, "SELECT sql FROM sqlite_schema WHERE name = 'cook'"))


@pytest.mark.parametrize(
    "more",
    [
        '    raise RuntimeError("half way")',
        '    op.execute("DELETE FROM entry")',
        '    op.execute("DELETE FROM channel")',
        '    op.execute("CREATE TABLE extra (id INTEGER PRIMARY KEY) STRICT")',
    ],
)
def test_a_migration_that_fails_leaves_everything_as_it_was(
    folder: Path, tmp_path: Path, more: str
) -> None:
    path = fill(folder)
    before = dump(path)
    with pytest.raises(JournalProblem, match="could not be updated") as told:
        migrate(path, SCHEMA, scripts=scripts_with(tmp_path, more), target=LATER)
    (copy,) = (folder / "backups").iterdir()
    assert str(copy) in told.value.cure
    assert dump(path) == before
    assert ask(path, "PRAGMA user_version") == SCHEMA.packed
    # And it opens as if nothing had been.
    with Journal.open(folder) as journal:
        assert journal.check() == ()
        assert journal.count_cooks() == 1


def test_no_copy_no_migration(folder: Path, tmp_path: Path) -> None:
    path = fill(folder)
    before = dump(path)
    (folder / "backups").write_text("in the way")
    with pytest.raises(JournalProblem, match="is a file where a folder is needed"):
        migrate(path, SCHEMA, scripts=scripts_with(tmp_path), target=LATER)
    assert dump(path) == before


def test_opening_brings_an_older_journal_up_to_date_and_names_the_copy(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = fill(folder)
    scripts = scripts_with(tmp_path)

    def migrate_on(path: Path, version: Version) -> Path:
        return migrate(path, version, scripts=scripts, target=LATER)

    monkeypatch.setattr(opening, "SCHEMA", LATER)
    monkeypatch.setattr("smokejournal.journal.header.SCHEMA", LATER)
    with pytest.raises(JournalProblem, match="older version") as told:
        Journal.open(folder, read_only=True)
    assert "Open it once with the program" in told.value.cure
    assert ask(path, "PRAGMA user_version") == SCHEMA.packed
    monkeypatch.setattr(migration, "migrate", migrate_on)
    with Journal.open(folder) as journal:
        assert journal.copied_to is not None
        assert journal.copied_to.exists()
        journal.append(1, Note("after"), AT_S, AT_S).result(10)
    with Journal.open(folder) as journal:
        assert journal.copied_to is None
        assert [entry.what for entry in journal.entries(1)][1:] == [Note("before"), Note("after")]


def test_python_drivers_own_transactions_would_have_left_half_a_migration(tmp_path: Path) -> None:
    """Why the engines begin transactions themselves: a guard against undoing it."""
    plain = create_engine(f"sqlite:///{tmp_path / 'plain.sqlite'}")
    with plain.connect() as connection:
        transaction = connection.begin()
        connection.exec_driver_sql("CREATE TABLE half (id INTEGER)")
        transaction.rollback()
    plain.dispose()
    assert ask(tmp_path / "plain.sqlite", "SELECT count(*) FROM sqlite_schema") == 1
