"""Battery and disk under a cook: looked at on the side, raised in its log, answered as any alarm."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from smokejournal.cook.log.entries import AlarmRaised, CookClosed, ScheduleSet, ScheduleStarted
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage
from smokejournal.cook.progress.alarms import AlarmTuning, Called
from smokejournal.cook.progress.machine_watch import OLD_S, Battery
from smokejournal.services.program.live import LiveCook
from smokejournal.services.program.machine_watch import EVERY_S, MachineWatch, read_free_bytes
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock


class Machine:
    """A machine whose battery and disk are set by hand."""

    def __init__(self) -> None:
        self.battery: Battery | None = Battery(80.0, True)
        self.free: int | None = 10**11
        self.reads = 0
        self.thread: threading.Thread | None = None
        self.passed_s = 0.0

    def read(self) -> Battery | None:
        self.reads += 1
        self.thread = threading.current_thread()
        return self.battery


@pytest.fixture
def machine() -> Machine:
    return Machine()


@pytest.fixture
def watch(program: Program, machine: Machine) -> Iterator[MachineWatch]:
    watch = MachineWatch(program, machine.read, lambda _: machine.free, lambda: machine.passed_s)
    yield watch
    watch.close()


def started(program: Program, title: str = "Ribs") -> LiveCook:
    live = program.live(program.new_cook(title, "Europe/Berlin"))
    live.record(ScheduleSet(Schedule("Hold", (Stage("s1", "Hold", (ForTime(36_000.0),)),))))
    live.record(ScheduleStarted()).result(10)
    return live


def looked(watch: MachineWatch, machine: Machine, clock: FixedClock) -> None:
    machine.passed_s += EVERY_S
    clock.forward(EVERY_S)
    watch.look()
    watch.settle()


def raised(live: LiveCook) -> list[str]:
    live._journal.flush()
    return [e.what.text for e, _ in live.log().of(AlarmRaised) if isinstance(e.what, AlarmRaised)]


def test_a_low_battery_is_raised_once_and_answered(
    program: Program, watch: MachineWatch, machine: Machine, clock: FixedClock
) -> None:
    live = started(program)
    told: list[str] = []
    program.on_alarm(lambda _, alarm: told.append(alarm.text))
    looked(watch, machine, clock)
    program.look_for_alarms(clock.at_s)
    assert told == []
    machine.battery = Battery(19.0, True)
    for pct in (19.0, 18.0, 17.0):
        machine.battery = Battery(pct, True)
        looked(watch, machine, clock)
        program.look_for_alarms(clock.at_s)
    assert raised(live) == told
    assert len(told) == 1
    assert "(19 %)" in told[0]
    (alarm,) = live.alarms(clock.at_s)
    assert "(17 %)" in alarm.text
    live.answer(alarm, None).result(10)
    assert live.alarms(clock.at_s) == ()
    # The tenth calls again, though the fifth was answered.
    machine.battery = Battery(10.0, True)
    looked(watch, machine, clock)
    (alarm,) = live.alarms(clock.at_s)
    assert alarm.level == "insistent"


def test_put_off_it_comes_again_and_plugged_in_it_goes(
    program: Program, watch: MachineWatch, machine: Machine, clock: FixedClock
) -> None:
    live = started(program)
    machine.battery = Battery(9.0, True)
    looked(watch, machine, clock)
    (alarm,) = live.alarms(clock.at_s)
    live.answer(alarm, 300.0).result(10)
    assert live.alarms(clock.at_s) == ()
    clock.forward(301)
    assert [each.key for each in live.alarms(clock.at_s)] == [alarm.key]
    machine.battery = Battery(9.0, False)
    looked(watch, machine, clock)
    assert live.alarms(clock.at_s) == ()


def test_a_disk_that_fills_up_is_raised(
    program: Program, watch: MachineWatch, machine: Machine, clock: FixedClock
) -> None:
    live = started(program)
    machine.free = 640_000_000
    looked(watch, machine, clock)
    program.look_for_alarms(clock.at_s)
    (text,) = raised(live)
    assert "640 MB" in text
    # A log is shown to others, and the folder names a person.
    assert str(program.journal.folder) not in text


def test_the_settings_switch_it_off(
    program: Program, watch: MachineWatch, machine: Machine, clock: FixedClock
) -> None:
    live = started(program)
    machine.battery, machine.free = Battery(5.0, True), 0
    looked(watch, machine, clock)
    assert len(live.alarms(clock.at_s)) == 2
    program.called = Called(AlarmTuning(battery=False, disk=False))
    assert live.alarms(clock.at_s) == ()


def test_without_a_cook_under_way_nothing_is_read_and_nobody_called(
    program: Program, watch: MachineWatch, machine: Machine, clock: FixedClock
) -> None:
    planned = program.live(program.new_cook("Later", "UTC"))
    machine.battery = Battery(5.0, True)
    looked(watch, machine, clock)
    assert machine.reads == 0
    assert planned.alarms(clock.at_s) == ()
    live = started(program)
    looked(watch, machine, clock)
    assert len(live.alarms(clock.at_s)) == 1
    live.record(CookClosed()).result(10)
    assert live.alarms(clock.at_s) == ()


def test_of_two_cooks_one_is_called(
    program: Program, watch: MachineWatch, machine: Machine, clock: FixedClock
) -> None:
    first = started(program)
    clock.forward(60)
    second = started(program, "Trout")
    machine.battery = Battery(5.0, True)
    looked(watch, machine, clock)
    assert (len(first.alarms(clock.at_s)), len(second.alarms(clock.at_s))) == (0, 1)


def test_it_is_read_now_and_then_on_a_thread_of_its_own(
    program: Program, watch: MachineWatch, machine: Machine, clock: FixedClock
) -> None:
    started(program)
    looked(watch, machine, clock)
    for _ in range(10):
        machine.passed_s += 1.0
        watch.look()
    watch.settle()
    assert machine.reads == 1
    assert machine.thread is not threading.current_thread()


def test_a_look_that_hangs_holds_up_nothing_and_ages(
    program: Program, machine: Machine, clock: FixedClock
) -> None:
    live = started(program)
    go, hangs = threading.Event(), threading.Event()

    def free_bytes(_: Path) -> int:
        if machine.reads > 1:
            hangs.set()
            go.wait(10.0)
        return 10**6

    watch = MachineWatch(program, machine.read, free_bytes, lambda: machine.passed_s)
    looked(watch, machine, clock)
    assert len(live.alarms(clock.at_s)) == 1
    machine.passed_s += EVERY_S
    watch.look()
    assert hangs.wait(10.0)
    assert len(live.alarms(clock.at_s)) == 1
    machine.passed_s += OLD_S + 1
    watch.look()
    assert live.alarms(clock.at_s) == ()
    go.set()
    watch.settle()
    watch.close()
    assert machine.reads == 2


def test_a_reader_that_fails_is_tried_again(
    program: Program, machine: Machine, clock: FixedClock
) -> None:
    live = started(program)

    def read() -> Battery:
        machine.reads += 1
        if machine.reads == 1:
            raise RuntimeError("a driver gave way")
        return Battery(5.0, True)

    watch = MachineWatch(program, read, lambda _: None, lambda: machine.passed_s)
    looked(watch, machine, clock)
    assert live.alarms(clock.at_s) == ()
    looked(watch, machine, clock)
    assert len(live.alarms(clock.at_s)) == 1
    watch.close()


def test_the_room_on_a_disk_is_read_or_unknown(tmp_path: Path) -> None:
    free = read_free_bytes(tmp_path)
    assert free is not None
    assert free >= 0
    assert read_free_bytes(tmp_path / "gone") is None
