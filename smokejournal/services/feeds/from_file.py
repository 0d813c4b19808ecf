"""Readings of a whole file into a cook: all of them in one go, or none."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    CookOpened,
    LeadSet,
    Note,
    Payload,
    ScheduleSet,
    ScheduleStarted,
    StageConfirmed,
)
from smokejournal.cook.log.readings import Channel, FloatArray, Reading
from smokejournal.cook.log.schedule import Schedule, Stage, UntilSaid
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.recorded.read import FileReadings
from smokejournal.services.program.program import Program

BATCH = 20_000
#: Readings this close are the same one, read from the same text [K].
_SAME_K = 1e-6
#: A clock may be so far ahead of ours [s].
_AHEAD_S = 120.0


class IntakeStopped(Exception):
    """It was cancelled, and nothing of it is in the journal."""


@dataclass(frozen=True, slots=True)
class FileChannel:
    """Where the readings of a column of `FileReadings` (its number there) go; `fresh`: the cook has no
    such channel yet."""

    column: int
    channel: Channel
    fresh: bool = True


@dataclass(frozen=True, slots=True)
class PastCook:
    """A cook that is opened for the readings, and closed with the last of them."""

    title: str
    zone: str
    place: str = ""


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What came of it. `cook_id` None: nothing was new, so nothing was written. `doubled` readings were
    there already at that moment with that value, in the cook or earlier in the file; `apart` stand at a
    moment with another value and are kept a millisecond later."""

    cook_id: int | None
    readings: int
    doubled: int
    apart: int


class FileIntake:
    """One file on its way in. `done` of `total` readings are written so far, both to be looked at from
    any thread; they are in the journal when `run` comes back, all at once.

    `note` words what is written into the log about it, given the counts.
    """

    def __init__(
        self,
        program: Program,
        read: FileReadings,
        channels: Sequence[FileChannel],
        cook: int | PastCook,
        note: Callable[[TakenIn], str],
    ) -> None:
        self._program = program
        self._read = read
        self._channels = tuple(channels)
        self._cook = cook
        self._note = note
        self._stop = threading.Event()
        self.done = 0
        self.total = 0

    def cancel(self) -> None:
        """End it before the next batch, and take back what was written."""
        self._stop.set()

    def run(self) -> TakenIn:
        """Write everything. Slow; not on the painting thread.

        Raises SchemaProblem where the readings can't be right, JournalProblem where they can't be
        written, IntakeStopped where it was cancelled.
        """
        now_s = self._program.clock.now_s()
        if self._read.open or not self._read.at_s.size or not self._channels:
            raise SchemaProblem("file", translate("FromFile", "There are no readings to take in."))
        if float(self._read.at_s.max()) > now_s + _AHEAD_S:
            raise SchemaProblem(
                "at_s",
                translate(
                    "FromFile",
                    "Some readings are of a time that is still to come. Check the date, its order and "
                    "the time zone.",
                ),
            )
        times, values, numbers, doubled, apart = self._fresh()
        self.total = int(times.size)
        counts = TakenIn(None, self.total, doubled, apart)
        if not self.total:
            return counts
        first_s, last_s = times[0] / 1000, times[-1] / 1000

        def batches() -> Iterator[list[Reading]]:
            self.done = 0
            keys = [each.channel.key for each in self._channels]
            for start in range(0, self.total, BATCH):
                if self._stop.is_set():
                    raise IntakeStopped
                part = slice(start, start + BATCH)
                yield [
                    Reading(at_ms / 1000, keys[number], value)
                    for at_ms, value, number in zip(
                        times[part].tolist(),
                        values[part].tolist(),
                        numbers[part].tolist(),
                        strict=True,
                    )
                ]
                self.done = min(start + BATCH, self.total)
            if self._stop.is_set():
                raise IntakeStopped

        written = self._program.journal.take_in(
            self._cook
            if isinstance(self._cook, int)
            else (first_s, CookOpened(self._cook.title, self._cook.zone, place=self._cook.place)),
            self._entries(first_s, last_s, self._note(counts)),
            batches,
            now_s,
        )
        return TakenIn(written.result(), self.total, doubled, apart)

    def _entries(self, first_s: float, last_s: float, note: str) -> list[tuple[float, Payload]]:
        items: list[tuple[float, Payload]] = [
            (first_s, ChannelSet(each.channel)) for each in self._channels if each.fresh
        ]
        if isinstance(self._cook, int):
            return [*items, (last_s, Note(note))]
        meat = [e.channel.key for e in self._channels if e.channel.role == "meat"]
        if meat:
            items.append((first_s, LeadSet(meat[0])))
        stage = Stage("s1", translate("FromFile", "As recorded"), (UntilSaid(),))
        schedule = Schedule(translate("FromFile", "From a file"), (stage,))
        items += [(first_s, ScheduleSet(schedule)), (first_s, ScheduleStarted())]
        items += [(last_s, StageConfirmed(stage.key)), (last_s, Note(note))]
        return [*items, (last_s, CookClosed(last_s))]

    def _fresh(
        self,
    ) -> tuple[NDArray[np.int64], FloatArray, NDArray[np.int64], int, int]:
        """What isn't in the cook yet, in time order: times [ms], values [°C] and the number of the
        channel, each of shape (n,); how many were there already, and how many share a moment."""
        at_ms = np.round(self._read.at_s * 1000).astype(np.int64)
        parts = []
        doubled = apart = 0
        for number, each in enumerate(self._channels):
            column = self._read.values_c[:, each.column]
            some = ~np.isnan(column)
            times, values, twice, moved = _set_apart(at_ms[some], column[some])
            doubled += twice
            apart += moved
            if not each.fresh and isinstance(self._cook, int):
                there = self._program.journal.trace(self._cook, each.channel.key)
                same = _already(
                    times, values, np.round(there.at_s * 1000).astype(np.int64), there.value_c
                )
                doubled += int(np.count_nonzero(same))
                times, values = times[~same], values[~same]
            parts.append((times, values, np.full(times.size, number, dtype=np.int64)))
        times = np.concatenate([part[0] for part in parts])
        order = np.argsort(times, kind="stable")
        values = np.concatenate([part[1] for part in parts])
        numbers = np.concatenate([part[2] for part in parts])
        return times[order], values[order], numbers[order], doubled, apart


