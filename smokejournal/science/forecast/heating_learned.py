"""What finished cooks teach of the pit and of a kind of cut, as a prior for the next one.

A parameter of one cook is taken as what is usual + the pit's own + the cut's own + the day's. The
variance of the generic prior is split between these as `OF_THE_PIT` and `OF_THE_CUT` say. The readings
of a cook determine a few combinations of the parameters (how much water comes against how fast it
dries, say) and hardly any one of them by itself. So a finding keeps these combinations: the directions
in which the fit is curved more than by its prior, each with what was seen in it. All findings together are
one linear regression with known variances on what the pit and the cuts have of their own (Gelman, Carlin,
Stern, Dunson, Vehtari and Rubin, Bayesian Data Analysis, 3rd ed., sections 5.4 and 14.8), drawn
toward the generic prior. A cook that says something quite else is held back as by Huber (Ann. Math. Statist. 35,
1964, p. 73), with the length of what it is off in place of the single deviation.

Learning the parameters one by one changed next to nothing: tests/simulator/learning.md has the figures.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from smokejournal.science.forecast.heating_prior import (
    INDEX,
    NAMES,
    OF_THE_CUT,
    OF_THE_PIT,
    prior_of,
)
from smokejournal.science.forecast.values import COOK, CookSoFar, Cut, Finding, FloatArray, PitPrior
from smokejournal.science.numbers.refusals import ABOVE_ZERO, NUMBER, Parts, refuses

#: What a finding means. Raise it whenever the body, its fit or its generic prior changes so that older
#: findings would say something else: they are left out then, and cooks can be read again.
MODEL = 4
#: Beyond so many standard deviations a cook pulls no harder (Huber 1964; 95 % efficient where nothing
#: is odd).
ODD_SD = 1.345
#: A direction that the readings determined less well than this (information, in units of the prior's)
#: is left out: it would narrow no spread by more than a hundredth.
LEAST_SEEN = 0.02
_ROUNDS = 6
#: What is learned of any kind. What belongs to the cook's day alone (start, a moved probe) is not.
SHARED = tuple(name for name in NAMES if name in OF_THE_PIT or name in OF_THE_CUT)
_AT = {name: n for n, name in enumerate(SHARED)}


@dataclass(frozen=True, slots=True)
class Learned:
    """One parameter: `shift` from the generic mean, and the sd of what is the pit's (or cut's) own.

    `sd` is that of the next cook's value, the day's share included. `cooks`: how many tell of it.
    """

    shift: float
    own_sd: float
    sd: float
    cooks: int


_FINDINGS = Parts(directions=NUMBER, values=NUMBER, sd=ABOVE_ZERO)


@refuses("z sd", sd=ABOVE_ZERO)
def finding_of(
    cut: Cut, names: Sequence[str], curved: FloatArray, z: FloatArray, sd: FloatArray
) -> Finding:
    """What a fit determined, given where it came to.

    `curved` (n, n) is the curvature of minus the logarithm of the posterior in the standard parameters
    of `names`, `z` (n,) their place, `sd` (n,) the prior's spreads.
    """
    if np.shape(curved) != (len(names), len(names)) or len(z) != len(names):
        raise ValueError(f"curved: as many rows and columns as there are names, {len(names)}")
    information = curved - np.eye(len(names))
    values, vectors = np.linalg.eigh(0.5 * (information + information.T))
    pull = vectors.T @ (curved @ z)
    kept = [n for n in range(len(names) - 1, -1, -1) if values[n] > LEAST_SEEN]
    at = [k for k, name in enumerate(names) if name in _AT]
    return Finding(
        cut,
        tuple(
            {names[k]: float(math.sqrt(values[n]) * vectors[k, n] / sd[k]) for k in at}
            for n in kept
        ),
        tuple(float(pull[n] / math.sqrt(values[n])) for n in kept),
        {names[k]: float(sd[k]) for k in at},
    )


def generic_sd(cut: Cut) -> dict[str, float]:
    """The spread of the generic prior where nothing is known of the size, by what can be learned."""
    prior = prior_of(cut, None, None, 5.0, 1.0, None)
    return {name: float(prior.sd[INDEX[name]]) for name in SHARED}


@refuses(cook=COOK)
def spread_of(cook: CookSoFar) -> dict[str, float]:
    """The same, of a cook by what is known of its size."""
    prior = prior_of(cook.cut, cook.mass_kg, cook.thickness_m, 5.0, 1.0, None)
    return {name: float(prior.sd[INDEX[name]]) for name in SHARED}


class _Effects:
    """What a pit and each cut have of their own, as one normal: blocks of all of SHARED."""

    def __init__(
        self,
        here: Sequence[Finding],
        elsewhere: Sequence[Finding],
        sd: Mapping[str, float],
        cut: Cut,
    ) -> None:
        kinds = sorted({f.cut for f in (*here, *elsewhere)} | {cut})
        self._cuts = [kind for kind in kinds if kind != "other"]
        self._k = len(SHARED)
        own_sd = np.array([sd[name] for name in SHARED])
        pit = np.array([OF_THE_PIT.get(name, 0.0) for name in SHARED])
        of_cut = np.array([OF_THE_CUT.get(name, 0.0) for name in SHARED])
        blocks = [pit * own_sd**2, pit * own_sd**2]
        for kind in self._cuts:
            kind_sd = sd if kind == cut else generic_sd(kind)
            blocks.append(of_cut * np.array([kind_sd[name] for name in SHARED]) ** 2)
        variance = np.concatenate(blocks)
        self._live = np.flatnonzero(variance > 0.0)
        self._own_share, self._cut_share = pit + of_cut, of_cut
        self._solve(variance[self._live], here, elsewhere)

    def picks(self, pit: int, cut: Cut) -> FloatArray:
        """What adds up to a cook's own share, (shared, effects)."""
        k = self._k
        whole = np.zeros((k, k * (2 + len(self._cuts))))
        whole[:, pit * k : (pit + 1) * k] = np.eye(k)
        if cut in self._cuts:
            at = k * (2 + self._cuts.index(cut))
            whole[:, at : at + k] = np.eye(k)
        return whole[:, self._live]

    def day(self, cut: Cut, sd: FloatArray) -> FloatArray:
        """The variance that belongs to the day, (shared,). A piece of no known kind has all of its own."""
        own = self._own_share - (self._cut_share if cut == "other" else 0.0)
        return np.asarray((1.0 - own) * sd**2)

    def _solve(
        self, variance: FloatArray, here: Sequence[Finding], elsewhere: Sequence[Finding]
    ) -> None:
        rows: list[tuple[FloatArray, FloatArray, FloatArray]] = []
        cooks = [(0, one) for one in here] + [(1, one) for one in elsewhere]
        for pit, one in sorted(cooks, key=repr):
            if not one.directions:
                continue
            weights = np.zeros((len(one.directions), self._k))
            for n, direction in enumerate(one.directions):
                for name, weight in direction.items():
                    if name in _AT:
                        weights[n, _AT[name]] = weight
            spreads = np.array([one.sd.get(name, 0.0) for name in SHARED])
            noise = np.eye(len(weights)) + (weights * self.day(one.cut, spreads)) @ weights.T
            root = np.linalg.inv(np.linalg.cholesky(noise))
            seen = root @ np.array(one.values)
            picked = root @ weights @ self.picks(pit, one.cut)
            rows.append((picked, seen, np.array(len(seen))))
        pulls = np.ones(len(rows))
        for _ in range(_ROUNDS):
            precision = np.diag(1.0 / variance)
            moment = np.zeros(len(variance))
            for pull, (picked, seen, _) in zip(pulls, rows, strict=True):
                precision += pull * picked.T @ picked
                moment += pull * picked.T @ seen
            self.mean = np.linalg.solve(precision, moment)
            # As many directions as a cook tells of, as far off it may be: the mean square counts.
            off = [math.sqrt(float(np.mean((seen - p @ self.mean) ** 2))) for p, seen, _ in rows]
            before, pulls = pulls, np.array([min(1.0, ODD_SD / max(x, 1e-9)) for x in off])
            if np.allclose(before, pulls, atol=1e-3):
                break
        self.covariance = np.linalg.inv(precision)


