"""When will it be done? The distribution of the time, from the record so far.

`forecast(cook)` fits the members to the record and lets each go on through what is planned, with a pit
of its own. It is a pure function: the same record gives the same forecast, and two plans for one
record are run with the same members, so that their difference is sharp (`forecasts`).

The event is the first moment at which the median over one minute of the shown reading is at or above
the target.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from smokejournal.science.forecast.earlier_courses import Drawn, course_of, drawn, drawn_by
from smokejournal.science.forecast.fitted import SEED, Fitted, fit_to, material_of
from smokejournal.science.forecast.heating_fit import READING_SD_K, Members, set_point_at
from smokejournal.science.forecast.heating_future import (
    Draws,
    Future,
    FutureTimes,
    PitAhead,
    Quiet,
    run_ahead,
)
from smokejournal.science.forecast.heating_learned import finding_of
from smokejournal.science.forecast.heating_prior import NAMES
from smokejournal.science.forecast.meat_record import MeatRecord, clean
from smokejournal.science.forecast.recalibration import TOLD_SCORE, recalibrated, recalibration
from smokejournal.science.forecast.values import (
    COOK,
    HIGH,
    LOW,
    MIDDLE,
    SHARES,
    CookSoFar,
    Finding,
    FloatArray,
    Forecast,
    Leg,
    ProbeCourse,
    Standing,
)
from smokejournal.science.numbers.refusals import ENDLESS, PARTS, refuses

#: Less of the meat's course than this is too little to say anything.
_TOO_EARLY_S = 360.0
_MAY_NOT = 0.25
_LONGEST_S = 12 * 3600.0
#: What was last read so long ago says nothing of now.
_STALE_S = 12 * 3600.0


@refuses(cook=COOK)
def forecast(cook: CookSoFar) -> Forecast:
    """The forecast of one cook as it is planned."""
    return forecasts(cook, [cook.legs])[0]


@refuses(cook=COOK, plans=PARTS)
def forecasts(cook: CookSoFar, plans: Sequence[tuple[Leg, ...]]) -> list[Forecast]:
    """The forecasts of one cook under several plans, by the same members.

    Raises
    ------
    ValueError
        Where a number of the cook or of a plan is none, or its readings differ in length.
    """
    record = clean(cook)
    bare = _without_a_fit(cook, record)
    if record is None or len(record.time_s) < 2 or cook.now_s - record.time_s[-1] > _STALE_S:
        return [Forecast(bare or "no_readings", cook.now_s) for _ in plans]
    found = fit_to(cook, record, plans)
    if found is None:
        standing = bare if bare == "reached" else "no_readings"
        return [Forecast(standing, cook.now_s, noticed=("no_pit",)) for _ in plans]
    probable = found.fit.most_probable()
    courses = () if cook.prior is None else cook.prior.courses
    asked = (*plans, cook.legs) if courses else plans
    members_say = {legs: _members_say(found, probable, legs) for legs in asked}
    by = _drawn_by(found, courses, members_say[cook.legs][1]) if courses else Drawn()
    found_all = [_one(found, *members_say[legs], by) for legs in plans]
    if bare is None:
        return found_all
    if bare == "reached":
        # What comes after it, the hold and the rest, is still ahead.
        now = np.full(len(SHARES), 0.0)
        return [replace(one, standing=bare, remaining_s=now) for one in found_all]
    # What is known is still worth something while the probe is not read.
    return [replace(one, standing=bare) for one in found_all]


@refuses(cook=COOK)
def crossings(cook: CookSoFar, offsets_k: FloatArray) -> FloatArray | None:
    """When each member's probe is at the target + `offsets_k`, shape (k,): shape (k, m), absolute
    seconds, inf for never; None where there is nothing to fit.

    The members go one course each, whatever is asked of it: the plan up to the target, then on in the
    pit as it is. Where the probe is now already counts as crossed now. What the instrument rounds is
    left out, lest half a step be taken for a difference between two temperatures.
    """
    record = clean(cook)
    if record is None or _without_a_fit(cook, record) in ("no_readings", "in_air"):
        return None
    if len(record.time_s) < 2:
        return None
    found = fit_to(cook, record)
    if found is None:
        return None
    legs = _up_to_the_target(found.cook)
    unrounded = replace(record, step_k=0.0)
    rows = []
    for offset in offsets_k:
        aimed = replace(found.cook, target_c=cook.target_c + float(offset))
        rng = np.random.default_rng(SEED + 1)
        one = replace(found, cook=aimed, record=unrounded)
        rows.append(_ahead(one, found.members, legs, rng).reach_s)
    return np.array(rows)


def _up_to_the_target(cook: CookSoFar) -> tuple[Leg, ...]:
    """What is planned on the pit, up to the leg that ends at the target."""
    legs: list[Leg] = []
    for leg in cook.legs:
        if leg.resting:
            break
        legs.append(leg)
        if leg.until_probe_c is not None and leg.until_probe_c >= cook.target_c:
            break
    return tuple(legs) or (Leg(until_probe_c=cook.target_c),)


def _without_a_fit(cook: CookSoFar, record: MeatRecord | None) -> Standing | None:
    """The standing where nothing can or need be fitted."""
    if record is None or not record.fresh:
        return "no_readings"
    if record.in_air or not len(record.time_s):
        return "in_air"
    if math.isfinite(record.last_c) and record.last_c >= cook.target_c:
        return "reached"
    return None


def _pit_ahead(cook: CookSoFar, record: MeatRecord) -> PitAhead:
    """What is to be expected of the pit: the set point, and how far it kept from it of late."""
    now = cook.now_s
    told = set_point_at(cook.set_points, now)
    changed = max((p.time_s for p in cook.set_points if p.time_s <= now), default=-math.inf)
    since = max(now - 5400.0, changed + 1200.0, record.start_s)
    times, pit = record.pit_time_s, record.pit_c
    recent = times >= since
    if not len(times):
        return PitAhead(told, told if told is not None else 100.0, 0.0, 0.0, cook.set_points)
    last = float(np.median(pit[times >= times[-1] - 120.0]))
    halves = max(0.0, (times[-1] - since) / 1800.0) if recent.any() else 0.0
    mean = float(np.mean(pit[recent])) if np.count_nonzero(recent) > 4 else last
    base = told if told is not None else mean
    bias = (mean - base) * halves / (halves + 0.6) if told is not None else 0.0
    return PitAhead(told, base, bias, last - base - bias, cook.set_points, halves)


def _members_say(
    found: Fitted, probable: Members, legs: tuple[Leg, ...]
) -> tuple[FutureTimes, FloatArray]:
    """How the members go on, and the times that remain by them, (m,)."""
    ahead = _ahead(found, found.members, legs, np.random.default_rng(SEED + 1))
    remaining_s = ahead.reach_s - found.cook.now_s
    return ahead, remaining_s * _to_the_most_probable(found, probable, legs, remaining_s)


def _drawn_by(found: Fitted, courses: Sequence[ProbeCourse], remaining_s: FloatArray) -> Drawn:
    """What the courses of earlier cooks make of the forecast, by what is really planned: several plans are
    drawn alike, so that what one of them changes stays what it was."""
    cook = found.cook
    return drawn_by(courses, cook, found.record, material_of(cook), quantiles(remaining_s))


def _one(found: Fitted, ahead: FutureTimes, remaining_s: FloatArray, drawn_as: Drawn) -> Forecast:
    cook, record, fit = found.cook, found.record, found.fit
    remaining_s = drawn(remaining_s, float(quantiles(remaining_s)[MIDDLE]), drawn_as)
    elapsed_s = max(cook.now_s - record.start_s, 0.0)
    middle_s = float(quantiles(remaining_s)[MIDDLE])
    way = elapsed_s / (elapsed_s + middle_s) if math.isfinite(middle_s) and middle_s > 0 else 1.0
    by = recalibration(cook.cut, way, () if cook.prior is None else cook.prior.fell)
    by = replace(by, scale=max(by.scale, _least_scale(cook, record, quantiles(remaining_s))))
    ahead = ahead.retimed(cook.now_s, cook.now_s + recalibrated(remaining_s, by))
    reach = ahead.reach_s - cook.now_s
    remaining = quantiles(reach)
    missing = float(np.mean(np.isinf(reach)))
    seen = cook.now_s - record.first_s
    standing: Standing = "forecast"
    if missing > _MAY_NOT:
        standing = "may_not_reach"
    elif seen < _TOO_EARLY_S or len(record.time_s) < 4:
        standing = "too_early"
    return Forecast(
        standing=standing,
        now_s=cook.now_s,
        remaining_s=remaining,
        reach_s=ahead.reach_s,
        legs_end_s=ahead.legs_end_s,
        peak_c=ahead.peak_c,
        fan=ahead.fan(cook.now_s),
        noticed=found.noticed,
        untold_wrap_s=found.untold_s,
        found=_found(found),
        residual_k=float(np.sqrt(np.mean(np.square(found.members.off[: fit.observed.leads])))),
        courses_s=drawn_as.took_s,
        recalibration=by,
        check_used=fit.observed.has_check,
    )


def _to_the_most_probable(
    found: Fitted, probable: Members, legs: tuple[Leg, ...], remaining_s: FloatArray
) -> float:
    """The factor that puts the middle of the members' times at that of the most probable parameters.

    Time is a convex function of most parameters (twice the water costs more than half of it saves), and
    the error that the fit allows for is wider than that of most cooks: the members' own middle lies some 7 %
    later than the course that agrees best with readings and prior. It was late by as much, and further
    off, on courses of these very equations (tests/science/forecast/test_forecast.py) as on the open part
    of both families of simulated cooks. Never beyond the members' own interval.
    """
    low_s, middle_s, high_s = (float(quantiles(remaining_s)[n]) for n in (LOW, MIDDLE, HIGH))
    if not 0.0 < middle_s < math.inf:
        return 1.0
    alone = _ahead(found, probable, legs, Quiet())
    aimed_s = min(max(float(alone.reach_s[0]) - found.cook.now_s, low_s), high_s)
    return aimed_s / middle_s if math.isfinite(aimed_s) else 1.0


def _least_scale(cook: CookSoFar, record: MeatRecord, remaining_s: FloatArray) -> float:
    """However well earlier forecasts came out, no interval gets narrower than what the error of the
    readings makes of the time at the pace of now. At most 1: the members have that error already."""
    if not math.isfinite(remaining_s[HIGH]):
        return 0.0
    spread_s = 0.5 * float(remaining_s[HIGH] - remaining_s[LOW]) / TOLD_SCORE
    slope_k_s = record.slope_k_s(cook.now_s - 2400.0, cook.now_s)
    if spread_s <= 0.0 or slope_k_s <= 0.0:
        return 0.0
    error_k = math.sqrt(READING_SD_K**2 + record.step_k**2 / 12)
    return min(1.0, error_k / slope_k_s / spread_s)


def _ahead(found: Fitted, members: Members, legs: tuple[Leg, ...], rng: Draws) -> FutureTimes:
    """The members go on, as the equations have it."""
    cook, record, fit = found.cook, found.record, found.fit
    legs = legs or (Leg(until_probe_c=cook.target_c),)
    return run_ahead(
        Future(
            now_s=cook.now_s,
            target_c=cook.target_c,
            step_k=record.step_k,
            noise_k=record.noise_k,
            slope_k_s=record.slope_k_s(cook.now_s - 2400.0, cook.now_s),
            legs=legs,
            pit=_pit_ahead(cook, record),
            wrapped=bool(fit.past.wrapped[-1] > 0.5),
            moved=record.moved_s is not None,
            elapsed_s=min(cook.now_s - record.start_s, _LONGEST_S),
            radius_m=float(np.median(members.pieces.bodies.radius_m)),
        ),
        fit,
        members,
        rng,
    )


@refuses(remaining_s=ENDLESS)
def quantiles(remaining_s: FloatArray) -> FloatArray:
    """Remaining times at `SHARES`, (19,); inf counts as later than everything.

    By order statistics (the inverse of the step function): nothing is drawn between a time and never.
    """
    ordered = np.sort(remaining_s)
    places = np.clip(np.ceil(SHARES * len(ordered)).astype(int) - 1, 0, len(ordered) - 1)
    return np.asarray(np.maximum(ordered[places], 0.0))


def _found(found: Fitted) -> Finding | None:
    """What the readings determined. Under a prior that was learned it would be counted twice."""
    cook, fit = found.cook, found.fit
    if cook.prior is not None and cook.prior.names:
        return None
    active, curved = fit.active, fit.curved
    if fit.observed.has_check:
        # Where the check probe was is of this day alone: what the rest is known to without it.
        kept, gone = curved[:-1, :-1], curved[:-1, -1]
        active, curved = active[:-1], kept - np.outer(gone, gone) / curved[-1, -1]
    names = [NAMES[n] for n in active]
    told = finding_of(cook.cut, names, curved, fit.z[active], fit.prior.sd[active])
    return replace(told, course=course_of(cook, found.record, material_of(cook)))
