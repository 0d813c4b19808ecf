"""Thermistors against data sheets and worked examples."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.probes.thermistor import (
    SteinhartHart,
    beta_curve,
    beta_k,
    counts_share,
    divider_ohm,
    divider_share,
    fit,
)
from tests.reference.tables import rows

#: A module's data sheet (set SH6 of the table).
SHEET = SteinhartHart(1.129148e-3, 2.341250e-4, 8.767410e-8)


def coefficients(example: str) -> SteinhartHart:
    found = {
        row["coefficient"]: float(row["solved_or_given_value_per_K"])
        for row in rows("thermistor_steinhart_hart_coefficients")
        if row["example"] == example
    }
    return SteinhartHart(found["A"], found["B"], found["C"])


@pytest.mark.parametrize("example", ["SH1", "SH3"])
def test_three_points_give_the_published_coefficients(example: str) -> None:
    points = [
        (float(r["resistance_ohm"]), float(r["t_published_degC"]))
        for r in rows("thermistor_steinhart_hart_points")
        if r["example"] == example and r["role"] == "fit point"
    ]
    found = fit([r for r, _ in points], [t for _, t in points])
    wanted = coefficients(example)
    assert (found.curve.a, found.curve.b, found.curve.c) == pytest.approx(
        (wanted.a, wanted.b, wanted.c), rel=2e-9
    )
    assert found.worst_k < 1e-6


@pytest.mark.parametrize("example", ["SH1", "SH3", "SH6"])
def test_resistance_to_temperature(example: str) -> None:
    curve = coefficients(example)
    for row in rows("thermistor_steinhart_hart_points"):
        if row["example"] == example:
            t_c = float(row["t_from_equation_degC"])
            assert curve.temperature_c(float(row["resistance_ohm"])) == pytest.approx(t_c, abs=6e-5)


def test_a_set_that_goes_about_is_not_for_a_10_kilo_ohm_probe() -> None:
    """c1 = 1.009249522e-3, widely copied: 24.68 °C and not 25 °C at 10 kilo-ohm."""
    copied = SteinhartHart(1.009249522e-3, 2.378405444e-4, 2.019202697e-7)
    assert copied.temperature_c(10_000.0) == pytest.approx(24.68, abs=0.005)


def test_beta_examples() -> None:
    for row in rows("thermistor_beta_examples"):
        r1, t1 = float(row["r1_or_r25_ohm"]), float(row["t1_degC"])
        if row["task"].startswith("beta"):
            found = beta_k(r1, t1, float(row["r2_ohm"]), float(row["t2_degC"]))
            assert found == pytest.approx(float(row["beta_K"]), abs=6e-4)
        else:
            curve = beta_curve(float(row["beta_K"]), r1)
            ohm, t_c = float(row["resistance_ohm"]), float(row["t_degC"])
            if ohm > 0.1:
                assert curve.temperature_c(ohm) == pytest.approx(t_c, abs=6e-4)
                assert curve.resistance_ohm(t_c) == pytest.approx(ohm, rel=1e-5, abs=6e-4)


def test_divider_examples() -> None:
    for row in rows("thermistor_divider_examples"):
        fixed, ohm = float(row["fixed_resistor_ohm"]), float(row["thermistor_ohm"])
        high = row["circuit"].startswith("fixed resistor to supply")
        share = divider_share(ohm, fixed, fixed_to_supply=high)
        assert share * float(row["supply_V"]) == pytest.approx(float(row["midpoint_V"]), abs=6e-7)
        assert round(share * 4096) == pytest.approx(float(row["adc_counts_12bit"]), abs=1)
        assert divider_ohm(share, fixed, fixed_to_supply=high) == pytest.approx(ohm, rel=1e-9)


def test_more_points_than_needed_are_weighed_against_each_other() -> None:
    t_c = [0.0, 20.0, 40.0, 60.0, 80.0, 100.0]
    ohm = [SHEET.resistance_ohm(t) for t in t_c]
    found = fit(ohm, t_c)
    assert found.worst_k < 1e-6
    # One point 0.5 K off is seen, and the curve gives way less than by that.
    bent = fit(ohm, [0.0, 20.0, 40.5, 60.0, 80.0, 100.0])
    assert 0.2 < bent.worst_k < 0.5
    assert abs(bent.curve.temperature_c(ohm[2]) - 40.0) < 0.3


@given(st.floats(-40, 250))
def test_there_and_back(t_c: float) -> None:
    assert SHEET.temperature_c(SHEET.resistance_ohm(t_c)) == pytest.approx(t_c, abs=1e-6)
    curve = beta_curve(3950.0, 10_000.0)
    assert curve.temperature_c(curve.resistance_ohm(t_c)) == pytest.approx(t_c, abs=1e-6)


@given(st.floats(-40, 249), st.floats(0.01, 1))
def test_hotter_resists_less(t_c: float, step: float) -> None:
    assert SHEET.resistance_ohm(t_c + step) < SHEET.resistance_ohm(t_c)


@given(st.lists(st.floats(-20, 200), min_size=3, max_size=6, unique=True))
def test_a_fit_does_not_depend_on_the_order_of_its_points(t_c: list[float]) -> None:
    ordered = sorted(t_c)
    assume(min(b - a for a, b in itertools.pairwise(ordered)) > 5)
    ohm = [SHEET.resistance_ohm(t) for t in t_c]
    back = fit([SHEET.resistance_ohm(t) for t in ordered], ordered)
    middle = SHEET.resistance_ohm(sum(t_c) / len(t_c))
    assert fit(ohm, t_c).curve.temperature_c(middle) == pytest.approx(
        back.curve.temperature_c(middle), abs=1e-5
    )


@pytest.mark.parametrize(
    ("ohm", "t_c", "words"),
    [
        ([1e4, 5e3], [25, 45], "at least three"),
        ([1e4, 1e4, 5e3], [25, 25, 45], "three different"),
        ([2.5e4, 1e4, 4e3], [45, 25, 5], "must fall"),
        ([2.5e4, -1.0, 4e3], [5, 25, 45], "resistance of point 2"),
        ([2.5e4, 1e4, 4e3], [5, 25, 4500], "temperature of point 3"),
    ],
)
def test_points_that_make_no_curve(ohm: list[float], t_c: list[float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        fit(ohm, t_c)


@pytest.mark.parametrize("counts", [0.0, -1.0, 4095.0, 5000.0, math.nan])
def test_a_converter_at_its_end_says_nothing(counts: float) -> None:
    with pytest.raises(OutOfRange, match="counts: from"):
        counts_share(counts, 4096.0)
    assert counts_share(2048.0, 4096.0) == 0.5


@pytest.mark.parametrize("share", [0.0, 1.0, -0.1, math.nan])
def test_an_open_or_shorted_divider_is_refused(share: float) -> None:
    with pytest.raises(OutOfRange, match="share of the supply"):
        divider_ohm(share, 10_000.0)
