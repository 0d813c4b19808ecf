"""A whole cook as it stands in the tables, to be carried to another journal and back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from sqlalchemy import Connection, insert, select

from smokejournal.cook.log.entries import Unread
from smokejournal.cook.log.readings import FloatArray
from smokejournal.journal.entry_table import (
    ENTRY_COLUMNS,
    is_moment,
    is_whole,
    number_of,
    payload_of_bytes,
    row_of_entry,
    write_line,
)
from smokejournal.journal.reading_table import add_channel, channels_of, trace_of_channel
from smokejournal.journal.sums import Integers, SpoiltReadings
from smokejournal.journal.tables import COOKS, ENTRIES

#: What the kind of an entry that is damaged begins with where it is written again: no version knows it,
#: so it stays one that can't be read.
DAMAGED = "damaged "


@dataclass(frozen=True, slots=True)
class WrittenEntry:
    """An entry as it is written: `payload` is its JSON text in the `form` of that number."""

    id: int
    at_ms: int
    recorded_ms: int
    kind: str
    payload: str
    form: int

    @property
    def damaged(self) -> bool:
        """Whether it was no more as it was written when it was read off its table."""
        return self.kind.startswith(DAMAGED)

    @property
    def unread(self) -> bool:
        """Whether this version can't read it."""
        what = payload_of_bytes(self.kind.encode(), self.payload.encode(), self.form)
        return isinstance(what, Unread)


@dataclass(frozen=True, slots=True)
class WrittenCook:
    """A cook: its entries in the order of writing, and readings by channel, at `t_ms` (n,), ascending,
    with raw values in °C (n,). `spoilt` are readings that are left out because they are damaged."""

    opened_ms: int
    entries: tuple[WrittenEntry, ...]
    readings: Mapping[str, tuple[Integers, FloatArray]]
    spoilt: tuple[SpoiltReadings, ...] = ()


#: Gives the payload of an entry with the numbers that entries have now, by those they had.
Renumber = Callable[[WrittenEntry, Mapping[int, int]], str]


def written_cook(connection: Connection, cook_id: int) -> WrittenCook:
    """The cook with this number, which must be there."""
    opened_ms = connection.execute(
        select(COOKS.c.opened_ms).where(COOKS.c.id == cook_id)
    ).scalar_one()
    rows = connection.execute(
        select(*ENTRY_COLUMNS).where(ENTRIES.c.cook_id == cook_id).order_by(ENTRIES.c.id)
    )
    entries = tuple(_written(number, (cook_id, *row)) for number, *row in rows)
    readings: dict[str, tuple[Integers, FloatArray]] = {}
    spoilt: list[SpoiltReadings] = []
    for key, number in channels_of(connection, cook_id).items():
        trace, wrong = trace_of_channel(connection, cook_id, key, number)
        readings[key] = np.rint(trace.at_s * 1000).astype(np.int64), trace.value_c
        if wrong is not None:
            spoilt.append(wrong)
    return WrittenCook(opened_ms, entries, readings, tuple(spoilt))


def _written(number: int, row: tuple[object, ...]) -> WrittenEntry:
    _, at_ms, recorded_ms, kind, payload, form, _ = row
    kind_text, payload_text = (
        (each if isinstance(each, bytes) else b"").decode("utf-8", "replace")
        for each in (kind, payload)
    )
    if not is_whole(row):
        kind_text = f"{DAMAGED}{kind_text.removeprefix(DAMAGED)}"
    moments = [each for each in (at_ms, recorded_ms) if is_moment(each)] or [0]
    return WrittenEntry(
        number,
        int(str(moments[0])),
        int(str(moments[-1])),
        kind_text,
        payload_text,
        form if isinstance(form, int) and form > 0 else 1,
    )


def add_written_cook(connection: Connection, cook: WrittenCook, renumber: Renumber) -> int:
    """Adds a cook as a new one; gives its number. Its entries get numbers of their own, in order."""
    added = connection.execute(insert(COOKS).values(opened_ms=cook.opened_ms))
    cook_id = number_of(added)
    # One thread writes, so the numbers that come next are known before they are given.
    last = connection.exec_driver_sql("SELECT seq FROM sqlite_sequence WHERE name = 'entry'")
    begin = int(last.scalar() or 0) + 1
    numbers = {entry.id: begin + n for n, entry in enumerate(cook.entries)}
    rows = []
    for entry in cook.entries:
        payload = renumber(entry, numbers)
        row = row_of_entry(cook_id, entry.at_ms, entry.recorded_ms, entry.kind, payload, entry.form)
        rows.append({"id": numbers[entry.id], **row})
    if rows:
        connection.execute(insert(ENTRIES), rows)
    for key, (t_ms, value_c) in cook.readings.items():
        add_channel(connection, cook_id, key, t_ms, value_c)
    write_line(connection, cook_id)
    return cook_id
