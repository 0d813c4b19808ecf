"""When it can be served against when it is wanted, in numbers and in words."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.forecast.clock_words import ForecastClock
from smokejournal.cook.forecast.cook_so_far import ForecastInput, record_of
from smokejournal.cook.forecast.serving import (
    Serving,
    clock_only_words,
    late_words,
    ready_by_the_clock,
    ready_words,
    serving,
    serving_words,
    to_do,
)
from smokejournal.cook.log.entries import Wrap
from smokejournal.cook.log.schedule import ForTime, Stage, UntilTemperature
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.text.chance_words import chance_words
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.science.forecast.values import Forecast
from tests.support.logs import T0, cook_log, ramp

H = 3600.0
#: 14:00 UTC.
NOW = math.floor(T0 / 86400.0) * 86400.0 + 14 * H
STAGES = (
    Stage("s", "Smoke", (UntilTemperature(95.0),), pit_target_c=110.0),
    Stage("r", "Rest", (ForTime(H),)),
)


def record(said=()) -> ForecastInput:
    log = cook_log(STAGES, said, [*ramp("pit", 0, H, 100, 110, 60), *ramp("meat", 0, H, 5, 40, 60)])
    answer = record_of(log, fold(log, T0 + 2 * H), T0 + 2 * H)
    assert isinstance(answer, ForecastInput)
    return answer


def forecast(hours: list[float]) -> Forecast:
    """Members that are ready, an hour of rest included, so many hours from 14:00."""
    ready_s = NOW + H * np.array(hours)
    return Forecast("forecast", NOW, None, ready_s - H, np.stack([ready_s - H, ready_s]))


def at(hours: list[float], wanted_h: float) -> Serving:
    found = serving(forecast(hours), record(), NOW + wanted_h * H)
    assert found is not None
    return found


#: 10, 50 and 90 % at 17:50, 18:40 and 20:10.
LIKELY = [*[3 + 50 / 60] * 30, *[4 + 40 / 60] * 50, *[6 + 10 / 60] * 20]


def words(plan: Serving) -> str:
    return serving_words(plan, ForecastClock.of(forecast(LIKELY), METRIC, "UTC"))


@pytest.mark.parametrize(
    ("wanted_h", "verdict", "says"),
    [
        (4.0, "late", "Wanted at 18:00: likely late (chance about 7 in 10)."),
        (5.0, "in_time", "Wanted at 19:00: likely in time (chance about 8 in 10)."),
        (6.0, "early", "Wanted at 20:00: likely early, by about 1 h 15 min (late: about 2 in 10)."),
        (9.0, "early", "likely early, by about 4 h 15 min (late: less than 1 in 10)."),
        (1.0, "late", "likely late (chance more than 9 in 10)."),
    ],
)
def test_verdicts(wanted_h: float, verdict: str, says: str) -> None:
    plan = at(LIKELY, wanted_h)
    assert plan.verdict == verdict
    text = words(plan)
    assert text.startswith("Wanted at ")
    clock = ForecastClock.of(forecast(LIKELY), METRIC, "UTC")
    assert ready_words(plan.ready, clock) == "Ready about 18:40 (17:50 – 20:10)"
    assert text.endswith(says)


def test_either_way() -> None:
    plan = at([3.0] * 50 + [5.0] * 50, 4.0)
    assert plan.verdict == "even"
    assert words(plan).endswith("it may be late (chance about 5 in 10).")


def test_later_than_was_looked_at() -> None:
    hours = [4.0] * 20 + [math.inf] * 80
    plan = at(hours, 5.0)
    clock = ForecastClock.of(forecast(hours), METRIC, "UTC")
    assert ready_words(plan.ready, clock) == "Ready later than 18:00, hardly before 18:00"
    assert serving_words(plan, clock) == "Wanted at 19:00: likely late (chance about 8 in 10)."


def test_what_to_do_when_late() -> None:
    said = to_do(at(LIKELY, 4.0), forecast(LIKELY), record(), METRIC)
    assert said[0] == "To be done sooner, wrap it now or set the pit hotter. Below is by how much."
    assert "A shorter rest would save time too." in said
    assert said[-1] == "Don’t serve it before it is done: let the table wait."
    wrapped = to_do(at(LIKELY, 4.0), forecast(LIKELY), record([(H, Wrap("foil"))]), METRIC)
    assert "wrap" not in " ".join(wrapped)
    held = replace(forecast(LIKELY), standing="reached")
    assert (
        to_do(at(LIKELY, 4.0), held, record(), METRIC)[0] == "A shorter rest would save time too."
    )


def test_what_to_do_when_early_comes_with_the_caution() -> None:
    plan = at(LIKELY, 9.0)
    said = to_do(plan, forecast(LIKELY), record(), METRIC)
    assert "rest it longer" in said[0]
    # USDA FSIS, Danger Zone: hot food is kept at or above 140 °F.
    assert "60.0 °C (140 °F) or above" in said[1]
    assert "Local codes come first" in said[1]
    assert "140 °F (60.0 °C)" in to_do(plan, forecast(LIKELY), record(), US)[1]
    assert to_do(at(LIKELY, 5.0), forecast(LIKELY), record(), METRIC) == ()


def test_what_a_change_would_do() -> None:
    sooner = forecast([h - 1.0 for h in LIKELY])
    assert late_words(sooner, record(), NOW + 4.0 * H) == "Late then: about 2 in 10."
    assert late_words(Forecast("in_air", NOW), record(), NOW + 4.0 * H) == ""


def test_without_members_there_is_none() -> None:
    assert serving(Forecast("forecast", NOW), record(), NOW) is None


def test_no_chance_is_a_promise() -> None:
    assert [chance_words(c) for c in (0.0, 0.04, 0.06, 0.5, 0.94, 0.96, 1.0)] == [
        "less than 1 in 10",
        "less than 1 in 10",
        "about 1 in 10",
        "about 5 in 10",
        "about 9 in 10",
        "more than 9 in 10",
        "more than 9 in 10",
    ]


@given(
    st.lists(st.floats(0.0, 40.0) | st.just(math.inf), min_size=1, max_size=40),
    st.floats(0.0, 40.0),
    st.floats(0.0, 10.0),
)
def test_wanted_later_is_never_likelier_late(
    hours: list[float], wanted_h: float, more_h: float
) -> None:
    soon, later = at(hours, wanted_h), at(hours, wanted_h + more_h)
    assert later.late <= soon.late
    assert soon.late == pytest.approx(np.mean(NOW + H * np.array(hours) > NOW + wanted_h * H))
    text = words(soon)
    assert "inf" not in text
    assert "nan" not in text


class TestByTheClock:
    """Where only times are left to run, there is no forecast and no need of one."""

    READINGS = (*ramp("pit", 0, 2 * H, 110, 110, 60), *ramp("meat", 0, H, 5, 99, 60))
    MORE = (*STAGES, Stage("t", "Carve", (ForTime(600.0),)))

    def standing(self, stages, after_s: float):
        return fold(cook_log(stages, (), list(self.READINGS)), T0 + after_s)

    def test_what_is_left_of_this_stage_and_the_next(self) -> None:
        standing = self.standing(self.MORE, 1.5 * H)
        run = standing.current
        assert run is not None
        assert run.stage.name == "Rest"
        assert ready_by_the_clock(standing) == pytest.approx(run.began_at_s + H + 600.0, abs=60.0)

    def test_not_while_a_probe_is_waited_for(self) -> None:
        assert ready_by_the_clock(self.standing(self.MORE, 0.5 * H)) is None
        assert ready_by_the_clock(self.standing(STAGES, 40 * H)) is None

    def test_in_words_it_is_never_too_early(self) -> None:
        clock = ForecastClock(NOW, None, METRIC, "UTC")
        assert clock_only_words(NOW + 61.0, clock) == "Ready at 14:02."
        assert clock_only_words(NOW + 120.0, clock) == "Ready at 14:02."
