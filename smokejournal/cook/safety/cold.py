"""What counts while food is neither hot nor cold: time out of the refrigerator, and cooling.

The probe that is longest in between counts, with its uncertainty against us.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from smokejournal.cook.log.entries import Entry, Refrigerator
from smokejournal.cook.safety.facts import (
    COOLING_C,
    COOLING_S,
    ORDER,
    OUT_HOT_S,
    OUT_S,
    ZONE_C,
    CookTimes,
    Cooling,
    State,
    Why,
    Zone,
    missing,
    worst,
)
from smokejournal.cook.safety.probes import FoodProbe
from smokejournal.science.numbers.crossings import crossing_s, falls_through

#: It cools once it is this far below where cooling begins; a dip under the lid is none.
_DIP_C = 3.0


def about(entries: Sequence[Entry], names: Sequence[str]) -> list[Entry]:
    """Entries about the refrigerator that are about these items, or about all of the food."""
    return [
        e
        for e in entries
        if isinstance(e.what, Refrigerator) and (not e.what.item or e.what.item in names)
    ]


def out_of_cold_s(entries: Sequence[Entry], clock: CookTimes) -> float | None:
    """When the food last came out of the refrigerator before the fire."""
    begun_s = math.inf if clock.started_s is None else clock.started_s
    outs = [
        e.at_s
        for e in entries
        if isinstance(e.what, Refrigerator) and e.what.out and e.at_s <= begun_s
    ]
    return outs[-1] if outs else None


def _away_s(entries: Sequence[Entry], after_s: float) -> float | None:
    """When it was first put into the refrigerator after this moment."""
    return next(
        (
            e.at_s
            for e in entries
            if isinstance(e.what, Refrigerator) and not e.what.out and e.at_s >= after_s
        ),
        None,
    )


def zone(probes: Sequence[FoodProbe], mine: Sequence[Entry], clock: CookTimes) -> Zone:
    """Time in the zone. `mine` are the entries about this food, in order of time."""
    out_s = out_of_cold_s(mine, clock)
    limit_s = OUT_HOT_S if clock.hot else OUT_S
    begun_s = clock.started_s
    before_s = None
    if out_s is not None:
        before_s = (clock.now_s if begun_s is None else begun_s) - out_s
    away_s = None if begun_s is None else _away_s(mine, begun_s)
    heating_s = after_s = most_s = None
    all_above = False
    if begun_s is not None and probes:
        above = [_first_at(probe, ZONE_C[1]) for probe in probes]
        reached = [at_s for at_s in above if at_s is not None]
        if len(reached) == len(probes):
            all_above = True
            heating_s = max(reached) - begun_s
            away_s = _away_s(mine, max(reached))
            after_s, most_s = _after(probes, away_s, clock)
        else:
            heating_s = (clock.now_s if clock.closed_s is None else clock.closed_s) - begun_s
    state: State = "not_yet"
    why: Why = ""
    if (before_s or 0.0) > limit_s or (after_s or 0.0) > limit_s:
        state = "over"
    elif out_s is None:
        state, why = "unknown", "not_out"
    elif begun_s is not None and not probes:
        state, why = "unknown", missing(probes, clock)
    elif away_s is not None:
        state, why = ("unknown", "not_measured") if (most_s or 0.0) > limit_s else ("met", "")
    elif clock.closed_s is not None:
        state, why = "unknown", "not_away"
    return Zone(state, why, limit_s, out_s, before_s, heating_s, after_s, away_s, all_above)


def _after(
    probes: Sequence[FoodProbe], away_s: float | None, clock: CookTimes
) -> tuple[float | None, float | None]:
    """How long the first probe to fall was below the zone's top until the food was put away.

    As measured (None where none has fallen), and at most: after its last reading a probe may have
    fallen at once. A cook that is closed is followed no further than its readings.
    """
    last_s = max(float(probe.at_s[-1]) for probe in probes)
    until_s = away_s if away_s is not None else (clock.now_s if clock.closed_s is None else last_s)
    falls = [_last_fall(probe, ZONE_C[1]) for probe in probes]
    fallen = [at_s for at_s in falls if at_s is not None]
    after_s = max(0.0, until_s - min(fallen)) if fallen else None
    first_s = min([*fallen, *(float(probe.at_s[-1]) for probe in probes)])
    return after_s, max(0.0, until_s - first_s)


def _first_at(probe: FoodProbe, level_c: float) -> float | None:
    """The first reading that is surely at this temperature."""
    there = np.flatnonzero(probe.low_c >= level_c)
    return float(probe.at_s[there[0]]) if there.size else None


def _last_fall(probe: FoodProbe, level_c: float) -> float | None:
    """Since when it may have been below for good; None while it is above."""
    falls = falls_through(probe.low_c, level_c)
    if not falls.size or probe.low_c[-1] >= level_c:
        return None
    n = int(falls[-1])
    return (
        crossing_s(probe.at_s, probe.low_c, n, level_c)
        if probe.unbroken[n]
        else float(probe.at_s[n - 1])
    )


def cooling(probes: Sequence[FoodProbe], clock: CookTimes) -> Cooling:
    """The probe that cools slowest."""
    why = missing(probes, clock)
    if why:
        return Cooling("idle" if why == "not_begun" else "unknown", why)
    found = [_cooling(probe, clock) for probe in probes]
    slowest = found[worst((f.state, f.last_c or 0.0, n) for n, f in enumerate(found))]
    silent = all(clock.now_s > probe.fresh_until_s for probe in probes)
    if slowest.state == "idle" and clock.closed_s is not None and silent:
        # What was left of it cooled somewhere, and nothing was read of that.
        return replace(slowest, state="unknown", why="not_measured")
    return slowest


def _cooling(probe: FoodProbe, clock: CookTimes) -> Cooling:
    begin_c, first_c, second_c = COOLING_C
    began_s = _last_fall(probe, begin_c)
    last_c, last_s = float((probe.low_c[-1] + probe.high_c[-1]) / 2.0), float(probe.at_s[-1])
    if began_s is None or float(np.min(probe.low_c[probe.at_s >= began_s])) > begin_c - _DIP_C:
        return Cooling("idle", last_c=last_c, last_s=last_s)
    silent = clock.now_s > probe.fresh_until_s
    first_s, first = _within_limit(probe, began_s, first_c, COOLING_S[0], silent)
    second_s, second = _within_limit(probe, began_s, second_c, COOLING_S[1], silent)
    state = min((first, second), key=ORDER.index)
    why: Why = "not_measured" if state == "unknown" else ""
    return Cooling(
        state, why, began_s, first_s, second_s, first, second, last_c, last_s, probe.channel.key
    )


def _within_limit(
    probe: FoodProbe, began_s: float, level_c: float, limit_s: float, silent: bool
) -> tuple[float | None, State]:
    """How long it took until it was surely down there, and how that stands to the limit."""
    there = np.flatnonzero((probe.high_c <= level_c) & (probe.at_s >= began_s))
    if not there.size:
        if float(probe.at_s[-1]) - began_s > limit_s:
            return None, "over"
        return None, "unknown" if silent else "not_yet"
    n = int(there[0])
    earliest_s = latest_s = float(probe.at_s[n])
    if n > 0 and probe.unbroken[n]:
        earliest_s = latest_s = crossing_s(probe.at_s, probe.high_c, n, level_c)
    elif n > 0:
        # Somewhere in the gap: it is known to be in time, or too late, only where all of it is.
        earliest_s = float(probe.at_s[n - 1])
    took_s = latest_s - began_s
    if took_s <= limit_s:
        return took_s, "met"
    return took_s, "over" if earliest_s - began_s > limit_s else "unknown"
