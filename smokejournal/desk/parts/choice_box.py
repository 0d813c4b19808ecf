"""Closed lists and dates that the mouse wheel passes over.

A wheel turned to scroll the page must not change what the pointer happens to be over: it goes on to
whatever scrolls. Use these in place of Qt's own; a test looks for one that isn't.
"""

from __future__ import annotations

from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QDateEdit, QWidget


class ChoiceBox(QComboBox):
    """A closed list; open, it scrolls as any list. `hears` is its name for readers of screens; with
    `letters` it is about so many wide, however long its words are."""

    def __init__(
        self, parent: QWidget | None = None, *, name: str = "", hears: str = "", letters: int = 0
    ) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self.setAccessibleName(hears)
        if letters:
            self.setSizeAdjustPolicy(self.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            self.setMinimumContentsLength(letters)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Left to what is behind."""
        event.ignore()


class DayEdit(QDateEdit):
    """A date."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Left to what is behind."""
        event.ignore()
