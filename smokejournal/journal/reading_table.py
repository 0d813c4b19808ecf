"""Readings in their table: kept by channel and whole millisecond, read back as arrays."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain, repeat

import numpy as np
from sqlalchemy import Connection

from smokejournal.cook.log.readings import FloatArray, Reading, Trace
from smokejournal.journal.connections import driver_of
from smokejournal.journal.lines import ms
from smokejournal.journal.sums import (
    MASK,
    MINUTE_MS,
    Integers,
    SpoiltReadings,
    channel_seed,
    in_order,
    minute_sums,
    reading_hash,
    reading_hashes,
    sound_trace,
)

_ADD_SUM = (
    "INSERT INTO reading_sum (cook_id, minute, channel_id, count, sum) VALUES (?, ?, ?, ?, ?)"
    " ON CONFLICT DO UPDATE SET count = count + excluded.count,"
    f" sum = (sum + excluded.sum) & {MASK}"
)

#: So many readings are hashed one by one: arrays take longer to begin with.
_FEW = 32

_SUMS = (
    "SELECT minute, count, sum FROM reading_sum WHERE cook_id = ? AND channel_id = ?"
    # Damage may leave something else than numbers.
    " AND typeof(minute) = 'integer' AND typeof(count) = 'integer' AND typeof(sum) = 'integer'"
    " ORDER BY minute"
)
_READINGS = "SELECT t_ms, value FROM reading WHERE channel_id = ? ORDER BY t_ms"
_READINGS_IN_NUMBERS = _READINGS.replace(
    "ORDER", "AND typeof(t_ms) = 'integer' AND typeof(value) = 'real' ORDER"
)


@dataclass(slots=True)
class _Place:
    """Where the readings of a channel go: its number, what their hashes begin with, and the newest
    millisecond that is taken."""

    channel_id: int
    seed: int
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
        seeds: list[int] = []
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
                seeds.append(place.seed)
        driver_of(connection).executemany(
            "INSERT INTO reading (channel_id, t_ms, value) VALUES (?, ?, ?)", rows
        )
        driver_of(connection).executemany(_ADD_SUM, _sums_of(cook_id, rows, seeds))
        for reading, t_ms in zip(readings, times_ms, strict=True):
            at_s = t_ms / 1000
            same = at_s == reading.at_s and type(reading.value_c) is float
            kept.append(reading if same else Reading(at_s, reading.channel, float(reading.value_c)))
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
            place = self._places[cook_id, channel] = _Place(
                channel_id, channel_seed(cook_id, channel), newest
            )
        return place


def _sums_of(
    cook_id: int, rows: Sequence[tuple[int, int, float]], seeds: Sequence[int]
) -> list[tuple[int, ...]]:
    """What these rows of readings add to the sums of their minutes, as `_ADD_SUM` wants it."""
    if len(rows) <= _FEW:
        hashes = [
            reading_hash(t_ms, value, seed)
            for (_, t_ms, value), seed in zip(rows, seeds, strict=True)
        ]
    else:
        times = np.array([t_ms for _, t_ms, _ in rows], dtype=np.int64)
        values = np.array([value for _, _, value in rows])
        hashes = reading_hashes(times, values, np.array(seeds, dtype=np.uint64)).tolist()
    added: dict[tuple[int, int], list[int]] = {}
    for (channel_id, t_ms, _), each in zip(rows, hashes, strict=True):
        sums = added.setdefault((t_ms // MINUTE_MS, channel_id), [0, 0])
        sums[0] += 1
        sums[1] += each
    return [
        (cook_id, minute, channel_id, count, total & MASK)
        for (minute, channel_id), (count, total) in added.items()
    ]


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


def trace_of_channel(
    connection: Connection, cook_id: int, channel: str, channel_id: int
) -> tuple[Trace, SpoiltReadings | None]:
    """All readings of a channel in time order, without those that aren't as they were written, and what
    is known of those."""
    kept = driver_of(connection).execute(_SUMS, (cook_id, channel_id)).fetchall()
    return sound_trace(cook_id, channel, *_readings_of(connection, channel_id), kept)


def add_channel(
    connection: Connection, cook_id: int, channel: str, t_ms: Integers, value_c: FloatArray
) -> None:
    """Adds a channel that the cook doesn't have yet with its readings at `t_ms` (n,), ascending and no
    two alike, as they came [°C] (n,)."""
    added = connection.exec_driver_sql(
        "INSERT INTO channel (cook_id, key) VALUES (?, ?) RETURNING id", (cook_id, channel)
    )
    channel_id = int(added.scalar_one())
    driver = driver_of(connection)
    driver.executemany(
        "INSERT INTO reading (channel_id, t_ms, value) VALUES (?, ?, ?)",
        zip(repeat(channel_id), t_ms.tolist(), value_c.tolist(), strict=False),
    )
    sums = minute_sums(cook_id, channel, t_ms, value_c)
    driver.executemany(
        _ADD_SUM, [(cook_id, minute, channel_id, count, total) for minute, count, total in sums]
    )


def sum_all_readings(connection: Connection) -> None:
    """Makes the sums of all readings as they stand. For a journal that has none yet."""
    channels = connection.exec_driver_sql("SELECT id, cook_id, key FROM channel").fetchall()
    for channel_id, cook_id, key in channels:
        driver_of(connection).executemany(
            _ADD_SUM,
            [
                (cook_id, minute, channel_id, count, total)
                for minute, count, total in minute_sums(
                    cook_id, key, *_readings_of(connection, channel_id)
                )
            ],
        )


def _readings_of(connection: Connection, channel_id: int) -> tuple[Integers, FloatArray]:
    for query in (_READINGS, _READINGS_IN_NUMBERS):
        # Rows of the driver, not of SQLAlchemy: thirty times faster on a day of readings.
        rows: Iterable[tuple[float, float]] = driver_of(connection).execute(query, (channel_id,))
        try:
            pairs = np.fromiter(chain.from_iterable(rows), dtype=np.float64)
        except (TypeError, ValueError, sqlite3.OperationalError):
            # Damage left something else than numbers, or a text of bytes that are none.
            if query == _READINGS_IN_NUMBERS:
                raise
        else:
            return in_order(pairs[0::2].copy(), pairs[1::2].copy())
    raise AssertionError("the last query raises or returns")
