"""How well two probes in the same spot agree: bias, limits of agreement, and who lags.

Limits of agreement: the mean of the differences ± a multiple of their standard deviation with n - 1.
The multiple is 1.96 here and is always told with them; 2 is also in use.

Source: Bland and Altman, Statistical methods for assessing agreement between two methods of clinical
measurement, Lancet 1986; i: 307-310, whose peak-flow example is in the tests. Readings that follow
each other in time are no independent pairs: intervals of the mean use an effective number (Bartlett
1946; n (1 - r) / (1 + r) with r the correlation of neighbors), the limits themselves don't.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from smokejournal.science.numbers.refusals import ABOVE_ZERO, refuses
from smokejournal.science.numbers.student import Interval95, t_quantile

FloatArray: TypeAlias = NDArray[np.float64]

MULTIPLIER = 1.96
FEWEST = 3
LEAST_MOVE = 1.0
"""A temperature must have moved by this for a lag to show [K]."""


@dataclass(frozen=True, slots=True)
class Agreement:
    """Second minus first: `bias` with its interval, `sd` (n - 1), limits = bias ± `multiplier` sd.

    `effective` is as how many independent pairs the `n` pairs count. `trend` is by how much the
    difference grows per unit of the mean of both, with its interval.
    """

    n: int
    effective: float
    bias: Interval95
    sd: float
    multiplier: float
    low: Interval95
    high: Interval95
    trend: Interval95 | None


@refuses()
def effective_number(differences: FloatArray) -> float:
    """As how many independent values these, shape (n,), count that follow each other in time."""
    away = differences - differences.mean()
    total = float((away**2).sum())
    if differences.size < 4 or total <= 0.0:
        return float(differences.size)
    r = float((away[1:] * away[:-1]).sum()) / total
    r = min(max(r, 0.0), 0.9999)
    return max(2.0, differences.size * (1.0 - r) / (1.0 + r))


@refuses("first second")
def agreement(
    first: FloatArray,
    second: FloatArray,
    *,
    multiplier: float = MULTIPLIER,
    in_time: bool = True,
) -> Agreement:
    """How `second` agrees with `first`, pairs of shape (n,), in one and the same unit.

    `in_time`: the pairs follow each other in time. ValueError for fewer than 3 pairs.
    """
    if first.ndim != 1 or first.size < FEWEST:
        raise ValueError(f"first and second: at least {FEWEST} pairs")
    gaps = second - first
    n = int(gaps.size)
    bias, sd = float(gaps.mean()), float(gaps.std(ddof=1))
    effective = effective_number(gaps) if in_time else float(n)
    t = t_quantile(0.975, max(3.0, effective - 1.0))
    mean_error = t * sd / math.sqrt(effective)
    # The variance of a limit: that of the mean plus that of the multiple of sd; 3 sd²/n for 2 sd.
    limit_error = t * sd * math.sqrt((1.0 + multiplier**2 / 2.0) / effective)

    def around(value: float, error: float) -> Interval95:
        return Interval95(value, value - error, value + error)

    return Agreement(
        n=n,
        effective=effective,
        bias=around(bias, mean_error),
        sd=sd,
        multiplier=multiplier,
        low=around(bias - multiplier * sd, limit_error),
        high=around(bias + multiplier * sd, limit_error),
        trend=_trend((first + second) / 2.0, gaps, effective),
    )


def _trend(mean: FloatArray, gaps: FloatArray, effective: float) -> Interval95 | None:
    """The slope of the differences over the means; None where the means hardly differ."""
    away = mean - mean.mean()
    spread = float((away**2).sum())
    if effective < 4.0 or spread < 1e-9 * mean.size:
        return None
    slope = float((away * gaps).sum()) / spread
    rest = gaps - gaps.mean() - slope * away
    share = mean.size / effective
    error = math.sqrt(float((rest**2).sum()) / max(1, mean.size - 2) / spread * share)
    t = t_quantile(0.975, max(3.0, effective - 2.0))
    return Interval95(slope, slope - t * error, slope + t * error)


WhyNoLag = Literal["", "few", "steady", "edge", "loose"]


@dataclass(frozen=True, slots=True)
class Lag:
    """By how long the second follows later than the first [s], with its 95 % interval.

    Negative: it is ahead. `offset` is second minus first once the lag is taken out. `value` is None
    where the readings don't tell, and `why` says so: "few" readings, a temperature that hardly moved
    ("steady"), a best fit at the longest lag looked for ("edge"), or one that says next to nothing
    ("loose").
    """

    value: Interval95 | None
    offset: float | None = None
    why: WhyNoLag = ""


@refuses("at_s first second", longest_s=ABOVE_ZERO)
def lag(
    at_s: FloatArray,
    first: FloatArray,
    second: FloatArray,
    *,
    longest_s: float = 1800.0,
) -> Lag:
    """How much later `second` says what `first` said, from readings at the same times, shape (n,).

    Both are put on one even grid and smoothed alike, which shifts neither, so that resampling between
    noisy readings doesn't favor one lag over another. Then the lag at which, with a constant between
    them, the squares of what is left are least. The interval holds every lag whose squares are not
    larger than chance explains (3.84 over the number of independent readings left); on a straight
    rise, where a lag looks like a bias, that is nearly every one, and none is given.
    """
    if at_s.size < 10 or at_s[-1] - at_s[0] <= 0.0:
        return Lag(None, why="few")
    span_s = float(at_s[-1] - at_s[0])
    longest_s = min(longest_s, span_s / 4.0)
    n = int(min(4000, max(200, at_s.size)))
    even = np.linspace(at_s[0], at_s[-1], n)
    width = max(5, round(n / 120)) | 1
    window = np.full(width, 1.0 / width)
    grid = even[width // 2 : n - width // 2]
    a = np.convolve(np.interp(even, at_s, first), window, mode="valid")
    b = np.convolve(np.interp(even, at_s, second), window, mode="valid")
    # Only where every lag that is tried finds readings, so that all are judged by the same ones.
    inner = (grid >= grid[0] + longest_s) & (grid <= grid[-1] - longest_s)
    when, wanted = grid[inner], a[inner]
    if when.size < 10:
        return Lag(None, why="few")
    if float(np.ptp(wanted)) < LEAST_MOVE:
        return Lag(None, why="steady")

    def left(lag_s: float) -> FloatArray:
        gaps: FloatArray = np.interp(when + lag_s, grid, b) - wanted
        gaps -= gaps.mean()
        return gaps

    def squares(tries: FloatArray) -> FloatArray:
        return np.array([float((left(each) ** 2).sum()) for each in tries])

    tries = np.linspace(-longest_s, longest_s, 241)
    found = squares(tries)
    best = int(np.argmin(found))
    if best in (0, tries.size - 1):
        return Lag(None, why="edge")
    fine = np.linspace(tries[best - 1], tries[best + 1], 61)
    tries = np.concatenate([tries[: best - 1], fine, tries[best + 2 :]])
    found = np.concatenate([found[: best - 1], squares(fine), found[best + 2 :]])
    best = int(np.argmin(found))
    rest = left(float(tries[best]))
    # Smoothed values within one window are one and the same; readings are no more than there are.
    effective = min(effective_number(rest[::width]), when.size / n * at_s.size)
    if effective < 4.0:
        return Lag(None, why="few")
    floor = max(float(found[best]), 1e-12)
    likely = np.flatnonzero(found <= floor * (1.0 + 3.84 / (effective - 2.0)))
    if likely[0] == 0 or likely[-1] == tries.size - 1:
        return Lag(None, why="loose")
    at = float(tries[best])
    # One try further out on both sides: the crossing lies between.
    value = Interval95(at, float(tries[likely[0] - 1]), float(tries[likely[-1] + 1]))
    offset = float((np.interp(when + at, grid, b) - wanted).mean())
    return Lag(value, offset)
