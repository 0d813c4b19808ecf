"""A cook that is kept up with its log, over a real journal."""

from __future__ import annotations

import pytest

from smokejournal.cook.log.entries import (
    AlarmAcknowledged,
    AlarmRaised,
    ChannelSet,
    CookClosed,
    CookRenamed,
    ForecastMade,
    ItemAdded,
    LeadSet,
    Lid,
    Note,
    ScheduleSet,
    ScheduleStarted,
    StageConfirmed,
    StageSkipped,
    Strike,
)
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.cook.progress.alarms import AlarmTuning, Called
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import US
from smokejournal.services.program.live import LiveCook
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock, slow_disk

START_S = 1_780_000_000.0
STAGES = (
    Stage("s1", "Smoke", (UntilTemperature(74.0, prove_s=20.0),), alert="insistent"),
    Stage("s2", "Rest", (ForTime(1200.0),)),
)


@pytest.fixture
def clock() -> FixedClock:
    return FixedClock(START_S)


@pytest.fixture
def live(program: Program) -> LiveCook:
    live = program.live(program.new_cook("Sunday shoulder", "Europe/Berlin"))
    live.record_many(
        [
            (START_S, ItemAdded("pork shoulder", "red_meat", mass_kg=2.4)),
            (START_S, ChannelSet(Channel("meat", "Shoulder"))),
            (START_S, LeadSet("meat")),
            (START_S, ScheduleSet(Schedule("Low", STAGES))),
            (START_S, ScheduleStarted()),
        ]
    ).result(5)
    return live


def feed(live: LiveCook, clock: FixedClock, values: list[float], step_s: float = 10.0) -> None:
    for value in values:
        clock.at_s += step_s
        live.record_readings([Reading(clock.at_s, "meat", value)]).result(5)


def current(live: LiveCook) -> str | None:
    run = live.standing().current
    return None if run is None else run.stage.key


def test_it_stands_where_its_readings_put_it(live: LiveCook, clock: FixedClock) -> None:
    feed(live, clock, [72, 73, 74])
    assert current(live) == "s1"
    feed(live, clock, [75, 75])
    assert current(live) == "s2"
    clock.at_s += 1200
    assert live.standing().phase == "done"


def test_what_it_holds_in_memory_equals_what_lies_on_disk(
    live: LiveCook, clock: FixedClock, program: Program
) -> None:
    feed(live, clock, [72, 75, 75])
    live.record(Lid(True)).result(5)
    live.record_readings([Reading(clock.at_s - 15, "meat", 71.0)]).result(5)
    live.record(Note("windy")).result(5)
    held, kept = live.log(), program.journal.log(live.cook_id)
    assert held.entries == kept.entries
    assert held.traces["meat"].at_s.tolist() == kept.traces["meat"].at_s.tolist()
    assert held.traces["meat"].value_c.tolist() == kept.traces["meat"].value_c.tolist()
    assert live.standing(clock.at_s) == fold(kept, clock.at_s)


def test_a_back_dated_reading_is_put_where_it_belongs(live: LiveCook, clock: FixedClock) -> None:
    feed(live, clock, [75, 75, 75])
    assert current(live) == "s2"
    live.record_readings([Reading(clock.at_s - 5, "meat", 60.0)]).result(5)
    assert current(live) == "s1"


def test_with_the_clock_set_back_it_stands_where_its_log_says(
    live: LiveCook, clock: FixedClock
) -> None:
    feed(live, clock, [70.0] * 200 + [75.0] * 4)
    assert current(live) == "s2"
    clock.at_s -= 1004.0
    for value_c in (71.0, 75.0, 75.0, 75.0):
        feed(live, clock, [value_c])
        standing = live.standing()
        assert standing == fold(live.log(), clock.at_s)
        assert live.standing() is standing
    live.record(StageSkipped("s1")).result(5)
    assert current(live) == "s2"
    assert live.standing() == fold(live.log(), clock.at_s)
    assert live.standing(clock.at_s + 3600) == fold(live.log(), clock.at_s + 3600)


def test_a_moment_long_past_is_not_held_by_readings_of_today(
    live: LiveCook, clock: FixedClock
) -> None:
    feed(live, clock, [70.0])
    silent_s = clock.at_s + 600
    clock.at_s += 3600
    live.held = lambda: {"meat": clock.at_s}
    assert live.standing(silent_s).channels["meat"].status == "silent"
    assert live.standing().channels["meat"].status == "held"


def test_undo_strikes_and_redo_brings_back(live: LiveCook, clock: FixedClock) -> None:
    live.record(StageSkipped("s1")).result(5)
    assert current(live) == "s2"
    undone = live.undo()
    assert undone is not None
    undone.result(5)
    assert current(live) == "s1"
    back = live.can_redo()
    assert back is not None
    assert back.what == StageSkipped("s1")
    redone = live.redo()
    assert redone is not None
    redone.result(5)
    assert current(live) == "s2"
    assert live.redo() is None
    assert len(live.log().entries) == 9  # nothing was taken away


def test_undo_goes_back_entry_by_entry_but_not_past_what_set_the_cook_up(live: LiveCook) -> None:
    count = 0
    while (future := live.undo()) is not None:
        future.result(5)
        count += 1
    assert count == 3
    assert live.standing().lead == "meat"
    assert live.opened is not None
    for _ in range(count):
        redone = live.redo()
        assert redone is not None
        redone.result(5)
    assert current(live) == "s1"


