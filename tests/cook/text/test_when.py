"""When something happened: minutes ago and clock times, never in the future."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.text.quantities import QuantityError, clock_time
from smokejournal.cook.text.when import parse_when

ZONE = "Europe/Berlin"
NOW = 1_790_000_000.0  # 21 Sep 2026, 16:13:20 in Berlin


def test_nothing_is_now():
    assert parse_when("  ", ZONE, NOW, "When") == NOW


@pytest.mark.parametrize(("text", "back_s"), [("-10", 600), ("-1:30", 5400), ("−2 h", 7200)])
def test_minutes_ago(text, back_s):
    assert parse_when(text, ZONE, NOW, "When") == NOW - back_s


def test_clock_time_earlier_today():
    assert NOW - parse_when("15:40", ZONE, NOW, "When") == 33 * 60 + 20


def test_clock_time_later_than_now_is_yesterday():
    at_s = parse_when("18:40", ZONE, NOW, "When")
    assert NOW - 86400 < at_s < NOW


def test_the_minute_that_has_begun_is_now():
    assert parse_when("16:14", ZONE, NOW, "When") == NOW
    assert parse_when("4:13 pm", ZONE, NOW, "When") == NOW - 20


@pytest.mark.parametrize("text", ["soon", "25:00", "10", "-", "-soon"])
def test_what_is_no_time_is_refused_with_what_to_type(text):
    with pytest.raises(QuantityError) as caught:
        parse_when(text, ZONE, NOW, "When")
    assert caught.value.message.startswith("When: Type ")


@given(st.integers(0, 23), st.integers(0, 59), st.floats(1.5e9, 2e9))
def test_never_the_future_and_the_clock_shows_what_was_typed(hour, minute, now_s):
    text = f"{hour:02d}:{minute:02d}"
    at_s = parse_when(text, "UTC", now_s, "When")
    assert now_s - 86400.0 - 60 <= at_s <= now_s
    assert clock_time(at_s, "UTC") == text or now_s - at_s == 0
