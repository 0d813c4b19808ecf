"""Closed lists and dates that the mouse wheel passes over.

A wheel turned to scroll the page must not change what the pointer happens to be over: it goes on to
whatever scrolls. Use these in place of Qt's own; a test looks for one that isn't.
"""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QSignalBlocker
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QDateEdit, QWidget


class ChoiceBox(QComboBox):
    """A closed list; open, it scrolls as any list. `hears` is its name for readers of screens; with
    `letters` it is about so many wide, however long its words are. `choices` are words and what they
    stand for."""

    def __init__(
        self,
        parent: QWidget | None = None,
        *,
        name: str = "",
        hears: str = "",
        letters: int = 0,
        choices: Iterable[tuple[str, object]] = (),
    ) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self.setAccessibleName(hears)
        if letters:
            self.setSizeAdjustPolicy(self.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            self.setMinimumContentsLength(letters)
        for words, stands_for in choices:
            self.addItem(words, stands_for)

    def offer(self, choices: Iterable[tuple[str, object]], chosen: object = None) -> None:
        """Have these choices in place of the others, and tell nobody. What isn't among them can't be
        chosen: then the first is."""
        with QSignalBlocker(self):
            self.clear()
            for words, stands_for in choices:
                self.addItem(words, stands_for)
            self.setCurrentIndex(max(0, self.findData(chosen)))

    def choose(self, stands_for: object) -> None:
        """Show the choice that stands for this, which is there, and tell nobody."""
        with QSignalBlocker(self):
            self.setCurrentIndex(self.findData(stands_for))

    def let_type(self, hint: str = "") -> None:
        """What isn't offered may be typed as well."""
        self.setEditable(True)
        self.setInsertPolicy(self.InsertPolicy.NoInsert)
        line = self.lineEdit()
        if line is not None:
            line.setObjectName(f"{self.objectName()}Text")
            line.setAccessibleName(self.accessibleName())
            line.setPlaceholderText(hint)
            line.setMaxLength(200)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Left to what is behind."""
        event.ignore()


class DayEdit(QDateEdit):
    """A date."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Left to what is behind."""
        event.ignore()
