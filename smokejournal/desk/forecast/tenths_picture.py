"""In which tenth of the forecasts what was forecast came: ten bars, and the line of even ones."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QLineF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPalette, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from smokejournal.cook.learning.came_in import TENTHS, tenths_words

#: Height of the bars and width of all [px at the usual size of type].
HIGH, WIDE = 96, 420
GAP = 3


class TenthsPicture(QWidget):
    """Nothing is drawn while nothing was counted."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("recordTenths")
        self._counts: tuple[int, ...] = (0,) * TENTHS
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.setMaximumWidth(WIDE)

    def show_counts(self, counts: Sequence[int]) -> None:
        """Draw these, (10,)."""
        self._counts = tuple(counts)
        self.setAccessibleName(tenths_words(self._counts))
        self.update()

    def sizeHint(self) -> QSize:
        """Bars, and a line of text below."""
        return QSize(WIDE, HIGH + 2 * self.fontMetrics().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Bars from the left, each with its count above it; ends named below."""
        total = sum(self._counts)
        if not total:
            return
        painter = QPainter(self)
        text = self.palette().color(QPalette.ColorRole.WindowText)
        row = self.fontMetrics().height()
        base = self.height() - row
        most = max(*self._counts, total / TENTHS)
        scale = (base - row) / most
        wide = self.width() / TENTHS
        bar, ground = (
            self.palette().color(role)
            for role in (QPalette.ColorRole.Highlight, QPalette.ColorRole.Window)
        )
        level = base - total / TENTHS * scale
        painter.setPen(QPen(text, 1.0, Qt.PenStyle.DashLine))
        painter.drawLine(QLineF(0.0, level, float(self.width()), level))
        painter.setPen(text)
        for n, count in enumerate(self._counts):
            left, high = n * wide, count * scale
            painter.fillRect(QRectF(left + GAP, base - high, wide - 2 * GAP, high), bar)
            if count:
                # The line of even bars must not strike a figure through.
                above = QRectF(left, base - high - row, wide, row)
                told = str(count)
                half = 0.5 * self.fontMetrics().horizontalAdvance(told) + GAP
                middle = above.center().x()
                painter.fillRect(QRectF(middle - half, above.top(), 2 * half, row), ground)
                painter.drawText(above, Qt.AlignmentFlag.AlignCenter, told)
        painter.drawLine(QLineF(0.0, base, float(self.width()), base))
        below = QRectF(0.0, base, float(self.width()), row)
        painter.drawText(below, Qt.AlignmentFlag.AlignLeft, self.tr("early in the forecast"))
        painter.drawText(below, Qt.AlignmentFlag.AlignRight, self.tr("late in it"))
        painter.end()
