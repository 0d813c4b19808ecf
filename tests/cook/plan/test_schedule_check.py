"""What speaks against a schedule, and that sound ones are left alone."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import (
    ForTime,
    Rule,
    Schedule,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.plan.schedule_check import Setting, check, least_s
from smokejournal.cook.text.quantities import US

CHANNELS = {
    "a": Channel("a", "Thick end"),
    "b": Channel("b", "Thin end"),
    "p": Channel("p", "Grate", role="pit"),
}
NOW_S = dt.datetime(2026, 5, 2, 9, 0, tzinfo=dt.UTC).timestamp()
SETTING = Setting(lead="a", check="b", now_s=NOW_S, zone="Europe/Berlin")


def _stage(key: str, *rules: Rule, **more: Any) -> Stage:
    return Stage(key, more.pop("name", key.title()), rules=rules, **more)


def _texts(*stages: Stage, setting: Setting = SETTING) -> list[str]:
    return [w.text for w in check(Schedule("", stages), CHANNELS, setting)]


def test_a_common_schedule_is_left_alone() -> None:
    assert not _texts(
        _stage("warm", UntilTemperature(107.0, channel="pit"), pit_target_c=107.0),
        _stage("smoke", UntilTemperature(74.0), pit_target_c=107.0),
        _stage("hold", ForTime(1800.0, at_least_c=74.0, dip_c=1.0), pit_target_c=107.0),
        _stage("wrap", UntilSaid(), ending="waits"),
        _stage("finish", UntilTemperature(93.0), pit_target_c=120.0, guard_s=6 * 3600.0),
        _stage("rest", UntilTemperature(65.0, "falling"), ForTime(3600.0), combine="any"),
        _stage("serve", UntilClock(NOW_S + 12 * 3600.0)),
    )


@pytest.mark.parametrize(
    ("stage", "words"),
    [
        (
            _stage("s", UntilTemperature(107.0), pit_target_c=107.0),
            "never gets hotter than the pit",
        ),
        (
            _stage("s", UntilTemperature(120.0), pit_target_c=107.0),
            "never gets hotter than the pit",
        ),
        (_stage("s", UntilTemperature(104.0), pit_target_c=107.0), "take very long"),
        (_stage("s", ForTime(60.0, at_least_c=107.0), pit_target_c=107.0), "it never counts"),
        (
            _stage("s", UntilTemperature(120.0, channel="pit"), pit_target_c=107.0),
            "The pit should rise",
        ),
        (
            _stage("s", ForTime(60.0, at_least_c=120.0, channel="pit"), pit_target_c=107.0),
            "the pit is set",
        ),
        (_stage("s", ForTime(60.0, at_least_c=107.0, channel="p"), pit_target_c=107.0), "swings"),
        (
            _stage("s", UntilTemperature(74.0, channel="x"), pit_target_c=107.0),
            "“x”, which this cook",
        ),
        (_stage("s", pit_target_c=107.0), "no end"),
        (_stage("s", UntilSaid(), pit_target_c=107.0), "Nothing calls you"),
        (_stage("s", UntilTemperature(74.0)), "No pit target so far"),
        (_stage("s", ForTime(60.0, at_least_c=60.0)), "No pit target so far"),
        (
            _stage("s", UntilTemperature(30.0, "falling"), pit_target_c=107.0),
            "Clear the pit target",
        ),
        (_stage("s", UntilTemperature(30.0, "falling")), "no stage before heats"),
        (_stage("s", UntilClock(NOW_S - 1.0)), "is past"),
        (_stage("s", ForTime(1800.0), guard_s=1200.0), "20 min is no longer than the 30 min"),
        (_stage("s", ForTime(60.0), UntilSaid(), combine="all"), "waits for you to confirm"),
        (_stage("s", ForTime(60.0), name=" "), "no name"),
        (_stage("s", ForTime(60.0), pit_target_c=400.0), "hotter than smokers"),
        (_stage("s", ForTime(60.0), pit_target_c=280.0), "set dripping fat alight"),
    ],
)
def test_what_cannot_work_is_said(stage: Stage, words: str) -> None:
    texts = _texts(stage)
    assert any(words in text for text in texts), texts
    assert all(text.endswith(".") for text in texts)


def test_no_stages_is_said_once() -> None:
    assert _texts() == ["There are no stages yet. Add one."]


@pytest.mark.parametrize(("role", "word"), [("lead", "lead"), ("check", "check"), ("pit", "pit")])
def test_a_probe_that_is_not_chosen_is_said(role: str, word: str) -> None:
    stage = _stage("s", UntilTemperature(74.0, channel=role), pit_target_c=107.0)
    (warning,) = check(Schedule("", (stage,)), {}, Setting())
    assert f"the {word}" in warning.text
    assert warning.weight == "broken"
    # A lead that was chosen and then taken away is no lead either.
    assert check(Schedule("", (stage,)), {}, Setting(lead="gone", check="gone"))


def test_a_falling_target_must_be_below_what_the_stage_before_leaves() -> None:
    smoke = _stage("smoke", UntilTemperature(74.0), pit_target_c=107.0)
    assert any(
        "Set the target below that" in t
        for t in _texts(smoke, _stage("rest", UntilTemperature(74.0, "falling")))
    )
    assert not _texts(smoke, _stage("rest", UntilTemperature(60.0, "falling")))
    # The same probe called by its key.
    assert _texts(smoke, _stage("rest", UntilTemperature(80.0, "falling", channel="a")))


def test_a_rising_target_below_one_before_is_over_at_once() -> None:
    first = _stage("s1", UntilTemperature(80.0), pit_target_c=107.0)
    again = _stage("s2", UntilTemperature(70.0), pit_target_c=107.0)
    assert any("end" in t for t in _texts(first, again))
    cooled = _stage("s3", UntilTemperature(50.0, "falling"))
    assert not _texts(first, cooled, again)


def test_clock_times_are_held_against_each_other_and_the_stages_before() -> None:
    smoke = _stage("smoke", ForTime(3 * 3600.0), pit_target_c=90.0)
    assert not _texts(smoke, _stage("serve", UntilClock(NOW_S + 4 * 3600.0)))
    assert any(
        "too early" in t and "14:00" in t
        for t in _texts(smoke, _stage("serve", UntilClock(NOW_S + 2 * 3600.0)))
    )
    late = _stage("late", UntilClock(NOW_S + 7200.0))
    assert any(
        "is not after" in t and "Late" in t
        for t in _texts(late, _stage("serve", UntilClock(NOW_S + 3600.0)))
    )


def test_stages_that_are_over_are_not_found_fault_with() -> None:
    stage = _stage("s1", UntilTemperature(120.0), pit_target_c=107.0)
    after = _stage("s2", UntilTemperature(60.0, "falling"))
    setting = Setting(lead="a", done=("s1",))
    assert not check(Schedule("", (stage, after)), CHANNELS, setting)


def test_temperatures_are_told_in_the_persons_units() -> None:
    stage = _stage("s", UntilTemperature(110.0), pit_target_c=107.2)
    (text,) = _texts(stage, setting=Setting(lead="a", units=US))
    assert "230 °F" in text
    assert "225 °F" in text


durations = st.floats(1.0, 1e5)
temperatures = st.floats(-40.0, 500.0)
a_rule = st.one_of(
    st.builds(UntilTemperature, temperatures, st.sampled_from(["rising", "falling"])),
    st.builds(ForTime, durations, st.none() | temperatures),
    st.builds(UntilClock, st.floats(NOW_S - 1e5, NOW_S + 1e5)),
    st.just(UntilSaid()),
)
a_stage = st.builds(
    _stage,
    st.sampled_from(["s1", "s2", "s3"]),
    a_rule,
    a_rule,
    combine=st.sampled_from(["any", "all"]),
    pit_target_c=st.none() | temperatures,
    guard_s=st.none() | durations,
)


@given(st.lists(a_stage, min_size=1, max_size=5))
def test_any_schedule_can_be_checked(stages: list[Stage]) -> None:
    for warning in check(Schedule("", tuple(stages)), CHANNELS, SETTING):
        assert warning.text.endswith(".")
        assert warning.stage_key in ("s1", "s2", "s3")
        assert "{" not in warning.text


@given(st.floats(-40.0, 500.0), st.floats(-40.0, 500.0))
def test_meat_at_or_above_the_pit_is_always_broken(pit_c: float, target_c: float) -> None:
    stage = _stage("s", UntilTemperature(target_c), pit_target_c=pit_c)
    broken = [
        w
        for w in check(Schedule("", (stage,)), CHANNELS, SETTING)
        if w.weight == "broken" and "hotter than the pit" in w.text
    ]
    assert bool(broken) == (target_c >= pit_c)


def test_the_least_time_of_a_stage() -> None:
    assert least_s(_stage("s", ForTime(60.0), ForTime(600.0), combine="any")) == 60.0
    assert least_s(_stage("s", ForTime(60.0), ForTime(600.0), combine="all")) == 600.0
    assert least_s(_stage("s", ForTime(60.0), UntilClock(NOW_S), combine="any")) == 0.0
    assert least_s(_stage("s", ForTime(60.0), UntilSaid(), combine="all")) == 60.0
    assert least_s(_stage("s")) == 0.0
