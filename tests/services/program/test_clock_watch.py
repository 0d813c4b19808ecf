"""The machine's clock is set while a cook is under way: nothing is bent, and it is written down."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.entries import ClockSet, CookClosed, CookOpened, ScheduleStarted
from smokejournal.journal import Journal
from smokejournal.services.program.clock import SteadyClock, since_boot_s
from smokejournal.services.program.clock_watch import ClockMoved, ClockWatch, steady_clock
from smokejournal.services.program.practice import clock_for, clock_read_only
from smokejournal.services.program.program import Program

AT_S = 1_780_000_000.0


class Machine:
    """A machine whose wall clock can be set, and whose clock since boot can't."""

    def __init__(self) -> None:
        self.boot_s = 5000.0
        self.set_by_s = 0.0

    def wall_s(self) -> float:
        return AT_S + self.boot_s + self.set_by_s

    def clock(self, ahead_s: float = 0.0) -> SteadyClock:
        return SteadyClock(ahead_s, self.wall_s, lambda: self.boot_s)


@pytest.fixture
def machine() -> Machine:
    return Machine()


def started(journal: Journal, at_s: float) -> int:
    cook = journal.new_cook(CookOpened("Ribs", "UTC"), at_s, at_s).result(10)
    journal.append(cook, ScheduleStarted(), at_s, at_s).result(10)
    return cook


def written(journal: Journal, cook: int) -> list[float]:
    journal.append(cook, CookOpened("Ribs", "UTC"), 1.0, 1.0).result(10)  # all before it is in
    return [e.what.ahead_s for e in journal.entries(cook) if isinstance(e.what, ClockSet)]


@given(
    steps=st.lists(st.tuples(st.floats(0, 86_400), st.floats(-1e8, 1e8)), min_size=1, max_size=20)
)
def test_durations_are_those_of_the_clock_since_boot(steps: list[tuple[float, float]]) -> None:
    machine = Machine()
    clock = machine.clock()
    first_s = clock.now_s()
    for passed_s, set_by_s in steps:
        machine.boot_s += passed_s
        machine.set_by_s += set_by_s
        assert clock.now_s() - first_s == pytest.approx(machine.boot_s - 5000.0, abs=1e-3)
        assert clock.ahead_s() == pytest.approx(machine.set_by_s, abs=1e-3)


def test_the_clock_since_boot_goes_on() -> None:
    first_s = since_boot_s()
    assert 0 <= since_boot_s() - first_s < 60


def test_a_jump_under_way_is_written_once_and_bends_nothing(
    tmp_path: Path, machine: Machine
) -> None:
    clock = machine.clock()
    with Journal.open(tmp_path / "journal") as journal:
        cook = started(journal, clock.now_s())
        watch = ClockWatch(journal, clock)
        assert watch.look() == ()
        machine.boot_s += 600
        machine.set_by_s = 3600.0
        assert watch.look() == (ClockMoved(cook, pytest.approx(3600), pytest.approx(3600)),)
        assert watch.look() == ()
        assert clock.now_s() == pytest.approx(AT_S + 5600)
        machine.set_by_s = 0.0
        assert watch.look() == (ClockMoved(cook, pytest.approx(-3600), pytest.approx(0, abs=1e-6)),)
        assert written(journal, cook) == [pytest.approx(3600), pytest.approx(0, abs=1e-6)]


@pytest.mark.parametrize("by_s", [4.0, -4.0])
def test_what_network_time_does_every_day_is_no_jump(
    tmp_path: Path, machine: Machine, by_s: float
) -> None:
    clock = machine.clock()
    with Journal.open(tmp_path / "journal") as journal:
        cook = started(journal, clock.now_s())
        machine.set_by_s = by_s
        assert ClockWatch(journal, clock).look() == ()
        assert written(journal, cook) == []


def test_the_machine_is_followed_while_no_cook_is_under_way(
    tmp_path: Path, machine: Machine
) -> None:
    clock = machine.clock()
    with Journal.open(tmp_path / "journal") as journal:
        watch = ClockWatch(journal, clock)
        machine.set_by_s = -7200.0
        assert watch.look() == ()
        assert clock.now_s() == pytest.approx(machine.wall_s())
        cook = started(journal, clock.now_s())
        machine.set_by_s = 0.0
        assert [moved.by_s for moved in watch.look()] == [pytest.approx(7200)]
        journal.append(cook, CookClosed(), clock.now_s(), clock.now_s()).result(10)
        assert watch.look() == ()
        assert clock.now_s() == pytest.approx(machine.wall_s())
        assert watch.look() == ()


def test_a_program_started_again_goes_on_in_the_cooks_time(
    tmp_path: Path, machine: Machine
) -> None:
    with Journal.open(tmp_path / "journal") as journal:
        clock = machine.clock()
        cook = started(journal, clock.now_s())
        watch = ClockWatch(journal, clock)
        machine.set_by_s = 3600.0
        watch.look()
        assert written(journal, cook) == [pytest.approx(3600)]
    with Journal.open(tmp_path / "journal") as journal:
        for again in (clock_for(journal, None), clock_read_only(journal)):
            assert isinstance(again, SteadyClock)
            assert again.ahead_s() == pytest.approx(3600, abs=1)
        # What is known from the log is not written a second time.
        assert ClockWatch(journal, machine.clock(3600.0)).look() == ()
        assert written(journal, cook) == [pytest.approx(3600)]
        journal.append(cook, CookClosed(), AT_S + 9e3, AT_S + 9e3).result(10)
        assert steady_clock(journal).ahead_s() == pytest.approx(0, abs=1)


def test_undo_passes_over_it(tmp_path: Path, machine: Machine) -> None:
    clock = machine.clock()
    with Journal.open(tmp_path / "journal") as journal:
        program = Program(journal, clock)
        cook = started(journal, clock.now_s())
        live = program.live(cook)
        machine.set_by_s = 60.0
        (moved,) = program.look_at_clock()
        assert moved.cook_id == cook
        assert written(journal, cook) == [pytest.approx(60)]
        undoing = live.can_undo()
        assert undoing is not None
        assert isinstance(undoing.what, ScheduleStarted)
        program.close()
