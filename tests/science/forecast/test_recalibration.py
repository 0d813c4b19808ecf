"""A forecast corrected by what came of earlier ones: the textbook's formulas, and what always holds."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from smokejournal.science.forecast.recalibration import (
    GENERIC_BIAS_WORTH,
    GENERIC_SCALE,
    GENERIC_SCALE_WORTH,
    MOMENT_WORTH,
    SCORES,
    recalibrated,
    recalibration,
    score_of,
)
from smokejournal.science.forecast.values import SHARES, Fell, Recalibration
from smokejournal.science.numbers.student import t_quantile

NORMAL = NormalDist()


def cooks(scores: list[float], cut: str = "ribs", way: float = 0.5) -> list[list[Fell]]:
    return [[Fell(cut, way, score)] for score in scores]  # type: ignore[arg-type]


def log_normal(mid_s: float, sd: float) -> np.ndarray:
    return np.asarray(mid_s * np.exp(sd * SCORES))


def members(mid_s: float, sd: float, count: int = 200) -> np.ndarray:
    scores = np.array([NORMAL.inv_cdf((n + 0.5) / count) for n in range(count)])
    return np.asarray(mid_s * np.exp(sd * scores))


def quantiles(remaining_s: np.ndarray) -> np.ndarray:
    ordered = np.sort(remaining_s)
    return ordered[np.ceil(SHARES * len(ordered)).astype(int) - 1]


def test_the_normal_with_conjugate_prior() -> None:
    """Gelman et al., Bayesian Data Analysis, 3rd ed., section 3.3: with n values of mean y and sum of
    squares S about it, mu_n = (k0 mu0 + n y) / (k0 + n), nu_n = nu0 + n and
    nu_n s_n^2 = nu0 s0^2 + S + k0 n / (k0 + n) (y - mu0)^2; the next value is t with nu_n degrees of
    freedom, scale s_n sqrt(1 + 1 / k_n) (section 3.3, posterior predictive)."""
    scores = [0.4, -1.1, 0.9, 2.0, 0.1]
    n = MOMENT_WORTH * len(scores)
    mean = float(np.mean(scores))
    square = MOMENT_WORTH * float(np.sum((np.array(scores) - mean) ** 2))
    k0, nu0 = GENERIC_BIAS_WORTH, GENERIC_SCALE_WORTH
    told = NORMAL.inv_cdf(0.9)
    s0 = GENERIC_SCALE * told / (math.sqrt(1 + 1 / k0) * t_quantile(0.9, nu0))
    by = recalibration("ribs", 0.5, cooks(scores))
    assert by.bias == pytest.approx(n * mean / (k0 + n))
    variance = (nu0 * s0**2 + square + k0 * n / (k0 + n) * mean**2) / (nu0 + n)
    now = math.sqrt(variance * (1 + 1 / (k0 + n))) * t_quantile(0.9, nu0 + n)
    assert by.scale == pytest.approx(now / told)
    assert by.cooks == len(scores)


def test_without_earlier_cooks_it_is_the_generic_one() -> None:
    assert recalibration("ribs", 0.3, []) == Recalibration(0.0, pytest.approx(GENERIC_SCALE), 0)
    assert recalibration("ribs", 0.3, [[], []]) == Recalibration(
        0.0, pytest.approx(GENERIC_SCALE), 0
    )


@pytest.mark.parametrize(("mean", "sd"), [(0.0, 0.5), (0.6, 1.0), (-0.4, 1.6)])
def test_many_cooks_come_to_the_truth(mean: float, sd: float) -> None:
    """And from there on the interval holds 8 times in 10."""
    rng = np.random.default_rng(7)
    past = cooks(list(mean + sd * rng.standard_normal(400)))
    by = recalibration("ribs", 0.5, past)
    assert by.bias == pytest.approx(mean, abs=0.15)
    corrected = quantiles(recalibrated(members(7200.0, 0.3), by))
    came = 7200.0 * np.exp(0.3 * (mean + sd * rng.standard_normal(4000)))
    held = np.mean((corrected[1] <= came) & (came <= corrected[17]))
    # A little less where scores beyond the furthest that counts are many.
    assert 0.73 <= held <= 0.83


@given(st.lists(st.floats(-30.0, 30.0), max_size=20), st.randoms(), st.floats(0.0, 1.0))
@settings(deadline=None, max_examples=50)
def test_order_and_odd_values(scores: list[float], rng, way: float) -> None:
    past = cooks(scores)
    mixed = list(past)
    rng.shuffle(mixed)
    by = recalibration("ribs", way, past)
    assert by == recalibration("ribs", way, mixed)
    assert abs(by.bias) <= 3.0
    assert 0.1 * GENERIC_SCALE < by.scale < 4.0


def test_another_cut_counts_for_less_and_a_far_moment_for_little() -> None:
    own = recalibration("ribs", 0.5, cooks([1.0] * 5))
    other = recalibration("ribs", 0.5, cooks([1.0] * 5, "fish"))
    far = recalibration("ribs", 0.1, cooks([1.0] * 5, way=0.9))
    assert own.bias > 1.5 * other.bias > 0.0
    assert other.bias > far.bias > 0.0


@given(st.floats(-4.0, 4.0), st.floats(600.0, 40_000.0), st.floats(0.02, 0.6))
@settings(deadline=None, max_examples=60)
def test_a_score_is_where_it_falls(score: float, mid_s: float, sd: float) -> None:
    came_s = mid_s * math.exp(sd * score)
    if came_s < 60.0 or mid_s * math.exp(sd * SCORES[0]) < 60.0:
        return
    assert score_of(log_normal(mid_s, sd), came_s) == pytest.approx(score, abs=0.02)


def test_a_forecast_that_told_no_time_has_no_score() -> None:
    never = np.where(SHARES > 0.4, np.inf, 3600.0 * (1 + SHARES))
    assert score_of(never, 4000.0) is None
    partly = np.where(SHARES > 0.8, np.inf, 3600.0 * (1 + SHARES))
    assert score_of(partly, 3600.0 * 1.5) == pytest.approx(0.0, abs=1e-3)


@given(
    st.lists(st.floats(60.0, 90_000.0), min_size=3, max_size=40),
    st.integers(0, 10),
    st.floats(-1.5, 1.5),
    st.floats(0.2, 3.0),
)
@settings(deadline=None, max_examples=80)
def test_members_keep_their_order(
    times: list[float], never: int, bias: float, scale: float
) -> None:
    before = np.array([*times, *([math.inf] * never)])
    after = recalibrated(before, Recalibration(bias, scale, 1))
    order = np.argsort(before, kind="stable")
    assert np.all(np.diff(after[order][np.isfinite(after[order])]) >= -1e-6)
    finite = np.isfinite(after[order])
    assert np.all(finite[:-1] >= finite[1:])
    assert np.all(after > 0.0)
    if bias == 0.0 and scale == 1.0:
        assert np.array_equal(after, before)


def test_a_log_normal_one_is_moved_as_its_parameters_say() -> None:
    after = recalibrated(members(7200.0, 0.3), Recalibration(0.4, 0.5, 3))
    wanted = members(7200.0 * math.exp(0.3 * 0.4), 0.15)
    assert after == pytest.approx(wanted, rel=1e-3)


def test_what_may_never_reach_stays_so() -> None:
    before = np.concatenate([members(7200.0, 0.3, 100), np.full(100, np.inf)])
    assert np.isinf(recalibrated(before, Recalibration(0.0, 0.6, 3))).sum() == 100
    later = recalibrated(before, Recalibration(0.5, 1.0, 3))
    assert np.isinf(later).sum() > 100
