"""The schedule on the drawing board: what stands where, and who hears of a change."""

from __future__ import annotations

from collections.abc import Callable, Collection

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QApplication, QWidget

from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.plan.schedule_draft import ScheduleDraft
from smokejournal.cook.plan.schedule_sketch import sketch
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.widgets import new_column, new_row
from smokejournal.desk.schedule.board import ScheduleBoard
from smokejournal.desk.schedule.head import ScheduleHead
from smokejournal.desk.schedule.preview import SchedulePreview
from smokejournal.desk.schedule.saved import Saved
from smokejournal.desk.schedule.stage_column import StageColumn
from smokejournal.desk.schedule.stage_forms import StageForms
from smokejournal.desk.schedule.undo_keys import UndoKeys


class ScheduleEditor(QWidget):
    """`changed` comes with every change of the draft, and when a field becomes readable or not."""

    changed = Signal()
    save_asked = Signal(object)
    probe_asked = Signal()

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("scheduleEditor")
        self.board = ScheduleBoard(now_s)
        self.preview = SchedulePreview(self)
        self.preview.stage_asked.connect(self._choose)
        self.head = ScheduleHead(self.board, self)
        self.head.changed.connect(self._on_changed)
        self.head.save_asked.connect(self._on_save)
        self.column = StageColumn(self.board, self)
        self.column.changed.connect(self._on_changed)
        self.column.added.connect(self._on_added)
        self.list = self.column.list
        self.list.chosen.connect(self._choose)
        self.list.disordered.connect(self._show_around, Qt.ConnectionType.QueuedConnection)
        keys = UndoKeys(self, self.head.undo, self.head.redo)
        self.forms = StageForms(self.board, keys, self)
        self.forms.edited.connect(self._on_edited)
        self.forms.trouble_changed.connect(self._on_trouble)
        self.forms.use_asked.connect(self.head.use)
        self.forms.probe_asked.connect(self.probe_asked)
        row = new_row(None, (self.column, 2), (self.forms, 3), spacing=12)
        new_column(self, self.head, self.preview, (row, 1), spacing=8, margins=0)
        self._show_draft()
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.focusChanged.connect(self._on_focus)

    # -- for the page -----------------------------------------------------------------------

    @property
    def draft(self) -> ScheduleDraft:
        """The schedule being edited."""
        return self.board.draft

    def load(
        self,
        schedule: Schedule,
        *,
        locked: Collection[str] = (),
        running: str = "",
        taken: Collection[str] = (),
    ) -> None:
        """Put another schedule on the board; what was on it is gone."""
        self.board.draft = ScheduleDraft(schedule, locked, {running} - {""}, taken)
        self.board.choose_first()
        self.forms.clear()
        self._show_draft()

    def set_progress(self, locked: Collection[str], running: str) -> None:
        """Stages that are over, and the one under way."""
        over, pinned = frozenset(locked), frozenset({running} - {""})
        if (over, pinned) != (self.draft.locked, self.draft.pinned):
            self.draft.lock(over, pinned)
            self._show_draft()

    def offer(self, saved: Saved) -> None:
        """Offer these schedules of the person's own."""
        self.head.menu.set_saved(saved)
        self.forms.offer(saved)

    def set_plan(self, plan: Plan) -> None:
        """What the schedule is checked against: probes, food, place."""
        self.board.plan = plan
        self.forms.follow_plan()
        self._show_draft()

    def set_units(self, units: Units) -> None:
        """Show every quantity in these units."""
        self.board.units = units
        self.forms.follow_units()
        self.head.menu.set_units(units)
        self._show_draft()

    def set_ground(self, name: str) -> None:
        """Draw on this ground."""
        self.preview.set_ground(name)
        self.list.set_ground(name)

    def check(self) -> bool:
        """True where everything typed is in the draft; else shows the first field that is not."""
        unfinished = self.forms.unfinished()
        if unfinished:
            self._choose(unfinished[0].key)
            self.forms.point_out(unfinished[0].key)
            return False
        if not self.head.name.check():
            self.head.name.setFocus()
            return False
        return True

    # -- showing ----------------------------------------------------------------------------

    def _show_draft(self, origin: str = "") -> None:
        """Show the draft everywhere but in the form of the stage `origin`."""
        self.board.weigh()
        self.head.show_draft()
        self.forms.show_draft(origin)
        self._show_around()

    @Slot()
    def _show_around(self) -> None:
        """Show what depends on the forms too: what can't be read there is marked in the list."""
        self.column.show_draft({stage.key for stage in self.forms.unfinished()})
        plan, units = self.board.plan, self.board.units
        self.preview.show_plan(
            sketch(self.draft.schedule, plan.channels, units, plan.zone),
            units,
            chosen=self.board.key,
            warned={w.stage_key for w in self.board.warnings if w.stage_key},
            past=self.draft.locked,
        )

    # -- what the parts tell ----------------------------------------------------------------

    @Slot()
    def _on_changed(self) -> None:
        self._on_edited("")

    @Slot(str)
    def _on_edited(self, origin: str) -> None:
        self._show_draft(origin)
        self.changed.emit()

    @Slot()
    def _on_trouble(self) -> None:
        self._show_around()
        self.changed.emit()

    @Slot()
    def _on_added(self) -> None:
        name = self.forms.forms[self.board.key].name.edit
        name.setFocus()
        name.selectAll()

    @Slot()
    def _on_focus(self) -> None:
        # Typing in another field is another step to take back.
        self.draft.end_merge()

    @Slot(str)
    def _choose(self, key: str) -> None:
        if key and key != self.board.key:
            self.draft.end_merge()
            self.board.key = key
            self._show_draft(key)
            self.forms.verticalScrollBar().setValue(0)

    @Slot()
    def _on_save(self) -> None:
        if self.check() and self.head.check():
            self.save_asked.emit(self.draft.schedule)
