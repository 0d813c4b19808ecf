"""Spoilt records: nothing raised, no time without an interval, never done by a probe in the air.

The steps are coarser here than in use, for speed; `python -m tests.bench mutations` goes through 5,000
with those of use.
"""

from __future__ import annotations

import numpy as np
import pytest

from smokejournal.science.forecast import fitted as module
from smokejournal.science.forecast.forecast import forecast
from smokejournal.science.forecast.values import CookSoFar, Forecast
from tests.simulator.mutations import KINDS, faults, mutated, shorter


@pytest.fixture(autouse=True)
def coarse(monkeypatch):
    monkeypatch.setattr(module, "_MOST_STEPS", 40)


@pytest.mark.parametrize("group", range(6))
def test_a_spoilt_record_is_answered_decently(group):
    for seed in range(10 * group, 10 * group + 10):
        case = mutated(seed)
        assert not faults(case, forecast), (seed, case.how)


def test_every_way_of_spoiling_is_among_them():
    assert {mutated(seed).how[0] for seed in range(60)} == set(KINDS)


def test_one_reading_is_no_forecast():
    one = np.array([0.0])
    assert forecast(CookSoFar(one, one + 100.0, one + 5.0, 0.0, 60.0)).standing == "no_readings"


def test_what_was_read_half_a_day_ago_says_nothing_of_now():
    times = np.arange(60) * 30.0
    cook = CookSoFar(times, np.full(60, 100.0), 5.0 + times / 60.0, 13 * 3600.0, 60.0, "fish")
    said = forecast(cook)
    assert said.standing == "no_readings"
    assert said.remaining_s is None


def test_faults_are_found_and_made_small():
    """What looks for faults, tried on forecasters that have them."""
    case = mutated(2)

    def falling(cook: CookSoFar) -> Forecast:
        return Forecast("forecast", cook.now_s, np.arange(19.0)[::-1])

    def raising(cook: CookSoFar) -> Forecast:
        if len(cook.time_s) >= 3:
            raise KeyError("x")
        return Forecast("no_readings", cook.now_s)

    assert faults(case, falling) == ["quantiles fall"]
    assert faults(case, raising)[0].startswith("raised KeyError")
    assert len(shorter(case, raising).cook.time_s) == 3
    assert faults(case, lambda cook: Forecast("forecast", cook.now_s))
    air = next(c for c in map(mutated, range(40)) if c.air)
    assert faults(air, lambda cook: Forecast("reached", cook.now_s))
