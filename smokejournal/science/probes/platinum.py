"""Platinum resistance thermometers (Pt100, Pt1000) by IEC 60751, and their classes.

R(t) = R0 (1 + A t + B t²) from 0 °C up, with C (t - 100) t³ added within the brackets below it.
No package that starts fast and is kept up gives these; the three coefficients are the standard's.

Source: IEC 60751:2008 (DIN EN 60751, ASTM E1137), A = 3.9083e-3 /°C, B = -5.775e-7 /°C²,
C = -4.183e-12 /°C⁴. A curve with A = 3.9827e-3 also goes about; it is another platinum (alpha
0.003925) and not this standard's.
"""

from __future__ import annotations

import math

from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.numbers.refusals import between, refuses

A = 3.9083e-3
B = -5.775e-7
C = -4.183e-12

PT100_OHM = 100.0
PT1000_OHM = 1000.0
RANGE_C = (-200.0, 850.0)


def _ratio(t_c: float) -> float:
    ratio = 1.0 + A * t_c + B * t_c * t_c
    return ratio + C * (t_c - 100.0) * t_c**3 if t_c < 0.0 else ratio


@refuses(
    t_c=between("temperature", *RANGE_C, "°C"),
    r0_ohm=between("resistance at 0 °C", 1.0, 100_000.0, "ohm"),
)
def resistance_ohm(t_c: float, r0_ohm: float = PT100_OHM) -> float:
    """The resistance [ohm] at `t_c` [°C] of one that has `r0_ohm` at 0 °C; OutOfRange else."""
    return r0_ohm * _ratio(t_c)


@refuses(measured_ohm=None, r0_ohm=between("resistance at 0 °C", 1.0, 100_000.0, "ohm"))
def temperature_c(measured_ohm: float, r0_ohm: float = PT100_OHM) -> float:
    """The temperature [°C] at which it has `measured_ohm` [ohm]; OutOfRange outside -200 to 850 °C.

    Above 0 °C the quadratic's exact root; below, Newton's method on the full form, to 1e-10 °C.
    """
    low, high = (r0_ohm * _ratio(t) for t in RANGE_C)
    if not low <= measured_ohm <= high:
        raise OutOfRange("resistance", measured_ohm, low, high, "ohm", argument="measured_ohm")
    ratio = measured_ohm / r0_ohm
    t_c = (-A + math.sqrt(A * A - 4.0 * B * (1.0 - ratio))) / (2.0 * B)
    if ratio >= 1.0:
        return min(t_c, RANGE_C[1])
    for _ in range(20):
        slope = A + 2.0 * B * t_c + C * (4.0 * t_c**3 - 300.0 * t_c**2)
        step = (_ratio(t_c) - ratio) / slope
        t_c -= step
        if abs(step) < 1e-11:
            break
    return max(t_c, RANGE_C[0])
