"""Which ground the time of day or the system asks for."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.services.program.ground import ground_by_rule
from smokejournal.services.program.settings import Settings

BERLIN = "Europe/Berlin"


def at(hour: int, minute: int = 0, zone: str = BERLIN) -> float:
    return datetime(2026, 6, 3, hour, minute, tzinfo=ZoneInfo(zone)).timestamp()


def by_time(from_h: float = 20, to_h: float = 6, **more: object) -> Settings:
    return Settings(ground_by="time", night_from_s=from_h * 3600, night_to_s=to_h * 3600, **more)


@pytest.mark.parametrize(
    ("hour", "minute", "wanted"),
    [
        (19, 59, "day"),
        (20, 0, "night"),
        (23, 59, "night"),
        (0, 0, "night"),
        (5, 59, "night"),
        (6, 0, "day"),
        (12, 0, "day"),
    ],
)
def test_over_midnight(hour: int, minute: int, wanted: str) -> None:
    assert ground_by_rule(by_time(), at(hour, minute), BERLIN, None) == wanted


def test_within_one_day_and_in_the_zone_that_is_asked_for() -> None:
    kept = by_time(1, 5)
    assert ground_by_rule(kept, at(3), BERLIN, None) == "night"
    assert ground_by_rule(kept, at(3), "America/Chicago", None) == "day"  # 20:00 there
    assert ground_by_rule(kept, at(5), BERLIN, None) == "day"


def test_by_light_it_is_the_one_that_was_chosen() -> None:
    assert ground_by_rule(by_time(ground="sun"), at(12), BERLIN, None) == "sun"
    assert ground_by_rule(by_time(ground="night"), at(12), BERLIN, None) == "day"


def test_as_the_system() -> None:
    kept = Settings(ground_by="system")
    assert ground_by_rule(kept, at(23), BERLIN, False) == "day"
    assert ground_by_rule(kept, at(12), BERLIN, True) == "night"
    assert ground_by_rule(kept, at(12), BERLIN, None) is None


@given(st.floats(0, 4e9), st.sampled_from([True, False, None]))
def test_by_hand_no_rule_asks(now_s: float, dark: bool | None) -> None:
    assert ground_by_rule(Settings(), now_s, BERLIN, dark) is None


@given(st.integers(0, 86_399), st.integers(0, 86_399), st.integers(0, 86_399))
def test_the_hours_the_other_way_round_are_the_rest_of_the_day(
    now_s: int, from_s: int, to_s: int
) -> None:
    if from_s == to_s:
        return
    there = ground_by_rule(by_time(from_s / 3600, to_s / 3600), now_s, "UTC", None)
    back = ground_by_rule(by_time(to_s / 3600, from_s / 3600), now_s, "UTC", None)
    assert {there, back} == {"day", "night"}
