"""What is looked through when a cook is searched for: kept beside its line, made again from the entries.

Each cook has a row in `cook_text`: the words of all that was written, and what filters ask for. Its
number orders it as the list of cooks does, so that the first page of what is found is read off the
index without sorting. `cook_word` is the full-text index over it (SQLite's FTS5, external content).

Nothing is said there that the entries don't say. A cook in `text_behind` has entries that its row
doesn't know; of a row that isn't `in_index` the index knows nothing, or what it was before.
"""

from __future__ import annotations

import logging
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import Connection, LargeBinary, cast, delete, exists, insert, or_, select, update
from sqlalchemy.exc import DBAPIError

from smokejournal.cook.log.cook_log import holding
from smokejournal.cook.log.entries import Entry, FuelAdded, ItemAdded, WeatherObserved
from smokejournal.cook.log.written_texts import texts_in
from smokejournal.cook.text.times import zone_of
from smokejournal.journal.connections import driver_of
from smokejournal.journal.tables import BEHIND, TEXTS, WORD_INDEX
from smokejournal.journal.words import FACT, AskedPhrase, joined, words_of

_log = logging.getLogger(__name__)

#: Bits of a row's number that hold the cook's; above them are the seconds by which cooks are ordered.
_COOK_BITS = 25
_EPOCH = date(1970, 1, 1)
_DAY_S = 86_400
#: What SQLite calls it where the tables of the index don't fit each other any more.
_DAMAGED = (sqlite3.SQLITE_ERROR, sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_CONSTRAINT)
#: Stands around each name of a list in one text.
_EDGE = "\n"


def text_row(line: Mapping[str, Any], entries: Sequence[Entry]) -> dict[str, Any]:
    """The row of a cook with this row of the list, and these entries."""
    held = holding(entries)
    texts = texts_in(held)
    weather = [entry.what for entry in held if isinstance(entry.what, WeatherObserved)]
    air = [seen.air_c for seen in weather if seen.air_c is not None]
    wind = [seen.wind_m_s for seen in weather if seen.wind_m_s is not None]
    foods = dict.fromkeys(entry.what.food for entry in held if isinstance(entry.what, ItemAdded))
    lots = dict.fromkeys(
        one_name(entry.what.lot) for entry in held if isinstance(entry.what, FuelAdded)
    )
    facts = [*map(_food_fact, foods), *map(_lot_fact, lots)]
    at = datetime.fromtimestamp(line["sort_ms"] / 1000, zone_of(line["zone"]) or UTC)
    return {
        "position": line["sort_ms"] // 1000 << _COOK_BITS | line["cook_id"],
        "cook_id": line["cook_id"],
        "day": at.toordinal(),
        "foods": _list(foods),
        "lots": _list(lots),
        "air_low_c": float(min(air)) if air else None,
        "air_high_c": float(max(air)) if air else None,
        "wind_m_s": float(max(wind)) if wind else None,
        "parts": " ".join(f"{entry.id}:{number}" for entry, number, _, _ in texts),
        "words": joined([*(words_of(text) for *_, text in texts), facts]),
    }


def _food_fact(food: str) -> str:
    return f"{FACT}food{FACT}{food.replace('_', FACT)}"


def _lot_fact(name: str) -> str:
    return f"{FACT}lot{FACT}{FACT.join(words_of(name))}"


def facts_asked(food: str | None, lot: str) -> list[AskedPhrase]:
    """What the index holds of a cook with this kind of food (None: any) and lot ("": any)."""
    facts = [_food_fact(food)] if food else []
    if lot:
        facts.append(_lot_fact(lot))
    return [AskedPhrase((fact,)) for fact in facts]


def first_position(day: date) -> int:
    """No cook of this day, in whatever zone, has a lower position."""
    return round((day - _EPOCH).total_seconds() - _DAY_S) << _COOK_BITS


def last_position(day: date) -> int:
    """No cook of this day, in whatever zone, has a higher position."""
    return round((day - _EPOCH).total_seconds() + 2 * _DAY_S) << _COOK_BITS


def _list(names: Iterable[str]) -> str:
    found = _EDGE.join(names)
    return f"{_EDGE}{found}{_EDGE}" if found else ""


def one_name(name: str) -> str:
    """A name as the lists of names hold it."""
    return " ".join(name.split())


def names_in(text: str) -> list[str]:
    """The names of such a list."""
    return [name for name in text.split(_EDGE) if name]


def edged(name: str) -> str:
    """What such a list holds where it holds this name."""
    return f"{_EDGE}{one_name(name)}{_EDGE}"


def can_index(connection: Connection) -> bool:
    """Whether this SQLite has full-text search."""
    found = driver_of(connection).execute(
        "SELECT 1 FROM pragma_module_list WHERE name = 'fts5' LIMIT 1"
    )
    return found.fetchone() is not None


