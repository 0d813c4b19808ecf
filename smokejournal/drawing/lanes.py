"""The score's lower lanes as drawn: the plan over the stages as lived, marks, fuel, weather."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPainterPath, QPolygonF

from smokejournal.cook.score.score import (
    Score,
    ScoreAhead,
    ScoreBar,
    ScoreLevel,
    ScoreMark,
    ScoreWeather,
)
from smokejournal.cook.score.words import mark_words, weather_parts
from smokejournal.cook.text.quantities import Units, mass_number, mass_unit
from smokejournal.cook.text.translate import translate
from smokejournal.drawing.frame import Ink, ScoreAxes, ScoreFrame, Type

#: Marks that may shrink to a stroke where many of them crowd.
_MINOR = ("lid", "spritz", "note", "photo", "probe")
#: Which marks get their words first where there is no room for all.
_WORDS_FIRST = ("alarm", "wrap", "stage", "fuel", "probe", "note", "photo", "spritz", "lid")


class Lanes:
    """Draws the lanes of one score in one frame."""

    def __init__(
        self,
        painter: QPainter,
        score: Score,
        frame: ScoreFrame,
        span: ScoreAxes,
        ink: Ink,
        type_: Type,
        units: Units,
        *,
        crisp: bool = False,
    ) -> None:
        self._painter = painter
        self._crisp = crisp
        self._score = score
        self._frame = frame
        self._span = span
        self._ink = ink
        self._type = type_
        self._units = units

    def draw(self) -> list[tuple[QRectF, ScoreMark]]:
        """Draw them all. Returns where each mark stands."""
        self._stages()
        self._painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        places = self._marks()
        self._fuel()
        self._painter.setRenderHint(QPainter.RenderHint.Antialiasing, not self._crisp)
        self._weather()
        return places

    # -- stages ------------------------------------------------------------------------------

    def _stages(self) -> None:
        begun = {bar.stage for bar in self._score.bars if bar.row != "planned"}
        for bar in self._score.bars:
            if bar.row == "planned" and self._frame.plan.isEmpty():
                continue
            if bar.row == "planned":
                self._planned_bar(bar, named=bar.stage not in begun)
            else:
                self._lived_bar(bar)
        for n, ahead in enumerate(self._score.ahead):
            self._bar_ahead(ahead, n)

    def _bar_rect(self, lane: QRectF, from_s: float, to_s: float) -> QRectF | None:
        """The bar's place, a pixel short so that neighbors stay apart; None when out of sight."""
        left, right = self._span.clipped_x(from_s), self._span.clipped_x(to_s)
        if to_s < self._span.from_s or from_s > self._span.to_s:
            return None
        return QRectF(left, lane.top(), max(right - left - self._ink.hair, 0.0), lane.height())

    def _planned_bar(self, bar: ScoreBar, *, named: bool) -> None:
        painter, ink = self._painter, self._ink
        rect = self._bar_rect(self._frame.plan, bar.from_s, bar.to_s or self._open_end_s(bar))
        if rect is None:
            return
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(ink.pen(ink.faint))
        middle = rect.center().y()
        reach = 0.3 * rect.height()
        # A bracket, as a plan is measured out beforehand; without its right end where no rule of
        # the stage says how long it takes.
        inset = 0.5 * self._type.em
        text = self._planned_words(bar, rect.width() - 2 * inset, named=named)
        painter.drawLine(QPointF(rect.left(), middle - reach), QPointF(rect.left(), middle + reach))
        if bar.to_s is not None:
            painter.drawLine(
                QPointF(rect.right(), middle - reach), QPointF(rect.right(), middle + reach)
            )
        else:
            painter.setPen(ink.pen(ink.faint, None, (1.0, 3.0)))
        words_right = rect.left()
        if text:
            words_right = rect.left() + inset + self._type.width(text, self._type.small) + inset
        painter.drawLine(QPointF(words_right, middle), QPointF(rect.right(), middle))
        if text:
            self._type.note(painter, rect.left() + inset, middle, text, ink.faint)

    def _planned_words(self, bar: ScoreBar, width: float, *, named: bool) -> str:
        """The stage's name where it has not begun, and that it has no set length; what fits."""
        open_text = translate("Score", "no set length") if bar.to_s is None else ""
        name = bar.label if named else ""
        both = ", ".join(part for part in (name, open_text) if part)
        for text in (both, name, "" if named else open_text):
            if text and self._type.width(text, self._type.small) <= width:
                return text
        return self._fitting(name, width, self._type.small)

    def _open_end_s(self, bar: ScoreBar) -> float:
        """How far to draw a bar whose end is not known: to the next one, or as far as was lived."""
        score = self._score
        later = [
            other.from_s
            for other in score.bars
            if other.row == "planned" and other.from_s > bar.from_s
        ]
        lived = [
            other.to_s or score.now_s or score.to_s
            for other in score.bars
            if other.row != "planned" and other.stage == bar.stage
        ]
        return min(later, default=max([*lived, score.now_s or score.to_s]))

    def _lived_bar(self, bar: ScoreBar) -> None:
        painter, ink, em = self._painter, self._ink, self._type.em
        to_s = bar.to_s if bar.to_s is not None else (self._score.now_s or self._score.to_s)
        rect = self._bar_rect(self._frame.stages, bar.from_s, to_s)
        if rect is None:
            return
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(Qt.BrushStyle.NoBrush if bar.skipped else ink.fill)
        painter.drawRect(rect)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(ink.pen(ink.ink, 1.6 * ink.hair, (2.0, 2.0) if bar.skipped else ()))
        painter.drawLine(rect.topLeft(), rect.bottomLeft())
        if bar.row == "running":
            # Still going on: its upper edge is drawn out to now.
            painter.drawLine(rect.topLeft(), rect.topRight())
        text = bar.label
        if bar.skipped:
            text = translate("Score", "{stage}, skipped").format(stage=text)
        inset = 0.4 * em
        text = self._fitting(text, rect.width() - 1.4 * inset, self._type.plain)
        if text:
            at = QPointF(rect.left() + inset, rect.center().y())
            self._type.write(painter, at, text, self._type.plain, ink.ink)

    def _bar_ahead(self, ahead: ScoreAhead, n: int) -> None:
        """An empty bar up to where the stage likely ends, and from when to when it may end instead."""
        painter, ink, em = self._painter, self._ink, self._type.em
        lane, edge_s = self._frame.stages, self._span.to_s
        rect = self._bar_rect(lane, ahead.from_s, ahead.to_s if ahead.to_s is not None else edge_s)
        if rect is not None:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(ink.pen(ink.faint, None, (3.0, 3.0)))
            painter.drawLine(rect.topLeft(), rect.topRight())
            begun = any(
                bar.stage == ahead.stage for bar in self._score.bars if bar.row == "running"
            )
            if not begun:
                painter.setPen(ink.pen(ink.faint))
                painter.drawLine(rect.topLeft(), rect.bottomLeft())
                inset = 0.4 * em
                text = self._fitting(ahead.label, rect.width() - 1.4 * inset, self._type.small)
                if text:
                    y = rect.center().y() - 0.15 * em
                    self._type.note(painter, rect.left() + inset, y, text, ink.faint)
        between = self._bar_rect(
            lane, ahead.low_s, ahead.high_s if ahead.high_s is not None else edge_s
        )
        if between is None:
            return
        # Every other one a little higher, so that two that overlap can be told apart.
        y = lane.bottom() - (0.1 + 0.25 * (n % 2)) * em
        painter.setPen(ink.pen(ink.faint, 1.6 * ink.hair))
        painter.drawLine(QPointF(between.left(), y), QPointF(between.right(), y))
        ends = [between.left()] if ahead.high_s is None else [between.left(), between.right()]
        for x in ends:
            painter.drawLine(QPointF(x, y - 0.2 * em), QPointF(x, y + 0.1 * em))

    def _fitting(self, text: str, width: float, font: QFont) -> str:
        """The text cut to the width, or nothing where hardly a syllable would be left."""
        if not text or self._type.width(text, font) <= width:
            return text
        if width < 2.2 * self._type.em:
            return ""
        return self._type.elided(text, font, width)

    # -- marks -------------------------------------------------------------------------------

    def _marks(self) -> list[tuple[QRectF, ScoreMark]]:
        span, em, lane = self._span, self._type.em, self._frame.marks
        row = lane.top() + 0.65 * em
        size = 0.46 * em
        places: list[tuple[QRectF, ScoreMark]] = []
        free = lane.left() - 2 * size
        last: dict[str, float] = {}
        for mark in self._score.marks:
            end_s = mark.at_s if mark.to_s is None else mark.to_s
            if end_s < span.from_s or mark.at_s > span.to_s:
                continue
            x, x_end = span.clipped_x(mark.at_s), span.clipped_x(end_s)
            self._lasting(mark, x, x_end, row, size)
            if mark.at_s >= span.from_s and mark.symbol != "alarm":
                # Shapes of the same moment stand side by side, but never far from their moment.
                at = min(max(x, free + size), x + 2.4 * size)
                crowded = at < free or last.get(mark.symbol, -1e9) > x - 1.6 * size
                if crowded and mark.symbol in _MINOR:
                    # No room for another shape, least of all the same one: a stroke for each.
                    foot = row + 1.2 * size
                    self._painter.setPen(self._ink.pen(self._ink.ink))
                    self._painter.drawLine(QPointF(x, foot), QPointF(x, foot + 0.7 * size))
                else:
                    draw_symbol(self._painter, mark.symbol, QPointF(at, row), size, self._ink)
                    free = at + 1.3 * size
                    last[mark.symbol] = at
                    x_end = max(x_end, at)
            right = max(x + size, x_end)
            places.append((QRectF(x - size, lane.top(), right - x + size, lane.height()), mark))
        for _, mark in places:
            # Alarms last, so that nothing covers them.
            if mark.symbol == "alarm" and mark.at_s >= span.from_s:
                center = QPointF(span.x(mark.at_s), row)
                draw_symbol(self._painter, "alarm", center, size, self._ink)
        self._mark_words([mark for _, mark in places])
        return places

    def _lasting(self, mark: ScoreMark, x: float, x_end: float, row: float, size: float) -> None:
        """A bar along the lane's foot while a lid is up or an alarm is unanswered."""
        if x_end - x < 2 * self._ink.hair:
            return
        color = self._ink.accent if mark.symbol == "alarm" else self._ink.ink
        self._painter.setPen(self._ink.pen(color, 2 * self._ink.hair))
        self._painter.drawLine(QPointF(x, row + size), QPointF(x_end, row + size))

    def _mark_words(self, marks: list[ScoreMark]) -> None:
        """Words under the marks where there is room, the most telling ones first."""
        em, lane, span = self._type.em, self._frame.marks, self._span
        font = self._type.small
        rows: list[list[tuple[float, float]]] = [[], []] if lane.height() > 3.4 * em else [[]]
        seen: set[str] = set()
        for mark in sorted(marks, key=lambda m: (_WORDS_FIRST.index(m.symbol), m.at_s)):
            # The same word again and again (a lid, a spray) is told once; the shape says the rest.
            text = mark_words(mark, self._units)
            if mark.at_s < span.from_s or text in seen:
                continue
            x = span.x(mark.at_s) - 0.45 * em
            wanted = min(self._type.width(text, font), 17 * em)
            place = self._row_for(x, wanted, rows)
            if place is None:
                continue
            number, left, room = place
            shown = self._type.elided(text, font, min(wanted, room) + 0.5)
            y = lane.top() + (1.75 + 1.15 * number) * em
            self._type.note(self._painter, left, y, shown, self._ink.ink)
            right = left + self._type.width(shown, font)
            if left < x - 0.1 * em:
                # Words that end at their mark are hung on it, or they would seem to be another's.
                hook = x + 0.45 * em
                self._painter.setPen(self._ink.pen(self._ink.faint))
                self._painter.drawLine(
                    QPointF(hook, lane.top() + 1.25 * em), QPointF(hook, y + 0.4 * em)
                )
                right = x + 0.9 * em
            rows[number].append((left, right + 0.9 * em))
            seen.add(text)

    def _row_for(
        self, x: float, wanted: float, rows: list[list[tuple[float, float]]]
    ) -> tuple[int, float, float] | None:
        """Row, left end and room for words of a mark: whole if any row can, else cut, else none.

        Words begin under their mark, or end there where the room is to the left.
        """
        em = self._type.em
        free = [self._free(x, taken) for taken in rows]
        end = x + 0.9 * em
        for number, (_, right) in enumerate(free):
            if right - x >= wanted:
                return number, x, wanted
        left, right = free[0]
        if end <= right and x - wanted >= left:
            return 0, x - wanted, wanted
        for number, (_, right) in enumerate(free):
            if right - x >= 7 * em:
                return number, x, right - x
        return None

    def _free(self, x: float, taken: list[tuple[float, float]]) -> tuple[float, float]:
        """What is free of words around `x`, from left to right; nothing where it is taken."""
        left, right = self._frame.left - 0.5 * self._type.em, self._frame.whole.right()
        for a, b in taken:
            if a <= x < b:
                return x, x
            if b <= x:
                left = max(left, b)
            else:
                right = min(right, a - 0.9 * self._type.em)
        return left, right

    # -- fuel --------------------------------------------------------------------------------

    def _fuel(self) -> None:
        painter, ink, em, lane = self._painter, self._ink, self._type.em, self._frame.fuel
        levels = self._score.fuel
        if lane.isEmpty():
            return
        painter.setPen(ink.pen(ink.line))
        painter.drawLine(lane.bottomLeft(), lane.bottomRight())
        if not levels:
            self._say_nothing(lane, translate("Score", "no level read"))
            return
        top_kg = max(level.mass_kg + level.sd_kg for level in levels) or 1.0
        base, height = lane.bottom(), lane.height() - 0.4 * em

        def point(level: ScoreLevel, sds: float = 0.0) -> QPointF:
            share = max(0.0, level.mass_kg + sds * level.sd_kg) / top_kg
            return QPointF(self._span.x(level.at_s), base - share * height)

        painter.save()
        painter.setClipRect(lane.adjusted(0, -em, 0, ink.hair))
        band = QColor(ink.faint)
        band.setAlphaF(0.25)
        for first, second in pairwise(levels):
            if not second.joined:
                continue
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(band)
            painter.drawPolygon(
                QPolygonF([point(first, 1), point(second, 1), point(second, -1), point(first, -1)])
            )
            painter.setPen(ink.pen(ink.ink, 1.4 * ink.hair))
            painter.drawLine(point(first), point(second))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(ink.ink)
        for level in levels:
            if level.read:
                painter.drawEllipse(point(level), 0.2 * em, 0.2 * em)
        painter.restore()
        self._fuel_words(levels, point)

    def _fuel_words(
        self, levels: tuple[ScoreLevel, ...], point: Callable[[ScoreLevel], QPointF]
    ) -> None:
        """What was read: under the line that leads there, the last one right of it and with ±.

        The last one stands first; another is left out where it would touch words that stand.
        """
        em, lane, font = self._type.em, self._frame.fuel, self._type.small
        last = levels[-1]
        taken: list[QRectF] = []
        for level in reversed(levels):
            at = point(level)
            shown = level is last or (level.read and level.mass_kg > 0)
            if not shown or not lane.left() <= at.x() <= lane.right():
                continue
            text = mass_number(level.mass_kg, self._units, 1)
            if level is last:
                text = f"{text} ± {mass_number(level.sd_kg, self._units, 1)}"
            text = f"{text} {mass_unit(self._units)}"
            width = self._type.width(text, font)
            x, y = at.x() - width - 0.5 * em, at.y() + 0.85 * em
            if level is last:
                x, y = min(at.x() + 0.6 * em, self._frame.whole.right() - width), at.y()
            elif x < lane.left():
                # Left of the lane stands its name.
                x = at.x() + 0.5 * em
            y = max(lane.top() + 0.2 * em, min(y, lane.bottom() - 0.6 * em))
            rect = QRectF(x, y - 0.5 * em, width + 0.5 * em, em)
            crossed = level is not last and x > at.x() and abs(y - at.y()) < 0.7 * em
            if crossed or any(rect.intersects(other) for other in taken):
                continue
            taken.append(rect)
            self._type.note(self._painter, x, y, text, self._ink.ink)

    # -- weather -----------------------------------------------------------------------------

    def _weather(self) -> None:
        painter, ink, em, lane = self._painter, self._ink, self._type.em, self._frame.weather
        seen = self._score.weather
        if lane.isEmpty():
            return
        if not seen:
            self._say_nothing(lane, translate("Score", "not written down"))
        ends = [*(after.at_s for after in seen[1:]), None][: len(seen)]
        for weather, end_s in zip(seen, ends, strict=True):
            if weather.at_s > self._span.to_s or (end_s or self._span.to_s) < self._span.from_s:
                continue
            x = self._span.clipped_x(weather.at_s)
            right = self._frame.whole.right() if end_s is None else self._span.clipped_x(end_s)
            if weather.at_s >= self._span.from_s:
                painter.setPen(ink.pen(ink.faint))
                painter.drawLine(QPointF(x, lane.top()), QPointF(x, lane.bottom()))
            text = self._weather_words(weather, right - x - em)
            if text:
                self._type.note(painter, x + 0.5 * em, lane.center().y(), text, ink.ink)

    def _say_nothing(self, lane: QRectF, text: str) -> None:
        x = lane.left() + 0.5 * self._type.em
        self._type.note(self._painter, x, lane.center().y(), text, self._ink.faint)

    def _weather_words(self, weather: ScoreWeather, width: float) -> str:
        """As many of the weather's parts as there is room for, the first ones first."""
        parts = weather_parts(weather, self._units)
        while parts:
            text = ", ".join(parts)
            if self._type.width(text, self._type.small) <= width:
                return text
            parts.pop()
        return ""


