"""What the readings so far say about the piece of meat and the pit: a Bayesian fit of `heating`.

Gauss-Newton to the most probable parameters, then a normal approximation there (Laplace), draws from
it weighed by how probable they really are, and members resampled by weight. The model is wrong in
ways that last: its error is taken as correlated over a quarter of the cook and growing with age, so
that old mismatch neither rules nor makes the fit too sure of itself.

A check probe in the same piece reads the same body at another depth. Its readings come after the
lead's, at a depth of their own. What the equations get wrong of the piece both see, but not alike, and what
the probes are off against each other stays the same all along: it is an unknown constant of the
check probe's, since what is asked is when the lead probe shows the target.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from smokejournal.science.forecast.heating import Heating, probe_weights
from smokejournal.science.forecast.heating_prior import (
    CHECK,
    INDEX,
    NAMES,
    LatePace,
    Prior,
    bodies_of,
)
from smokejournal.science.forecast.meat_record import MeatRecord
from smokejournal.science.forecast.values import COOK, CookSoFar, FloatArray, SetPoint
from smokejournal.science.numbers.refusals import ABOVE_ZERO, NOT_BELOW_ZERO, PARTS, Parts, refuses

MEMBERS = 200
_STEP = 0.03
_DAMPING = (0.0, 0.5, 3.0, 15.0, 80.0)
#: The model's error of rate, as a share of the mean rise so far, and how much of the cook it lasts.
RATE_SHARE = 0.03
RATE_LASTS = 0.25
MODEL_SD_K = 0.35  #: of the model's error now; three times as much at the start
#: Of a single reading, beside what its instrument rounds.
READING_SD_K = 0.25
#: How much alike the model's error is at two places in one piece, as a correlation. Our own judgment; from
#: 0.5 to 0.85 it makes next to no difference (tests/simulator/two_probes.md).
ONE_PIECE = 0.7
#: By how much two probes may be off against each other all along, one standard deviation [K]: food
#: thermometers are accurate to ± 1 °C (FDA Food Code 4-203.11), taken as twice the standard deviation of each.
APART_SD_K = 0.5 * math.sqrt(2.0)


@dataclass(frozen=True, slots=True)
class Past:
    """The steps from when the meat went in to now: `air_c`, `h_on`, `wet_on` (steps,), the last two
    1 where it was wrapped. Step i ends at start_s + (i + 1) dt_s."""

    start_s: float
    dt_s: float
    air_c: FloatArray
    wrapped: FloatArray

    @property
    def ends_s(self) -> FloatArray:
        """When each step ends, (steps,)."""
        return np.asarray(self.start_s + self.dt_s * np.arange(1, len(self.air_c) + 1))


@refuses(points=PARTS)
def set_point_at(points: tuple[SetPoint, ...], time_s: float) -> float | None:
    """What the pit was told to be at `time_s`, None before the first."""
    told = [p for p in points if p.time_s <= time_s]
    return max(told, key=lambda p: p.time_s).pit_c if told else None


@refuses()
def step_for(radius_m: float, elapsed_s: float) -> float:
    """How long a step may be: a thin piece needs short ones, a long cook can do with two minutes.

    Halving it moves the time of the target by a minute or two (tests/science/forecast/test_heating.py).
    """
    if radius_m < 0.02:
        return 30.0 if elapsed_s < 3 * 3600 else 60.0
    return 60.0 if elapsed_s < 4 * 3600 else 120.0


@refuses(cook=COOK, dt_s=ABOVE_ZERO)
def past_of(cook: CookSoFar, record: MeatRecord, dt_s: float) -> Past | None:
    """The pit's course as means over steps; None where nothing is known of the pit.

    A gap in the pit's readings of up to ten minutes is bridged by a straight line; a longer one takes
    what the pit was set to, or the mean of its two ends where that is not known.
    """
    steps = max(1, round((cook.now_s - record.start_s) / dt_s))
    dt = max(1.0, (cook.now_s - record.start_s) / steps)
    edges = record.start_s + dt * np.arange(steps + 1)
    middles = (edges[1:] + edges[:-1]) / 2
    if len(record.pit_time_s) == 0:
        told = [set_point_at(cook.set_points, float(t)) for t in middles]
        if all(value is None for value in told):
            return None
        first = next(value for value in told if value is not None)
        air = np.array([first if value is None else value for value in told])
    else:
        fine = np.linspace(0.0, 1.0, 9)[:-1] + 1 / 16
        times = edges[:-1, None] + dt * fine[None, :]
        values = np.interp(times, record.pit_time_s, record.pit_c)
        after = np.searchsorted(record.pit_time_s, times)
        last = len(record.pit_time_s) - 1
        left = record.pit_time_s[np.clip(after - 1, 0, last)]
        right = record.pit_time_s[np.clip(after, 0, last)]
        beyond = (times < record.pit_time_s[0]) | (times > record.pit_time_s[-1])
        blind = (
            np.where(beyond, np.minimum(abs(times - left), abs(times - right)), right - left)
            > 600.0
        )
        if blind.any():
            for row, column in zip(*np.nonzero(blind), strict=True):
                told_c = set_point_at(cook.set_points, float(times[row, column]))
                if told_c is not None:
                    values[row, column] = told_c
        air = values.mean(axis=1)
    wrapped = np.zeros(steps)
    for change in sorted(cook.wraps, key=lambda w: w.time_s):
        share = np.clip((edges[1:] - change.time_s) / dt, 0.0, 1.0)
        wrapped = wrapped * (1 - share) + share * (0.0 if change.material is None else 1.0)
    return Past(record.start_s, dt, air, wrapped)


@dataclass(frozen=True, slots=True)
class Seen:
    """Readings of a check probe, each (n,), by how much it rounds and by how much it flickers, K."""

    time_s: FloatArray
    probe_c: FloatArray
    step_k: float
    noise_k: float


@dataclass(frozen=True, slots=True)
class Observed:
    """What the fit is held against: times, readings, their covariance's inverse, and which place the
    lead probe was in (0 before it was moved, 1 after), each over (n,): `leads` readings of the lead
    probe, then those of the check probe."""

    time_s: FloatArray
    probe_c: FloatArray
    inverse: FloatArray
    moved: FloatArray
    correlation_s: float  #: how long the model's error lasts
    model_sd_k: float
    rate_sd_k_s: float  #: of the model's error in how fast the meat warms
    rate_lasts_s: float
    leads: int
    #: How much of the model's error now, and of that of its rate, is in each reading's: 1 for the lead's.
    error_share: FloatArray
    rate_share: FloatArray

    @property
    def has_check(self) -> bool:
        """Whether a check probe's readings are among them."""
        return self.leads < len(self.time_s)


