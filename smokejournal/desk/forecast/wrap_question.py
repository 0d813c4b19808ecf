"""'Did you wrap it at about 14:20?', with the answers as buttons."""

from __future__ import annotations

from functools import partial
from typing import get_args

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton, QWidget

from smokejournal.cook.forecast.wrap_question import wrap_question
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.widgets import new_button, new_label, new_row
from smokejournal.science.forecast.values import Wrapping


class WrapQuestion(QWidget):
    """In sight only while something is asked. `answered` carries the moment [UTC seconds] and the
    material of the wrap, "none" for no."""

    answered = Signal(float, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("wrapQuestion")
        self._at_s: float | None = None
        self.label = new_label(self, name="wrapQuestionText")
        row = new_row(self, self.label, spacing=4, margins=0)
        self.buttons: dict[str, QPushButton] = {}
        for answer in (*get_args(Wrapping), "none"):
            button = new_button(self, self._words(answer), name=f"wrapAnswer_{answer}")
            button.setAccessibleName(button.text())
            button.setProperty("kind", "answer")
            # No higher than the line of the forecast: every line counts on Tend.
            button.setFixedHeight(button.fontMetrics().height() + 4)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            # In a dialog Enter would press the first of them: nothing is answered by accident.
            button.setAutoDefault(False)
            button.clicked.connect(partial(self._answer, answer))
            row.addWidget(button)
            self.buttons[answer] = button
        row.addStretch(1)
        self.setVisible(False)

    def ask(self, at_s: float | None, units: Units, zone: str) -> None:
        """Ask about this moment; nothing with None."""
        self._at_s = at_s
        if at_s is not None:
            self.label.setText(wrap_question(at_s, units, zone))
            for answer, button in self.buttons.items():
                button.setAccessibleName(f"{self.label.text()} {self._words(answer)}")
        self.setVisible(at_s is not None)

    def _words(self, answer: str) -> str:
        return {
            "foil": self.tr("Yes, in foil"),
            "paper": self.tr("Yes, in paper"),
            "none": self.tr("No"),
        }[answer]

    def _answer(self, answer: str) -> None:
        if self._at_s is not None:
            self.answered.emit(self._at_s, answer)
