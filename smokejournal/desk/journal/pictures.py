"""Small pictures of scores for the list of cooks: read one after the other, only those in sight."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from functools import partial

import numpy as np
from PySide6.QtCore import QObject, Signal

from smokejournal.cook.log.readings import FloatArray
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.journal import CookLine, JournalProblem

#: Points across a picture, and how many pictures are kept.
POINTS, KEPT = 120, 400
#: A cook under way is drawn again after so long [s].
AGAIN_S = 300.0


@dataclass(frozen=True, slots=True)
class SmallTrace:
    """One trace as shares of the picture's width and height, both of shape (n,); `ink` as on the score."""

    ink: int
    x: FloatArray
    y: FloatArray


Traces = tuple[SmallTrace, ...]


class ScorePictures(QObject):
    """`ready(cook id)` when a picture that was asked for has come."""

    ready = Signal(int)

    def __init__(self, context: DeskContext, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._context = context
        self._kept: OrderedDict[int, tuple[object, Traces]] = OrderedDict()
        self._wanted: list[CookLine] = []
        self._reading = False

    def of(self, line: CookLine) -> Traces:
        """The picture as far as it is known; what is missing is read in the background."""
        if line.started_s is None:
            return ()
        kept = self._kept.get(line.id)
        if kept is None or kept[0] != self._stamp(line):
            # Rows that have gone out of sight meanwhile wait.
            self._wanted = [line, *(other for other in self._wanted if other.id != line.id)][:40]
            self._next()
        return () if kept is None else kept[1]

    def _stamp(self, line: CookLine) -> object:
        """What a picture rests on: of a cook under way also the time, every few minutes."""
        if line.over_s is not None:
            return line.over_s
        return int(self._context.now_s() // AGAIN_S)

    def _next(self) -> None:
        if self._reading or not self._wanted:
            return
        line = self._wanted.pop(0)
        journal, now_s = self._context.program.journal, self._context.now_s()
        self._reading = True
        self._context.after(
            in_background(partial(small_traces, journal, line, now_s)),
            partial(self._on_read, line, self._stamp(line)),
            partial(self._on_not_read, line, self._stamp(line)),
            asker=self,
        )

    def _on_read(self, line: CookLine, stamp: object, traces: Traces) -> None:
        self._reading = False
        self._kept[line.id] = (stamp, traces)
        self._kept.move_to_end(line.id)
        while len(self._kept) > KEPT:
            self._kept.popitem(last=False)
        self.ready.emit(line.id)
        self._next()

    def _on_not_read(self, line: CookLine, stamp: object, error: BaseException) -> None:
        self._reading = False
        # A cook that can't be read says so where it is opened; here it has no picture.
        self._kept[line.id] = (stamp, ())
        self._next()
        if not isinstance(error, JournalProblem):
            raise error


def small_traces(journal: object, line: CookLine, now_s: float) -> Traces:
    """A cook's traces from its start to its end, as means over equal stretches. For a worker."""
    from smokejournal.cook.progress.progress import fold
    from smokejournal.cook.score.from_log import score_of
    from smokejournal.journal import Journal

    assert isinstance(journal, Journal)
    log = journal.log(line.id)
    end_s = now_s if line.over_s is None else line.over_s
    score = score_of(log, fold(log, end_s), end_s)
    begin_s = line.started_s if line.started_s is not None else score.from_s
    if end_s <= begin_s:
        return ()
    edges = np.linspace(begin_s, end_s, POINTS + 1)
    shown: list[tuple[int, FloatArray, FloatArray]] = []
    for place, trace in enumerate(score.traces):
        if trace.role not in ("meat", "pit") or not trace.pieces:
            continue
        at_s = np.concatenate([piece.at_s for piece in trace.pieces])
        value_c = np.concatenate([piece.value_c for piece in trace.pieces])
        count, _ = np.histogram(at_s, edges)
        total, _ = np.histogram(at_s, edges, weights=value_c)
        there = count > 0
        middles = (edges[:-1] + edges[1:]) / 2
        x = (middles[there] - begin_s) / (end_s - begin_s)
        shown.append((score.ink(place), x, total[there] / count[there]))
    values = [y for _, _, y in shown if y.size]
    if not values:
        return ()
    low, high = min(float(y.min()) for y in values), max(float(y.max()) for y in values)
    span = max(high - low, 1.0)
    return tuple(SmallTrace(ink, x, 1.0 - (y - low) / span) for ink, x, y in shown)
