"""One finished cook with its tick box: whether the forecast learns from it, and what or why not."""

from __future__ import annotations

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QCheckBox, QWidget

from smokejournal.cook.learning.lesson_words import lesson_words
from smokejournal.cook.text import quantities
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.widgets import new_column, new_label
from smokejournal.services.forecast.learned import LessonCook

#: Under a tick box its note stands below the text [px].
INDENT = 24


class LessonRow(QWidget):
    """`asked(cook_id, teach)` when the person ticks it."""

    asked = Signal(object, bool)

    def __init__(self, lesson_cook: LessonCook, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        line = lesson_cook.line
        self._cook_id = line.id
        self.setObjectName(f"lesson_cook{line.id}")
        self.box = QCheckBox(self)
        self.box.setObjectName(f"teach{line.id}")
        self.box.clicked.connect(self._on_clicked)
        self.note = new_label(self, name=f"teachNote{line.id}", kind="faint", wraps=True)
        self.note.setContentsMargins(INDENT, 0, 0, 0)
        new_column(self, self.box, self.note, spacing=0, margins=0)

    def show_cook(self, lesson_cook: LessonCook, units: Units, *, writable: bool) -> None:
        """Say where the learning from this cook stands."""
        line = lesson_cook.line
        when_s = line.opened_s if line.started_s is None else line.started_s
        text = self.tr("{title}, {date}").format(
            title=line.title, date=quantities.date(when_s, line.zone, units)
        )
        self.box.setText(text.replace("&", "&&"))
        self.box.setAccessibleName(self.tr("Learn from {cook}").format(cook=text))
        self.box.setChecked(lesson_cook.lesson.state == "learned")
        self.box.setEnabled(writable and lesson_cook.lesson.state != "nothing")
        words = lesson_words(lesson_cook.lesson, on_this_pit=lesson_cook.on_this_pit)
        self.note.setText(words)
        self.box.setAccessibleDescription(words)

    def wait(self) -> None:
        """Say that it is being read."""
        self.box.setEnabled(False)
        self.note.setText(self.tr("being read…"))

    @Slot(bool)
    def _on_clicked(self, checked: bool) -> None:
        self.asked.emit(self._cook_id, checked)
