"""What made it last: parts by Shapley's value, against published games and simulated cooks."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from smokejournal.science.forecast.explanation import (
    CAUSES,
    Conditions,
    Explanation,
    PitChange,
    WrapChange,
    conditions_of,
    explain,
    shapley,
)
from smokejournal.science.forecast.values import CookSoFar, Wrapped
from tests.simulator.causes import judge, pairs
from tests.simulator.cooks import SimulatedCook, cooks
from tests.simulator.recipes import cook_spec

Array = NDArray[np.float64]


def _game(n: int, worth: object) -> Array:
    return np.array([worth({k for k in range(n) if row >> k & 1}) for row in range(1 << n)])


# -- published games -------------------------------------------------------------------------


def test_the_glove_game_has_its_published_values() -> None:
    """Two own a left glove, one a right one, a pair is worth 1: 1/6, 1/6, 2/3 (from memory; a standard
    example for the value of Shapley 1953)."""
    found = shapley(_game(3, lambda who: float(2 in who and len(who) > 1)))
    assert found == pytest.approx([1 / 6, 1 / 6, 2 / 3])


def test_the_airport_game_has_its_published_values() -> None:
    """Each pays an equal share of every stretch of runway that it needs (Littlechild and Owen, Management
    Science 20, 1973; from memory): with costs 8, 11, 13 and 18, 2, 3, 4 and 9."""
    costs = [8.0, 11.0, 13.0, 18.0]
    found = shapley(_game(4, lambda who: max((costs[k] for k in who), default=0.0)))
    assert found == pytest.approx([2.0, 3.0, 4.0, 9.0])


@settings(max_examples=60)
@given(
    st.integers(1, 5).flatmap(
        lambda n: st.lists(st.floats(-1e4, 1e4), min_size=1 << n, max_size=1 << n)
    )
)
def test_what_all_are_worth_is_given_out_and_one_who_adds_nothing_gets_nothing(
    worth: list[float],
) -> None:
    values = np.array(worth)
    found = shapley(values)
    assert found.sum() == pytest.approx(values[-1] - values[0], abs=1e-6)
    # One more comes who adds nothing, and one who is as good as the first.
    assert shapley(np.concatenate([values, values])) == pytest.approx([*found, 0.0], abs=1e-6)


@settings(max_examples=40)
@given(st.lists(st.floats(-1e4, 1e4), min_size=8, max_size=8))
def test_two_who_add_the_same_get_the_same(worth: list[float]) -> None:
    even = np.array(worth)
    even[[1, 5]] = even[[2, 6]]
    found = shapley(even)
    assert found[0] == pytest.approx(found[1], abs=1e-6)


def test_other_than_all_sets_of_players_is_refused() -> None:
    with pytest.raises(ValueError, match="power of two"):
        shapley(np.zeros(6))


# -- one cook --------------------------------------------------------------------------------


@cache
def _cook() -> SimulatedCook:
    spec = cook_spec("shoulder", 11)
    spec = replace(
        spec,
        probe=replace(spec.probe, in_s=spec.meat_in_s, moved=None),
        pit=replace(spec.pit, set_points=spec.pit.set_points[:1], preheated=True),
        wrap=None,
        mass_told=True,
        start_told=True,
    )
    return cooks([spec])[0]


def _so_far() -> CookSoFar:
    return _cook().so_far(_cook().truth_s)


def _explained(reference: Conditions, expected_s: float | None = None) -> Explanation:
    found = explain(_so_far(), reference, expected_s=expected_s)
    assert isinstance(found, Explanation)
    return found


@settings(max_examples=4, deadline=None)
@given(
    st.builds(
        Conditions,
        st.floats(0.0, 15.0),
        st.floats(0.04, 0.08),
        st.floats(-6.0, 6.0),
        st.floats(-3.0, 0.0),
        st.just((PitChange(112.0, 0.0), PitChange(120.0, at_probe_c=70.0))),
        st.sampled_from([(), (WrapChange("paper", None, 68.0),)]),
    ),
    st.floats(20_000.0, 60_000.0),
)
def test_the_parts_add_up_to_the_whole(reference: Conditions, expected_s: float) -> None:
    found = _explained(reference, expected_s)
    whole = found.took_s - found.expected_s
    assert sum(part.mean_s for part in found.parts) == pytest.approx(whole, abs=1e-3)
    assert all(part.low_s <= part.high_s for part in found.parts)


def test_a_cook_that_was_as_meant_has_no_cause() -> None:
    cook = _cook()
    was = conditions_of(_so_far())
    assert was is not None
    found = _explained(was, cook.truth_s - cook.inserted_s)
    assert {part.name for part in found.parts} == {"baseline", "unexplained"}
    # All there is of it is what the model itself misses.
    baseline, unexplained = found.part("baseline"), found.part("unexplained")
    assert baseline is not None
    assert unexplained is not None
    assert baseline.mean_s == pytest.approx(-unexplained.mean_s)
    assert abs(unexplained.mean_s) < 0.1 * found.took_s


def test_without_an_expected_time_the_model_says_what_it_would_have_taken() -> None:
    was = conditions_of(_so_far())
    assert was is not None
    assert was.pit_k is not None
    found = _explained(Conditions(pit_k=was.pit_k + 8.0))
    pit = found.part("pit")
    assert pit is not None
    assert pit.low_s > 0.0
    assert found.part("baseline") is None
    assert sum(p.mean_s for p in found.parts) == pytest.approx(found.took_s - found.expected_s)


def test_directions_are_those_of_physics() -> None:
    was = conditions_of(_so_far())
    assert was is not None
    assert was.start_c is not None
    assert was.radius_m is not None
    assert was.sets is not None
    meant = Conditions(
        start_c=was.start_c + 8.0,
        radius_m=was.radius_m * 0.9,
        sets=tuple(replace(one, pit_c=one.pit_c + 10.0) for one in was.sets),
        wraps=(WrapChange("foil", at_probe_c=65.0),),
    )
    found = _explained(meant)
    for name in ("start", "size", "set_point"):
        part = found.part(name)
        assert part is not None, name
        assert part.low_s > 0.0 or part.high_s < 0.0, name
        assert part.mean_s > 0.0, name
    wrap = found.part("wrap")
    assert wrap is not None
    # It was never wrapped: what a wrap would have done of this piece is hardly known.
    assert wrap.high_s - wrap.low_s > 3600.0
    assert {part.name for part in found.parts} == {
        "start", "size", "set_point", "wrap", "unexplained"
    }  # fmt: skip


def test_lids_are_told_from_a_pit_that_runs_low() -> None:
    """Dips that were written down, and dips that only the pit's readings show."""
    time_s = np.arange(0.0, 6 * 3600.0, 30.0)
    pit_c = np.full(time_s.size, 104.0)
    lids = tuple((at_s, at_s + 120.0) for at_s in (3600.0, 9000.0, 14_000.0))
    for from_s, to_s in lids:
        pit_c[(time_s >= from_s) & (time_s <= to_s + 300.0)] -= 40.0
    cook = replace(
        _so_far(),
        time_s=time_s,
        pit_c=pit_c,
        probe_c=5.0 + 60.0 * time_s / time_s[-1],
        now_s=float(time_s[-1]),
        start_s=0.0,
        set_points=(replace(_so_far().set_points[0], pit_c=110.0, time_s=0.0),),
    )
    lost_k = 40.0 * 3 * 420.0 / time_s[-1]
    for told in ((), lids):
        found = conditions_of(cook, told)
        assert found is not None
        assert found.pit_k == pytest.approx(-6.0, abs=0.05)
        assert found.lid_k == pytest.approx(-lost_k, abs=0.3)


