"""What a page shows while there is nothing to show: what is missing and what to do next."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget


class EmptyState(QWidget):
    """One line of what is missing, one of what to do, and a button that does it."""

    asked = Signal()

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self._title = QLabel(self)
        self._title.setObjectName(f"{name}Title")
        self._title.setProperty("kind", "title")
        self._next = QLabel(self)
        self._next.setObjectName(f"{name}Next")
        self._next.setProperty("kind", "faint")
        for label in (self._title, self._next):
            label.setWordWrap(True)
            label.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self._button = QPushButton(self)
        self._button.setObjectName(f"{name}Button")
        self._button.setProperty("kind", "ember")
        self._button.clicked.connect(self.asked)
        self._row = row = QHBoxLayout()
        row.addStretch(1)
        row.addWidget(self._button)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(40, 24, 40, 24)
        column.setSpacing(10)
        column.addStretch(2)
        column.addWidget(self._title)
        column.addWidget(self._next)
        column.addSpacing(6)
        column.addLayout(row)
        column.addStretch(3)

    def say(self, title: str, what_next: str, button: str = "") -> None:
        """Set the words; without a button text there is no button."""
        self._title.setText(title)
        self._next.setText(what_next)
        self._button.setText(button)
        self._button.setAccessibleName(button)
        self._button.setVisible(bool(button))

    def offer_beside(self, button: QPushButton) -> None:
        """Put another way out beside the button."""
        self._row.insertWidget(self._row.count() - 1, button)