def has_index(connection: Connection) -> bool:
    """Whether there is an index that can be used, be it behind or not."""
    found = driver_of(connection).execute(
        "SELECT 1 FROM sqlite_schema WHERE name = 'cook_word' AND type = 'table'"
    )
    return found.fetchone() is not None and can_index(connection)


def is_current(connection: Connection) -> bool:
    """Whether the index knows all that the entries say."""
    behind = select(exists().select_from(BEHIND))
    waiting = select(exists().select_from(TEXTS).where(TEXTS.c.in_index == 0))
    return not (
        connection.execute(behind).scalar_one() or connection.execute(waiting).scalar_one()
    ) and has_index(connection)


def cooks_behind(connection: Connection, most: int | None = None) -> tuple[int, ...]:
    """The cooks whose row doesn't know all of their entries."""
    query = select(BEHIND.c.cook_id).order_by(BEHIND.c.cook_id.desc()).limit(most)
    return tuple(connection.execute(query).scalars())


def is_behind(connection: Connection, cook_id: int) -> bool:
    """Whether the row of this cook is behind its entries."""
    query = select(BEHIND.c.cook_id).where(BEHIND.c.cook_id == cook_id)
    return connection.execute(query).first() is not None


def mark_current(connection: Connection, cook_id: int) -> None:
    """The row of this cook knows all that its entries say."""
    connection.execute(delete(BEHIND).where(BEHIND.c.cook_id == cook_id))


def write_texts(connection: Connection, row: Mapping[str, Any]) -> None:
    """Writes the row of a cook, and brings the index along where that can be done."""
    cook_id = row["cook_id"]
    # As bytes: where some were spoilt they may be no text.
    columns = TEXTS.c.position, TEXTS.c.in_index, cast(TEXTS.c.words, LargeBinary)
    before = connection.execute(select(*columns).where(TEXTS.c.cook_id == cook_id)).first()
    here = or_(TEXTS.c.cook_id == cook_id, TEXTS.c.position == row["position"])
    connection.execute(delete(TEXTS).where(here))
    # Without what it was, the index can't forget it: then it is made anew as a whole, later.
    known = before is None or before.in_index == 1
    indexed = known and _index(connection, None if before is None else tuple(before), row)
    connection.execute(insert(TEXTS), {**row, "in_index": int(indexed)})
    mark_current(connection, cook_id)


def _index(
    connection: Connection, before: tuple[int, int, bytes] | None, row: Mapping[str, Any]
) -> bool:
    """Whether the index now knows this row. A damaged index keeps nobody from writing."""
    if not has_index(connection):
        return False
    try:
        with connection.begin_nested():
            if before is not None:
                connection.exec_driver_sql(
                    "INSERT INTO cook_word (cook_word, rowid, words) VALUES ('delete', ?, ?)",
                    (before[0], before[2].decode()),
                )
            connection.exec_driver_sql(
                "INSERT INTO cook_word (rowid, words) VALUES (?, ?)",
                (row["position"], row["words"]),
            )
    except (DBAPIError, UnicodeDecodeError) as problem:
        if _code(problem) not in _DAMAGED:
            raise
        _log.warning("The index of words can't be written and is made anew: %s", problem)
        return False
    return True


def forget_in_index(connection: Connection, cook_id: int) -> None:
    """What the index knows of this cook is no longer believed."""
    connection.execute(update(TEXTS).where(TEXTS.c.cook_id == cook_id).values(in_index=0))


def index_is_whole(connection: Connection) -> bool:
    """Whether the index says what the rows say. Slow, and the writer's."""
    try:
        with connection.begin_nested():
            connection.exec_driver_sql(
                "INSERT INTO cook_word (cook_word, rank) VALUES ('integrity-check', 1)"
            )
    except DBAPIError:
        return False
    return True


def make_index(connection: Connection) -> None:
    """Makes the index anew out of the rows, where this SQLite can. Slow."""
    if not can_index(connection):
        return
    try:
        with connection.begin_nested():
            connection.exec_driver_sql("DROP TABLE IF EXISTS cook_word")
            connection.exec_driver_sql(WORD_INDEX)
            connection.exec_driver_sql("INSERT INTO cook_word (cook_word) VALUES ('rebuild')")
            connection.execute(update(TEXTS).where(TEXTS.c.in_index == 0).values(in_index=1))
    except DBAPIError as problem:
        if _code(problem) not in _DAMAGED:
            raise
        _log.error("Searches look through every cook, for the index can't be made: %s", problem)


def _code(problem: Exception) -> int:
    code = getattr(getattr(problem, "orig", None), "sqlite_errorcode", sqlite3.SQLITE_ERROR)
    return int(code) & 0xFF
