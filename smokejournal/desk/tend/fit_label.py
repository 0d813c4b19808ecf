"""A label that keeps its height: a longer text is written smaller, on two lines where it must."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QFont, QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

#: No smaller than the text of forms [px].
LEAST_PX = 14
_HOW = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


class FitLabel(QLabel):
    """`text()` stays whole, and is the tool tip while not even the smallest size has room for it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._largest_px, self._lines = LEAST_PX, 1
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def set_size(self, largest_px: int, lines: int = 1) -> None:
        """Write in this size where there is room, and keep the height of so many such lines."""
        if (largest_px, lines) == (self._largest_px, self._lines):
            return
        self._largest_px, self._lines = largest_px, lines
        self.setFixedHeight(self.sizeHint().height())
        self.update()

    def sizeHint(self) -> QSize:
        """High enough for its lines in the largest size, and for two in the smallest."""
        two = 2 * QFontMetrics(self._font(LEAST_PX)).lineSpacing()
        lines = self._lines * QFontMetrics(self._font(self._largest_px)).lineSpacing()
        return QSize(super().sizeHint().width(), max(lines, two) + 2)

    minimumSizeHint = sizeHint

    def shown_px(self) -> int:
        """The size in which there is room for the text, at least the smallest."""
        for px in range(self._largest_px, LEAST_PX, -1):
            if self._fits(QFontMetrics(self._font(px))):
                return px
        return LEAST_PX

    def paintEvent(self, _: QPaintEvent) -> None:
        """Write as large as there is room for."""
        font = self._font(self.shown_px())
        metrics = QFontMetrics(font)
        room, text = self.contentsRect(), self.text()
        if not self._fits(metrics):
            lines = max(1, room.height() // metrics.lineSpacing())
            # Words that go to the next line leave room at the end of this one.
            width = int(room.width() * (lines - 0.2 * (lines - 1)))
            text = metrics.elidedText(text, Qt.TextElideMode.ElideRight, width)
        cut = self.text() if text != self.text() else ""
        if self.toolTip() != cut:
            self.setToolTip(cut)
        painter = QPainter(self)
        painter.setFont(font)
        painter.setPen(self.palette().color(self.foregroundRole()))
        painter.drawText(room, int(_HOW) | int(Qt.TextFlag.TextWordWrap), text)

    def _fits(self, metrics: QFontMetrics) -> bool:
        room = self.contentsRect()
        asked = metrics.boundingRect(
            QRect(0, 0, room.width(), 10_000),
            int(Qt.AlignmentFlag.AlignLeft) | int(Qt.TextFlag.TextWordWrap),
            self.text(),
        )
        return asked.height() <= room.height() and asked.width() <= room.width()

    def _font(self, px: int) -> QFont:
        font = QFont(self.font())
        font.setPixelSize(px)
        return font
