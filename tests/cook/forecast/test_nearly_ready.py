"""The call that it will soon be ready."""

from __future__ import annotations

from dataclasses import replace

import pytest

from smokejournal.cook.forecast.nearly_ready import nearly_ready
from smokejournal.cook.log.entries import ForecastMade
from smokejournal.cook.log.schedule import Stage, UntilTemperature
from smokejournal.cook.progress.alarms import Alarm, AlarmTuning, Called
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.text.quantities import US
from tests.support.logs import T0, cook_log, ramp

SMOKE = Stage("s1", "Smoke", (UntilTemperature(93.0),))
#: In 15 minutes, between 10 and 25.
SOON = ForecastMade("meat", 93.0, "forecast", T0 + 3600 + 600, T0 + 3600 + 900, T0 + 3600 + 1500)


def calls(
    made: ForecastMade | None, at_s: float = 3660.0, called: Called | None = None
) -> tuple[Alarm, ...]:
    said = [] if made is None else [(3600.0, made)]
    log = cook_log([SMOKE], said, ramp("meat", 0, 6000, 60, 92))
    return nearly_ready(fold(log, T0 + at_s), log.holding(), called or Called())


def test_it_says_when_with_its_interval_and_what_to_do() -> None:
    (alarm,) = calls(SOON)
    assert alarm.level == "chime"
    assert alarm.text == (
        "Shoulder is nearly ready: 93 °C about 21:42 (21:36 – 21:52). Get ready for what comes next."
    )
    (us,) = calls(SOON, called=Called(units=US, zone="America/Chicago"))
    assert us.text.startswith("Shoulder is nearly ready: 199 °F about 4:42 pm")


def test_one_target_is_one_call_however_the_forecast_moves() -> None:
    later = replace(SOON, mid_s=T0 + 3600 + 1200.0)
    assert [a.key for a in calls(SOON)] == [a.key for a in calls(later)] == ["nearly:meat:93.0"]


def test_one_that_lies_further_ahead_calls_when_that_is_wanted() -> None:
    far = replace(SOON, mid_s=T0 + 3600 + 1500.0)
    assert calls(far) == ()
    assert calls(far, called=Called(AlarmTuning(nearly_s=1800.0))) != ()
    assert calls(SOON, called=Called(AlarmTuning(nearly=False))) == ()


def test_an_old_forecast_calls_nobody() -> None:
    assert calls(SOON, 4800.0) != ()
    assert calls(SOON, 4801.0) == ()


@pytest.mark.parametrize(
    "made",
    [
        None,
        replace(SOON, standing="may_not_reach"),
        replace(SOON, mid_s=None, high_s=None),
        replace(SOON, channel="gone"),
    ],
)
def test_without_a_forecast_nobody_is_called(made: ForecastMade | None) -> None:
    assert calls(made) == ()


def test_a_probe_that_went_silent_is_forecast_by_nobody() -> None:
    log = cook_log([SMOKE], [(3600.0, SOON)], ramp("meat", 0, 3600, 60, 80))
    assert nearly_ready(fold(log, T0 + 3700), log.holding()) != ()
    assert nearly_ready(fold(log, T0 + 3800), log.holding()) == ()


def test_an_open_end_is_told_as_one() -> None:
    (alarm,) = calls(replace(SOON, high_s=None))
    assert "later than the forecast looks" in alarm.text
