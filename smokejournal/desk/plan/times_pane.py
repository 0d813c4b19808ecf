"""The times on Plan: the plan counted back from the table, lived step by step.

It is counted back in the background and again whenever something of it changes.
"""

from __future__ import annotations

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QFrame, QLabel, QWidget

from smokejournal.cook.log.entries import TimesKept
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.plan.prep_progress import LivedStep, prep_progress
from smokejournal.cook.timetable.clock_words import day_words
from smokejournal.cook.timetable.timetable import Timetable
from smokejournal.cook.timetable.words import (
    late_words,
    next_words,
    order_words,
    step_words,
    times_to_keep,
    wanted_words,
)
from smokejournal.desk.base.clearing import throw_away
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row, say
from smokejournal.desk.parts.tall_scroll import TallScroll
from smokejournal.desk.plan.step_row import PREP, StepRow
from smokejournal.desk.plan.timetable_worker import TimetableWorker
from smokejournal.services.program.live import LiveCook


class TimesPane(QWidget):
    """`said` carries a payload to be written: of a step, or the times that are kept. `undo_asked`."""

    said = Signal(object)
    undo_asked = Signal()

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("timesPane")
        self.setAccessibleName(self.tr("Times"))
        self._context = context
        self._live: LiveCook | None = None
        self._timetable: Timetable | None = None
        self._rows: dict[str, StepRow] = {}
        self._worker = TimetableWorker(context, self)
        self._worker.answered.connect(self.show_timetable)
        self._worker.failed.connect(self._on_failed)
        self.next = self._label("timesNext", "sentence")
        self.facts = self._label("timesFacts", "detail")
        self.trouble = self._label("timesTrouble", "problem")
        self.clashes = self._label("timesClashes", "caution")
        self.order = self._label("timesOrder", "faint")
        self.keep = new_button(
            self,
            self.tr("Save these times"),
            self._on_keep,
            name="timesKeep",
            tip=self.tr("What changes later is then shown beside them, and you are called"),
        )
        self.undo = new_button(
            self, self.tr("Undo"), self.undo_asked, name="timesUndo", kind="quick"
        )
        head = new_column(None, spacing=4)
        for label in (self.next, self.facts, self.trouble, self.clashes):
            head.addWidget(label)
        scroll = TallScroll(self.tr("Times"), self)
        inside = QWidget(scroll)
        self._column = new_column(inside, FILL, spacing=0, margins=(0, 0, 10, 0))
        scroll.set_content(inside)
        self._foot = foot = new_row(None, (self.order, 10), FILL, self.undo, self.keep, spacing=8)
        new_column(self, head, (scroll, 1), foot, spacing=8, margins=0)
        self._say_nothing()

    def add_action(self, button: QWidget) -> None:
        """Put a button at the foot, before the ones that write."""
        self._foot.insertWidget(1, button)

    @property
    def timetable(self) -> Timetable | None:
        """What is shown, or None while nothing is."""
        return self._timetable

    def show_cook(self, live: LiveCook | None, schedule: Schedule) -> None:
        """Count this cook's plan back by this schedule, kept or not."""
        if live is not self._live:
            self._live = live
            self._timetable = None
            self._say_nothing()
        self._worker.show_cook(None if live is None else live.cook_id, schedule)

    @Slot(object)
    def show_timetable(self, timetable: Timetable) -> None:
        """Show it, if a cook is shown."""
        live = self._live
        if live is None:
            return
        self._timetable = timetable
        units = self._context.units
        log = live.log()
        lived: dict[str, LivedStep] = {
            f"{PREP}{step.key}": step for step in prep_progress(log.holding())
        }
        kept = [what for _, what in log.of(TimesKept)]
        writable = not self._context.program.journal.read_only and not plan_of(log).closed
        say(
            self.next,
            next_words(timetable, units)
            if timetable.wanted_s is not None
            else self.tr(
                "When is it wanted? Say it at “Wanted at”, and the times are counted back."
            ),
        )
        facts = (wanted_words(timetable, units), late_words(timetable.lateness))
        say(self.facts, " ".join(part for part in facts if part))
        say(self.trouble, "\n".join(timetable.unknown))
        say(
            self.clashes,
            "\n".join(f"{clash.text} {clash.cure}".strip() for clash in timetable.clashes),
        )
        say(self.order, order_words(timetable, units))
        self._take_rows([step.key for step in timetable.steps])
        last_day = ""
        for step in timetable.steps:
            words = step_words(
                step, timetable, units, lived.get(step.key), kept[-1] if kept else None
            )
            day = ""
            if step.start is not None:
                day = day_words(step.start.planned_s, timetable.zone, self._context.units)
            shown = day if day != last_day else ""
            last_day = day or last_day
            self._rows[step.key].show_step(step, words, day=shown, writable=writable)
        self.keep.setEnabled(writable and times_to_keep(timetable) is not None)
        said = any(step.state != "to_come" for step in lived.values())
        self.undo.setVisible(writable and (said or bool(kept)))

    def _take_rows(self, keys: list[str]) -> None:
        if keys == list(self._rows):
            return
        before = self._rows
        self._rows = {}
        for n, key in enumerate(keys):
            row = before.pop(key, None)
            if row is None:
                row = StepRow(key, self)
                row.said.connect(self.said)
            self._rows[key] = row
            self._column.insertWidget(n, row)
            row.show()
        throw_away(self._column, before.values())

    def _say_nothing(self) -> None:
        self._take_rows([])
        say(self.next, self.tr("Counting back …") if self._live is not None else "")
        for label in (self.facts, self.trouble, self.clashes, self.order):
            say(label, "")
        self.keep.setEnabled(False)
        self.undo.hide()

    @Slot(str)
    def _on_failed(self, text: str) -> None:
        say(self.trouble, self.tr("The times could not be counted back: {why}").format(why=text))

    @Slot()
    def _on_keep(self) -> None:
        kept = None if self._timetable is None else times_to_keep(self._timetable)
        if kept is not None:
            self.said.emit(kept)

    def _label(self, name: str, kind: str) -> QLabel:
        label = new_label(self, name=name, kind=kind, wraps=True)
        label.setFrameShape(QFrame.Shape.NoFrame)
        return label
