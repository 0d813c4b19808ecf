"""Entries in their table, and what follows from them: the line of the cook, and what searches look at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, cast

from sqlalchemy import Connection, CursorResult, LargeBinary, insert, select
from sqlalchemy import cast as cast_column
from sqlalchemy.dialects.sqlite import insert as insert_or

from smokejournal.cook.codec.entries import decode_text, encode_text
from smokejournal.cook.log.entries import CookOpened, Entry, Payload, Strike, Unread
from smokejournal.cook.log.ranges import LAST_S
from smokejournal.cook.log.written_texts import TEXT_KINDS
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.journal.lines import LINE_KINDS, line_of, ms, row_of, search_text
from smokejournal.journal.sums import entry_sum
from smokejournal.journal.tables import COOKS, ENTRIES, LINES
from smokejournal.journal.text_table import is_behind, mark_current, text_row, write_texts

#: The form in which payloads are written (`cook/codec/entries`).
FORM = 1
#: The kinds of entries from which anything follows. Others leave it as it is.
FOLLOWED = tuple(dict.fromkeys((*LINE_KINDS, *TEXT_KINDS)))


def open_cook(
    connection: Connection, opened: CookOpened, at_s: float, recorded_s: float
) -> tuple[int, Entry]:
    """Adds a cook with its first entry."""
    added = connection.execute(insert(COOKS).values(opened_ms=ms(at_s)))
    cook_id = number_of(added)
    return cook_id, add_entries(connection, cook_id, [(at_s, opened)], recorded_s)[0]


def number_of(added: CursorResult[Any]) -> int:
    """The number that a row got which was just added."""
    return int(cast(Any, added.inserted_primary_key)[0])


def add_entries(
    connection: Connection,
    cook_id: int,
    items: Sequence[tuple[float, Payload]],
    recorded_s: float,
) -> tuple[Entry, ...]:
    """Adds entries to a cook, and brings along what follows from them."""
    behind = is_behind(connection, cook_id)
    added = tuple(_add(connection, cook_id, what, at_s, recorded_s) for at_s, what in items)
    if any(entry.what.kind in FOLLOWED for entry in added):
        write_line(connection, cook_id)
    elif not behind:
        mark_current(connection, cook_id)
    return added


def _add(
    connection: Connection, cook_id: int, what: Payload, at_s: float, recorded_s: float
) -> Entry:
    if isinstance(what, Strike):
        _check_strike(connection, cook_id, what)
    kind, payload = encode_text(what)
    at_ms, recorded_ms = ms(at_s), ms(recorded_s)
    row = row_of_entry(cook_id, at_ms, recorded_ms, kind, payload, FORM)
    added = connection.execute(insert(ENTRIES), row)
    return Entry(number_of(added), at_ms / 1000, recorded_ms / 1000, what)


def row_of_entry(
    cook_id: int, at_ms: int, recorded_ms: int, kind: str, payload: str, form: int
) -> dict[str, Any]:
    """An entry as its table takes it, with its checksum."""
    return {
        "cook_id": cook_id,
        "at_ms": at_ms,
        "recorded_ms": recorded_ms,
        "kind": kind,
        "payload": payload,
        "version": form,
        "sum": entry_sum(cook_id, at_ms, recorded_ms, kind.encode(), payload.encode(), form),
    }


def _check_strike(connection: Connection, cook_id: int, strike: Strike) -> None:
    """A strike of another cook's entry, or of none, would strike who knows what later."""
    found = connection.execute(
        select(ENTRIES.c.id).where(ENTRIES.c.id == strike.entry_id, ENTRIES.c.cook_id == cook_id)
    ).first()
    if found is None:
        raise SchemaProblem(
            "entry_id", translate("Journal", "There is no such entry in this cook.")
        )


def entries_of(
    connection: Connection, cook_id: int, kinds: Sequence[str] | None = None
) -> tuple[Entry, ...]:
    """The entries of a cook in the order of writing; with `kinds` only those."""
    query = select(*ENTRY_COLUMNS).where(ENTRIES.c.cook_id == cook_id).order_by(ENTRIES.c.id)
    if kinds is not None:
        query = query.where(ENTRIES.c.kind.in_(kinds))
    return tuple(
        entry_of_row(number, (cook_id, *row)) for number, *row in connection.execute(query)
    )


