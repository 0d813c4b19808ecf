"""Which part of a cook's time is in sight, and whether it moves on with now.

Once the person has moved or zoomed, new data moves nothing until they say so.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from smokejournal.cook.score.score import Score
from smokejournal.drawing.frame import picture_end_s

LEAST_SPAN_S = 120.0
#: Room to the right of now, as a share of the span, so that what comes next has a place.
_AHEAD = 0.03
#: Following moves on by this part of the span at a time: between, the grid and the lanes stand still.
_STRIDES = 300


class TimeWindow:
    """`from_s` to `to_s` is in sight. `changed(following)` is called when following begins or ends."""

    def __init__(self, changed: Callable[[bool], None]) -> None:
        self.from_s, self.to_s = 0.0, 1.0
        self.following = False
        self._whole = True
        self._score: Score | None = None
        self._changed = changed

    @property
    def span_s(self) -> float:
        """How much time is in sight."""
        return self.to_s - self.from_s

    def contains(self, at_s: float | None) -> bool:
        """Whether a moment is in sight."""
        return at_s is not None and self.from_s <= at_s <= self.to_s

    def take(self, score: Score | None) -> None:
        """Another score, or the same one further on."""
        before, self._score = self._score, score
        if score is None:
            self._whole = True
            self._follow(False)
            return
        if before is None or before.cook_id != score.cook_id:
            # Another cook: all of it, moving on if it is under way.
            self._whole = True
            self._follow(score.now_s is not None)
        if score.now_s is None:
            self._follow(False)
        self.move_on()

    def move_on(self) -> None:
        """Go along with now where it follows, and over the whole where it shows all."""
        if self._score is None:
            return
        if self._whole:
            self.from_s, self.to_s = self._all(self._score)
        elif self.following and self._score.now_s is not None:
            span_s = self.span_s
            stride_s = span_s / _STRIDES
            ahead_s = self._score.now_s + 2 * _AHEAD * span_s
            self.to_s = math.ceil(ahead_s / stride_s) * stride_s
            self.from_s = self.to_s - span_s

    def show_all(self) -> None:
        """The whole cook; it grows with what comes."""
        self._whole = True
        self._follow(self._score is not None and self._score.now_s is not None)
        self.move_on()

    def follow_now(self) -> bool:
        """Keep the span but go to now and stay there. False where there is no now."""
        if self._score is None or self._score.now_s is None:
            return False
        self._follow(True)
        self.move_on()
        return True

    def look_at(self, from_s: float, to_s: float) -> None:
        """Show these moments because the person wants to."""
        if self._score is None:
            return
        first_s, last_s = self._all(self._score)
        span_s = min(to_s - from_s, 1.5 * (last_s - first_s))
        middle_s = min(max((from_s + to_s) / 2, first_s), last_s)
        self.from_s, self.to_s = middle_s - span_s / 2, middle_s + span_s / 2
        self._whole = False
        self._follow(False)

    def pan(self, share: float) -> None:
        """Move by a share of the span, to the right when positive."""
        step_s = share * self.span_s
        self.look_at(self.from_s + step_s, self.to_s + step_s)

    def zoom(self, factor: float, anchor_s: float) -> None:
        """Show `factor` times as much, with `anchor_s` staying where it is."""
        factor = max(factor, LEAST_SPAN_S / self.span_s)
        left_s, right_s = anchor_s - self.from_s, self.to_s - anchor_s
        self.look_at(anchor_s - left_s * factor, anchor_s + right_s * factor)

    def anchor_s(self, moment_s: float | None) -> float:
        """What to zoom around: the moment read out, or now, or the middle."""
        now_s = self._score.now_s if self._score is not None else None
        for wish_s in (moment_s, now_s):
            if wish_s is not None and self.contains(wish_s):
                return wish_s
        return (self.from_s + self.to_s) / 2

    def _follow(self, following: bool) -> None:
        self.following = following
        self._changed(following)

    @staticmethod
    def _all(score: Score) -> tuple[float, float]:
        from_s, to_s = score.from_s, picture_end_s(score)
        if score.now_s is not None:
            to_s = max(to_s, score.now_s + _AHEAD * (to_s - from_s))
            to_s = from_s + _in_steps(to_s - from_s)
        return from_s, max(to_s, from_s + LEAST_SPAN_S)


def _in_steps(span_s: float) -> float:
    """A growing span, made a little longer so that it changes only now and then."""
    step_s = 2.0 ** math.floor(math.log2(max(span_s, 1.0) / (_STRIDES / 2)))
    return math.ceil(span_s / step_s) * step_s
