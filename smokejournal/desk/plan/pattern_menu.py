"""Patterns on Plan: keep this plan as one, begin from one, bring one in, write one to a file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QDir, Qt, Signal, Slot
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QFileDialog, QMenu, QPushButton, QWidget

from smokejournal.cook.codec.patterns import PatternProblem
from smokejournal.cook.plan.pattern import Pattern, pattern_of, schedule_pattern
from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.desk.parts.file_names import file_name
from smokejournal.desk.parts.zone_box import machine_zone
from smokejournal.services.program import settings
from smokejournal.services.stores.patterns import (
    SUFFIX,
    Patterns,
    pattern_from_file,
    pattern_to_file,
)


class PatternButton(QPushButton):
    """`begun(cook_id)` once a cook is begun from a pattern, `schedule_read(schedule)` for a file that
    holds nothing but a schedule. What is not kept yet is not in a pattern either."""

    begun = Signal(object)
    schedule_read = Signal(object)

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("patterns")
        self.setText(self.tr("Patterns"))
        self.setToolTip(self.tr("Plans to begin others from: saved here, or in files"))
        self._context = context
        self._patterns = Patterns(context.program)
        self._plan: Plan | None = None
        self._to_write: Pattern | None = None
        self.file_dialog: QFileDialog | None = None
        self.menu_of = QMenu(self)
        self.menu_of.setObjectName("patternsMenu")
        self.menu_of.aboutToShow.connect(self._fill)
        self.setMenu(self.menu_of)
        self._fill()

    def show_plan(self, plan: Plan | None) -> None:
        """Offer to keep this plan; None: there is none."""
        self._plan = plan

    # -- the menu ---------------------------------------------------------------------------

    @Slot()
    def _fill(self) -> None:
        menu = self.menu_of
        menu.clear()
        names = self._patterns.names()
        plan = self._plan
        some = plan is not None and bool(plan.items or plan.prep or plan.schedule.stages)
        may_write = not self._context.program.journal.read_only
        self._action(
            menu, self.tr("Save this plan as a pattern"), self._on_keep, some and may_write
        )
        self._action(menu, self.tr("Write this plan to a file…"), self._on_write, some)
        self._action(
            menu,
            self.tr("Write only its schedule to a file…"),
            self._on_write_schedule,
            plan is not None and bool(plan.schedule.stages),
        )
        menu.addSeparator()
        self._submenu(menu, self.tr("Begin a plan from"), names, self._on_begin, may_write)
        self._action(menu, self.tr("Begin from a file…"), self._on_read, may_write)
        menu.addSeparator()
        self._submenu(menu, self.tr("Forget a pattern"), names, self._on_forget, may_write)

    def _submenu(
        self,
        menu: QMenu,
        text: str,
        names: tuple[str, ...],
        slot: Callable[[], None],
        enabled: bool,
    ) -> None:
        inner = menu.addMenu(text)
        inner.setEnabled(enabled and bool(names))
        for name in names:
            # Two of them make one: a single one would underline what follows it.
            self._action(inner, name.replace("&", "&&"), slot).setData(name)

    @staticmethod
    def _action(menu: QMenu, text: str, slot: Callable[[], None], enabled: bool = True) -> QAction:
        action = menu.addAction(text)
        action.setEnabled(enabled)
        action.triggered.connect(slot)
        return action

    def _name(self) -> str:
        action = self.sender()
        return str(action.data()) if isinstance(action, QAction) else ""

    # -- keeping and forgetting -------------------------------------------------------------

    @Slot()
    def _on_keep(self) -> None:
        if self._plan is None:
            return
        pattern = pattern_of(self._plan)

        def keep() -> None:
            try:
                future = self._patterns.keep(pattern)
            except SchemaProblem as problem:
                self._context.tell(problem.message, self.tr("Change it on Plan and save it again."))
                return
            self._context.after(future, self._was_kept, asker=self)

        if pattern.name in self._patterns.names():
            self._ask(
                self.tr("Save this plan as a pattern"),
                self.tr("There is a pattern “{name}” already. Replace it?").format(
                    name=pattern.name
                ),
                self.tr("Replace it"),
                self.tr("Leave the old one"),
                keep,
            )
        else:
            keep()

    def _was_kept(self, _done: object) -> None:
        self._context.tell(
            self.tr("Saved as a pattern. Begin from it under “Patterns”."), kind="done"
        )

    @Slot()
    def _on_forget(self) -> None:
        name = self._name()

        def forget() -> None:
            self._context.after(self._patterns.forget(name), asker=self)

        self._ask(
            self.tr("Forget a pattern"),
            self.tr("Forget the pattern “{name}”? Cooks that were begun from it stay.").format(
                name=name
            ),
            self.tr("Forget it"),
            self.tr("Keep it"),
            forget,
        )

    def _ask(self, title: str, text: str, yes: str, no: str, then: Callable[[], None]) -> None:
        dialog = AskDialog(title, text, yes, no, parent=self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.accepted.connect(then)
        dialog.open()

    # -- beginning --------------------------------------------------------------------------

    @Slot()
    def _on_begin(self) -> None:
        name = self._name()
        try:
            pattern = self._patterns.get(name)
        except PatternProblem as problem:
            self._context.tell(
                self.tr("The pattern “{name}” can't be read. {why}").format(
                    name=name, why=problem.message
                ),
                self.tr("Nothing was begun. Save the plan as a pattern again."),
            )
            return
        if pattern is not None:
            self._begin(pattern)

    def _begin(self, pattern: Pattern) -> None:
        kept = settings.load(self._context.program.journal).settings
        zone, place, hopper_kg = kept.zone or machine_zone(), kept.place, kept.hopper_kg
        patterns = self._patterns
        self._context.after(
            in_background(lambda: patterns.begin(pattern, zone, place, hopper_kg)),
            self._was_begun,
            asker=self,
        )

    def _was_begun(self, cook_id: int) -> None:
        self.begun.emit(cook_id)

    # -- files ------------------------------------------------------------------------------

    @Slot()
    def _on_write(self) -> None:
        if self._plan is not None:
            self._write(pattern_of(self._plan))

    @Slot()
    def _on_write_schedule(self) -> None:
        if self._plan is not None:
            schedule = self._plan.schedule
            self._write(schedule_pattern(schedule, schedule.name or self._plan.title))

    def _write(self, pattern: Pattern) -> None:
        self._to_write = pattern
        dialog = self._dialog(self.tr("Write a pattern to a file"))
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setDefaultSuffix(SUFFIX.lstrip("."))
        dialog.selectFile(str(Path(QDir.homePath()) / f"{file_name(pattern.name)}{SUFFIX}"))
        dialog.fileSelected.connect(self._on_file_to_write)
        dialog.open()

    @Slot()
    def _on_read(self) -> None:
        dialog = self._dialog(self.tr("Begin from a pattern"))
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.fileSelected.connect(self._on_file_to_read)
        dialog.open()

    def _dialog(self, title: str) -> QFileDialog:
        dialog = QFileDialog(self, title)
        dialog.setObjectName("patternFile")
        dialog.setNameFilters([self.tr("Patterns (*.json)"), self.tr("All files (*)")])
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.file_dialog = dialog
        return dialog

    @Slot(str)
    def _on_file_to_write(self, chosen: str) -> None:
        pattern, path = self._to_write, Path(chosen)
        if pattern is not None:
            self._context.after(
                in_background(lambda: pattern_to_file(pattern, path)),
                self._was_written,
                self._was_not_written,
                asker=self,
            )

    def _was_written(self, path: Path) -> None:
        self._context.tell(self.tr("Written to {path}.").format(path=path), kind="done")

    def _was_not_written(self, error: BaseException) -> None:
        if not isinstance(error, OSError | SchemaProblem):
            raise error
        why = error.message if isinstance(error, SchemaProblem) else error.strerror or str(error)
        self._context.tell(
            self.tr("The pattern was not written: {why}").format(why=why),
            self.tr("Choose another folder, or make room on the disk, and write it again."),
        )

    @Slot(str)
    def _on_file_to_read(self, chosen: str) -> None:
        path = Path(chosen)
        self._context.after(
            in_background(lambda: pattern_from_file(path)),
            self._was_read,
            self._was_not_read,
            asker=self,
        )

    def _was_read(self, pattern: Pattern) -> None:
        if pattern.only_schedule:
            # Saved schedules go by the schedule's own name.
            self.schedule_read.emit(
                pattern.schedule
                if pattern.schedule.name
                else type(pattern.schedule)(pattern.name, pattern.schedule.stages)
            )
        else:
            self._begin(pattern)

    def _was_not_read(self, error: BaseException) -> None:
        if isinstance(error, PatternProblem):
            why = error.message
        elif isinstance(error, OSError):
            why = error.strerror or str(error)
        else:
            raise error
        self._context.tell(
            self.tr("Nothing was begun: the file can't be used. {why}").format(why=why),
            self.tr("Fix the file at that line, or choose another one."),
        )