def damaged_entries(connection: Connection) -> tuple[int, ...]:
    """The numbers of all entries that aren't as they were written. Slow."""
    rows = connection.execute(select(ENTRIES.c.cook_id, *ENTRY_COLUMNS))
    return tuple(number for cook_id, number, *row in rows if not is_whole((cook_id, *row)))


#: Texts as bytes: where some were spoilt they may be no text, which costs an entry and not the cook.
ENTRY_COLUMNS = (
    ENTRIES.c.id,
    ENTRIES.c.at_ms,
    ENTRIES.c.recorded_ms,
    cast_column(ENTRIES.c.kind, LargeBinary),
    cast_column(ENTRIES.c.payload, LargeBinary),
    ENTRIES.c.version,
    ENTRIES.c.sum,
)


def entry_of_row(number: int, row: Sequence[Any]) -> Entry:
    """The entry with this number out of its row: cook, when it happened and was recorded [ms], kind and
    payload as bytes, form, checksum. One that isn't as it was written is `Unread`."""
    _, at_ms, recorded_ms, kind, payload, form, _ = row
    if is_whole(row):
        return Entry(
            number, at_ms / 1000, recorded_ms / 1000, payload_of_bytes(kind, payload, form)
        )
    moments = [each / 1000 for each in (at_ms, recorded_ms) if is_moment(each)] or [0.0]
    why = translate("Journal", "This entry is damaged: it isn't as it was written any more.")
    what = replace(_unread(kind or b"", payload or b"", why), damaged=True)
    return Entry(number, moments[0], moments[-1], what)


def is_whole(row: Sequence[Any]) -> bool:
    """Whether the row of an entry (see `entry_of_row`) is as it was written."""
    cook_id, at_ms, recorded_ms, kind, payload, form, kept = row
    found = entry_sum(cook_id, at_ms, recorded_ms, kind or b"", payload or b"", form)
    return bool(kept == found)


def is_moment(at_ms: object) -> bool:
    """Whether this can be a moment in the journal [ms]."""
    return isinstance(at_ms, int) and 0 <= at_ms <= LAST_S * 1000


def _unread(kind: bytes, payload: bytes, why: str) -> Unread:
    text = payload.decode("utf-8", "replace")
    return Unread(written_kind=kind.decode("utf-8", "replace"), data={"text": text}, why=why)


def payload_of_bytes(kind: bytes, payload: bytes, form: int) -> Payload:
    """The payload that was written so; `Unread` also where the bytes are no text."""
    try:
        written_kind, text = kind.decode("utf-8"), payload.decode("utf-8")
    except UnicodeDecodeError as problem:
        return _unread(kind, payload, str(problem))
    if form > FORM:
        why = translate("Journal", "This entry was written by a newer version of the program.")
        return _unread(kind, payload, why)
    return decode_text(written_kind, text)


def entries_numbered(connection: Connection, numbers: Sequence[int]) -> dict[int, Entry]:
    """The entries with these numbers, by their number; those that aren't there are left out."""
    query = select(ENTRIES.c.cook_id, *ENTRY_COLUMNS).where(ENTRIES.c.id.in_(numbers))
    return {
        number: entry_of_row(number, (cook_id, *row))
        for cook_id, number, *row in connection.execute(query)
    }


def rows_off_entries(connection: Connection, cook_id: int) -> tuple[dict[str, Any], dict[str, Any]]:
    """The line of a cook as its table should hold it, and its texts so."""
    entries = entries_of(connection, cook_id, FOLLOWED)
    opened_ms = connection.execute(
        select(COOKS.c.opened_ms).where(COOKS.c.id == cook_id)
    ).scalar_one()
    line = row_of(line_of(cook_id, opened_ms / 1000, entries), search_text(entries))
    return line, text_row(line, entries)


def write_line(connection: Connection, cook_id: int) -> None:
    """Reads the line of a cook, and its texts, off its entries and writes them."""
    row, texts = rows_off_entries(connection, cook_id)
    statement = insert_or(LINES)
    connection.execute(
        statement.on_conflict_do_update(
            index_elements=[LINES.c.cook_id],
            set_={name: statement.excluded[name] for name in row if name != "cook_id"},
        ),
        row,
    )
    write_texts(connection, texts)
