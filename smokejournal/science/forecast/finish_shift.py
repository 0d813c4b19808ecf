"""What a difference between two probes means in minutes of the finish: offset over slope.

A probe that reads by d too high shows the target early: what is meant to be at T is there when it shows
T + d. So the finish shifts by the time that the course takes from T to T + d. It is taken off courses,
not off one slope, because a course bends: the way up takes longer than the same way down. Each member
of a forecast has a course of its own, and d is known only so well; both go into the interval.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal

import numpy as np

from smokejournal.science.forecast.values import FloatArray
from smokejournal.science.numbers.refusals import ENDLESS, refuses

WhyNoShift = Literal["", "flat", "beyond"]

#: A course that rises by less than this near the target tells no minutes [K/h]: a probe's last tenth of a
#: degree would be a quarter of an hour. Our own judgment.
FLAT_K_H = 0.5
#: How many members may be without a crossing before an 80 % interval has no end.
_MAY_MISS = 0.1
_LOW, _MID, _HIGH = 0.1, 0.5, 0.9
#: How many standard deviations the offsets reach that courses are asked for.
_REACH = 2.0
_LEVELS: FloatArray = np.array([NormalDist().inv_cdf((n + 0.5) / 21) for n in range(21)])


@dataclass(frozen=True, slots=True)
class FinishShift:
    """By how much later it is done [s], with chances of 10, 50 and 90 %; negative: sooner.

    `offset_k`: what the followed probe reads too high (negative: too low), known to `sd_k` [K].
    `pace_k_h`: how fast the course rises there, None where that isn't known. `span_s` is None where
    minutes can't be told, and `why` says so: the course hardly rises there ("flat"), or too many of
    the members don't get there at all ("beyond").
    """

    offset_k: float
    sd_k: float
    span_s: tuple[float, float, float] | None
    pace_k_h: float | None = None
    why: WhyNoShift = ""


@refuses()
def offsets_for(offset_k: float, sd_k: float) -> FloatArray:
    """The offsets from the target [K], shape (k,), ascending, whose crossings `finish_shift` needs."""
    reach = _REACH * sd_k
    return np.unique([0.0, offset_k - reach, offset_k, offset_k + reach])


@refuses(crossing_s=ENDLESS)
def finish_shift(
    offset_k: float, sd_k: float, offsets_k: FloatArray, crossing_s: FloatArray
) -> FinishShift:
    """The shift by an offset of `offset_k` that is known to `sd_k` [K].

    `crossing_s`, shape (k, m): when each of m members is at the target + `offsets_k`, shape (k,),
    ascending, with 0 and `offset_k` among them; inf: never.

    Raises
    ------
    ValueError
        Where an offset or deviation is no number, or the arrays don't fit.
    """
    if crossing_s.ndim != 2 or crossing_s.shape[0] != offsets_k.size or not crossing_s.size:
        raise ValueError("crossing_s: one row for each of offsets_k, one column for each member")
    if np.any(np.diff(offsets_k) <= 0.0) or not {0.0, offset_k} <= set(offsets_k.tolist()):
        raise ValueError("offsets_k: ascending, with 0 and the offset itself among them")
    base_s = crossing_s[int(np.argmin(np.abs(offsets_k)))]
    there = np.isfinite(base_s)
    if np.mean(~there) > _MAY_MISS:
        return FinishShift(offset_k, sd_k, None, why="beyond")
    crossing_s, base_s = crossing_s[:, there], base_s[there]
    pace = _pace_k_h(offsets_k, crossing_s)
    if pace is not None and pace < FLAT_K_H:
        return FinishShift(offset_k, sd_k, None, pace, "flat")
    exact = crossing_s[int(np.argmin(np.abs(offsets_k - offset_k)))] - base_s
    levels = np.clip(offset_k + sd_k * _LEVELS, offsets_k[0], offsets_k[-1])
    shifts = np.concatenate([_at(level, offsets_k, crossing_s) - base_s for level in levels])
    low, high = np.quantile(shifts, (_LOW, _HIGH), method="inverted_cdf")
    mid = float(np.quantile(exact, _MID, method="inverted_cdf"))
    if not (math.isfinite(low) and math.isfinite(mid) and math.isfinite(high)):
        return FinishShift(offset_k, sd_k, None, pace, "beyond")
    return FinishShift(offset_k, sd_k, (min(float(low), mid), mid, max(float(high), mid)), pace)


def _pace_k_h(offsets_k: FloatArray, crossing_s: FloatArray) -> float | None:
    """How fast the members rise over all the offsets, their median; 0 where most never get there."""
    if offsets_k.size < 2:
        return None
    took_s = crossing_s[-1] - crossing_s[0]
    middle_s = float(np.quantile(took_s, 0.5, method="inverted_cdf"))
    if middle_s <= 0.0:
        return None
    return 3600.0 * float(offsets_k[-1] - offsets_k[0]) / middle_s


def _at(offset_k: float, offsets_k: FloatArray, crossing_s: FloatArray) -> FloatArray:
    """When each member is at an offset between those that were asked for, (m,)."""
    if offsets_k.size == 1:
        return np.asarray(crossing_s[0])
    after = int(np.clip(np.searchsorted(offsets_k, offset_k), 1, offsets_k.size - 1))
    share = (offset_k - offsets_k[after - 1]) / (offsets_k[after] - offsets_k[after - 1])
    first_s, last_s = crossing_s[after - 1], crossing_s[after]
    if share <= 0.0:
        return np.asarray(first_s)
    known = np.isfinite(last_s)
    return np.asarray(
        np.where(known, first_s + share * (np.where(known, last_s, first_s) - first_s), np.inf)
    )
