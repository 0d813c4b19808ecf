"""Thermistors (NTC): resistance to temperature and back, fits to measured points, dividers.

Steinhart-Hart: 1/T = A + B ln R + C (ln R)³ with T in kelvin and R in ohm. Three points determine it;
more are fitted by least squares. With two points, or a data sheet's beta, the simpler
R = R25 exp(beta (1/T - 1/T25)) is all there is.

Source: Steinhart and Hart, Calibration curves for thermistors, Deep-Sea Research 15 (1968) 497-503.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from smokejournal.science.numbers.ranges import OutOfRange, within
from smokejournal.science.numbers.refusals import between, refuses
from smokejournal.science.numbers.units import ZERO_C_IN_K

RESISTANCE_OHM = (0.1, 1e8)
RANGE_C = (-80.0, 400.0)
T25_K = 25.0 + ZERO_C_IN_K


@dataclass(frozen=True, slots=True)
class SteinhartHart:
    """The three coefficients [1/K]. A beta curve is one with `c` 0."""

    a: float
    b: float
    c: float

    def temperature_c(self, resistance_ohm: float) -> float:
        """The temperature [°C] at a resistance [ohm]; OutOfRange where the curve gives none."""
        log = math.log(within("resistance", resistance_ohm, *RESISTANCE_OHM, "ohm"))
        inverse = self.a + self.b * log + self.c * log**3
        t_c = 1.0 / inverse - ZERO_C_IN_K if inverse > 0.0 else math.inf
        return within("temperature", t_c, *RANGE_C, "°C")

    def resistance_ohm(self, t_c: float) -> float:
        """The resistance [ohm] at a temperature [°C].

        The cubic's one real root by Cardano's formula where C is above 0, else the beta form's.
        """
        within("temperature", t_c, *RANGE_C, "°C")
        wanted = self.a - 1.0 / (t_c + ZERO_C_IN_K)
        if self.c == 0.0:
            return math.exp(-wanted / self.b)
        p, q = self.b / self.c, wanted / self.c
        root = math.sqrt((p / 3.0) ** 3 + (q / 2.0) ** 2) if p >= 0.0 else math.nan
        # Of the two cube roots the one without cancellation; the other follows from their product.
        big = math.cbrt(q / 2.0 + math.copysign(root, q)) if q else math.sqrt(p / 3.0)
        log = p / (3.0 * big) - big
        if not math.isfinite(log):
            raise ValueError("coefficients: they give no single resistance at this temperature")
        return math.exp(log)


@dataclass(frozen=True, slots=True)
class CurveFit:
    """A curve through points, and how far from it they lie [K], each: point minus curve."""

    curve: SteinhartHart
    residual_k: tuple[float, ...]

    @property
    def worst_k(self) -> float:
        """The largest distance of a point from the curve [K]; 0 for three points."""
        return max((abs(each) for each in self.residual_k), default=0.0)


# Each point is looked at inside, to say which of them it is.
@refuses("resistance_ohm t_c", resistance_ohm=None, t_c=None)
def fit(resistance_ohm: Sequence[float], t_c: Sequence[float]) -> CurveFit:
    """The curve through three or more points, least squares in 1/T weighted to count in kelvin.

    ValueError for fewer than three, for points that lie too close, and for a curve that does not
    fall with rising temperature over the points' own range.
    """
    if len(t_c) < 3:
        raise ValueError("points: at least three, each with a resistance and a temperature")
    for n, (r, t) in enumerate(zip(resistance_ohm, t_c, strict=True), start=1):
        within(f"resistance of point {n}", r, *RESISTANCE_OHM, "ohm", argument="resistance_ohm")
        within(f"temperature of point {n}", t, *RANGE_C, "°C", argument="t_c")
    if len(set(resistance_ohm)) < 3 or len(set(t_c)) < 3:
        raise ValueError("points: at least three different ones")
    log = np.log(np.asarray(resistance_ohm, dtype=np.float64))
    kelvin = np.asarray(t_c, dtype=np.float64) + ZERO_C_IN_K
    # A change of 1/T by d is one of T by -T² d: the weight makes residuals kelvin, near enough.
    weight = kelvin**2
    columns = np.stack([np.ones_like(log), log, log**3], axis=1) * weight[:, None]
    size = np.linalg.norm(columns, axis=0)
    found = np.linalg.lstsq(columns / size, weight / kelvin, rcond=None)[0] / size
    curve = SteinhartHart(*(float(each) for each in found))
    if not _falls(curve, float(log.min()), float(log.max())):
        raise ValueError("points: resistance must fall as temperature rises; one is mistyped")
    residual = tuple(t - curve.temperature_c(r) for r, t in zip(resistance_ohm, t_c, strict=True))
    return CurveFit(curve, residual)


def _falls(curve: SteinhartHart, low: float, high: float) -> bool:
    """Whether 1/T rises with ln R all the way."""
    smallest = 0.0 if low <= 0.0 <= high else min(low * low, high * high)
    largest = max(low * low, high * high)
    return all(curve.b + 3.0 * curve.c * square > 0.0 for square in (smallest, largest))


@refuses(
    beta_k=between("beta", 500.0, 10_000.0, "K"),
    r25_ohm=between("resistance at 25 °C", *RESISTANCE_OHM, "ohm"),
)
def beta_curve(beta_k: float, r25_ohm: float) -> SteinhartHart:
    """The curve of a data sheet's beta [K] and resistance at 25 °C [ohm]."""
    return SteinhartHart(1.0 / T25_K - math.log(r25_ohm) / beta_k, 1.0 / beta_k, 0.0)


