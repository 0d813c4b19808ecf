"""What a difference between two probes means in minutes, against exact conduction."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.science.forecast.finish_shift import FLAT_K_H, finish_shift, offsets_for
from smokejournal.science.forecast.forecast import crossings, forecast
from smokejournal.science.forecast.values import CookSoFar, FloatArray, Forecast, SetPoint
from smokejournal.science.heat.conduction_series import Shape
from tests.support.conduction_exact import Bath, single, temperature_c, time_to_s

#: A dry body in air of 82.2 °C (180 °F), to 65.6 °C (150 °F), with 2.2 K (4 °F) between two probes.
BATH = Bath(4.0, 82.2, 18.0)
TARGET_C, OFFSET_K = 65.6, 2.2
BODIES: list[tuple[Shape, float]] = [
    ("slab", 0.015),
    ("cylinder", 0.030),
    ("cylinder", 0.045),
    ("sphere", 0.060),
]


def exact_s(shape: Shape, radius_m: float, offset_k: float) -> float:
    """When the middle is at the target + `offset_k`."""
    return time_to_s(single(shape, radius_m, 0.48, 1.32e-7), BATH, TARGET_C + offset_k)


def shift_of(offset_k: float, sd_k: float, crossing) -> tuple[float, float, float]:
    """By members whose crossings are `crossing(offset)`, (m,)."""
    offsets = offsets_for(offset_k, sd_k)
    found = finish_shift(offset_k, sd_k, offsets, np.array([crossing(o) for o in offsets]))
    assert found.span_s is not None
    return found.span_s


@pytest.mark.parametrize(("shape", "radius_m"), BODIES)
def test_both_ways_as_the_exact_series_has_it(shape: Shape, radius_m: float) -> None:
    """Carslaw and Jaeger's series, by `conduction_exact`."""

    def crossing(offset_k: float) -> FloatArray:
        return np.array([exact_s(shape, radius_m, offset_k)])

    later = shift_of(OFFSET_K, 0.0, crossing)
    sooner = shift_of(-OFFSET_K, 0.0, crossing)
    # Once only the first term is left, the time goes by the logarithm of what is missing to the air,
    # whatever the shape: the way up takes longer than the way down.
    left_k = BATH.air_c - TARGET_C
    up, down = math.log(left_k / (left_k - OFFSET_K)), math.log((left_k + OFFSET_K) / left_k)
    assert later[1] / -sooner[1] == pytest.approx(up / down, rel=1e-3)
    assert 8.0 < later[1] / 60.0 < 16.0
    # One slope, taken at the target, gives what lies between the two.
    slope = 0.2 / (exact_s(shape, radius_m, 0.1) - exact_s(shape, radius_m, -0.1))
    assert -sooner[1] < OFFSET_K / slope < later[1]


@pytest.mark.parametrize(("shape", "radius_m"), BODIES)
def test_what_the_correction_may_be_off_widens_it(shape: Shape, radius_m: float) -> None:
    """With one course only, the 80 % interval is the way to the offset ± 1.28 deviations."""
    low, mid, high = shift_of(OFFSET_K, 0.35, lambda o: np.array([exact_s(shape, radius_m, o)]))
    base = exact_s(shape, radius_m, 0.0)
    for told, z in ((low, -1.2816), (mid, 0.0), (high, 1.2816)):
        exact = exact_s(shape, radius_m, OFFSET_K + z * 0.35) - base
        assert told == pytest.approx(exact, rel=0.04)


def cook_of(shape: Shape, radius_m: float, until_c: float) -> CookSoFar:
    """Readings of such a body up to `until_c`, every minute, without noise."""
    solid = single(shape, radius_m, 0.48, 1.32e-7)
    now_s = time_to_s(solid, BATH, until_c)
    time_s = np.arange(60.0, now_s, 60.0)
    probe = np.array([temperature_c(solid, BATH, float(t)) for t in time_s])
    return CookSoFar(
        time_s,
        np.full(time_s.size, BATH.air_c),
        probe,
        now_s,
        TARGET_C,
        start_s=0.0,
        set_points=(SetPoint(0.0, BATH.air_c),),
    )


def test_the_members_of_a_forecast_hold_what_is_exact() -> None:
    """From readings alone, in a body that dries as little as no member expects: most of them slow down
    on the way, so that their interval is wide and lies above."""
    shape, radius_m = "cylinder", 0.030
    cook = cook_of(shape, radius_m, 62.0)
    offsets = np.unique([offsets_for(OFFSET_K, 0.35), offsets_for(-OFFSET_K, 0.35)])
    found = crossings(cook, offsets)
    assert found is not None
    # Each member goes one course: what is hotter is later.
    assert np.all(np.diff(found, axis=0) >= 0.0)
    base_s = _middle(forecast(cook))
    for offset_k in (OFFSET_K, -OFFSET_K):
        shift = finish_shift(offset_k, 0.35, offsets, found)
        assert shift.span_s is not None
        low, mid, high = shift.span_s
        exact = exact_s(shape, radius_m, offset_k) - exact_s(shape, radius_m, 0.0)
        assert low <= exact <= high
        assert high - low < 3.0 * abs(exact)
        # A forecast by the other probe's readings says no other thing.
        between = _middle(forecast(replace(cook, probe_c=cook.probe_c - offset_k))) - base_s
        assert low <= between <= high
        assert between * mid > 0.0


