"""How it went on from here in earlier cooks of the same cut on this pit, beside what the bodies say.

An earlier cook's lead probe was first at some temperature then, and at the target so much later. That is a
second opinion on the time left which rests on no equation. Both are taken as normal in the logarithm of the
time left, and put together by their precisions (Gelman et al., Bayesian Data Analysis, 3rd ed., section 2.5).
What a body gets wrong in one cook it mostly gets wrong in the next, and there the earlier cooks are right;
tests/simulator/learning.md has what this is worth.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from smokejournal.science.forecast.meat_record import SETTLES_S, MeatRecord
from smokejournal.science.forecast.recalibration import LEAST_S, TOLD_SCORE
from smokejournal.science.forecast.values import (
    COOK,
    HIGH,
    LOW,
    MIDDLE,
    CookSoFar,
    FloatArray,
    ProbeCourse,
    Wrapping,
)
from smokejournal.science.numbers.refusals import ENDLESS, PARTS, refuses

#: How far apart the times left of two cooks of one person's pit and cut are, from one temperature on, as a
#: standard deviation of their logarithm. Chosen on the open part of the pits that cook twelve times: 0.3 to
#: 0.5 do about as well.
COURSE_SD: Final = 0.4
#: A pit that was hotter or cooler than this, on the mean, tells nothing of how long it takes now [K].
PIT_WITHIN_K: Final = 25.0
#: A piece so many times as thick, or thinner, tells nothing either: that is twice the mass.
SIZE_WITHIN: Final = 2.0 ** (1.0 / 3.0)
#: A course that ended so little below the target [K] counts as there: readings are smoothed.
_SHORT_K: Final = 0.5
#: A course is kept at temperatures this far apart [K]: in between it is nearly straight.
STEP_K: Final = 2.0
#: No forecast is moved by more than this, a factor of e: then something else is different.
FURTHEST: Final = 1.0


@dataclass(frozen=True, slots=True)
class Drawn:
    """What earlier courses make of a forecast: the logarithm of the time left is moved by `shift`, and its
    spread about the middle narrowed to `narrowed` of itself. `took_s`: how long each took from here, in a
    piece of this size."""

    shift: float = 0.0
    narrowed: float = 1.0
    took_s: tuple[float, ...] = ()


def _rising(record: MeatRecord) -> tuple[FloatArray, FloatArray]:
    """Since the meat went in [s], and the highest that was read of it by then, where the probe is now."""
    from_s = record.start_s
    if record.moved_s is not None:
        from_s = max(from_s, record.moved_s + SETTLES_S)
    since = record.time_s >= from_s
    highest_c = np.maximum.accumulate(record.probe_c[since])
    return record.time_s[since] - record.start_s, np.asarray(highest_c, dtype=np.float64)


def _pit_c(record: MeatRecord) -> float:
    """The pit's mean since the meat went in; NaN where nothing was read of it."""
    since = record.pit_time_s >= record.start_s
    return float(np.mean(record.pit_c[since])) if since.any() else math.nan


@refuses(cook=COOK)
def course_of(cook: CookSoFar, record: MeatRecord, wrap: Wrapping | None) -> ProbeCourse | None:
    """The course that the lead probe of a cook took, by its `record`, up to its last reading; `wrap`: what
    it was wrapped in at the end. None where there is too little of it."""
    since_s, highest_c = _rising(record)
    pit_c = _pit_c(record)
    if len(highest_c) < 4 or not math.isfinite(pit_c) or highest_c[-1] - highest_c[0] < STEP_K:
        return None
    first, last = float(highest_c[0]), float(highest_c[-1])
    probe_c = np.unique([first, *np.arange(math.ceil(first), last, STEP_K), last])
    rose = np.flatnonzero(np.diff(highest_c, prepend=-math.inf) > 0.0)
    at_s = np.interp(probe_c, highest_c[rose], since_s[rose])
    return ProbeCourse(
        cook.cut,
        tuple(map(float, probe_c)),
        tuple(map(float, at_s)),
        pit_c,
        wrap,
        cook.mass_kg,
        cook.thickness_m,
    )


