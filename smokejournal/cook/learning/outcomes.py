"""Every forecast that was made of a cook, set against what came."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from smokejournal.cook.log.entries import Entry, ForecastMade
from smokejournal.cook.progress.believed import BelievedTrace

#: The probe is at its target once the median of what it said for so long is.
MEDIAN_S = 60.0


@dataclass(frozen=True, slots=True)
class ForecastFact:
    """One forecast. `came_s` is when the target was first reached after it, None: not so far.

    `held`: whether that lay within its interval; None while it can't be known. `off_s`: how much
    later than it came it was expected (negative: earlier), by the middle of the forecast.
    """

    made_s: float
    made: ForecastMade
    came_s: float | None = None
    held: bool | None = None
    off_s: float | None = None


@dataclass(frozen=True, slots=True)
class ForecastScore:
    """Of the forecasts of one probe and target: how many can be judged, held, and how far off."""

    judged: int
    held: int
    median_off_s: float | None


def forecast_facts(
    entries: Sequence[Entry], sounds: Mapping[str, BelievedTrace]
) -> tuple[ForecastFact, ...]:
    """The forecasts that told a time, in order. `entries` hold; `sounds` is what was heard."""
    there: dict[tuple[str, float], NDArray[np.float64]] = {}
    facts = []
    for entry in entries:
        made = entry.what
        if not isinstance(made, ForecastMade) or made.standing == "reached":
            continue
        trace = sounds.get(made.channel)
        if trace is None:
            facts.append(ForecastFact(entry.at_s, made))
            continue
        key = (made.channel, made.target_c)
        if key not in there:
            there[key] = reached_s(trace, made.target_c)
        facts.append(_fact(entry.at_s, made, there[key], trace))
    return tuple(facts)


def reached_s(trace: BelievedTrace, target_c: float) -> NDArray[np.float64]:
    """Moments of the readings at which the median of the last minute is at or above the target."""
    at_s = trace.at_s
    above = trace.value_c >= target_c
    counted = np.concatenate([[0], np.cumsum(above)])
    begin = np.searchsorted(at_s, at_s - MEDIAN_S, side="right")
    here = np.arange(at_s.size)
    twice, size = 2 * (counted[here + 1] - counted[begin]), here + 1 - begin
    there = twice > size
    # As many above as below: the median lies between the two in the middle.
    for n in np.flatnonzero(twice == size):
        there[n] = float(np.median(trace.value_c[begin[n] : n + 1])) >= target_c
    moments: NDArray[np.float64] = at_s[there]
    return moments


def _fact(
    made_s: float, made: ForecastMade, there_s: NDArray[np.float64], trace: BelievedTrace
) -> ForecastFact:
    n = int(np.searchsorted(there_s, made_s, side="left"))
    low_s = math.inf if made.low_s is None else made.low_s
    high_s = math.inf if made.high_s is None else made.high_s
    if n == there_s.size:
        last_s = float(trace.at_s[-1]) if len(trace) else -math.inf
        # Past its upper end and not there: it can no longer hold.
        return ForecastFact(made_s, made, held=False if last_s > high_s else None)
    came_s = float(there_s[n])
    off_s = None if made.mid_s is None else made.mid_s - came_s
    return ForecastFact(made_s, made, came_s, low_s <= came_s <= high_s, off_s)


def score_forecasts(facts: Sequence[ForecastFact]) -> ForecastScore:
    """How well forecasts did: those that can be judged, those that held, the median miss [s]."""
    judged = [fact for fact in facts if fact.held is not None]
    off = [abs(fact.off_s) for fact in judged if fact.off_s is not None]
    return ForecastScore(
        len(judged),
        sum(fact.held is True for fact in judged),
        float(np.median(off)) if off else None,
    )
