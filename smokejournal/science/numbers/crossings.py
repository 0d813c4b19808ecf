"""Times read off a line of readings that runs straight between neighbors.

All take `at_s` [s], rising, `value` of shape (n,) in any one unit, and `unbroken`, of shape (n,), which
is False where the stretch before a reading is not known. Crossings are exact on the straight line.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from smokejournal.science.numbers.refusals import refuses

FloatArray: TypeAlias = NDArray[np.float64]
BoolArray: TypeAlias = NDArray[np.bool_]


@refuses("at_s value unbroken")
def within_s(
    at_s: FloatArray, value: FloatArray, unbroken: BoolArray, low: float, high: float
) -> FloatArray:
    """Time [s] spent between `low` and `high` up to each reading, shape (n,). Gaps add nothing."""
    spent = np.zeros(at_s.size)
    if at_s.size > 1:
        a, b = value[:-1], value[1:]
        span = np.abs(b - a)
        inside = np.abs(np.clip(b, low, high) - np.clip(a, low, high))
        flat = span == 0.0
        share = np.where(flat, (a >= low) & (a <= high), inside / np.where(flat, 1.0, span))
        spent[1:] = np.cumsum(np.where(unbroken[1:], share * np.diff(at_s), 0.0))
    return spent


@refuses("at_s value unbroken")
def gaps_touching_s(
    at_s: FloatArray, value: FloatArray, unbroken: BoolArray, low: float, high: float
) -> FloatArray:
    """How long [s], up to each reading, gaps were that may have been spent between the two.

    A gap counts whole unless both of its ends are on the same side of the band.
    """
    spent = np.zeros(at_s.size)
    if at_s.size > 1:
        a, b = value[:-1], value[1:]
        outside = ((a > high) & (b > high)) | ((a < low) & (b < low))
        spent[1:] = np.cumsum(np.where(unbroken[1:] | outside, 0.0, np.diff(at_s)))
    return spent


@refuses("at_s value")
def crossing_s(at_s: FloatArray, value: FloatArray, index: int, level: float) -> float:
    """When [s] the line to reading `index` from the one before it crosses `level`."""
    t0, t1 = float(at_s[index - 1]), float(at_s[index])
    v0, v1 = float(value[index - 1]), float(value[index])
    return t1 if v1 == v0 else t0 + (t1 - t0) * min(max((level - v0) / (v1 - v0), 0.0), 1.0)


@refuses()
def rises_through(value: FloatArray, level: float) -> NDArray[np.intp]:
    """Indices of readings at `level` or above whose neighbor before is below it."""
    there = value >= level
    return np.flatnonzero(there[1:] & ~there[:-1]) + 1


@refuses()
def falls_through(value: FloatArray, level: float) -> NDArray[np.intp]:
    """Indices of readings below `level` whose neighbor before is at it or above."""
    there = value >= level
    return np.flatnonzero(~there[1:] & there[:-1]) + 1


@refuses("at_s value unbroken")
def runs_at_least(
    at_s: FloatArray, value: FloatArray, unbroken: BoolArray, level: float
) -> list[tuple[float, float]]:
    """Stretches [(from s, to s)] at `level` or above without a break, in order of time."""
    there = value >= level
    index = np.flatnonzero(there)
    if not index.size:
        return []
    starts = np.concatenate([[True], (np.diff(index) > 1) | ~unbroken[index[1:]]])
    firsts = index[starts]
    lasts = index[np.append(np.flatnonzero(starts)[1:] - 1, index.size - 1)]
    found = []
    for first, last in zip(firsts.tolist(), lasts.tolist(), strict=True):
        from_s, to_s = float(at_s[first]), float(at_s[last])
        if first > 0 and unbroken[first] and not there[first - 1]:
            from_s = crossing_s(at_s, value, first, level)
        if last + 1 < at_s.size and unbroken[last + 1]:
            to_s = crossing_s(at_s, value, last + 1, level)
        found.append((from_s, to_s))
    return found
