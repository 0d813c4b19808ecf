"""Calibrating a probe: from readings at known temperatures to its correction and how sure that is.

The correction c = reference - reading is fitted to the points by weighted least squares, as a
constant (offset) or as a straight line in the reading (slope and offset). Each point carries the
standard uncertainty of its reading and of its reference; where the points lie further from the line
than these allow, the result's uncertainty grows with them (Birge ratio), it never shrinks.

Source: JCGM 100:2008 (GUM), H.3, Calibration of a thermometer, whose example is in the tests; for
whether two calibrations agree, the E_n number of ISO 13528.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from smokejournal.science.numbers.ranges import within
from smokejournal.science.numbers.refusals import PARTS, Parts, refuses

Model = Literal["offset", "slope"]

COVERAGE = 2.0
"""Expanded uncertainties are this many standard ones: about 95 %."""
ICE_C = 0.0
#: Standard uncertainty of well stirred ice water and of a rolling boil, apart from what is known of
#: the pressure [K]. Common practice, no source: salts, stem, a slush with too little ice.
ICE_SD_K = 0.1
BOIL_SD_K = 0.1
READING_SD_K = 0.05
NARROWEST_SLOPE_K = 30.0
"""Points must span this for a slope [K]: between closer ones its error grows with every degree."""
SLOPE = (0.9, 1.1)
LARGEST_K = 30.0
OLD_S = 183 * 86_400.0
"""After half a year a calibration is to be made again. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Point:
    """A reading [°C] where the temperature was known [°C], each with its standard uncertainty [K]."""

    reading_c: float
    reference_c: float
    reading_sd_k: float = READING_SD_K
    reference_sd_k: float = ICE_SD_K

    @property
    def error_k(self) -> float:
        """By how much it reads too high [K]."""
        return self.reading_c - self.reference_c

    @property
    def sd_k(self) -> float:
        """The standard uncertainty of its error [K]."""
        return math.hypot(self.reading_sd_k, self.reference_sd_k)


@dataclass(frozen=True, slots=True)
class Correction:
    """What to make of a reading: `slope` times it plus `offset_c`, and how sure that is.

    The correction at the middle of the points, `middle_c`, and the slope are uncorrelated; `at_sd_k`
    and `slope_sd` are their standard uncertainties. `from_c` to `to_c` is what the points span.
    `scatter` is the Birge ratio, None where no point is to spare.
    """

    model: Model
    slope: float
    offset_c: float
    middle_c: float
    at_sd_k: float
    slope_sd: float
    from_c: float
    to_c: float
    points: int
    scatter: float | None = None

    def corrected(self, reading_c: float) -> float:
        """What a reading means [°C]."""
        return self.slope * reading_c + self.offset_c

    def sd_k(self, reading_c: float) -> float:
        """Standard uncertainty of the correction at a reading [K]."""
        return math.hypot(self.at_sd_k, (reading_c - self.middle_c) * self.slope_sd)

    def expanded_k(self, reading_c: float) -> float:
        """The same with a coverage factor of 2: half the width of an interval of about 95 %."""
        return COVERAGE * self.sd_k(reading_c)

    @property
    def worst_expanded_k(self) -> float:
        """The greatest expanded uncertainty [K] over what the points span."""
        return max(self.expanded_k(self.from_c), self.expanded_k(self.to_c))


@refuses(points=PARTS)
def allowed_model(points: Sequence[Point]) -> Model:
    """The most that these points can carry: a slope needs two that lie far enough apart."""
    readings = [p.reading_c for p in points]
    return "slope" if readings and max(readings) - min(readings) >= NARROWEST_SLOPE_K else "offset"


@refuses(points=Parts(reading_c=None, reference_c=None))
def calibrate(points: Sequence[Point], model: Model | None = None) -> Correction:
    """The correction that the points give, by the model asked for or the most that they can carry.

    OutOfRange names what is mistyped: a reading more than 30 K off, or a slope not from 0.9 to 1.1.
    ValueError without points, or for a slope from points that lie within 30 K.
    """
    if not points:
        raise ValueError("points: at least one")
    for n, point in enumerate(points, start=1):
        for name, value in (("reading", point.reading_c), ("reference", point.reference_c)):
            within(f"{name} of point {n}", value, -60.0, 500.0, "°C", argument="points")
        within(f"error of point {n}", point.error_k, -LARGEST_K, LARGEST_K, "K", argument="points")
        within(f"uncertainty of point {n}", point.sd_k, 1e-6, LARGEST_K, "K", argument="points")
    most = allowed_model(points)
    chosen: Model = most if model is None else model
    if chosen == "slope" and most != "slope":
        raise ValueError("points: a slope needs two that lie 30 K or more apart")
    reading = np.array([p.reading_c for p in points])
    correction = np.array([-p.error_k for p in points])
    weight = np.array([p.sd_k for p in points]) ** -2.0
    total = float(weight.sum())
    middle_c = float((weight * reading).sum() / total)
    mean = float((weight * correction).sum() / total)
    at_sd_k, slope_sd, gain = total**-0.5, 0.0, 0.0
    away = reading - middle_c
    if chosen == "slope":
        spread = float((weight * away**2).sum())
        gain = float((weight * away * correction).sum() / spread)
        slope_sd = spread**-0.5
        within("slope", 1.0 + gain, *SLOPE)
    spare = len(points) - (2 if chosen == "slope" else 1)
    scatter = None
    if spare > 0:
        squares = float((weight * (correction - mean - gain * away) ** 2).sum())
        scatter = math.sqrt(squares / spare)
        at_sd_k *= max(1.0, scatter)
        slope_sd *= max(1.0, scatter)
    return Correction(
        model=chosen,
        slope=1.0 + gain,
        offset_c=mean - gain * middle_c,
        middle_c=middle_c,
        at_sd_k=at_sd_k,
        slope_sd=slope_sd,
        from_c=float(reading.min()),
        to_c=float(reading.max()),
        points=len(points),
        scatter=scatter,
    )


@dataclass(frozen=True, slots=True)
class Drift:
    """How the correction changed from an older calibration: new minus old at a reading, and E_n.

    |E_n| above 1: more than both uncertainties together explain.
    """

    at_c: float
    change_k: float
    expanded_k: float

    @property
    def e_n(self) -> float:
        """The change over its expanded uncertainty."""
        return self.change_k / self.expanded_k

    @property
    def has_drifted(self) -> bool:
        """Whether it changed by more than the uncertainties explain."""
        return abs(self.e_n) > 1.0


@refuses(old=PARTS, new=PARTS)
def drift(old: Correction, new: Correction) -> Drift | None:
    """The change that stands out most where both were calibrated; None where they share no range.

    Both ends of what the spans share are looked at: a straight line changes most at one of them. A
    single point is a span of its own, widened by 10 K to each side.
    """
    low = max(old.from_c, new.from_c) - 10.0
    high = min(old.to_c, new.to_c) + 10.0
    if low > high:
        return None
    ends = (low + 10.0, high - 10.0) if high - low >= 20.0 else ((low + high) / 2.0,) * 2
    found = [
        Drift(
            at,
            new.corrected(at) - old.corrected(at),
            math.hypot(old.expanded_k(at), new.expanded_k(at)),
        )
        for at in ends
    ]
    return max(found, key=lambda each: abs(each.e_n))
