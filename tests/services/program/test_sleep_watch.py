"""The machine sleeps in the middle of a cook: that is noticed once, and counts for nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    CookOpened,
    LeadSet,
    ScheduleSet,
    ScheduleStarted,
)
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage
from smokejournal.journal import Journal
from smokejournal.journal.problems import JournalProblem
from smokejournal.services.program import sleep_watch
from smokejournal.services.program.clock import SteadyClock, slept_s
from smokejournal.services.program.program import Program
from smokejournal.services.program.sleep_watch import SleepWatch, Slept

AT_S = 1_780_000_000.0


class SleepyMachine:
    """Time passes awake or asleep."""

    def __init__(self) -> None:
        self.awake_s = self.asleep_s = 0.0
        self.clock = SteadyClock(0.0, lambda: AT_S + self._boot_s(), self._boot_s)

    def _boot_s(self) -> float:
        return self.awake_s + self.asleep_s

    def slept_s(self) -> float:
        return self.asleep_s


@pytest.fixture
def machine() -> SleepyMachine:
    return SleepyMachine()


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    with Journal.open(tmp_path / "journal") as opened:
        yield opened


def started(journal: Journal, at_s: float) -> int:
    cook = journal.new_cook(CookOpened("Ribs", "UTC"), at_s, at_s).result(10)
    journal.append(cook, ScheduleStarted(), at_s, at_s).result(10)
    return cook


def test_this_machine_counts_its_sleep() -> None:
    first_s = slept_s()
    assert slept_s() == pytest.approx(first_s, abs=1.0)


def test_a_sleep_is_told_once_with_its_two_ends(journal: Journal, machine: SleepyMachine) -> None:
    first, second = (started(journal, AT_S) for _ in range(2))
    watch = SleepWatch(journal, machine.clock, machine.slept_s)
    machine.awake_s += 60
    assert watch.look() is None
    machine.asleep_s += 1800
    machine.awake_s += 1
    assert watch.look() == Slept(AT_S + 60, AT_S + 1861, (second, first))
    machine.awake_s += 1
    assert watch.look() is None


def test_a_program_that_was_held_up_awake_did_not_sleep(
    journal: Journal, machine: SleepyMachine
) -> None:
    started(journal, AT_S)
    watch = SleepWatch(journal, machine.clock, machine.slept_s)
    machine.awake_s += 3600
    assert watch.look() is None
    machine.asleep_s += sleep_watch.LEAST_S / 2
    assert watch.look() is None


def test_without_a_cook_under_way_sleep_is_no_news(
    journal: Journal, machine: SleepyMachine
) -> None:
    cook = started(journal, AT_S)
    journal.append(cook, CookClosed(), AT_S + 1, AT_S + 1).result(10)
    watch = SleepWatch(journal, machine.clock, machine.slept_s)
    machine.asleep_s += 1800
    assert watch.look() is None
    started(journal, machine.clock.now_s())
    assert watch.look() is None


def test_a_journal_that_can_not_be_read_is_asked_again(
    journal: Journal, machine: SleepyMachine, monkeypatch: pytest.MonkeyPatch
) -> None:
    cook = started(journal, AT_S)
    watch = SleepWatch(journal, machine.clock, machine.slept_s)
    machine.asleep_s += 1800

    def unreadable(_: Journal) -> tuple[int, ...]:
        raise JournalProblem("The journal can't be read.", "Wait.")

    with monkeypatch.context() as patch:
        patch.setattr(sleep_watch, "cooks_under_way", unreadable)
        with pytest.raises(JournalProblem):
            watch.look()
    assert watch.look() == Slept(AT_S, AT_S + 1800, (cook,))


def test_no_hold_is_credited_over_a_sleep(journal: Journal, machine: SleepyMachine) -> None:
    program = Program(journal, machine.clock, machine.slept_s)
    cook = started(journal, AT_S)
    live = program.live(cook)
    schedule = Schedule("Hold", (Stage("s1", "Hold", (ForTime(7200.0, at_least_c=60.0),)),))
    live.record_many(
        [
            (AT_S, what)
            for what in (
                ChannelSet(Channel("left", "Thick end")),
                LeadSet("left"),
                ScheduleSet(schedule),
                ScheduleStarted(),
            )
        ]
    ).result(10)

    def read_for(time_s: int) -> None:
        for _ in range(time_s // 10):
            machine.awake_s += 10
            live.record_readings([Reading(machine.clock.now_s(), "left", 65.0)]).result(10)

    def credited_s() -> float:
        run = live.standing().current
        assert run is not None
        return run.rules[0].counted_s

    read_for(600)
    before_s = credited_s()
    assert before_s > 500
    machine.asleep_s += 3600
    read_for(600)
    assert credited_s() == pytest.approx(before_s + 590, abs=11)
    assert program.look_at_sleep() is not None
    program.close()
