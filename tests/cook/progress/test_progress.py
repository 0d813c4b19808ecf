"""Where a cook stands: examples worked by hand, then properties."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.cook_log import CookLog, holding
from smokejournal.cook.log.entries import (
    CookClosed,
    Entry,
    LeadSet,
    Payload,
    ProbeMoved,
    ReadingsStruck,
    ScheduleSet,
    StageConfirmed,
    StageExtended,
    StagePutBack,
    StageSkipped,
    Strike,
)
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import (
    ForTime,
    Schedule,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.progress.progress import Key, Progress, entry_key, fold
from tests.support.logs import MEAT, OTHER, PIT, T0, cook_log, ramp

SMOKE = Stage("s1", "Smoke", (UntilTemperature(74.0, prove_s=60.0),), pit_target_c=107.0)
HOLD = Stage("s2", "Hold", (ForTime(600.0, at_least_c=74.0),))
REST = Stage("s3", "Rest", (ForTime(1200.0),))


def events_of(log: CookLog) -> list[Entry | Reading]:
    """Entries that hold and readings that are not struck, in the order of the log."""
    keyed: list[tuple[Key, Entry | Reading]] = [
        (entry_key(entry), entry) for entry in holding(log.entries)
    ]
    for channel in log.traces:
        trace = log.trace(channel)
        for at_s, value_c in zip(trace.at_s.tolist(), trace.value_c.tolist(), strict=True):
            keyed.append(((at_s, 1, channel, 0), Reading(at_s, channel, value_c)))
    return [event for _, event in sorted(keyed, key=lambda pair: pair[0])]


def ends(log: CookLog, at: float) -> list[tuple[str, float | None, str | None]]:
    """(stage, seconds after T0 at which it ended, how) of every run so far."""
    return [
        (run.stage.key, None if run.ended_at_s is None else run.ended_at_s - T0, run.how)
        for run in fold(log, T0 + at).runs
    ]


def test_a_schedule_runs_from_temperature_through_hold_to_rest() -> None:
    # 64 → 75 °C over 660 s: at 74 °C after 600 s, proven at 660 s. Then level at 75 °C.
    readings = ramp("meat", 0, 660, 64, 75) + ramp("meat", 670, 4000, 75, 75)
    log = cook_log([SMOKE, HOLD, REST], readings=readings)
    assert ends(log, 600) == [("s1", None, None)]
    assert ends(log, 660) == [("s1", 660.0, "rule"), ("s2", None, None)]
    assert ends(log, 1260)[1] == ("s2", 1260.0, "rule")
    assert ends(log, 2459)[2] == ("s3", None, None)
    standing = fold(log, T0 + 2460)
    assert standing.phase == "done"
    assert standing.ended_at_s == T0 + 2460


def test_a_single_hot_reading_ends_nothing() -> None:
    readings = [*ramp("meat", 0, 300, 60, 60), (305, "meat", 65.9), (305.5, "meat", 80.0)]
    readings += ramp("meat", 310, 600, 60, 60)
    assert ends(cook_log([SMOKE], readings=readings), 600) == [("s1", None, None)]


def test_proving_starts_again_after_a_gap() -> None:
    # At 75 °C at 0–40 s, silent to 300 s: the minute is proven from 300 s on.
    readings = ramp("meat", 0, 40, 75, 75) + ramp("meat", 300, 400, 75, 75)
    assert ends(cook_log([SMOKE], readings=readings), 400)[0] == ("s1", 360.0, "rule")


def test_no_hold_time_is_credited_over_a_gap() -> None:
    # 300 s counted, a gap of 1,000 s, then the other 300 s.
    readings = ramp("meat", 0, 300, 75, 75) + ramp("meat", 1300, 2000, 75, 75)
    log = cook_log([HOLD], readings=readings)
    assert ends(log, 1590) == [("s2", None, None)]
    assert ends(log, 1600)[0] == ("s2", 1600.0, "rule")


def test_a_dip_pauses_the_hold() -> None:
    readings = ramp("meat", 0, 300, 75, 75) + ramp("meat", 310, 390, 73, 73)
    readings += ramp("meat", 400, 800, 75, 75)
    # 300 s before the dip, so 300 s more from the first reading that is back, at 400 s.
    assert ends(cook_log([HOLD], readings=readings), 800)[0] == ("s2", 700.0, "rule")


def test_a_dip_within_the_tolerance_does_not_pause() -> None:
    hold = Stage("s2", "Hold", (ForTime(600.0, at_least_c=74.0, dip_c=2.0),))
    readings = ramp("meat", 0, 300, 75, 75) + ramp("meat", 310, 390, 73, 73)
    readings += ramp("meat", 400, 800, 75, 75)
    assert ends(cook_log([hold], readings=readings), 800)[0] == ("s2", 600.0, "rule")


def test_a_dip_that_lasts_starts_the_hold_over_and_a_short_one_pauses() -> None:
    hold = Stage(
        "s2", "Hold", (ForTime(600.0, at_least_c=74.0, dip_mode="start_over", dip_s=60.0),)
    )
    short = ramp("meat", 0, 300, 75, 75) + ramp("meat", 310, 340, 73, 73)
    short += ramp("meat", 350, 1200, 75, 75)
    assert ends(cook_log([hold], readings=short), 1200)[0] == ("s2", 650.0, "rule")
    long = ramp("meat", 0, 300, 75, 75) + ramp("meat", 310, 390, 73, 73)
    long += ramp("meat", 400, 1200, 75, 75)
    log = cook_log([hold], readings=long)
    assert ends(log, 1200)[0] == ("s2", 1000.0, "rule")
    assert fold(log, T0 + 500).runs[0].rules[0].restarts == 1


def test_falling_temperature_ends_a_rest() -> None:
    rest = Stage("s1", "Rest", (UntilTemperature(60.0, direction="falling", prove_s=30.0),))
    readings = ramp("meat", 0, 600, 80, 50)
    # 60 °C is crossed at 400 s.
    assert ends(cook_log([rest], readings=readings), 600)[0] == ("s1", 430.0, "rule")


def test_any_and_all_of_several_rules() -> None:
    rules = (UntilTemperature(74.0, prove_s=0.0), ForTime(900.0))
    readings = ramp("meat", 0, 1200, 64, 84)
    any_stage = Stage("s1", "Any", rules, combine="any")
    all_stage = Stage("s1", "All", rules, combine="all")
    assert ends(cook_log([any_stage], readings=readings), 1200)[0] == ("s1", 600.0, "rule")
    assert ends(cook_log([all_stage], readings=readings), 1200)[0] == ("s1", 900.0, "rule")


def test_a_clock_time_and_its_extension() -> None:
    stage = Stage("s1", "Until noon", (UntilClock(T0 + 1000),))
    assert ends(cook_log([stage]), 999.9) == [("s1", None, None)]
    assert ends(cook_log([stage]), 1000)[0] == ("s1", 1000.0, "rule")
    longer = cook_log([stage], [(500, StageExtended("s1", 300))])
    assert ends(longer, 1299) == [("s1", None, None)]
    assert ends(longer, 1300)[0] == ("s1", 1300.0, "rule")


def test_a_stage_that_waits_ends_on_the_word_only() -> None:
    stage = Stage("s1", "Smoke", (UntilTemperature(74.0, prove_s=0.0),), ending="waits")
    readings = ramp("meat", 0, 600, 64, 84)
    log = cook_log([stage, REST], [(500, StageConfirmed("s1"))], readings)
    assert fold(log, T0 + 400).waiting
    assert fold(log, T0 + 400).runs[0].met_at_s == T0 + 300
    assert ends(log, 600)[0] == ("s1", 500.0, "confirmed")


def test_extending_a_stage_that_waits_puts_the_call_off() -> None:
    stage = Stage("s1", "Smoke", (UntilTemperature(74.0, prove_s=0.0),), ending="waits")
    log = cook_log([stage], [(400, StageExtended("s1", 600))], ramp("meat", 0, 1200, 75, 75))
    assert fold(log, T0 + 399).waiting
    assert not fold(log, T0 + 999).waiting
    assert fold(log, T0 + 1000).runs[0].met_at_s == T0 + 1000


def test_skipping_now_and_ahead() -> None:
    log = cook_log([SMOKE, HOLD, REST], [(100, StageSkipped("s2")), (200, StageSkipped("s1"))])
    assert ends(log, 300) == [("s1", 200.0, "skipped"), ("s3", None, None)]


def test_a_stage_put_back_runs_until_the_word() -> None:
    readings = ramp("meat", 0, 2000, 75, 75)
    said: list[tuple[float, Payload]] = [(300, StagePutBack("s1")), (900, StageConfirmed("s1"))]
    log = cook_log([SMOKE, HOLD], said, readings)
    assert ends(log, 299) == [("s1", 60.0, "rule"), ("s2", None, None)]
    assert ends(log, 899) == [
        ("s1", 60.0, "rule"),
        ("s2", 300.0, "put_back"),
        ("s1", None, None),
    ]
    assert ends(log, 1499)[2:] == [("s1", 900.0, "confirmed"), ("s2", None, None)]
    assert ends(log, 1500)[3] == ("s2", 1500.0, "rule")


def test_striking_an_entry_unmakes_what_it_did() -> None:
    said: list[tuple[float, Payload]] = [(100, StageSkipped("s1"))]
    log = cook_log([SMOKE, REST], said)
    skip = log.entries[-1]
    struck = CookLog(1, (*log.entries, Entry(99, T0 + 200, T0 + 200, Strike(skip.id))))
    again = CookLog(1, (*struck.entries, Entry(100, T0 + 300, T0 + 300, Strike(99))))
    assert ends(log, 400)[0] == ("s1", 100.0, "skipped")
    assert ends(struck, 400) == [("s1", None, None)]
    assert ends(again, 400)[0] == ("s1", 100.0, "skipped")


def test_struck_readings_do_not_count() -> None:
    readings = ramp("meat", 0, 100, 80, 80) + ramp("meat", 110, 300, 60, 60)
    said: list[tuple[float, Payload]] = [
        (400, ReadingsStruck("meat", T0 + 0, T0 + 100, "in the air"))
    ]
    assert ends(cook_log([SMOKE], said, readings), 500) == [("s1", None, None)]


def test_a_silent_lead_ends_nothing_and_is_called_silent() -> None:
    log = cook_log([SMOKE], readings=ramp("meat", 0, 40, 75, 75))
    standing = fold(log, T0 + 3600)
    assert standing.runs[0].ended_at_s is None
    assert standing.channels["meat"].status == "silent"


@pytest.mark.parametrize("absurd", [999.0, 131.0, -60.0, 1e9])
def test_an_absurd_lead_ends_nothing(absurd: float) -> None:
    readings = ramp("meat", 0, 100, 60, 60) + ramp("meat", 110, 900, absurd, absurd)
    log = cook_log([SMOKE], readings=readings)
    standing = fold(log, T0 + 900)
    assert standing.runs[0].ended_at_s is None
    assert standing.channels["meat"].status in ("absurd", "jumped")


def test_a_probe_pulled_into_hot_air_ends_nothing_until_it_is_back() -> None:
    # In the meat at 60 °C, then toward 107 °C as a thin probe in air does (time constant 15 s).
    pulled = [(600 + n, "meat", 107 - 47 * 0.9355**n) for n in range(600)]
    back = ramp("meat", 1200, 1500, 61, 62) + ramp("meat", 1510, 2000, 74.5, 74.5)
    log = cook_log([SMOKE], readings=ramp("meat", 0, 590, 59, 60) + pulled + back)
    assert fold(log, T0 + 1199).channels["meat"].status == "jumped"
    assert ends(log, 1199) == [("s1", None, None)]
    assert fold(log, T0 + 1500).channels["meat"].status == "good"


def test_a_moved_probe_is_believed_again_on_the_word() -> None:
    readings = ramp("meat", 0, 100, 60, 60) + ramp("meat", 110, 600, 80, 80)
    log = cook_log([SMOKE], [(205, ProbeMoved("meat", "thick end"))], readings)
    assert fold(log, T0 + 200).channels["meat"].status == "jumped"
    assert ends(log, 600)[0] == ("s1", 270.0, "rule")


def test_another_lead_proves_from_its_own_readings() -> None:
    readings = ramp("meat", 0, 600, 60, 60) + ramp("other", 0, 600, 76, 76)
    log = cook_log([SMOKE], [(205, LeadSet("other", "meat"))], readings)
    assert ends(log, 600)[0] == ("s1", 270.0, "rule")


def test_a_correction_is_applied_when_readings_are_read() -> None:
    low = Channel("meat", "Shoulder", offset_c=2.2)
    readings = ramp("meat", 0, 1200, 64, 84)
    right = cook_log([SMOKE], readings=readings)
    corrected = cook_log([SMOKE], readings=readings, channels=(PIT, low, OTHER))
    assert ends(right, 1200)[0] == ("s1", 660.0, "rule")
    # 74 °C corrected is 71.8 °C raw, on the line at 468 s, read at 470 s.
    assert ends(corrected, 1200)[0] == ("s1", 530.0, "rule")


def test_an_edited_schedule_keeps_what_was_counted_and_ends_nothing_in_the_past() -> None:
    longer = Stage("s2", "Hold", (ForTime(900.0, at_least_c=74.0),))
    shorter = Stage("s2", "Hold", (ForTime(60.0, at_least_c=74.0),))
    readings = ramp("meat", 0, 2000, 75, 75)
    said: list[tuple[float, Payload]] = [(300, ScheduleSet(Schedule("", (longer,))))]
    assert ends(cook_log([HOLD], said, readings), 2000)[0] == ("s2", 900.0, "rule")
    said = [(305, ScheduleSet(Schedule("", (shorter,))))]
    assert ends(cook_log([HOLD], said, readings), 2000)[0] == ("s2", 310.0, "rule")
    rest: list[tuple[float, Payload]] = [
        (305, ScheduleSet(Schedule("", (Stage("s3", "Rest", (ForTime(60.0),)),))))
    ]
    assert ends(cook_log([REST], rest), 2000)[0] == ("s3", 305.0, "rule")


def test_a_cook_without_a_schedule_runs_until_it_is_closed() -> None:
    log = cook_log([], [(500, CookClosed())])
    assert fold(log, T0 + 400).phase == "running"
    assert fold(log, T0 + 600).phase == "closed"


def test_guard_is_told_and_ends_nothing() -> None:
    stage = Stage("s1", "Smoke", (UntilSaid(),), guard_s=600.0)
    standing = fold(cook_log([stage]), T0 + 3600)
    assert standing.runs[0].guard_at_s == T0 + 600
    assert standing.runs[0].ended_at_s is None


# -- properties --------------------------------------------------------------------------------

STAGES = (
    Stage("s1", "Smoke", (UntilTemperature(70.0, prove_s=45.0),)),
    Stage("s2", "Hold", (ForTime(200.0, at_least_c=68.0, dip_c=1.0, dip_mode="start_over"),)),
    Stage("s3", "Rest", (ForTime(120.0), UntilSaid()), combine="any"),
)

moments = st.integers(0, 3000).map(float)
values = st.one_of(st.integers(60, 80).map(float), st.sampled_from([-300.0, 999.0, 500.0, 20.0]))
stray_readings = st.lists(
    st.tuples(moments, st.sampled_from(["meat", "other", "pit"]), values), max_size=20
)
# Stretches as a probe makes them: so many readings, so far apart, at such a temperature.
stretches = st.lists(
    st.tuples(
        st.integers(1, 20),
        st.sampled_from([5.0, 10.0, 20.0, 40.0, 119.0, 150.0]),
        st.sampled_from([60.0, 66.5, 67.5, 69.0, 70.0, 71.0, 72.0, 999.0]),
    ),
    max_size=14,
)


@st.composite
def _readings(draw: st.DrawFn) -> list[tuple[float, str, float]]:
    found = []
    for channel in ("meat", "other"):
        at = draw(st.sampled_from([-60.0, 0.0, 7.0]))
        for count, step, value in draw(stretches):
            for _ in range(count):
                found.append((at, channel, value))
                at += step
    return found + draw(stray_readings)


raw_readings = _readings()
payloads: st.SearchStrategy[Payload] = st.one_of(
    st.sampled_from(["s1", "s2", "s3"]).flatmap(
        lambda key: st.sampled_from(
            [
                StageConfirmed(key),
                StageSkipped(key),
                StageExtended(key, 60.0),
                StagePutBack(key),
            ]
        )
    ),
    st.integers(1, 20).map(Strike),
    st.sampled_from([LeadSet("other", "meat"), LeadSet("meat", "other"), ProbeMoved("meat")]),
    st.tuples(moments, moments).map(
        lambda pair: ReadingsStruck("meat", T0 + min(pair), T0 + max(pair))
    ),
)
said_things = st.lists(st.tuples(moments, payloads), max_size=10)


@given(said_things, raw_readings)
def test_no_stage_ends_by_rule_before_its_readings_say_so(
    said: list[tuple[float, Payload]], readings: list[tuple[float, str, float]]
) -> None:
    log = cook_log(STAGES, said, readings)
    for run in fold(log, T0 + 4000).runs:
        if run.how != "rule":
            continue
        assert run.ended_at_s is not None
        if run.stage.key == "s1":
            assert _proven(log, run.ended_at_s - 45.0, run.ended_at_s, 70.0)
        if run.stage.key == "s2":
            needed = 200.0 + run.extended_s
            assert _most_credit(log, run.began_at_s, run.ended_at_s, 67.0) >= needed - 1e-6
        if run.stage.key == "s3":
            assert run.ended_at_s >= run.began_at_s + 120.0 + run.extended_s


def _proven(log: CookLog, from_s: float, to_s: float, target_c: float) -> bool:
    """Some meat probe has readings at both ends, none below between, and no gap."""
    for channel in ("meat", "other"):
        trace = log.trace(channel)
        inside = (trace.at_s >= from_s - MEAT.gap_s) & (trace.at_s <= to_s)
        proving = [(t, v) for t, v in zip(trace.at_s[inside], trace.value_c[inside], strict=True)]
        while proving and (proving[0][1] < target_c or proving[0][1] > 130):
            proving.pop(0)
        for start in range(len(proving)):
            run = proving[start:]
            if run[0][0] > from_s or run[-1][0] != to_s:
                continue
            steps = [b[0] - a[0] for a, b in itertools.pairwise(run)]
            if all(v >= target_c for _, v in run) and all(s <= MEAT.gap_s for s in steps):
                return True
    return False


def _most_credit(log: CookLog, from_s: float, to_s: float, at_least_c: float) -> float:
    """The most that any mixture of the two probes could have counted."""
    total = 0.0
    for channel in ("meat", "other"):
        trace = log.trace(channel)
        pairs = list(zip(trace.at_s, trace.value_c, strict=True))
        for (t0, v0), (t1, v1) in itertools.pairwise(pairs):
            if t1 - t0 <= MEAT.gap_s and min(v0, v1) >= at_least_c and max(v0, v1) <= 130:
                total += max(0.0, min(t1, to_s) - max(t0, from_s))
    return total


@given(said_things, raw_readings, st.integers(0, 200), st.integers(0, 4000))
def test_folding_in_two_pieces_equals_folding_whole(
    said: list[tuple[float, Payload]],
    readings: list[tuple[float, str, float]],
    cut: int,
    now: int,
) -> None:
    log = cook_log(STAGES, said, readings)
    events = [event for event in events_of(log) if event.at_s <= T0 + now]
    whole = fold(log, T0 + now)
    first = Progress()
    for event in events[:cut]:
        first.feed(event)
    if cut < len(events):
        first.standing(events[cut].at_s)  # asking in between changes nothing
    second = first.copy()
    for event in events[cut:]:
        second.feed(event)
    assert second.standing(T0 + now) == whole


@given(said_things, raw_readings)
def test_stages_follow_one_another_without_overlap(
    said: list[tuple[float, Payload]], readings: list[tuple[float, str, float]]
) -> None:
    runs = fold(cook_log(STAGES, said, readings), T0 + 4000).runs
    for before, after in itertools.pairwise(runs):
        assert before.ended_at_s is not None
        assert before.began_at_s <= before.ended_at_s <= after.began_at_s


@given(said_things, raw_readings)
def test_the_order_of_writing_readings_does_not_matter(
    said: list[tuple[float, Payload]], readings: list[tuple[float, str, float]]
) -> None:
    # One reading a moment and channel, as the journal keeps them.
    unique = list({(at, channel): (at, channel, value) for at, channel, value in readings}.values())
    forward = fold(cook_log(STAGES, said, unique), T0 + 4000)
    backward = fold(cook_log(STAGES, said, unique[::-1]), T0 + 4000)
    assert forward == backward


@given(said_things, raw_readings, st.integers(0, 4000))
def test_walking_a_log_equals_feeding_its_events(
    said: list[tuple[float, Payload]], readings: list[tuple[float, str, float]], now: int
) -> None:
    log = cook_log(STAGES, said, readings)
    fed = Progress()
    for event in events_of(log):
        if event.at_s <= T0 + now:
            fed.feed(event)
    assert fed.standing(T0 + now) == fold(log, T0 + now)