@refuses(
    r1_ohm=between("first resistance", *RESISTANCE_OHM, "ohm"),
    t1_c=between("first temperature", *RANGE_C, "°C"),
    r2_ohm=between("second resistance", *RESISTANCE_OHM, "ohm"),
    t2_c=between("second temperature", *RANGE_C, "°C"),
)
def beta_k(r1_ohm: float, t1_c: float, r2_ohm: float, t2_c: float) -> float:
    """Beta [K] from two points: ln(R1/R2) / (1/T1 - 1/T2)."""
    if t1_c == t2_c:
        raise ValueError("temperatures: two different ones")
    inverse = 1.0 / (t1_c + ZERO_C_IN_K) - 1.0 / (t2_c + ZERO_C_IN_K)
    return math.log(r1_ohm / r2_ohm) / inverse


@refuses(share=None, fixed_ohm=between("fixed resistor", *RESISTANCE_OHM, "ohm"))
def divider_ohm(share: float, fixed_ohm: float, *, fixed_to_supply: bool = True) -> float:
    """The thermistor's resistance [ohm] from the midpoint of a divider.

    `share` is the midpoint's voltage over the supply's, which for a converter fed by the same supply
    is counts over full scale. `fixed_to_supply`: the fixed resistor [ohm] goes to the supply and the
    thermistor to ground; else the other way about. OutOfRange at 0 and 1: an open or shorted probe.
    """
    if not (math.isfinite(share) and 0.0 < share < 1.0):
        raise OutOfRange("share of the supply voltage", share, 0.0, 1.0, argument="share")
    return fixed_ohm * (share / (1.0 - share) if fixed_to_supply else (1.0 - share) / share)


@refuses(
    thermistor_ohm=between("resistance", *RESISTANCE_OHM, "ohm"),
    fixed_ohm=between("fixed resistor", *RESISTANCE_OHM, "ohm"),
)
def divider_share(
    thermistor_ohm: float, fixed_ohm: float, *, fixed_to_supply: bool = True
) -> float:
    """The midpoint's voltage over the supply's for a thermistor [ohm]; the way back of the above."""
    low = thermistor_ohm if fixed_to_supply else fixed_ohm
    return low / (thermistor_ohm + fixed_ohm)


@refuses(counts=None, full_scale=between("full scale", 2.0, 2.0**32))
def counts_share(counts: float, full_scale: float) -> float:
    """A converter's counts as a share of its full scale (4096 for 12 bits).

    OutOfRange at 0 and at the highest count, where the converter is at its end and says nothing: an
    open or a shorted probe reads so.
    """
    highest = full_scale - 1.0
    if not (math.isfinite(counts) and 0.0 < counts < highest):
        raise OutOfRange("counts", counts, 1.0, highest - 1.0, argument="counts")
    return counts / full_scale
