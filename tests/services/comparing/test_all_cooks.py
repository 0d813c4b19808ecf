"""Cooks are read once, and again only when something came to them."""

from __future__ import annotations

import pytest

from smokejournal.cook.log.entries import Tasted
from smokejournal.cook.log.readings import Reading
from smokejournal.services.comparing.all_cooks import AllCooks
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock
from tests.support.judged_cooks import finished


def test_finished_cooks_only_and_each_once(
    program: Program, clock: FixedClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, simulated = finished(program, clock), finished(program, clock, simulated=True)
    program.new_cook("Planned", "UTC")
    cooks = AllCooks(program)
    read: list[int] = []
    log_of = program.journal.log
    monkeypatch.setattr(
        program.journal, "log", lambda cook_id: read.append(cook_id) or log_of(cook_id)
    )
    walk = cooks.walk()
    every = walk.run()
    assert every is not None
    assert {cook.cook_id: cook.simulated for cook in every} == {real: False, simulated: True}
    assert (walk.done, walk.total) == (2, 2)
    assert cooks.walk().run() == every
    assert sorted(read) == sorted([real, simulated])

    program.journal.append_many(real, [(clock.now_s(), Tasted("", {"overall": 2}))], 0.0).result()
    again = cooks.walk().run()
    assert again is not None
    assert [cook.value("mark", "overall") for cook in again if cook.cook_id == real] == [2.0]
    assert len(read) == 3


def test_readings_that_come_late_are_read_once_it_is_told(
    program: Program, clock: FixedClock
) -> None:
    cook_id = finished(program, clock)
    cooks = AllCooks(program)
    held_c = cooks.of_cook(cook_id).value("pit_held_c", "cook")
    assert held_c == pytest.approx(107.0)
    start_s = program.journal.trace(cook_id, "pit").at_s[0]
    late = [Reading(start_s + 30.0 + 60.0 * n, "pit", 57.0) for n in range(200)]
    program.journal.append_readings(cook_id, late).result()
    cooks.forget(cook_id)
    now_c = cooks.of_cook(cook_id).value("pit_held_c", "cook")
    assert now_c is not None
    assert now_c < 100.0


def test_a_walk_that_is_cancelled_answers_nothing(program: Program, clock: FixedClock) -> None:
    finished(program, clock)
    walk = AllCooks(program).walk()
    walk.cancel()
    assert walk.run() is None
    assert walk.done == 0


def test_chosen_cooks_come_in_the_order_asked(program: Program, clock: FixedClock) -> None:
    first, second = finished(program, clock), finished(program, clock)
    found = AllCooks(program).chosen([second, first])
    assert [cook.facts.cook_id for cook in found] == [second, first]
    assert all(cook.lead is not None and cook.pit is not None for cook in found)
