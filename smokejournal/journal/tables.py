"""The tables. What stands here, and what the migrations make, is the same: a test compares them.

Every table is STRICT, so only INTEGER, REAL, TEXT and BLOB occur. Times are UTC milliseconds
(`*_ms`). Entries, readings and calibrations are written once: triggers refuse to change or to delete
them. SQLAlchemy's core alone: its ORM would add a tenth of a second to every start.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    DDL,
    REAL,
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
    event,
    text,
)

#: The newest migration. A new journal is made from the tables here and stamped with it.
REVISION = "0005"

#: Names of constraints are fixed from the first day: migrations in batches need them.
METADATA = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _flag(name: str) -> CheckConstraint:
    return CheckConstraint(f"{name} IN (0, 1)", name=name)


STRICT: dict[str, Any] = {"sqlite_strict": True}
COUNTED: dict[str, Any] = {"sqlite_strict": True, "sqlite_autoincrement": True}
WITHOUT_ROWID: dict[str, Any] = {"sqlite_strict": True, "sqlite_with_rowid": False}

COOKS = Table(
    "cook",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("opened_ms", Integer, nullable=False),
    **COUNTED,
)
"""A cook. All that is known of it is in its entries."""

ENTRIES = Table(
    "entry",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("cook_id", Integer, ForeignKey("cook.id"), nullable=False),
    Column("at_ms", Integer, nullable=False),
    Column("recorded_ms", Integer, nullable=False),
    Column("kind", Text, nullable=False),
    Column("payload", Text, nullable=False),
    Column("version", Integer, nullable=False),
    Column("sum", Integer, nullable=False),
    Index(None, "cook_id", "id"),
    **COUNTED,
)
"""One entry. `payload` is JSON in the form of `cook/codec/entries`, `version` that of the form, and
`sum` the checksum of it all."""

CHANNELS = Table(
    "channel",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("cook_id", Integer, ForeignKey("cook.id"), nullable=False),
    Column("key", Text, nullable=False),
    UniqueConstraint("cook_id", "key"),
    **STRICT,
)
"""The number under which the readings of one channel of one cook are kept."""

READINGS = Table(
    "reading",
    METADATA,
    Column("channel_id", Integer, ForeignKey("channel.id"), primary_key=True),
    Column("t_ms", Integer, primary_key=True),
    Column("value", REAL, nullable=False),
    **WITHOUT_ROWID,
)
"""One raw reading in °C. Ordered on disk by channel and time: half the size, twice the speed."""

READING_SUMS = Table(
    "reading_sum",
    METADATA,
    Column("cook_id", Integer, ForeignKey("cook.id"), primary_key=True),
    Column("minute", Integer, primary_key=True),
    Column("channel_id", Integer, ForeignKey("channel.id"), primary_key=True),
    Column("count", Integer, nullable=False),
    Column("sum", Integer, nullable=False),
    **WITHOUT_ROWID,
)
"""How many readings a channel has in one minute since 1970, and the checksum of them. Brought along
by the transaction that writes them; what all channels write now lies side by side on disk."""

LINES = Table(
    "cook_line",
    METADATA,
    Column("cook_id", Integer, ForeignKey("cook.id"), primary_key=True),
    Column("sort_ms", Integer, nullable=False),
    Column("opened_ms", Integer, nullable=False),
    Column("started_ms", Integer, nullable=True),
    Column("closed_ms", Integer, nullable=True),
    Column("wanted_ms", Integer, nullable=True),
    Column("title", Text, nullable=False),
    Column("zone", Text, nullable=False),
    Column("place", Text, nullable=False),
    Column("simulated", Integer, nullable=False),
    Column("away", Integer, nullable=False),
    Column("state", Text, nullable=False),
    Column("items", Text, nullable=False),
    Column("pieces", Text, nullable=False),
    Column("overall", REAL, nullable=True),
    Column("search", Text, nullable=False),
    Index(None, "sort_ms", "cook_id"),
    _flag("simulated"),
    _flag("away"),
    **STRICT,
)
"""A cook as the list shows it. Read off its entries in the transaction that writes them."""

TEXTS = Table(
    "cook_text",
    METADATA,
    Column("position", Integer, primary_key=True),
    Column("cook_id", Integer, ForeignKey("cook.id"), nullable=False),
    Column("in_index", Integer, nullable=False),
    Column("day", Integer, nullable=False),
    Column("foods", Text, nullable=False),
    Column("lots", Text, nullable=False),
    Column("air_low_c", REAL, nullable=True),
    Column("air_high_c", REAL, nullable=True),
    Column("wind_m_s", REAL, nullable=True),
    Column("parts", Text, nullable=False),
    Column("words", Text, nullable=False),
    UniqueConstraint("cook_id"),
    _flag("in_index"),
    Index("ix_cook_text_waiting", "in_index", sqlite_where=text("in_index = 0")),
    **STRICT,
)
"""What a search looks at in a cook, read off its entries like its line: see `journal/text_table.py`."""

BEHIND = Table(
    "text_behind",
    METADATA,
    Column("cook_id", Integer, ForeignKey("cook.id"), primary_key=True),
    **STRICT,
)
"""Cooks to which entries were added that their row of `cook_text` doesn't know of yet."""

