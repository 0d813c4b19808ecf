"""The lines of cooks in their table: listed, and made again from the entries where they are spoilt.

Nothing is said there that the entries don't say. So a line that can't be read is no damage to the
journal: it is read off the entries once more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, select
from sqlalchemy.exc import DBAPIError

from smokejournal.journal.changes import CookLine
from smokejournal.journal.entry_table import line_off_entries, write_line
from smokejournal.journal.lines import UnreadLine, line_from
from smokejournal.journal.tables import COOKS, LINES


def lines_listed(
    connection: Connection,
    words: Sequence[str],
    limit: int | None,
    offset: int,
    *,
    away: bool = True,
) -> list[CookLine]:
    """Lines that hold all of `words`, newest first; without `away` none that were put away. UnreadLine, or an error of the database, where
    one of them is spoilt."""
    query = select(LINES).order_by(LINES.c.sort_ms.desc(), LINES.c.cook_id.desc())
    if not away:
        query = query.where(LINES.c.away == 0)
    for word in words:
        query = query.where(LINES.c.search.contains(word, autoescape=True))
    if limit is not None or offset:
        query = query.limit(-1 if limit is None else limit).offset(offset)
    return [
        _found(line_from(row), row["search"], words) for row in connection.execute(query).mappings()
    ]


def lines_off_entries(connection: Connection, words: Sequence[str]) -> list[CookLine]:
    """As `lines_listed` gives them all, but read off the entries. Slow."""
    rows = [line_off_entries(connection, number) for number in _cooks(connection)]
    rows.sort(key=lambda row: (row["sort_ms"], row["cook_id"]), reverse=True)
    return [
        _found(line_from(row), row["search"], words)
        for row in rows
        if all(word in row["search"] for word in words)
    ]


def _found(line: CookLine, search: str, words: Sequence[str]) -> CookLine:
    """The line with what was found, where it doesn't show that by itself."""
    seen = f"{line.title}\n{line.items}\n{line.place}".casefold()
    hidden = [word for word in words if word not in seen]
    if not hidden:
        return line
    parts = [part for part in search.split("\n") if any(word in part for word in hidden)]
    best = max(parts, key=lambda part: sum(word in part for word in hidden), default="")
    return replace(line, found=best)


def spoilt_lines(connection: Connection) -> tuple[int, ...]:
    """Cooks whose line is missing, can't be read or doesn't say what the entries say. Slow."""
    return tuple(
        number
        for number in _cooks(connection)
        if _row_in_table(connection, number) != line_off_entries(connection, number)
    )


def mend_lines(connection: Connection, cook_ids: Sequence[int]) -> None:
    """Writes the lines of these cooks anew."""
    # The index may tell of the line as it was before it was spoilt, and then can't be brought along.
    connection.exec_driver_sql("REINDEX cook_line")
    for number in cook_ids:
        write_line(connection, number)


def zone_of(connection: Connection, cook_id: int) -> str:
    """The IANA name of a cook's time zone, as its entries say."""
    return str(line_off_entries(connection, cook_id)["zone"])


def _cooks(connection: Connection) -> Sequence[int]:
    return connection.execute(select(COOKS.c.id).order_by(COOKS.c.id)).scalars().all()


def _row_in_table(connection: Connection, cook_id: int) -> dict[str, Any] | None:
    query = select(LINES).where(LINES.c.cook_id == cook_id)
    try:
        found = connection.execute(query).mappings().first()
        if found is not None:
            line_from(found)
    except (UnreadLine, DBAPIError):
        return None
    return None if found is None else dict(found)
