"""Small logs for tests: write entries and readings in a few words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    ChannelSet,
    CookOpened,
    Entry,
    LeadSet,
    Payload,
    ScheduleSet,
    ScheduleStarted,
)
from smokejournal.cook.log.readings import Channel, Reading, Trace
from smokejournal.cook.log.schedule import Schedule, Stage

T0 = 1_780_000_000.0
PIT = Channel("pit", "Pit", role="pit")
MEAT = Channel("meat", "Shoulder", role="meat")
OTHER = Channel("other", "Shoulder, far end", role="meat")


def trace_of(readings: Iterable[Reading]) -> Trace:
    """The trace of readings of one channel, put in time order."""
    pairs = sorted((r.at_s, r.value_c) for r in readings)
    array = np.array(pairs, dtype=np.float64).reshape(-1, 2)
    return Trace(array[:, 0].copy(), array[:, 1].copy())


def cook_log(
    stages: Sequence[Stage],
    said: Sequence[tuple[float, Payload]] = (),
    readings: Sequence[tuple[float, str, float]] = (),
    *,
    start: float | None = 0.0,
    channels: Sequence[Channel] = (PIT, MEAT, OTHER),
    check: str | None = "other",
) -> CookLog:
    """A log whose times are seconds after T0. `said` and `readings` in the order of writing."""
    payloads: list[tuple[float, Payload]] = [(-600.0, CookOpened("Test cook", "UTC"))]
    payloads += [(-600.0, ChannelSet(channel)) for channel in channels]
    payloads += [(-600.0, LeadSet("meat", check))]
    payloads += [(-600.0, ScheduleSet(Schedule("", tuple(stages))))]
    if start is not None:
        payloads.append((start, ScheduleStarted()))
    payloads += list(said)
    entries = tuple(
        Entry(number, T0 + at, T0 + at, what) for number, (at, what) in enumerate(payloads, start=1)
    )
    by_channel: dict[str, list[Reading]] = {}
    for at, channel, value in readings:
        by_channel.setdefault(channel, []).append(Reading(T0 + at, channel, value))
    return CookLog(1, entries, {key: trace_of(found) for key, found in by_channel.items()})


def ramp(
    channel: str, from_s: float, to_s: float, from_c: float, to_c: float, every_s: float = 10.0
) -> list[tuple[float, str, float]]:
    """Readings on a straight line, both ends included."""
    count = round((to_s - from_s) / every_s)
    return [
        (from_s + n * every_s, channel, from_c + (to_c - from_c) * n / count)
        for n in range(count + 1)
    ]
