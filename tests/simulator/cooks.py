"""Runs the simulated cooks, keeps the results, and tells of each what a program would know at a moment."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from smokejournal.science.forecast.values import CookSoFar, Leg, SetPoint, Wrapped
from tests.simulator.air import Pits
from tests.simulator.body import Bodies, Meat, Surroundings
from tests.simulator.instrument import first_at, in_meat, shown
from tests.simulator.plain_body import PlainBodies
from tests.simulator.recipes import CookSpec, MeatSpec

Array = NDArray[np.float64]

DT_S = 15.0
HORIZON_S = 24 * 3600.0
REST_S = 45 * 60.0
SETTLING_S = 180.0
CACHE = Path(__file__).parent / "cache"
_SOURCES = ("body.py", "plain_body.py", "air.py", "instrument.py", "recipes.py", "cooks.py")


@dataclass(frozen=True)
class SimulatedCook:
    """What was shown, and what is true. Times in s since the first reading, shapes (n,)."""

    spec: CookSpec
    time_s: Array
    pit_c: Array
    probe_c: Array
    truth_s: float  # NaN: never within the horizon
    wrapped_s: float  # NaN: not wrapped
    pulled_s: float  # when it was taken off; NaN: never
    peak_c: float  # the highest that the sensor came to after that
    first_kg: float
    lost_share: float
    dripped_share: float
    check_c: Array | None = None  # of the second probe, where there is one

    @property
    def inserted_s(self) -> float:
        """When meat and probe were both there: the way is counted from here."""
        return max(self.spec.meat_in_s, self.spec.probe.in_s)

    def moment(self, share: float) -> float:
        """The time at which this share of the way is behind."""
        return self.inserted_s + share * (self.truth_s - self.inserted_s)

    def so_far(self, now_s: float, both: bool = False) -> CookSoFar:
        """All that a program would have been told by `now_s`, and nothing later; of `both` probes or of
        the lead alone."""
        spec = self.spec
        past = self.time_s <= now_s
        sets = spec.pit.set_points
        told = tuple(SetPoint(at_s, pit_c) for at_s, pit_c in sets if at_s <= now_s)
        wrap = spec.wrap
        wraps: tuple[Wrapped, ...] = ()
        wrapped = bool(self.wrapped_s <= now_s)
        if wrap is not None and wrapped and wrap.told != "never":
            wraps = (Wrapped(self.wrapped_s, wrap.material),)
        return CookSoFar(
            time_s=self.time_s[past],
            pit_c=self.pit_c[past],
            probe_c=self.probe_c[past],
            now_s=now_s,
            target_c=spec.target_c,
            cut=spec.cut,
            mass_kg=round(self.first_kg, 2) if spec.mass_told else None,
            thickness_m=round(_thickness(spec.meat), 3) if spec.thickness_told else None,
            start_s=spec.meat_in_s if spec.start_told and now_s >= spec.meat_in_s else None,
            set_points=told,
            wraps=wraps,
            legs=self._legs(now_s, wrapped),
            check_c=self.check_c[past] if both and self.check_c is not None else None,
        )

    def _legs(self, now_s: float, wrapped: bool) -> tuple[Leg, ...]:
        """The plan from now on: a leg until each planned change, the last one until the target.

        `for_s` of the leg under way is what is left of it.
        """
        spec = self.spec
        now_pit = [pit_c for at_s, pit_c in spec.pit.set_points if at_s <= now_s][-1]
        later = [p for p in spec.pit.set_points if p[0] > now_s] if spec.steps_told else []
        wrap = spec.wrap if spec.wrap is not None and spec.wrap.told == "planned" else None
        if wrap is not None and wrapped:
            wrap = None
        legs: list[Leg] = []
        if later:
            # Which comes first is not known; the set point's change is by the clock.
            legs.append(Leg(pit_c=now_pit, for_s=later[0][0] - now_s))
            now_pit = later[0][1]
        if wrap is not None:
            legs.append(Leg(pit_c=now_pit, until_probe_c=wrap.at_probe_c))
            legs.append(Leg(pit_c=now_pit, until_probe_c=spec.target_c, wrap=wrap.material))
        else:
            legs.append(Leg(pit_c=now_pit, until_probe_c=spec.target_c))
        return tuple(legs)


def _thickness(meat: MeatSpec) -> float:
    """What a cook would measure: the least of the extents."""
    return min(2 * meat.radius, meat.height)


def meat_of(specs: Sequence[MeatSpec]) -> Meat:
    """The pieces as arrays."""
    keys = MeatSpec.__dataclass_fields__
    return Meat(**{key: np.array([getattr(s, key) for s in specs], dtype=float).T for key in keys})


def simulate(specs: Sequence[CookSpec]) -> list[SimulatedCook]:
    """All of these cooks, each by the equations of its family, in their order."""
    done: dict[int, SimulatedCook] = {}
    for name, kind in (("grid", Bodies), ("plain", PlainBodies)):
        places = [k for k, spec in enumerate(specs) if spec.family == name]
        if places:
            done.update(zip(places, _simulate([specs[k] for k in places], kind), strict=True))
    return [done[k] for k in range(len(specs))]


def _simulate(
    specs: Sequence[CookSpec], kind: type[Bodies] | type[PlainBodies]
) -> list[SimulatedCook]:
    """All of these cooks, side by side; a cook that is over drops out."""
    n, steps = len(specs), int(HORIZON_S / DT_S)
    times = np.arange(steps) * DT_S
    pits = Pits([spec.pit for spec in specs], times)
    bodies = kind(meat_of([spec.meat for spec in specs]))
    probes = [spec.probe for spec in specs]
    places = [np.array([[p.r, p.z] for p in probes]).T]
    places.append(np.array([p.moved[2:] if p.moved else (p.r, p.z) for p in probes]).T)
    checks = [spec.check or spec.probe for spec in specs]
    places.append(np.array([[p.r, p.z] for p in checks]).T)
    weights = [bodies.place(*place) for place in places]
    col = {
        "in": np.array([s.meat_in_s for s in specs]),
        "probe_in": np.array([p.in_s for p in probes]),
        "out": np.array([p.moved[0] if p.moved else np.inf for p in probes]),
        "back": np.array([p.moved[0] + p.moved[1] if p.moved else np.inf for p in probes]),
        "lag": np.array([p.lag_s for p in probes]),
        "stem": np.array([p.stem for p in probes]),
        "check_in": np.array([p.in_s for p in checks]),
        "check_lag": np.array([p.lag_s for p in checks]),
        "check_stem": np.array([p.stem for p in checks]),
        "offset": np.array([p.offset_k for p in probes]),
        "target": np.array([s.target_c for s in specs]),
        "pull": np.array([s.pull_k for s in specs]),
        "wrap_at": np.array([s.wrap.at_probe_c if s.wrap else np.inf for s in specs]),
        "away": np.array([s.wrap.away_s if s.wrap else 0.0 for s in specs]),
        "heat_gap": np.array([s.wrap.heat_gap if s.wrap else 0.0 for s in specs]),
        "vapour_gap": np.array([s.wrap.vapour_gap if s.wrap else 1.0 for s in specs]),
        "emissivity": np.array([s.pit.emissivity for s in specs]),
    }
    spritz = _spritz(specs, steps)
    sensor, pit_sensor = pits.gas.copy(), pits.gas.copy()
    check_sensor = sensor.copy()
    wrapped_s, pulled_s = np.full(n, np.nan), np.full(n, np.nan)
    peak = np.full(n, -np.inf)
    probe_log, pit_log = np.full((steps, n), np.nan, "f4"), np.full((steps, n), np.nan, "f4")
    check_log = np.full((steps, n), np.nan, "f4")
    dripped, lost = np.zeros(n), np.zeros(n)
    first_kg = bodies.first_kg.copy()
    on = np.arange(n)
    over = np.zeros(n, dtype=bool)
    for i in range(steps):
        now = times[i]
        with np.errstate(invalid="ignore"):
            away = (now < wrapped_s + col["away"]) & (now >= wrapped_s)
            pulled = now >= pulled_s
            wrapped = now >= wrapped_s
        air = pits.step(i, np.where(away & (now < wrapped_s + 45), 1.0, 0.0))
        c = {key: value[on] for key, value in col.items()}
        aside = (away | pulled | (now < col["in"]))[on]
        raw = now < c["in"]
        kitchen = np.where(raw, bodies.meat.start_c, 23.0)
        bodies.step(
            Surroundings(
                air_c=np.where(aside, kitchen, air.air_c[on]),
                walls_c=np.where(aside, kitchen, air.walls_c[on]),
                convective=np.where(aside, np.where(raw, 0.01, 4.0), air.convective[on]),
                emissivity=np.where(raw, 0.0, c["emissivity"]),
                vapour_pa=np.where(aside, 1200.0, air.vapour_pa[on]),
                heat_gap=np.where(wrapped[on], c["heat_gap"], 0.0),
                vapour_gap=np.where(raw, 1e9, np.where(wrapped[on], c["vapour_gap"], 1.0)),
                spritz_kg_m2=np.where(wrapped[on], 0.0, spritz[i, on]),
            ),
            DT_S,
        )
        inside = (now >= c["probe_in"]) & ((now < c["out"]) | (now >= c["back"]))
        meat_c = np.where(now >= c["back"], bodies.at(weights[1]), bodies.at(weights[0]))
        around = np.where(pulled[on], 23.0, air.near_probe_c[on])
        feels = np.where(inside, meat_c + c["stem"] * (around - meat_c), around)
        sensor[on] += (1 - np.exp(-DT_S / np.where(inside, c["lag"], 20.0))) * (feels - sensor[on])
        checked = now >= c["check_in"]
        check_c = bodies.at(weights[2])
        feels = np.where(checked, check_c + c["check_stem"] * (around - check_c), around)
        lag_s = np.where(checked, c["check_lag"], 20.0)
        check_sensor[on] += (1 - np.exp(-DT_S / lag_s)) * (feels - check_sensor[on])
        pit_sensor += (1 - np.exp(-DT_S / 20.0)) * (air.near_probe_c - pit_sensor)
        reads = sensor[on] + c["offset"]
        running = ~pulled[on]
        probe_log[i, on] = np.where(running, sensor[on], np.nan)
        check_log[i, on] = np.where(running, check_sensor[on], np.nan)
        pit_log[i, on] = np.where(running, pit_sensor[on], np.nan)
        settled = (
            inside
            & (now > c["probe_in"] + SETTLING_S)
            & ((now < c["out"]) | (now > c["back"] + SETTLING_S))
        )
        wraps = settled & np.isnan(wrapped_s[on]) & (reads >= c["wrap_at"]) & running
        wrapped_s[on[wraps]] = now + DT_S
        done = settled & running & (reads >= c["target"] + c["pull"])
        pulled_s[on[done]] = now + DT_S
        peak[on] = np.where(pulled[on], np.maximum(peak[on], sensor[on]), peak[on])
        with np.errstate(invalid="ignore"):
            over = now >= pulled_s + REST_S
        if over[on].sum() > 0.06 * len(on) or over[on].all() or i == steps - 1:
            loss = 1 - bodies.mass_kg() / (first_kg[on] + bodies.books.sprayed)
            lost[on], dripped[on] = loss, bodies.books.dripped / first_kg[on]
            keep = ~over[on]
            if not keep.any():
                break
            on = on[keep]
            bodies = bodies.taken(keep)
            weights = [tuple(w[keep] for w in some) for some in weights]
    return [
        _told(
            spec,
            times,
            probe_log[:, k],
            check_log[:, k],
            pit_log[:, k],
            wrapped_s[k],
            pulled_s[k],
            peak[k],
            first_kg[k],
            lost[k],
            dripped[k],
        )
        for k, spec in enumerate(specs)
    ]


def _spritz(specs: Sequence[CookSpec], steps: int) -> Array:
    out = np.zeros((steps, len(specs)))
    for k, spec in enumerate(specs):
        for at_s, kg_m2 in spec.spritz:
            out[min(int(at_s / DT_S), steps - 1), k] += kg_m2
    return out


def _told(
    spec: CookSpec,
    times: Array,
    sensor: Array,
    check_sensor: Array,
    pit: Array,
    wrapped_s: float,
    pulled_s: float,
    peak_c: float,
    first_kg: float,
    lost: float,
    dripped: float,
) -> SimulatedCook:
    there = np.isfinite(sensor)
    times, sensor, pit = times[there], sensor[there].astype(float), pit[there].astype(float)
    check_sensor = check_sensor[there].astype(float)
    every = round(spec.every_s / DT_S)
    times, sensor, pit = times[::every], sensor[::every], pit[::every]
    probe_c, pit_c = shown(times, sensor, pit, spec.probe)
    check_c = None
    if spec.check is not None:
        check_c = shown(times, check_sensor[::every], pit, spec.check)[0]
    truth = first_at(times, probe_c, spec.target_c, in_meat(times, spec.probe, SETTLING_S))
    return SimulatedCook(
        spec,
        times,
        pit_c,
        probe_c,
        truth,
        float(wrapped_s),
        float(pulled_s),
        float(peak_c),
        float(first_kg),
        float(lost),
        float(dripped),
        check_c,
    )


def cooks(specs: Sequence[CookSpec], folder: Path = CACHE) -> list[SimulatedCook]:
    """These cooks, out of the cache if they were run before with the same code and numbers."""
    digest = hashlib.sha256(repr(list(specs)).encode())
    for name in _SOURCES:
        digest.update((Path(__file__).parent / name).read_bytes())
    path = folder / f"{digest.hexdigest()[:20]}.npz"
    if path.exists():
        with np.load(path) as kept:
            return [
                SimulatedCook(
                    spec,
                    *(kept[f"{key}{k}"].astype(float) for key in ("time", "pit", "probe")),
                    *(float(v) for v in kept["facts"][k]),
                    kept[f"check{k}"].astype(float) if spec.check is not None else None,
                )
                for k, spec in enumerate(specs)
            ]
    found = simulate(specs)
    folder.mkdir(parents=True, exist_ok=True)
    arrays: dict[str, NDArray] = {"facts": np.array([_facts(cook) for cook in found])}
    for k, cook in enumerate(found):
        arrays[f"time{k}"] = cook.time_s
        # As exact as the display: so that what comes out of the cache is what went in.
        arrays[f"pit{k}"], arrays[f"probe{k}"] = cook.pit_c, cook.probe_c
        if cook.check_c is not None:
            arrays[f"check{k}"] = cook.check_c
    part = path.with_suffix(".part")
    with part.open("wb") as stream:
        np.savez_compressed(stream, **arrays)
    part.replace(path)
    return found


def _facts(cook: SimulatedCook) -> tuple[float, ...]:
    return (
        cook.truth_s,
        cook.wrapped_s,
        cook.pulled_s,
        cook.peak_c,
        cook.first_kg,
        cook.lost_share,
        cook.dripped_share,
    )
