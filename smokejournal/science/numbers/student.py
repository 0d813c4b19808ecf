"""Student's t, for intervals about what few values tell."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

from smokejournal.science.numbers.refusals import ABOVE_ZERO, refuses


@dataclass(frozen=True, slots=True)
class Interval95:
    """A value and its 95 % interval."""

    value: float
    low: float
    high: float


@refuses(freedom=ABOVE_ZERO)
def t_quantile(p: float, freedom: float) -> float:
    """The quantile of Student's t for a probability.

    Cornish-Fisher expansion, Abramowitz and Stegun 26.7.5; within 0.003 of the tables for 5 degrees
    of freedom or more at 0.975, within 0.001 for 4 and 0.03 for 3.
    """
    z = NormalDist().inv_cdf(p)
    n = freedom
    return (
        z
        + (z**3 + z) / (4 * n)
        + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * n**2)
        + (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / (384 * n**3)
        + (79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z) / (92160 * n**4)
    )
