"""Schedules saved for reuse: the menu to take one from, and keeping and forgetting them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QObject, Qt, Signal, Slot
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu, QWidget

from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.plan.starter_schedules import starters
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.parts.ask_dialog import AskDialog

Saved = Sequence[tuple[str, Schedule]]


class ScheduleMenu(QMenu):
    """The person's own schedules, then those to begin with. `used(schedule)`, `forget_asked(name)`."""

    used = Signal(object)
    forget_asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("patternMenu")
        self._saved: tuple[tuple[str, Schedule], ...] = ()
        self._units = METRIC
        self._fill()

    def set_saved(self, saved: Saved) -> None:
        """Offer these by name."""
        self._saved = tuple(saved)
        self._fill()

    def set_units(self, units: Units) -> None:
        """Those to begin with come in round numbers of these units."""
        self._units = units
        self._fill()

    def _fill(self) -> None:
        self.clear()
        if self._saved:
            self._head(self.tr("Saved"))
            for name, schedule in self._saved:
                self._offer(self, name, schedule, self._on_use)
        self._head(self.tr("To begin with (common practice)"))
        for schedule in starters(self._units):
            self._offer(self, schedule.name, schedule, self._on_use)
        if self._saved:
            self.addSeparator()
            forget = self.addMenu(self.tr("Forget a saved one"))
            for name, _ in self._saved:
                self._offer(forget, name, name, self._on_forget)

    def _head(self, text: str) -> None:
        # A section of Qt's is a bare line in some styles, this one's too.
        self.addAction(text).setEnabled(False)

    @staticmethod
    def _offer(menu: QMenu, text: str, data: object, slot: Callable[[], None]) -> None:
        action = menu.addAction(text)
        action.setData(data)
        action.triggered.connect(slot)

    @Slot()
    def _on_use(self) -> None:
        action = self.sender()
        if isinstance(action, QAction):
            self.used.emit(action.data())

    @Slot()
    def _on_forget(self) -> None:
        action = self.sender()
        if isinstance(action, QAction):
            self.forget_asked.emit(action.data())


class SavedSchedules(QObject):
    """Keeps and forgets schedules in the journal, asking first where something would be lost.

    `changed(saved)` carries what is there now.
    """

    changed = Signal(object)

    def __init__(self, context: DeskContext, page: QWidget) -> None:
        super().__init__(page)
        self._context = context
        self._page = page

    def saved(self) -> Saved:
        """What is saved, by name."""
        return self._context.program.journal.schedules.saved()

    @Slot(object)
    def save(self, schedule: Schedule) -> None:
        """Save a schedule under its name."""
        there = dict(self.saved()).get(schedule.name)

        def write() -> None:
            journal = self._context.program.journal
            try:
                future = journal.schedules.save(schedule.name, schedule)
            except SchemaProblem as problem:
                # A stage of an old cook may have a name that can't be written any more.
                self._context.tell(problem.message, self.tr("Change the name and save it again."))
            else:
                self._context.after(future, self._was_saved)

        if there is None or there == schedule:
            write()
            return
        question = self.tr("There is a saved schedule “{name}” already. Replace it?")
        self._ask(
            self.tr("Save the schedule"),
            question.format(name=schedule.name),
            self.tr("Replace it"),
            self.tr("Leave the old one"),
            write,
        )

    @Slot(str)
    def forget(self, name: str) -> None:
        """Forget the schedule saved under this name."""

        def delete() -> None:
            journal = self._context.program.journal
            self._context.after(journal.schedules.forget(name), self._was_forgotten)

        question = self.tr("Forget the saved schedule “{name}”? Cooks that used it keep theirs.")
        self._ask(
            self.tr("Forget a saved schedule"),
            question.format(name=name),
            self.tr("Forget it"),
            self.tr("Keep it"),
            delete,
        )

    def _was_saved(self, _done: object) -> None:
        self.changed.emit(self.saved())
        self._context.tell(self.tr("The schedule is saved for reuse."), kind="done")

    def _was_forgotten(self, _done: object) -> None:
        self.changed.emit(self.saved())

    def _ask(self, title: str, text: str, yes: str, no: str, then: Callable[[], None]) -> None:
        dialog = AskDialog(title, text, yes, no, parent=self._page)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.accepted.connect(then)
        dialog.open()
