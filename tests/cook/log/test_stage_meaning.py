"""What a stage is for: said in a field, else guessed from its rules and words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from smokejournal.cook.log.schedule import PIT, ForTime, Stage, UntilSaid, UntilTemperature
from smokejournal.cook.log.stage_meaning import is_rest, purpose_of, warms_up, wraps_at
from smokejournal.cook.plan.starter_schedules import starters
from smokejournal.cook.text.quantities import METRIC, US

HOT = Stage("s1", "Get it hot", (UntilTemperature(105.0, channel=PIT),), pit_target_c=110.0)
WRAPPED = Stage("s3", "Wrapped", (UntilTemperature(93.0),), pit_target_c=121.0)
LATER = Stage(
    "s2", "Smoke", (UntilTemperature(74.0),), instruction="When the bark is set, wrap it."
)
RESTED = Stage("s4", "Rest", (ForTime(3600.0),))


@pytest.mark.parametrize(
    ("stage", "purpose"),
    [(HOT, "warm_up"), (WRAPPED, "wrap"), (RESTED, "rest"), (Stage("s", "Put by", ()), "")],
)
def test_without_a_word_of_it_the_guess_remains_and_is_called_one(
    stage: Stage, purpose: str
) -> None:
    assert purpose_of(stage) == (purpose, True)


def test_what_is_said_holds_against_every_word_of_the_name() -> None:
    said = replace(RESTED, purpose="hold")
    assert purpose_of(said) == ("hold", False)
    assert not is_rest(said)
    assert not warms_up(replace(HOT, purpose="cook"))
    assert wraps_at(replace(WRAPPED, purpose="cook")) is None
    assert wraps_at(LATER) == "end"
    assert wraps_at(replace(LATER, purpose="cook")) is None
    # And in another language than English.
    assert is_rest(Stage("s", "Ruhen lassen", (UntilSaid(),), purpose="rest"))
    assert wraps_at(Stage("s", "In Papier", (UntilSaid(),), purpose="wrap")) == "begin"
    assert warms_up(Stage("s", "Anheizen", (UntilSaid(),), pit_target_c=110.0, purpose="warm_up"))


@pytest.mark.parametrize("units", [METRIC, US])
def test_every_stage_to_begin_with_says_what_it_is_for(units: object) -> None:
    stages = [stage for schedule in starters(units) for stage in schedule.stages]  # type: ignore[arg-type]
    assert len(stages) > 12
    assert all(stage.purpose for stage in stages)
