"""The lead and the check probe: how far apart they may be, and since when they are further.

Fed reading by reading in time order; see `pit_watch` for how any limit is answered.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from smokejournal.cook.log.readings import Channel
from smokejournal.cook.progress.pit_watch import OFTEN_S, LastWithin, last_within

#: Two food thermometers of ± 1 °C each lie within this of each other [K].
SOUND_PAIR_K = 2.0
#: Where no calibration says how far a probe may be off, this is taken: food thermometers are sold as
#: good to ± 1 °C (common practice, no source) [K, half the width of a 95 % interval].
TAKEN_K = 1.0


def known_k(one: Channel, other: Channel) -> float:
    """How well a difference of two probes is known by what each may be off [K, 95 %]."""
    return math.hypot(
        *(TAKEN_K if c.uncertainty_c is None else c.uncertainty_c for c in (one, other))
    )


def apart_k(one: Channel, other: Channel) -> float:
    """Two probes in the same spot differ by no more than this [K]."""
    return max(SOUND_PAIR_K, known_k(one, other))


@dataclass(frozen=True, slots=True)
class PairSeen:
    """The lead against the check probe up to `at_s`, when both were last believed.

    `levels`: when they were last no further apart than so much [K], see `LastWithin`.
    """

    lead: str
    check: str
    at_s: float
    levels: tuple[tuple[float, float], ...]

    def apart_since_s(self, limit_k: float) -> float | None:
        """Since when they are further apart than this; None where they aren't."""
        since_s = last_within(self.levels, limit_k)
        return since_s if since_s is not None and since_s < self.at_s else None


class PairWatch:
    """See the module."""

    def __init__(self) -> None:
        self._lead = self._check = ""
        self.restart(None, None)

    def restart(self, lead: str | None, check: str | None) -> None:
        """These two are compared from now on; what was seen of others doesn't count."""
        self._lead, self._check = lead or "", check or ""
        self._last: dict[str, tuple[float, float]] = {}
        self._at_s = 0.0
        self._levels = LastWithin()

    def copy(self) -> PairWatch:
        """An independent twin."""
        twin = PairWatch.__new__(PairWatch)
        twin.__dict__.update(self.__dict__)
        twin._last = dict(self._last)
        twin._levels = LastWithin(self._levels.levels())
        return twin

    def moved(self, channel: str) -> None:
        """A probe was put elsewhere, or is corrected otherwise."""
        if channel in (self._lead, self._check):
            self.restart(self._lead, self._check)

    def take(self, at_s: float, value_c: float, channel: str, gap_s: float) -> None:
        """Take in a believed, corrected reading of any channel."""
        if channel not in (self._lead, self._check) or not (self._lead and self._check):
            return
        before = self._last.get(channel)
        if before is not None and at_s - before[0] < OFTEN_S:
            return
        self._last[channel] = (at_s, value_c)
        other = self._last.get(self._check if channel == self._lead else self._lead)
        if other is None or at_s - other[0] > gap_s:
            return
        if at_s - self._at_s > gap_s:
            # Over a gap nothing is credited: what they do begins here.
            self._levels = LastWithin()
            self._levels.push(at_s, 0.0)
        self._at_s = at_s
        self._levels.push(at_s, abs(value_c - other[1]))

    def seen(self) -> PairSeen | None:
        """What it comes to; None where the two were never heard together."""
        levels = self._levels.levels()
        if not levels:
            return None
        return PairSeen(self._lead, self._check, self._at_s, levels)
