"""Schedules in words."""

from __future__ import annotations

import datetime as dt

import pytest

from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import (
    ForTime,
    Rule,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.plan.schedule_words import rule_words, stage_words
from smokejournal.cook.text.quantities import METRIC, US

EVENING_S = dt.datetime(2026, 7, 4, 16, 40, tzinfo=dt.UTC).timestamp()


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        (UntilTemperature(74.0), "until the lead probe is at 74 °C"),
        (
            UntilTemperature(60.0, "falling", channel="check"),
            "until the check probe is down to 60 °C",
        ),
        (
            UntilTemperature(93.0, prove_s=600.0),
            "until the lead probe is at 93 °C and has stayed there for 10 min",
        ),
        (UntilTemperature(107.0, channel="pit"), "until the pit is at 107 °C"),
        (UntilTemperature(74.0, channel="a"), "until “Thigh” is at 74 °C"),
        (UntilTemperature(74.0, channel="b"), "until “b” is at 74 °C"),
        (ForTime(5400.0), "for 1 h 30 min"),
        (ForTime(1800.0, 74.0), "for 30 min with the lead probe at or above 74 °C"),
        (UntilClock(EVENING_S), "until 18:40 on 4 Jul 2026"),
        (UntilSaid(), "until you confirm"),
    ],
)
def test_a_rule_in_words(rule: Rule, words: str) -> None:
    assert rule_words(rule, METRIC, {"a": Channel("a", "Thigh")}, "Europe/Berlin") == words


def test_a_stage_in_words_and_in_fahrenheit() -> None:
    stage = Stage(
        "s1", "Smoke", (UntilTemperature(73.9), ForTime(3600.0)), pit_target_c=107.2, ending="waits"
    )
    assert stage_words(stage, US) == (
        "pit at 225 °F until the lead probe is at 165 °F or for 1 h, then waits for you"
    )
    assert stage_words(Stage("s1", "Odd", ()), METRIC) == "without an end"