@refuses(lasts_s=ABOVE_ZERO)
def drift_covariance(age_s: FloatArray, lasts_s: float) -> FloatArray:
    """Covariance (n, n), s², of what an error of rate adds up to between each reading and now.

    The rate's error has unit variance and a correlation exp(-|x - y| / T); from now back to the ages
    a <= b its sum has the covariance T (2 a - T (1 - e^(-a/T)) - T (e^(-(b-a)/T) - e^(-b/T))).
    """
    a = np.minimum(age_s[:, None], age_s[None, :])
    b = np.maximum(age_s[:, None], age_s[None, :])
    t = lasts_s
    return np.asarray(
        t * (2 * a - t * (1 - np.exp(-a / t)) - t * (np.exp(-(b - a) / t) - np.exp(-b / t)))
    )


_SEEN = Parts("time_s probe_c", step_k=NOT_BELOW_ZERO, noise_k=NOT_BELOW_ZERO)


@refuses("time_s probe_c", step_k=NOT_BELOW_ZERO, noise_k=NOT_BELOW_ZERO, check=_SEEN)
def observed_of(
    time_s: FloatArray,
    probe_c: FloatArray,
    now_s: float,
    start_s: float,
    moved_s: float | None,
    step_k: float,
    noise_k: float,
    model_sd_k: float = MODEL_SD_K,
    check: Seen | None = None,
) -> Observed:
    """Readings with the error model of this module's head."""
    elapsed = max(now_s - start_s, 60.0)
    age = np.clip((now_s - time_s) / elapsed, 0.0, 1.0)
    lasts = 600.0 + 0.25 * elapsed
    grows = 1.0 + 2.0 * age
    own = READING_SD_K**2 + step_k**2 / 12 + 0.1 * noise_k**2
    covariance = (
        model_sd_k**2
        * np.outer(grows, grows)
        * np.exp(-np.abs(time_s[:, None] - time_s[None, :]) / lasts)
    )
    covariance[np.diag_indices(len(time_s))] += own
    rate = RATE_SHARE * float(np.ptp(probe_c)) / elapsed * (model_sd_k / MODEL_SD_K)
    covariance += rate**2 * drift_covariance(now_s - time_s, RATE_LASTS * elapsed)
    moved = np.zeros(len(time_s)) if moved_s is None else (time_s >= moved_s).astype(np.float64)
    leads = len(time_s)
    error_share, rate_share = np.ones(leads), np.ones(leads)
    if check is not None and len(check.time_s):
        n = len(check.time_s)
        time_s = np.concatenate([time_s, check.time_s])
        probe_c = np.concatenate([probe_c, check.probe_c])
        moved = np.concatenate([moved, np.zeros(n)])
        of_check = np.arange(leads + n) >= leads
        check_rate = RATE_SHARE * float(np.ptp(check.probe_c)) / elapsed * (model_sd_k / MODEL_SD_K)
        rates = np.where(of_check, check_rate, rate)
        grows = 1.0 + 2.0 * np.clip((now_s - time_s) / elapsed, 0.0, 1.0)
        alike = np.where(of_check[:, None] == of_check[None, :], 1.0, ONE_PIECE)
        covariance = alike * (
            model_sd_k**2
            * np.outer(grows, grows)
            * np.exp(-np.abs(time_s[:, None] - time_s[None, :]) / lasts)
            + np.outer(rates, rates) * drift_covariance(now_s - time_s, RATE_LASTS * elapsed)
        )
        covariance[leads:, leads:] += APART_SD_K**2
        check_own = READING_SD_K**2 + check.step_k**2 / 12 + 0.1 * check.noise_k**2
        covariance[np.diag_indices(leads + n)] += np.where(of_check, check_own, own)
        error_share = np.where(of_check, ONE_PIECE, 1.0)
        rate_share = np.where(of_check, ONE_PIECE * check_rate / rate if rate > 0.0 else 0.0, 1.0)
    return Observed(
        time_s,
        probe_c,
        np.asarray(np.linalg.inv(covariance), dtype=np.float64),
        moved,
        lasts,
        model_sd_k,
        rate,
        RATE_LASTS * elapsed,
        leads,
        error_share,
        rate_share,
    )


