"""Thinning keeps lows, highs and gaps; dashes keep to their pattern."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.readings import Trace
from smokejournal.cook.score.score import ScoreTrace
from smokejournal.cook.score.thinning import FlatTrace, Stroke, dashed, line_of, thin


def line(pieces: list[np.ndarray], values: list[np.ndarray]) -> FlatTrace:
    traces = tuple(Trace(a, v) for a, v in zip(pieces, values, strict=True))
    return line_of(ScoreTrace("k", "K", "meat", traces))


@given(
    dice=st.integers(0, 10_000),
    sizes=st.lists(st.integers(1, 400), min_size=1, max_size=6),
    column_s=st.floats(5.0, 120.0),
)
def test_lows_highs_ends_and_gaps_are_kept(dice: int, sizes: list[int], column_s: float) -> None:
    rng = np.random.default_rng(dice)
    pieces, values, at = [], [], 1_780_000_000.0
    for size in sizes:
        times = at + np.cumsum(rng.uniform(0.5, 2.0, size))
        pieces.append(times)
        values.append(rng.normal(50, 20, size))
        at = float(times[-1]) + 500.0
    whole = line(pieces, values)
    first, last = float(whole.at_s[0]), float(whole.at_s[-1])
    drawn = thin(whole, first, last, column_s)
    assert drawn.y.min() == whole.value_c.min()
    assert drawn.y.max() == whole.value_c.max()
    assert np.all(np.diff(drawn.x) >= 0)
    assert drawn.x[0] == first
    assert drawn.x[-1] == last
    assert not drawn.joined[-1]
    assert np.count_nonzero(~drawn.joined) == len(sizes)
    # Nothing is joined over a gap of 500 s: within a piece two readings are at most 2 s apart.
    assert np.diff(drawn.x)[drawn.joined[:-1]].max(initial=0.0) <= 2 * column_s + 2.0


def test_a_day_becomes_a_few_points_a_column() -> None:
    at = 1_780_000_000.0 + np.arange(86_400.0)
    drawn = thin(line([at], [np.sin(at)]), at[0], at[-1], 86.4)
    assert drawn.x.size <= 2 * 1002


def test_columns_do_not_move_with_the_picture() -> None:
    at = 1_780_000_000.0 + np.arange(20_000.0)
    values = np.random.default_rng(1).normal(50, 1, at.size)
    one = thin(line([at], [values]), at[100], at[-1], 30.0)
    other = thin(line([at], [values]), at[117], at[-1], 30.0)
    assert np.array_equal(one.x[-1000:], other.x[-1000:])
    assert np.array_equal(one.y[-1000:], other.y[-1000:])


def test_a_quiet_column_becomes_one_point() -> None:
    at = np.arange(10_000.0)
    values = 50 + 0.01 * np.sin(at)
    assert thin(line([at], [values]), 0, 1e4, 100.0, flat_c=0.1).x.size <= 103


def test_one_reading_beyond_each_edge_is_kept() -> None:
    at = np.arange(0.0, 100.0, 10.0)
    drawn = thin(line([at], [at]), 35.0, 55.0, 1.0)
    assert drawn.x.tolist() == [30.0, 40.0, 50.0, 60.0]


def test_nothing_to_draw() -> None:
    empty = line_of(ScoreTrace("k", "K", "meat", ()))
    assert thin(empty, 0.0, 10.0, 1.0).x.size == 0
    far = line([np.arange(10.0)], [np.arange(10.0)])
    assert thin(far, 100.0, 200.0, 1.0).x.size <= 1


def test_lone_readings_are_dots() -> None:
    alone = line(
        [np.array([0.0]), np.array([500.0, 510.0]), np.array([900.0])],
        [np.zeros(1), np.zeros(2), np.zeros(1)],
    )
    drawn = thin(alone, 0.0, 1000.0, 1.0)
    assert drawn.lone().tolist() == [True, False, False, True]


def _drawn_length(stroke: Stroke) -> float:
    step = np.hypot(np.diff(stroke.x), np.diff(stroke.y))
    return float(step[stroke.joined[:-1]].sum())


def test_dashes_of_a_straight_line_have_their_lengths() -> None:
    x = np.array([0.0, 50.0, 100.0])
    whole = Stroke(x, np.zeros(3), np.array([True, True, False]))
    cut = dashed(whole, (6.0, 4.0))
    assert _drawn_length(cut) == pytest.approx(60.0)
    ends = cut.x[np.flatnonzero(cut.joined & ~np.concatenate([[False], cut.joined[:-1]]))]
    assert ends.tolist() == pytest.approx([10.0 * n for n in range(10)])


def test_each_piece_begins_with_a_dash() -> None:
    x = np.array([0.0, 7.0, 20.0, 27.0])
    whole = Stroke(x, np.zeros(4), np.array([True, False, True, False]))
    cut = dashed(whole, (6.0, 4.0))
    assert _drawn_length(cut) == pytest.approx(12.0)
    starts = cut.x[np.flatnonzero(cut.joined & ~np.concatenate([[False], cut.joined[:-1]]))]
    assert starts.tolist() == [0.0, 20.0]


@given(st.integers(0, 1000), st.integers(2, 300))
def test_dashing_moves_no_point_and_joins_nothing_new(dice: int, size: int) -> None:
    rng = np.random.default_rng(dice)
    whole = Stroke(
        np.cumsum(rng.uniform(0.1, 5.0, size)), rng.normal(0, 30, size), rng.random(size) > 0.1
    )
    whole.joined[-1] = False
    cut = dashed(whole, (6.0, 3.0, 1.0, 3.0))
    assert np.all(np.isin(whole.x, cut.x))
    assert np.all(np.diff(cut.x) >= 0)
    gaps = np.flatnonzero(~whole.joined[:-1])
    for gap in gaps:
        inside = (cut.x[:-1] >= whole.x[gap]) & (cut.x[1:] <= whole.x[gap + 1])
        assert not np.any(cut.joined[:-1] & inside & (np.diff(cut.x) > 0))


def test_a_solid_pattern_changes_nothing() -> None:
    whole = Stroke(np.arange(3.0), np.zeros(3), np.array([True, True, False]))
    assert dashed(whole, ()) is whole
