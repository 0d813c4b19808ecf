"""The lines of cooks in their table: listed, and made again from the entries where they are spoilt.

Nothing is said there that the entries don't say. So a line that can't be read is no damage to the
journal: it is read off the entries once more.
"""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, select
from sqlalchemy.exc import DBAPIError

from smokejournal.journal.changes import CookLine
from smokejournal.journal.entry_table import rows_off_entries, write_line
from smokejournal.journal.lines import UnreadLine, line_from
from smokejournal.journal.tables import COOKS, LINES, TEXTS
from smokejournal.journal.text_table import (
    cooks_behind,
    forget_in_index,
    index_is_whole,
    is_behind,
    is_current,
    make_index,
)


def lines_listed(
    connection: Connection, limit: int | None, offset: int, *, away: bool = True
) -> list[CookLine]:
    """Lines, newest first; without `away` none that were put away. UnreadLine, or an error of the
    database, where one of them is spoilt."""
    query = select(LINES).order_by(LINES.c.sort_ms.desc(), LINES.c.cook_id.desc())
    if not away:
        query = query.where(LINES.c.away == 0)
    if limit is not None or offset:
        query = query.limit(-1 if limit is None else limit).offset(offset)
    return [line_from(row) for row in connection.execute(query).mappings()]


def spoilt_lines(connection: Connection) -> tuple[int, ...]:
    """Cooks whose line or texts are missing, can't be read or don't say what the entries say. Slow."""
    behind = set(cooks_behind(connection))
    return tuple(
        number
        for number in connection.execute(select(COOKS.c.id).order_by(COOKS.c.id)).scalars().all()
        if number in behind or _is_spoilt(connection, number)
    )


def _is_spoilt(connection: Connection, cook_id: int) -> bool:
    line, texts = rows_off_entries(connection, cook_id)
    try:
        found = (
            connection.execute(select(LINES).where(LINES.c.cook_id == cook_id)).mappings().first()
        )
        if found is None:
            return True
        line_from(found)
        written = select(*(TEXTS.c[name] for name in texts)).where(TEXTS.c.cook_id == cook_id)
        told = connection.execute(written).mappings().first()
        return dict(found) != line or told is None or dict(told) != texts
    except (UnreadLine, DBAPIError):
        return True


def mend_lines(connection: Connection, cook_ids: Sequence[int]) -> None:
    """Writes the lines and texts of these cooks anew, and the index of words if it isn't whole."""
    if cook_ids:
        # Indexes may tell of rows as they were before they were spoilt, and then can't be brought along.
        connection.exec_driver_sql("REINDEX cook_line")
        connection.exec_driver_sql("REINDEX cook_text")
    for number in cook_ids:
        if not is_behind(connection, number):
            forget_in_index(connection, number)
        write_line(connection, number)
    if not index_is_whole(connection) or not is_current(connection):
        make_index(connection)


def zone_of(connection: Connection, cook_id: int) -> str:
    """The IANA name of a cook's time zone, as its entries say."""
    return str(rows_off_entries(connection, cook_id)[0]["zone"])
