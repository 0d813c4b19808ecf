"""What probes show of what is there: lag, offset, noise, steps, gaps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class ProbeSpec:
    """The meat probe. Places in shares: r of the radius from the axis, z of the height."""

    r: float
    z: float
    lag_s: float
    offset_k: float
    stem: float  # share of the pit's temperature that its stem brings in
    noise_k: float
    step: str  # "0.1C", "1C", "1F"
    in_s: float  # when it is put into the meat
    moved: tuple[float, float, float, float] | None  # out when, for how long, then r, z
    gaps: tuple[tuple[float, float], ...]
    lost: float  # share of single readings that do not come
    seed: int


def stepped(values: Array, step: str) -> Array:
    """As the display rounds."""
    if step == "1F":
        return np.asarray((np.round(values * 1.8 + 32.0) - 32.0) / 1.8)
    if step == "1C":
        return np.asarray(np.round(values))
    return np.asarray(np.round(values, 1))


def shown(
    times: Array, sensor_c: Array, pit_sensor_c: Array, spec: ProbeSpec
) -> tuple[Array, Array]:
    """The readings (probe, pit) of what the sensors, with their lag, have come to."""
    rng = np.random.default_rng([spec.seed, 7])
    n = len(times)
    hum = rng.standard_normal(n)
    for i in range(1, n):  # neighbors are alike
        hum[i] = 0.5 * hum[i - 1] + 0.866 * hum[i]
    probe = stepped(sensor_c + spec.offset_k + spec.noise_k * hum, spec.step)
    pit = stepped(pit_sensor_c + 0.3 * rng.standard_normal(n), spec.step)
    away = rng.random(n) < spec.lost
    for at_s, for_s in spec.gaps:
        gap = (times >= at_s) & (times < at_s + for_s)
        probe[gap] = np.nan
        if rng.random() < 0.6:
            pit[gap] = np.nan
    probe[away] = np.nan
    pit[rng.random(n) < spec.lost] = np.nan
    return probe, pit


def in_meat(times: Array, spec: ProbeSpec, settling_s: float = 0.0) -> NDArray[np.bool_]:
    """Where the probe is in the meat, and has been for `settling_s`."""
    there = times >= spec.in_s + settling_s
    if spec.moved is not None:
        out_s, for_s = spec.moved[:2]
        there &= (times < out_s) | (times >= out_s + for_s + settling_s)
    return np.asarray(there)


def first_at(times: Array, probe: Array, target_c: float, there: NDArray[np.bool_]) -> float:
    """When the median of the last minute's readings first is at or above the target; NaN: never.

    Readings while the probe is out of the meat, or still settles in it, do not count.
    """
    left = np.searchsorted(times, times - 60.0, side="right")
    good = there & np.isfinite(probe)
    high = np.flatnonzero(good & (probe >= target_c - 1e-6))
    for i in range(high[0], len(times)) if len(high) else ():
        part = slice(left[i], i + 1)
        values = probe[part][good[part]]
        if len(values) and np.median(values) >= target_c - 1e-6:
            return float(times[i])
    return float("nan")
