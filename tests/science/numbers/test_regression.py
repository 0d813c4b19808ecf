"""Least squares against certified values, then what must hold of any fit."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from smokejournal.science.numbers.regression import inflation, least_squares, predicted
from tests.reference.tables import rows

# NIST Statistical Reference Datasets, linear regression: Norris (lower difficulty) and Longley
# (higher). Data and certified values as several public test suites carry them.
NORRIS = rows("nist_norris")
LONGLEY = rows("nist_longley")


def columns(table: list[dict[str, str]], *names: str) -> np.ndarray:
    return np.array([[float(row[name]) for name in names] for row in table])


def test_norris() -> None:
    fit = least_squares(columns(NORRIS, "x"), columns(NORRIS, "y")[:, 0])
    assert fit.constant == pytest.approx(-0.262323073774029, rel=1e-11)
    assert fit.constant_sd == pytest.approx(0.232818234301152, rel=1e-11)
    assert fit.slopes[0].value == pytest.approx(1.00211681802045, rel=1e-13)
    assert fit.slope_sds[0] == pytest.approx(0.429796848199937e-03, rel=1e-11)
    assert fit.residual_sd == pytest.approx(0.884796396144373, rel=1e-11)
    assert fit.r_squared == pytest.approx(0.999993745883712, abs=1e-14)
    assert (fit.n, fit.freedom) == (36, 34)


LONGLEY_X = ("x1", "x2", "x3", "x4", "x5", "x6")


def test_longley() -> None:
    fit = least_squares(columns(LONGLEY, *LONGLEY_X), columns(LONGLEY, "y")[:, 0])
    certified = (
        (15.0618722713733, 84.9149257747669),
        (-0.358191792925910e-01, 0.334910077722432e-01),
        (-2.02022980381683, 0.488399681651699),
        (-1.03322686717359, 0.214274163161675),
        (-0.511041056535807e-01, 0.226073200069370),
        (1829.15146461355, 455.478499142212),
    )
    for slope, sd, (value, value_sd) in zip(fit.slopes, fit.slope_sds, certified, strict=True):
        assert slope.value == pytest.approx(value, rel=1e-9)
        assert sd == pytest.approx(value_sd, rel=1e-9)
    assert fit.constant == pytest.approx(-3482258.63459582, rel=1e-9)
    assert fit.constant_sd == pytest.approx(890420.383607373, rel=1e-9)
    assert fit.residual_sd == pytest.approx(304.854073561965, rel=1e-11)
    assert fit.r_squared == pytest.approx(0.995479004577296, abs=1e-13)


def test_inflation_of_longley() -> None:
    # As textbooks on regression print them for these data; from memory.
    printed = (135.53, 1788.51, 33.62, 3.59, 399.15, 758.98)
    found = inflation(columns(LONGLEY, *LONGLEY_X))
    assert found == pytest.approx(printed, abs=0.006)


def test_intervals_of_heights_and_weights() -> None:
    # Height and weight of fifteen women, the worked example in an encyclopedia's article on simple
    # linear regression; slope 61.272, 95 % from 57.4 to 65.1; from memory.
    height_m = [1.47, 1.50, 1.52, 1.55, 1.57, 1.60, 1.63, 1.65, 1.68, 1.70, 1.73, 1.75, 1.78, 1.80, 1.83]  # fmt: skip
    mass_kg = [52.21, 53.12, 54.48, 55.84, 57.20, 58.57, 59.93, 61.29, 63.11, 64.47, 66.28, 68.10, 69.92, 72.19, 74.46]  # fmt: skip
    fit = least_squares(np.array(height_m)[:, None], np.array(mass_kg))
    slope = fit.slopes[0]
    assert (slope.value, fit.constant) == pytest.approx((61.272, -39.062), abs=5e-4)
    assert (slope.low, slope.high) == pytest.approx((57.4, 65.1), abs=0.05)


matrices = st.integers(5, 12).flatmap(
    lambda n: st.lists(
        st.tuples(*[st.floats(-50, 50).map(lambda v: round(v, 2))] * 3), min_size=n, max_size=n
    )
)


@given(matrices, st.floats(0.01, 1000.0), st.floats(-1000, 1000))
def test_another_scale_changes_nothing_but_the_numbers(
    table: list[tuple[float, float, float]], factor: float, shift: float
) -> None:
    data = np.array(table)
    x, y = data[:, :2], data[:, 2]
    assume(np.ptp(x, axis=0).min() > 1.0)
    assume(max(inflation(x)) < 1e3)
    fit = least_squares(x, y)
    other = least_squares(x * np.array([factor, 1.0]) + np.array([shift, 0.0]), y)
    assert other.slopes[0].value * factor == pytest.approx(fit.slopes[0].value, rel=1e-6, abs=1e-7)
    assert other.slopes[0].low * factor == pytest.approx(fit.slopes[0].low, rel=1e-6, abs=1e-6)
    at = x.mean(axis=0)
    here = predicted(fit, at)
    moved = predicted(other, at * np.array([factor, 1.0]) + np.array([shift, 0.0]))
    assert (moved.low, moved.high) == pytest.approx((here.low, here.high), rel=1e-6, abs=1e-6)
    # In the middle of the data the prediction is the mean outcome, and nowhere is it surer.
    assert here.value == pytest.approx(y.mean(), abs=1e-6)
    away = predicted(fit, at + 1.0)
    assert away.high - away.low >= here.high - here.low - 1e-9


def test_what_cannot_be_told_apart() -> None:
    x = np.array([[1.0, 2.0], [2.0, 4.0], [3.0, 6.0], [5.0, 10.0], [7.0, 14.0]])
    assert inflation(x) == (math.inf, math.inf)
    with pytest.raises(ValueError, match="one follows from the others"):
        least_squares(x, np.arange(5.0))
    flat = np.column_stack([np.arange(5.0), np.full(5, 0.1)])
    assert inflation(flat) == (1.0, math.inf)


def test_too_few_rows_and_wrong_shapes_are_refused() -> None:
    with pytest.raises(ValueError, match="more than 2 rows"):
        least_squares(np.array([[1.0], [2.0]]), np.array([1.0, 2.0]))
    with pytest.raises(ValueError, match="one for each"):
        least_squares(np.array([[1.0], [2.0], [4.0]]), np.array([1.0, 2.0]))
    with pytest.raises(ValueError, match="rows and columns"):
        inflation(np.array([1.0, 2.0]))
    fit = least_squares(np.array([[1.0], [2.0], [4.0]]), np.array([1.0, 2.0, 5.0]))
    with pytest.raises(ValueError, match="1 regressors"):
        predicted(fit, np.array([1.0, 2.0]))
