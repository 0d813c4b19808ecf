"""A line to type in, with its message beside it when what was typed cannot be used."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

T = TypeVar("T")


class CheckedField(QWidget):
    """A line edit, a unit behind it, and room for one message below.

    `read` parses; what cannot be parsed stays as typed, is marked, and its message is shown.
    """

    edited = Signal()

    def __init__(
        self,
        name: str,
        label: str,
        *,
        hint: str = "",
        unit: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.edit = QLineEdit(self)
        self.edit.setObjectName(name)
        self.edit.setAccessibleName(label)
        self.edit.setPlaceholderText(hint)
        self.unit = QLabel(unit, self)
        self.unit.setProperty("kind", "faint")
        self.unit.setVisible(bool(unit))
        self.problem = QLabel(self)
        self.problem.setObjectName(f"{name}Problem")
        self.problem.setProperty("kind", "problem")
        self.problem.setWordWrap(True)
        self.problem.hide()
        row = QHBoxLayout()
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.edit, 1)
        row.addWidget(self.unit)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addLayout(row)
        column.addWidget(self.problem)
        self.setFocusProxy(self.edit)
        self.edit.textEdited.connect(self._on_edited)

    def text(self) -> str:
        """What is typed, without the blanks around it."""
        return self.edit.text().strip()

    def set_text(self, text: str) -> None:
        """Show `text`, with no message."""
        self.edit.setText(text)
        self.set_problem("")

    def set_unit(self, unit: str) -> None:
        """The unit behind the field."""
        self.unit.setText(unit)
        self.unit.setVisible(bool(unit))

    def set_problem(self, message: str) -> None:
        """The message below; empty for none."""
        self.problem.setText(message)
        self.problem.setVisible(bool(message))
        self.edit.setAccessibleDescription(message)
        wrong = "true" if message else "false"
        if self.edit.property("wrong") != wrong:
            self.edit.setProperty("wrong", wrong)
            self.edit.style().unpolish(self.edit)
            self.edit.style().polish(self.edit)

    def read(self, parse: Callable[[str], T]) -> T | None:
        """What is typed, parsed; None, with the message shown, where it cannot be."""
        try:
            value = parse(self.text())
        except ValueError as error:
            self.set_problem(str(error))
            return None
        self.set_problem("")
        return value

    @property
    def in_trouble(self) -> bool:
        """True while a message is shown."""
        return bool(self.problem.text())

    def _on_edited(self) -> None:
        self.set_problem("")
        self.edited.emit()
