"""The picture of how two probes agree: each pair's difference over its mean, with bias and limits."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from smokejournal.cook.probes.comparison import Comparison, plotted
from smokejournal.cook.text.quantities import METRIC, Units, temperature_step, temperature_unit
from smokejournal.cook.text.round_ticks import degree_ticks, step_ticks
from smokejournal.desk.base.theme import GROUNDS, Ground


class AgreementPlot(QWidget):
    """Shows a comparison; empty where there is none."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("agreementPlot")
        self.setMinimumSize(300, 180)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self._found: Comparison | None = None
        self._units = METRIC
        self._ground = GROUNDS["day"]

    def sizeHint(self) -> QSize:
        return QSize(520, 300)

    def show_comparison(self, found: Comparison | None, units: Units, ground: str) -> None:
        """Show this in these units on this ground."""
        self._found, self._units, self._ground = found, units, GROUNDS[ground]
        self.setAccessibleName(self.tr("Differences of the two probes over their mean"))
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        found, ground = self._found, self._ground
        picture = None if found is None else plotted(found)
        if picture is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        metrics = QFontMetricsF(self.font())
        line = metrics.height()
        labels = [temperature_step(v, self._units, signed=True) for v, _ in picture.lines]
        right = max(metrics.horizontalAdvance(text) for text in labels) + 14
        area = QRectF(self.rect()).adjusted(56, line + 8, -right, -2 * line - 8)
        if area.width() < 60 or area.height() < 40:
            return

        def at(mean_c: float, gap_k: float) -> QPointF:
            x = (mean_c - picture.low_c) / (picture.high_c - picture.low_c)
            y = (gap_k - picture.low_k) / (picture.high_k - picture.low_k)
            return QPointF(area.left() + x * area.width(), area.bottom() - y * area.height())

        painter.fillRect(area, QColor(ground.raised))
        faint = QPen(QColor(ground.line), 1)
        words = QColor(ground.faint)
        unit = temperature_unit(self._units)
        most_x, most_y = area.width() / 70, area.height() / 34
        for value, text in degree_ticks(picture.low_c, picture.high_c, self._units, most_x):
            x = at(value, 0).x()
            painter.setPen(faint)
            painter.drawLine(QPointF(x, area.top()), QPointF(x, area.bottom()))
            painter.setPen(words)
            box = QRectF(x - 40, area.bottom() + 2, 80, line)
            painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, text)
        for value, text in step_ticks(picture.low_k, picture.high_k, self._units, most_y):
            y = at(0, value).y()
            painter.setPen(QPen(QColor(ground.faint), 1) if abs(value) < 1e-9 else faint)
            painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y))
            painter.setPen(words)
            box = QRectF(0, y - line / 2, area.left() - 6, line)
            painter.drawText(box, Qt.AlignmentFlag.AlignRight, text)
        painter.setPen(words)
        painter.drawText(
            QRectF(0, 0, self.width(), line),
            Qt.AlignmentFlag.AlignLeft,
            self.tr("{second} minus {first}, {unit}").format(
                second=picture.second, first=picture.first, unit=unit
            ),
        )
        painter.drawText(
            QRectF(area.left(), area.bottom() + line + 4, area.width(), line),
            Qt.AlignmentFlag.AlignRight,
            self.tr("mean of both, {unit}").format(unit=unit),
        )
        self._draw_points(painter, [at(x, y) for x, y in picture.points], ground)
        self._draw_lines(painter, area, [at(0, v).y() for v, _ in picture.lines], labels)
        painter.setPen(faint)
        painter.drawRect(area)
        painter.end()

    def _draw_points(self, painter: QPainter, points: list[QPointF], ground: Ground) -> None:
        color = QColor(ground.traces[1][0])
        color.setAlphaF(0.75 if len(points) < 300 else 0.4)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(color)
        size = 2.6 if len(points) < 300 else 1.8
        for point in points:
            painter.drawEllipse(point, size, size)
        painter.setBrush(Qt.BrushStyle.NoBrush)

    def _draw_lines(
        self, painter: QPainter, area: QRectF, heights: list[float], labels: list[str]
    ) -> None:
        """Bias solid, limits dashed, each with its number at the right, where they don't collide."""
        line = QFontMetricsF(self.font()).height()
        ink, ember = QColor(self._ground.ink), QColor(self._ground.ember)
        for n, y in enumerate(heights):
            pen = QPen(ember if n == 1 else ink, self._ground.stroke_px)
            if n != 1:
                pen.setStyle(Qt.PenStyle.DashLine)
            painter.setPen(pen)
            painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y))
        # From the lowest line up: low limit, bias, high limit; each label at least a line above.
        places: list[float] = []
        for y in heights:
            places.append(min([y, *(p - line for p in places[-1:])]))
        for n, (y, text) in enumerate(zip(places, labels, strict=True)):
            painter.setPen(ember if n == 1 else ink)
            box = QRectF(area.right() + 6, y - line / 2, self.width() - area.right() - 6, line)
            painter.drawText(box, Qt.AlignmentFlag.AlignLeft, text)