def test_undo_of_a_change_brings_back_what_it_was_before(live: LiveCook, clock: FixedClock) -> None:
    def items() -> list[float | None]:
        return [what.mass_kg for _, what in live.log().of(ItemAdded) if what.name == "ribs"]

    before = live.record(ItemAdded("ribs", mass_kg=2.0)).result(5)
    now_s = clock.now_s()
    live.record_many(
        [(now_s, Strike(before.id, "changed")), (now_s, ItemAdded("ribs", mass_kg=3.0))]
    ).result(5)
    assert items() == [3.0]
    for undo, left in ((live.undo, [2.0]), (live.redo, [3.0]), (live.undo, [2.0])):
        future = undo()
        assert future is not None
        future.result(5)
        assert items() == left
    future = live.undo()
    assert future is not None
    future.result(5)
    assert items() == []


def test_a_new_entry_ends_what_could_be_redone(live: LiveCook) -> None:
    live.record(Note("one")).result(5)
    undone = live.undo()
    assert undone is not None
    undone.result(5)
    live.record(Note("two")).result(5)
    assert live.can_redo() is None


def test_what_cannot_be_right_is_refused_at_once(live: LiveCook) -> None:
    with pytest.raises(SchemaProblem):
        live.record(ItemAdded("shoulder", mass_kg=-1.0))


def test_an_alarm_is_written_once_and_answered(
    live: LiveCook, clock: FixedClock, program: Program
) -> None:
    told: list[str] = []
    program.on_alarm(lambda _, alarm: told.append(alarm.key))
    feed(live, clock, [75, 75, 75])
    for _ in range(3):
        clock.at_s += 1
        program.look_for_alarms(clock.at_s)
    program.journal.flush()
    raised = live.log().of(AlarmRaised)
    assert [entry.what.key for entry, _ in raised if isinstance(entry.what, AlarmRaised)] == told
    assert len(told) == 1
    assert [alarm.key for alarm in live.alarms(clock.at_s)] == told
    live.record(AlarmAcknowledged(told[0])).result(5)
    assert live.alarms(clock.at_s) == ()


def test_the_settings_say_which_alarms_call_and_in_which_units(
    live: LiveCook, clock: FixedClock, program: Program
) -> None:
    made = ForecastMade("meat", 93.0, "forecast", *(clock.at_s + s for s in (300.0, 600.0, 900.0)))
    feed(live, clock, [60, 60, 60])
    live.record(made).result(5)
    program.called = Called(units=US)
    (alarm,) = [a for a in live.alarms(clock.at_s) if a.key.startswith("nearly:")]
    assert "199 °F" in alarm.text
    program.called = Called(AlarmTuning(nearly=False))
    assert [a for a in live.alarms(clock.at_s) if a.key.startswith("nearly:")] == []


def test_listeners_hear_of_it_after_it_is_taken_in(live: LiveCook, clock: FixedClock) -> None:
    heard: list[str | None] = []
    stop = live.subscribe(lambda cook, change: heard.append(current(cook)))
    live.record(StageConfirmed("s1")).result(5)
    stop()
    live.record(Note("unheard")).result(5)
    assert heard == ["s2"]


def test_plan_again_takes_over_what_was_planned_and_not_what_happened(
    live: LiveCook, clock: FixedClock, program: Program
) -> None:
    feed(live, clock, [72, 75, 75])
    live.record(Note("good bark")).result(5)
    live.record(CookRenamed("Shoulder, smaller", place="Garden")).result(5)
    again = program.live(program.plan_again(live.cook_id))
    assert again.opened is not None
    assert (again.opened.title, again.opened.place) == ("Shoulder, smaller", "Garden")
    standing = again.standing()
    assert standing.phase == "planned"
    assert standing.schedule.stages == STAGES
    assert standing.lead == "meat"
    assert [item.name for _, item in again.log().of(ItemAdded)] == ["pork shoulder"]
    assert again.log().of(Note) == []
    assert len(again.log().trace("meat")) == 0


def test_the_cook_under_way_is_found(live: LiveCook, program: Program) -> None:
    assert program.under_way() == live.cook_id


def test_several_cooks_under_way_are_all_known(live: LiveCook, program: Program) -> None:
    planned = program.new_cook("Planned", "Europe/Berlin")
    second = program.new_cook("Second", "Europe/Berlin")
    program.live(second).record(ScheduleStarted()).result()
    assert set(program.all_under_way()) == {live.cook_id, second}
    assert planned not in program.all_under_way()
    program.live(second).record(CookClosed()).result()
    assert program.all_under_way() == (live.cook_id,)


def test_on_a_slow_disk_undo_takes_back_what_was_said_last(
    program: Program, live: LiveCook
) -> None:
    live.record(ScheduleStarted()).result()
    with slow_disk(program.journal):
        live.record(Note("by mistake"))
        undone = live.undo()
        assert undone is not None
    undone.result(5)
    assert not live.log().of(Note)
    assert live.log().of(ScheduleStarted)
    assert live.standing().phase == "running"


def test_two_undos_at_once_take_back_two_things(program: Program, live: LiveCook) -> None:
    live.record(ScheduleStarted()).result()
    live.record(Note("one")).result()
    with slow_disk(program.journal):
        live.record(Note("two"))
        first, second = live.undo(), live.undo()
        assert first is not None
        assert second is not None
    first.result(5)
    second.result(5)
    assert not live.log().of(Note)
    assert live.log().of(ScheduleStarted)


def test_where_the_last_thing_could_not_be_written_nothing_else_is_struck(
    program: Program, live: LiveCook, monkeypatch: pytest.MonkeyPatch
) -> None:
    live.record(ScheduleStarted()).result()
    with monkeypatch.context() as broken:
        broken.setattr("smokejournal.journal.entry_table.write_line", None)
        with slow_disk(program.journal):
            live.record(Note("lost"))
            undone = live.undo()
        assert undone is not None
        with pytest.raises(TypeError):
            undone.result(5)
    assert live.log().of(ScheduleStarted)
