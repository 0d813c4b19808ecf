"""The forecast as a fan on the score: its edges, where it ends, and when there is none."""

from __future__ import annotations

import numpy as np
import pytest

from smokejournal.cook.forecast.cook_so_far import ForecastInput
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.score.fan import fan_of
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.science.forecast.values import SHARES, CookSoFar, Fan, Forecast, Standing

NOW_S = 1_780_000_000.0
HOUR_S = 3600.0


def record(begun_s: float = NOW_S - 6 * HOUR_S) -> ForecastInput:
    none = np.empty(0)
    cook = CookSoFar(none, none, none, NOW_S, 93.0)
    return ForecastInput(
        cook,
        Channel("a", "Thick end"),
        Channel("pit", "Grate", role="pit"),
        (),
        0,
        100,
        first_s=begun_s,
    )


def forecast(hours: float = 4.0, standing: Standing = "forecast") -> Forecast:
    reach_s = NOW_S + HOUR_S * np.linspace(0.5, 1.5, 101) * hours
    time_s = NOW_S + HOUR_S * np.linspace(0.0, 20.0, 81)
    course = [65.0 + rate * (time_s - NOW_S) / HOUR_S for rate in (5.0, 6.0, 7.0, 8.0, 9.0)]
    remaining_s = np.quantile(reach_s - NOW_S, SHARES, method="inverted_cdf")
    fan = Fan(time_s, np.array(course))
    return Forecast(standing, NOW_S, remaining_s, reach_s, None, fan=fan)


def test_it_ends_when_the_target_is_likely_reached_and_stays_below_it():
    (fan,) = fan_of(forecast(), record(), METRIC, "UTC")
    assert fan.key == "a"
    assert fan.at_s[0] == NOW_S
    assert fan.at_s[-1] == pytest.approx(NOW_S + 1.4 * 4.0 * HOUR_S)
    assert np.all(fan.low_c <= fan.middle_c)
    assert np.all(fan.middle_c <= fan.high_c)
    assert fan.high_c.max() == 93.0
    assert fan.reach_s == pytest.approx(NOW_S + 4 * HOUR_S)
    assert fan.label.startswith("93 °C about ")
    (fan,) = fan_of(forecast(), record(), US, "UTC")
    assert fan.label.startswith("199 °F about ")


def test_it_is_no_longer_than_what_is_foreseen():
    (fan,) = fan_of(forecast(30.0), record(NOW_S - 2 * HOUR_S), METRIC, "UTC")
    assert fan.at_s[-1] == NOW_S + 20 * HOUR_S


@pytest.mark.parametrize("standing", ["too_early", "reached", "no_readings", "in_air"])
def test_there_is_none_where_nothing_is_forecast(standing: Standing):
    assert fan_of(forecast(standing=standing), record(), METRIC, "UTC") == ()
    assert fan_of(None, None, METRIC, "UTC") == ()
