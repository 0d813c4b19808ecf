"""The score as read off a log: split, corrected, planned over actual, nothing made up."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.entries import (
    AlarmAcknowledged,
    AlarmRaised,
    ChannelSet,
    CookClosed,
    FuelAdded,
    FuelLevel,
    LeadSet,
    Lid,
    Note,
    Payload,
    ReadingsStruck,
    Spritz,
    StageExtended,
    StageSkipped,
    Strike,
    WeatherObserved,
    Wrap,
)
from smokejournal.cook.log.readings import DEFAULT_GAP_S, Channel
from smokejournal.cook.log.schedule import ForTime, Stage, UntilClock, UntilSaid, UntilTemperature
from smokejournal.cook.plan.schedule_sketch import planned_end_s
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.score.from_log import score_of
from smokejournal.cook.score.score import Score, value_at
from smokejournal.cook.score.words import mark_words, moment_lines, score_words
from smokejournal.cook.text.quantities import METRIC, US
from tests.support.logs import T0, cook_log, ramp
from tests.support.score_examples import shoulder

SMOKE = Stage("s1", "Smoke", (UntilTemperature(70.0, prove_s=0.0),), pit_target_c=107.0)
HOLD = Stage("s2", "Hold", (ForTime(1800.0, at_least_c=68.0),), pit_target_c=80.0)
REST = Stage("s3", "Rest", (ForTime(1200.0),))


def score(
    stages: tuple[Stage, ...] = (SMOKE, HOLD, REST),
    said: list[tuple[float, Payload]] | None = None,
    readings: list[tuple[float, str, float]] | None = None,
    now: float = 3600.0,
    **more: object,
) -> Score:
    log = cook_log(stages, said or [], readings or [], **more)  # type: ignore[arg-type]
    return score_of(log, fold(log, T0 + now), T0 + now)


def bars(found: Score, row: str) -> list[tuple[str, float, float | None]]:
    return [
        (bar.label, bar.from_s - T0, None if bar.to_s is None else bar.to_s - T0)
        for bar in found.bars
        if (bar.row == "planned") == (row == "planned")
    ]


# -- traces ---------------------------------------------------------------------------------


def test_a_gap_splits_a_trace_and_nothing_bridges_it() -> None:
    readings = ramp("meat", 0, 600, 10, 20) + ramp("meat", 800, 1000, 22, 25)
    trace = next(t for t in score(readings=readings).traces if t.key == "meat")
    assert [len(piece) for piece in trace.pieces] == [61, 21]
    assert value_at(trace, T0 + 700) is None
    assert value_at(trace, T0 + 605) is None
    assert value_at(trace, T0 + 300) == pytest.approx(15.0)


def test_a_gap_is_longer_than_the_channel_allows() -> None:
    readings = [(0.0, "meat", 10.0), (60.0, "meat", 11.0), (121.0, "meat", 12.0)]
    channel = Channel("meat", "Shoulder", gap_s=60.0)
    trace = score(readings=readings, channels=(channel,), check=None).traces[0]
    assert [len(piece) for piece in trace.pieces] == [2, 1]


def test_each_reading_is_corrected_as_was_in_force_when_it_was_taken() -> None:
    before = Channel("meat", "Shoulder", offset_c=1.0)
    after = Channel("meat", "Shoulder", offset_c=3.0)
    found = score(
        said=[(100.0, ChannelSet(after))],
        readings=ramp("meat", 0, 200, 10, 10),
        channels=(before,),
        check=None,
    )
    trace = found.traces[0]
    assert value_at(trace, T0 + 90) == pytest.approx(11.0)
    assert value_at(trace, T0 + 100) == pytest.approx(13.0)
    assert value_at(trace, T0 + 200) == pytest.approx(13.0)


def test_absurd_readings_are_counted_and_break_the_trace() -> None:
    readings = [*ramp("meat", 0, 100, 10, 12), (105.0, "meat", 850.0)]
    readings += ramp("meat", 110, 200, 12, 13)
    trace = score(readings=readings).traces[0]
    assert trace.left_out == 1
    assert len(trace.pieces) == 2
    assert max(float(piece.value_c.max()) for piece in trace.pieces) < 20


def test_struck_readings_are_not_drawn() -> None:
    found = score(
        said=[(300.0, ReadingsStruck("meat", T0 + 40, T0 + 240))],
        readings=ramp("meat", 0, 400, 10, 12),
    )
    assert value_at(found.traces[0], T0 + 80) is None


def test_the_pit_comes_first_then_lead_then_check() -> None:
    readings = ramp("other", 0, 60, 1, 2) + ramp("meat", 0, 60, 1, 2) + ramp("pit", 0, 60, 90, 91)
    found = score(readings=readings)
    assert [(t.key, t.part) for t in found.traces] == [
        ("pit", ""),
        ("meat", "lead"),
        ("other", "check"),
    ]


@given(
    st.lists(st.tuples(st.floats(0.1, 400.0), st.floats(-500.0, 900.0)), min_size=1, max_size=60)
)
def test_no_piece_holds_a_gap_and_no_reading_is_lost(steps: list[tuple[float, float]]) -> None:
    at, readings = 0.0, []
    for step, value in steps:
        at += step
        readings.append((at, "meat", value))
    found = score(readings=readings, now=at + 1)
    trace = next(t for t in found.traces if t.key == "meat")
    for piece in trace.pieces:
        assert np.all(np.diff(piece.at_s) <= DEFAULT_GAP_S)
    assert sum(len(piece) for piece in trace.pieces) + trace.left_out == len(readings)


# -- stages and targets ---------------------------------------------------------------------


def test_the_plan_is_open_where_no_rule_gives_a_time() -> None:
    found = score(readings=ramp("meat", 0, 600, 10, 20), now=600)
    assert bars(found, "planned") == [("Smoke", 0.0, None)]
    assert bars(found, "actual") == [("Smoke", 0.0, None)]


def test_after_an_open_stage_the_plan_starts_where_it_truly_ended() -> None:
    readings = ramp("meat", 0, 1000, 60, 70) + ramp("meat", 1010, 1500, 70, 71)
    found = score(readings=readings, now=1500)
    planned = bars(found, "planned")
    assert planned[0] == ("Smoke", 0.0, None)
    assert planned[1][0] == "Hold"
    began = planned[1][1]
    assert began == pytest.approx(1000.0, abs=20.0)
    assert planned[1][2] == pytest.approx(began + 1800.0)
    assert planned[2] == ("Rest", pytest.approx(began + 1800.0), pytest.approx(began + 3000.0))
    assert found.to_s == pytest.approx(T0 + began + 3000.0)


def test_an_extension_leaves_the_plan_as_it_was() -> None:
    found = score((REST,), said=[(300.0, StageExtended("s3", 600.0))], now=1500)
    assert bars(found, "planned") == [("Rest", 0.0, 1200.0)]
    assert bars(found, "actual") == [("Rest", 0.0, None)]
    mark = next(m for m in found.marks if m.symbol == "stage" and "Rest" in m.text)
    assert mark.text == "Rest: 10 min more"


def test_a_skipped_stage_says_so() -> None:
    found = score((SMOKE, REST), said=[(300.0, StageSkipped("s1"))], now=400)
    lived = [bar for bar in found.bars if bar.row != "planned"]
    assert [(bar.label, bar.skipped) for bar in lived] == [("Smoke", True), ("Rest", False)]


def test_planned_lengths() -> None:
    def end(*rules: object, combine: str = "any") -> float | None:
        stage = Stage("s1", "X", rules, combine)  # type: ignore[arg-type]
        return planned_end_s(stage, 100.0)

    assert end(ForTime(50.0)) == 150.0
    assert end(UntilClock(400.0)) == 400.0
    assert end(UntilClock(40.0)) == 100.0
    assert end(UntilSaid()) is None
    assert end(ForTime(50.0), UntilTemperature(70.0)) is None
    assert end(ForTime(50.0), UntilClock(400.0)) == 150.0
    assert end(ForTime(50.0), UntilClock(400.0), combine="all") == 400.0
    assert end() is None


def test_before_the_start_the_plan_ends_when_the_cook_is_wanted() -> None:
    log = cook_log((REST,), start=None)
    opened = log.entries[0]
    wanted = opened.what.__class__("Test cook", "UTC", ready_at_s=T0 + 9000.0)  # type: ignore[call-arg]
    log = log.__class__(
        1, (opened.__class__(opened.id, opened.at_s, opened.recorded_s, wanted), *log.entries[1:])
    )
    found = score_of(log, fold(log, T0), T0)
    assert bars(found, "planned") == [("Rest", 7800.0, 9000.0)]


def test_before_the_start_a_plan_of_unknown_length_is_not_placed() -> None:
    found = score((SMOKE, REST), start=None)
    assert found.bars == ()


def test_targets_hold_while_their_stage_ran() -> None:
    readings = ramp("meat", 0, 1000, 60, 70) + ramp("meat", 1010, 1500, 70, 71)
    found = score(readings=readings, now=1500)
    told = [(t.what, t.rule, t.value_c, t.to_s is None) for t in found.targets]
    assert told == [
        ("pit", "set", 107.0, False),
        ("meat", "rising", 70.0, False),
        ("pit", "set", 80.0, True),
        ("meat", "at_least", 68.0, True),
    ]


def test_a_rule_that_follows_the_pit_is_a_pit_target() -> None:
    warm_up = Stage("s1", "Warm up", (UntilTemperature(107.0, channel="pit"),))
    assert [t.what for t in score((warm_up,)).targets] == ["pit"]


# -- marks ----------------------------------------------------------------------------------


def test_a_lid_lasts_until_it_is_shut_and_an_open_one_until_now() -> None:
    found = score(said=[(10.0, Lid(True)), (70.0, Lid(False)), (500.0, Lid(True))], now=600)
    lids = [(m.at_s - T0, m.to_s) for m in found.marks if m.symbol == "lid"]
    assert lids == [(10.0, T0 + 70.0), (500.0, T0 + 600.0)]


def test_shutting_a_lid_that_nobody_opened_is_told() -> None:
    found = score(said=[(70.0, Lid(False))])
    assert [m.text for m in found.marks if m.symbol == "lid"] == ["Lid shut"]


def test_an_alarm_lasts_until_its_own_answer() -> None:
    said: list[tuple[float, Payload]] = [
        (10.0, AlarmRaised("a", "Look at the pit")),
        (20.0, AlarmAcknowledged("b")),
        (30.0, AlarmAcknowledged("a")),
    ]
    mark = next(m for m in score(said=said).marks if m.symbol == "alarm")
    assert mark.to_s == T0 + 30.0
    assert mark.text == "Look at the pit"


def test_marks_speak_plainly_and_masses_follow_the_reader() -> None:
    said: list[tuple[float, Payload]] = [
        (10.0, Wrap("paper", "shoulder")),
        (20.0, Spritz("cider")),
        (30.0, FuelAdded("Oak", 9.07184740, 0.1)),
        (40.0, Note("two\nlines")),
        (50.0, LeadSet("other", None)),
    ]
    found = score(said=said)
    assert [mark_words(m, METRIC) for m in found.marks] == [
        "Started",
        "Wrapped in paper: shoulder",
        "Spritzed: cider",
        "Fuel added: Oak, 9.07 kg",
        "two lines",
        "Leads now: Shoulder, far end",
    ]
    # 20 lb by the exact pound of NIST SP 811 (0.45359237 kg).
    assert mark_words(found.marks[3], US) == "Fuel added: Oak, 20 lb"


def test_struck_entries_leave_no_mark() -> None:
    kept = score(said=[(10.0, Note("wrong"))])
    note = next(m for m in kept.marks if m.text == "wrong")
    found = score(said=[(10.0, Note("wrong")), (20.0, Strike(note.entry_id))])
    assert [m.text for m in found.marks] == ["Started"]


# -- fuel -----------------------------------------------------------------------------------


def levels(*said: tuple[float, Payload], now: float = 40000.0) -> list[tuple[float, float, bool]]:
    found = score(said=list(said), now=now)
    return [(f.at_s - T0, round(f.mass_kg, 6), f.joined) for f in found.fuel]


def test_between_two_readings_fuel_burns_evenly_with_a_step_where_some_was_added() -> None:
    told = levels(
        (0.0, FuelLevel(8.0, 0.1)),
        (5000.0, FuelAdded("Oak", 4.0, 0.1)),
        (10000.0, FuelLevel(6.0, 0.1)),
    )
    # Used 8 + 4 - 6 = 6 kg in 10,000 s, so 3 kg by half of it.
    assert told == [
        (0.0, 8.0, True),
        (5000.0, 5.0, True),
        (5000.0, 9.0, True),
        (10000.0, 6.0, True),
    ]


def test_nothing_burns_before_the_fire() -> None:
    told = levels((-500.0, FuelLevel(8.0, 0.1)), (1000.0, FuelLevel(7.0, 0.1)))
    assert told == [(-500.0, 8.0, True), (0.0, 8.0, True), (1000.0, 7.0, True)]


def test_fuel_is_not_known_before_a_level_was_read_nor_after_the_last_one() -> None:
    assert levels((10.0, FuelAdded("Oak", 4.0, 0.1))) == []
    told = levels((0.0, FuelLevel(8.0, 0.1)), (5000.0, FuelAdded("Oak", 4.0, 0.1)))
    assert told == [(0.0, 8.0, True)]


def test_a_filling_before_the_fire_is_known() -> None:
    told = levels((-500.0, FuelLevel(0.0, 0.0)), (-400.0, FuelAdded("Oak", 9.0, 0.1)))
    assert told == [(-500.0, 0.0, True), (-400.0, 0.0, True), (-400.0, 9.0, True), (0.0, 9.0, True)]


def test_more_than_was_put_in_and_emptying_are_not_joined() -> None:
    told = levels((0.0, FuelLevel(2.0, 0.1)), (1000.0, FuelLevel(8.0, 0.1)))
    assert told == [(0.0, 2.0, True), (1000.0, 8.0, False)]
    told = levels((0.0, FuelLevel(2.0, 0.1)), (1000.0, FuelLevel(0.0, 0.0)))
    assert told == [(0.0, 2.0, True), (1000.0, 0.0, False)]


# -- the whole ------------------------------------------------------------------------------


def test_a_closed_cook_has_no_now() -> None:
    found = score(said=[(1000.0, CookClosed())], readings=ramp("pit", 0, 1200, 90, 91))
    assert found.now_s is None
    assert found.to_s == T0 + 1200.0


def test_a_cook_that_was_left_for_days_is_drawn_as_over() -> None:
    found = score(readings=ramp("pit", 0, 1200, 90, 91), now=40 * 86400.0)
    assert found.now_s is None
    assert found.to_s < T0 + 86400.0


def test_what_was_done_at_the_pit_before_the_start_belongs_to_it() -> None:
    found = score(said=[(-900.0, FuelLevel(8.0, 0.1)), (-90000.0, Note("bought it"))])
    assert found.from_s == T0 - 900.0


def test_weather_in_words() -> None:
    seen = WeatherObserved("overcast", 12.0, None, 3.0, precipitation="drizzle")
    found = score(said=[(10.0, seen)])
    assert [(w.air_c, w.wind_m_s, w.text) for w in found.weather] == [
        (12.0, 3.0, "overcast, drizzle")
    ]


def test_the_words_tell_what_the_picture_shows() -> None:
    found = shoulder(10.4, 30.0, simulated=True)
    words = score_words(found, METRIC)
    for part in (
        "SIMULATED",
        "Shoulder, thick end (lead probe): last ",
        "gaps: 1",
        "Planned: Smoke from 04:40, no set length.",
        "Stage: Wrapped since ",
        "Lid open, for ",
        "Fuel left: 4.1 ± 0.3 kg",
        "Weather: 7 °C, clear sky, wind 1.5 m/s",
    ):
        assert part in words
    assert "°F" in score_words(found, US)
    assert "4:40 am" in score_words(found, US)


def test_a_moment_tells_every_trace_or_that_there_is_no_reading() -> None:
    found = shoulder(10.4, 30.0)
    in_gap = found.started_at_s
    assert in_gap is not None
    lines = [line.text for line in moment_lines(found, in_gap + 9.4 * 3600, METRIC, 60.0)]
    assert lines[:3] == [
        "Grate: no reading",
        "Shoulder, thick end: no reading",
        "Shoulder, by the bone: no reading",
    ]
    assert "Stage: Wrapped" in lines
    assert "Lead probe silent since 13:52" in lines


def test_a_probe_keeps_its_color_whatever_is_added_or_leads() -> None:
    readings = [
        *ramp("pit", 0, 600, 20, 110),
        *ramp("meat", 0, 600, 10, 20),
        *ramp("thin", 0, 600, 12, 25),
    ]
    named = [
        (0.0, ChannelSet(Channel(k, k, "pit" if k == "pit" else "meat")))
        for k in ("pit", "meat", "thin")
    ]
    before = {t.key: t.ink for t in score(said=named, readings=readings).traces}
    later = [
        *named,
        (300.0, ChannelSet(Channel("air", "Air", "air"))),
        (310.0, LeadSet("thin", "meat")),
        (320.0, ChannelSet(Channel("meat", "Renamed", "meat"))),
    ]
    after = {
        t.key: t.ink
        for t in score(said=later, readings=[*readings, *ramp("air", 310, 600, 4, 5)]).traces
    }
    assert len(set(after.values())) == 4
    assert {key: after[key] for key in before} == before
