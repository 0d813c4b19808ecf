"""Logs of simulated pits in which something known happens, or nothing: what alarms are judged by.

Two pits that share no equations: `air` of the simulated cooks, whose events are drawn by recipe, and the
practice pit of `smokejournal.inputs.pit`, whose controller overfeeds the fire while the lid is up. What is
added to them is stated here; sizes and paces are common practice, no source, and no alarm was fitted to
one of them alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import Lid, Payload
from smokejournal.cook.log.readings import Trace
from smokejournal.cook.log.schedule import ForTime, Stage, UntilTemperature
from smokejournal.inputs.pit import Hands, Outside, SimulatedPit, SimulatedProbe
from tests.simulator.air import Pits, PitSpec
from tests.simulator.instrument import stepped
from tests.simulator.recipes import CookSpec
from tests.support.logs import T0, cook_log

Array = NDArray[np.float64]
Happened = Literal["quiet", "flame-out", "grease fire", "pit off", "probe pulled", "probe drifts"]
HAPPENED: tuple[Happened, ...] = (
    "quiet",
    "flame-out",
    "grease fire",
    "pit off",
    "probe pulled",
    "probe drifts",
)
#: Alarms by which what happened may be called, by the first word of their keys.
CALLS: dict[Happened, tuple[str, ...]] = {
    "flame-out": ("fire_out", "pit_low"),
    "grease fire": ("blaze",),
    # Set much hotter or cooler than the log says, it rises or falls as it does in a fire or without one.
    "pit off": ("pit_low", "pit_high", "fire_out", "blaze"),
    "probe pulled": ("jumped", "absurd"),
    "probe drifts": ("apart",),
}
DT_S = 15.0
LONGEST_S = 10 * 3600.0


@dataclass(frozen=True)
class Case:
    """A log, how long it goes on [s after T0], and when what happened began (None: nothing did)."""

    log: CookLog
    for_s: float
    happened: Happened
    from_s: float | None


def cases(specs: Sequence[CookSpec]) -> list[Case]:
    """One of each kind for each simulated cook, lids logged in every other one."""
    made: list[Case] = []
    for happened in HAPPENED:
        rngs = [np.random.default_rng([spec.index, HAPPENED.index(happened)]) for spec in specs]
        pits = [_pit(spec, happened, rng) for spec, rng in zip(specs, rngs, strict=True)]
        times = np.arange(0.0, max(p.for_s for p in pits), DT_S)
        gas = _gas([p.spec for p in pits], times)
        for n, (pit, rng) in enumerate(zip(pits, rngs, strict=True)):
            made.append(_case(pit, times, gas[:, n], happened, rng, logged=n % 2 == 0))
    return made


@dataclass(frozen=True)
class _Pit:
    spec: PitSpec
    told: tuple[tuple[float, float], ...]
    for_s: float
    from_s: float | None
    step: str


def _pit(spec: CookSpec, happened: Happened, rng: np.random.Generator) -> _Pit:
    pit = replace(spec.pit, fuel_out=())
    last_s = max((at_s for at_s, _ in pit.set_points), default=0.0)
    for_s = float(np.clip(last_s + 3 * 3600.0, 4 * 3600.0, LONGEST_S))
    told = pit.set_points
    from_s = None if happened == "quiet" else float(rng.uniform(1.4, for_s / 3600.0 - 1.2)) * 3600.0
    if happened == "flame-out":
        assert from_s is not None
        pit = replace(pit, fuel_out=((from_s, for_s),))
    elif happened == "pit off":
        # Set to another temperature than the log says: 25 to 45 K off, either way.
        assert from_s is not None
        off_k = float(rng.uniform(25, 45) * rng.choice([-1, 1]))
        before = [p for p in told if p[0] < from_s]
        pit = replace(pit, set_points=(*before, (from_s, before[-1][1] + off_k)))
        told = tuple(before)
    return _Pit(pit, told, for_s, from_s, spec.probe.step)


def _gas(specs: list[PitSpec], times: Array) -> Array:
    pits = Pits(specs, times)
    felt = pits.gas.copy()
    out = np.empty((len(times), len(specs)))
    for i in range(len(times)):
        air = pits.step(i, np.zeros(len(specs)))
        felt += (1 - np.exp(-DT_S / 20.0)) * (air.near_probe_c - felt)
        out[i] = felt
    return out


def _case(
    pit: _Pit,
    times: Array,
    gas: Array,
    happened: Happened,
    rng: np.random.Generator,
    *,
    logged: bool,
) -> Case:
    keep = times < pit.for_s
    times, gas = times[keep], gas[keep].copy()
    if happened == "grease fire" and pit.from_s is not None:
        # Grease catches: 15 to 60 K a minute, 80 to 250 K more, then it burns down over half an hour.
        after = np.maximum(times - pit.from_s, 0.0)
        top_k, pace_k_s = rng.uniform(80, 250), rng.uniform(15, 60) / 60
        burning = top_k * -np.expm1(-after * pace_k_s / top_k)
        gas += burning * np.exp(-np.maximum(after - 600.0, 0.0) / 1800.0)
    lead = 5.0 + 65.0 * -np.expm1(-times / 7000.0)
    check = 5.0 + 65.0 * -np.expm1(-times / rng.uniform(6000, 8500))
    if happened == "probe pulled" and pit.from_s is not None:
        lead = np.where(times >= pit.from_s, gas, lead)
    elif happened == "probe drifts" and pit.from_s is not None:
        way_k = rng.uniform(20, 35) * rng.choice([-1, 1])
        check = check + way_k * np.clip((times - pit.from_s) / 1800.0, 0.0, 1.0)
    traces = {
        "pit": gas + 0.3 * rng.standard_normal(len(times)),
        "meat": lead + 0.1 * rng.standard_normal(len(times)),
        "other": check + 0.1 * rng.standard_normal(len(times)),
    }
    said: list[tuple[float, Payload]] = []
    if logged:
        ends = sorted(
            (at_s + shift_s, is_open)
            for at_s, for_s in pit.spec.lids
            for shift_s, is_open in ((0.0, True), (for_s, False))
            if at_s + for_s < pit.for_s
        )
        said = [(at_s, Lid(is_open)) for at_s, is_open in ends]
    log = cook_log(_stages(pit), said)
    readings = {key: Trace(T0 + times, stepped(c, pit.step)) for key, c in traces.items()}
    return Case(replace(log, traces=readings), pit.for_s, happened, pit.from_s)


def _stages(pit: _Pit) -> list[Stage]:
    """One stage for each set point: the last waits for the lead probe, which stays below it."""
    stages = []
    for n, (at_s, target_c) in enumerate(pit.told):
        last = n == len(pit.told) - 1
        rule = UntilTemperature(93.0) if last else ForTime(pit.told[n + 1][0] - at_s)
        rules = (rule,) if last else (rule, UntilTemperature(93.0))
        stages.append(Stage(f"s{n}", f"Stage {n}", rules, pit_target_c=target_c, alert="none"))
    return stages


def practice_pit(
    lids: Sequence[tuple[float, float]] = (),
    *,
    hours: float = 4.0,
    target_c: float = 110.0,
    outside: Outside | None = None,
    dice: int = 1,
    logged: bool = True,
    out_s: float | None = None,
) -> Case:
    """The practice pit with the lid up at these moments, for so long [s]; from `out_s` on the fire is out."""
    pit = SimulatedPit(
        (), (SimulatedProbe("pit", "pit", noise_c=0.3, lag_s=30.0),), outside or Outside(), dice, T0
    )

    def hands(at_s: float) -> Hands:
        up = any(0 <= at_s - T0 - from_s < for_s for from_s, for_s in lids)
        out = out_s is not None and at_s - T0 >= out_s
        return Hands(None if out else target_c, up)

    found = [(r.at_s - T0, r.channel, r.value_c) for r in pit.advance(T0 + hours * 3600, hands)]
    said: list[tuple[float, Payload]] = []
    for from_s, for_s in lids if logged else ():
        said += [(from_s, Lid(True)), (from_s + for_s, Lid(False))]
    stage = Stage("s1", "Smoke", (UntilTemperature(93.0),), pit_target_c=target_c, alert="none")
    log = cook_log([stage], said, found)
    return Case(log, hours * 3600, "quiet" if out_s is None else "flame-out", out_s)
