"""A plan counted back from the table, against worked examples laid out by hand and against properties."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from smokejournal.cook.log.entries import ItemAdded, PrepStep
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.plan.prep_progress import LivedStep
from smokejournal.cook.timetable.count_back import count_back
from smokejournal.cook.timetable.durations import DRAWS
from smokejournal.cook.timetable.steps import Physics
from smokejournal.cook.timetable.timetable import Timetable, When

HOUR, MIN = 3600.0, 60.0
NOON = 1_750_000_000.0
SMOKE = Stage("s1", "Smoke", (ForTime(4 * HOUR),), pit_target_c=110.0)
REST = Stage("s2", "Rest", (ForTime(30 * MIN),))
SCHEDULE = Schedule("x", (SMOKE, REST))


def lived(*steps: PrepStep) -> list[LivedStep]:
    return [LivedStep(s.key or f"p{n}", n, s) for n, s in enumerate(steps)]


def planned(timetable: Timetable, key: str) -> float:
    step = timetable.step(key)
    assert step is not None
    assert step.start is not None
    return step.start.planned_s


BRINE = PrepStep("brine", duration_s=8 * HOUR, key="brine")
RINSE = PrepStep("rinse", duration_s=10 * MIN, key="rinse")
DRY = PrepStep("dry", duration_s=6 * HOUR, key="dry", longest_s=12 * HOUR)


def test_a_plan_of_said_times_by_hand() -> None:
    # Wanted 12:00, margin 15 min: to be ready 11:45. Rest 30 min: 11:15. Smoke 4 h: 07:15.
    # Dry 6 h: 01:15. Rinse 10 min: 01:05. Brine 8 h: 17:05 the day before.
    plan = Plan(ready_at_s=NOON, margin_s=15 * MIN)
    timetable = count_back(plan, SCHEDULE, lived(BRINE, RINSE, DRY), NOON - 48 * HOUR)
    clock = {
        "stage:s2": -45 * MIN,
        "stage:s1": -(4 * HOUR + 45 * MIN),
        "prep:dry": -(10 * HOUR + 45 * MIN),
        "prep:rinse": -(10 * HOUR + 55 * MIN),
        "prep:brine": -(18 * HOUR + 55 * MIN),
    }
    for key, offset_s in clock.items():
        assert planned(timetable, key) == pytest.approx(NOON + offset_s)
    # Drying may last six hours more, so that all before it may begin six hours earlier.
    brine = timetable.step("prep:brine")
    assert brine is not None
    assert brine.start is not None
    assert brine.start.earliest_s == pytest.approx(brine.start.planned_s - 6 * HOUR)
    assert [s.key for s in timetable.steps] == [
        "prep:brine", "prep:rinse", "prep:dry", "stage:s1", "stage:s2", "serve",
    ]  # fmt: skip
    assert timetable.lateness is not None
    assert timetable.lateness.late == 0.0
    assert timetable.lateness.early.mid == pytest.approx(15 * MIN)


def test_what_is_uncertain_is_begun_so_that_four_in_five_are_in_time() -> None:
    # Durations 1, 2, … 200 minutes: four in five last at most 160, every other one at most 100.
    schedule = Schedule("x", (replace(SMOKE, rules=(UntilTemperature(90.0),)),))
    minutes = np.arange(1, DRAWS + 1) * 200.0 / DRAWS * MIN
    timetable = count_back(
        Plan(ready_at_s=NOON), schedule, [], NOON - 48 * HOUR, Physics({"s1": minutes})
    )
    step = timetable.step("stage:s1")
    assert step is not None
    assert step.start is not None
    assert (step.source, timetable.unknown) == ("physics", ())
    assert NOON - step.start.planned_s == pytest.approx(160 * MIN, abs=1.1 * MIN)
    assert NOON - step.start.latest_s == pytest.approx(100 * MIN, abs=1.1 * MIN)
    assert NOON - step.start.earliest_s == pytest.approx(190 * MIN, abs=1.1 * MIN)
    assert timetable.lateness is not None
    assert timetable.lateness.late == pytest.approx(0.2, abs=0.01)
    # An hour earlier all of up to 220 minutes are in time: none is late.
    assert timetable.lateness.late_hour_earlier == 0.0


def test_two_dishes_by_hand_and_their_clash() -> None:
    # Shoulder by the schedule, ready 12:00: on at 07:30, off at 11:30, pit 110.
    # Chicken takes 2 h at 150, rests 15 min, wanted 12:00: on at 09:45, off at 11:45.
    plan = Plan(
        ready_at_s=NOON,
        items=(
            (1, ItemAdded("shoulder", "red_meat", mass_kg=3.0, hold_s=2 * HOUR, channel="c1")),
            (2, ItemAdded("chicken", "poultry", takes_s=2 * HOUR, pit_c=150.0, rest_s=15 * MIN)),
        ),
        channels={"c1": Channel("c1", "probe 1")},
        lead="c1",
    )
    timetable = count_back(plan, SCHEDULE, [], NOON - 24 * HOUR)
    assert planned(timetable, "stage:s1") == pytest.approx(NOON - 4.5 * HOUR)
    assert planned(timetable, "on:2") == pytest.approx(NOON - 2.25 * HOUR)
    assert planned(timetable, "rest:2") == pytest.approx(NOON - 0.25 * HOUR)
    assert timetable.order == ("shoulder", "chicken")
    (clash,) = timetable.clashes
    assert clash.kind == "two_pits"
    # Both are on from 09:45 to 11:30.
    assert "1 h 45 min" in clash.text
    assert clash.cure.startswith("Do shoulder first")


def test_dishes_that_want_the_same_two_pits_clash_in_one_sentence() -> None:
    plan = Plan(
        ready_at_s=NOON,
        items=(
            (1, ItemAdded("trout", "fish", takes_s=2 * HOUR, pit_c=110.0)),
            (2, ItemAdded("sausages", "ground", takes_s=1.5 * HOUR, pit_c=110.0)),
            (3, ItemAdded("chicken", "poultry", takes_s=2 * HOUR, pit_c=150.0)),
            (4, ItemAdded("corn", takes_s=0.75 * HOUR, pit_c=150.0)),
        ),
    )
    (clash,) = count_back(plan, Schedule(), [], NOON - 24 * HOUR).clashes
    assert clash.text == (
        "The pit is needed at 110 °C and 150 °C at once, for up to 2 h: for trout, sausages, and for chicken, corn."
    )
    assert set(clash.keys) == {"on:1", "on:2", "on:3", "on:4"}


def test_probes_that_are_missing_or_wanted_twice() -> None:
    def plan(channel: str) -> Plan:
        return Plan(
            ready_at_s=NOON,
            items=(
                (1, ItemAdded("shoulder", "red_meat", mass_kg=3.0, channel="c1")),
                (2, ItemAdded("loin", target_c=63.0, takes_s=HOUR, channel=channel)),
            ),
            channels={"c1": Channel("c1", "probe 1")},
            lead="c1",
        )

    kinds = {
        channel: [c.kind for c in count_back(plan(channel), SCHEDULE, [], NOON - 9e4).clashes]
        for channel in ("", "c1")
    }
    assert kinds == {"": ["no_probe"], "c1": ["probes"]}


def test_lived_steps_are_facts_and_what_is_late_is_told() -> None:
    plan = Plan(ready_at_s=NOON)
    now_s = NOON - 5 * HOUR
    steps = lived(BRINE, DRY)
    steps[0] = replace(steps[0], state="over", began_s=NOON - 20 * HOUR, ended_s=NOON - 10 * HOUR)
    steps[1] = replace(steps[1], state="under_way", began_s=NOON - 9 * HOUR)
    timetable = count_back(plan, SCHEDULE, steps, now_s)
    brine, dry = timetable.step("prep:brine"), timetable.step("prep:dry")
    assert brine is not None
    assert dry is not None
    at_s = NOON - 20 * HOUR
    assert brine.start == When(at_s, at_s, at_s)
    assert dry.lasts is not None
    # Two of its six hours are left, and then the smoke takes 4.5 h: 1.5 h late.
    assert dry.lasts.mid == pytest.approx(2 * HOUR)
    assert timetable.lateness is not None
    assert timetable.lateness.late == 1.0


def test_a_start_that_is_past_is_a_clash() -> None:
    timetable = count_back(Plan(ready_at_s=NOON), SCHEDULE, lived(BRINE), NOON - 6 * HOUR)
    (clash,) = timetable.clashes
    # 8 h of brine and 4.5 h of cook before noon: 23:30; now it is 06:00.
    assert clash.kind == "past"
    assert clash.text == "brine should have begun 6 h 30 min ago."


def test_what_is_not_known_is_said_and_nothing_before_it_has_a_time() -> None:
    step = PrepStep("brine", key="b")
    timetable = count_back(Plan(ready_at_s=NOON), SCHEDULE, lived(step), NOON - 9e4)
    brine, smoke = timetable.step("prep:b"), timetable.step("stage:s1")
    assert brine is not None
    assert smoke is not None
    assert (brine.start, brine.lasts) == (None, None)
    assert smoke.start is not None
    assert timetable.lateness is None
    assert timetable.unknown == (
        "brine: Nobody said how long it brines. Work it out, or give it a time.",
    )


def test_without_a_time_wanted_there_are_steps_and_no_times() -> None:
    timetable = count_back(Plan(), SCHEDULE, lived(BRINE), NOON)
    assert [s.start for s in timetable.steps] == [None] * 4
    assert timetable.lateness is None


@pytest.mark.parametrize("day", [(3, 29), (10, 25)])
def test_a_night_in_which_the_clock_is_changed_keeps_real_durations(day: tuple[int, int]) -> None:
    zone = ZoneInfo("Europe/Paris")
    wanted_s = datetime(2026, *day, 12, tzinfo=zone).timestamp()
    timetable = count_back(
        Plan(ready_at_s=wanted_s, zone="Europe/Paris"), SCHEDULE, lived(BRINE), wanted_s - 9e4
    )
    # 12.5 real hours before noon: 22:30 in spring (an hour is missing), 00:30 in autumn.
    began = datetime.fromtimestamp(planned(timetable, "prep:brine"), zone)
    assert began.strftime("%H:%M") == ("22:30" if day[0] == 3 else "00:30")


durations = st.floats(60, 86400)
steps_of = st.lists(
    st.tuples(durations, st.none() | durations, st.sampled_from(["", "a", "b"])), max_size=5
)


@settings(max_examples=60, deadline=None)
@given(steps_of, durations, st.floats(0, 7200), st.floats(-1e6, 1e6), st.floats(0.05, 0.8))
def test_properties(
    steps: list[tuple[float, float | None, str]],
    takes_s: float,
    margin_s: float,
    shift_s: float,
    spread: float,
) -> None:
    plan = Plan(
        ready_at_s=NOON,
        margin_s=margin_s,
        items=(
            (1, ItemAdded("a", mass_kg=2.0)),
            (2, ItemAdded("b", mass_kg=1.0, takes_s=takes_s, rest_s=600.0, pit_c=110.0)),
        ),
    )
    draws = 4 * HOUR * np.exp(np.random.default_rng(1).normal(0.0, spread, DRAWS))
    schedule = Schedule("x", (replace(SMOKE, rules=(UntilTemperature(90.0),)), REST))
    prep = lived(
        *(
            PrepStep(f"p{n}", duration_s=s, longest_s=longest, item=item, key=f"p{n}")
            for n, (s, longest, item) in enumerate(steps)
        )
    )
    now_s = NOON - 30 * 86400.0
    timetable = count_back(plan, schedule, prep, now_s, Physics({"s1": draws}))
    by_key = {step.key: step for step in timetable.steps}
    for step in timetable.steps:
        assert step.start is not None
        assert step.start.earliest_s <= step.start.planned_s <= step.start.latest_s
        assert step.end is not None
        assert step.end.earliest_s <= step.end.planned_s <= step.end.latest_s
        for need in step.needs:
            before = by_key[need].end
            assert before is not None
            if step.kind != "serve":
                # No step overlaps what it needs.
                assert before.planned_s <= step.start.planned_s + 1e-3
                assert before.earliest_s <= step.start.earliest_s + 1e-3
    later = count_back(
        replace(plan, ready_at_s=NOON + shift_s), schedule, prep, now_s + shift_s,
        Physics({"s1": draws}),
    )  # fmt: skip
    for step in later.steps:
        start, first = step.start, by_key[step.key].start
        assert start is not None
        assert first is not None
        assert start.planned_s - first.planned_s == pytest.approx(shift_s, abs=1e-3)
    assert timetable.lateness is not None
    assert timetable.lateness.late_hour_earlier <= timetable.lateness.late
