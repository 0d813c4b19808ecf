"""The pit around the meat, second by second, many cooks at once: what is there and what the pit probe is near.

A fire that is fed in turns (period, swing), a body of steel that warms slowly, a controller that is off
by some, weather, lids that are opened and a fire that dies for a while.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class PitSpec:
    """One pit on one day. Times in s since the first reading, temperatures in °C."""

    outside_c: float
    humidity: float  # of the outside air
    preheated: bool
    warm_up_s: float  # time constant
    swing_k: float
    period_s: float
    drift_k: float  # sd of the weather's wander
    drift_s: float
    bias_k: float  # of the control, at the pit probe
    place_k: float  # the air at the meat over the air at the pit probe
    wall_k: float  # the walls over the air
    emissivity: float
    convective: float  # W/m2K with the fire idle
    fan: float  # how much more while it is fed
    fire_vapour_pa: float  # at 110 °C in the pit
    set_points: tuple[tuple[float, float], ...]  # (from when, °C)
    lids: tuple[tuple[float, float], ...]  # (when, how long)
    fuel_out: tuple[tuple[float, float], ...]  # (when, how long)
    seed: int


@dataclass
class Air:
    """What is around the meat now, arrays of shape (cooks,)."""

    air_c: Array
    walls_c: Array
    near_probe_c: Array
    convective: Array
    vapour_pa: Array


def _set_points(specs: list[PitSpec], times: Array) -> Array:
    out = np.empty((len(times), len(specs)))
    for n, spec in enumerate(specs):
        for at_s, value in spec.set_points:
            out[times >= at_s, n] = value
    return out


def _during(spans: list[tuple[tuple[float, float], ...]], times: Array) -> Array:
    """Shares of each step that lie in the spans, so that a short lid is not lost between steps."""
    dt = times[1] - times[0]
    out = np.zeros((len(times), len(spans)))
    for n, some in enumerate(spans):
        for at_s, for_s in some:
            overlap = np.minimum(times + dt, at_s + for_s) - np.maximum(times, at_s)
            out[:, n] += np.clip(overlap / dt, 0.0, 1.0)
    return np.minimum(out, 1.0)


def _wander(specs: list[PitSpec], count: int, dt: float) -> tuple[Array, Array]:
    """A slow wander of sd one, and the phase of the fire's turns."""
    wander, phase = np.empty((count, len(specs))), np.empty((count, len(specs)))
    for n, spec in enumerate(specs):
        rng = np.random.default_rng(spec.seed)
        keep = np.exp(-dt / spec.drift_s)
        noise = rng.standard_normal(count) * np.sqrt(1 - keep * keep)
        value = rng.standard_normal()
        column = np.empty(count)
        for i in range(count):
            value = keep * value + noise[i]
            column[i] = value
        wander[:, n] = column
        speed = 2 * np.pi * dt / spec.period_s
        phase[:, n] = rng.uniform(0, 6.28) + np.cumsum(
            speed * (1 + 0.35 * rng.standard_normal(count))
        )
    return wander, phase


_COLUMNS = (
    "outside_c",
    "humidity",
    "warm_up_s",
    "swing_k",
    "drift_k",
    "bias_k",
    "place_k",
    "wall_k",
    "convective",
    "fan",
    "fire_vapour_pa",
    "preheated",
)


class Pits:
    """Many pits, a step at a time at `times` (evenly spaced)."""

    def __init__(self, specs: list[PitSpec], times: Array) -> None:
        self.dt = float(times[1] - times[0])
        self.col = {
            key: np.array([getattr(spec, key) for spec in specs], dtype=float) for key in _COLUMNS
        }
        col = self.col
        self.sets = _set_points(specs, times)
        self.open = _during([spec.lids for spec in specs], times)
        self.out = _during([spec.fuel_out for spec in specs], times)
        self.wander, phase = _wander(specs, len(times), self.dt)
        self.turn = np.tanh(2.0 * np.sin(phase))  # fed and not fed, with soft edges
        warm = self.sets[0] + col["bias_k"]
        self.steel = np.where(col["preheated"] > 0, warm, col["outside_c"] + 3.0)
        self.gas, self.walls = self.steel.copy(), self.steel.copy()
        outside = col["outside_c"]
        self.ambient_pa = col["humidity"] * 611.0 * np.exp(17.6 * outside / (outside + 243))

    def step(self, i: int, lid: Array) -> Air:
        """What is there after step `i`. `lid`: shares of it that the lid is open besides, (cooks,)."""
        col, dt = self.col, self.dt
        outside, turn, out = col["outside_c"], self.turn[i], self.out[i]
        open_ = np.maximum(self.open[i], lid)
        wanted = self.sets[i] + col["bias_k"] + col["drift_k"] * self.wander[i]
        # Off the set point it burns harder or lies low; it can only warm so fast.
        rate = np.clip((wanted - self.steel) / col["warm_up_s"], -0.02, 0.12)
        dying = -(self.steel - outside) / (5.0 * col["warm_up_s"])
        self.steel = self.steel + dt * np.where(out > 0, dying, rate)
        aim = self.steel + col["swing_k"] * turn * (1 - out)
        self.gas = self.gas + (1 - np.exp(-dt / 60.0)) * (aim - self.gas)
        lost = 1 - np.exp(-dt * open_ / 35.0)
        self.gas = self.gas - lost * 0.75 * (self.gas - outside)
        self.steel = self.steel - lost * 0.12 * (self.steel - outside)
        self.walls = self.walls + (1 - np.exp(-dt / 480.0)) * (
            self.gas + col["wall_k"] - self.walls
        )
        burn = np.clip((aim - outside) / 90.0, 0.1, None) * (1 + 0.3 * turn)
        burn = burn * (1 - 0.8 * np.maximum(out, open_))
        return Air(
            self.gas + col["place_k"],
            self.walls + col["place_k"],
            self.gas,
            col["convective"] * (1 + col["fan"] * (0.5 + 0.5 * turn)) * (1 + 0.3 * open_),
            self.ambient_pa + col["fire_vapour_pa"] * burn,
        )