def _set_apart(
    at_ms: NDArray[np.int64], value_c: FloatArray
) -> tuple[NDArray[np.int64], FloatArray, int, int]:
    """In time order, equal values of one moment once and others each a millisecond later. The same
    rows always give the same moments, so that a file that is read again is found to be there."""
    order = np.lexsort((np.arange(at_ms.size), value_c, at_ms))
    times, values = at_ms[order], value_c[order]
    again = np.zeros(times.size, dtype=np.bool_)
    again[1:] = (np.diff(times) == 0) & (np.diff(values) == 0)
    keep = np.sort(order[~again])
    times, values = at_ms[keep], value_c[keep]
    order = np.argsort(times, kind="stable")
    times, values = times[order], values[order]
    place = np.arange(times.size)
    begins = np.ones(times.size, dtype=np.bool_)
    begins[1:] = np.diff(times) != 0
    within = place - np.maximum.accumulate(np.where(begins, place, 0))
    return times + within, values, int(again.sum()), int(np.count_nonzero(within))


def _already(
    at_ms: NDArray[np.int64],
    value_c: FloatArray,
    there_ms: NDArray[np.int64],
    there_c: FloatArray,
) -> NDArray[np.bool_]:
    """Which readings are there at that moment with that value."""
    if not there_ms.size:
        return np.zeros(at_ms.size, dtype=np.bool_)
    where = np.minimum(np.searchsorted(there_ms, at_ms), there_ms.size - 1)
    same: NDArray[np.bool_] = (there_ms[where] == at_ms) & (
        np.abs(there_c[where] - value_c) <= _SAME_K
    )
    return same
