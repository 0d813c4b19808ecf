"""How forecasts are marked: known answers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from smokejournal.science.forecast.values import SHARES, CookSoFar
from tests.simulator.judge import Answer, crps_s, marks, newton, rows, straight_line


def _cook(probe: np.ndarray, target_c: float = 60.0) -> CookSoFar:
    times = np.arange(len(probe)) * 30.0
    return CookSoFar(times, np.full(len(probe), 100.0), probe, float(times[-1]), target_c)


def _answer(remaining: np.ndarray | None, came_s: float = 1000.0) -> Answer:
    return Answer(0, "fish", 0.5, came_s, "forecast", remaining, 0.1)


def test_straight_line_goes_straight_on():
    said = straight_line(_cook(20.0 + np.arange(80) * 0.25))  # half a kelvin a minute
    assert said.remaining_s is not None
    assert said.remaining_s[9] == pytest.approx((60.0 - 39.75) * 120.0, rel=0.01)


def test_straight_line_says_nothing_where_it_does_not_rise():
    assert straight_line(_cook(np.full(80, 40.0))).remaining_s is None


def test_newton_follows_its_law():
    k = 1 / 5000.0
    said = newton(_cook(100.0 - 80.0 * np.exp(-k * np.arange(80) * 30.0)))
    now_c = 100.0 - 80.0 * math.exp(-k * 79 * 30.0)
    assert said.remaining_s is not None
    assert said.remaining_s[9] == pytest.approx(math.log((100 - now_c) / 40.0) / k, rel=0.02)


def test_newton_says_nothing_of_a_target_over_the_pit():
    assert newton(_cook(20.0 + np.arange(80) * 0.25, target_c=101.0)).remaining_s is None


def test_crps_of_a_point_is_its_error():
    assert crps_s(np.full(19, 700.0), 1000.0) == pytest.approx(300.0)
    assert crps_s(np.full(19, 1300.0), 1000.0) == pytest.approx(300.0)


def test_crps_of_an_even_spread():
    """Even from 0 to 1, the truth in the middle: 1/12."""
    assert crps_s(SHARES.copy(), 0.5) == pytest.approx(1 / 12, abs=0.005)


def test_no_time_is_a_miss_and_an_error_without_bound():
    good = 1000.0 * (0.5 + SHARES)
    found = marks([_answer(good), _answer(good), _answer(None), _answer(np.full(19, np.inf))])
    assert found.without == 2
    assert found.held == 0.5
    assert found.error == pytest.approx(0.0)
    assert found.error_90 == math.inf
    assert found.width == pytest.approx(0.8)
    assert rows("x", [_answer(None)])[0][3] == "none"


def test_nothing_to_mark():
    with pytest.raises(ValueError, match="no answer"):
        marks([])