def draw_symbol(painter: QPainter, symbol: str, at: QPointF, size: float, ink: Ink) -> None:
    """One of the shapes in the marks lane, told apart by outline alone. `size` is its half width."""
    x, y, s = at.x(), at.y(), size
    color = ink.accent if symbol == "alarm" else ink.ink
    painter.setPen(ink.pen(color, 1.3 * ink.hair))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if symbol == "lid":  # a lid raised over its rim
        painter.drawLine(QPointF(x - s, y + s), QPointF(x + s, y + s))
        painter.drawLine(QPointF(x - s, y + 0.35 * s), QPointF(x + 0.8 * s, y - s))
    elif symbol == "wrap":  # a parcel
        painter.drawRect(QRectF(x - s, y - 0.8 * s, 2 * s, 1.6 * s))
        painter.drawLine(QPointF(x - s, y - 0.8 * s), QPointF(x + s, y + 0.8 * s))
        painter.drawLine(QPointF(x - s, y + 0.8 * s), QPointF(x + s, y - 0.8 * s))
    elif symbol == "spritz":  # drops
        painter.setBrush(color)
        for dx, dy in ((-0.6, -0.5), (0.6, -0.5), (0.0, 0.5)):
            painter.drawEllipse(QPointF(x + dx * s, y + dy * s), 0.18 * s, 0.28 * s)
    elif symbol == "fuel":  # a heap
        painter.setBrush(color)
        heap = [QPointF(x - s, y + s), QPointF(x, y - 0.8 * s), QPointF(x + s, y + s)]
        painter.drawPolygon(QPolygonF(heap))
    elif symbol == "probe":  # a probe with its handle
        painter.drawLine(QPointF(x, y - s), QPointF(x, y + s))
        painter.drawEllipse(QPointF(x, y - 0.6 * s), 0.4 * s, 0.4 * s)
    elif symbol == "note":  # lines of writing
        for dy, width in ((-0.7, 2.0), (0.0, 2.0), (0.7, 1.2)):
            painter.drawLine(QPointF(x - s, y + dy * s), QPointF(x - s + width * s, y + dy * s))
    elif symbol == "photo":
        painter.drawRect(QRectF(x - s, y - 0.7 * s, 2 * s, 1.4 * s))
        painter.drawEllipse(at, 0.35 * s, 0.35 * s)
    elif symbol == "alarm":
        painter.setBrush(color)
        diamond = [(0.0, -1.1), (0.9, 0.0), (0.0, 1.1), (-0.9, 0.0)]
        painter.drawPolygon(QPolygonF([QPointF(x + a * s, y + b * s) for a, b in diamond]))
    else:  # a stage: a flag
        flag = QPainterPath(QPointF(x - 0.5 * s, y + s))
        flag.lineTo(x - 0.5 * s, y - s)
        flag.lineTo(x + s, y - 0.5 * s)
        flag.lineTo(x - 0.5 * s, y)
        painter.drawPath(flag)
