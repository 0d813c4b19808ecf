"""What finished cooks teach of the pellet rate, and how that is taken back."""

from __future__ import annotations

import pytest

from smokejournal.cook.fuel.cooker import CookerFacts
from smokejournal.cook.fuel.rate import Outdoors
from smokejournal.cook.log.entries import (
    CookClosed,
    FuelForeseen,
    FuelLevel,
    ScheduleSet,
    ScheduleStarted,
    StageConfirmed,
    WeatherObserved,
)
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.services.forecast.fuel import KEY, FuelForecasts
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock

SMOKE = Schedule("Smoke", (Stage("s1", "Smoke", (ForTime(6 * 3600.0),), pit_target_c=107.0),))


def finished(
    program: Program, clock: FixedClock, burned_kg: float | None = 3.0, simulated: bool = False
) -> int:
    cook_id = program.new_cook("Ribs", "UTC", simulated=simulated)
    live = program.live(cook_id)
    live.record(ScheduleSet(SMOKE)).result()
    live.record(WeatherObserved(air_c=5.0, wind_m_s=3.0)).result()
    live.record(FuelLevel(8.0, 0.1)).result()
    live.record(ScheduleStarted()).result()
    clock.forward(6 * 3600.0)
    if burned_kg is not None:
        live.record(FuelLevel(8.0 - burned_kg, 0.1)).result()
    live.record(StageConfirmed("s1")).result()
    live.record(CookClosed()).result()
    clock.forward(3600.0)
    return cook_id


def test_cooks_that_tell_narrow_it(program: Program, clock: FixedClock) -> None:
    forecast = FuelForecasts(program)
    before = forecast.taught()
    assert (before.belief.count, before.told_not) == (0, 0)
    for _ in range(3):
        finished(program, clock)
    finished(program, clock, burned_kg=None)
    after = forecast.taught()
    assert (after.belief.count, after.told_not) == (3, 1)
    wide, narrow = before.belief.factor(), after.belief.factor()
    assert narrow.high / narrow.low < wide.high / wide.low
    plan = forecast.plan(SMOKE, after, Outdoors(5.0, 3.0))
    assert plan.total_kg is not None
    assert plan.total_kg.mid == pytest.approx(3.0, rel=0.1)
    forecast.close()


def test_simulated_cooks_teach_only_simulated_ones(program: Program, clock: FixedClock) -> None:
    forecast = FuelForecasts(program)
    finished(program, clock, simulated=True)
    assert forecast.taught().belief.count == 0
    assert forecast.taught(simulated=True).belief.count == 1


def test_taken_back(program: Program, clock: FixedClock) -> None:
    forecast = FuelForecasts(program)
    cook_id = finished(program, clock)
    finished(program, clock)
    forecast.keep(CookerFacts(learn=False)).result()
    assert forecast.taught().belief.count == 0
    forecast.keep(CookerFacts(since_s=clock.now_s())).result()
    assert forecast.taught().belief.count == 0
    forecast.keep(CookerFacts()).result()
    assert forecast.taught().belief.count == 2
    # A level that is struck takes its cook with it.
    live = program.live(cook_id)
    last = live.log().of(FuelLevel)[-1][0]
    live.strike(last.id).result()
    assert forecast.taught().belief.count == 1


def test_another_cooker_is_computed_again(program: Program, clock: FixedClock) -> None:
    forecast = FuelForecasts(program)
    for _ in range(4):
        finished(program, clock)
    small = forecast.taught().belief.factor().mid
    forecast.keep(CookerFacts("box", 1.8, 0.8, 0.8, "sheet")).result()
    assert forecast.taught().belief.factor().mid < small


def test_the_place_counts(program: Program, clock: FixedClock) -> None:
    """ICAO Doc 7488: 794.95 hPa at 2000 m."""
    forecast = FuelForecasts(program)
    cook_id = finished(program, clock)
    low = forecast.taught().belief.burns[0].expected_kg
    forecast.keep(CookerFacts(altitude_m=2000.0)).result()
    assert forecast.taught().belief.burns[0].expected_kg < 0.995 * low
    assert forecast.weather(None).pressure_hpa == pytest.approx(794.95, abs=0.006)
    live = program.live(cook_id)
    live.record(WeatherObserved(pressure_hpa=801.0)).result()
    assert forecast.weather(cook_id) == Outdoors(5.0, 3.0, 801.0)


def test_under_way(program: Program, clock: FixedClock) -> None:
    forecast = FuelForecasts(program)
    cook_id = program.new_cook("Ribs", "UTC")
    live = program.live(cook_id)
    live.record(ScheduleSet(SMOKE)).result()
    live.record(FuelLevel(8.0, 0.1)).result()
    live.record(ScheduleStarted()).result()
    clock.forward(3600.0)
    now, _ = forecast.until(cook_id, forecast.taught(), None)
    assert now.lasts_h is not None
    assert forecast.weather(cook_id) == Outdoors()


def test_a_cooker_that_can_not_be_read_is_told(program: Program) -> None:
    forecast = FuelForecasts(program)
    program.journal.set_setting(KEY, {"length_m": -1}).result()
    assert forecast.facts() == CookerFacts()
    assert "from 0.1 m to 5 m" in forecast.facts_problem()
    with pytest.raises(SchemaProblem):
        forecast.keep(CookerFacts(length_m=99.0))


def test_until_when_it_lasts_is_kept_for_the_alarm(program: Program, clock: FixedClock) -> None:
    forecast = FuelForecasts(program)
    cook_id = program.new_cook("Ribs", "UTC", hopper_kg=5.0)
    live = program.live(cook_id)
    live.record(ScheduleSet(SMOKE)).result()
    live.record(ScheduleStarted()).result()

    def look(by_s: float = 0.0) -> int:
        clock.forward(by_s)
        _, until = forecast.until(cook_id, forecast.taught(), None)
        if until is not None:
            forecast.keep_foreseen(cook_id, until)
        return len(live.log().of(FuelForeseen))

    # A hopper that was never read tells nothing.
    assert look(60.0) == 0
    live.record(FuelLevel(3.0, 0.1)).result()
    assert [look(60.0), look(300.0), look(299.0)] == [1, 1, 1]
    assert look(1.0) == 2
    live.record(FuelLevel(2.5, 0.1)).result()
    assert look(30.0) == 3
    made = live.log().of(FuelForeseen)[-1][1]
    assert made.low_s < made.mid_s < made.high_s
    assert made.runs_out is None
    # Neither undo nor where the cook stands knows of it.
    last = live.can_undo()
    assert last is not None
    assert isinstance(last.what, FuelLevel)
    # Once it says that the hopper is empty, no more is written.
    clock.at_s = made.high_s + 1.0
    live.record(FuelLevel(0.01, 0.001)).result()
    assert [look(300.0), look(3600.0), look(3600.0)] == [4, 4, 4]
