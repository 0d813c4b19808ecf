"""Closed lists and dates that the mouse wheel passes over.

A wheel turned to scroll the page must not change what the pointer happens to be over: it goes on to
whatever scrolls. Use these in place of Qt's own; a test looks for one that isn't.
"""

from __future__ import annotations

from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QDateEdit


class ChoiceBox(QComboBox):
    """A closed list; open, it scrolls as any list."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Left to what is behind."""
        event.ignore()


class DayEdit(QDateEdit):
    """A date."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Left to what is behind."""
        event.ignore()
