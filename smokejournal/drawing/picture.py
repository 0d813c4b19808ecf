"""The score as drawn, whole: axes, targets, end labels, now. On screen and in print alike.

`ScorePicture` is one view of one score. What lies under the traces and what lies over them are drawn
apart, since on screen something else draws the traces between.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import floor
from typing import Literal

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from smokejournal.cook.score.score import Score, ScoreMark, ScoreTarget, ScoreTrace
from smokejournal.cook.score.thinning import FlatTrace, Stroke, dashed, line_of, thin
from smokejournal.cook.score.ticks import (
    Tick,
    clock_ticks,
    since_text,
    since_ticks,
    temperature_range,
    temperature_ticks,
)
from smokejournal.cook.score.words import part_words
from smokejournal.cook.text import times
from smokejournal.cook.text.quantities import Units, clock_time, temperature, temperature_unit
from smokejournal.cook.text.translate import translate
from smokejournal.drawing.frame import Ink, ScoreAxes, ScoreFrame, Type, frame_of
from smokejournal.drawing.lanes import Lanes

TimeMode = Literal["clock", "since_start"]


@dataclass(frozen=True, slots=True)
class _EndLabel:
    place: int
    trace: ScoreTrace
    end: QPointF


def _simulated_words() -> str:
    return translate("Score", "SIMULATED: no real readings")


def target_words(target: ScoreTarget, units: Units) -> str:
    """ "pit 107 °C", "until 74 °C"."""
    text = {
        "set": translate("Score", "set to {temperature}"),
        "rising": translate("Score", "until {temperature}"),
        "falling": translate("Score", "down to {temperature}"),
        "at_least": translate("Score", "keep above {temperature}"),
    }[target.rule]
    return text.format(temperature=temperature(target.value_c, units))


def spread(ys: list[float], heights: list[float], top: float, bottom: float) -> list[float]:
    """`ys` (ascending) moved apart so that each has its height below it, between top and bottom.

    Labels that would touch form a block around the middle of where they want to be.
    """
    blocks: list[list[int]] = []
    begins: list[float] = []

    def begin_of(block: list[int]) -> float:
        total, wish = 0.0, 0.0
        for n in block:
            wish += ys[n] - total
            total += heights[n]
        return max(top, min(wish / len(block), bottom - total))

    for n in range(len(ys)):
        blocks.append([n])
        begins.append(begin_of([n]))
        while len(blocks) > 1:
            ends = begins[-2] + sum(heights[m] for m in blocks[-2])
            if ends <= begins[-1] + 1e-9:
                break
            merged = blocks[-2] + blocks[-1]
            blocks[-2:] = [merged]
            begins[-2:] = [begin_of(merged)]
    placed: list[float] = []
    for block, y in zip(blocks, begins, strict=True):
        for n in block:
            placed.append(y)
            y += heights[n]
    return placed


class ScorePicture:
    """One view of one score: from `from_s` to `to_s` in the rectangle `whole`.

    `lines` are `line_of` each trace, for a caller who keeps them. `temperatures` fixes the lowest
    and highest °C. `crisp` draws upright and level lines on whole pixels, faster and sharper on a
    screen.
    """

    def __init__(
        self,
        score: Score,
        whole: QRectF,
        units: Units,
        ink: Ink,
        type_: Type,
        from_s: float,
        to_s: float,
        *,
        mode: TimeMode = "clock",
        lines: Sequence[FlatTrace] | None = None,
        temperatures: tuple[float, float] | None = None,
        crisp: bool = False,
    ) -> None:
        self.score = score
        self.units = units
        self.ink = ink
        self.type = type_
        self.mode: TimeMode = mode if score.started_at_s is not None else "clock"
        self.lines = [line_of(t) for t in score.traces] if lines is None else list(lines)
        self._crisp = crisp
        self._names = [
            translate("Score", "Plan"),
            translate("Score", "Stages"),
            translate("Score", "Marks"),
            translate("Score", "Fuel"),
            translate("Score", "Weather"),
        ]
        labels = [text for trace in score.traces for text in (trace.label, part_words(trace))]
        self.frame: ScoreFrame = frame_of(whole, type_, self._names, labels)
        low_c, high_c = temperatures or temperature_range(score, units)
        self.span = ScoreAxes(from_s, max(to_s, from_s + 1.0), low_c, high_c, self.frame.traces)
        self._drawn: dict[int, Stroke] = {}
        #: Where the words of targets stand; found when first drawn, unless taken from a like view.
        self.target_places: list[tuple[QRectF, str]] | None = None
        self.mark_places: list[tuple[QRectF, ScoreMark]] = []

    # -- ticks -------------------------------------------------------------------------------

    def time_ticks(self) -> list[Tick]:
        """Ticks of the shared time axis, as many as have room for their words."""
        sample = "12:30 pm" if self.units.hours == "12" and self.mode == "clock" else "00:00"
        room = self.frame.traces.width() / (self.type.width(sample, self.type.small) * 1.9)
        span = self.span
        if self.mode == "since_start" and self.score.started_at_s is not None:
            return since_ticks(span.from_s, span.to_s, self.score.started_at_s, room)
        return clock_ticks(span.from_s, span.to_s, self.score.zone, self.units, room)

    def degree_ticks(self) -> list[Tick]:
        """Ticks of the temperature axis."""
        room = min(11.0, max(2.0, self.frame.traces.height() / (1.9 * self.type.em)))
        return temperature_ticks(self.span.low_c, self.span.high_c, self.units, room)

    def moment_words(self, at_s: float) -> str:
        """A moment as the axis tells it."""
        if self.mode == "since_start" and self.score.started_at_s is not None:
            return since_text(at_s - self.score.started_at_s)
        return clock_time(at_s, self.score.zone, self.units)

    # -- under the traces --------------------------------------------------------------------

    def paint_under(self, painter: QPainter) -> None:
        """Grid, axes and lanes."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, not self._crisp)
        frame, ink, em = self.frame, self.ink, self.type.em
        note, gutter = self.type.note, frame.left - 0.6 * em
        lane_top, lane_bottom = frame.traces.top(), frame.axis.top()
        for tick in self.time_ticks():
            x = self.span.x(tick.at)
            self._grid_line(painter, QPointF(x, lane_top), QPointF(x, lane_bottom))
            center = Qt.AlignmentFlag.AlignHCenter
            note(painter, x, lane_bottom + 0.8 * em, tick.text, ink.ink, center)
            if tick.under:
                note(painter, x, lane_bottom + 2.0 * em, tick.under, ink.faint, center)
        right = Qt.AlignmentFlag.AlignRight
        for tick in self.degree_ticks():
            y = self.span.y(tick.at)
            self._grid_line(painter, QPointF(frame.left, y), QPointF(frame.right, y))
            note(painter, gutter, y, tick.text, ink.ink, right)
        unit_y = frame.top.top() + 0.7 * em
        note(painter, gutter, unit_y, temperature_unit(self.units), ink.faint, right)
        painter.setPen(ink.pen(ink.faint))
        painter.drawLine(QPointF(frame.left, lane_bottom), QPointF(frame.right, lane_bottom))
        for name, lane in zip(self._names, frame.lanes, strict=True):
            if lane.isEmpty():
                continue
            y = lane.center().y() if lane.height() < 2 * em else lane.top() + 0.65 * em
            note(painter, gutter, y, name, ink.faint, right)
        x, y = frame.right + 1.9 * em, lane_bottom + 2.0 * em
        note(painter, x, y, self._axis_name(), ink.faint, right)
        self.paint_target_lines(painter)
        lanes = Lanes(
            painter, self.score, frame, self.span, ink, self.type, self.units, crisp=self._crisp
        )
        self.mark_places = lanes.draw()

    def _grid_line(self, painter: QPainter, start: QPointF, end: QPointF) -> None:
        """An upright or level line."""
        if not self._crisp:
            painter.setPen(self.ink.pen(self.ink.grid))
            painter.drawLine(start, end)
            return
        # The pixels of a line one wide, filled: a see-through line is blended pixel by pixel, which
        # takes twenty times as long.
        if start.y() == end.y():
            x, end_x = floor(start.x() + 0.5), floor(end.x() + 0.5)
            painter.fillRect(x, floor(start.y()), end_x - x, 1, self.ink.grid)
        else:
            y, end_y = floor(start.y() + 0.5), floor(end.y() + 0.5)
            painter.fillRect(floor(start.x()), y, 1, end_y - y, self.ink.grid)

    def _axis_name(self) -> str:
        if self.mode == "since_start":
            return translate("Score", "since start")
        when = times.local(self.span.to_s, self.score.zone)
        return "" if when is None else when.tzname() or ""

    # -- the traces --------------------------------------------------------------------------

    def stroke(
        self, place: int, column: float, *, square_ends: bool = False
    ) -> tuple[Stroke, Stroke]:
        """A trace in picture units: what to join, and the lone points to dot.

        `column` is the width within which readings are thinned. With `square_ends` the pen adds
        half its width at both ends of a dash, so dashes are cut shorter by that much.
        """
        span = self.span
        column_s = column * (span.to_s - span.from_s) / span.area.width()
        c_per_unit = (span.high_c - span.low_c) / span.area.height()
        # Dashes are counted from a fixed place well to the left, so that they stay with the line
        # while the picture moves on.
        stride_s = 512 * column_s
        begin_s = (span.from_s // stride_s) * stride_s
        line = self.lines[place]
        raw = thin(line, begin_s, span.to_s, column_s, 0.4 * column * c_per_unit)
        x = span.area.left() + (raw.x - span.from_s) * (
            span.area.width() / (span.to_s - span.from_s)
        )
        y = span.area.bottom() - (raw.y - span.low_c) / c_per_unit
        stroke = self._drawn[place] = Stroke(x, y, raw.joined)
        lone = stroke.lone()
        if self.score.traces[place].by_hand:
            lone = np.ones(x.size, dtype=np.bool_)
        dots = Stroke(x[lone], y[lone], np.zeros(int(lone.sum()), dtype=np.bool_))
        _, dash = self.ink.trace(self.score.ink(place))
        width = self.trace_width(self.score.traces[place])
        more = width if square_ends else 0.0
        pattern = tuple(
            max(0.1, part * width - more) if n % 2 == 0 else part * width + more
            for n, part in enumerate(dash)
        )
        return dashed(stroke, pattern), dots

    def paint_traces(self, painter: QPainter, column: float) -> None:
        """Draw the traces as lines. On screen something faster does this."""
        painter.save()
        painter.setClipRect(self.frame.traces)
        for place, trace in enumerate(self.score.traces):
            stroke, dots = self.stroke(place, column)
            color, _ = self.ink.trace(self.score.ink(place))
            pen = self.ink.pen(color, self.trace_width(trace))
            pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
            painter.setPen(pen)
            starts = np.flatnonzero(~stroke.joined) + 1
            begin = 0
            for end in starts.tolist():
                if end - begin > 1:
                    xs, ys = stroke.x[begin:end].tolist(), stroke.y[begin:end].tolist()
                    painter.drawPolyline([QPointF(a, b) for a, b in zip(xs, ys, strict=True)])
                begin = end
            self.paint_dots(painter, place, dots)
        painter.restore()

    def paint_dots(self, painter: QPainter, place: int, dots: Stroke) -> None:
        """Readings that stand alone, and those taken by hand."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        color, _ = self.ink.trace(self.score.ink(place))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(color)
        radius = 1.1 * self.ink.stroke
        for x, y in zip(dots.x.tolist(), dots.y.tolist(), strict=True):
            if self.frame.traces.contains(QPointF(x, y)):
                painter.drawEllipse(QPointF(x, y), radius, radius)

    def trace_width(self, trace: ScoreTrace) -> float:
        """The lead is drawn a little heavier: the schedule follows it."""
        return self.ink.stroke * (1.3 if trace.part == "lead" else 1.0)

    # -- over the traces ---------------------------------------------------------------------

    def paint_over(self, painter: QPainter) -> None:
        """Targets, the end labels, now, and what must be said about the whole."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, not self._crisp)
        self._target_words(painter)
        self._now(painter)
        self._end_labels(painter)
        self._header(painter)

    def _header(self, painter: QPainter) -> None:
        frame, ink, em = self.frame, self.ink, self.type.em
        y = frame.top.top() + 0.7 * em
        if self.score.simulated:
            at = QPointF(frame.left + 0.2 * em, y)
            self.type.write(painter, at, _simulated_words(), self.type.bold, ink.accent)
        left_out = sum(trace.left_out for trace in self.score.traces)
        if left_out:
            text = translate("Score", "impossible readings left out: {n}").format(n=left_out)
            x = frame.whole.right() - 0.2 * em
            self.type.note(painter, x, y, text, ink.faint, Qt.AlignmentFlag.AlignRight)

    def paint_target_lines(self, painter: QPainter) -> None:
        """Targets as thin steps: long dashes for the pit, dots for the meat."""
        span, ink = self.span, self.ink
        before: dict[str, ScoreTarget] = {}
        for target, x, x_end in self._seen_targets():
            last, before[target.what] = before.get(target.what), target
            y = span.y(target.value_c)
            dash = (5.0, 4.0) if target.what == "pit" else (1.5, 3.0)
            painter.setPen(ink.pen(ink.faint, None, dash))
            painter.drawLine(QPointF(x, y), QPointF(x_end, y))
            steps = last is not None and last.to_s == target.from_s and last.rule == target.rule
            if last is not None and steps and target.from_s >= span.from_s:
                painter.drawLine(QPointF(x, span.y(last.value_c)), QPointF(x, y))

    def _target_words(self, painter: QPainter) -> None:
        """What each step stands for, where neither a trace nor other words are in the way."""
        if self.target_places is None:
            self.target_places = self._place_target_words()
        for rect, text in self.target_places:
            self.type.note(painter, rect.left(), rect.center().y(), text, self.ink.faint)

    def _place_target_words(self) -> list[tuple[QRectF, str]]:
        places: list[tuple[QRectF, str]] = []
        for target, x, x_end in self._seen_targets():
            taken = [rect for rect, _ in places]
            for text in (target_words(target, self.units), temperature(target.value_c, self.units)):
                rect = self._room_for_words(target, x, x_end, text, taken)
                if rect is not None:
                    places.append((rect, text))
                    break
        return places

    def _room_for_words(
        self, target: ScoreTarget, x: float, x_end: float, text: str, taken: list[QRectF]
    ) -> QRectF | None:
        """Where words about a step may stand: close to it, as far left as there is room.

        The pit wavers about what it was set to, so its words may stand further off.
        """
        em, y = self.type.em, self.span.y(target.value_c)
        width, height = self.type.width(text, self.type.small), 1.1 * em
        first, last = x + 0.5 * em, max(x + 0.5 * em, x_end - width)
        lefts = [first + n / 6 * (last - first) for n in range(7)] + [x - width - 0.5 * em]
        offsets = [(-0.7, 0.75), (-1.3, 1.4)]
        if target.what == "pit":
            offsets += [(-2.0, 2.1), (-2.8, 2.9)]
        for pair in offsets:
            for left in lefts:
                for up in pair:
                    rect = QRectF(
                        min(left, self.frame.right - width), y + up * em - height / 2, width, height
                    )
                    if not self._in_the_way(rect, taken):
                        return rect
        return None

    def _in_the_way(self, rect: QRectF, taken: list[QRectF]) -> bool:
        if not self.frame.traces.contains(rect) or any(rect.intersects(r) for r in taken):
            return True
        for stroke in self._drawn.values():
            first, last = np.searchsorted(stroke.x, (rect.left(), rect.right()))
            # The lines from the point before to the point after count as well: a steep fall may
            # pass through between two points.
            y = stroke.y[max(0, first - 1) : last + 1]
            if y.size > 1:
                low, high = np.minimum(y[:-1], y[1:]), np.maximum(y[:-1], y[1:])
                if bool(np.any((high > rect.top()) & (low < rect.bottom()))):
                    return True
        return False

    def _seen_targets(self) -> list[tuple[ScoreTarget, float, float]]:
        """Targets in sight, each with its left and right end."""
        span, seen = self.span, []
        for target in self._merged():
            to_s = target.to_s if target.to_s is not None else self.score.now_s or self.score.to_s
            if to_s >= span.from_s and target.from_s <= span.to_s:
                seen.append((target, span.clipped_x(target.from_s), span.clipped_x(to_s)))
        return seen

    def _merged(self) -> list[ScoreTarget]:
        """Targets in order of time, one where the same one goes on in the next stage."""
        merged: list[ScoreTarget] = []
        for target in sorted(self.score.targets, key=lambda t: (t.what, t.rule, t.from_s)):
            last = merged[-1] if merged else None
            joined = target if last is None else replace(target, from_s=last.from_s)
            if last is not None and replace(joined, to_s=target.from_s) == last:
                merged[-1] = joined
            else:
                merged.append(target)
        return merged

    def _now(self, painter: QPainter) -> None:
        now_s, frame, ink, em = self.score.now_s, self.frame, self.ink, self.type.em
        if now_s is None or not self.span.from_s <= now_s <= self.span.to_s:
            return
        x = self.span.x(now_s)
        painter.setPen(ink.pen(ink.ink))
        # Not through the lower lanes: their words run on past now.
        painter.drawLine(QPointF(x, frame.traces.top()), QPointF(x, frame.stages.bottom()))
        painter.drawLine(QPointF(x, frame.axis.top() - 0.5 * em), QPointF(x, frame.axis.top()))
        text = translate("Score", "now {time}").format(time=self.moment_words(now_s))
        half = self.type.width(text, self.type.small) / 2
        if self.score.simulated:
            # Beside what the header says, where now stands below it.
            header = self.type.width(_simulated_words(), self.type.bold)
            x = max(x, frame.left + header + em + half)
        # Within the axis: the unit of the temperatures stands at its left.
        x = min(max(x, frame.left + half), frame.whole.right() - half)
        y = frame.traces.top() - 0.65 * em
        self.type.note(painter, x, y, text, ink.ink, Qt.AlignmentFlag.AlignHCenter)

    def _end_labels(self, painter: QPainter) -> None:
        frame, ink, em = self.frame, self.ink, self.type.em
        for label, y in self._spread():
            color, dash = ink.trace(self.score.ink(label.place))
            start = QPointF(max(label.end.x(), frame.left), label.end.y())
            elbow = frame.right + 0.5 * em
            faint = QColor(color)
            faint.setAlphaF(0.5)
            painter.setPen(ink.pen(faint))
            if start.x() < frame.right - em:
                painter.setPen(ink.pen(faint, None, (1.0, 3.0)))
                painter.drawLine(start, QPointF(frame.right, start.y()))
                painter.setPen(ink.pen(faint))
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.drawLine(QPointF(frame.right, start.y()), QPointF(elbow, y))
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, not self._crisp)
            painter.setPen(ink.pen(color, self.trace_width(label.trace), dash))
            painter.drawLine(QPointF(elbow, y), QPointF(elbow + 2.3 * em, y))
            font = self.type.bold if label.trace.part == "lead" else self.type.plain
            room = frame.whole.right() - elbow - 2.7 * em
            text = self.type.elided(label.trace.label, font, room)
            self.type.write(painter, QPointF(elbow + 2.7 * em, y), text, font, ink.ink)
            part = part_words(label.trace)
            if part:
                self.type.note(painter, elbow + 2.7 * em, y + 1.05 * em, part, ink.faint)

    def _spread(self) -> Iterator[tuple[_EndLabel, float]]:
        """End labels, each with where it stands so that none covers another."""
        span, area, gap = self.span, self.frame.traces, 1.3 * self.type.em
        labels = []
        for place, (trace, line) in enumerate(zip(self.score.traces, self.lines, strict=True)):
            end = int(np.searchsorted(line.at_s, span.to_s, side="right")) - 1
            if end < 0 or line.at_s[end] < span.from_s:
                continue
            at = QPointF(span.x(float(line.at_s[end])), span.y(float(line.value_c[end])))
            at.setY(min(max(at.y(), area.top()), area.bottom()))
            labels.append(_EndLabel(place, trace, at))
        labels.sort(key=lambda label: (label.end.y(), label.place))
        ys = spread(
            [label.end.y() for label in labels],
            [gap * (1.8 if label.trace.part else 1.0) for label in labels],
            area.top() + 0.5 * gap,
            area.bottom() + 0.5 * gap,
        )
        return zip(labels, ys, strict=True)
