"""Fuel against the forecast, under way and before the cook, in numbers and in words."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from smokejournal.cook.forecast.cook_so_far import ForecastInput, record_of
from smokejournal.cook.fuel.before import FuelBefore, fuel_before, planned
from smokejournal.cook.fuel.cooker import CookerFacts
from smokejournal.cook.fuel.course import fuel_now, plan_fuel
from smokejournal.cook.fuel.rate import Belief, Outdoors, expected_kg_h, prior_sd
from smokejournal.cook.fuel.until import FuelUntil, fuel_until, on_the_pit
from smokejournal.cook.fuel.words import (
    assumed_line,
    before_line,
    needed_words,
    now_lines,
    plan_line,
    total_line,
    until_words,
)
from smokejournal.cook.log.entries import FuelLevel, ItemAdded, WeatherObserved
from smokejournal.cook.log.schedule import (
    PIT,
    ForTime,
    Schedule,
    Stage,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.science.forecast.fuel_margin import Store
from smokejournal.science.forecast.values import Forecast
from tests.support.logs import T0, cook_log, ramp

H = 3600.0
#: 14:00 UTC, and the cook began four hours before.
NOW = math.floor(T0 / 86400.0) * 86400.0 + 14 * H
COOKER = CookerFacts().cooker()
BELIEF = Belief(prior_sd(CookerFacts()))
OUT = Outdoors(15.0, 2.0, 1013.25)
SMOKE = Stage("s", "Smoke", (UntilTemperature(95.0),), pit_target_c=110.0)
HOLD = Stage("h", "Hold", (ForTime(1800.0),), pit_target_c=95.0)
REST = Stage("r", "Rest", (ForTime(H),))
#: A factor that is known to be 1.
SURE = Store(np.array([-1e-9, 0.0, 1e-9]), np.array([0.25, 0.5, 0.25]))


def record(stages: tuple[Stage, ...] = (SMOKE, HOLD, REST)) -> ForecastInput:
    log = cook_log(stages, (), [*ramp("pit", 0, H, 100, 110, 60), *ramp("meat", 0, H, 5, 40, 60)])
    answer = record_of(log, fold(log, T0 + 2 * H), T0 + 2 * H)
    assert isinstance(answer, ForecastInput)
    return answer


def forecast(hours: list[float], **more: object) -> Forecast:
    reach_s = NOW + H * np.array(hours)
    ends = np.stack([reach_s, reach_s + 1800.0, reach_s + 5400.0])
    return replace(Forecast("forecast", NOW, None, reach_s, ends), **more)  # type: ignore[arg-type]


def until(store: Store, hours: list[float], **more: object) -> FuelUntil:
    found = fuel_until(store, NOW, 110.0, COOKER, OUT, (record(), forecast(hours, **more)))
    assert found is not None
    return found


class TestUnderWay:
    def test_the_rest_takes_no_fuel_and_the_hold_its_own_rate(self) -> None:
        smoke, hold = (expected_kg_h(COOKER, c, OUT) for c in (110.0, 95.0))
        found = until(replace(SURE, level_kg=9.0), [4.0])
        assert found.needed_kg is not None
        assert found.needed_kg.mid == pytest.approx(4.0 * smoke + 0.5 * hold, rel=1e-6)
        assert found.off is not None
        assert found.off.mid == pytest.approx(NOW + 4.5 * H)
        assert found.empty.mid == pytest.approx(
            NOW + 4.5 * H + (9.0 - found.needed_kg.mid) / hold * H, rel=1e-6
        )
        assert found.runs_out == 0.0
        assert found.missing_kg == 0.0

    def test_off_the_pit_nothing_is_needed(self) -> None:
        resting = record()
        resting = replace(resting, legs=resting.legs[2:])
        assert on_the_pit(resting.legs) == 0
        only_rest = replace(forecast([4.0]), legs_end_s=np.array([[NOW + H]]))
        found = fuel_until(SURE, NOW, 110.0, COOKER, OUT, (resting, only_rest))
        assert found is not None
        assert found.off is None

    @pytest.mark.parametrize("standing", ["too_early", "no_readings", "in_air"])
    def test_without_a_forecast_only_how_long_it_lasts(self, standing: str) -> None:
        found = until(replace(SURE, level_kg=2.0), [4.0], standing=standing)
        smoke = expected_kg_h(COOKER, 110.0, OUT)
        assert (found.off, found.runs_out) == (None, None)
        assert found.empty.mid == pytest.approx(NOW + 2.0 / smoke * H, rel=1e-6)
        assert found.foreseen.runs_out is None
        assert found.foreseen.mid_s == pytest.approx(found.empty.mid, abs=0.5)

    def test_what_the_log_tells_is_what_is_set_against_it(self) -> None:
        """A store made from a log agrees with what was told of the same log without a forecast."""
        said = [
            (-60.0, WeatherObserved(air_c=15.0, wind_m_s=2.0)),
            (-60.0, FuelLevel(6.0, 0.1)),
            (3 * H, FuelLevel(4.5, 0.1)),
        ]
        log = cook_log([Stage("s", "Smoke", (UntilSaid(),), pit_target_c=110.0)], said)
        at_s = T0 + 4 * H
        now = fuel_now(COOKER, BELIEF, fold(log, at_s), log.holding(), at_s)
        assert now.store is not None
        assert now.lasts_h is not None
        found = fuel_until(now.store, at_s, 110.0, COOKER, OUT, None)
        assert found is not None
        for told, seen in (
            (now.lasts_h.low, found.empty.low),
            (now.lasts_h.mid, found.empty.mid),
            (now.lasts_h.high, found.empty.high),
        ):
            assert (seen - at_s) / H == pytest.approx(told, rel=0.03)

    def test_a_pit_beyond_reckoning(self) -> None:
        assert fuel_until(SURE, NOW, 450.0, COOKER, OUT, None) is None


#: The forecast's end on the pit with 10, 50 and 90 % at 17:50, 18:40 and 20:10.
HOURS = [*[3 + 20 / 60] * 20, *[4 + 10 / 60] * 60, *[5 + 40 / 60] * 20]


class TestWords:
    def test_in_one_view(self) -> None:
        smoke, hold = (expected_kg_h(COOKER, c, OUT) for c in (110.0, 95.0))
        found = until(replace(SURE, level_kg=4.0 * smoke), HOURS)
        text = until_words(found, METRIC, "UTC")
        missing = (5 + 40 / 60) * smoke + 0.5 * hold - 4.0 * smoke
        up = math.ceil(2 * missing) / 2
        assert text == (
            f"Add about {up:.1f} kg (chance that fuel runs out first: about 8 in 10). "
            "Fuel lasts until about 18:00 (17:59 – 18:11); "
            "the food is off the pit at about 18:40 (17:50 – 20:10)."
        )
        assert " kg in more than one filling (chance" in until_words(
            replace(found, fits=False), METRIC, "UTC"
        )
        assert needed_words(found, METRIC).endswith(
            " more is needed until the food is off the pit."
        )
        pounds = until_words(found, US, "UTC")
        assert " lb (chance" in pounds
        assert "6:40 pm" in pounds

    def test_enough(self) -> None:
        text = until_words(until(replace(SURE, level_kg=9.0), HOURS), METRIC, "UTC")
        assert "runs out first: less than 1 in 10." in text
        assert "Add" not in text

    def test_later_than_was_looked_at(self) -> None:
        hours = [4.0] * 60 + [math.inf] * 40
        found = until(replace(SURE, level_kg=1.0), hours, standing="may_not_reach")
        text = until_words(found, METRIC, "UTC")
        assert "Add what you can." in text
        assert "inf" not in text
        assert "– more than " in needed_words(found, METRIC)
        never = until(replace(SURE, level_kg=1.0), [math.inf] * 9, standing="may_not_reach")
        assert "the food is off the pit later than" in until_words(never, METRIC, "UTC")

    def test_a_stage_that_has_no_end(self) -> None:
        found = replace(until(replace(SURE, level_kg=9.0), HOURS), open_stage="Keep hot")
        assert "How long “Keep hot” goes on isn’t known, and is not counted." in until_words(
            found, METRIC, "UTC"
        )

    def test_it_stands_with_what_is_left(self) -> None:
        log = cook_log([SMOKE], [(-60.0, FuelLevel(6.0, 0.1))])
        at_s = T0 + H
        now = fuel_now(COOKER, BELIEF, fold(log, at_s), log.holding(), at_s)
        found = replace(until(replace(SURE, level_kg=9.0), HOURS), at_s=at_s)
        lines = now_lines(now, METRIC, found, "UTC")
        assert lines[2] == needed_words(found, METRIC)
        assert lines[-1] == until_words(found, METRIC, "UTC")
        assert "for about" not in lines[1]
        alone = now_lines(now, METRIC, replace(found, off=None), "UTC")
        assert len(alone) == 2
        assert "for about" in alone[1]


WARM = Stage("w", "Warm up", (UntilTemperature(105.0, channel=PIT),), pit_target_c=110.0)


def before(
    stages: tuple[Stage, ...], hours: list[float], items: tuple[ItemAdded, ...] = ()
) -> FuelBefore:
    plan = planned(
        Schedule("", stages), "meat", max(items, key=lambda i: i.mass_kg or 0.0, default=None)
    )
    assert plan is not None
    ends = np.cumsum(
        [H * np.array(hours) if p.leg.until_probe_c else np.full(len(hours), p.leg.for_s or 0.0)
         for p in plan.legs], axis=0
    )  # fmt: skip
    found = fuel_before(plan, Forecast("too_early", 60.0, legs_end_s=ends), COOKER, BELIEF, OUT)
    assert found is not None
    return found


class TestBefore:
    def test_what_is_asked_of_the_forecast(self) -> None:
        items = (
            ItemAdded("wings", "poultry", mass_kg=0.5),
            ItemAdded("pork shoulder", "red_meat", mass_kg=3.2),
        )
        plan = planned(
            Schedule("", (WARM, SMOKE, REST)),
            "meat",
            max(items, key=lambda i: i.mass_kg or 0.0, default=None),
        )
        assert plan is not None
        assert (plan.cook.cut, plan.cook.mass_kg, plan.cook.target_c) == ("shoulder", 3.2, 95.0)
        assert plan.warm_up_s == 1800.0
        assert plan.legs[-1].leg.resting

    @pytest.mark.parametrize(
        "stages",
        [
            (),
            (REST,),
            (Stage("s", "Smoke", (ForTime(H),), pit_target_c=110.0),),
            (Stage("s", "Smoke", (UntilTemperature(95.0),)),),
            (Stage("s", "Smoke", (UntilSaid(),), pit_target_c=110.0), SMOKE),
            (SMOKE, Stage("k", "Keep hot", (UntilSaid(),), pit_target_c=80.0)),
        ],
    )
    def test_nothing_to_ask(self, stages: tuple[Stage, ...]) -> None:
        assert planned(Schedule("", stages), "meat", None) is None

    def test_a_fire_that_is_ready_on_a_word_holds_nothing_up(self) -> None:
        fire = Stage("w", "Light the fire", (UntilSaid(),), pit_target_c=110.0, purpose="warm_up")
        plan = planned(Schedule("", (fire, SMOKE)), "meat", None)
        assert plan is not None
        assert (plan.cook.target_c, plan.warm_up_s) == (95.0, 1800.0)

    def test_total(self) -> None:
        smoke, hold = (expected_kg_h(COOKER, c, OUT) for c in (110.0, 95.0))
        found = before((WARM, SMOKE, HOLD, REST), [10.0])
        assert found.fire_s.mid == pytest.approx(11.0 * H)
        assert found.total_kg.mid == pytest.approx(10.5 * smoke + 0.5 * hold, rel=0.02)
        assert found.total_kg.low < found.total_kg.mid < found.total_kg.high
        wide = before((WARM, SMOKE, HOLD, REST), [6.0, 8.0, 10.0, 12.0, 18.0])
        assert wide.total_kg.high > found.total_kg.high

    def test_words(self) -> None:
        shoulder = ItemAdded("pork shoulder", "red_meat", mass_kg=3.2)
        schedule = Schedule("", (SMOKE, REST))
        plan = plan_fuel(schedule, COOKER, BELIEF, OUT)
        found = before((SMOKE, REST), [6.0] * 2 + [11.0] * 6 + [18.0] * 2, (shoulder,))
        line = plan_line(plan, METRIC, found)
        assert line.startswith("Pellets: about ")
        assert line.endswith(" in about 11 h (6 h – 18 h)")
        assert total_line(plan, METRIC, found).startswith("About ")
        assert "physics expects of “pork shoulder” at 3.2" in before_line(found, METRIC)
        assert "whose mass was not said" in before_line(
            replace(found, item=ItemAdded("pork shoulder")), METRIC
        )
        assert "that isn't described yet" in before_line(replace(found, item=None), METRIC)

    def test_only_the_pit_is_waited_for(self) -> None:
        """Half an hour to come up, and two hours: a total without a forecast."""
        timed = Schedule("", (WARM, Stage("s", "Smoke", (ForTime(2 * H),), pit_target_c=110.0)))
        plan = plan_fuel(timed, COOKER, BELIEF, OUT)
        smoke = expected_kg_h(COOKER, 110.0, OUT)
        assert plan.total_kg is not None
        assert plan.total_kg.mid == pytest.approx(2.5 * smoke, rel=0.01)
        assert assumed_line(plan, METRIC) == "Assumes the pit heats up in 30 min."

    def test_a_stage_that_waits_for_a_word_is_taken_to_end_when_due(self) -> None:
        waits = replace(HOLD, ending="waits")
        plan = plan_fuel(Schedule("", (waits,)), COOKER, BELIEF, OUT)
        assert plan.total_kg == plan_fuel(Schedule("", (HOLD,)), COOKER, BELIEF, OUT).total_kg
        assert assumed_line(plan, METRIC) == (
            "A stage that waits for you is assumed to end when it is due."
        )

    def test_some_never_get_there(self) -> None:
        found = before((SMOKE,), [6.0] * 8 + [math.inf] * 2)
        assert found.more
        plan = plan_fuel(Schedule("", (SMOKE,)), COOKER, BELIEF, OUT)
        line = plan_line(plan, METRIC, found)
        assert "– more than " in line
        assert "longer than the forecast looks" in line
