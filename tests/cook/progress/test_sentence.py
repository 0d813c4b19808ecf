"""What Tend says: every phase, and never a stale figure passed off as the temperature now."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import (
    ForTime,
    Schedule,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.progress.readout import NO_FIGURE, readouts
from smokejournal.cook.progress.sentence import sentence
from smokejournal.cook.progress.standing import ChannelState, RuleState, StageRun, Standing
from smokejournal.cook.text.quantities import METRIC, US

ZONE = "Europe/Berlin"
NOW = 1_790_000_000.0  # 21 Sep 2026, 16:13:20 in Berlin

REACH = UntilTemperature(74.0, prove_s=60.0)
HOLD = ForTime(1800.0, at_least_c=74.0, dip_c=1.0, dip_mode="start_over", dip_s=60.0)
SMOKE = Stage("s1", "Smoke", (REACH,), pit_target_c=107.0, instruction="Keep the lid down.")
HOLDING = Stage("s2", "Hold", (HOLD,))
REST = Stage("s3", "Rest", (ForTime(1200.0),), ending="waits", instruction="Tent it loosely.")
SCHEDULE = Schedule("Shoulder", (SMOKE, HOLDING, REST))
LEFT = Channel("left", "Left shoulder", offset_c=2.2)
RIGHT = Channel("right", "Right shoulder")
AIR = Channel("grate", "Grate", role="pit")


def channels(status="good", **more) -> dict[str, ChannelState]:
    lead = ChannelState(LEFT, status, NOW - 12, 61.0, 58.8, 6.0)
    return {
        "grate": ChannelState(AIR, "good", NOW - 3, 107.2, 107.2, -0.1),
        "left": replace(lead, **more),
        "right": ChannelState(RIGHT, "good", NOW - 5, 59.5, 59.5, 5.5),
    }


def standing(run: StageRun | None = None, upcoming=(HOLDING, REST), **more) -> Standing:
    given = {
        "at_s": NOW,
        "phase": "running",
        "schedule": SCHEDULE,
        "started_at_s": NOW - 7800,
        "runs": (run,) if run is not None else (),
        "upcoming": upcoming,
        "channels": channels(),
        "lead": "left",
        "check": "right",
    }
    return Standing(**{**given, **more})


def test_planned_says_what_comes_first():
    said = sentence(standing(phase="planned", upcoming=SCHEDULE.stages), METRIC, ZONE)
    assert said.now == "This cook hasn't begun."
    assert said.next == "First comes Smoke until Left shoulder reaches 74 °C."
    assert said.wants_hand


def test_planned_without_a_schedule_says_where_to_make_one():
    said = sentence(standing(phase="planned", upcoming=()), METRIC, ZONE)
    assert "no schedule" in said.now
    assert "Plan" in said.waits_for


def test_running_names_stage_rule_and_what_follows():
    said = sentence(standing(StageRun(SMOKE, NOW - 7800, (RuleState(REACH),))), METRIC, ZONE)
    assert said.now == "Smoke: 2 h 10 min so far."
    assert said.waits_for == "Hold begins when Left shoulder reaches 74 °C (now 61)."
    assert said.since == ""
    assert said.next == ("Then Hold for 30 min with Left shoulder at 74 °C or above.")
    assert said.instruction == "Keep the lid down."
    assert not said.wants_hand


def test_the_same_in_fahrenheit():
    said = sentence(standing(StageRun(SMOKE, NOW - 60, (RuleState(REACH),))), US, ZONE)
    assert "165 °F" in said.waits_for


def test_proving_says_how_long_it_has_been_true():
    run = StageRun(SMOKE, NOW - 7800, (RuleState(REACH, since_s=NOW - 40),))
    said = sentence(standing(run), METRIC, ZONE)
    assert said.since == "At or above 74 °C for 40 s of 60 s to make sure."


@pytest.mark.parametrize(
    ("purpose", "then", "name", "words"),
    [
        ("cook", "wrap", "Wrapped", "Wrap it in 20 min."),
        ("cook", "rest", "Rest", "Take it off to rest in 20 min."),
        ("warm_up", "cook", "Smoke", "Put the food on in 20 min."),
        ("rest", "rest", "Second rest", "Second rest begins in 20 min."),
        ("cook", "hold", "{Hold} 60 %s", "{Hold} 60 %s begins in 20 min."),
    ],
)
def test_what_is_done_as_the_stage_ends_is_said_by_what_comes_next(purpose, then, name, words):
    stage = Stage("a", "Now", (ForTime(1800.0),), purpose=purpose)
    following = Stage("b", name, (UntilSaid(),), purpose=then)
    run = StageRun(stage, NOW - 600, (RuleState(ForTime(1800.0), None, NOW, 600.0),))
    said = sentence(standing(run, (following,)), METRIC, ZONE)
    assert said.now == "Now: 10 min so far."
    assert said.waits_for == words
    assert sentence(standing(run, ()), METRIC, ZONE).waits_for == "Done in 20 min."


@pytest.mark.parametrize(
    ("value_c", "units", "now"),
    [
        (61.2, METRIC, "(now 61)"),
        (73.6, METRIC, "(now 73.6)"),
        (73.98, METRIC, "(nearly there)"),
        (74.2, METRIC, "(now 74)"),
        (73.8, US, "(now 164.8)"),
    ],
)
def test_a_figure_never_reads_as_there_before_it_is(value_c, units, now):
    run = StageRun(SMOKE, NOW - 7800, (RuleState(REACH),))
    said = sentence(standing(run, channels=channels(value_c=value_c)), units, ZONE)
    assert said.waits_for.endswith(f" {now}.")


def test_falling_rule_comes_down():
    cool = UntilTemperature(60.0, "falling", 60.0, "pit")
    run = StageRun(Stage("c", "Cool", (cool,)), NOW - 600, (RuleState(cool, since_s=NOW - 5),))
    said = sentence(standing(run), METRIC, ZONE)
    assert said.waits_for == "Hold begins when the pit is down to 60 °C (now 107)."
    assert said.since.startswith("At or below 60 °C")


def test_hold_counts():
    run = StageRun(HOLDING, NOW - 900, (RuleState(HOLD, None, NOW - 750, 750.0, 1800.0),))
    said = sentence(standing(run, (REST,)), METRIC, ZONE)
    assert said.since == "12 min of 30 min counted, 18 min to go."


def test_hold_never_reads_as_full_before_it_is():
    run = StageRun(HOLDING, NOW - 1900, (RuleState(HOLD, None, NOW - 1799, 1799.0, 1800.0),))
    said = sentence(standing(run, (REST,)), METRIC, ZONE)
    assert said.since == "29 min of 30 min counted, 1 s to go."


def test_hold_that_paused_says_why():
    run = StageRun(HOLDING, NOW - 900, (RuleState(HOLD, None, None, 720.0, 1800.0),))
    said = sentence(standing(run, (REST,)), METRIC, ZONE)
    assert said.since == ("The count is stopped at 12 min of 30 min: Left shoulder is below 74 °C.")


def test_hold_that_started_over_says_so():
    run = StageRun(HOLDING, NOW - 900, (RuleState(HOLD, None, NOW - 30, 30.0, 1800.0, None, 2),))
    said = sentence(standing(run, (REST,)), METRIC, ZONE)
    assert said.since == (
        "Started over after a dip (2 times). 30 s of 30 min counted, 30 min to go."
    )


def test_hold_with_a_silent_lead_gives_the_silence_as_the_reason():
    run = StageRun(HOLDING, NOW - 900, (RuleState(HOLD, None, None, 720.0, 1800.0),))
    said = sentence(
        standing(run, (REST,), channels=channels("silent", at_s=NOW - 240)), METRIC, ZONE
    )
    assert "Left shoulder gives no good reading" in said.since
    assert said.trouble == (
        "The last reading from Left shoulder came 4 min ago. Look at its plug and cable, "
        "or let Right shoulder lead."
    )


@pytest.mark.parametrize(
    ("status", "more", "words"),
    [
        ("none", {"at_s": None, "value_c": None}, "No reading has come from Left shoulder yet."),
        ("absurd", {"raw_c": 812.0}, "Left shoulder says 812 °C, which can't be."),
        ("jumped", {}, "Left shoulder jumped, as if it was pulled out."),
    ],
)
def test_a_lead_that_cannot_be_trusted_is_told_with_a_cure(status, more, words):
    run = StageRun(SMOKE, NOW - 60, (RuleState(REACH),))
    said = sentence(standing(run, channels=channels(status, **more)), METRIC, ZONE)
    assert said.trouble.startswith(words)
    assert said.trouble.endswith("or let Right shoulder lead.")


def test_a_silent_check_probe_is_not_offered():
    run = StageRun(SMOKE, NOW - 60, (RuleState(REACH),))
    both = channels("silent")
    both["right"] = replace(both["right"], status="silent")
    said = sentence(standing(run, channels=both), METRIC, ZONE)
    assert "let" not in said.trouble


def test_a_rule_for_a_probe_that_is_not_there():
    run = StageRun(SMOKE, NOW - 60, (RuleState(REACH),))
    said = sentence(standing(run, lead=None), METRIC, ZONE)
    assert "this cook has none" in said.trouble


def test_waiting_for_the_cook():
    run = StageRun(REST, NOW - 1500, (RuleState(ForTime(1200.0), NOW - 300),), NOW - 300)
    said = sentence(standing(run, ()), METRIC, ZONE)
    assert said.now == "Rest is done and waits for you."
    assert said.since == "Done since 16:08, 5 min ago."
    assert said.next == "That is the last stage."
    assert said.waits_for == "Confirm when you have seen to it."
    assert said.wants_hand


def test_until_said_and_put_back_and_guard():
    trim = Stage("t", "Trim")
    said = sentence(standing(StageRun(trim, NOW - 60, (RuleState(UntilSaid()),))), METRIC, ZONE)
    assert said.waits_for == "Confirm when it is over."
    assert said.wants_hand
    run = StageRun(SMOKE, NOW - 7800, (RuleState(REACH),), wants_word=True, guard_at_s=NOW - 3600)
    said = sentence(standing(run), METRIC, ZONE)
    assert "when you confirm" in said.since
    assert "longest time since 15:13" in said.trouble


def test_a_longest_time_that_is_still_to_come_is_no_trouble():
    run = StageRun(SMOKE, NOW - 7800, (RuleState(REACH),), guard_at_s=NOW + 60)
    assert sentence(standing(run), METRIC, ZONE).trouble == ""
    run = StageRun(REST, NOW - 60, (), NOW - 30, guard_at_s=NOW + 60)
    assert sentence(standing(run), METRIC, ZONE).trouble == ""


def test_several_rules():
    clock = UntilClock(NOW + 1500)
    stage = Stage("m", "Smoke", (REACH, clock))
    run = StageRun(stage, NOW - 60, (RuleState(REACH), RuleState(clock)))
    said = sentence(standing(run), METRIC, ZONE)
    assert said.waits_for == (
        "Hold begins when Left shoulder reaches 74 °C (now 61) or at 16:38 (in 25 min), "
        "whichever comes first."
    )
    assert said.since == ""
    both = replace(stage, combine="all")
    run = StageRun(both, NOW - 60, (RuleState(REACH, NOW - 30), RuleState(clock)))
    said = sentence(standing(run), METRIC, ZONE)
    assert said.waits_for == "Hold begins at 16:38 (in 25 min)."
    assert said.since.startswith("74 °C was reached at 16:12.")


def test_done_and_closed():
    run = StageRun(REST, NOW - 1500, (), NOW - 300, NOW - 300, "confirmed")
    said = sentence(standing(run, (), phase="done"), METRIC, ZONE)
    assert said.now == "All stages are done."
    assert said.since == "Rest ended at 16:08, 5 min ago."
    said = sentence(standing(run, (), phase="closed", ended_at_s=NOW - 60), METRIC, ZONE)
    assert said.now == "The cook is over."
    assert said.since == "It took 2 h 9 min, from 14:03 to 16:12."


def test_readouts_lead_first_and_marked():
    first, second, third = readouts(standing(), METRIC)
    assert (first.name, first.mark, first.figure, first.unit) == (
        "Left shoulder",
        "lead",
        "61.0",
        "°C",
    )
    assert first.age == "12 s ago"
    assert first.trend == "up 6.0 °C/h"
    assert first.correction == "corrected by +2.2 °C"
    assert first.current
    assert second.mark == "check"
    assert (third.figure, third.mark, third.trend) == ("107", "pit", "steady")


def test_readouts_that_are_not_current_say_so():
    silent = readouts(standing(channels=channels("silent", at_s=NOW - 240)), METRIC)[0]
    assert not silent.current
    assert silent.age == "4 min ago"
    assert silent.remark == "Silent. Look at plug and cable."
    assert silent.trend == ""
    absurd = readouts(standing(channels=channels("absurd", raw_c=812.0)), METRIC)[0]
    assert absurd.figure == NO_FIGURE
    assert "812 °C" in absurd.remark
    none = readouts(standing(channels=channels("none", at_s=None, value_c=None)), METRIC)[0]
    assert none.figure == NO_FIGURE
    assert none.age == ""


def test_what_to_do_is_told_once_where_several_are_silent():
    silent = {
        key: replace(state, status="silent", at_s=NOW - 240) for key, state in channels().items()
    }
    said = [one.remark for one in readouts(standing(channels=silent), METRIC)]
    assert said == ["Silent. Look at plug and cable.", "Silent.", "Silent."]
    mixed = silent | {"right": replace(silent["right"], status="jumped")}
    said = [one.remark for one in readouts(standing(channels=mixed), METRIC)]
    assert said[1].startswith("Jumped, as if pulled out. Put it back")
    assert said[2] == "Silent."


@given(
    status=st.sampled_from(["none", "silent", "absurd", "jumped"]),
    age_s=st.floats(0, 1e6),
    value_c=st.floats(-1e4, 1e4),
    rule=st.sampled_from([REACH, HOLD]),
    counted_s=st.floats(0, 1800),
    restarts=st.integers(0, 3),
)
def test_what_cannot_be_trusted_is_never_told_as_now(
    status, age_s, value_c, rule, counted_s, restarts
):
    more = {"at_s": NOW - age_s, "value_c": value_c, "raw_c": value_c}
    stage = Stage("x", "Smoke", (rule,))
    run = StageRun(
        stage, NOW - 900, (RuleState(rule, None, NOW - 20, counted_s, 1800, None, restarts),)
    )
    at = standing(run, channels=channels(status, **more))
    said = sentence(at, METRIC, ZONE)
    assert said.trouble
    assert "to make sure" not in said.since
    assert "to go" not in said.since
    shown = readouts(at, METRIC)[0]
    assert not shown.current
    assert shown.remark
    assert shown.trend == ""
