"""How many log10 reductions a temperature that changes adds up to.

Definition (the general method of Bigelow): at temperature T a population of one kind of bacteria falls
by one log10 in the time D(T) = D_ref · 10^((T_ref − T)/z). The lethal rate is L = 10^((T − T_ref)/z),
F = ∫ L dt is the equivalent time at T_ref, and F/D_ref, which is ∫ dt/D(T), is the number of log10
reductions. A table of hold times says the same in another form: where n log10 reductions take
hold(T), the rate is n/hold(T).

Here the rate is 10 to the power of a line through the rows of the table (for D and z: a straight one):

- nothing below the lowest row, for no row speaks for it;
- above the highest row that has a time, the rate of that row and no more. Rows that are printed as
  instantaneous would end a cook on one noisy reading;
- between two readings the temperature runs straight, and over that line the integral is exact: in
  each stretch between two rows the rate is exponential in time. Over a gap nothing is added;
- a probe may read too high by its uncertainty, so that is taken off first.

Worked example (worksheet of a meat trade association, 2010, filled in; T_ref 150 °F, z 10 °F, D 0.172
min; D and z from Scott and Weddig 1998). A core, read every half minute from 0 to 7.5 min:
40 64 82 97 113 128 138 142 145 148 145 140 137 136 135 134 °F. Published F: 0.002 min at 2.5 min,
0.193 at 4.0, 0.667 at 5.0, 0.863 at 7.5, that is 5.02 log10 (the tests get all published digits by its rule). The rules differ:

- the worksheet takes the mean of the rates at both ends of a segment (trapezoid). An exponential lies
  below its chord, so it credits too much: 0.4 % per segment of 1 °F, 11 % of 5, 41 % of 10, 135 % of 20;
- the exact integral over the same straight segments is 0.8191 min, 4.76 log10;
- the meat table itself (FSIS-GD-2021-14, Table 2, 6.5 log) gives 4.56 log10. This program shows that.

What it doesn't say: FSIS-GD-2021-14 allows to add up only where the product is moist (page 68); rates
hold for no dried surface, for no other bacteria, and for neither toxins nor spores.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from smokejournal.science.numbers.refusals import (
    ABOVE_ZERO,
    ENDLESS,
    NOT_BELOW_ZERO,
    PARTS,
    Parts,
    between,
    refuses,
)
from smokejournal.science.safety.hold_tables import HoldTable

FloatArray: TypeAlias = NDArray[np.float64]

_LN10 = float(np.log(10.0))
#: A conversion there and back costs some 1e-14 °C, which must not put a reading below the lowest row.
_SLACK_C = 1e-9

#: What the general method may be asked with: minutes, K, °C.
D_RANGE_S = (0.01, 1e6)
Z_RANGE_K = (1.0, 100.0)
TEMPERATURE_RANGE_C = (0.0, 150.0)


@dataclass(frozen=True, eq=False)
class LethalRate:
    """Log10 reductions per second by temperature: 10^(a line through knots), shape (m,) each.

    Nothing below the first knot; above the last one, the rate there.
    """

    temperature_c: FloatArray
    log10_per_s: FloatArray

    def __post_init__(self) -> None:
        if self.temperature_c.size < 1 or self.temperature_c.shape != self.log10_per_s.shape:
            raise ValueError("a rate needs one number for each temperature, and at least one")
        if np.any(np.diff(self.temperature_c) <= 0.0):
            raise ValueError("the temperatures of a rate must rise")

    @property
    def lowest_c(self) -> float:
        """Below this nothing counts [°C]."""
        return float(self.temperature_c[0])

    @property
    def highest_c(self) -> float:
        """From here on the rate grows no more [°C]."""
        return float(self.temperature_c[-1])

    def per_s(self, temperature_c: ArrayLike) -> FloatArray:
        """The rate [1/s] at temperatures [°C] of any shape."""
        t = np.asarray(temperature_c, dtype=np.float64)
        rate: FloatArray = 10.0 ** np.interp(t, self.temperature_c, self.log10_per_s)
        return np.where(t >= self.lowest_c - _SLACK_C, rate, 0.0)


_TABLE = Parts("temperature_c hold_s", log_reductions=ABOVE_ZERO, hold_s=ABOVE_ZERO)


@refuses(table=_TABLE)
def rate_of_table(table: HoldTable) -> LethalRate:
    """The rate that a table of hold times stands for, log-linear between its rows."""
    hold_s = np.array(table.hold_s)
    return LethalRate(
        np.array(table.temperature_c), np.log10(table.log_reductions) - np.log10(hold_s)
    )


@refuses(
    d_s=between("D", *D_RANGE_S, "s"),
    z_k=between("z", *Z_RANGE_K, "K"),
    reference_c=between("reference", *TEMPERATURE_RANGE_C, "°C"),
    from_c=between("from", *TEMPERATURE_RANGE_C, "°C"),
    to_c=between("to", *TEMPERATURE_RANGE_C, "°C"),
)
def rate_of_d_and_z(
    d_s: float, z_k: float, reference_c: float, from_c: float, to_c: float
) -> LethalRate:
    """The rate of the general method: D [s] at `reference_c` [°C] and z [K].

    D and z were found between two temperatures, `from_c` and `to_c` [°C]: nothing is credited below,
    and no more above. OutOfRange names the field and its range; ValueError where `to_c` isn't above
    `from_c`.
    """
    if not from_c < to_c:
        raise ValueError(f"to: above {from_c:g} °C, not {to_c:g}")
    ends_c = np.array([from_c, to_c])
    return LethalRate(ends_c, (ends_c - reference_c) / z_k - np.log10(d_s))


@refuses(
    "at_s temperature_c unbroken uncertainty_c",
    rate=PARTS,
    uncertainty_c=NOT_BELOW_ZERO,
    longest_line_s=ENDLESS,
)
def reductions(
    rate: LethalRate,
    at_s: ArrayLike,
    temperature_c: ArrayLike,
    unbroken: ArrayLike | None = None,
    uncertainty_c: ArrayLike = 0.0,
    longest_line_s: float = np.inf,
) -> FloatArray:
    """Log10 reductions added up to each reading, shape (n,); the first is 0.

    `at_s` [s], not falling, and `temperature_c` [°C], both of shape (n,). `unbroken`, of shape (n,),
    is False where a gap lies before a reading (None: there is none). `uncertainty_c` [K], one or (n,),
    is taken off each reading. Over a step of more than `longest_line_s` [s] nobody knows that the line
    was straight: it is credited at its cooler end. Raises ValueError where times fall or an uncertainty
    is below 0.
    """
    t_s = np.asarray(at_s, dtype=np.float64)
    off_c = np.asarray(uncertainty_c, dtype=np.float64)
    t_c = np.asarray(temperature_c, dtype=np.float64) - off_c
    steps_s = np.diff(t_s)
    added = np.zeros(t_s.size)
    if t_s.size > 1:
        mean_per_s = _mean_rate(rate, t_c[:-1], t_c[1:])
        far = steps_s > longest_line_s
        if np.any(far):
            mean_per_s[far] = rate.per_s(np.minimum(t_c[:-1], t_c[1:])[far])
        each = mean_per_s * steps_s
        if unbroken is not None:
            each = np.where(np.asarray(unbroken, dtype=np.bool_)[1:], each, 0.0)
        added[1:] = np.cumsum(each)
    return added


def _mean_rate(rate: LethalRate, from_c: FloatArray, to_c: FloatArray) -> FloatArray:
    """The mean rate over straight lines from `from_c` to `to_c`, shape (n,).

    Rate is integrated over temperature, stretch by stretch between knots, and divided by how far the
    line goes. Stretches are added, never subtracted, so that nothing cancels on short lines.
    """
    knots = rate.temperature_c
    low, high = np.minimum(from_c, to_c), np.maximum(from_c, to_c)
    low = np.where((low < knots[0]) & (low >= knots[0] - _SLACK_C), knots[0], low)
    high = np.maximum(high, low)
    mean = rate.per_s(low)
    sloping = np.flatnonzero((high > low) & (high > knots[0]))
    # A line that ends just at the lowest row has nothing above it.
    mean[(high > low) & (high <= knots[0])] = 0.0
    if not sloping.size:
        return mean
    low, high = low[sloping], high[sloping]
    begin = np.maximum(low, knots[0])
    first = np.searchsorted(knots, begin, side="right") - 1
    last = np.maximum(np.searchsorted(knots, high, side="left") - 1, first)
    slope = _LN10 * np.append(np.diff(rate.log10_per_s) / np.diff(knots), 0.0)
    at_knots = 10.0**rate.log10_per_s
    upto = np.zeros(knots.size)
    upto[1:] = np.cumsum(at_knots[:-1] * np.diff(knots) * _growth(slope[:-1] * np.diff(knots)))
    within_one = first == last
    end = np.where(within_one, high, knots[np.minimum(first + 1, knots.size - 1)])
    whole = rate.per_s(begin) * (end - begin) * _growth(slope[first] * (end - begin))
    rest = high - knots[last]
    further = upto[last] - upto[np.minimum(first + 1, knots.size - 1)]
    further += at_knots[last] * rest * _growth(slope[last] * rest)
    mean[sloping] = (whole + np.where(within_one, 0.0, further)) / (high - low)
    return mean


def _growth(x: FloatArray) -> FloatArray:
    """(exp(x) − 1)/x: the mean of an exponential over a stretch, by its value at the beginning."""
    small = np.abs(x) < 1e-12
    safe = np.where(small, 1.0, x)
    growth: FloatArray = np.where(small, 1.0 + x / 2.0, np.expm1(safe) / safe)
    return growth
