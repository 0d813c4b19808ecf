"""Thinning long traces to what a picture can show, and cutting them into dashes.

Both on plain arrays, so that the live picture and the printed one draw the same lines. Each column of
the picture keeps its lowest and its highest reading; a gap is never bridged.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from smokejournal.cook.log.readings import FloatArray
from smokejournal.cook.score.score import ScoreTrace

BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class FlatTrace:
    """A trace in one array: readings of shape (n,), and where each piece starts."""

    at_s: FloatArray
    value_c: FloatArray
    starts: IntArray


@dataclass(frozen=True, slots=True)
class Stroke:
    """Points of shape (m,) to be joined: `joined[i]` says whether i and i + 1 are."""

    x: FloatArray
    y: FloatArray
    joined: BoolArray

    def lone(self) -> BoolArray:
        """Points that no line reaches, to be drawn as dots."""
        if not self.x.size:
            return self.joined
        before = np.concatenate([[False], self.joined[:-1]])
        alone: BoolArray = ~self.joined & ~before
        return alone


NOTHING = Stroke(np.empty(0), np.empty(0), np.empty(0, dtype=np.bool_))


def line_of(trace: ScoreTrace) -> FlatTrace:
    """The pieces of a trace in one array."""
    if len(trace.pieces) == 1:
        piece = trace.pieces[0]
        return FlatTrace(piece.at_s, piece.value_c, np.zeros(1, dtype=np.intp))
    if not trace.pieces:
        return FlatTrace(np.empty(0), np.empty(0), np.empty(0, dtype=np.intp))
    lengths = np.array([len(piece) for piece in trace.pieces], dtype=np.intp)
    starts: IntArray = np.concatenate([[0], np.cumsum(lengths)[:-1]]).astype(np.intp)
    return FlatTrace(
        np.concatenate([piece.at_s for piece in trace.pieces]),
        np.concatenate([piece.value_c for piece in trace.pieces]),
        starts,
    )


def thin(
    line: FlatTrace, from_s: float, to_s: float, column_s: float, flat_c: float = 0.0
) -> Stroke:
    """What to draw of a line between two moments, with columns of `column_s` seconds.

    One reading on either side is kept, so that the line runs to the picture's edge. Columns lie on
    a grid that does not move with the picture, so lines do not shimmer as time goes on. A column
    whose readings lie within `flat_c` becomes one point in their middle.
    """
    first = max(0, int(np.searchsorted(line.at_s, from_s)) - 1)
    last = min(line.at_s.size, int(np.searchsorted(line.at_s, to_s, side="right")) + 1)
    if last <= first:
        return NOTHING
    at_s, value_c = line.at_s[first:last], line.value_c[first:last]
    begin = line.starts[(line.starts > first) & (line.starts < last)] - first
    columns = np.arange(at_s[0] // column_s + 1, at_s[-1] // column_s + 1)
    if at_s.size <= 2 * columns.size + 2:
        joined = np.ones(at_s.size, dtype=np.bool_)
        joined[begin - 1] = False
        joined[-1] = False
        return Stroke(at_s, value_c, joined)
    cuts = np.searchsorted(at_s, columns * column_s)
    if begin.size:
        cuts = np.sort(np.concatenate([cuts, begin]))
    # Empty columns have the same cut twice.
    fresh = np.concatenate([[True], cuts[1:] > cuts[:-1]]) & (cuts > 0) & (cuts < at_s.size)
    starts = np.concatenate([[0], cuts[fresh]]).astype(np.intp)
    ends = np.concatenate([starts[1:], [at_s.size]]) - 1
    low = np.minimum.reduceat(value_c, starts)
    high = np.maximum.reduceat(value_c, starts)
    rising = value_c[ends] >= value_c[starts]
    single = (high - low <= flat_c) | (starts == ends)
    middle = (low + high) / 2
    x = np.empty((starts.size, 2))
    y = np.empty((starts.size, 2))
    x[:, 0], x[:, 1] = at_s[starts], at_s[ends]
    y[:, 0] = np.where(single, middle, np.where(rising, low, high))
    y[:, 1] = np.where(single, middle, np.where(rising, high, low))
    keep = np.ones((starts.size, 2), dtype=np.bool_)
    # A flat column is its first point, except the last of a piece: the line must reach its end.
    closes = np.zeros(starts.size, dtype=np.bool_)
    closes[-1] = True
    closes[np.searchsorted(starts, begin) - 1] = True
    keep[:, 1] = ~single | (closes & (starts < ends))
    joined2 = np.ones((starts.size, 2), dtype=np.bool_)
    joined2[closes, :] = [True, False]
    joined2[closes & ~keep[:, 1], 0] = False
    return Stroke(x[keep], y[keep], joined2[keep])


def dashed(stroke: Stroke, pattern: tuple[float, ...]) -> Stroke:
    """The stroke (in picture units) cut into dashes: on, off, on, off … lengths in `pattern`.

    Lengths run along the line with its noise smoothed out, or a restless trace would be chopped to
    bits. A solid pattern is empty.
    """
    if not pattern or stroke.x.size < 2:
        return stroke
    smooth = _smooth(stroke.y)
    step = np.hypot(np.diff(stroke.x), np.diff(smooth))
    step[~stroke.joined[:-1]] = 0.0
    run = np.concatenate([[0.0], np.cumsum(step)])
    period = float(sum(pattern))
    # Each piece begins with a dash, as if the one before had ended with a whole pattern.
    begin = np.concatenate([[0], np.flatnonzero(~stroke.joined[:-1]) + 1])
    begin_run = run[begin]
    lengths = np.diff(np.concatenate([begin_run, run[-1:]]))
    padded = np.ceil(lengths / period) * period
    shift = np.concatenate([[0.0], np.cumsum(padded)[:-1]]) - begin_run
    run = run + np.repeat(shift, np.diff(np.concatenate([begin, [run.size]])))
    edges = np.concatenate([[0.0], np.cumsum(pattern)[:-1]])
    laps = np.arange(0.0, run[-1] + period, period)
    bounds = (laps[:, None] + edges[None, :]).ravel()
    bounds = bounds[(bounds > 0) & (bounds < run[-1])]
    place = np.searchsorted(run, bounds, side="right") - 1
    bounds, place = bounds[stroke.joined[place]], place[stroke.joined[place]]
    width = np.where(step[place] > 0, step[place], 1.0)
    part = (bounds - run[place]) / width
    new_x = stroke.x[place] + part * (stroke.x[place + 1] - stroke.x[place])
    new_y = stroke.y[place] + part * (stroke.y[place + 1] - stroke.y[place])
    # The new points go in behind those they follow.
    at = place + 1 + np.arange(place.size)
    old = np.ones(stroke.x.size + place.size, dtype=np.bool_)
    old[at] = False
    x, y, runs = np.empty(old.size), np.empty(old.size), np.empty(old.size)
    joined = np.empty(old.size, dtype=np.bool_)
    x[old], y[old], runs[old], joined[old] = stroke.x, stroke.y, run, stroke.joined
    x[at], y[at], runs[at], joined[at] = new_x, new_y, bounds, stroke.joined[place]
    middle = (runs[:-1] + runs[1:]) / 2
    slot = np.searchsorted(edges, np.mod(middle, period), side="right") - 1
    on = np.concatenate([slot % 2 == 0, [False]])
    return Stroke(x, y, joined & on)


def _smooth(y: FloatArray, window: int = 9) -> FloatArray:
    if y.size < window:
        return y
    padded = np.concatenate([np.full(window // 2, y[0]), y, np.full(window // 2, y[-1])])
    total = np.cumsum(np.concatenate([[0.0], padded]))
    smooth: FloatArray = (total[window:] - total[:-window]) / window
    return smooth
