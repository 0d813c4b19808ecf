"""Calibration against the worked example of the GUM, and what any calibration must be."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.probes.calibration import (
    Point,
    allowed_model,
    calibrate,
    drift,
)

#: JCGM 100:2008, table H.6: readings and observed corrections [°C].
READINGS = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
CORRECTIONS = (
    -0.171,
    -0.169,
    -0.166,
    -0.159,
    -0.164,
    -0.165,
    -0.156,
    -0.157,
    -0.159,
    -0.161,
    -0.160,
)


def test_the_guides_thermometer(monkeypatch: pytest.MonkeyPatch) -> None:
    """y1 = -0.1712(29) °C at 20 °C, y2 = 0.00218(67), r = -0.930; at 30 °C -0.1494(41) °C."""
    # Its points lie within 5 K, closer than a cook may take them.
    monkeypatch.setattr("smokejournal.science.probes.calibration.NARROWEST_SLOPE_K", 1.0)
    points = [
        # The example takes its uncertainty from the scatter alone: points far surer than that.
        Point(t, t + b, 1e-5, 1e-5)
        for t, b in zip(READINGS, CORRECTIONS, strict=True)
    ]
    found = calibrate(points, "slope")
    at_20 = found.corrected(20.0) - 20.0
    assert at_20 == pytest.approx(-0.1712, abs=5e-5)
    assert found.sd_k(20.0) == pytest.approx(0.0029, abs=5e-5)
    assert found.slope - 1.0 == pytest.approx(0.00218, abs=5e-6)
    assert found.slope_sd == pytest.approx(0.00067, abs=5e-6)
    r = -(found.middle_c - 20.0) * found.slope_sd / found.sd_k(20.0)
    assert r == pytest.approx(-0.930, abs=5e-4)
    assert found.corrected(30.0) - 30.0 == pytest.approx(-0.1494, abs=5e-5)
    assert found.sd_k(30.0) == pytest.approx(0.0041, abs=5e-5)


def test_ice_alone_gives_an_offset() -> None:
    found = calibrate([Point(0.8, 0.0)])
    assert (found.model, found.slope, found.offset_c) == ("offset", 1.0, -0.8)
    assert found.scatter is None
    assert found.expanded_k(0.8) == pytest.approx(2 * math.hypot(0.05, 0.1))


def test_ice_and_boiling_water_give_a_slope() -> None:
    found = calibrate([Point(0.8, 0.0), Point(99.0, 98.2)])
    assert found.model == "slope"
    assert found.corrected(0.8) == pytest.approx(0.0, abs=1e-9)
    assert found.corrected(99.0) == pytest.approx(98.2, abs=1e-9)
    # Surest between the points, less and less sure beyond them.
    assert found.sd_k(50.0) < found.sd_k(0.8) < found.sd_k(-60.0)
    assert found.worst_expanded_k == pytest.approx(2 * Point(0, 0).sd_k, rel=0.01)


def test_points_that_do_not_fit_a_line_make_it_less_sure() -> None:
    good = calibrate([Point(0.0, 0.0), Point(50.0, 50.0), Point(100.0, 100.0)])
    bad = calibrate([Point(0.0, 0.0), Point(50.0, 51.5), Point(100.0, 100.0)])
    assert good.scatter is not None
    assert good.scatter < 1e-6
    assert bad.scatter is not None
    assert bad.scatter > 5.0
    assert bad.sd_k(50.0) == pytest.approx(good.sd_k(50.0) * bad.scatter, rel=1e-6)


readings = st.floats(-20, 150)
errors = st.floats(-2, 2)


@given(st.lists(st.tuples(readings, errors), min_size=1, max_size=6))
def test_a_correction_stays_within_what_the_points_say(points: list[tuple[float, float]]) -> None:
    found = calibrate([Point(r, r - e) for r, e in points], "offset")
    said = [-e for _, e in points]
    assert min(said) - 1e-9 <= found.offset_c <= max(said) + 1e-9


@given(st.floats(0.95, 1.05), st.floats(-2, 2), st.lists(readings, min_size=2, max_size=6))
def test_a_straight_line_is_found_again(slope: float, offset: float, at: list[float]) -> None:
    assume(max(at) - min(at) >= 30.0)
    found = calibrate([Point(r, slope * r + offset) for r in at])
    assert found.slope == pytest.approx(slope, abs=1e-9)
    assert found.offset_c == pytest.approx(offset, abs=1e-7)


@given(st.floats(-5, 5), st.floats(-5, 5))
def test_fahrenheit_gives_the_same_physical_answer(low: float, high: float) -> None:
    def f(c: float) -> float:
        return c * 1.8 + 32.0

    plain = calibrate([Point(low, 0.0), Point(100.0 + high, 100.0)])
    back = [(f(low) - 32.0) / 1.8, (f(100.0 + high) - 32.0) / 1.8]
    again = calibrate([Point(back[0], 0.0), Point(back[1], 100.0)])
    assert again.corrected(63.0) == pytest.approx(plain.corrected(63.0), abs=1e-9)


def test_a_slope_needs_points_that_lie_apart() -> None:
    assert allowed_model([Point(0.0, 0.0)]) == "offset"
    assert allowed_model([Point(0.0, 0.0), Point(29.0, 29.0)]) == "offset"
    assert allowed_model([Point(0.0, 0.0), Point(30.0, 30.0)]) == "slope"
    with pytest.raises(ValueError, match="30 K or more apart"):
        calibrate([Point(0.0, 0.0), Point(20.0, 20.0)], "slope")
    with pytest.raises(ValueError, match="at least one"):
        calibrate([])


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([Point(float("nan"), 0.0)], "reading of point 1: from -60 to 500 °C"),
        ([Point(0.0, 0.0), Point(212.0, 100.0)], "error of point 2: from -30 to 30 K"),
        ([Point(0.0, 0.0, 0.0, 0.0)], "uncertainty of point 1"),
        ([Point(0.0, 0.0), Point(70.0, 98.0)], "slope: from 0.9 to 1.1"),
    ],
)
def test_what_is_mistyped_is_named(points: list[Point], words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        calibrate(points)


def test_drift_is_what_both_uncertainties_do_not_explain() -> None:
    old = calibrate([Point(0.1, 0.0), Point(100.0, 100.0)])
    same = drift(old, calibrate([Point(0.0, 0.0), Point(100.1, 100.0)]))
    assert same is not None
    assert not same.has_drifted
    moved = drift(old, calibrate([Point(0.1, 0.0), Point(101.5, 100.0)]))
    assert moved is not None
    assert moved.has_drifted
    assert moved.at_c == pytest.approx(100.0, abs=1.6)
    assert moved.change_k == pytest.approx(-1.5, abs=0.05)
    # Ice once and boiling water once have nothing to say to each other.
    assert drift(calibrate([Point(0.0, 0.0)]), calibrate([Point(99.0, 100.0)])) is None
