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
from dataclasses import dataclass, replace

import numpy as np

from smokejournal.science.forecast.heating_fit import (
    MODEL_SD_K,
    READING_SD_K,
    MemberFit,
    Members,
    Observed,
    Seen,
    observed_of,
    past_of,
    set_point_at,
    step_for,
)
from smokejournal.science.forecast.heating_future import (
    Draws,
    Future,
    FutureTimes,
    PitAhead,
    Quiet,
    run_ahead,
)
from smokejournal.science.forecast.heating_learned import finding_of
from smokejournal.science.forecast.heating_prior import (
    NAMES,
    Prior,
    prior_of,
    radius_of,
)
from smokejournal.science.forecast.meat_record import MeatRecord, check_of, clean, thin
from smokejournal.science.forecast.recalibration import (
    TOLD_SCORE,
    recalibrated,
    recalibration,
)
from smokejournal.science.forecast.values import (
    COOK,
    SHARES,
    WRAP_ANSWER_HOLDS_S,
    CookSoFar,
    Finding,
    FloatArray,
    Forecast,
    Leg,
    Standing,
    Wrapped,
    Wrapping,
    last_told_wrap,
)
from smokejournal.science.numbers.refusals import ENDLESS, PARTS, refuses

_SEED = 20_311
#: Less of the meat's course than this is too little to say anything.
_TOO_EARLY_S = 360.0
_MAY_NOT = 0.25
#: Places in SHARES of the ends of the interval that is told.
_LOW, _HIGH = 1, 17
_WRAP_GAIN = 5.0
#: So many readings of a check probe are held against the fit.
_OF_CHECK = 22
#: Where a check probe's readings add more than this to the squared misfit, each, it is in no place of the
#: lead's piece. Our own judgment, after a look at the open part of the simulator's cooks: of 14 looks
#: halfway a probe in the same piece added 0.8 at most, one in another piece mostly 2 to 40.
_ODD_MISFIT = 3.0
#: A record that seems to last for weeks (a wrong clock) must not be gone through minute by minute.
_MOST_STEPS = 900
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
    found = _fitted(cook, record, plans)
    if found is None:
        standing = bare if bare == "reached" else "no_readings"
        return [Forecast(standing, cook.now_s, noticed=("no_pit",)) for _ in plans]
    fit, members, noticed, untold_s, cook = found
    found_all = [
        replace(_one(cook, record, fit, members, legs, noticed), untold_wrap_s=untold_s)
        for legs in plans
    ]
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
    found = _fitted(cook, record)
    if found is None:
        return None
    fit, members, _, _, cook = found
    legs = _up_to_the_target(cook)
    unrounded = replace(record, step_k=0.0)
    rows = []
    for offset in offsets_k:
        aimed = replace(cook, target_c=cook.target_c + float(offset))
        rng = np.random.default_rng(_SEED + 1)
        rows.append(_ahead(aimed, unrounded, fit, members, legs, rng).reach_s)
    return np.array(rows)


@dataclass(frozen=True, slots=True)
class Fitted:
    """The members that agree with a record. `cook` has the wrap that nobody told of, where one was found."""

    cook: CookSoFar
    record: MeatRecord
    fit: MemberFit
    members: Members


@refuses(cook=COOK, plans=PARTS)
def fitted(cook: CookSoFar, plans: Sequence[tuple[Leg, ...]] = ()) -> Fitted | None:
    """The fit of a cook on its own; None where there is nothing to fit. A wrap of `plans` counts for
    what its members believe of a wrap, where none was told.

    Raises
    ------
    ValueError
        As `forecasts` does.
    """
    record = clean(cook)
    if record is None or record.in_air or len(record.time_s) < 4:
        return None
    found = _fitted(cook, record, plans)
    if found is None:
        return None
    fit, members, _, _, cook = found
    return Fitted(cook, record, fit, members)


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


def _prior(
    cook: CookSoFar, record: MeatRecord, wrap: Wrapping | None, check: MeatRecord | None
) -> Prior:
    late = record.first_s - record.start_s
    if late < 600.0 and len(record.probe_c):
        start_c, start_sd = float(record.probe_c[0]), 1.0 + late / 600.0
    else:
        # Put in long before it was first read: from the refrigerator or from the counter.
        start_c, start_sd = min(8.0, float(record.probe_c[0])), 5.0
    return prior_of(
        cook.cut,
        cook.mass_kg,
        cook.thickness_m,
        start_c,
        start_sd,
        wrap,
        cook.prior,
        check is not None,
    )


def _material(cook: CookSoFar, plans: Sequence[tuple[Leg, ...]]) -> Wrapping | None:
    """What it is, or in any of the plans will be, wrapped in."""
    told = [w.material for w in sorted(cook.wraps, key=lambda w: w.time_s) if w.material]
    planned = [leg.wrap for legs in (cook.legs, *plans) for leg in legs if leg.wrap]
    return told[-1] if told else planned[0] if planned else None


