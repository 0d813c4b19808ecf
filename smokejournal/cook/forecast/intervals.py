"""Intervals out of the members of a forecast, and what a change does to it.

A moment or a duration that lies beyond the horizon is infinite here, so that quantiles need no
special case; the words say 'later than …'.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from smokejournal.science.forecast.values import SHARES, FloatArray, Forecast

MINUTE_S = 60.0

LOW, MID, HIGH = 0.1, 0.5, 0.9


@dataclass(frozen=True, slots=True)
class TimeInterval:
    """With a chance of 10, 50 and 90 % it lies below `low`, `mid` and `high` (inf: beyond)."""

    low: float
    mid: float
    high: float

    @property
    def known(self) -> bool:
        """Whether any of it lies within the horizon."""
        return math.isfinite(self.low)


BEYOND = TimeInterval(math.inf, math.inf, math.inf)


def span_of(members: FloatArray) -> TimeInterval:
    """The span of members, shape (m,). NaN stands for 'not within the horizon', as inf does."""
    if not members.size:
        return BEYOND
    known = np.where(np.isnan(members), math.inf, members)
    low, mid, high = np.quantile(known, (LOW, MID, HIGH), method="inverted_cdf")
    return TimeInterval(float(low), float(mid), float(high))


def reach_span(forecast: Forecast) -> TimeInterval | None:
    """When the target is reached (absolute seconds, never before now), or None without numbers."""
    remaining_s = forecast.remaining_s
    if remaining_s is None:
        return None
    at = [int(np.argmin(np.abs(SHARES - share))) for share in (LOW, MID, HIGH)]
    left = [float(remaining_s[n]) for n in at]
    moments = [forecast.now_s + max(0.0, s) if math.isfinite(s) else math.inf for s in left]
    return TimeInterval(*sorted(moments))


def leg_span(forecast: Forecast, leg: int) -> TimeInterval | None:
    """When a leg ends (absolute seconds, never before now), or None where it isn't told."""
    ends_s = forecast.legs_end_s
    if ends_s is None or not 0 <= leg < ends_s.shape[0]:
        return None
    return span_of(np.maximum(ends_s[leg], forecast.now_s))


def horizon_s(forecast: Forecast) -> float | None:
    """The last moment that the forecast speaks of: 'later than …' means later than this."""
    known = [] if forecast.fan is None else [float(forecast.fan.time_s[-1])]
    for part in (forecast.reach_s, forecast.legs_end_s):
        if part is not None:
            finite = part[np.isfinite(part)]
            known += [float(finite.max())] if finite.size else []
    if forecast.remaining_s is not None:
        finite = forecast.remaining_s[np.isfinite(forecast.remaining_s)]
        known += [forecast.now_s + float(finite.max())] if finite.size else []
    return max(known, default=None)


def chance_by(members_s: FloatArray, at_s: float) -> float:
    """The share of members, shape (m,), that are there by `at_s`; 0 to 1."""
    return float(np.mean(members_s <= at_s)) if members_s.size else 0.0


@dataclass(frozen=True, slots=True)
class Shift:
    """What a change does to the time of reaching the target [s]; negative: sooner.

    Taken member by member, so that what both share falls out. `pairs` members reach it in at least
    one of the two; `neither` in none. -inf: only with the change; inf: only without it.
    """

    span: TimeInterval
    pairs: int
    neither: int


def shift_of(before: Forecast, after: Forecast) -> Shift | None:
    """What lies between two forecasts of the same members; None where they can't be paired."""
    first, second = before.reach_s, after.reach_s
    if first is None or second is None or first.shape != second.shape or not first.size:
        return None
    a = np.where(np.isfinite(first), first, math.inf)
    b = np.where(np.isfinite(second), second, math.inf)
    either = np.isfinite(a) | np.isfinite(b)
    if not np.any(either):
        return None
    between = b[either] - a[either]
    return Shift(span_of(between), int(between.size), int(either.size - between.size))


def step_s(width_s: float) -> float:
    """How finely a time may be told whose interval is this wide [s]."""
    if width_s <= 30 * MINUTE_S:
        return MINUTE_S
    if width_s <= 3 * 3600.0:
        return 5 * MINUTE_S
    return 10 * MINUTE_S if width_s <= 6 * 3600.0 else 15 * MINUTE_S


def rounded(span: TimeInterval, floor: float = -math.inf) -> TimeInterval:
    """A span [s] as finely as it may be told: its ends outwards, none below `floor`."""
    known = [value for value in (span.low, span.mid, span.high) if math.isfinite(value)]
    if not known:
        return span
    open_end = not math.isfinite(span.high)
    step = max(step_s(max(known) - min(known)), 5 * MINUTE_S if open_end else 0.0)

    def to(value: float, how: int) -> float:
        if not math.isfinite(value):
            return value
        steps = value / step
        whole = math.floor(steps) if how < 0 else math.ceil(steps) if how > 0 else round(steps)
        return max(floor, whole * step)

    return TimeInterval(to(span.low, -1), to(span.mid, 0), to(span.high, 1))
