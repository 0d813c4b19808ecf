"""Readings: what a probe said and when, and the channels they come in on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]

ChannelRole = Literal["meat", "pit", "air", "other"]

#: A reading outside these is no temperature of a pit, of meat or of weather: it is kept as it came,
#: shown as absurd, and nothing follows from it.
PLAUSIBLE_C: dict[str, tuple[float, float]] = {
    "meat": (-30.0, 130.0),
    "pit": (-40.0, 500.0),
    "air": (-60.0, 70.0),
    "other": (-60.0, 500.0),
}

DEFAULT_GAP_S = 120.0
HAND_GAP_S = 1800.0


@dataclass(frozen=True, slots=True)
class Channel:
    """One stream of temperatures.

    `key` names it for ever within its cook. `offset_c` is added to what the probe says when its
    readings are read; they are stored raw. `gap_s` is the longest time between two readings that
    still counts as unbroken.
    """

    key: str
    name: str
    role: ChannelRole = "meat"
    probe: str = ""
    place: str = ""
    offset_c: float = 0.0
    gap_s: float = DEFAULT_GAP_S
    by_hand: bool = False
    simulated: bool = False


@dataclass(frozen=True, slots=True)
class Reading:
    """One raw reading [°C] at `at_s` (UTC seconds)."""

    at_s: float
    channel: str
    value_c: float


@dataclass(frozen=True, slots=True)
class Trace:
    """All raw readings of one channel in time order: `at_s` and `value_c`, both of shape (n,)."""

    at_s: FloatArray
    value_c: FloatArray

    def __len__(self) -> int:
        return int(self.at_s.size)


EMPTY_TRACE = Trace(np.empty(0), np.empty(0))


def trace_of(readings: Iterable[Reading]) -> Trace:
    """The trace of readings of one channel, put in time order."""
    pairs = sorted((r.at_s, r.value_c) for r in readings)
    if not pairs:
        return EMPTY_TRACE
    array = np.array(pairs, dtype=np.float64)
    return Trace(array[:, 0].copy(), array[:, 1].copy())
