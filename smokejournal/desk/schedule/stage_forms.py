"""The form of the stage chosen; those of the others wait with what is typed in them."""

from __future__ import annotations

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QWidget

from smokejournal.cook.log.schedule import Stage
from smokejournal.cook.safety.cautions import cautions_for
from smokejournal.desk.base.widgets import new_column
from smokejournal.desk.parts.tall_scroll import TallScroll
from smokejournal.desk.schedule.board import ScheduleBoard
from smokejournal.desk.schedule.offers import ScheduleOffers
from smokejournal.desk.schedule.saved import Saved
from smokejournal.desk.schedule.stage_form import StageForm
from smokejournal.desk.schedule.undo_keys import UndoKeys


class StageForms(TallScroll):
    """`edited(key)` when the form of this stage changed the draft; `trouble_changed` and `probe_asked`
    as in a form. Without a stage it offers schedules: `use_asked(schedule)`.
    """

    edited = Signal(str)
    trouble_changed = Signal()
    probe_asked = Signal()
    use_asked = Signal(object)

    def __init__(self, board: ScheduleBoard, keys: UndoKeys, parent: QWidget | None = None) -> None:
        super().__init__(self.tr("Stage"), parent)
        self._board = board
        self._keys = keys
        self.forms: dict[str, StageForm] = {}
        self.setMaximumWidth(900)
        inside = QWidget(self)
        self._box = new_column(inside, margins=0)
        self._empty = ScheduleOffers(inside)
        self._empty.used.connect(self.use_asked)
        self._box.addWidget(self._empty)
        self.set_content(inside)

    def clear(self) -> None:
        """Throw away every form and what is typed in it."""
        for form in self.forms.values():
            form.hide()
            form.deleteLater()
        self.forms = {}

    def show_draft(self, origin: str = "") -> None:
        """Show the stages in every form but that of the stage `origin`, which the change comes from."""
        board = self._board
        for stage in board.draft.schedule.stages:
            if stage.key in self.forms and stage.key != origin:
                self.forms[stage.key].show_stage(stage)
        stage_now = board.stage
        if stage_now is None:
            self._empty.show_for(board.plan, board.units)
        self._empty.setVisible(stage_now is None)
        if stage_now is not None and board.key not in self.forms:
            self.forms[board.key] = self._new_form(stage_now)
        for key, form in self.forms.items():
            form.setVisible(key == board.key)
        if stage_now is not None:
            self._show_around(self.forms[board.key])

    def _new_form(self, stage: Stage) -> StageForm:
        board = self._board
        form = StageForm(stage, self, units=board.units, zone=board.plan.zone, now_s=board.now_s())
        form.edited.connect(self._on_edited)
        form.trouble_changed.connect(self.trouble_changed)
        form.probe_asked.connect(self.probe_asked)
        self._box.insertWidget(0, form)
        self._set_channels(form)
        return form

    def _show_around(self, form: StageForm) -> None:
        """What a form says of its stage beside the fields."""
        board = self._board
        if board.key in board.draft.locked:
            form.set_locked(True, self.tr("This stage is over. It stays as it was."))
        elif board.key in board.draft.pinned:
            form.set_locked(
                False, self.tr("This stage is under way. What you change here holds from now on.")
            )
        else:
            form.set_locked(False)
        form.set_warnings([w for w in board.warnings if w.stage_key == board.key])
        # The published least temperatures of what is on the plan belong beside the targets.
        items = [item for _, item in board.plan.items]
        found = cautions_for(items, "plan", board.units) if items else ()
        form.set_advice("\n".join(c.in_full for c in found if c.key == "minimum"))
        self._keys.take_over(form)

    def offer(self, saved: Saved) -> None:
        """Offer these of the person's own to begin with."""
        self._empty.set_saved(saved)

    def follow_plan(self) -> None:
        """Offer the channels of the plan as it is now."""
        for form in self.forms.values():
            self._set_channels(form)

    def _set_channels(self, form: StageForm) -> None:
        channels = self._board.plan.channels
        form.set_channels([(key, channel.name or key) for key, channel in channels.items()])

    def follow_units(self) -> None:
        """Show every quantity in the units as they are now."""
        for form in self.forms.values():
            form.set_units(self._board.units)

    def unfinished(self) -> list[Stage]:
        """Stages of which a field can't be read."""
        return [
            s
            for s in self._board.draft.schedule.stages
            if s.key in self.forms and self.forms[s.key].bad_field() is not None
        ]

    def point_out(self, key: str) -> None:
        """Go to the field of this stage that can't be read, and have it say why."""
        form = self.forms[key]
        form.check()
        bad = form.bad_field()
        if bad is not None:
            bad.setFocus()
            self.ensureWidgetVisible(bad)

    @Slot(object, str)
    def _on_edited(self, stage: Stage, field: str) -> None:
        self._board.draft.put(stage, field)
        self.edited.emit(stage.key)
