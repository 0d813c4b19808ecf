"""Schedules written and read back, and what is refused."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.codec import schedules as codec
from smokejournal.cook.codec.schedules import schedule_from_json, schedule_to_json
from smokejournal.cook.log import schedule as ends
from smokejournal.cook.log.schedule import (
    ForTime,
    Schedule,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import one_line

temperatures = st.floats(*ends.TEMPERATURE_C)
durations = st.floats(*ends.DURATION_S)
prose = st.text(st.characters(codec="utf-8"), max_size=30)
names = prose.map(one_line)
keys = st.text(st.characters(codec="utf-8"), min_size=1, max_size=8)

rules = st.one_of(
    st.builds(
        UntilTemperature,
        target_c=temperatures,
        direction=st.sampled_from(["rising", "falling"]),
        prove_s=st.floats(*ends.PROVE_S),
        channel=keys,
    ),
    st.builds(
        ForTime,
        duration_s=durations,
        at_least_c=st.none() | temperatures,
        channel=keys,
        dip_c=st.floats(*ends.DIP_C),
        dip_mode=st.sampled_from(["pause", "start_over"]),
        dip_s=st.floats(*ends.PROVE_S),
    ),
    st.builds(UntilClock, at_s=st.floats(*ends.CLOCK_S)),
    st.just(UntilSaid()),
)
stages = st.builds(
    Stage,
    key=keys,
    name=names,
    rules=st.lists(rules, max_size=4).map(tuple),
    combine=st.sampled_from(["any", "all"]),
    pit_target_c=st.none() | temperatures,
    instruction=prose,
    alert=st.sampled_from(["none", "chime", "insistent"]),
    ending=st.sampled_from(["by_itself", "waits"]),
    purpose=st.sampled_from(["", "warm_up", "cook", "wrap", "hold", "rest"]),
    guard_s=st.none() | durations,
)
schedules = st.builds(
    Schedule,
    name=names,
    stages=st.lists(stages, max_size=5, unique_by=lambda s: s.key).map(tuple),
)


@given(schedules)
def test_a_schedule_reads_back_exactly_through_json(schedule: Schedule) -> None:
    text = json.dumps(schedule_to_json(schedule), allow_nan=False)
    assert schedule_from_json(json.loads(text)) == schedule
    codec.validate_schedule(schedule)


json_values = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=8,
)


@given(json_values)
def test_anything_else_is_refused_with_its_place(data: Any) -> None:
    problem = None
    try:
        schedule_from_json(data)
    except SchemaProblem as caught:
        problem = caught
    if problem is None:
        assert data == {}
    else:
        assert problem.where.startswith("schedule")
        assert problem.message.endswith(".")


def _written(**changes: Any) -> dict[str, Any]:
    rule: dict[str, Any] = {"kind": "until_temperature", "target_c": 74.0}
    stage: dict[str, Any] = {"key": "s1", "name": "Smoke", "rules": [rule]}
    for path, value in changes.items():
        target = rule if path.startswith("rule_") else stage
        target[path.removeprefix("rule_")] = value
    return {"name": "Trout", "stages": [stage]}


def test_what_has_a_default_may_be_left_out() -> None:
    stage = schedule_from_json(_written()).stages[0]
    assert stage == Stage("s1", "Smoke", rules=(UntilTemperature(74.0),))


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"rule_target_c": float("nan")}, "schedule.stages[0].rules[0].target_c"),
        ({"rule_target_c": float("inf")}, "schedule.stages[0].rules[0].target_c"),
        ({"rule_target_c": 10**400}, "schedule.stages[0].rules[0].target_c"),
        ({"rule_target_c": "74"}, "schedule.stages[0].rules[0].target_c"),
        ({"rule_target_c": True}, "schedule.stages[0].rules[0].target_c"),
        ({"rule_target_c": None}, "schedule.stages[0].rules[0].target_c"),
        ({"rule_kind": "until_bored"}, "schedule.stages[0].rules[0].kind"),
        ({"rule_kind": []}, "schedule.stages[0].rules[0].kind"),
        ({"rule_channel": ""}, "schedule.stages[0].rules[0].channel"),
        ({"rule_color": "red"}, "schedule.stages[0].rules[0].color"),
        ({"guard_s": 0.0}, "schedule.stages[0].guard_s"),
        ({"ending": "at once"}, "schedule.stages[0].ending"),
        ({"name": "\ud800"}, "schedule.stages[0].name"),
        ({"key": ""}, "schedule.stages[0].key"),
        ({"rules": {}}, "schedule.stages[0].rules"),
        ({"rules": "until"}, "schedule.stages[0].rules"),
        ({"pit_target_c": 900}, "schedule.stages[0].pit_target_c"),
    ],
)
def test_the_place_of_what_is_wrong_is_named(changes: dict[str, Any], where: str) -> None:
    with pytest.raises(SchemaProblem) as caught:
        schedule_from_json(_written(**changes))
    assert caught.value.where == where


def test_a_missing_field_and_a_double_key_are_named() -> None:
    with pytest.raises(SchemaProblem) as caught:
        schedule_from_json({"name": "", "stages": [{"key": "s1"}]})
    assert caught.value.where == "schedule.stages[0].name"
    twice = {"key": "s1", "name": "Smoke"}
    with pytest.raises(SchemaProblem) as caught:
        schedule_from_json({"name": "", "stages": [twice, twice]})
    assert caught.value.where == "schedule.stages[1].key"
