"""How fast pellets burn: what physics expects, made surer by the person's own cooks.

Physics (`science.heat_loss`) gives a rate that may be off by a factor, since hardly anything is known
of a cooker: how much air it draws, how well its walls take up heat, how the wind gets at it. That
factor belongs to the cooker, and each cook scatters about it. In logarithms:

    ln(burned / expected) = bias of the cooker + scatter of the cook + error of the masses

The bias is normal about nothing with the standard deviation that the unknowns add up to; the scatter
follows Student's t with 4 degrees of freedom, so that one odd cook (a hopper misread, a lid left open)
moves little; how wide it is, is learned too, about 20 %. Both are summed over a grid, which is exact
enough to two figures and takes milliseconds. Nothing is fitted and kept: what is believed follows
from the cooks that are given, so a cook that is taken away is forgotten.

Intervals hold the middle four fifths: eight cooks in ten should fall within.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from statistics import NormalDist

import numpy as np

from smokejournal.cook.fuel.cooker import CookerFacts
from smokejournal.cook.log.readings import FloatArray
from smokejournal.science.heat.fuel import PELLETS, Wood
from smokejournal.science.heat.heat_loss import SEA_LEVEL_PA, Cooker, steady_burn

#: The share of cases that an interval holds, between these two quantiles.
LOW, HIGH = 0.1, 0.9
#: Fewer cooks than this say little: what is expected rests on physics.
FEW = 3

#: Where the weather was not read [°C, m/s], and how far off that may be (standard deviations).
USUAL_AIR_C, USUAL_AIR_SD = 15.0, 8.0
USUAL_WIND_M_S, USUAL_WIND_SD = 2.0, 1.5

#: By what factor each unknown may be off, as one standard deviation. Common practice, no source, but
#: for excess air: 7.6 follows from 2.67 % of CO2 in the smoke of grilling pellets (Drobniak,
#: Mastalerz and others, abstract read), and stack oxygen of pellet stoves lies from 10 to 18 %.
UNSURE_INSIDE = 1.5
UNSURE_EXCESS_AIR = 1.5
UNSURE_SHELTER = 1.8
UNSURE_EMISSIVITY = 1.3
UNSURE_GROSS = 1.03
UNSURE_AREA = 1.10
UNSURE_AREA_ASSUMED = 1.40
#: Leaks, lid, the food's own heat, a fire that wanders.
UNSURE_REST = 1.25

_SCATTER = 0.20
_SCATTER_FACTOR = 1.8
_DEGREES = 4
_DRIFT = 0.10


@dataclass(frozen=True, slots=True)
class Outdoors:
    """Air [°C] and wind [m/s at 10 m]; None where it was not read, and then the usual is taken.

    `pressure_hpa` is that of the air where the cooker stands, not reduced to the sea: thin air takes
    up less heat. None where neither it nor the altitude is known, and then it is taken as at sea level.
    """

    air_c: float | None = None
    wind_m_s: float | None = None
    pressure_hpa: float | None = None


@dataclass(frozen=True, slots=True)
class Estimate:
    """An estimate: the middle and the ends between which eight in ten should fall."""

    low: float
    mid: float
    high: float

    def times(self, factor: float) -> Estimate:
        """This times a number that is not below 0."""
        return Estimate(self.low * factor, self.mid * factor, self.high * factor)


@dataclass(frozen=True, slots=True)
class Burned:
    """What one finished cook tells: what burned [kg] and how surely, against what physics expected.

    `given_sd` is how far the expectation itself may be off (ln) because the weather was not read.
    """

    cook_id: int
    burned_kg: float
    sd_kg: float
    expected_kg: float
    given_sd: float = 0.0

    @property
    def log_ratio(self) -> float:
        """ln(burned / expected)."""
        return math.log(self.burned_kg / self.expected_kg)

    @property
    def log_sd(self) -> float:
        """How surely that is known, without the cook's own scatter."""
        return math.hypot(self.sd_kg / self.burned_kg, self.given_sd)


