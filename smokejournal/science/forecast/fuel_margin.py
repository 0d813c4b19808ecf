"""Whether fuel lasts until a fire may go out: one distribution set against another.

What is left once the fire may go out is  level - factor x expected,  where `expected` [kg] is what
physics expects to burn until then and `factor` is how far this fire differs from that. The level is
normal and not below nothing; the factor is given on a grid; the times are the members of a forecast.
The three are independent. Each is cut into equally likely slices, whose middles are put together by
shuffles that are the same every time (Latin hypercube sampling: McKay, Beckman and Conover,
Technometrics 21(2), 1979; from memory). So the same input gives the same numbers, and more fuel or an
earlier end, being tried on the same draws, never makes running out likelier.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from smokejournal.science.numbers.refusals import ENDLESS, NOT_BELOW_ZERO, NUMBER, Parts, refuses

FloatArray = NDArray[np.float64]

#: So many draws put the chance off by less than 0.01 (looked at against the closed forms in the tests).
DRAWS = 10_000
_SEED = 41_077


@dataclass(frozen=True, slots=True)
class Store:
    """What fuel there is, and how it goes.

    `grid` and `weights` of shape (n,): ln of the factor and the chance of each point. `level_kg` with
    `level_sd` as last read; since then physics expects `spent_kg` to have burned.
    """

    grid: FloatArray
    weights: FloatArray
    level_kg: float = 0.0
    level_sd: float = 0.0
    spent_kg: float = 0.0


@dataclass(frozen=True, slots=True)
class Fire:
    """A fire to come, in stretches one after the other.

    `ends_s` of shape (stretches, members): when each is over, in seconds from now; inf: later than was
    looked at. `rates_kg_h` of shape (stretches,): what physics expects in each, above 0.
    """

    ends_s: FloatArray
    rates_kg_h: FloatArray


@dataclass(frozen=True, slots=True)
class Margin:
    """The draws, each of shape (DRAWS,): member i of each belongs to one course of things.

    `needed_kg` from now until the fire may go out (inf: later than was looked at), `spare_kg` what is
    left then (below 0: what is missing). `empty_s`: when the fuel is at an end, in seconds from now; 0
    where it is already; the last stretch is taken to go on for that. `off_s`: when the fire may go out.
    """

    needed_kg: FloatArray
    spare_kg: FloatArray
    empty_s: FloatArray
    off_s: FloatArray

    @property
    def runs_out(self) -> float:
        """The chance (0 to 1) that the fuel is at an end before the fire may go out."""
        return float(np.mean(self.spare_kg < 0.0))

    def missing_kg(self, chance: float) -> float:
        """How much more fuel [kg] brings that chance down to this; 0 where it is no higher."""
        return max(0.0, -float(np.quantile(self.spare_kg, chance, method="inverted_cdf")))


#: A level that was estimated may come out below nothing: `margin` takes it for nothing.
_STORE = Parts("grid weights", level_kg=NUMBER, spent_kg=NOT_BELOW_ZERO)
_FIRE = Parts(ends_s=ENDLESS)


@refuses(store=_STORE, fire=_FIRE)
def margin(store: Store, fire: Fire) -> Margin:
    """Set the fuel against the fire.

    Raises
    ------
    ValueError
        Where shapes don't go together, there are no members, or a rate is not above 0.
    """
    ends_s, rates = np.atleast_2d(fire.ends_s), np.asarray(fire.rates_kg_h, dtype=float)
    if ends_s.shape[0] != rates.size or not ends_s.size:
        raise ValueError("a rate for each stretch and at least one member are needed")
    if not np.all(rates > 0.0):
        raise ValueError("a stretch in which nothing burns is none of a fire")
    factor, level, member = _draws(store, ends_s.shape[1])
    begin = np.zeros(DRAWS)
    expected = np.zeros(DRAWS)
    # What is left, in terms of what physics expects to burn of it.
    budget = np.maximum(0.0, level / factor - store.spent_kg)
    empty = np.full(DRAWS, np.inf)
    left = budget.copy()
    for k, rate in enumerate(rates):
        end = np.maximum(begin, np.maximum(ends_s[k], 0.0)[member])
        lasts = left * 3600.0 / rate
        last = k == rates.size - 1
        with np.errstate(invalid="ignore"):
            length = np.where(np.isfinite(begin), end - begin, 0.0)
        ends_here = np.isinf(empty) & ((lasts <= length) | last)
        empty = np.where(ends_here & np.isfinite(begin), begin + lasts, empty)
        burned = length * rate / 3600.0
        expected += burned
        left = np.maximum(0.0, left - burned)
        begin = end
    return Margin(
        needed_kg=factor * expected,
        spare_kg=level - factor * (store.spent_kg + expected),
        empty_s=empty,
        off_s=begin,
    )


def _draws(store: Store, members: int) -> tuple[FloatArray, FloatArray, NDArray[np.intp]]:
    """Factor, level [kg] and member of each draw."""
    middles, z, first, second, third = _slices()
    below = np.cumsum(store.weights) - 0.5 * store.weights
    factor = np.exp(np.interp(middles, below, store.grid))[first]
    level = np.maximum(0.0, store.level_kg + store.level_sd * z)[second]
    member = (np.arange(DRAWS) * members // DRAWS)[third]
    return factor, level, member


@lru_cache(maxsize=1)
def _slices() -> tuple[
    FloatArray, FloatArray, NDArray[np.intp], NDArray[np.intp], NDArray[np.intp]
]:
    """The middles of equally likely slices, the normal quantiles there, and the three shuffles."""
    middles: FloatArray = (np.arange(DRAWS) + 0.5) / DRAWS
    normal = NormalDist()
    z = np.array([normal.inv_cdf(float(share)) for share in middles])
    rng = np.random.default_rng(_SEED)
    first, second, third = (rng.permutation(DRAWS) for _ in range(3))
    return middles, z, first, second, third