def test_a_wrap_is_read_at_the_temperature_of_the_probe() -> None:
    cook = _so_far()
    at_s = float(cook.time_s[cook.time_s.size // 2])
    found = conditions_of(replace(cook, wraps=(Wrapped(at_s, "foil"),)))
    assert found is not None
    assert found.wraps is not None
    shown = float(np.nanmedian(cook.probe_c[np.abs(cook.time_s - at_s) < 120.0]))
    assert found.wraps[0].at_probe_c == pytest.approx(shown, abs=0.6)


def test_nothing_known_of_the_pit_tells_nothing() -> None:
    cook = replace(_so_far(), pit_c=np.full(_so_far().time_s.size, np.nan), set_points=())
    assert conditions_of(cook) is None
    assert explain(cook, Conditions(pit_k=0.0)) == "no_readings"


def test_a_reference_that_says_nothing_explains_nothing() -> None:
    assert explain(_so_far(), Conditions()) == "nothing_known"


def test_a_pit_in_which_it_never_gets_done_is_said() -> None:
    assert explain(_so_far(), Conditions(sets=(PitChange(70.0, 0.0),))) == "never"


# -- simulated pairs -------------------------------------------------------------------------


def test_the_cause_that_was_changed_is_the_largest_in_nine_of_ten_pairs() -> None:
    """The short form of `python -m tests.simulator.causes 12`."""
    judged = [judge(pair) for pair in pairs(4)]
    assert {one.pair.cause for one in judged} == set(CAUSES)
    assert len(judged) == 24
    assert np.mean([one.is_named for one in judged]) >= 0.9
    # Of 80 %: as few as this by chance once in a hundred times.
    assert sum(one.held for one in judged) >= 14
