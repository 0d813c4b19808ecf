"""A forecast corrected by what came of earlier ones.

For each finished cook it is kept where what came fell in the forecasts made of it at several moments of
the way: the share of the forecast that lay before it (the probability integral transform: Dawid, J. R.
Statist. Soc. A 147, 1984, p. 278; Gneiting, Balabdaoui and Raftery, J. R. Statist. Soc. B 69, 2007, p. 243),
as a normal score. If forecasts are right these scores are standard normal. Here they are taken as normal
with a mean (forecasts run late or early) and a spread (their intervals are too narrow or too wide) that are
learned with a conjugate prior (Gelman et al., Bayesian Data Analysis, 3rd ed., section 3.3), in two
steps: from cooks of other cuts, which count for less, then from those of the same cut. A forecast is then
read at other scores: at mean + spread x score in place of the score.

While cooks are few the generic prior rules, which is `GENERIC_SCALE` and no bias. The four moments of one
cook are not four independent ones, and a moment tells the more of another the nearer it is on the way.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import NormalDist
from typing import Final

import numpy as np

from smokejournal.science.forecast.values import SHARES, Cut, Fell, FloatArray, Recalibration
from smokejournal.science.numbers.refusals import ENDLESS, PARTS, between, refuses
from smokejournal.science.numbers.student import t_quantile

#: What a fresh installation begins with: how wide its interval is, of what the members say. Between what
#: our own simulated pits would need (1.0 to 1.1) and what cooks simulated outside the project needed
#: (0.75): nobody has measured real ones.
GENERIC_SCALE: Final = 0.9
#: How many moments' worth the generic bias and the generic scale count. These and the next three were
#: chosen on the open part of the pits that cook twelve times (tests/simulator/learning.md).
GENERIC_BIAS_WORTH: Final = 2.0
GENERIC_SCALE_WORTH: Final = 8.0
#: What a moment of a cook counts: neighbors on the way say in part the same.
MOMENT_WORTH: Final = 0.6
#: What a cook of another cut on this pit counts of that.
OTHER_CUT: Final = 0.2
#: Moments this far apart on the way tell e times less of each other.
REACH: Final = 0.2
#: A score further out says that the forecast was wrong, not by how much.
FURTHEST: Final = 3.0
_TOLD: Final = 0.9
_NORMAL: Final = NormalDist()
#: The interval that is told lies within so many of these scores, on either side.
TOLD_SCORE: Final = _NORMAL.inv_cdf(_TOLD)
HALF_WAY: Final = 0.5
SCORES: Final = np.array([_NORMAL.inv_cdf(float(share)) for share in SHARES])
#: Less than this is as good as there: it is moved no further [s].
LEAST_S: Final = 30.0


@refuses(way=between("way", 0.0, 1.0), fell=PARTS)
def recalibration(cut: Cut, way: float, fell: Sequence[Sequence[Fell]]) -> Recalibration:
    """What earlier cooks (one sequence each, in any order) change of a forecast of `cut` that is made
    when `way` of the way is behind."""
    bias, worth = 0.0, GENERIC_BIAS_WORTH
    freedom = GENERIC_SCALE_WORTH
    # Such that a fresh installation has the generic scale exactly.
    variance = (GENERIC_SCALE / _reach(1.0, worth, freedom)) ** 2
    every = sorted(one for cook in fell for one in cook)
    for same in (False, True):
        some = [one for one in every if (one.cut == cut) is same]
        if not some:
            continue
        z = np.clip([one.score for one in some], -FURTHEST, FURTHEST)
        near = np.exp(-(((np.array([one.way for one in some]) - way) / REACH) ** 2))
        weight = MOMENT_WORTH * (1.0 if same else OTHER_CUT) * near
        total = math.fsum(weight)
        if total <= 0.0:
            continue
        mean = math.fsum(weight * z) / total
        spread = math.fsum(weight * (z - mean) ** 2)
        between = worth * total / (worth + total) * (mean - bias) ** 2
        variance = (freedom * variance + spread + between) / (freedom + total)
        bias = (worth * bias + total * mean) / (worth + total)
        worth, freedom = worth + total, freedom + total
    return Recalibration(bias, _reach(variance, worth, freedom), sum(bool(cook) for cook in fell))


def _reach(variance: float, worth: float, freedom: float) -> float:
    """How far out the next score lies at the ends of the interval that is told, over a standard one's:
    Student's t, with what is not known of the mean added."""
    return math.sqrt(variance * (1.0 + 1.0 / worth)) * t_quantile(_TOLD, freedom) / TOLD_SCORE


