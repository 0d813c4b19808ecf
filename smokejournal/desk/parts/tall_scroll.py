"""A scroll area that scrolls up and down only, and is never narrower than what is in it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QWidget


class TallScroll(QScrollArea):
    """Takes the least width of its content as its own, so that nothing is cut off at the right."""

    def __init__(self, spoken: str, parent: QWidget | None = None) -> None:
        """`spoken` is what it holds, for whoever comes to it by Tab and can't see it."""
        super().__init__(parent)
        self.setAccessibleName(spoken)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    def set_content(self, content: QWidget) -> None:
        """Scroll this widget."""
        self.setWidget(content)
        content.installEventFilter(self)

    def minimumSizeHint(self) -> QSize:
        least = super().minimumSizeHint()
        content = self.widget()
        if content is None:
            return least
        bar = self.verticalScrollBar().sizeHint().width()
        return QSize(content.minimumSizeHint().width() + bar, least.height())

    def sizeHint(self) -> QSize:
        return super().sizeHint().expandedTo(self.minimumSizeHint())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self.widget() and event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().eventFilter(watched, event)
