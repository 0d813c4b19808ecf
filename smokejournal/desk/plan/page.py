"""Plan: what is cooked, when it is wanted, with which probes, by which schedule.

Food, steps and probes go to the log piece by piece; title, time and schedule when the plan is kept.
What is typed stays until it is kept, another cook is chosen, or it is taken back.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLayout, QVBoxLayout, QWidget

from smokejournal.cook.log.entries import CookRenamed, Payload, ScheduleSet, ScheduleStarted
from smokejournal.cook.plan.plan import Plan, plan_of, stage_keys
from smokejournal.cook.plan.schedule_changes import change_lines
from smokejournal.cook.progress.standing import over_and_running
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.desk.base.clearing import throw_away
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import why_of
from smokejournal.desk.base.theme import set_kind
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row
from smokejournal.desk.fuel.line import FuelLine
from smokejournal.desk.outgoing.take_along import TakeAlongButton
from smokejournal.desk.parts.empty_state import EmptyState
from smokejournal.desk.parts.new_cook_dialog import NewCookDialog
from smokejournal.desk.plan.food_pane import DishPane
from smokejournal.desk.plan.head import FOOD, LAST_TIME, SCHEDULE, TIMES, PlanHead
from smokejournal.desk.plan.last_time_pane import LastTimePane
from smokejournal.desk.plan.pattern_menu import PatternButton
from smokejournal.desk.plan.questions import ask_schedule, start_question
from smokejournal.desk.plan.times_pane import TimesPane
from smokejournal.desk.plan.writer import PlanPieces
from smokejournal.desk.schedule.editor import ScheduleEditor
from smokejournal.desk.schedule.saved import Saved, SavedSchedules
from smokejournal.journal import Change, JournalProblem
from smokejournal.services.program import settings
from smokejournal.services.program.live import LiveCook

#: From this width on, food and schedule stand side by side.
WIDE_PX = 1144


class PlanPage(QWidget):
    """`start_asked(cook_id)` once the schedule is started; `plan_asked(cook_id)` for a new plan."""

    start_asked = Signal(object)
    plan_asked = Signal(object)

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("planPage")
        self.title = self.tr("Plan")
        self._context = context
        self._cook_id: int | None = None
        self._plan = Plan()
        self._saved = SavedSchedules(context, self)
        self._saved.changed.connect(self._on_saved)
        self._pieces = PlanPieces(context, self)
        self._aside: dict[int, tuple[DishPane, ScheduleEditor]] = {}
        self._build()
        context.cook_chosen.connect(self._on_chosen)
        context.cook_changed.connect(self._on_changed)
        context.units_changed.connect(self._on_units)
        context.ground_changed.connect(self._on_ground)
        context.ticked.connect(self._on_ticked)
        self.refresh()

    # -- for the window ---------------------------------------------------------------------

    def refresh(self) -> None:
        """Show the chosen cook as the log has it now. What is typed and not kept stays."""
        if self._context.chosen != self._cook_id or self._cook_id is None:
            self._on_chosen(self._context.chosen)
        else:
            self._follow()

    def ask_for_food(self) -> None:
        """Where nothing is planned yet, begin with what is cooked."""
        if self._cook_id is not None and self._plan.is_bare and self.dish.open_editor() is None:
            self.dish.items.open_form(None)

    @property
    def dirty(self) -> bool:
        """True while something is typed that is not in the log."""
        return self._cook_id is not None and (
            self.editor.draft.changed
            or bool(self.editor.forms.unfinished())
            or self.dish.heading_changed(self._plan)
            or self.dish.open_editor() is not None
        )

    # -- building ---------------------------------------------------------------------------

    def _build(self) -> None:
        self.nothing = EmptyState("planEmpty", self)
        self.nothing.say(
            self.tr("No plan is open"),
            self.tr("Begin a new one, or choose a cook in Journal."),
            self.tr("Begin a new plan"),
        )
        self.nothing.asked.connect(self._on_new)
        self.begin_from = self._new_patterns(self.nothing)
        self.begin_from.setObjectName("patternsEmpty")
        self.nothing.offer_beside(self.begin_from)
        self.body = QWidget(self)
        self.head = PlanHead(self.body)
        self.head.turned.connect(self._show_panes)
        self.head.again_asked.connect(self._on_again)
        self.patterns = self._new_patterns(self.head)
        self.head.add_action(self.patterns)
        self._panes = new_row(None, spacing=16)
        new_column(
            self.body,
            self.head,
            (self._panes, 1),
            self._build_foot(),
            spacing=10,
            margins=(16, 12, 16, 10),
        )
        whole = QVBoxLayout(self)
        # It may become narrower than both halves: from then on it shows one at a time.
        whole.setSizeConstraint(QLayout.SizeConstraint.SetNoConstraint)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(self.nothing)
        whole.addWidget(self.body)
        self.dish, self.editor = self._new_panes()
        self.times = TimesPane(self._context, self.body)
        self.times.said.connect(self._pieces.on_said)
        self.times.undo_asked.connect(self._pieces.on_undo)
        self.take_along = TakeAlongButton(
            self._context,
            lambda: self.times.timetable,
            lambda: self.editor.draft.schedule,
            self.times,
        )
        self.times.add_action(self.take_along)
        self._panes.addWidget(self.times, 4)
        self.last_time = LastTimePane(self._context, self.body)
        self.last_time.said.connect(self._pieces.on_taken_over)
        self.last_time.undo_asked.connect(self._pieces.on_undo)
        self._panes.addWidget(self.last_time, 4)

    def _build_foot(self) -> QHBoxLayout:
        self.status = new_label(self.body, name="planStatus", wraps=True)
        self.keep = new_button(self.body, self.tr("Save the plan"), name="keepPlan")
        self.keep.setShortcut("Ctrl+S")
        self.keep.setToolTip(self.tr("Ctrl+S"))
        self.keep.clicked.connect(self._on_keep)
        self.start = new_button(
            self.body, self.tr("Start the cook"), self._on_start, name="startCook", kind="ember"
        )
        row = new_row(None, (self.status, 1), spacing=10)
        self.fuel = FuelLine("plan", self._context, self.body)
        row.addWidget(self.fuel, 4)
        row.addWidget(self.keep)
        row.addWidget(self.start)
        return row

    def _new_patterns(self, parent: QWidget) -> PatternButton:
        patterns = PatternButton(self._context, parent)
        patterns.begun.connect(self._context.choose)
        patterns.schedule_read.connect(self._saved.save)
        return patterns

    def _new_panes(self) -> tuple[DishPane, ScheduleEditor]:
        dish = DishPane(self.body, self._context.units)
        editor = ScheduleEditor(self._context.now_s, self.body)
        self._pieces.listen(dish)
        dish.changed.connect(self._show_status)
        editor.changed.connect(self._show_status)
        editor.save_asked.connect(self._saved.save)
        editor.probe_asked.connect(self._on_probe)
        editor.head.menu.forget_asked.connect(self._saved.forget)
        self._place(dish, editor)
        return dish, editor

    def _place(self, dish: DishPane, editor: ScheduleEditor) -> None:
        self._panes.addWidget(dish, 2)
        self._panes.addWidget(editor, 4)
        dish.set_units(self._context.units)
        editor.set_units(self._context.units)
        editor.set_ground(self._context.ground)

    def _put_aside(self) -> None:
        """Another cook is chosen: keep what is typed for this one until it is chosen again."""
        if self._cook_id is not None and self.dirty:
            self._aside[self._cook_id] = (self.dish, self.editor)
            for pane in (self.dish, self.editor):
                self._panes.removeWidget(pane)
                pane.hide()
            self.dish, self.editor = self._new_panes()

    def _take_up(self, cook_id: int) -> bool:
        """Show what was typed for this cook and not kept; False where there is nothing."""
        found = self._aside.pop(cook_id, None)
        if found is None:
            return False
        throw_away(self._panes, (self.dish, self.editor))
        self.dish, self.editor = found
        self._place(self.dish, self.editor)
        return True

    # -- showing ----------------------------------------------------------------------------

    @Slot(object)
    def _on_chosen(self, cook_id: int | None) -> None:
        self.nothing.setVisible(cook_id is None)
        self.body.setVisible(cook_id is not None)
        if cook_id == self._cook_id:
            return
        self._put_aside()
        self._cook_id = cook_id
        if cook_id is None:
            return
        live = self._live()
        self._plan = plan_of(live.log())
        self.dish.probes.offer_lead_back(None)
        if not self._take_up(cook_id):
            self.dish.open_plan(self._plan, self._context.now_s())
            self._load_schedule(live)
        self.dish.currency = settings.load(self._context.program.journal).settings.currency
        self._on_saved(self._saved.saved())
        self._show_progress()
        self._show_plan()
        self._show_panes()

    def _live(self) -> LiveCook:
        assert self._cook_id is not None
        return self._context.live(self._cook_id)

    def _load_schedule(self, live: LiveCook) -> None:
        locked, running = over_and_running(live.standing())
        self.editor.load(
            self._plan.schedule, locked=locked, running=running, taken=stage_keys(live.log())
        )

    @Slot(object)
    def _on_saved(self, saved: Saved) -> None:
        self.editor.offer(saved)

    def _show_plan(self) -> None:
        plan = self._plan
        self._pieces.show_plan(self._live(), plan)
        self.patterns.show_plan(plan)
        self.head.show_plan(plan)
        self.dish.show_plan(plan)
        self.editor.set_plan(plan)
        self.dish.setEnabled(not plan.closed)
        self.editor.setEnabled(not plan.closed)
        self.times.show_cook(self._live(), self.editor.draft.schedule)
        self.keep.setVisible(not plan.closed)
        self.start.setVisible(not plan.closed and not plan.started)
        self._show_status()

    @Slot()
    def _show_status(self) -> None:
        self._say("")
        if self._cook_id is not None:
            self.times.show_cook(self._live(), self.editor.draft.schedule)
            self._show_last_time()
        self.fuel.show_cook(
            None if self._plan.closed else self._cook_id,
            self.editor.draft.schedule,
            simulated=self._plan.simulated,
        )
        if self._plan.closed:
            return
        if self.editor.forms.unfinished():
            self._say(self.tr("Something in the schedule can't be read yet."))
        elif self.dirty:
            self._say(self.tr("Not saved yet."))
        elif self._plan.schedule.stages:
            self._say(self.tr("Saved in the journal."))

    def _show_last_time(self) -> None:
        again = self.last_time.show_cook(self._live(), typed=self.editor.draft.changed)
        self.head.set_again(again and not self._plan.closed)

    def _say(self, text: str, problem: bool = False) -> None:
        self.status.setText(text)
        set_kind(self.status, "problem" if problem else "faint")

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._show_panes()

    @Slot()
    def _show_panes(self) -> None:
        # Both as narrow as their words allow, with the space between them and around.
        least = self.dish.minimumSizeHint().width() + self.editor.minimumSizeHint().width() + 48
        wide = self.width() >= max(WIDE_PX, least)
        self.head.set_wide(wide)
        self.dish.setVisible(wide or self.head.part == FOOD)
        self.editor.setVisible(self.head.part == SCHEDULE)
        self.times.setVisible(self.head.part == TIMES)
        self.last_time.setVisible(self.head.part == LAST_TIME)
        self.dish.setMaximumWidth(640 if wide else 860)

    # -- what the world does ------------------------------------------------------------------

    @Slot(object)
    def _on_changed(self, change: Change) -> None:
        if change.cook_id == self._cook_id and self._cook_id is not None and change.entries:
            self._follow()

    def _follow(self) -> None:
        """Take in what the log says now, around what is typed."""
        live = self._live()
        before = self._plan
        untouched = not self.editor.draft.changed and not self.editor.forms.unfinished()
        self._plan = plan_of(live.log())
        if self._plan.schedule == self.editor.draft.schedule:
            self.editor.draft.keep()
        elif untouched and self._plan.schedule != before.schedule:
            self._load_schedule(live)
        self.dish.follow(before, self._plan)
        self._show_progress()
        self._show_plan()

    @Slot(float)
    def _on_ticked(self, _now_s: float) -> None:
        if self._cook_id is not None and self._plan.started and self.isVisible():
            self._show_progress()

    def _show_progress(self) -> None:
        locked, running = over_and_running(self._live().standing())
        self.editor.set_progress(locked, running)

    @Slot()
    def _on_units(self) -> None:
        self.dish.set_units(self._context.units)
        self.editor.set_units(self._context.units)
        self.dish.show_plan(self._plan)

    @Slot(str)
    def _on_ground(self, name: str) -> None:
        self.editor.set_ground(name)

    # -- what the person does: the whole plan -------------------------------------------------

    def _ready(self) -> bool:
        """True where everything typed can go to the log; else shows what can't and says so."""
        if not self.dish.check():
            self.head.turn_to(FOOD)
            self._say(self.tr("Look at the message above first."), problem=True)
            return False
        if not self.editor.check():
            self.head.turn_to(SCHEDULE)
            self.editor.check()
            self._say(self.tr("Look at the message in the schedule first."), problem=True)
            return False
        self.dish.items.close_untouched()
        unkept = self.dish.open_editor()
        if unkept is not None:
            self.head.turn_to(FOOD)
            unkept.keep.setFocus()
            self._say(
                self.tr("Save or cancel what you are filling in under “{part}” first.").format(
                    part=unkept.heading.text()
                ),
                problem=True,
            )
            return False
        return True

    def _to_keep(self) -> list[Payload]:
        payloads: list[Payload] = []
        if self.dish.heading_changed(self._plan):
            payloads.append(
                CookRenamed(
                    self.dish.cook_title.text(),
                    self.dish.ready_at.value(),
                    self.dish.place.text(),
                    self.dish.margin.value() or 0.0,
                )
            )
        if self.editor.draft.schedule != self._plan.schedule:
            payloads.append(ScheduleSet(self.editor.draft.schedule))
        return payloads

    @Slot()
    def _on_keep(self) -> None:
        if not self._ready():
            return
        payloads = self._to_keep()
        if not payloads:
            self._show_status()
            return
        plan = self._plan
        lines = change_lines(
            plan.schedule,
            self.editor.draft.schedule,
            self._context.units,
            plan.channels,
            plan.zone,
        )
        if plan.started and not plan.closed and lines:
            ask_schedule(lines, self, partial(self._record_plan, payloads))
        else:
            self._record_plan(payloads)

    def _record_plan(self, payloads: Sequence[Payload]) -> None:
        try:
            future = self._pieces.write(payloads)
        except (SchemaProblem, JournalProblem) as problem:
            self._say(problem.message, problem=True)
            return
        self._context.after(future)

    @Slot()
    def _on_start(self) -> None:
        if not self._ready():
            return
        if not self.editor.draft.schedule.stages:
            self.head.turn_to(SCHEDULE)
            self._say(self.tr("Add at least one stage before you start."), problem=True)
            self.editor.column.add_button.setFocus()
            return
        question = start_question(self._context, self._cook_id, self.editor, self)
        if question is None:
            self._begin()
        else:
            question.accepted.connect(self._begin)
            question.open()

    @Slot()
    def _begin(self) -> None:
        cook_id = self._cook_id
        try:
            future = self._pieces.write([*self._to_keep(), ScheduleStarted()])
        except (SchemaProblem, JournalProblem) as problem:
            self._say(problem.message, problem=True)
            return
        self.start.setEnabled(False)

        def started(_entries: object) -> None:
            self.start.setEnabled(True)
            self.start_asked.emit(cook_id)

        def failed(error: BaseException) -> None:
            self.start.setEnabled(True)
            self._say(why_of(error), problem=True)

        self._context.after(future, started, failed, asker=self)

    @Slot()
    def _on_probe(self) -> None:
        """A stage needs a probe that isn't there: where probes are added."""
        self.head.turn_to(FOOD)
        self._show_panes()
        probes = self.dish.probes
        if self._plan.channels:
            if not probes.is_open:
                probes.open_form(None)
        else:
            self.dish.ensureWidgetVisible(probes.pair)
            probes.pair.setFocus()

    @Slot()
    def _on_new(self) -> None:
        dialog = NewCookDialog(self._context, self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.made.connect(self._context.choose)
        dialog.made.connect(self.ask_for_food)
        dialog.open()

    @Slot()
    def _on_again(self) -> None:
        if self._cook_id is not None:
            self._context.choose(self._context.program.plan_again(self._cook_id))
