"""Where zero is, for any cook."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.comparing.alignment import (
    Alignment,
    ComparedCook,
    ZeroMoment,
    compared,
    line_from_zero,
    offered_stages,
    offered_temperature_c,
    place,
)
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.progress.believed import BelievedTrace
from tests.support.compared_cooks import HOUR, facts, known_log
from tests.support.logs import MEAT, T0

START, COOKING = Alignment(), Alignment("stage", "cook")


def at(temperature_c: float) -> Alignment:
    return Alignment("temperature", temperature_c=temperature_c)


def a_cook(values: list[float], gaps: list[bool], begins_s: float = 600.0) -> ComparedCook:
    """A lead with these readings, a minute apart, and an hour where there is a gap before one."""
    steps = np.where(np.array(gaps), HOUR, 60.0)
    at_s = T0 + np.cumsum(steps) - steps[0]
    trace = BelievedTrace(MEAT, at_s, np.array(values), ~np.array(gaps), at_s)
    return ComparedCook(facts(1, {}), T0, at_s[-1], {"cook": T0 + begins_s}, trace, None)


traces = st.integers(2, 40).flatmap(
    lambda n: st.tuples(
        st.lists(st.floats(-5, 110), min_size=n, max_size=n),
        st.lists(st.booleans(), min_size=n - 1, max_size=n - 1).map(lambda g: [True, *g]),
    )
)


@given(traces, st.floats(-5, 110))
def test_zero_is_the_first_moment_at_the_temperature(
    trace: tuple[list[float], list[bool]], temperature_c: float
) -> None:
    cook = a_cook(*trace)
    placed = place(cook, at(temperature_c))
    lead = cook.lead
    assert lead is not None
    there = [n for n, value in enumerate(trace[0]) if value >= temperature_c]
    if not there:
        assert placed == ZeroMoment(why="never_there")
    elif there[0] == 0:
        assert placed == ZeroMoment(why="there_at_first")
    else:
        assert placed.zero_s == lead.at_s[there[0]]
        assert placed.gap_s == (HOUR if trace[1][there[0]] else 0.0)


@given(traces, st.floats(-5, 110), st.floats(-1e6, 1e6).map(round))
def test_a_cook_on_another_day_lies_the_same(
    trace: tuple[list[float], list[bool]], temperature_c: float, later_s: int
) -> None:
    cook = a_cook(*trace)
    assert cook.lead is not None
    lead = replace(cook.lead, at_s=cook.lead.at_s + later_s)
    moved = replace(cook, from_s=T0 + later_s, begins={"cook": T0 + 600.0 + later_s}, lead=lead)
    for alignment in (START, COOKING, at(temperature_c)):
        here, there = place(cook, alignment), place(moved, alignment)
        assert (here.why, here.gap_s) == (there.why, there.gap_s)
        if here.zero_s is None or there.zero_s is None:
            assert here.zero_s is there.zero_s
            continue
        line, other = line_from_zero(cook.lead, here.zero_s), line_from_zero(lead, there.zero_s)
        assert np.array_equal(line.at_s, other.at_s)
        assert np.array_equal(line.starts, np.flatnonzero(trace[1]))


def test_stages_are_matched_by_what_they_are_for() -> None:
    cooks = [
        compared(log, log.entries[-1].at_s)
        for log in (known_log(1, cook_name="Smoke"), known_log(2, cook_name="Into the pit"))
    ]
    assert offered_stages(cooks) == ("warm_up", "cook", "rest")
    for cook in cooks:
        zero_s = place(cook, COOKING).zero_s
        assert zero_s is not None
        assert zero_s - T0 == pytest.approx(1800.0, abs=60.0)
        assert place(cook, Alignment("stage", "hold")) == ZeroMoment(why="no_stage")
        assert place(cook, START).zero_s == T0
        # On the line from 4 to 74 °C over four hours.
        reached_s = place(cook, at(39.0)).zero_s
        assert reached_s == pytest.approx(T0 + 1800.0 + 2 * HOUR, abs=30.0)
        assert place(cook, at(95.0)) == ZeroMoment(why="never_there")
    assert offered_temperature_c(cooks) == 40.0


def test_what_is_not_believed_reaches_nothing() -> None:
    log = known_log()
    trace = log.traces["meat"]
    trace.value_c[100] = 125.0
    assert place(compared(log, log.entries[-1].at_s), at(95.0)) == ZeroMoment(why="never_there")


def test_a_cook_without_a_start_or_a_lead_says_so() -> None:
    cook = a_cook([1.0, 2.0], [True, False])
    assert place(replace(cook, from_s=None), START) == ZeroMoment(why="not_started")
    assert place(replace(cook, lead=None), at(50.0)) == ZeroMoment(why="no_lead")
    only = Channel("pit", "Pit", role="pit")
    assert only.role == "pit"
    assert offered_temperature_c([replace(cook, lead=None), cook]) is None
