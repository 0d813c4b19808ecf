"""Readings in their table: kept by channel and whole millisecond, read back as arrays."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any, cast

import numpy as np
from sqlalchemy import Connection

from smokejournal.cook.log.readings import Reading, Trace
from smokejournal.journal.connections import driver_of
from smokejournal.journal.lines import ms


@dataclass(slots=True)
class _Place:
    """Where the readings of a channel go: its number, and the newest millisecond that is taken."""

    channel_id: int
    newest_ms: int | None


class ReadingTable:
    """What the writer knows of the table. For the one thread that writes."""

    def __init__(self) -> None:
        self._places: dict[tuple[int, str], _Place] = {}

    def forget(self) -> None:
        """Forgets what it knows, after a write that came to nothing."""
        self._places.clear()

    def add(
        self, connection: Connection, cook_id: int, readings: Sequence[Reading]
    ) -> tuple[Reading, ...]:
        """Adds readings and gives them as they are kept.

        One whose millisecond is taken in its channel goes to the next free one, so that none is lost.
        """
        rows: list[tuple[int, int, float]] = []
        kept: list[Reading] = []
        by_channel: dict[str, list[int]] = {}
        for number, reading in enumerate(readings):
            by_channel.setdefault(reading.channel, []).append(number)
        times_ms = [ms(reading.at_s) for reading in readings]
        for channel, numbers in by_channel.items():
            place = self._place(connection, cook_id, channel)
            _set_apart(connection, place, times_ms, numbers)
            for number in numbers:
                rows.append((place.channel_id, times_ms[number], float(readings[number].value_c)))
        driver_of(connection).executemany(
            "INSERT INTO reading (channel_id, t_ms, value) VALUES (?, ?, ?)", rows
        )
        for reading, t_ms in zip(readings, times_ms, strict=True):
            kept.append(Reading(t_ms / 1000, reading.channel, float(reading.value_c)))
        return tuple(kept)

    def _place(self, connection: Connection, cook_id: int, channel: str) -> _Place:
        place = self._places.get((cook_id, channel))
        if place is None:
            connection.exec_driver_sql(
                "INSERT INTO channel (cook_id, key) VALUES (?, ?) ON CONFLICT DO NOTHING",
                (cook_id, channel),
            )
            channel_id = connection.exec_driver_sql(
                "SELECT id FROM channel WHERE cook_id = ? AND key = ?", (cook_id, channel)
            ).scalar_one()
            newest = connection.exec_driver_sql(
                "SELECT max(t_ms) FROM reading WHERE channel_id = ?", (channel_id,)
            ).scalar_one()
            place = self._places[cook_id, channel] = _Place(channel_id, newest)
        return place


def _set_apart(
    connection: Connection, place: _Place, times_ms: list[int], numbers: list[int]
) -> None:
    """Moves times on, in place, until each is free in its channel and none occurs twice."""
    newest = place.newest_ms
    if len(numbers) == 1 and (newest is None or times_ms[numbers[0]] > newest):
        place.newest_ms = times_ms[numbers[0]]  # the usual case by far
        return
    low = min(times_ms[number] for number in numbers)
    taken: set[int] = set()
    if newest is not None and low <= newest:
        rows = connection.exec_driver_sql(
            "SELECT t_ms FROM reading WHERE channel_id = ? AND t_ms >= ?", (place.channel_id, low)
        )
        taken.update(row[0] for row in rows)
    # Where the search for a free millisecond ended from a taken one, so that a flood in one
    # millisecond does not walk over the same ones again and again.
    onward: dict[int, int] = {}
    for number in numbers:
        t_ms, walked = times_ms[number], []
        while t_ms in taken:
            walked.append(t_ms)
            t_ms = onward.get(t_ms, t_ms + 1)
        for step in walked:
            onward[step] = t_ms + 1
        taken.add(t_ms)
        times_ms[number] = t_ms
        newest = t_ms if newest is None else max(newest, t_ms)
    place.newest_ms = newest


def channels_of(connection: Connection, cook_id: int) -> dict[str, int]:
    """The channels of a cook that have readings, with their numbers."""
    rows = connection.exec_driver_sql(
        "SELECT key, id FROM channel WHERE cook_id = ? ORDER BY id", (cook_id,)
    )
    return {str(key): int(number) for key, number in rows}


def trace_of_channel(connection: Connection, channel_id: int) -> Trace:
    """All readings of a channel in time order."""
    result = connection.exec_driver_sql(
        "SELECT t_ms, value FROM reading WHERE channel_id = ? ORDER BY t_ms", (channel_id,)
    )
    # Rows of the driver, not of SQLAlchemy: thirty times faster on a day of readings.
    rows: Iterable[tuple[int, float]] = cast(Any, result.cursor)
    pairs = np.fromiter(chain.from_iterable(rows), dtype=np.float64)
    return Trace(pairs[0::2] / 1000, pairs[1::2].copy())