def _log_of(remaining_s: FloatArray) -> FloatArray:
    """Logarithms that rise, by a hair where two are alike."""
    logs = np.log(np.maximum(remaining_s, LEAST_S))
    rising = np.maximum.accumulate(logs)
    return np.asarray(rising + 1e-9 * np.arange(len(rising)))


def _ends(scores: FloatArray, logs: FloatArray) -> tuple[float, float]:
    """How fast the logarithm goes beyond the first and the last, per score: as over the outer tenth."""
    n = max(2, len(logs) // 10)
    low = (logs[n] - logs[0]) / (scores[n] - scores[0])
    high = (logs[-1] - logs[-1 - n]) / (scores[-1] - scores[-1 - n])
    return max(float(low), 1e-6), max(float(high), 1e-6)


@refuses(remaining_s=ENDLESS, came_s=ENDLESS)
def score_of(remaining_s: FloatArray, came_s: float) -> float | None:
    """The normal score at which `came_s` falls in a forecast, `remaining_s` (19,) at SHARES.

    Beyond the outermost shares it goes on as they do. None where the forecast's middle tells no time.
    """
    finite = np.isfinite(remaining_s)
    if not finite[len(SHARES) // 2] or not math.isfinite(came_s):
        return None
    scores, logs = SCORES[finite], _log_of(remaining_s[finite])
    came = math.log(max(came_s, LEAST_S))
    low, high = _ends(scores, logs)
    if came < logs[0]:
        return float(scores[0] + (came - logs[0]) / low)
    if came > logs[-1]:
        # Where the rest is 'never', what comes after all fell beyond the last that told a time.
        return float(scores[-1] + (came - logs[-1]) / high)
    return float(np.interp(came, logs, scores))


@refuses(remaining_s=ENDLESS, by=PARTS)
def recalibrated(remaining_s: FloatArray, by: Recalibration) -> FloatArray:
    """The members' remaining times (m,) moved so that their scores are spread and biased as `by` says.

    Each keeps its place among the others; what was never reached stays so while its score does, and
    beyond the last member that has a time there is none to be made up.
    """
    count = len(remaining_s)
    order = np.argsort(remaining_s, kind="stable")
    ordered = remaining_s[order]
    finite = int(np.count_nonzero(np.isfinite(ordered)))
    if finite < 3 or (by.bias == 0.0 and abs(by.scale - 1.0) < 1e-9):
        return remaining_s.copy()
    scores = np.array([_NORMAL.inv_cdf((n + 0.5) / count) for n in range(count)])
    logs, known = _log_of(ordered[:finite]), scores[:finite]
    wanted = by.bias + by.scale * scores
    low, high = _ends(known, logs)
    moved = np.interp(wanted, known, logs)
    moved = np.where(wanted < known[0], logs[0] + (wanted - known[0]) * low, moved)
    beyond = wanted > known[-1]
    moved = np.where(beyond, logs[-1] + (wanted - known[-1]) * high, moved)
    out = np.exp(moved)
    if finite < count:
        out[wanted > 0.5 * (scores[finite - 1] + scores[finite])] = math.inf
    placed = np.empty(count)
    placed[order] = np.where(out <= LEAST_S, np.minimum(out, ordered), out)
    return placed
