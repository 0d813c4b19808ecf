"""Dates as the person likes them: the day first, or the month."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.text.quantities import METRIC, US, date, date_time, day

AT_S = 1_780_000_000.0  # 28 May 2026, 20:26:40 UTC


def test_the_day_first_and_the_month_first() -> None:
    assert date(AT_S, "UTC") == "28 May 2026"
    assert date(AT_S, "UTC", US) == "May 28, 2026"
    assert day(AT_S, "UTC", METRIC) == "28 May"
    assert day(AT_S, "UTC", US) == "May 28"
    assert date_time(AT_S, "America/Chicago", US) == "May 28, 2026, 3:26 pm"


@given(st.floats(0, 4e9))
def test_both_name_the_same_day(at_s: float) -> None:
    metric, us = (date(at_s, "UTC", units).replace(",", "").split() for units in (METRIC, US))
    assert sorted(metric) == sorted(us)
