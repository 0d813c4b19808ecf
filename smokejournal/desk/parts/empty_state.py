"""What a page shows while there is nothing to show: what is missing and what to do next."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton, QWidget

from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row


class EmptyState(QWidget):
    """One line of what is missing, one of what to do, and a button that does it."""

    asked = Signal()

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self._title = new_label(self, name=f"{name}Title", kind="title")
        self._next = new_label(self, name=f"{name}Next", kind="faint")
        for label in (self._title, self._next):
            label.setWordWrap(True)
            label.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self._button = new_button(self, "", self.asked, name=f"{name}Button", kind="ember")
        self._row = row = new_row(None, FILL, self._button, FILL)
        column = new_column(self, spacing=10, margins=(40, 24, 40, 24))
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
