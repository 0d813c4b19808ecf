"""A label of one line that is cut with an ellipsis where there is too little room, never clipped."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QLabel, QStyleOption, QWidget


class ShortLabel(QLabel):
    """`text()` stays whole, and is the tool tip while it is cut."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._mode = Qt.TextElideMode.ElideRight

    def cut_in_the_middle(self) -> None:
        """From now on cut so that the end stays: what tells it from others stands there."""
        self._mode = Qt.TextElideMode.ElideMiddle

    def minimumSizeHint(self) -> QSize:
        """Room for three letters and the ellipsis, or for all where that is less."""
        whole = super().minimumSizeHint()
        least = self.fontMetrics().horizontalAdvance("MMM…")
        return QSize(min(least, self.sizeHint().width()), whole.height())

    def paintEvent(self, _: QPaintEvent) -> None:
        """Write what there is room for."""
        painter = QPainter(self)
        option = QStyleOption()
        option.initFrom(self)
        room = self.contentsRect()
        metrics = self.fontMetrics()
        shown = metrics.elidedText(self.text(), self._mode, room.width())
        cut = self.text() if shown != self.text() else ""
        if self.toolTip() != cut:
            self.setToolTip(cut)
        self.style().drawItemText(
            painter,
            room,
            int(self.alignment()),
            option.palette,
            self.isEnabled(),
            shown,
            self.foregroundRole(),
        )
