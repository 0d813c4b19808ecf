"""One question, with what speaks for and against it, and two answers."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QScrollArea,
    QWidget,
)

from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row

WIDTH = 600
#: Of the list of points; a longer one scrolls.
HIGHEST = 340
_BAR = 16


class AskDialog(QDialog):
    """`accepted` on yes. Escape and closing are no; no is also what Enter does."""

    def __init__(
        self,
        title: str,
        text: str,
        yes: str,
        no: str,
        points: Sequence[QWidget] = (),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("askDialog")
        self.setWindowTitle(title)
        self.setModal(True)
        self._column = column = new_column(self, spacing=12)
        self.text = new_label(self, text, name="askText", wraps=True)
        column.addWidget(self.text)
        if points:
            inside = QWidget(self)
            listed = new_column(inside, margins=0)
            for point in points:
                listed.addWidget(point)
            listed.addStretch(1)
            self._scroll = QScrollArea(self)
            self._scroll.setAccessibleName(title)
            self._scroll.setWidgetResizable(True)
            self._scroll.setFrameShape(QFrame.Shape.NoFrame)
            self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
            self._scroll.setWidget(inside)
            column.addWidget(self._scroll, 1)
        self.yes = new_button(self, yes, self.accept, name="askYes", auto=False)
        self.no = new_button(self, no, self.reject, name="askNo", default=True)
        row = new_row(None, FILL, self.yes, self.no)
        column.addLayout(row)
        self.setMinimumWidth(520)
        self._points = tuple(points)
        self.no.setFocus()

    def showEvent(self, event: QShowEvent) -> None:
        """As high as what is listed needs, up to a limit; from there on it scrolls."""
        super().showEvent(event)
        if not self._points or event.spontaneous():
            return
        width = WIDTH - 2 * self._column.contentsMargins().left() - _BAR
        heights = []
        for point in self._points:
            point.ensurePolished()
            high = point.heightForWidth(width)
            heights.append(high if high >= 0 else point.sizeHint().height())
        gaps = 8 * len(heights)
        self._scroll.setFixedHeight(min(sum(heights) + gaps, HIGHEST))
        self.resize(WIDTH, self.sizeHint().height())
