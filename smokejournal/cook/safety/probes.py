"""The probes in one kind of food as safety looks at them: how far each may be off, and since when it

has been where it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from smokejournal.cook.log.entries import ChannelSet, Entry, ProbeMoved, SafetySet
from smokejournal.cook.log.readings import Channel, FloatArray
from smokejournal.cook.progress.believed import BelievedTrace

#: How far a probe is taken to be off [K] where nothing is known of it. Our own judgment: no source.
ASSUMED_UNCERTAINTY_C = 1.0

OffBy = Literal["calibrated", "typed", "assumed"]


@dataclass(frozen=True, eq=False, slots=True)
class FoodProbe:
    """What one probe said from the beginning of the cook on.

    `low_c` and `high_c`, of shape (n,), are its corrected readings [°C] with the uncertainty taken off
    and put on. `unbroken` is False where a gap lies before a reading, or the probe was moved.
    `settled` is the index of the first reading since it was last moved, `moved_s` when that was.
    """

    channel: Channel
    at_s: FloatArray
    low_c: FloatArray
    high_c: FloatArray
    unbroken: NDArray[np.bool_]
    off_c: float
    off_by: OffBy
    settled: int
    moved_s: float | None

    def __len__(self) -> int:
        return int(self.at_s.size)

    @property
    def since_moved(self) -> FoodProbe:
        """What it said since it was last moved, its last reading at least: where it was before, nobody
        measures any more."""
        kept = slice(min(self.settled, len(self) - 1), None)
        return replace(
            self,
            at_s=self.at_s[kept],
            low_c=self.low_c[kept],
            high_c=self.high_c[kept],
            unbroken=self.unbroken[kept],
            settled=0,
        )

    @property
    def fresh_until_s(self) -> float:
        """Until when the last reading speaks for the present."""
        return float(self.at_s[-1]) + self.channel.gap_s


def probe_of(
    sound: BelievedTrace, said: SafetySet, entries: Sequence[Entry], from_s: float
) -> FoodProbe:
    """The probe behind `sound`, from `from_s` on. `entries` are those that hold, in order of time."""
    since = sound.within(from_s, np.inf)
    key = sound.channel.key
    off_c, off_by = _uncertainty(since, said, entries)
    moves = [
        e.at_s
        for e in entries
        if isinstance(e.what, ProbeMoved) and e.what.channel == key and e.at_s > from_s
    ]
    unbroken = since.unbroken.copy()
    if unbroken.size:
        unbroken[0] = False
    after = np.searchsorted(since.at_s, moves, side="left")
    unbroken[after[after < unbroken.size]] = False
    # A probe that was put in before its first reading was not moved from anywhere.
    settled = int(after[-1]) if len(moves) else 0
    return FoodProbe(
        sound.channel,
        since.at_s,
        since.value_c - off_c,
        since.value_c + off_c,
        unbroken,
        float(np.max(off_c)) if off_c.size else 0.0,
        off_by,
        settled,
        moves[-1] if settled else None,
    )


def _uncertainty(
    sound: BelievedTrace, said: SafetySet, entries: Sequence[Entry]
) -> tuple[FloatArray, OffBy]:
    """How far each reading may be off [K]: the larger of what is known and what was typed.

    A calibration counts from when it was written down, so that a later one doesn't make earlier
    readings surer.
    """
    described = [
        (e.at_s, e.what.channel.uncertainty_c)
        for e in entries
        if isinstance(e.what, ChannelSet) and e.what.channel.key == sound.channel.key
    ] or [(-np.inf, sound.channel.uncertainty_c)]
    floor_c = ASSUMED_UNCERTAINTY_C if said.uncertainty_c is None else said.uncertainty_c
    known = [max(c, said.uncertainty_c or 0.0) if c is not None else floor_c for _, c in described]
    begins = np.array([at_s for at_s, _ in described])
    which = np.maximum(np.searchsorted(begins, sound.at_s, side="right") - 1, 0)
    off_c = np.array(known)[which]
    off_by: OffBy = "assumed" if said.uncertainty_c is None else "typed"
    if all(c is not None and c >= (said.uncertainty_c or 0.0) for _, c in described):
        off_by = "calibrated"
    return off_c, off_by


def probes_in(
    sounds: Mapping[str, BelievedTrace],
    said: SafetySet,
    entries: Sequence[Entry],
    from_s: float,
    alone: bool,
) -> tuple[FoodProbe, ...] | None:
    """The probes in one kind of food that were heard; None where nobody said which they are.

    Without a word, all probes in meat are in the food if it is the only kind (`alone`).
    """
    if said.probes:
        keys = [key for key in said.probes if key in sounds]
    elif alone:
        keys = [key for key, sound in sounds.items() if sound.channel.role == "meat"]
    else:
        return None
    found = (probe_of(sounds[key], said, entries, from_s) for key in keys)
    return tuple(probe for probe in found if len(probe))
