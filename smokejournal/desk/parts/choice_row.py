"""A few choices of which one holds, picked by digit or letter, arrow keys or click."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QGridLayout, QRadioButton, QWidget

from smokejournal.desk.parts.single_keys import plain_text

_HARMLESS = Qt.KeyboardModifier.KeypadModifier | Qt.KeyboardModifier.ShiftModifier


class ChoiceRow(QWidget):
    """Radio buttons named by digit. `picked` comes when one is picked for good (key or click).

    Where a number is typed next, the choices are named by `letters`: a figure that is typed too
    early would else pick something, and what is left of it would be another number. Such a figure
    is handed on as `typed`.
    """

    picked = Signal(str)
    typed = Signal(str)

    def __init__(
        self,
        name: str,
        label: str,
        parent: QWidget | None = None,
        *,
        columns: int = 2,
        letters: bool = False,
    ) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self.setAccessibleName(label)
        self._columns = columns
        self._names = "ABCDEFGHIJKLMNOPQRSTUVWXYZ" if letters else "123456789"
        self._group = QButtonGroup(self)
        self._group.buttonClicked.connect(self._on_clicked)
        self._keys: list[str] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(14)
        self._grid.setVerticalSpacing(2)
        self._grid.setColumnStretch(columns, 1)

    def set_choices(self, choices: Sequence[tuple[str, str]], chosen: str | None = None) -> None:
        """Offer (key, words) pairs; `chosen` holds, or the first."""
        for button in self._group.buttons():
            self._group.removeButton(button)
            button.setParent(None)
            button.deleteLater()
        self._keys = [key for key, _ in choices]
        for n, (key, words) in enumerate(choices):
            text = f"{self._names[n]}  {words}" if n < len(self._names) else words
            button = QRadioButton(plain_text(text), self)
            button.setObjectName(f"{self.objectName()}_{key}")
            button.setAccessibleName(words)
            self._group.addButton(button, n)
            self._grid.addWidget(button, n // self._columns, n % self._columns)
        if self._keys:
            self.set_value(chosen if chosen in self._keys else self._keys[0])

    def value(self) -> str | None:
        """The key of the choice that holds; None while there is nothing to choose."""
        chosen = self._group.checkedId()
        return self._keys[chosen] if 0 <= chosen < len(self._keys) else None

    def set_value(self, key: str | None) -> None:
        """Choose."""
        if key in self._keys:
            button = self._group.button(self._keys.index(str(key)))
            button.setChecked(True)
            self.setFocusProxy(button)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """The key of a choice picks it."""
        text = event.text().upper()
        plain = not event.modifiers() & ~_HARMLESS
        number = self._names.find(text) if len(text) == 1 and plain else -1
        if 0 <= number < len(self._keys):
            self.set_value(self._keys[number])
            self.picked.emit(self._keys[number])
            return
        if plain and text and text in "0123456789-.," and "A" in self._names:
            self.typed.emit(text)
            return
        super().keyPressEvent(event)

    @Slot(QAbstractButton)
    def _on_clicked(self, button: QAbstractButton) -> None:
        key = self._keys[self._group.id(button)]
        self.setFocusProxy(button)
        self.picked.emit(key)
