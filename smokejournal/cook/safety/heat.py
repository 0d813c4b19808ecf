"""What counts while food heats: lethality, how fast it came up, how long it held a temperature.

The coldest of several probes counts, with its uncertainty taken off.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from smokejournal.cook.log.entries import FoodClass, SafetySet
from smokejournal.cook.log.readings import DEFAULT_GAP_S
from smokejournal.cook.safety.cautions import SAFE_MINIMUM
from smokejournal.cook.safety.facts import (
    COME_UP_C,
    COME_UP_S,
    HOT_HOLD_C,
    HOT_HOLD_S,
    ComeUp,
    CookTimes,
    HotHold,
    Lethality,
    Minimum,
    State,
    Why,
    missing,
    worst,
)
from smokejournal.cook.safety.probes import FoodProbe
from smokejournal.cook.safety.tables import chosen_table, rate_and_target
from smokejournal.science.numbers.crossings import (
    crossing_s,
    gaps_touching_s,
    rises_through,
    runs_at_least,
    within_s,
)
from smokejournal.science.safety.lethality import LethalRate, reductions


def lethality(said: SafetySet, probes: Sequence[FoodProbe], clock: CookTimes) -> Lethality:
    """What the probes add up to by the table that holds for this food."""
    table = chosen_table(said)
    against = rate_and_target(said)
    if against is None:
        return Lethality("unknown", "no_table", table)
    rate, target_log = against
    blank = Lethality(
        "unknown",
        table=table,
        target_log=target_log,
        lowest_c=rate.lowest_c,
        highest_c=rate.highest_c,
    )
    why = missing(probes, clock)
    if why:
        state: State = "idle" if why == "not_begun" else "unknown"
        return replace(blank, state=state, why=why)
    probes = [probe.since_moved for probe in probes]
    logs = [
        reductions(rate, p.at_s, p.low_c, p.unbroken, longest_line_s=DEFAULT_GAP_S) for p in probes
    ]
    ends = [float(log[-1]) for log in logs]
    n = min(range(len(ends)), key=ends.__getitem__)
    coldest = probes[n]
    reached = [_reached_s(probe, log, target_log) for probe, log in zip(probes, logs, strict=True)]
    done = [at_s for at_s in reached if at_s is not None]
    gaps, gap_s = _gaps(coldest, rate)
    met = len(done) == len(probes)
    return replace(
        blank,
        state="met" if met else "not_yet",
        log=ends[n],
        reached_at_s=max(done) if met else None,
        channel=coldest.channel.key,
        by_channel=tuple((probe.channel.key, end) for probe, end in zip(probes, ends, strict=True)),
        off_c=coldest.off_c,
        off_by=coldest.off_by,
        gaps=gaps,
        gap_s=gap_s,
        moved_s=coldest.moved_s,
        by_hand=any(probe.channel.by_hand for probe in probes),
        reached_s=tuple(
            (probe.channel.key, at_s)
            for probe, at_s in zip(probes, reached, strict=True)
            if at_s is not None
        ),
    )


def _reached_s(probe: FoodProbe, logs: np.ndarray, target_log: float) -> float | None:
    """The reading by which the target was reached. Seconds since 1970 are
    good to 2e-7 s, which must not keep it away."""
    n = int(np.searchsorted(logs, target_log * (1.0 - 1e-6), side="left"))
    if n >= logs.size:
        return None
    return float(probe.at_s[n])


def _gaps(probe: FoodProbe, rate: LethalRate) -> tuple[int, float]:
    """How many gaps there were, and how long in all, at which something might have been credited."""
    broken = ~probe.unbroken[1:]
    broken &= np.maximum(probe.low_c[1:], probe.low_c[:-1]) >= rate.lowest_c
    return int(np.count_nonzero(broken)), float(np.sum(np.diff(probe.at_s)[broken]))


def come_up(
    probes: Sequence[FoodProbe], kill: Lethality, out_s: float | None, clock: CookTimes
) -> ComeUp:
    """The slowest of the probes. `out_s` is when the food came out of the refrigerator, if known."""
    why = missing(probes, clock)
    if why:
        return ComeUp("idle" if why == "not_begun" else "unknown", why)
    reached = dict(kill.reached_s)
    found = [_come_up(probe, reached.get(probe.channel.key), out_s) for probe in probes]
    return found[worst((f.state, f.used_s or 0.0, n) for n, f in enumerate(found))]


def _come_up(probe: FoodProbe, reached_s: float | None, out_s: float | None) -> ComeUp:
    low, high = COME_UP_C
    at_s, key = probe.at_s, probe.channel.key
    # The band is widened by what the probe may be off: it counts whatever may have been in it.
    value = (probe.low_c + probe.high_c) / 2.0
    ends = (low - probe.off_c, high + probe.off_c)
    used = within_s(at_s, value, probe.unbroken, *ends)
    gaps = gaps_touching_s(at_s, value, probe.unbroken, *ends)
    ups = rises_through(value, ends[1])
    if reached_s is not None:
        # Two heatings add up, unless what the table asks for lies between them.
        ups = ups[at_s[ups] <= reached_s]
    if not ups.size and value[0] >= ends[1]:
        return ComeUp("unknown", "began_above", channel=key)
    through = bool(ups.size)
    last = int(ups[-1]) if through else len(probe) - 1
    used_s, at_most_s = float(used[last]), float(used[last] + gaps[last])
    through_s = crossing_s(at_s, value, last, ends[1]) if through else None
    warm = value[0] + probe.off_c > low
    most_s: float | None = at_most_s
    if warm:
        most_s = None if out_s is None else at_most_s + max(0.0, float(at_s[0]) - out_s)
    state: State = "met" if through else "not_yet"
    why: Why = ""
    if used_s > COME_UP_S:
        state = "over"
    elif most_s is None:
        state, why = "unknown", "began_warm"
    elif most_s > COME_UP_S:
        state, why = "unknown", "gaps" if at_most_s > used_s else "began_warm"
    return ComeUp(state, why, used_s, most_s, through_s, key)


def hot_hold(probes: Sequence[FoodProbe], clock: CookTimes) -> HotHold:
    """The process of hot-smoked fish."""
    why = missing(probes, clock)
    if why:
        return HotHold("idle" if why == "not_begun" else "unknown", why)
    found = []
    for probe in (each.since_moved for each in probes):
        runs = runs_at_least(probe.at_s, probe.low_c, probe.unbroken, HOT_HOLD_C)
        longest_s = max((to_s - from_s for from_s, to_s in runs), default=0.0)
        there = probe.low_c[-1] >= HOT_HOLD_C
        running_s = runs[-1][1] - runs[-1][0] if runs and there else 0.0
        reached_s = next((a + HOT_HOLD_S for a, b in runs if b - a >= HOT_HOLD_S - 1e-6), None)
        state: State = "met" if reached_s is not None else "not_yet"
        found.append(
            HotHold(state, "", longest_s, running_s, reached_s, probe.channel.key, len(probes))
        )
    least = found[worst((f.state, -f.longest_s, n) for n, f in enumerate(found))]
    if least.state != "met":
        return least
    return replace(least, reached_at_s=max(f.reached_at_s or 0.0 for f in found))


def minimum(food: FoodClass, probes: Sequence[FoodProbe], clock: CookTimes) -> Minimum:
    """The least temperature for consumers, with its rest."""
    least = SAFE_MINIMUM.get(food)
    if least is None:
        return Minimum("unknown", "no_minimum")
    why = missing(probes, clock)
    if why:
        return Minimum("idle" if why == "not_begun" else "unknown", why, least)
    found = []
    for probe in (each.since_moved for each in probes):
        runs = runs_at_least(probe.at_s, probe.low_c, probe.unbroken, least.temperature_c)
        held_s = max((to_s - from_s for from_s, to_s in runs), default=0.0)
        first_s = runs[0][0] if runs else None
        met = bool(runs) and held_s >= least.rest_s - 1e-6
        highest_c = float(np.max(probe.low_c))
        state: State = "met" if met else "not_yet"
        found.append(
            Minimum(state, "", least, first_s, held_s, highest_c, probe.channel.key, len(probes))
        )
    n = worst((f.state, -(f.highest_c or 0.0), n) for n, f in enumerate(found))
    return found[n]
