"""Settings in their table, each as JSON."""

from __future__ import annotations

import json
import logging
from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection
from sqlalchemy.dialects.sqlite import Insert
from sqlalchemy.dialects.sqlite import insert as insert_or

from smokejournal.journal.connections import driver_of
from smokejournal.journal.tables import SETTINGS

_log = logging.getLogger(__name__)


def setting_of(connection: Connection, key: str, default: Any) -> Any:
    """A setting, or `default` where it was never set or can't be read."""
    # Every one is asked for before the window shows, so of the driver itself.
    # As bytes: what isn't text any more can't be read as such.
    found = driver_of(connection).execute(
        "SELECT CAST(value AS BLOB) FROM setting WHERE key = ?", (key,)
    )
    row = found.fetchone()
    if row is None:
        return default
    try:
        return _kept_value(row[0])
    except ValueError as problem:
        _log.warning("The setting %r can't be read: %s", key, problem)
        return default


def settings_of(connection: Connection) -> dict[str, Any]:
    """Every setting that was ever set and can be read, by its key."""
    return {key: _kept_value(kept) for key, kept in _rows(connection) if not _is_unread(kept)}


def unread_settings_of(connection: Connection) -> tuple[str, ...]:
    """The settings that were kept and can't be read."""
    return tuple(key for key, kept in _rows(connection) if _is_unread(kept))


def _rows(connection: Connection) -> Iterator[tuple[str, bytes]]:
    for key, kept in driver_of(connection).execute(
        "SELECT CAST(key AS BLOB), CAST(value AS BLOB) FROM setting ORDER BY key"
    ):
        yield key.decode("utf-8", "replace"), kept


def keep_setting(key: str, value: Any) -> Insert:
    """The statement that keeps a setting. ValueError or TypeError where JSON can't hold the value."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False)
    return (
        insert_or(SETTINGS)
        .values(key=key, value=text)
        .on_conflict_do_update(index_elements=[SETTINGS.c.key], set_={"value": text})
    )


def _kept_value(kept: bytes) -> Any:
    """What a setting holds. ValueError where the bytes are no JSON."""
    try:
        return json.loads(kept.decode("utf-8"))
    except RecursionError as problem:
        raise ValueError(str(problem)) from problem


def _is_unread(kept: bytes) -> bool:
    try:
        _kept_value(kept)
    except ValueError:
        return True
    return False
