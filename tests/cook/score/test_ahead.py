"""The stages to come on the score: when each likely begins and ends, and what is said of a moment."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from smokejournal.cook.forecast.cook_so_far import ForecastInput
from smokejournal.cook.forecast.legs import PlannedLeg
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.score.ahead import FURTHEST_S, ahead_of
from smokejournal.cook.score.score import (
    Score,
    ScoreAhead,
    ScoreFan,
    ScoreLevel,
    ScoreWeather,
    fuel_at,
    weather_at,
)
from smokejournal.cook.score.words import moment_lines
from smokejournal.cook.text.quantities import METRIC
from smokejournal.drawing.frame import picture_end_s
from smokejournal.science.forecast.values import CookSoFar, FloatArray, Forecast, Leg, Standing

NOW_S = 1_780_000_000.0
HOUR_S = 3600.0


def record(*stages: str) -> ForecastInput:
    none = np.empty(0)
    legs = tuple(PlannedLeg(name, "to_target", Leg(None), name.casefold()) for name in stages)
    cook = CookSoFar(none, none, none, NOW_S, 93.0)
    lead, pit = Channel("a", "Thick end"), Channel("pit", "Grate", role="pit")
    return ForecastInput(cook, lead, pit, legs, 0, 100, first_s=NOW_S)


def forecast(*ends_h: FloatArray, standing: Standing = "forecast") -> Forecast:
    return Forecast(standing, NOW_S, None, None, NOW_S + HOUR_S * np.array(ends_h))


HOURS = np.linspace(2.0, 4.0, 101)


def test_each_stage_begins_where_the_one_before_likely_ends() -> None:
    found = ahead_of(forecast(HOURS, HOURS + 1.0, HOURS + 2.0), record("Smoke", "Smoke", "Rest"))
    smoke, rest = found
    assert (smoke.label, smoke.stage, smoke.from_s) == ("Smoke", "smoke", NOW_S)
    assert smoke.to_s == pytest.approx(NOW_S + 4 * HOUR_S)
    assert smoke.low_s == pytest.approx(NOW_S + 3.2 * HOUR_S, abs=80)
    assert smoke.high_s == pytest.approx(NOW_S + 4.8 * HOUR_S, abs=80)
    assert rest.from_s == smoke.to_s
    assert rest.to_s == pytest.approx(NOW_S + 5 * HOUR_S)


def test_a_stage_that_is_over_since_is_no_longer_ahead() -> None:
    made, stages = forecast(HOURS, HOURS + 2.0), record("Smoke", "Rest")
    assert [one.label for one in ahead_of(made, stages)] == ["Smoke", "Rest"]
    (rest,) = ahead_of(made, stages, {"smoke"})
    assert rest.label == "Rest"
    assert rest.from_s == made.now_s


def test_what_lies_beyond_is_open_and_nothing_follows_it() -> None:
    most = np.where(HOURS > 2.5, np.inf, HOURS)
    (smoke,) = ahead_of(forecast(most, most), record("Smoke", "Rest"))
    assert (smoke.to_s, smoke.high_s) == (None, None)
    assert smoke.low_s == pytest.approx(NOW_S + 2.2 * HOUR_S, abs=80)
    assert ahead_of(forecast(HOURS + FURTHEST_S / HOUR_S), record("Smoke")) == ()


@pytest.mark.parametrize("standing", ["too_early", "no_readings", "in_air"])
def test_none_where_nothing_is_forecast(standing: Standing) -> None:
    assert ahead_of(forecast(HOURS, standing=standing), record("Smoke")) == ()
    assert ahead_of(None, None) == ()


SCORE = Score(
    "UTC",
    NOW_S - 4 * HOUR_S,
    NOW_S,
    NOW_S,
    NOW_S - 4 * HOUR_S,
    fuel=(
        ScoreLevel(NOW_S - 4 * HOUR_S, 6.0, 0.2),
        ScoreLevel(NOW_S - 2 * HOUR_S, 4.0, 0.4, read=False),
        ScoreLevel(NOW_S - HOUR_S, 9.0, 0.1, joined=False),
    ),
    weather=(ScoreWeather(NOW_S - 3 * HOUR_S, 4.0, 2.5, "few clouds"),),
    fans=(
        ScoreFan(
            "a",
            NOW_S + HOUR_S * np.array([0.0, 2.0]),
            np.array([60.0, 70.0]),
            np.array([60.0, 80.0]),
            np.array([60.0, 90.0]),
        ),
    ),
    ahead=(
        ScoreAhead(NOW_S, NOW_S + HOUR_S, NOW_S + 2 * HOUR_S, NOW_S + 5 * HOUR_S, "Smoke", "s"),
    ),
)


def test_fuel_and_weather_say_a_number_at_any_moment_they_know() -> None:
    assert fuel_at(SCORE, NOW_S - 3 * HOUR_S) == pytest.approx((5.0, 0.3))
    assert fuel_at(SCORE, NOW_S - 1.5 * HOUR_S) is None
    assert fuel_at(SCORE, NOW_S - 5 * HOUR_S) is None
    assert fuel_at(SCORE, NOW_S) is None
    assert weather_at(SCORE, NOW_S - 3.5 * HOUR_S) is None
    texts = [line.text for line in moment_lines(SCORE, NOW_S - 3 * HOUR_S, METRIC, 60.0)]
    assert texts == ["Fuel left: 5 ± 0.3 kg", "Weather: 4 °C, few clouds, wind 2.5 m/s"]


def test_a_moment_to_come_says_what_is_forecast() -> None:
    texts = [line.text for line in moment_lines(SCORE, NOW_S + HOUR_S, METRIC, 60.0)]
    assert texts == ["Forecast: about 70 °C (65 °C – 75 °C)", "Stage by then, probably: Smoke"]
    assert moment_lines(SCORE, NOW_S + 3 * HOUR_S, METRIC, 60.0) == []


def test_the_time_axis_reaches_the_late_end() -> None:
    assert picture_end_s(SCORE) == NOW_S + 5 * HOUR_S
    assert picture_end_s(replace(SCORE, ahead=())) == NOW_S + 2 * HOUR_S