def test_from_where_it_is_reached_already() -> None:
    """The followed probe is there; by the other one, which reads lower, it takes as long again as the
    exact course does, to within the 80 % interval."""
    cook = cook_of("sphere", 0.060, TARGET_C + 0.05)
    offsets = offsets_for(OFFSET_K, 0.35)
    found = crossings(cook, offsets)
    assert found is not None
    shift = finish_shift(OFFSET_K, 0.35, offsets, found)
    assert shift.span_s is not None
    exact = exact_s("sphere", 0.060, OFFSET_K) - exact_s("sphere", 0.060, 0.05)
    assert shift.span_s[0] <= exact <= shift.span_s[2]


def _middle(found: Forecast) -> float:
    assert found.reach_s is not None
    return float(np.median(found.reach_s))


def test_nothing_to_fit_no_crossings() -> None:
    nothing = np.empty(0)
    assert crossings(CookSoFar(nothing, nothing, nothing, 0.0, 70.0), np.zeros(1)) is None


paces = st.lists(st.floats(1.0, 60.0), min_size=1, max_size=12)


class TestProperties:
    """Members that rise evenly, each at its pace [K/h]."""

    @given(paces, st.floats(0.0, 5.0), st.floats(0.0, 5.0), st.floats(0.0, 1.0))
    def test_a_bigger_offset_is_no_smaller_shift(
        self, paces: list[float], one: float, more: float, sd_k: float
    ) -> None:
        pace = np.array(paces)
        small = shift_of(one, sd_k, lambda o: 9000.0 + 3600.0 * o / pace)
        big = shift_of(one + more, sd_k, lambda o: 9000.0 + 3600.0 * o / pace)
        assert all(b >= s - 1e-6 for b, s in zip(big, small, strict=True))

    @given(paces, st.floats(0.01, 5.0), st.floats(0.0, 1.0))
    def test_the_sign(self, paces: list[float], offset_k: float, sd_k: float) -> None:
        pace = np.array(paces)
        low, mid, high = shift_of(offset_k, sd_k, lambda o: 9000.0 + 3600.0 * o / pace)
        assert mid > 0.0
        assert low <= mid <= high
        down = shift_of(-offset_k, sd_k, lambda o: 9000.0 + 3600.0 * o / pace)
        assert down[1] < 0.0
        assert down[0] <= down[1] <= down[2]

    @given(paces)
    def test_no_offset_no_shift(self, paces: list[float]) -> None:
        pace = np.array(paces)
        assert shift_of(0.0, 0.0, lambda o: 9000.0 + 3600.0 * o / pace) == (0.0, 0.0, 0.0)
        low, mid, high = shift_of(0.0, 0.5, lambda o: 9000.0 + 3600.0 * o / pace)
        assert mid == 0.0
        assert low <= 0.0 <= high

    @given(
        st.floats(-5.0, 5.0),
        st.floats(0.0, 2.0),
        st.lists(st.lists(st.floats(0.0, 1e6) | st.just(math.inf), min_size=4, max_size=4)),
    )
    def test_whatever_comes_no_endless_time(
        self, offset_k: float, sd_k: float, courses: list[list[float]]
    ) -> None:
        offsets = offsets_for(offset_k, sd_k)
        if not courses:
            return
        crossing = np.array([sorted(course)[: offsets.size] for course in courses]).T
        found = finish_shift(offset_k, sd_k, offsets, crossing)
        assert (found.span_s is None) == bool(found.why)
        if found.span_s is not None:
            assert all(map(math.isfinite, found.span_s))
            assert list(found.span_s) == sorted(found.span_s)


def test_a_flat_course_tells_no_minutes() -> None:
    offsets = offsets_for(1.0, 0.3)
    pace = np.full(20, 0.8 * FLAT_K_H)
    found = finish_shift(1.0, 0.3, offsets, 3600.0 * (10.0 + offsets[:, None] / pace))
    assert found.span_s is None
    assert found.why == "flat"
    assert found.pace_k_h == pytest.approx(0.8 * FLAT_K_H)


def test_a_target_that_few_get_past_tells_none_either() -> None:
    offsets = offsets_for(1.0, 0.0)
    level = np.array([np.full(20, 3600.0), np.where(np.arange(20) < 15, 5400.0, np.inf)])
    assert finish_shift(1.0, 0.0, offsets, level).why == "beyond"
    never = np.full((2, 20), np.inf)
    assert finish_shift(1.0, 0.0, offsets, never).why == "beyond"


@pytest.mark.parametrize("wrong", [math.nan, math.inf, -0.1])
def test_what_is_no_number_is_refused(wrong: float) -> None:
    with pytest.raises(ValueError, match="sd_k"):
        finish_shift(1.0, wrong, np.array([0.0, 1.0]), np.zeros((2, 3)))
    with pytest.raises(ValueError, match="ascending"):
        finish_shift(1.0, 0.1, np.array([0.0, 2.0]), np.zeros((2, 3)))
    with pytest.raises(ValueError, match="one row"):
        finish_shift(1.0, 0.1, np.array([0.0, 1.0]), np.zeros((3, 3)))