def expected_kg_h(cooker: Cooker, pit_c: float, out: Outdoors, wood: Wood = PELLETS) -> float:
    """What physics expects [kg/h] at a pit temperature; OutOfRange where it can't be held."""
    air_c = USUAL_AIR_C if out.air_c is None else out.air_c
    wind = USUAL_WIND_M_S if out.wind_m_s is None else out.wind_m_s
    pressure_pa = SEA_LEVEL_PA if out.pressure_hpa is None else 100.0 * out.pressure_hpa
    return steady_burn(cooker, pit_c, air_c, wind, wood, pressure_pa).rate_kg_h


def given_sd(cooker: Cooker, pit_c: float, out: Outdoors) -> float:
    """How far the rate may be off (ln) because air or wind was not read; 0 where both were."""
    parts = [0.0]
    if out.air_c is None:
        parts.append(
            _half_log(
                lambda s: expected_kg_h(
                    cooker, pit_c, replace(out, air_c=USUAL_AIR_C + s * USUAL_AIR_SD)
                )
            )
        )
    if out.wind_m_s is None:
        parts.append(
            _half_log(
                lambda s: expected_kg_h(
                    cooker, pit_c, replace(out, wind_m_s=USUAL_WIND_M_S + s * USUAL_WIND_SD)
                )
            )
        )
    return math.hypot(*parts)


def prior_sd(facts: CookerFacts) -> float:
    """How far physics may be off for this cooker (ln), from all that isn't known of it.

    Each unknown is moved by its standard deviation both ways, at 110 °C in air of 15 °C; the parts add
    up as independent ones do.
    """
    cooker = facts.cooker()
    area = UNSURE_AREA if facts.size_said else UNSURE_AREA_ASSUMED
    wall = cooker.wall

    def rate(changed: Cooker, wood: Wood = PELLETS) -> float:
        return steady_burn(changed, 110.0, USUAL_AIR_C, USUAL_WIND_M_S, wood).rate_kg_h

    def with_wall(**changes: float) -> float:
        return rate(replace(cooker, wall=replace(wall, **changes)))

    def with_wood(factor: float) -> float:
        return rate(cooker, replace(PELLETS, gross_mj_kg=PELLETS.gross_mj_kg * factor))

    parts = [
        _half_log(lambda s: with_wall(inside_w_m2k=wall.inside_w_m2k * UNSURE_INSIDE**s)),
        _half_log(lambda s: with_wall(emissivity=min(1.0, wall.emissivity * UNSURE_EMISSIVITY**s))),
        _half_log(
            lambda s: rate(replace(cooker, excess_air=cooker.excess_air * UNSURE_EXCESS_AIR**s))
        ),
        _half_log(lambda s: rate(replace(cooker, shelter=cooker.shelter * UNSURE_SHELTER**s))),
        _half_log(lambda s: with_wood(UNSURE_GROSS**s)),
        math.log(area),
        math.log(UNSURE_REST),
    ]
    return math.hypot(*parts)


def _half_log(rate_at: Callable[[float], float]) -> float:
    return 0.5 * abs(math.log(rate_at(1.0) / rate_at(-1.0)))