@refuses()
def left_s(course: ProbeCourse, probe_c: float, target_c: float) -> float | None:
    """How long it took in an earlier cook from `probe_c` to `target_c` [s]; None where it wasn't at both."""
    known_c = np.array(course.probe_c)
    if not len(known_c) or not known_c[0] <= probe_c < target_c <= known_c[-1] + _SHORT_K:
        return None
    there_s, here_s = np.interp([target_c, probe_c], known_c, np.array(course.since_s))
    return float(there_s - here_s) if there_s > here_s else None


def _times_as_long(course: ProbeCourse, cook: CookSoFar) -> float | None:
    """How many times as long as in that course it takes in a piece of this size: as the square of the
    thickness, which goes with the mass to the power 2/3 where the shape is the same (Fourier number;
    Carslaw and Jaeger, Conduction of Heat in Solids, 1959). None where the sizes are too far apart; 1
    where nothing is known of one of them."""
    if course.thickness_m and cook.thickness_m:
        thicker = cook.thickness_m / course.thickness_m
    elif course.mass_kg and cook.mass_kg:
        thicker = (cook.mass_kg / course.mass_kg) ** (1.0 / 3.0)
    else:
        return 1.0
    return thicker**2 if abs(math.log(thicker)) <= math.log(SIZE_WITHIN) else None


@refuses(cook=COOK, remaining_s=ENDLESS, courses=PARTS)
def drawn_by(
    courses: Sequence[ProbeCourse],
    cook: CookSoFar,
    record: MeatRecord,
    wrap: Wrapping | None,
    remaining_s: FloatArray,
) -> Drawn:
    """What `courses` make of the forecast of a cook, `remaining_s` (19,) at SHARES.

    Only those count that were of the same cut, of about the size, in a pit about as hot, wrapped (or to be)
    as this one is. Nothing is changed where none of them was at both temperatures, or where the
    forecast's middle tells no time.
    """
    now_c, pit_c = _rising(record)[1], _pit_c(record)
    middle_s = float(remaining_s[MIDDLE])
    if not len(now_c) or not LEAST_S < middle_s < math.inf:
        return Drawn()
    found = []
    for course in courses:
        times = _times_as_long(course, cook)
        alike = course.cut == cook.cut and course.wrap == wrap
        if alike and times is not None and abs(course.pit_c - pit_c) <= PIT_WITHIN_K:
            one_s = left_s(course, float(now_c[-1]), cook.target_c)
            found += [] if one_s is None else [times * one_s]
    if not found:
        return Drawn()
    took_s = tuple(sorted(found))
    logs = [math.log(max(one, LEAST_S)) for one in took_s]
    low, middle, high = (math.log(max(float(remaining_s[n]), LEAST_S)) for n in (LOW, MIDDLE, HIGH))
    spread = (0.5 * (high - low) if math.isfinite(high) else middle - low) / TOLD_SCORE
    # The next cook differs from the mean of `n` as it does from one, and that mean is not quite known.
    other = COURSE_SD**2 * (1.0 + 1.0 / len(logs))
    weight = spread**2 / (spread**2 + other)
    off = weight * (math.fsum(logs) / len(logs) - middle)
    return Drawn(min(max(off, -FURTHEST), FURTHEST), math.sqrt(1.0 - weight), took_s)


@refuses(remaining_s=ENDLESS, middle_s=ENDLESS, by=PARTS)
def drawn(remaining_s: FloatArray, middle_s: float, by: Drawn) -> FloatArray:
    """The members' remaining times (m,), with their middle at `middle_s`, as `by` makes them. What is never
    reached stays so."""
    if not by.took_s or not 0.0 < middle_s < math.inf:
        return remaining_s.copy()
    off = np.log(np.maximum(remaining_s, LEAST_S) / max(middle_s, LEAST_S))
    moved = max(middle_s, LEAST_S) * np.exp(by.shift + by.narrowed * off)
    # What is as good as there is there, whatever was earlier.
    return np.where(remaining_s > LEAST_S, moved, remaining_s)
