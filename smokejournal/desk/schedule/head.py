"""The line above the schedule: its name, saved ones to use, saving it, undo and redo."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QPushButton, QWidget

from smokejournal.cook.log.schedule import Schedule
from smokejournal.desk.base.widgets import new_button, new_row
from smokejournal.desk.parts.fields import TextField
from smokejournal.desk.schedule.board import ScheduleBoard
from smokejournal.desk.schedule.saved import ScheduleMenu


class ScheduleHead(QWidget):
    """`changed` when the draft is another; `save_asked` when it shall be saved for reuse."""

    changed = Signal()
    save_asked = Signal()

    def __init__(self, board: ScheduleBoard, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._board = board
        self.name = TextField(
            "scheduleName", self.tr("Name of the schedule"), self, hint=self.tr("Schedule name")
        )
        self.name.edit.setMinimumHeight(34)
        self.name.changed.connect(self._on_name)
        self._row = new_row(self, spacing=8, margins=0)
        self._row.addWidget(self.name, 1, Qt.AlignmentFlag.AlignTop)
        self.menu = ScheduleMenu(self)
        self.menu.used.connect(self.use)
        self._button("usePattern", self.tr("Load a schedule")).setMenu(self.menu)
        self._save = self._button("savePattern", self.tr("Save the schedule"), self.save_asked.emit)
        self._undo = self._button("undoPlan", self.tr("Undo"), self.undo)
        self._undo.setToolTip(self.tr("Ctrl+Z"))
        self._redo = self._button("redoPlan", self.tr("Redo"), self.redo)
        self._redo.setToolTip(self.tr("Ctrl+Shift+Z"))

    def _button(self, name: str, text: str, slot: Callable[[], None] | None = None) -> QPushButton:
        button = new_button(self, text, slot, name=name)
        self._row.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)
        return button

    def show_draft(self) -> None:
        """Show the name, and what can be done now."""
        draft = self._board.draft
        self.name.set_text(draft.schedule.name)
        self._undo.setEnabled(bool(draft.can_undo))
        self._redo.setEnabled(bool(draft.can_redo))
        self._save.setEnabled(bool(draft.schedule.stages))

    def check(self) -> bool:
        """True where there is a name to save by; else says that one is missing."""
        if not self.name.text():
            self.name.refuse(self.tr("Give the schedule a name to save it by."))
            self.name.setFocus()
        return bool(self.name.text())

    @Slot()
    def undo(self) -> None:
        """Take the last change of the draft back."""
        if self._board.draft.undo():
            self.changed.emit()

    @Slot()
    def redo(self) -> None:
        """Do again what was taken back."""
        if self._board.draft.redo():
            self.changed.emit()

    @Slot()
    def _on_name(self) -> None:
        self._board.draft.rename(self.name.text())
        self.changed.emit()

    @Slot(object)
    def use(self, schedule: Schedule) -> None:
        """Take this one over in place of the draft; undo brings it back."""
        self._board.draft.take_over(schedule)
        self._board.choose_first()
        self.changed.emit()
