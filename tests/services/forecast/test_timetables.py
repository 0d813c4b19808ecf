"""A plan counted back with what the forecast and the journal's finished cooks say."""

from __future__ import annotations

import numpy as np
import pytest

from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    CookRenamed,
    ItemAdded,
    LeadSet,
    PrepStep,
    ScheduleSet,
    ScheduleStarted,
    StageConfirmed,
    StepBegun,
    StepEnded,
)
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import PIT, ForTime, Schedule, Stage, UntilTemperature
from smokejournal.cook.text.quantities import METRIC
from smokejournal.science.forecast.values import CookSoFar, Forecast
from smokejournal.services.forecast.finish import FinishForecasts
from smokejournal.services.forecast.timetables import Timetables
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock

HOUR = 3600.0
SCHEDULE = Schedule(
    "Shoulder",
    (
        Stage(
            "w",
            "Warm up",
            (UntilTemperature(105.0, channel=PIT),),
            pit_target_c=110.0,
            purpose="warm_up",
        ),
        Stage("s", "Smoke", (UntilTemperature(93.0),), pit_target_c=110.0, purpose="cook"),
        Stage("r", "Rest", (ForTime(HOUR),), purpose="rest"),
    ),
)


class Foreseen:
    """A forecast that says eight hours, give or take one, and counts how often it is asked."""

    def __init__(self) -> None:
        self.asked: list[CookSoFar] = []

    def __call__(self, cook: CookSoFar) -> Forecast:
        self.asked.append(cook)
        spread = np.linspace(7 * HOUR, 9 * HOUR, 50)
        ends = np.cumsum(
            [spread if leg.until_probe_c else np.full(50, HOUR) for leg in cook.legs], axis=0
        )
        return Forecast("forecast", cook.now_s, legs_end_s=ends)


def plan(program: Program, title: str = "Shoulder", mass_kg: float = 3.0) -> int:
    cook_id = program.new_cook(title, "UTC", ready_at_s=program.clock.now_s() + 40 * HOUR)
    live = program.live(cook_id)
    for what in (
        ItemAdded("pork shoulder", "red_meat", mass_kg=mass_kg),
        PrepStep("dry brine", key="k", sort="dry_salt"),
        ChannelSet(Channel("meat", "Thick end")),
        ChannelSet(Channel("pit", "Pit", "pit")),
        LeadSet("meat"),
        ScheduleSet(SCHEDULE),
    ):
        live.record(what).result()
    return cook_id


def finish(program: Program, clock: FixedClock, smoke_h: float, salt_h: float) -> None:
    live = program.live(plan(program))
    live.record(StepBegun("k")).result()
    clock.forward(salt_h * HOUR)
    live.record(StepEnded("k")).result()
    live.record(ScheduleStarted()).result()
    for stage, seconds in (("w", 1800.0), ("s", smoke_h * HOUR), ("r", HOUR)):
        clock.forward(seconds)
        live.record(StageConfirmed(stage)).result()
    live.record(CookClosed()).result()


def timetables(program: Program, foreseen: Foreseen) -> Timetables:
    return Timetables(program, FinishForecasts(program, foreseen), foreseen)


def test_without_earlier_cooks_the_forecast_says_how_long(program: Program) -> None:
    foreseen = Foreseen()
    made = timetables(program, foreseen)
    cook_id = plan(program)
    table = made.make(cook_id, SCHEDULE, METRIC)
    smoke = table.step("stage:s")
    assert smoke is not None
    assert smoke.source == "physics"
    assert smoke.lasts is not None
    assert smoke.lasts.mid == pytest.approx(8 * HOUR, rel=0.02)
    salt = table.step("prep:k")
    assert salt is not None
    assert salt.source == "rule"
    assert table.next_step is not None
    # Looked at again, the forecast isn't asked again.
    made.make(cook_id, SCHEDULE, METRIC)
    assert len(foreseen.asked) == 1


def test_ones_own_earlier_cooks_come_first(program: Program) -> None:
    clock = program.clock
    assert isinstance(clock, FixedClock)
    for hours in (9.5, 10.0, 10.5):
        finish(program, clock, hours, 14.0)
    table = timetables(program, Foreseen()).make(plan(program), SCHEDULE, METRIC)
    smoke, salt = table.step("stage:s"), table.step("prep:k")
    assert smoke is not None
    assert salt is not None
    assert (smoke.source, smoke.cooks) == ("earlier", 3)
    assert smoke.lasts is not None
    assert smoke.lasts.mid == pytest.approx(10 * HOUR, rel=0.03)
    assert (salt.source, salt.cooks) == ("earlier", 3)


def test_a_dish_of_its_own_is_foreseen_by_its_own_target(program: Program) -> None:
    foreseen = Foreseen()
    cook_id = plan(program)
    program.live(cook_id).record(
        ItemAdded("chicken thighs", "poultry", mass_kg=1.0, target_c=80.0, pit_c=110.0)
    ).result()
    table = timetables(program, foreseen).make(cook_id, SCHEDULE, METRIC)
    dish = next(step for step in table.steps if step.kind == "dish")
    assert dish.item == "chicken thighs"
    assert dish.source == "physics"
    assert {cook.target_c for cook in foreseen.asked} == {93.0, 80.0}


def test_another_wanted_time_moves_everything_by_as_much(program: Program) -> None:
    made = timetables(program, Foreseen())
    cook_id = plan(program)
    before = made.make(cook_id, SCHEDULE, METRIC)
    later_s = (before.wanted_s or 0.0) + 5 * HOUR
    program.live(cook_id).record(CookRenamed("Shoulder", ready_at_s=later_s)).result()
    after = made.make(cook_id, SCHEDULE, METRIC)
    for old, new in zip(before.steps, after.steps, strict=True):
        if old.start is not None and new.start is not None:
            assert new.start.planned_s - old.start.planned_s == pytest.approx(5 * HOUR)