@refuses(here=_FINDINGS, elsewhere=_FINDINGS)
def learned(
    cut: Cut, here: Sequence[Finding], elsewhere: Sequence[Finding] = ()
) -> tuple[dict[str, Learned], dict[str, Learned]]:
    """What these cooks teach of the pit, and of `cut`, by parameter; only what some cook tells of.

    `here` were cooked on this pit, `elsewhere` on another: they tell of the cut alone. The order of
    cooks doesn't matter.
    """
    sd = generic_sd(cut)
    spreads = np.array([sd[name] for name in SHARED])
    effects = _Effects(here, elsewhere, sd, cut)
    of_cut = [f for f in (*here, *elsewhere) if f.cut == cut and f.directions]
    on_pit = [f for f in here if f.directions]
    day = effects.day(cut, spreads)
    both = []
    for shares, cooks, block in (
        (OF_THE_PIT, len(on_pit), effects.picks(0, "other")),
        (OF_THE_CUT, 0 if cut == "other" else len(of_cut), None),
    ):
        picks = effects.picks(0, cut) - effects.picks(0, "other") if block is None else block
        mean = picks @ effects.mean
        variance = np.einsum("ij,jk,ik->i", picks, effects.covariance, picks)
        both.append(
            {
                name: Learned(
                    float(mean[_AT[name]]),
                    math.sqrt(max(variance[_AT[name]], 0.0)),
                    math.sqrt(max(variance[_AT[name]], 0.0) + day[_AT[name]]),
                    cooks,
                )
                for name in shares
                if cooks
            }
        )
    return both[0], both[1]


@refuses(here=_FINDINGS, elsewhere=_FINDINGS, sd=ABOVE_ZERO)
def learned_prior(
    cut: Cut,
    here: Sequence[Finding],
    elsewhere: Sequence[Finding] = (),
    sd: Mapping[str, float] | None = None,
) -> PitPrior | None:
    """The prior of a cook of `cut`, after cooks on the same pit and after cooks elsewhere. Of how probes
    rose only cooks on the same pit tell.

    `sd`: the spreads of that cook's generic prior (None: where nothing is known of its size). None where
    no cook tells anything of it: then the generic prior stands.
    """
    on_pit = sum(bool(f.directions) for f in here)
    of_cut = sum(bool(f.directions) for f in (*here, *elsewhere) if f.cut == cut != "other")
    if not on_pit and not of_cut:
        return None
    spread = generic_sd(cut) | dict(sd or {})
    effects = _Effects(here, elsewhere, spread, cut)
    picks = effects.picks(0, cut)
    day = effects.day(cut, np.array([spread[name] for name in SHARED]))
    covariance = picks @ effects.covariance @ picks.T + np.diag(day)
    covariance = 0.5 * (covariance + covariance.T)
    return PitPrior(
        SHARED,
        tuple(float(x) for x in picks @ effects.mean),
        tuple(tuple(float(x) for x in row) for row in covariance),
        on_pit,
        of_cut,
        courses=tuple(f.course for f in here if f.course is not None and f.cut == cut != "other"),
    )