def _fitted(
    cook: CookSoFar, record: MeatRecord, plans: Sequence[tuple[Leg, ...]] = ()
) -> tuple[MemberFit, Members, tuple[str, ...], float | None, CookSoFar] | None:
    """The fit, its members, what was noticed, and the cook with a wrap that nobody told of but that
    explains the readings much better, with its moment."""
    radius, _ = radius_of(cook.cut, cook.mass_kg, cook.thickness_m)
    elapsed_s = cook.now_s - record.start_s
    dt_s = max(step_for(radius, elapsed_s), elapsed_s / _MOST_STEPS)
    check, unused = check_of(cook, record)
    found = _best(cook, record, check, plans, dt_s)
    if found is None:
        return None
    if check is not None and _in_no_place(record, found[0], found[1], plans):
        found, check, unused = _best(cook, record, None, plans, dt_s), None, True
        assert found is not None
    fit, cook, untold_s = found
    noticed = ["moved"] if record.moved_s is not None else []
    if unused:
        noticed.append("check_unused")
    if untold_s is not None:
        noticed.append("wrap_untold")
    fit = _humbled(cook, record, check, fit)
    members = fit.members(np.random.default_rng(_SEED))
    if np.abs(fit.z).max() > 3.5:
        noticed.append("far_from_any_prior")
    return fit, members, tuple(noticed), untold_s, cook


def _in_no_place(
    record: MeatRecord, fit: MemberFit, cook: CookSoFar, plans: Sequence[tuple[Leg, ...]]
) -> bool:
    """Whether no place in the lead's piece explains what the check probe reads."""
    observed = fit.observed
    allowed = 0.5 * _ODD_MISFIT * (len(observed.time_s) - observed.leads)
    if fit.best <= allowed:
        # The lead's readings by themselves cost something too, so that most need no second fit.
        return False
    prior = _prior(cook, record, _material(cook, plans), None)
    lead = _observed(cook, record, None)
    # The check probe's readings and its depth, which are last, aside.
    alone = MemberFit(prior, fit.past, lead, fit.z[:-1], fit.around[: observed.leads, :-1])
    return fit.best - alone.best > allowed


def _best(
    cook: CookSoFar,
    record: MeatRecord,
    check: MeatRecord | None,
    plans: Sequence[tuple[Leg, ...]],
    dt_s: float,
) -> tuple[MemberFit, CookSoFar, float | None] | None:
    """The fit, the cook with a wrap that nobody told of but that explains the readings much better, and
    that wrap's moment; None where nothing is known of the pit."""
    past = past_of(cook, record, dt_s)
    if past is None:
        return None
    observed = _observed(cook, record, check)
    fit = MemberFit(_prior(cook, record, _material(cook, plans), check), past, observed)
    untold = _untold_wrap(cook, record)
    if untold is not None:
        guess = replace(cook, wraps=(*cook.wraps, untold))
        other = past_of(guess, record, dt_s)
        assert other is not None
        again = MemberFit(_prior(guess, record, untold.material, check), other, observed)
        if again.best < fit.best - _WRAP_GAIN:
            return again, guess, untold.time_s
    return fit, cook, None


def _observed(
    cook: CookSoFar,
    record: MeatRecord,
    check: MeatRecord | None,
    model_sd_k: float = MODEL_SD_K,
) -> Observed:
    """What the fit is held against: fewer readings of the check probe, since it is the lead's course
    that is asked for."""
    time_s, probe_c = thin(record)
    seen = None
    if check is not None:
        seen = Seen(*thin(check, _OF_CHECK), check.step_k, check.noise_k)
    return observed_of(
        time_s,
        probe_c,
        cook.now_s,
        record.start_s,
        record.moved_s,
        record.step_k,
        record.noise_k,
        model_sd_k,
        seen,
    )


def _humbled(
    cook: CookSoFar, record: MeatRecord, check: MeatRecord | None, fit: MemberFit
) -> MemberFit:
    """Where the model follows the readings worse than its error allows, allow more of it and fit
    again: the forecast gets as wide as the model is bad."""
    sd = fit.observed.model_sd_k
    for _ in range(2):
        if fit.misfit <= 0.7:
            break
        sd *= min(math.sqrt(fit.misfit / 0.5), 3.0)
        observed = _observed(cook, record, check, min(sd, 4.0))
        fit = MemberFit(fit.prior, fit.past, observed, fit.z, fit.around)
    return fit


def _untold_wrap(cook: CookSoFar, record: MeatRecord) -> Wrapped | None:
    """When the meat may have been wrapped without a word: the last lid dip while the probe was at 55
    to 82 °C, if the probe then rose faster than before it. Nothing is looked for while it is wrapped,
    nor up to when the cook said that it isn't."""
    told = last_told_wrap(cook.wraps)
    if told is not None and told.material is not None:
        return None
    answered_s = -math.inf if told is None else told.time_s + WRAP_ANSWER_HOLDS_S
    if cook.cut in ("fish", "loaf", "poultry_pieces") or len(record.pit_time_s) < 30:
        return None
    times, pit = record.pit_time_s, record.pit_c
    level = float(np.median(pit[times > times[-1] - 7200.0]))
    low = pit < level - 12.0
    starts = times[1:][low[1:] & ~low[:-1]]
    for at in starts[::-1]:
        if at <= answered_s:
            return None
        if at > cook.now_s - 1500.0 or at < record.first_s + 1800.0:
            continue
        probe = float(np.interp(at, record.time_s, record.probe_c))
        if not 55.0 <= probe <= 82.0:
            continue
        before = _slope(record, at - 2400.0, at - 60.0)
        after = _slope(record, at + 600.0, min(cook.now_s, at + 4200.0))
        if after > 1.5 * max(before, 0.0) + 1.0 / 3600.0:
            return Wrapped(float(at), "foil")
    return None


