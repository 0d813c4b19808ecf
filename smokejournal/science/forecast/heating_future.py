"""Members that go on through what is planned, each with a pit of its own."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from smokejournal.science.forecast.heating import probe_weights
from smokejournal.science.forecast.heating_fit import MemberFit, Members, wrap_factors
from smokejournal.science.forecast.heating_prior import INDEX, LatePace
from smokejournal.science.forecast.values import Fan, FloatArray, Leg, SetPoint
from smokejournal.science.numbers.refusals import NOT_BELOW_ZERO, PARTS, refuses

KITCHEN_C = 22.0
_REST_H = 8.0
_BOXED_H = 1.2
_WANDER_SD_K = 2.0
_WANDER_S = 3600.0
_DEVIATION_S = 400.0
_DIP_K = 0.6
#: How far off the model is in how fast a piece warms from now on, as a share, one standard deviation.
#: The past can't tell: a model that followed the first half well can still be wrong about the second. Set
#: so that the intervals hold on the open part of the simulator's cooks.
PACE_SD = 0.15
FAN_SHARES = (0.1, 0.25, 0.5, 0.75, 0.9)


class Draws(Protocol):
    """Where what nobody can know comes from: a random generator, or `Quiet`."""

    def standard_normal(self, size: int | tuple[int, ...], /) -> FloatArray:
        """Standard normal draws."""
        ...


class Quiet:
    """Nothing unforeseen happens: every draw is at its middle."""

    def standard_normal(self, size: int | tuple[int, ...], /) -> FloatArray:
        """Zeros."""
        return np.zeros(size)


@dataclass(frozen=True, slots=True)
class PitAhead:
    """Set to `set_c` (None: not told), expected at `base_c` + `bias_k`, now `deviation_k` off that;
    `points`: what it will be set to; `seen_halves`: half hours that were seen of it as it is set."""

    set_c: float | None
    base_c: float
    bias_k: float
    deviation_k: float
    points: tuple[SetPoint, ...]
    seen_halves: float = 0.0


@dataclass(frozen=True, slots=True)
class Future:
    """All that the members go on through."""

    now_s: float
    target_c: float
    step_k: float
    noise_k: float
    slope_k_s: float
    legs: tuple[Leg, ...]
    pit: PitAhead
    wrapped: bool
    moved: bool
    elapsed_s: float
    radius_m: float


@dataclass(frozen=True, slots=True)
class FutureTimes:
    """`reach_s` (m,), `legs_end_s` (legs, m) in absolute seconds, inf where not within the horizon;
    `path_c` (steps, m), what each member's probe shows, from now on every `step_s`."""

    reach_s: FloatArray
    legs_end_s: FloatArray
    peak_c: FloatArray | None
    path_c: FloatArray
    step_s: float

    def fan(self, now_s: float) -> Fan:
        """Quantiles of the course, at up to 90 times."""
        stride = max(1, len(self.path_c) // 90)
        picked = self.path_c[::stride]
        return Fan(
            np.asarray(now_s + self.step_s * stride * np.arange(len(picked)), dtype=np.float64),
            np.asarray(np.quantile(picked, FAN_SHARES, axis=1), dtype=np.float64),
            FAN_SHARES,
        )

    def retimed(self, now_s: float, reach_s: FloatArray) -> FutureTimes:
        """Every member slower or faster, so that it reaches the target at `reach_s` (m,).

        What comes after the target (a hold, the rest) lasts as long as it did.
        """
        with np.errstate(invalid="ignore"):
            factor = (reach_s - now_s) / np.maximum(self.reach_s - now_s, 1e-9)
            later = reach_s - self.reach_s
        both = np.isfinite(reach_s) & np.isfinite(self.reach_s)
        factor = np.where(both, np.maximum(factor, 1e-3), 1.0)
        until = np.where(np.isfinite(self.legs_end_s), self.legs_end_s, now_s)
        before = until <= self.reach_s
        moved = np.where(
            before, now_s + (until - now_s) * factor, until + np.where(both, later, 0.0)
        )
        # A member that is beyond the horizon now ends nothing more that waits for the target.
        gone = np.isinf(reach_s) & ~before
        ends = np.where(np.isfinite(self.legs_end_s) & ~gone, moved, np.inf)
        places = np.arange(len(self.path_c))
        path = np.stack(
            [np.interp(places / factor[m], places, self.path_c[:, m]) for m in range(len(factor))],
            axis=1,
        )
        return FutureTimes(reach_s, ends, self.peak_c, path, self.step_s)


@refuses(step_k=NOT_BELOW_ZERO, noise_k=NOT_BELOW_ZERO)
def effective(target_c: float, step_k: float, noise_k: float, slope_k_s: float) -> float:
    """Where the true reading has to be so that what is shown is at the target.

    A reading that is rounded shows the target half a step early. One that flickers shows it first
    when it flickers upwards: the slower it rises, the more chances it has. With the spread s of the
    median over a minute and a rise of r in a minute, about 1 + s / r chances count, whose highest is
    s sqrt(2 ln(1 + s / r)).
    """
    shown = target_c
    if step_k > 0:
        shown = math.ceil(target_c / step_k - 1e-6) * step_k
        # The steps need not start at zero (°F rounded and converted): half a step is all one knows.
        shown = min(shown, target_c + step_k / 2) - step_k / 2
    if noise_k <= 0:
        return shown
    chances = 1.0 + noise_k / max(60.0 * slope_k_s, 0.02)
    return shown - noise_k * math.sqrt(2.0 * math.log(chances))


@refuses()
def discrepancy(
    fit: MemberFit, members: Members, now_s: float, rng: Draws
) -> tuple[FloatArray, FloatArray]:
    """The model's error now (K) and that of its rate (K/s), each (m,), one draw for each member.

    Both at the lead probe's place: the conditional normal given what is left over at the readings of both
    probes.
    """
    seen = fit.observed
    elapsed = max(now_s - fit.past.start_s, 60.0)
    since = now_s - seen.time_s
    age = np.clip(since / elapsed, 0.0, 1.0)
    lasts = seen.rate_lasts_s
    cross = np.array(
        [
            seen.model_sd_k**2
            * (1.0 + 2.0 * age)
            * np.exp(-since / seen.correlation_s)
            * seen.error_share,
            -(seen.rate_sd_k_s**2) * lasts * (1.0 - np.exp(-since / lasts)) * seen.rate_share,
        ]
    )
    gain = cross @ seen.inverse
    mean = gain @ members.off
    left = np.diag([seen.model_sd_k**2, seen.rate_sd_k_s**2]) - gain @ cross.T
    values, vectors = np.linalg.eigh(left)
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    drawn = mean + root @ rng.standard_normal(mean.shape)
    return drawn[0], drawn[1]


@refuses(future=PARTS)
def run_ahead(future: Future, fit: MemberFit, members: Members, rng: Draws) -> FutureTimes:
    """Go on until every member is through its legs, or to the horizon."""
    count = members.values.shape[1]
    pieces = members.pieces.pick(np.arange(count))
    values = members.values
    place = "depth_after" if future.moved else "depth"
    weights = probe_weights(values[INDEX[place]])
    h_wrap, wet_wrap = wrap_factors(values)
    h_own = pieces.bodies.h_w_m2k
    error, drift = discrepancy(fit, members, future.now_s, rng)
    lasts, drift_lasts = fit.observed.correlation_s, fit.observed.rate_lasts_s
    drifted = np.zeros(count)
    pit = future.pit
    constant = rng.standard_normal(count) * (1.0 + 2.0 / math.sqrt(pit.seen_halves + 0.3)) * 0.8
    wander = np.zeros(count)
    air_error = values[INDEX["pit_error"]]
    dt = 30.0 if future.radius_m < 0.02 else 60.0 if future.radius_m < 0.035 else 120.0
    horizon = 30 * 3600.0
    if future.radius_m < 0.02:
        horizon = max(10 * 3600.0, 2.5 * future.elapsed_s)
    target = effective(future.target_c, future.step_k, future.noise_k, future.slope_k_s)
    legs = future.legs
    stops = np.array(
        [
            math.nan
            if leg.until_probe_c is None
            else effective(leg.until_probe_c, future.step_k, future.noise_k, future.slope_k_s)
            for leg in legs
        ]
    )
    lengths = np.array([math.nan if leg.for_s is None else leg.for_s for leg in legs])
    leg_pit = _pits(legs, pit)
    # A set point by the clock holds in the leg under way, and in later ones that name none.
    as_timed = np.array([n == 0 or one.pit_c is None for n, one in enumerate(legs)] + [True])
    leg_rest = np.array([leg.resting for leg in legs] + [False])
    leg_box = np.array([leg.boxed for leg in legs] + [False])
    wraps_at = np.array([leg.wrap is not None for leg in legs] + [False])
    leg = np.zeros(count, dtype=np.intp)
    began = np.zeros(count)
    wrapped = np.full(count, future.wrapped) | wraps_at[0]
    reach = np.full(count, np.inf)
    ends = np.full((len(legs), count), np.inf)
    peak = np.full(count, -np.inf)
    shown = pieces.at(weights) + error
    path = [shown]
    timed = sorted((p for p in pit.points if p.time_s > future.now_s), key=lambda p: p.time_s)
    deviation = pit.deviation_k
    decay = math.exp(-dt / _DEVIATION_S)
    keep = math.exp(-dt / _WANDER_S)
    fresh = _WANDER_SD_K * math.sqrt(1 - keep * keep)
    error_keep = math.exp(-dt / lasts)
    error_fresh = fit.observed.model_sd_k * math.sqrt(1 - error_keep**2)
    drift_keep = math.exp(-dt / drift_lasts)
    drift_fresh = fit.observed.rate_sd_k_s * math.sqrt(1 - drift_keep**2)
    settled = np.full(count, float(pit.base_c))
    late_pace = LatePace(values)
    pace = np.exp(PACE_SD * rng.standard_normal(count))
    steps = int(horizon / dt)
    for i in range(steps):
        time = (i + 1) * dt
        due = [p for p in timed if p.time_s <= future.now_s + time]
        wanted = leg_pit[leg]
        if due:
            wanted = np.where(as_timed[leg], due[-1].pit_c, wanted)
        # A pit that is set again gets there in about ten minutes.
        settled += (wanted - settled) * (1 - math.exp(-dt / 600.0))
        wander = keep * wander + fresh * rng.standard_normal(count)
        deviation *= decay
        air = settled + pit.bias_k + constant + wander + deviation + air_error
        h_factor = np.where(wrapped, h_wrap, 1.0)
        wet_factor = np.where(wrapped, wet_wrap, 1.0)
        resting = leg_rest[leg]
        if resting.any():
            boxed = leg_box[leg]
            air = np.where(resting, KITCHEN_C, air)
            h_factor = np.where(resting, np.where(boxed, _BOXED_H, _REST_H) / h_own, h_factor)
            wet_factor = np.where(resting & (boxed | wrapped), 0.05, wet_factor)
        pieces.step(air, dt * pace * late_pace(pieces.mean_c()), h_factor, wet_factor)
        error = error_keep * error + error_fresh * rng.standard_normal(count)
        drift = drift_keep * drift + drift_fresh * rng.standard_normal(count)
        drifted += drift * dt
        before, shown = shown, pieces.at(weights) + error + drifted
        new = np.isinf(reach) & (shown >= target)
        if new.any():
            reach[new] = time - dt * (1 - _share(before, shown, target))[new]
        # Rested, the early ones cool: in the fan that would look as if the late ones did.
        path.append(np.where(np.isinf(reach), shown, np.maximum(shown, target)))
        peak = np.where(resting, np.maximum(peak, shown), peak)
        # Several legs can end within one step: one that ends at once, a hold of a few seconds.
        for _ in range(len(legs)):
            going = leg < len(legs)
            at = np.minimum(leg, len(legs) - 1)
            by_probe = shown >= stops[at]
            by_time = time - began >= lengths[at] - 1e-6
            neither = np.isnan(stops[at]) & np.isnan(lengths[at])
            over = going & (by_probe | by_time | neither)
            if not over.any():
                break
            members_over = np.flatnonzero(over)
            ends[leg[members_over], members_over] = time
            leg[members_over] += 1
            began[members_over] = time
            wrapped[members_over] |= wraps_at[leg[members_over]]
        if (leg >= len(legs)).all() and not np.isinf(reach).any():
            break
    now = future.now_s
    late = np.where(np.isinf(reach), np.inf, reach + now + 30.0)
    return FutureTimes(
        reach_s=late,
        legs_end_s=ends + now,
        peak_c=peak if leg_rest.any() and np.isfinite(peak).any() else None,
        path_c=np.array(path),
        step_s=dt,
    )


def _pits(legs: tuple[Leg, ...], pit: PitAhead) -> FloatArray:
    """What the pit is set to in each leg and, last, after them."""
    wanted = []
    now = pit.base_c
    for leg in legs:
        if leg.pit_c is not None:
            now = leg.pit_c
        wanted.append(now)
    return np.array([*wanted, now], dtype=np.float64)


def _share(before: FloatArray, after: FloatArray, target: float) -> FloatArray:
    """How far into the step the target was crossed, 0 to 1."""
    rise = np.maximum(after - before, 1e-9)
    return np.clip((target - before) / rise, 0.0, 1.0)
