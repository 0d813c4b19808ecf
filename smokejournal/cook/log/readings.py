"""Readings: what a probe said and when, and the channels they come in on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from smokejournal.cook.log.ranges import KeptId, Moment
from smokejournal.cook.text.strict import Filled, Name, Range

FloatArray: TypeAlias = NDArray[np.float64]

#: One temperature, or an array of them.
Numbers = TypeVar("Numbers", float, FloatArray)

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

    `key` names it for ever within its cook. Readings are stored raw; when they are read, what the
    probe says is multiplied by `slope` and `offset_c` is added. `gap_s` is the longest time between
    two readings that still counts as unbroken.

    `probe_id` is the probe in the journal's own list, `calibrated_at_s` when the correction was
    found, `uncertainty_c` how far a corrected reading may be off: half the width of its interval,
    with a coverage factor of 2 (about 95 %). None where it isn't known, which is not 0.
    """

    key: Filled
    name: Name
    role: ChannelRole = "meat"
    probe: str = ""
    place: str = ""
    offset_c: Annotated[float, Range(-100, 100, "K")] = 0.0
    gap_s: Annotated[float, Range(0, 7 * 86_400.0, "s", above=True)] = DEFAULT_GAP_S
    by_hand: bool = False
    simulated: bool = False
    slope: Annotated[float, Range(0.5, 2)] = 1.0
    probe_id: KeptId | None = None
    calibrated_at_s: Moment | None = None
    uncertainty_c: Annotated[float, Range(0, 100, "K")] | None = None

    @property
    def is_corrected(self) -> bool:
        """Whether readings of it are shown other than they came."""
        return self.offset_c != 0.0 or self.slope != 1.0

    def corrected(self, raw_c: Numbers) -> Numbers:
        """What raw readings [°C] mean [°C]. The one place where a correction is applied."""
        return raw_c * self.slope + self.offset_c

    def correction_c(self, raw_c: float) -> float:
        """What the correction adds to a raw reading [K]; the same for every reading at slope 1."""
        return self.corrected(raw_c) - raw_c

    def raw(self, corrected_c: Numbers) -> Numbers:
        """What the probe said [°C] where it was corrected to this [°C]."""
        return (corrected_c - self.offset_c) / self.slope


def plausible(role: ChannelRole, raw_c: float, corrected_c: float) -> bool:
    """Whether this can be a temperature there, as it came as well as corrected.

    Both, because a correction may neither carry a reading out of what can be without a word nor
    bring one back that never could be.
    """
    low, high = PLAUSIBLE_C[role]
    return low <= corrected_c <= high and low <= raw_c <= high


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
