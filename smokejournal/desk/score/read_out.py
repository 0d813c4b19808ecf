"""The line that reads a moment out: where it stands, what it says, where the keys take it."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal, Slot

from smokejournal.cook.score.from_log import nearest_mark
from smokejournal.cook.score.score import Score, ScoreMark
from smokejournal.cook.score.words import MomentLine, moment_lines
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.score.canvas import ScoreCanvas
from smokejournal.desk.score.time_window import TimeWindow

#: A step by key is this part of what is in sight.
_STEPS = 120


class ReadOut(QObject):
    """`at_s` is the moment [UTC seconds], None without a line. `moved(at_s)` when that changed."""

    moved = Signal(object)

    def __init__(self, window: TimeWindow, canvas: ScoreCanvas, parent: QObject) -> None:
        super().__init__(parent)
        self._window = window
        self._canvas = canvas
        self._score: Score | None = None
        self.units: Units = METRIC
        self.at_s: float | None = None

    def take(self, score: Score | None) -> None:
        """Read this score out."""
        self._score = score
        if score is None:
            self.put(None)

    @Slot(object)
    def put(self, at_s: float | None) -> None:
        """Stand at this moment; None takes the line away."""
        if at_s != self.at_s:
            self.at_s = at_s
            self.show()
            self.moved.emit(at_s)

    def show(self) -> None:
        """Show the line where it stands, if that is in sight."""
        shown = self._canvas.picture is not None and self._score is not None
        self._canvas.set_hair(self.at_s if shown else None, self._lines() if shown else [])

    def text(self) -> str:
        """What the line says, in one line; empty without one."""
        if self._score is None or self.at_s is None or self._canvas.picture is None:
            return ""
        words = self._canvas.picture.moment_words(self.at_s)
        return "; ".join([words, *(line.text for line in self._lines())])

    def mark(self) -> ScoreMark | None:
        """The mark that the line stands at."""
        if self._score is None or self.at_s is None:
            return None
        return nearest_mark(self._score, self.at_s, self._canvas.near_s())

    def beside_s(self, direction: int) -> float:
        """A step from where the line stands; without one in sight from now, else from the right edge."""
        window, start_s = self._window, self.at_s
        if start_s is None or not window.contains(start_s):
            now_s = self._score.now_s if self._score is not None else None
            start_s = now_s if now_s is not None and window.contains(now_s) else window.to_s
        at_s = start_s + direction * window.span_s / _STEPS
        return min(max(at_s, window.from_s), window.to_s)

    def next_mark_s(self, direction: int) -> float | None:
        """When the next mark on this side was set; None where there is none."""
        here_s = self.at_s
        if here_s is None:
            here_s = self._window.from_s if direction > 0 else self._window.to_s
        marks = self._score.marks if self._score is not None else ()
        ahead = [mark.at_s for mark in marks if (mark.at_s - here_s) * direction > 0.5]
        return min(ahead, key=lambda at_s: at_s * direction, default=None)

    def _lines(self) -> list[MomentLine]:
        if self._score is None or self.at_s is None:
            return []
        return moment_lines(self._score, self.at_s, self.units, self._canvas.near_s())
