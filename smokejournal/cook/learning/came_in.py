"""In which part of its forecast each thing came: the probability integral transform of what was told.

If forecasts are right, what comes falls in each tenth of them as often as in any other (Dawid, J. R. Statist.
Soc. A 147, 1984, p. 278; Gneiting, Balabdaoui and Raftery, J. R. Statist. Soc. B 69, 2007, p. 243). A
forecast is kept with three of its moments, so between and beyond those the logarithm of the time left is
taken as straight over the normal score.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import NormalDist
from typing import Final

from smokejournal.cook.log.entries import ForecastMade
from smokejournal.cook.text.translate import translate

TENTHS: Final = 10
#: With fewer moments than this a picture of tenths says nothing.
FEW: Final = 20
_NORMAL: Final = NormalDist()
_END: Final = _NORMAL.inv_cdf(0.9)
_LEAST_S: Final = 1.0


def share_before(made_s: float, made: ForecastMade, came_s: float) -> float | None:
    """The share (0 to 1) of a forecast that lay before what came; None where it told no middle, or what came
    lies above the middle of a forecast whose upper end was open."""
    if made.low_s is None or made.mid_s is None:
        return None
    mid, came = (math.log(max(at_s - made_s, _LEAST_S)) for at_s in (made.mid_s, came_s))
    if came > mid and made.high_s is None:
        # The upper end was left open: it fell somewhere above the middle, and that is all that is known.
        return None
    end_s = made.low_s if came <= mid else made.high_s
    assert end_s is not None
    step = abs(math.log(max(end_s - made_s, _LEAST_S)) - mid)
    if step <= 0.0:
        return 0.5 if came == mid else float(came > mid)
    return _NORMAL.cdf((came - mid) / step * _END)


def tenths(shares: Sequence[float]) -> tuple[int, ...]:
    """How many fell in each tenth, (10,)."""
    counts = [0] * TENTHS
    for share in shares:
        counts[min(int(share * TENTHS), TENTHS - 1)] += 1
    return tuple(counts)


def tenths_words(counts: Sequence[int]) -> str:
    """What the picture shows, in one sentence with the figures that it rests on."""
    total = sum(counts)
    if total < FEW:
        return translate(
            "TrackRecord",
            "Too few moments ({n}) to say in which part of the forecasts it came: {few} or more say it.",
        ).format(n=total, few=FEW)
    ends, middle = counts[0] + counts[-1], sum(counts[3:7])
    early = sum(counts[: TENTHS // 2])
    # The moments of one cook go together, so that half of them count.
    sway = 2.0 * math.sqrt(0.25 / (0.5 * total))
    if ends / total > 0.2 + 2.0 * math.sqrt(0.16 / (0.5 * total)):
        text = translate(
            "TrackRecord",
            "{n} of {all} came in the first or last tenth: the ranges were too narrow.",
        )
        return text.format(n=ends, all=total)
    if early / total > 0.5 + sway:
        text = translate(
            "TrackRecord", "{n} of {all} came in the earlier half: forecasts ran late."
        )
        return text.format(n=early, all=total)
    if early / total < 0.5 - sway:
        text = translate("TrackRecord", "{n} of {all} came in the later half: forecasts ran early.")
        return text.format(n=total - early, all=total)
    if middle / total > 0.4 + 2.0 * math.sqrt(0.24 / (0.5 * total)):
        text = translate(
            "TrackRecord",
            "{n} of {all} came in the four tenths in the middle: the ranges were wider than needed.",
        )
        return text.format(n=middle, all=total)
    return translate(
        "TrackRecord", "It came about as often in each tenth, as it should ({all} moments)."
    ).format(all=total)


def tenths_meaning() -> str:
    """How the picture is read."""
    return translate(
        "TrackRecord",
        "Each bar is a tenth of the forecasts, the earliest on the left; its height is how often what came "
        "fell in it. Even bars, near the line: right. High in the middle: ranges too wide. High at both "
        "ends: too narrow. High on the left: forecasts ran late.",
    )
