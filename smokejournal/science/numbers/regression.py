"""How one quantity goes with several others: ordinary least squares, with Student's t.

The regressors are set to their means and to one length before anything is solved, so that kilograms
beside seconds, or years that differ by ten in two thousand, lose no digits. Errors are taken as
independent, normal and of one size.

Source: N. R. Draper and H. Smith, Applied Regression Analysis, 3rd ed. (1998), chapters 5 (estimates,
intervals, prediction) and 16 (variance inflation); checked against the certified values of NIST's
Statistical Reference Datasets.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from smokejournal.science.numbers.refusals import PARTS, refuses
from smokejournal.science.numbers.student import Interval95, t_quantile

FloatArray: TypeAlias = NDArray[np.float64]

#: What the others explain of a regressor but for this share leaves nothing of its own.
_NOTHING_LEFT = 1e-12


@dataclass(frozen=True)
class LineFit:
    """outcome = `constant` + sum of `slopes` times regressors.

    Each slope with its 95 % interval, in units of the outcome per unit of the regressor;
    `slope_sds` and `constant_sd` are their standard deviations, `residual_sd` that of the outcome
    about the fit. `freedom` is n minus the number of coefficients. `means` of the regressors; `lengths` and
    `covariance`, shapes (k,) and (k, k), belong to how they were scaled.
    """

    n: int
    freedom: int
    constant: float
    constant_sd: float
    slopes: tuple[Interval95, ...]
    slope_sds: tuple[float, ...]
    residual_sd: float
    r_squared: float
    means: tuple[float, ...]
    lengths: FloatArray
    covariance: FloatArray


@refuses()
def inflation(regressors: FloatArray) -> tuple[float, ...]:
    """By what factor the others inflate the variance of each slope: 1 / (1 - R²) of that regressor.

    `regressors` of shape (n, k). 1 where a regressor goes with no other, infinite where the others
    (or a constant alone) tell it. ValueError for another shape.
    """
    units, _, _ = _to_units(regressors)
    found = []
    for place in range(units.shape[1]):
        own, others = units[:, place], np.delete(units, place, axis=1)
        rest = own
        if others.shape[1]:
            rest = own - others @ np.linalg.lstsq(others, own, rcond=None)[0]
        left = float(rest @ rest)
        found.append(1.0 / left if left > _NOTHING_LEFT else math.inf)
    return tuple(found)


@refuses()
def least_squares(regressors: FloatArray, outcome: FloatArray) -> LineFit:
    """The fit of `outcome`, shape (n,), to a constant and `regressors`, shape (n, k).

    ValueError where n is not above k + 1, or where one regressor follows from the others.
    """
    units, means, lengths = _to_units(regressors)
    n, k = units.shape
    if outcome.shape != (n,):
        raise ValueError(
            f"outcome: one for each of the {n} rows of regressors, not {outcome.shape}"
        )
    freedom = n - k - 1
    if freedom < 1:
        raise ValueError(f"regressors: more than {k + 1} rows, not {n}")
    if any(math.isinf(factor) for factor in inflation(regressors)):
        raise ValueError("regressors: one follows from the others")
    middle = float(outcome.mean())
    away = outcome - middle
    q, r = np.linalg.qr(units)
    solved = np.linalg.solve(r, q.T @ away)
    residuals = away - units @ solved
    squares, total = float(residuals @ residuals), float(away @ away)
    sd = math.sqrt(squares / freedom)
    inverse = np.linalg.inv(r)
    covariance = inverse @ inverse.T
    sds = sd * np.sqrt(np.diag(covariance)) / lengths
    t = t_quantile(0.975, freedom)
    slopes = solved / lengths
    share = means / lengths
    return LineFit(
        n=n,
        freedom=freedom,
        constant=middle - float(slopes @ means),
        constant_sd=sd * math.sqrt(1.0 / n + float(share @ covariance @ share)),
        slopes=tuple(
            Interval95(float(b), float(b - t * e), float(b + t * e))
            for b, e in zip(slopes, sds, strict=True)
        ),
        slope_sds=tuple(sds.tolist()),
        residual_sd=sd,
        r_squared=1.0 - squares / total if total > 0.0 else 0.0,
        means=tuple(means.tolist()),
        lengths=lengths,
        covariance=covariance,
    )


@refuses(fit=PARTS)
def predicted(fit: LineFit, at: FloatArray) -> Interval95:
    """Where one more outcome is expected at regressors `at`, shape (k,): 19 times in 20 within."""
    if at.shape != (len(fit.means),):
        raise ValueError(f"at: {len(fit.means)} regressors, not {at.shape}")
    share = (at - np.array(fit.means)) / fit.lengths
    slopes = np.array([slope.value for slope in fit.slopes])
    value = fit.constant + float(slopes @ at)
    room = 1.0 + 1.0 / fit.n + float(share @ fit.covariance @ share)
    half = t_quantile(0.975, fit.freedom) * fit.residual_sd * math.sqrt(room)
    return Interval95(value, value - half, value + half)


def _to_units(regressors: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Columns less their means and of length 1, the means, the lengths; a constant one stays at 0."""
    if regressors.ndim != 2 or not regressors.size:
        raise ValueError("regressors: rows and columns")
    means = regressors.mean(axis=0)
    away = regressors - means
    lengths = np.sqrt((away**2).sum(axis=0))
    # What rounding leaves of a column that doesn't change is no change.
    flat = lengths <= 1e-12 * np.sqrt((regressors**2).sum(axis=0))
    units = np.where(flat, 0.0, away / np.where(flat, 1.0, lengths))
    return units, means, np.where(flat, 1.0, lengths)