class Belief:
    """What is believed of the factor between what burns and what physics expects."""

    def __init__(self, prior: float, burns: Sequence[Burned] = ()) -> None:
        if not (math.isfinite(prior) and 0.0 < prior < 3.0):
            raise ValueError("a prior is wider than nothing and narrower than a factor of twenty")
        self.prior_sd = prior
        self.burns = tuple(burns)
        reach = max([4.0 * prior, *(abs(b.log_ratio) + 1.0 for b in burns)])
        self._bias: FloatArray = np.linspace(-reach, reach, 241)
        self._scatter: FloatArray = _SCATTER * np.exp(
            math.log(_SCATTER_FACTOR) * np.linspace(-2.5, 2.5, 11)
        )

    @property
    def count(self) -> int:
        """How many cooks it rests on."""
        return len(self.burns)

    @property
    def few(self) -> bool:
        """True where so few cooks tell that it still rests on physics."""
        return self.count < FEW

    @cached_property
    def _weights(self) -> FloatArray:
        """Of each bias with each scatter, of shape (biases, scatters), summing to 1."""
        log = np.add.outer(
            -0.5 * (self._bias / self.prior_sd) ** 2,
            -0.5 * (np.log(self._scatter / _SCATTER) / math.log(_SCATTER_FACTOR)) ** 2,
        )
        for burn in self.burns:
            width = np.hypot(self._scatter, burn.log_sd)
            off = (burn.log_ratio - self._bias[:, None]) / width[None, :]
            log += _log_t(off) - np.log(width)[None, :]
        weights: FloatArray = np.exp(log - log.max())
        summed: FloatArray = weights / weights.sum()
        return summed

    @cached_property
    def _next(self) -> tuple[FloatArray, FloatArray]:
        """The factor (ln) of a cook to come: its grid, and the weight of each point."""
        reach = float(self._bias[-1]) + 1.0
        grid: FloatArray = np.linspace(-reach, reach, 321)
        off = (grid[:, None, None] - self._bias[None, :, None]) / self._scatter[None, None, :]
        dense = np.exp(_log_t(off)) / self._scatter[None, None, :]
        weights: FloatArray = np.einsum("ybs,bs->y", dense, self._weights)
        return grid, weights / weights.sum()

    def factor(self, spread: float = 0.0) -> Estimate:
        """By what factor a cook to come will differ from physics. `spread` (ln) widens it, as the
        weather does where it isn't known."""
        grid, weights = self._next
        if spread > 0.0:
            weights = _blurred(grid, weights, spread)
        return Estimate(*(math.exp(_quantile(grid, weights, q)) for q in (LOW, 0.5, HIGH)))

    def seen(self, so_far: Burned) -> FactorGrid:
        """The same for the cook under way, once its own level was read twice."""
        grid, weights = self._next
        sd = math.hypot(so_far.log_sd, _DRIFT)
        told = np.exp(-0.5 * ((so_far.log_ratio - grid) / sd) ** 2)
        after: FloatArray = weights * told
        total = float(after.sum())
        # So far from all that is believed that the grid holds none of it: then it speaks alone.
        if total < 1e-200:
            after = np.exp(-0.5 * ((np.clip(so_far.log_ratio, grid[0], grid[-1]) - grid) / sd) ** 2)
            total = float(after.sum())
        return FactorGrid(grid, _blurred(grid, after / total, _DRIFT))

    def predicted(self, spread: float = 0.0) -> FactorGrid:
        """The factor of a cook to come as a distribution."""
        grid, weights = self._next
        return FactorGrid(grid, _blurred(grid, weights, spread) if spread > 0.0 else weights)


@dataclass(frozen=True)
class FactorGrid:
    """The factor (ln) of one cook: a grid of shape (n,), and the weight of each point."""

    grid: FloatArray
    weights: FloatArray

    def factor(self) -> Estimate:
        """Its middle and ends."""
        return Estimate(
            *(math.exp(_quantile(self.grid, self.weights, q)) for q in (LOW, 0.5, HIGH))
        )

    def lasts_h(self, level_kg: float, level_sd: float, expected_kg_h_: float) -> Estimate:
        """For how long [h] a level of fuel lasts, both it and the rate being unsure.

        41 equally likely values of each are set against each other. A level can't be below nothing.
        """
        shares = (np.arange(41) + 0.5) / 41
        factors = np.exp([_quantile(self.grid, self.weights, float(q)) for q in shares])
        levels = np.maximum(0.0, level_kg + level_sd * _normal_quantiles(shares))
        hours = np.divide.outer(levels, factors * expected_kg_h_).ravel()
        return Estimate(*(float(np.quantile(hours, q)) for q in (LOW, 0.5, HIGH)))


def _log_t(off: FloatArray) -> FloatArray:
    """ln of Student's density with 4 degrees of freedom, whose constant is 3/8."""
    value: FloatArray = math.log(0.375) - 0.5 * (_DEGREES + 1) * np.log1p(off**2 / _DEGREES)
    return value


def _quantile(grid: FloatArray, weights: FloatArray, share: float) -> float:
    below = np.cumsum(weights) - 0.5 * weights
    return float(np.interp(share, below, grid))


def _blurred(grid: FloatArray, weights: FloatArray, sd: float) -> FloatArray:
    kernel = np.exp(-0.5 * ((grid[:, None] - grid[None, :]) / sd) ** 2)
    blurred = (kernel / kernel.sum(axis=0)) @ weights
    summed: FloatArray = blurred / blurred.sum()
    return summed


def _normal_quantiles(shares: FloatArray) -> FloatArray:
    return np.array([NormalDist().inv_cdf(float(q)) for q in shares])
