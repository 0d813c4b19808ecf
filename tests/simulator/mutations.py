"""Short records, spoilt by seed in the ways that probes, wires and clocks spoil them.

The record is a thin piece's own course by a simple law (not by the simulator: thousands are wanted),
its probe in the air at first in some. `mutated(seed)` makes one; `faults` says what is wrong with the
answer to it.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from smokejournal.science.forecast.values import (
    CookSoFar,
    Cut,
    Forecast,
    Leg,
    SetPoint,
    Wrapped,
)

Array = NDArray[np.float64]
Forecaster = Callable[[CookSoFar], Forecast]


@dataclass(frozen=True)
class Mutated:
    """A spoilt record; `air`: the probe has been in the air for the last minutes, or all the time."""

    seed: int
    how: tuple[str, ...]
    cook: CookSoFar
    air: bool


def base(rng: np.random.Generator) -> CookSoFar:
    """A clean record of 10 to 70 minutes, a reading every 30 s."""
    count = int(rng.integers(20, 140))
    times = np.arange(count) * 30.0
    pit_c = float(rng.choice([82, 93, 107, 121]))
    pit = pit_c + 3.0 * np.sin(times / rng.uniform(60, 150)) + rng.normal(0, 0.4, count)
    lag, pace = rng.uniform(120, 500), rng.uniform(2500, 7000)
    warmed = 1.0 - np.exp(-np.maximum(times - lag, 0.0) / pace)
    probe = 6.0 + (pit_c - 15.0) * warmed + rng.normal(0, 0.1, count)
    cuts: tuple[Cut, ...] = ("fish", "fish", "fish", "poultry_pieces", "other")
    return CookSoFar(
        time_s=times,
        pit_c=pit,
        probe_c=probe,
        now_s=float(times[-1]),
        target_c=float(rng.choice([60.0, 63.0, 74.0])),
        cut=cuts[int(rng.integers(len(cuts)))],
        mass_kg=0.6 if rng.random() < 0.3 else None,
        start_s=0.0 if rng.random() < 0.6 else None,
        set_points=(SetPoint(0.0, pit_c),) if rng.random() < 0.7 else (),
        legs=(Leg(pit_c=pit_c, until_probe_c=63.0),) if rng.random() < 0.5 else (),
    )


def _dropouts(cook: CookSoFar, rng: np.random.Generator) -> CookSoFar:
    probe, pit = cook.probe_c.copy(), cook.pit_c.copy()
    probe[rng.random(len(probe)) < rng.uniform(0.02, 0.95)] = np.nan
    pit[rng.random(len(pit)) < rng.choice([0.0, 0.3, 0.95, 1.0])] = np.nan
    return replace(cook, probe_c=probe, pit_c=pit)


def _spikes(cook: CookSoFar, rng: np.random.Generator) -> CookSoFar:
    probe, pit = cook.probe_c.copy(), cook.pit_c.copy()
    values = [-999.0, -40.0, 0.0, 99.9, 300.0, 850.0, 65535.0, 1e300]
    for channel in (probe, pit):
        for _ in range(int(rng.integers(0, 8)) if len(channel) else 0):
            channel[rng.integers(len(channel))] = rng.choice(values)
    return replace(cook, probe_c=probe, pit_c=pit)


def _rounded(cook: CookSoFar, rng: np.random.Generator) -> CookSoFar:
    def to_f(values: Array) -> Array:
        return (np.round(values * 1.8 + 32) - 32) / 1.8

    return replace(cook, probe_c=to_f(cook.probe_c), pit_c=to_f(cook.pit_c))


def _reversed(cook: CookSoFar, rng: np.random.Generator) -> CookSoFar:
    """All of it backwards, or a part of the times among themselves."""
    if rng.random() < 0.5:
        return replace(cook, time_s=cook.time_s[::-1].copy())
    times = cook.time_s.copy()
    a = int(rng.integers(0, max(len(times) - 2, 1)))
    times[a : a + 20] = times[a : a + 20][::-1]
    return replace(cook, time_s=times)


def _repeated(cook: CookSoFar, rng: np.random.Generator) -> CookSoFar:
    times = cook.time_s.copy()
    if len(times):
        if rng.random() < 0.2:
            times[:] = times[-1]
        else:
            times = np.round(times / 300.0) * 300.0
    return replace(cook, time_s=times)


def _constant(cook: CookSoFar, rng: np.random.Generator) -> CookSoFar:
    probe, pit = cook.probe_c.copy(), cook.pit_c.copy()
    a = int(rng.integers(0, len(probe))) if len(probe) and rng.random() < 0.6 else 0
    if len(probe):
        probe[a:] = rng.choice([probe[a], 0.0, 25.0])
        if rng.random() < 0.3:
            pit[:] = rng.choice([0.0, 25.0, 110.0])
    return replace(cook, probe_c=probe, pit_c=pit)


def _notnumbers(cook: CookSoFar, rng: np.random.Generator) -> CookSoFar:
    arrays = [cook.time_s.copy(), cook.pit_c.copy(), cook.probe_c.copy()]
    for values in arrays:
        if len(values):
            where = rng.random(len(values)) < rng.choice([0.05, 0.5, 1.0], p=[0.7, 0.2, 0.1])
            values[where] = rng.choice([np.nan, np.inf, -np.inf], size=int(where.sum()))
    return replace(cook, time_s=arrays[0], pit_c=arrays[1], probe_c=arrays[2])


def _cut_short(cook: CookSoFar, rng: np.random.Generator) -> CookSoFar:
    """Nothing, one reading, or a few."""
    n = min(int(rng.choice([0, 1, 2, 3, 5])), len(cook.time_s))
    now = float(cook.time_s[n - 1]) if n else 0.0
    now = now if np.isfinite(now) else 0.0
    return replace(
        cook, time_s=cook.time_s[:n], pit_c=cook.pit_c[:n], probe_c=cook.probe_c[:n], now_s=now
    )


def _gap(cook: CookSoFar, rng: np.random.Generator) -> CookSoFar:
    """Hours or weeks between two readings, or since the last one."""
    times = cook.time_s.copy()
    gap_s = float(rng.choice([3600.0, 8 * 3600.0, 14 * 86400.0]))
    if len(times) and rng.random() < 0.7:
        times[int(rng.integers(len(times))) :] += gap_s
    return replace(cook, time_s=times, now_s=cook.now_s + gap_s)


def _other_unit(cook: CookSoFar, rng: np.random.Generator) -> CookSoFar:
    probe, pit = cook.probe_c.copy(), cook.pit_c.copy()
    if len(probe):
        a = int(rng.integers(len(probe)))
        probe[a:] = probe[a:] * 1.8 + 32
        if rng.random() < 0.5:
            pit[a:] = pit[a:] * 1.8 + 32
    return replace(cook, probe_c=probe, pit_c=pit)


def _negative_times(cook: CookSoFar, rng: np.random.Generator) -> CookSoFar:
    shift = float(rng.choice([1e3, 1e6, 2e9]))
    start = None if cook.start_s is None else cook.start_s - shift
    return replace(
        cook,
        time_s=cook.time_s - shift,
        now_s=cook.now_s - shift if rng.random() < 0.8 else 0.0,
        start_s=start,
        set_points=tuple(SetPoint(p.time_s - shift, p.pit_c) for p in cook.set_points),
    )


def _odd_facts(cook: CookSoFar, rng: np.random.Generator) -> CookSoFar:
    """What is told beside the readings is odd."""
    which = int(rng.integers(4))
    if which == 0:
        return replace(cook, start_s=cook.now_s + 600.0)
    if which == 1:
        return replace(cook, start_s=float(rng.choice([-1e6, 0.9 * cook.now_s])))
    if which == 2:
        return replace(cook, mass_kg=float(rng.choice([0.01, 40.0])), thickness_m=0.3)
    return replace(cook, wraps=(Wrapped(0.3 * cook.now_s, "foil"), Wrapped(0.1, None)))


def _air(cook: CookSoFar, rng: np.random.Generator) -> CookSoFar:
    """The probe hangs in the pit: all the time, or for its last ten minutes."""
    probe = cook.probe_c.copy()
    hangs = np.ones(len(probe), dtype=bool)
    if rng.random() < 0.5 and len(probe):
        hangs = cook.time_s > cook.time_s[-1] - 600.0
    probe[hangs] = cook.pit_c[hangs] - 1.0 + rng.normal(0, 0.3, int(hangs.sum()))
    return replace(cook, probe_c=probe)


KINDS: dict[str, Callable[[CookSoFar, np.random.Generator], CookSoFar]] = {
    "dropouts": _dropouts,
    "spikes": _spikes,
    "1 °F": _rounded,
    "reversed times": _reversed,
    "repeated times": _repeated,
    "constant": _constant,
    "not numbers": _notnumbers,
    "cut short": _cut_short,
    "gap": _gap,
    "other unit": _other_unit,
    "negative times": _negative_times,
    "odd facts": _odd_facts,
    "air": _air,
}
#: Over a probe in the air these leave it plain that it is there.
_AFTER_AIR = ("1 °F", "negative times", "odd facts")


def mutated(seed: int) -> Mutated:
    """The record of this number. Kinds take turns, so that a few dozen go through all of them; two in
    five are spoilt in a second way, one in eight in a third."""
    rng = np.random.default_rng([20260211, seed])
    names = list(KINDS)
    how = [names[seed % len(names)]]
    others = list(_AFTER_AIR) if how[0] == "air" else [n for n in names if n != "air"]
    draw = rng.random()
    more = 2 if draw < 0.125 else 1 if draw < 0.4 else 0
    how += [others[int(rng.integers(len(others)))] for _ in range(more)]
    cook = base(rng)
    for name in how:
        cook = KINDS[name](cook, rng)
    return Mutated(seed, tuple(how), cook, how[0] == "air")


def faults(case: Mutated, forecaster: Forecaster) -> list[str]:
    """What is wrong with the answer; empty: nothing. A warning of the sums counts too."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", RuntimeWarning)
            said = forecaster(case.cook)
    except Exception as problem:  # noqa: BLE001 - it is what is looked for
        return [f"raised {type(problem).__name__}: {problem}"]
    wrong = []
    times = said.remaining_s
    if said.standing in ("forecast", "may_not_reach") and times is None:
        wrong.append(f"{said.standing} without a distribution")
    if times is not None:
        if times.shape != (19,):
            wrong.append(f"{times.shape} quantiles")
        elif np.isnan(times).any():
            wrong.append("a quantile is no number")
        elif (times < 0).any():
            wrong.append("a negative time")
        elif (times[1:] < times[:-1]).any():
            wrong.append("quantiles fall")
    if said.standing == "reached" and case.air:
        wrong.append("reached while the probe is in the air")
    return wrong


def shorter(case: Mutated, forecaster: Forecaster) -> Mutated:
    """The least of the readings that still go wrong, by leaving out halves and then less."""
    size = len(case.cook.time_s) // 2
    while size >= 1:
        a = 0
        while a < len(case.cook.time_s):
            less = replace(case, cook=_without(case.cook, a, size))
            if faults(less, forecaster):
                case = less
            else:
                a += size
        size //= 2
    return case


def _without(cook: CookSoFar, start: int, count: int) -> CookSoFar:
    keep = np.ones(len(cook.time_s), dtype=bool)
    keep[start : start + count] = False
    return replace(
        cook, time_s=cook.time_s[keep], pit_c=cook.pit_c[keep], probe_c=cook.probe_c[keep]
    )