class MemberFit:
    """The members that agree with the readings, and where they stand now."""

    def __init__(
        self,
        prior: Prior,
        past: Past,
        observed: Observed,
        near: FloatArray | None = None,
        around: FloatArray | None = None,
    ) -> None:
        """Sought from the parameters `near` on; `around`: what an earlier fit to the same readings and
        the same past had `around` those very parameters, so that it need not be run again."""
        self.prior = prior
        self.past = past
        self.observed = observed
        self.rounds = 0
        active = [i for i, name in enumerate(NAMES) if name not in _LATE]
        if observed.moved.any():
            active.append(INDEX["depth_after"])
        if past.wrapped.any():
            active += [INDEX["ln_wrap_wet"], INDEX["ln_wrap_h"]]
        if observed.has_check:
            active.append(INDEX[CHECK])
        #: Places in NAMES of the parameters that the readings can tell of, (active,).
        self.active = np.array(active)
        ends = past.ends_s
        self._right = np.clip(np.searchsorted(ends, observed.time_s), 0, len(ends) - 1)
        left_s = ends[self._right] - past.dt_s
        self._share = np.clip((observed.time_s - left_s) / past.dt_s, 0.0, 1.0)
        #: The steps next to a reading, and which of them come before and after each reading.
        self._kept = np.unique(np.concatenate([self._right, self._right + 1]))
        self._before = np.searchsorted(self._kept, self._right)
        self._after = np.searchsorted(self._kept, self._right + 1)
        self._seek(near, around)

    # -- the course of given parameters --------------------------------------------------------

    def run(self, z: FloatArray) -> tuple[FloatArray, Heating, FloatArray]:
        """Readings (n, members) at the observed times, the state now, and the parameters, of
        standard parameters (parameters, members)."""
        values = self.prior.values(z)
        pieces = Heating(bodies_of(values))
        first = probe_weights(values[INDEX["depth"]])
        after = probe_weights(values[INDEX["depth_after"]]) if self.observed.moved.any() else first
        h_wrap, wet_wrap = wrap_factors(values)
        past = self.past
        air_c = past.air_c[:, None] + values[INDEX["pit_error"]]
        pace = LatePace(values)
        check = probe_weights(values[INDEX[CHECK]]) if self.observed.has_check else first
        weights = [first] + [w for w in (after, check) if w is not first]
        shown = np.empty((len(self._kept), len(weights), z.shape[1]))
        kept = set(self._kept.tolist())
        row = 0
        for i in range(len(past.air_c) + 1):
            if i in kept:
                for k, place in enumerate(weights):
                    shown[row, k] = pieces.at(place)
                row += 1
            if i == len(past.air_c):
                break
            dt_s = past.dt_s * pace(pieces.mean_c())
            if wrapped := past.wrapped[i]:
                pieces.step(
                    air_c[i],
                    dt_s,
                    1.0 + wrapped * (h_wrap - 1.0),
                    1.0 + wrapped * (wet_wrap - 1.0),
                )
            else:
                pieces.step(air_c[i], dt_s)
        share = self._share[:, None, None]
        both = (1 - share) * shown[self._before] + share * shown[self._after]
        readings = both[:, 0]
        if after is not first:
            moved = self.observed.moved[:, None]
            readings = readings * (1 - moved) + both[:, 1] * moved
        if check is not first:
            readings[self.observed.leads :] = both[self.observed.leads :, -1]
        return readings, pieces, values

    def cost(self, z: FloatArray, readings: FloatArray) -> FloatArray:
        """Minus the logarithm of posterior probability, (members,), but for a constant."""
        off = self.observed.probe_c[:, None] - readings
        return np.asarray(
            0.5 * np.einsum("im,im->m", off, self.observed.inverse @ off)
            + 0.5 * np.einsum("im,im->m", z, z)
        )

    # -- the search ----------------------------------------------------------------------------

    def _seek(self, near: FloatArray | None, around: FloatArray | None) -> None:
        count = len(self.prior.mean)
        active = self.active
        n = len(active)
        z = np.zeros(count) if near is None else near.copy()
        if around is None:
            around = self.run(self._with_moved(z))[0]
        best = float(self.cost(z[:, None], around[:, :1])[0])
        for self.rounds in range(1, 11):
            jacobian = (around[:, 1:] - around[:, :1]) / _STEP
            off = self.observed.probe_c - around[:, 0]
            curved = jacobian.T @ self.observed.inverse @ jacobian + np.eye(n)
            pull = jacobian.T @ self.observed.inverse @ off - z[active]
            #: Of minus the logarithm of the posterior, (active, active), at the last round.
            self.curved = curved
            tries = np.repeat(z[:, None], len(_DAMPING), axis=1)
            for k, damping in enumerate(_DAMPING):
                move = np.linalg.solve(curved + damping * np.eye(n), pull)
                move *= min(1.0, 1.5 / max(float(np.abs(move).max()), 1e-9))
                tries[active, k] += move
            # A run costs little more for having more members, so that all tries take their slopes along:
            # whichever is the best, the next round needs no run before it.
            batch = np.concatenate([self._with_moved(one) for one in tries.T], axis=1)
            answers = self.run(batch)[0].reshape(len(off), len(_DAMPING), 1 + n)
            costs = self.cost(tries, answers[:, :, 0])
            k = int(np.argmin(costs))
            gained = best - float(costs[k])
            if gained > 0:
                z, best, around = tries[:, k], float(costs[k]), answers[:, k]
            if gained < 0.05:
                break
        #: The readings of `z` and of `z` with each of the active parameters moved, (n, 1 + active).
        self.around = around
        self.z = z
        #: Squared misfit over the number of readings: 1 where the error model says it all.
        self.misfit = 2 * (best - 0.5 * float(z @ z)) / len(self.observed.time_s)
        self.best = best

    def _with_moved(self, z: FloatArray) -> FloatArray:
        """`z`, and `z` with each of the active parameters moved by a step, (parameters, 1 + active)."""
        batch = np.repeat(z[:, None], 1 + len(self.active), axis=1)
        batch[self.active, 1 + np.arange(len(self.active))] += _STEP
        return batch

    def most_probable(self) -> Members:
        """The one member with the most probable parameters, where it stands now."""
        readings, pieces, values = self.run(self.z[:, None])
        return Members(values, pieces, readings, self.observed.probe_c[:, None] - readings)

    def members(self, rng: np.random.Generator, count: int = MEMBERS) -> Members:
        """Draws from the posterior, (parameters, count), with where each stands now."""
        total = len(self.prior.mean)
        active = self.active
        scale = np.linalg.cholesky(np.linalg.inv(self.curved))
        half = rng.standard_normal((total, count // 2))
        drawn = np.concatenate([half, -half], axis=1)
        z = drawn.copy()
        z[active] = self.z[active, None] + scale @ drawn[active]
        readings, pieces, values = self.run(z)
        log_weight = -self.cost(z, readings) + 0.5 * np.einsum("im,im->m", drawn, drawn)
        log_weight -= log_weight.max()
        power = 1.0
        for _ in range(12):
            weight = np.exp(power * log_weight)
            weight /= weight.sum()
            if 1.0 / float(np.square(weight).sum()) > 0.3 * count:
                break
            power *= 0.75
        places = (np.arange(count) + rng.random()) / count
        picked = np.searchsorted(np.cumsum(weight), places).clip(0, count - 1)
        return Members(
            values[:, picked],
            pieces.pick(picked),
            readings[:, picked],
            self.observed.probe_c[:, None] - readings[:, picked],
        )


@dataclass(frozen=True, slots=True)
class Members:
    """Parameters (parameters, m), the state now, the fitted readings and what is left over (n, m)."""

    values: FloatArray
    pieces: Heating
    readings: FloatArray
    off: FloatArray


_LATE = frozenset({"depth_after", "ln_wrap_wet", "ln_wrap_h"})


@refuses()
def wrap_factors(values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """What a wrap does to heat transfer and to evaporation, each (members,)."""
    return (
        np.exp(np.clip(values[INDEX["ln_wrap_h"]], -2.5, 0.7)),
        np.exp(np.clip(values[INDEX["ln_wrap_wet"]], -8.0, 0.0)),
    )
