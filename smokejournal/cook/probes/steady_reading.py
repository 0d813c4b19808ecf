"""What a probe in ice or boiling water says: the mean of its last readings, once they stand still."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from smokejournal.science.probes.calibration import READING_SD_K

WINDOW_S = 30.0
"""Common practice: a stem thermometer is read after 30 s, a thick probe later."""
FEWEST = 3
STILL_K = 0.3
"""By how much the fitted line may still move over the window [K]."""


@dataclass(frozen=True, slots=True)
class Steady:
    """Mean and standard uncertainty of the last `n` readings [°C, K]; by how much they still moved
    over the window [K], and over what time they lie [s]. `is_still`: it may be taken as a point."""

    mean_c: float
    sd_k: float
    n: int
    moved_k: float
    span_s: float

    @property
    def is_still(self) -> bool:
        """Whether it has settled: enough readings, over long enough, that move no more."""
        return self.n >= FEWEST and self.span_s >= WINDOW_S / 2 and abs(self.moved_k) <= STILL_K


def steady(readings: Sequence[tuple[float, float]], now_s: float) -> Steady | None:
    """What the readings (moment [s], °C) of the last half minute come to; None without any."""
    last = [(t, v) for t, v in readings if now_s - WINDOW_S <= t <= now_s]
    if not last:
        return None
    at = np.array([t for t, _ in last])
    value = np.array([v for _, v in last])
    span_s = float(at[-1] - at[0])
    moved = 0.0
    if len(last) >= FEWEST and span_s > 0.0:
        moved = float(np.polyfit(at - at.mean(), value, 1)[0]) * WINDOW_S
    sd = float(value.std(ddof=1)) if len(last) > 1 else 0.0
    # Never surer than a probe that shows tenths can be.
    return Steady(float(value.mean()), max(sd, READING_SD_K), len(last), moved, span_s)
