"""The members that agree with what was read of a cook: which readings they are held against, a wrap that
nobody told of, a second probe that is in no place of the piece, and a model that follows badly."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from smokejournal.science.forecast.heating_fit import (
    MODEL_SD_K,
    MemberFit,
    Members,
    Observed,
    Seen,
    observed_of,
    past_of,
    step_for,
)
from smokejournal.science.forecast.heating_prior import Prior, prior_of, radius_of
from smokejournal.science.forecast.meat_record import MeatRecord, check_of, clean, thin
from smokejournal.science.forecast.values import (
    COOK,
    WRAP_ANSWER_HOLDS_S,
    CookSoFar,
    Leg,
    Wrapped,
    Wrapping,
    last_told_wrap,
)
from smokejournal.science.numbers.refusals import PARTS, refuses

SEED = 20_311
_WRAP_GAIN = 5.0
#: So many readings of a check probe are held against the fit.
_OF_CHECK = 22
#: Where a check probe's readings add more than this to the squared misfit, each, it is in no place of the
#: lead's piece. Our own judgment, after a look at the open part of the simulator's cooks: of 14 looks
#: halfway a probe in the same piece added 0.8 at most, one in another piece mostly 2 to 40.
_ODD_MISFIT = 3.0
#: A record that seems to last for weeks (a wrong clock) must not be gone through minute by minute.
_MOST_STEPS = 900


@dataclass(frozen=True, slots=True)
class Fitted:
    """The members that agree with a record. `cook` has the wrap that nobody told of, where one was found,
    and `untold_s` its moment; `noticed`: codes of what was noticed."""

    cook: CookSoFar
    record: MeatRecord
    fit: MemberFit
    members: Members
    noticed: tuple[str, ...] = ()
    untold_s: float | None = None


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
    return fit_to(cook, record, plans)


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


@refuses(cook=COOK, plans=PARTS)
def material_of(cook: CookSoFar, plans: Sequence[tuple[Leg, ...]] = ()) -> Wrapping | None:
    """What it is, or in any of the plans will be, wrapped in."""
    told = [w.material for w in sorted(cook.wraps, key=lambda w: w.time_s) if w.material]
    planned = [leg.wrap for legs in (cook.legs, *plans) for leg in legs if leg.wrap]
    return told[-1] if told else planned[0] if planned else None


@refuses(cook=COOK, plans=PARTS)
def fit_to(
    cook: CookSoFar, record: MeatRecord, plans: Sequence[tuple[Leg, ...]] = ()
) -> Fitted | None:
    """The fit of a cook to its `record`, at least two readings of meat; None where nothing is known of
    the pit."""
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
    members = fit.members(np.random.default_rng(SEED))
    if np.abs(fit.z).max() > 3.5:
        noticed.append("far_from_any_prior")
    return Fitted(cook, record, fit, members, tuple(noticed), untold_s)


def _in_no_place(
    record: MeatRecord, fit: MemberFit, cook: CookSoFar, plans: Sequence[tuple[Leg, ...]]
) -> bool:
    """Whether no place in the lead's piece explains what the check probe reads."""
    observed = fit.observed
    allowed = 0.5 * _ODD_MISFIT * (len(observed.time_s) - observed.leads)
    if fit.best <= allowed:
        # The lead's readings by themselves cost something too, so that most need no second fit.
        return False
    prior = _prior(cook, record, material_of(cook, plans), None)
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
    fit = MemberFit(_prior(cook, record, material_of(cook, plans), check), past, observed)
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
        before = record.slope_k_s(at - 2400.0, at - 60.0)
        after = record.slope_k_s(at + 600.0, min(cook.now_s, at + 4200.0))
        if after > 1.5 * max(before, 0.0) + 1.0 / 3600.0:
            return Wrapped(float(at), "foil")
    return None
