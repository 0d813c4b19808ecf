"""What a change of the schedule is called."""

from __future__ import annotations

from dataclasses import replace

from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.cook.plan.schedule_changes import change_lines
from smokejournal.cook.text.quantities import METRIC

SMOKE = Stage("s1", "Smoke", (UntilTemperature(70.0),), pit_target_c=107.0)
HOLD = Stage("s2", "Hold", (ForTime(1800.0),))
REST = Stage("s3", "Rest", (ForTime(600.0),))
PLAN = Schedule("Trout", (SMOKE, HOLD, REST))


def lines(*stages: Stage) -> tuple[str, ...]:
    return change_lines(PLAN, Schedule("Trout", stages), METRIC)


def test_the_same_says_nothing() -> None:
    assert lines(*PLAN.stages) == ()


def test_another_target_says_both() -> None:
    hotter = replace(SMOKE, rules=(UntilTemperature(72.0),))
    (line,) = lines(hotter, HOLD, REST)
    assert line.startswith("Smoke: pit at 107 °C until")
    assert "72 °C" in line.split("Before:")[0]
    assert "70 °C" in line.split("Before:")[1]


def test_order_new_and_left_out() -> None:
    assert lines(SMOKE, REST, HOLD) == ("The order is now: Smoke, Rest, Hold.",)
    assert lines(SMOKE, REST) == ("Hold is left out.",)
    (line,) = lines(SMOKE, HOLD, REST, Stage("s4", "Slice", (ForTime(60.0),)))
    assert line.startswith("Slice is new: ")


def test_a_new_name_or_alert() -> None:
    assert lines(replace(SMOKE, name="Low"), HOLD, REST) == ("Low was called Smoke.",)
    (line,) = lines(replace(SMOKE, alert="insistent"), HOLD, REST)
    assert line == "Smoke: another instruction, alert or longest time."
