"""How earlier cooks went on from here: the textbook's formulas, what always holds, and examples by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.science.forecast.earlier_courses import (
    COURSE_SD,
    PIT_WITHIN_K,
    Drawn,
    course_of,
    drawn,
    drawn_by,
    left_s,
)
from smokejournal.science.forecast.forecast import forecast, forecasts
from smokejournal.science.forecast.meat_record import MeatRecord, clean
from smokejournal.science.forecast.recalibration import SCORES
from smokejournal.science.forecast.values import CookSoFar, Forecast, Leg, PitPrior, ProbeCourse

HOUR = 3600.0


def log_normal(mid_s: float, sd: float) -> np.ndarray:
    """A forecast (19,) at SHARES."""
    return np.asarray(mid_s * np.exp(sd * SCORES))


def course(hours: float = 4.0, **other: object) -> ProbeCourse:
    """From 10 to 95 °C in a straight line."""
    made = ProbeCourse("shoulder", (10.0, 95.0), (0.0, 8.5 * hours * HOUR / 4.0), 110.0)
    return replace(made, **other)  # type: ignore[arg-type]


def cook(until_c: float = 55.0, slope_k_h: float = 10.0, *, pit_c: float = 110.0) -> CookSoFar:
    """A probe that rises in a straight line from 10 °C."""
    time_s = np.arange(0.0, (until_c - 10.0) / slope_k_h * HOUR + 1.0, 30.0)
    probe_c = 10.0 + slope_k_h * time_s / HOUR
    pit = np.full(len(time_s), pit_c)
    now_s = float(time_s[-1])
    return CookSoFar(time_s, pit, probe_c, now_s, 95.0, "shoulder", start_s=0.0)


def record(so_far: CookSoFar | None = None) -> MeatRecord:
    found = clean(so_far or cook())
    assert found is not None
    return found


def by(courses: list[ProbeCourse], remaining_s: np.ndarray, **other: object) -> Drawn:
    so_far = replace(cook(), **other)  # type: ignore[arg-type]
    return drawn_by(courses, so_far, record(), None, remaining_s)


def middle_s(said: Forecast) -> float:
    assert said.remaining_s is not None
    return float(said.remaining_s[9])


# -- published ------------------------------------------------------------------------------------


@given(st.floats(0.05, 1.2), st.floats(-0.6, 0.6), st.integers(1, 6))
def test_two_normals_by_their_precisions(sd: float, apart: float, cooks: int) -> None:
    """Gelman et al., Bayesian Data Analysis, 3rd ed., section 2.5, equations 2.9 and 2.10: the precisions
    add up, and the mean is weighted by them. Of n earlier cooks the next one differs by 1 + 1/n variances
    from their mean (section 2.5 again, posterior predictive, with a flat prior on the mean)."""
    told_s = 4 * HOUR
    remaining_s = log_normal(told_s * math.exp(-apart), sd)
    found = by([course()] * cooks, remaining_s)
    assert found.took_s == pytest.approx([told_s] * cooks, rel=2e-3)
    own, other = 1.0 / sd**2, 1.0 / (COURSE_SD**2 * (1.0 + 1.0 / cooks))
    mean = (own * math.log(remaining_s[9]) + other * math.log(told_s)) / (own + other)
    assert math.log(remaining_s[9]) + found.shift == pytest.approx(mean, abs=2e-3)
    assert found.narrowed * sd == pytest.approx((own + other) ** -0.5, rel=2e-3)


# -- what always holds ----------------------------------------------------------------------------

remaining = st.lists(st.floats(1.0, 1e5) | st.just(math.inf), min_size=3, max_size=40)


@given(remaining, st.floats(-1, 1), st.floats(0.2, 1), st.floats(60.0, 5e4))
def test_members_keep_their_order_and_never_stays_never(
    times: list[float], shift: float, narrowed: float, middle_s: float
) -> None:
    before = np.sort(np.array(times))
    after = drawn(before, middle_s, Drawn(shift, narrowed, (HOUR, HOUR)))
    assert np.array_equal(np.isinf(before), np.isinf(after))
    later = after[before > 30.0]
    assert (np.diff(later[np.isfinite(later)]) >= 0.0).all()
    assert (after >= 0.0).all()


@given(st.permutations([2.0, 3.0, 5.5, 4.0]))
def test_the_order_of_cooks_does_not_matter(hours: list[float]) -> None:
    remaining_s = log_normal(3 * HOUR, 0.3)
    assert by([course(h) for h in hours], remaining_s) == by(
        [course(h) for h in sorted(hours)], remaining_s
    )


@given(st.floats(0.1, 60.0), st.floats(0.05, 2.0))
def test_it_goes_toward_them_and_no_further(hours: float, sd: float) -> None:
    remaining_s = log_normal(4 * HOUR, sd)
    found = by([course(hours)], remaining_s)
    gap = math.log(hours / 4.0)
    assert found.shift * gap >= -1e-9
    assert abs(found.shift) <= min(abs(gap) + 1e-3, 1.0)
    assert 0.0 < found.narrowed < 1.0


# -- examples -------------------------------------------------------------------------------------


def test_a_course_is_read_off_as_it_was() -> None:
    found = course_of(cook(95.0), record(cook(95.0)), "paper")
    assert found is not None
    assert (found.cut, found.wrap, found.pit_c) == ("shoulder", "paper", 110.0)
    assert found.probe_c[0] == pytest.approx(10.0, abs=0.2)
    assert found.probe_c[-1] == pytest.approx(95.0, abs=0.2)
    assert 40 < len(found.probe_c) < 50
    for at_c, target_c in ((30.0, 95.0 - 0.3), (11.0, 60.0), (71.3, 72.4)):
        took_s = left_s(found, at_c, target_c)
        assert took_s == pytest.approx((target_c - at_c) / 10.0 * HOUR, abs=60.0)


def test_a_dip_on_the_way_costs_the_time_that_it_took() -> None:
    """A lid, a wrap: it counts from when the probe was first as warm."""
    so_far = cook(90.0)
    hours = so_far.time_s / HOUR
    probe_c = np.interp(hours, [0.0, 5.0, 5.2, 5.4, 5.5, 8.5], [10.0, 60.0, 58.5, 58.5, 60.0, 90.0])
    found = course_of(so_far, record(replace(so_far, probe_c=probe_c)), None)
    assert found is not None
    assert left_s(found, 59.0, 70.0) == pytest.approx(1.6 * HOUR, abs=120.0)
    assert left_s(found, 62.0, 70.0) == pytest.approx(0.8 * HOUR, abs=120.0)


def test_only_what_it_was_at_is_told() -> None:
    taken_off_at_90 = course(probe_c=(10.0, 90.0))
    assert left_s(taken_off_at_90, 50.0, 90.0) is not None
    assert left_s(taken_off_at_90, 50.0, 95.0) is None
    put_in_warm = course(probe_c=(60.0, 95.0))
    assert left_s(put_in_warm, 50.0, 95.0) is None
    assert left_s(course(), 95.0, 95.0) is None


@pytest.mark.parametrize(
    "unlike",
    [
        {"cut": "ribs"},
        {"wrap": "foil"},
        {"pit_c": 110.0 + PIT_WITHIN_K + 1.0},
        {"probe_c": (10.0, 90.0)},
    ],
)
def test_what_is_unlike_changes_nothing(unlike: dict[str, object]) -> None:
    remaining_s = log_normal(3 * HOUR, 0.4)
    assert by([course(**unlike)], remaining_s) == Drawn()
    assert by([course(), course(**unlike)], remaining_s) == by([course()], remaining_s)
    members = np.array([1.0, 2.0, 3.0]) * HOUR
    assert np.array_equal(drawn(members, 2 * HOUR, Drawn()), members)


def test_a_bigger_piece_takes_longer() -> None:
    """Fourier number (Carslaw and Jaeger, 1959): as the square of the thickness, or the mass ^ (2/3)."""
    remaining_s = log_normal(4 * HOUR, 0.4)
    plain = by([course()], remaining_s).took_s[0]
    heavier = by([course(mass_kg=2.0)], remaining_s, mass_kg=3.0).took_s[0]
    assert heavier == pytest.approx(plain * 1.5 ** (2 / 3))
    thicker = by([course(mass_kg=2.0, thickness_m=0.1)], remaining_s, mass_kg=9.0, thickness_m=0.11)
    assert thicker.took_s[0] == pytest.approx(plain * 1.21)
    assert by([course(mass_kg=2.0)], remaining_s).took_s == (plain,)
    assert by([course(mass_kg=2.0)], remaining_s, mass_kg=4.1) == Drawn()
    assert by([course(mass_kg=2.0)], remaining_s, mass_kg=0.9) == Drawn()


def test_it_reaches_the_forecast_and_leaves_what_a_plan_changes() -> None:
    so_far = cook(75.0, 8.0)
    plans = [(), (Leg(pit_c=135.0, until_probe_c=95.0),)]
    alone = forecasts(so_far, plans)
    slow = course(12.0)
    told = PitPrior(courses=(slow, slow, slow))
    drawn_on = forecasts(replace(so_far, prior=told), plans)
    for before, after in zip(alone, drawn_on, strict=True):
        assert (len(before.courses_s), len(after.courses_s)) == (0, 3)
    middle = [[middle_s(one) for one in both] for both in (alone, drawn_on)]
    assert middle[1][0] > 1.1 * middle[0][0]
    # A hotter pit saves the same share as before.
    assert middle[1][1] / middle[1][0] == pytest.approx(middle[0][1] / middle[0][0], rel=0.02)


def test_a_finished_cook_hands_its_course_on() -> None:
    found = forecast(cook(94.9)).found
    assert found is not None
    assert found.course is not None
    assert found.course.cut == "shoulder"
    assert found.course.probe_c[-1] == pytest.approx(94.9, abs=0.3)
