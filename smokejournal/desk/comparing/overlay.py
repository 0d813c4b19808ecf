"""The picture of cooks over one another: lead and pit of each, from one common zero."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from smokejournal.cook.score.thinning import FlatTrace, Stroke, dashed, thin
from smokejournal.cook.score.ticks import since_ticks, temperature_ticks
from smokejournal.cook.text.quantities import METRIC, Units, temperature_unit
from smokejournal.desk.base.theme import GROUNDS, Dash

#: A column of the picture that becomes at most two points [px].
COLUMN_PX = 1.0
#: The pit is drawn this much thinner than the lead.
THIN = 0.5
#: A cook's line beside its name [px], and the least room for both.
SWATCH_PX, NAME_PX = 34.0, 230.0


@dataclass(frozen=True)
class OverlaidCook:
    """What is painted of one cook, named by `label` and by its number, `ink` + 1.

    `ink` is its place among the colors; times are from zero [s].
    """

    label: str
    ink: int
    lead: FlatTrace | None
    pit: FlatTrace | None

    @property
    def lines(self) -> tuple[tuple[FlatTrace, bool], ...]:
        """Its traces, the pit first so that the lead lies on top; True for the lead."""
        both = ((self.pit, False), (self.lead, True))
        return tuple((line, lead) for line, lead in both if line is not None and line.at_s.size)


class Overlay(QWidget):
    """Shows cooks; a sentence where there is nothing to show."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("compareOverlay")
        self.setMinimumSize(360, 300)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.cooks: tuple[OverlaidCook, ...] = ()
        self._units = METRIC
        self._ground = GROUNDS["day"]
        self._kept: tuple[object, list[tuple[int, bool, list[QLineF], list[QPointF]]]] | None = None

    def sizeHint(self) -> QSize:
        return QSize(760, 300)

    def show_cooks(self, cooks: Sequence[OverlaidCook], units: Units, ground: str) -> None:
        """Show these in these units on this ground."""
        self.cooks, self._units, self._ground = tuple(cooks), units, GROUNDS[ground]
        self._kept = None
        self.setAccessibleName(
            self.tr("Traces over one another: {cooks}").format(
                cooks=", ".join(cook.label for cook in cooks)
            )
        )
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        try:
            self._paint(painter)
        finally:
            painter.end()

    def _paint(self, painter: QPainter) -> None:
        ground, metrics = self._ground, QFontMetricsF(self.font())
        high = metrics.height()
        lines = [line for cook in self.cooks for line, _ in cook.lines]
        if not lines:
            painter.setPen(QColor(ground.faint))
            painter.drawText(
                self.rect(), Qt.AlignmentFlag.AlignCenter, self.tr("No traces to show.")
            )
            return
        names_high = self._paint_names(painter, metrics)
        area = QRectF(self.rect()).adjusted(
            metrics.horizontalAdvance("−000") + 12, names_high + high + 8, -22, -high - 8
        )
        if area.width() < 60 or area.height() < 40:
            return
        from_s = min(float(line.at_s[0]) for line in lines)
        to_s = max(max(float(line.at_s[-1]) for line in lines), from_s + 60.0)
        low_c = min(float(line.value_c.min()) for line in lines)
        high_c = max(float(line.value_c.max()) for line in lines)
        slack_c = max(2.0, 0.03 * (high_c - low_c))
        low_c, high_c = low_c - slack_c, high_c + slack_c

        def x(at_s: float) -> float:
            return area.left() + (at_s - from_s) / (to_s - from_s) * area.width()

        def y(value_c: float) -> float:
            return area.bottom() - (value_c - low_c) / (high_c - low_c) * area.height()

        painter.fillRect(area, QColor(ground.raised))
        grid, words = QPen(QColor(ground.line), 1), QColor(ground.faint)
        for tick in since_ticks(from_s, to_s, 0.0, area.width() / 80):
            # Zero stands out: it is what the cooks share.
            painter.setPen(QPen(QColor(ground.faint), 1) if tick.at == 0.0 else grid)
            painter.drawLine(QPointF(x(tick.at), area.top()), QPointF(x(tick.at), area.bottom()))
            painter.setPen(words)
            box = QRectF(x(tick.at) - 40, area.bottom() + 3, 80, high)
            painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, tick.text)
        for tick in temperature_ticks(low_c, high_c, self._units, area.height() / 34):
            painter.setPen(grid)
            painter.drawLine(QPointF(area.left(), y(tick.at)), QPointF(area.right(), y(tick.at)))
            painter.setPen(words)
            box = QRectF(0, y(tick.at) - high / 2, area.left() - 6, high)
            painter.drawText(box, Qt.AlignmentFlag.AlignRight, tick.text)
        painter.setPen(words)
        painter.drawText(
            QRectF(0, names_high, self.width() - 22, high),
            Qt.AlignmentFlag.AlignLeft,
            self.tr("{unit}; thick: lead probe, thin: pit; hours and minutes from zero").format(
                unit=temperature_unit(self._units)
            ),
        )
        self._paint_lines(painter, area, (from_s, to_s), (low_c, high_c))
        painter.setPen(grid)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(area)
        taken: list[QRectF] = []
        for cook in self.cooks:
            if cook.lead is not None and cook.lead.at_s.size:
                text = f"{cook.ink + 1}"
                box = QRectF(
                    x(float(cook.lead.at_s[-1])) + 4,
                    y(float(cook.lead.value_c[-1])) - high / 2,
                    metrics.horizontalAdvance(text) + 2,
                    high,
                )
                while any(box.intersects(other) for other in taken):
                    box.translate(0.0, high / 2)
                taken.append(box)
                painter.setPen(QColor(ground.traces[cook.ink][0]))
                painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, text)

    def _paint_names(self, painter: QPainter, metrics: QFontMetricsF) -> float:
        """Each cook's line with its number and name, in rows; how high they are."""
        ground, high = self._ground, metrics.height() + 2
        columns = max(1, min(len(self.cooks), int(self.width() // NAME_PX)))
        wide = self.width() / columns
        for n, cook in enumerate(self.cooks):
            left, top = (n % columns) * wide, (n // columns) * high
            color, dash = ground.traces[cook.ink]
            pen = QPen(QColor(color), ground.stroke_px)
            pen.setCapStyle(Qt.PenCapStyle.FlatCap)
            if dash:
                pen.setDashPattern([float(part) for part in dash])
            painter.setPen(pen)
            painter.drawLine(QLineF(left, top + high / 2, left + SWATCH_PX, top + high / 2))
            painter.setPen(QColor(ground.ink))
            room = wide - SWATCH_PX - 20
            text = metrics.elidedText(
                f"{cook.ink + 1}  {cook.label}", Qt.TextElideMode.ElideRight, room
            )
            painter.drawText(
                QRectF(left + SWATCH_PX + 8, top, room + 4, high),
                Qt.AlignmentFlag.AlignVCenter,
                text,
            )
        return high * -(-len(self.cooks) // columns) + 4

    def _paint_lines(
        self,
        painter: QPainter,
        area: QRectF,
        span_s: tuple[float, float],
        span_c: tuple[float, float],
    ) -> None:
        kept = self._kept
        if kept is None or kept[0] != area:
            kept = self._kept = (area, self._strokes(area, span_s, span_c))
        painter.save()
        painter.setClipRect(area)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for ink, lead, segments, dots in kept[1]:
            color = QColor(self._ground.traces[ink][0])
            width = self._ground.stroke_px * (1.0 if lead else THIN)
            pen = QPen(color, width)
            # Round, or the seams between short pieces show.
            pen.setCapStyle(Qt.PenCapStyle.RoundCap)
            painter.setPen(pen)
            # One by one: a wide smoothed pen along a whole polyline takes many times as long.
            painter.drawLines(segments)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(color)
            for dot in dots:
                painter.drawEllipse(dot, 1.1 * width, 1.1 * width)
        painter.restore()

    def _pattern(self, ink: int, lead: bool) -> Dash:
        """The dashes in pixels; round ends add half the pen's width to both ends of each."""
        px = self._ground.stroke_px
        more = px * (1.0 if lead else THIN)
        return tuple(
            max(0.1, part * px - more) if n % 2 == 0 else part * px + more
            for n, part in enumerate(self._ground.traces[ink][1])
        )

    def _strokes(
        self, area: QRectF, span_s: tuple[float, float], span_c: tuple[float, float]
    ) -> list[tuple[int, bool, list[QLineF], list[QPointF]]]:
        """Per trace: ink, whether it is the lead, segments to draw and lone points, in pixels."""
        column_s = COLUMN_PX * (span_s[1] - span_s[0]) / area.width()
        c_per_px = (span_c[1] - span_c[0]) / area.height()
        found = []
        for only_lead in (False, True):
            for cook in self.cooks:
                for line, lead in cook.lines:
                    if lead is not only_lead:
                        continue
                    raw = thin(line, *span_s, column_s, 0.4 * c_per_px)
                    stroke = Stroke(
                        area.left() + (raw.x - span_s[0]) / column_s * COLUMN_PX,
                        area.bottom() - (raw.y - span_c[0]) / c_per_px,
                        raw.joined,
                    )
                    alone = stroke.lone()
                    dots = [
                        QPointF(a, b)
                        for a, b in zip(
                            stroke.x[alone].tolist(), stroke.y[alone].tolist(), strict=True
                        )
                    ]
                    cut = dashed(stroke, self._pattern(cook.ink, lead))
                    ends = np.column_stack(
                        [cut.x[:-1], cut.y[:-1], cut.x[1:], cut.y[1:]]
                    )[cut.joined[:-1]]  # fmt: skip
                    segments = [QLineF(*each) for each in ends.tolist()]
                    found.append((cook.ink, lead, segments, dots))
        return found
