"""In which part of its forecast each thing came."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.learning.came_in import FEW, share_before, tenths, tenths_words
from smokejournal.cook.log.entries import ForecastMade

NORMAL = NormalDist()
END = NORMAL.inv_cdf(0.9)


def told(mid_s: float, below: float, above: float, made_s: float = 1e9) -> ForecastMade:
    """A forecast whose logarithm is normal, with another spread on either side of its middle."""
    moments = (mid_s * math.exp(-below * END), mid_s, mid_s * math.exp(above * END))
    return ForecastMade("meat", 93.0, "forecast", *(made_s + s for s in moments))


@given(st.floats(-3.0, 3.0), st.floats(0.05, 0.8), st.floats(0.05, 0.8))
def test_the_share_is_that_of_the_distribution(score: float, below: float, above: float) -> None:
    mid_s = 20_000.0
    came_s = 1e9 + mid_s * math.exp(score * (below if score < 0 else above))
    share = share_before(1e9, told(mid_s, below, above), came_s)
    assert share == pytest.approx(NORMAL.cdf(score), abs=1e-4)


def test_the_three_moments_that_are_told() -> None:
    made = told(7200.0, 0.2, 0.4)
    for came_s, share in zip((made.low_s, made.mid_s, made.high_s), (0.1, 0.5, 0.9), strict=True):
        assert came_s is not None
        assert share_before(1e9, made, came_s) == pytest.approx(share)


def test_what_was_left_open_is_not_made_up() -> None:
    made = ForecastMade("meat", 93.0, "may_not_reach", 1e9 + 3600.0, 1e9 + 7200.0, None)
    assert share_before(1e9, made, 1e9 + 3600.0) == pytest.approx(0.1)
    assert share_before(1e9, made, 1e9 + 9000.0) is None
    assert share_before(1e9, ForecastMade("meat", 93.0, "may_not_reach"), 1e9 + 60.0) is None


def test_a_forecast_of_one_moment() -> None:
    made = ForecastMade("meat", 93.0, "forecast", 1e9 + 60.0, 1e9 + 60.0, 1e9 + 60.0)
    assert share_before(1e9, made, 1e9 + 30.0) == 0.0
    assert share_before(1e9, made, 1e9 + 60.0) == 0.5
    assert share_before(1e9, made, 1e9 + 90.0) == 1.0


@given(st.lists(st.floats(0.0, 1.0), max_size=60))
def test_every_share_is_in_one_tenth(shares: list[float]) -> None:
    counts = tenths(shares)
    assert len(counts) == 10
    assert sum(counts) == len(shares)
    assert counts[0] == sum(share < 0.1 for share in shares)


@pytest.mark.parametrize(
    ("counts", "said"),
    [
        ((1, 0, 0, 2, 0, 0, 0, 0, 0, 0), "Too few moments (3)"),
        ((4,) * 10, "about as often in each tenth, as it should (40 moments)"),
        ((12, 2, 2, 2, 2, 2, 2, 2, 2, 12), "24 of 40 came in the first or last tenth"),
        ((0, 0, 0, 10, 10, 10, 10, 0, 0, 0), "40 of 40 came in the four tenths in the middle"),
        ((2, 9, 9, 9, 8, 1, 1, 1, 0, 0), "37 of 40 came in the earlier half: forecasts ran late"),
        ((0, 0, 1, 1, 1, 8, 9, 9, 9, 2), "37 of 40 came in the later half: forecasts ran early"),
    ],
)
def test_in_words(counts: tuple[int, ...], said: str) -> None:
    assert said in tenths_words(counts)


def test_right_forecasts_are_seldom_called_anything_else() -> None:
    rng = np.random.default_rng(3)
    right = [
        "as it should" in tenths_words(tenths(list(rng.uniform(size=4 * FEW)))) for _ in range(200)
    ]
    assert np.mean(right) > 0.9
