"""What finished cooks teach of the pit and of a kind of cut, as a prior for the next one.

A parameter of one cook is taken as what is usual + the pit's own (or the cut's own) + the day's. The
variance of the generic prior is split between the last two as `OF_THE_PIT` and `OF_THE_CUT` say. A
finding is what one cook's readings left of that parameter, computed with the generic prior; so that
prior is taken out of it again before findings are put together, and counts once. What remains is the
hierarchical normal model with known variances (Gelman, Carlin, Stern, Dunson, Vehtari and Rubin,
Bayesian Data Analysis, 3rd ed., sections 2.5 and 5.4): means weighted by precision, drawn toward the
generic one. A cook that says something quite else is held back as by Huber (Ann. Math. Statist. 35,
1964, p. 73). The parameters are learned one by one, as if nothing tied them: what two of them can only
tell together is left out, which is on the careful side.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from smokejournal.science.forecast.heating_prior import INDEX, OF_THE_CUT, OF_THE_PIT, prior_of
from smokejournal.science.forecast.values import Cut, PitPrior
from smokejournal.science.numbers.refusals import ABOVE_ZERO, Parts, refuses

#: What a finding means. Raise it whenever the body, its fit or its generic prior changes so that older
#: findings would say something else: they are left out then, and cooks can be read again.
MODEL = 1
#: Beyond so many standard deviations a cook pulls no harder (Huber 1964; 95 % efficient where nothing
#: is odd).
ODD_SD = 1.345
#: What is learned lies never further from the generic mean than this many of the own share's
#: standard deviations. Our own judgment: what seems odder than one pit in twenty is more likely
#: a fault of the model.
CAP_SD = 2.0


@dataclass(frozen=True, slots=True)
class Finding:
    """Of one cook of `cut`: mean and sd by parameter, each in its own unit, after its readings and
    with the generic prior."""

    cut: Cut
    mean: Mapping[str, float] = field(default_factory=dict)
    sd: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Learned:
    """One parameter: `shift` from the generic mean, and the sd of what is the pit's (or cut's) own.

    `sd` is that of the next cook's value, the day's share included. `cooks`: how many tell of it.
    """

    shift: float
    own_sd: float
    sd: float
    cooks: int


_FINDINGS = Parts(sd=ABOVE_ZERO)


def generic(cut: Cut) -> dict[str, tuple[float, float]]:
    """Mean and sd of the generic prior, of each parameter that can be learned."""
    prior = prior_of(cut, None, None, 5.0, 1.0, None)
    return {
        name: (float(prior.mean[INDEX[name]]), float(prior.sd[INDEX[name]]))
        for name in (*OF_THE_PIT, *OF_THE_CUT)
    }


@refuses(findings=_FINDINGS)
def learned(name: str, cut: Cut, findings: Sequence[Finding]) -> Learned:
    """What these cooks teach of one parameter, for a cook of `cut`. Their order doesn't matter.

    Raises
    ------
    KeyError
        Where `name` is no parameter that is learned.
    """
    share = (OF_THE_PIT | OF_THE_CUT)[name]
    variance = generic(cut)[name][1] ** 2
    own, day = share * variance, (1.0 - share) * variance
    told: list[tuple[float, float]] = []
    cooks = 0
    for one in findings:
        if name not in one.mean or name not in one.sd:
            continue
        cooks += 1
        bare = _without_prior(one.mean[name], one.sd[name], *generic(one.cut)[name])
        if bare is not None:
            told.append((bare[0], math.sqrt(bare[1] + day)))
    shift = _balance(told, own)
    precision = 1.0 / own + math.fsum(
        min(1.0, ODD_SD * sd / max(abs(value - shift), 1e-300)) / sd**2 for value, sd in told
    )
    cap = CAP_SD * math.sqrt(own)
    return Learned(
        shift=max(-cap, min(cap, shift)),
        own_sd=math.sqrt(1.0 / precision),
        sd=math.sqrt(1.0 / precision + day),
        cooks=cooks,
    )


@refuses(of_the_pit=_FINDINGS, of_the_cut=_FINDINGS)
def learned_prior(
    cut: Cut, of_the_pit: Sequence[Finding], of_the_cut: Sequence[Finding]
) -> PitPrior | None:
    """The prior of a cook of `cut`, after cooks on the same pit and after cooks of the same cut.

    None where none of them tells anything: then the generic prior stands.
    """
    mean: dict[str, float] = {}
    sd: dict[str, float] = {}
    counts = [0, 0]
    for n, (shares, findings) in enumerate(((OF_THE_PIT, of_the_pit), (OF_THE_CUT, of_the_cut))):
        for name in shares:
            what = learned(name, cut, findings)
            if what.cooks:
                mean[name] = generic(cut)[name][0] + what.shift
                sd[name] = what.sd
                counts[n] = max(counts[n], what.cooks)
    if not mean:
        return None
    return PitPrior(mean, sd, cooks=counts[0], of_the_cut=counts[1])


def _without_prior(
    mean: float, sd: float, prior_mean: float, prior_sd: float
) -> tuple[float, float] | None:
    """What the readings alone said: shift from the generic mean, and its variance. None: nothing."""
    precision = 1.0 / sd**2 - 1.0 / prior_sd**2
    if not precision > 0.0:
        return None
    return (mean - prior_mean) / (sd**2 * precision), 1.0 / precision


def _balance(told: Sequence[tuple[float, float]], own: float) -> float:
    """Where the pulls of all (value, sd) are in balance with that of the generic mean, 0.

    The pulls only fall as the place rises, so that halving the interval finds the one place.
    """
    low = min((value for value, _ in told), default=0.0)
    high = max((value for value, _ in told), default=0.0)
    low, high = min(low, 0.0), max(high, 0.0)
    for _ in range(100):
        place = 0.5 * (low + high)
        pull = math.fsum(max(-ODD_SD, min(ODD_SD, (value - place) / sd)) / sd for value, sd in told)
        if pull - place / own > 0.0:
            low = place
        else:
            high = place
    return 0.5 * (low + high)