def _slope(record: MeatRecord, start_s: float, end_s: float) -> float:
    """K/s between two moments by a straight line, 0 where there are too few readings."""
    inside = (record.time_s >= start_s) & (record.time_s <= end_s)
    if np.count_nonzero(inside) < 4:
        return 0.0
    times = record.time_s[inside] - start_s
    return float(np.polyfit(times, record.probe_c[inside], 1)[0])


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


def _one(
    cook: CookSoFar,
    record: MeatRecord,
    fit: MemberFit,
    members: Members,
    legs: tuple[Leg, ...],
    noticed: tuple[str, ...],
) -> Forecast:
    ahead = _ahead(cook, record, fit, members, legs, np.random.default_rng(_SEED + 1))
    remaining_s = ahead.reach_s - cook.now_s
    remaining_s = remaining_s * _to_the_most_probable(cook, record, fit, legs, remaining_s)
    elapsed_s = max(cook.now_s - record.start_s, 0.0)
    middle_s = float(quantiles(remaining_s)[len(SHARES) // 2])
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
        noticed=noticed,
        found=_found(cook, fit),
        residual_k=float(np.sqrt(np.mean(np.square(members.off[: fit.observed.leads])))),
        recalibration=by,
        check_used=fit.observed.has_check,
    )


def _to_the_most_probable(
    cook: CookSoFar,
    record: MeatRecord,
    fit: MemberFit,
    legs: tuple[Leg, ...],
    remaining_s: FloatArray,
) -> float:
    """The factor that puts the middle of the members' times at that of the most probable parameters.

    Time is a convex function of most parameters (twice the water costs more than half of it saves), and
    the error that the fit allows for is wider than that of most cooks: the members' own middle lies some 7 %
    later than the course that agrees best with readings and prior. It was late by as much, and further
    off, on courses of these very equations (tests/science/forecast/test_forecast.py) as on the open part
    of both families of simulated cooks. Never beyond the members' own interval.
    """
    low_s, middle_s, high_s = (
        float(quantiles(remaining_s)[n]) for n in (_LOW, len(SHARES) // 2, _HIGH)
    )
    if not 0.0 < middle_s < math.inf:
        return 1.0
    alone = _ahead(cook, record, fit, fit.most_probable(), legs, Quiet())
    aimed_s = min(max(float(alone.reach_s[0]) - cook.now_s, low_s), high_s)
    return aimed_s / middle_s if math.isfinite(aimed_s) else 1.0


def _least_scale(cook: CookSoFar, record: MeatRecord, remaining_s: FloatArray) -> float:
    """However well earlier forecasts came out, no interval gets narrower than what the error of the
    readings makes of the time at the pace of now. At most 1: the members have that error already."""
    if not math.isfinite(remaining_s[_HIGH]):
        return 0.0
    spread_s = 0.5 * float(remaining_s[_HIGH] - remaining_s[_LOW]) / TOLD_SCORE
    slope_k_s = _slope(record, cook.now_s - 2400.0, cook.now_s)
    if spread_s <= 0.0 or slope_k_s <= 0.0:
        return 0.0
    error_k = math.sqrt(READING_SD_K**2 + record.step_k**2 / 12)
    return min(1.0, error_k / slope_k_s / spread_s)


def _ahead(
    cook: CookSoFar,
    record: MeatRecord,
    fit: MemberFit,
    members: Members,
    legs: tuple[Leg, ...],
    rng: Draws,
) -> FutureTimes:
    """The members go on, as the equations have it."""
    legs = legs or (Leg(until_probe_c=cook.target_c),)
    return run_ahead(
        Future(
            now_s=cook.now_s,
            target_c=cook.target_c,
            step_k=record.step_k,
            noise_k=record.noise_k,
            slope_k_s=_slope(record, cook.now_s - 2400.0, cook.now_s),
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


def _found(cook: CookSoFar, fit: MemberFit) -> Finding | None:
    """What the readings determined. Under a prior that was learned it would be counted twice."""
    if cook.prior is not None and cook.prior.names:
        return None
    active, curved = fit.active, fit.curved
    if fit.observed.has_check:
        # Where the check probe was is of this day alone: what the rest is known to without it.
        kept, gone = curved[:-1, :-1], curved[:-1, -1]
        active, curved = active[:-1], kept - np.outer(gone, gone) / curved[-1, -1]
    names = [NAMES[n] for n in active]
    return finding_of(cook.cut, names, curved, fit.z[active], fit.prior.sd[active])