PATTERNS = Table(
    "pattern",
    METADATA,
    Column("name", Text, primary_key=True),
    Column("schedule", Text, nullable=False),
    **STRICT,
)
"""A schedule saved by name."""

SETTINGS = Table(
    "setting",
    METADATA,
    Column("key", Text, primary_key=True),
    Column("value", Text, nullable=False),
    **STRICT,
)
"""A setting that belongs to the journal; `value` is JSON."""

LOTS = Table(
    "lot",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("bag_kg", REAL, nullable=True),
    Column("price", REAL, nullable=True),
    Column("currency", Text, nullable=False),
    Column("bags_bought", REAL, nullable=False),
    Column("wood", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("retired", Integer, nullable=False),
    # An older version keeps lots without these: so they may be left out.
    Column("label", Text, server_default="", nullable=False),
    Column("moisture_pct", REAL, nullable=True),
    Column("net_mj_kg", REAL, nullable=True),
    Column("low_below_kg", REAL, nullable=True),
    _flag("retired"),
    **COUNTED,
)
"""A lot of fuel."""

WARES = Table(
    "ware",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("sort", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("bought_kg", REAL, nullable=True),
    Column("bought_count", REAL, nullable=True),
    Column("price", REAL, nullable=True),
    Column("currency", Text, nullable=False),
    Column("low_below", REAL, nullable=True),
    Column("grain", Text, nullable=False),
    Column("cup_g", REAL, nullable=True),
    Column("form", Text, nullable=False),
    Column("recipe", Text, nullable=False),
    Column("salt_pct", REAL, nullable=True),
    Column("note", Text, nullable=False),
    Column("retired", Integer, nullable=False),
    UniqueConstraint("sort", "name"),
    _flag("retired"),
    **COUNTED,
)
"""A salt, a wood or a rub of the stores."""

PROBES = Table(
    "probe",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("accuracy_class", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("retired", Integer, nullable=False),
    _flag("retired"),
    **COUNTED,
)
"""A probe that the cook owns."""

CALIBRATIONS = Table(
    "calibration",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("probe_id", Integer, ForeignKey("probe.id"), nullable=False),
    Column("at_ms", Integer, nullable=False),
    Column("points", Text, nullable=False),
    Index(None, "probe_id", "at_ms"),
    **COUNTED,
)
"""One calibration of a probe. `points` is JSON in the form of `cook/probes`."""


def _write_once(table: Table, doing: str) -> None:
    """A trigger that refuses UPDATE or DELETE on a table."""
    event.listen(
        table,
        "after_create",
        DDL(  # type: ignore[no-untyped-call]
            f"CREATE TRIGGER {table.name}_no_{doing.lower()} BEFORE {doing} ON {table.name}"
            f" BEGIN SELECT RAISE(ABORT, 'what is in {table.name} is never changed'); END"
        ),
    )


for _table in (ENTRIES, READINGS, CALIBRATIONS):
    for _doing in ("UPDATE", "DELETE"):
        _write_once(_table, _doing)

#: A trigger marks the cook, so that a version which knows nothing of searches marks it too.
TEXT_TRIGGER = (
    "CREATE TRIGGER entry_text_behind AFTER INSERT ON entry"
    " BEGIN INSERT OR IGNORE INTO text_behind (cook_id) VALUES (new.cook_id); END"
)
event.listen(METADATA, "after_create", DDL(TEXT_TRIGGER))  # type: ignore[no-untyped-call]

#: The index of words. Not among the tables above: a SQLite without full-text search does without it.
WORD_INDEX = (
    "CREATE VIRTUAL TABLE cook_word USING fts5 (words, content='cook_text', content_rowid='position',"
    " tokenize=\"unicode61 remove_diacritics 2\", prefix='1 2 3')"
)
