"""Ticks stand at round times on the cook's clock and at round degrees on the reader's scale."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.score.ticks import (
    clock_ticks,
    since_text,
    since_ticks,
    temperature_range,
    temperature_ticks,
    time_step_s,
)
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.cook.text.times import local
from smokejournal.science.numbers.units import f_from_c
from tests.support.score_examples import shoulder


def utc(year: int, month: int, day: int, hour: int, minute: int = 0) -> float:
    return datetime(year, month, day, hour, minute, tzinfo=UTC).timestamp()


def test_clocks_go_back_in_berlin() -> None:
    # Directive 2000/84/EC: summer time ends on the last Sunday of October at 01:00 UTC, so the local
    # hour from 02:00 comes twice on 25 October 2026.
    ticks = clock_ticks(utc(2026, 10, 24, 22), utc(2026, 10, 25, 4), "Europe/Berlin", METRIC, 8)
    assert [tick.text for tick in ticks] == [
        "00:00",
        "01:00",
        "02:00",
        "02:00",
        "03:00",
        "04:00",
        "05:00",
    ]
    assert ticks[3].at - ticks[2].at == 3600.0
    assert ticks[0].under == "25 Oct"


def test_clocks_go_forward_in_new_york() -> None:
    # 15 U.S.C. 260a (Energy Policy Act of 2005): daylight time begins at 2:00 am on the second Sunday
    # of March, 8 March 2026, so 2 am is left out.
    ticks = clock_ticks(utc(2026, 3, 8, 5), utc(2026, 3, 8, 9), "America/New_York", US, 8)
    told = [tick.text for tick in ticks if not tick.text.count(":")]
    assert told == ["12 am", "1 am", "3 am", "4 am", "5 am"]


def test_a_zone_off_by_three_quarters_of_an_hour_has_round_ticks() -> None:
    ticks = clock_ticks(utc(2026, 5, 1, 0), utc(2026, 5, 1, 6), "Asia/Kathmandu", METRIC, 7)
    assert [tick.text for tick in ticks] == ["06:00", "07:00", "08:00", "09:00", "10:00", "11:00"]


def test_the_date_stands_where_a_day_begins() -> None:
    ticks = clock_ticks(utc(2026, 5, 1, 20), utc(2026, 5, 2, 4), "UTC", METRIC, 9)
    assert [(tick.text, tick.under) for tick in ticks if tick.under] == [
        ("20:00", "1 May"),
        ("00:00", "2 May"),
    ]


@given(
    from_s=st.floats(1.7e9, 1.9e9),
    span_s=st.floats(60.0, 40 * 86400.0),
    room=st.integers(2, 30),
    zone=st.sampled_from(["UTC", "Europe/Berlin", "America/St_Johns", "Australia/Lord_Howe"]),
)
def test_ticks_fit_their_room_and_lie_inside(
    from_s: float, span_s: float, room: int, zone: str
) -> None:
    ticks = clock_ticks(from_s, from_s + span_s, zone, METRIC, room)
    # Two more: one for the far end, one for an hour that comes twice.
    assert len(ticks) <= room + 2
    for tick in ticks:
        assert from_s <= tick.at <= from_s + span_s
        when = local(tick.at, zone)
        assert when is not None
        assert tick.text == f"{when.hour:02d}:{when.minute:02d}"
        assert when.second == 0


def test_time_since_the_start() -> None:
    ticks = since_ticks(1000.0 - 1800.0, 1000.0 + 7200.0, 1000.0, 6)
    assert [tick.text for tick in ticks] == ["−0:30", "0:00", "0:30", "1:00", "1:30", "2:00"]
    assert since_text(11 * 3600 + 300) == "11:05"
    assert since_text(-20.0) == "0:00"


def test_steps() -> None:
    assert time_step_s(14 * 3600, 15) == 3600
    assert time_step_s(60 * 86400, 10) == 7 * 86400
    assert time_step_s(300 * 86400, 10) % 86400 == 0


def test_degrees_are_round_on_the_readers_scale() -> None:
    assert [t.text for t in temperature_ticks(0.0, 140.0, METRIC, 8)][:3] == ["0", "20", "40"]
    ticks = temperature_ticks(-10.0, 125.0, US, 11)
    assert [t.text for t in ticks][:3] == ["25", "50", "75"]
    for tick in ticks:
        assert f_from_c(tick.at) == pytest.approx(float(tick.text.replace("−", "-")))


def test_the_range_holds_all_traces_and_targets() -> None:
    score = shoulder(14.0, 30.0)
    for units in (METRIC, US):
        low, high = temperature_range(score, units)
        for trace in score.traces:
            for piece in trace.pieces:
                assert low <= piece.value_c.min()
                assert piece.value_c.max() <= high
        for target in score.targets:
            assert low <= target.value_c <= high
