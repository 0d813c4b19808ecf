"""Has a plan counted back again whenever something of it changes, away from the painting thread."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.timetable.timetable import Timetable
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import why_of
from smokejournal.desk.base.refresher import Refresher
from smokejournal.journal import Change

#: Time passes, and what is next with it: this often [s].
EVERY_S = 60.0
#: A schedule that is being drawn changes with every letter [ms].
SOON_MS = 300


class TimetableWorker(QObject):
    """`answered(timetable)` for the cook that is shown last, only while `watched` can be seen.

    `failed(text)` where it can't be estimated. What was asked before something changed is dropped.
    """

    answered = Signal(object)
    failed = Signal(str)

    def __init__(self, context: DeskContext, watched: QWidget) -> None:
        super().__init__(watched)
        self._context = context
        self._cook_id: int | None = None
        self._schedule = Schedule()
        self._refresher = Refresher(
            watched, context, self._ask, self._on_answer, self._on_failed, soon_ms=SOON_MS
        )
        context.cook_changed.connect(self._on_changed)
        context.units_changed.connect(self._refresher.mark)
        context.ticked.connect(self._on_tick)

    def show_cook(self, cook_id: int | None, schedule: Schedule) -> None:
        """Count this cook's plan back, by this schedule, kept or not; nobody's with None."""
        if (cook_id, schedule) == (self._cook_id, self._schedule):
            return
        self._cook_id, self._schedule = cook_id, schedule
        self._refresher.mark()

    # -- inside -----------------------------------------------------------------------------

    @Slot(object)
    def _on_changed(self, change: Change) -> None:
        # Readings alone are looked at with the minute.
        if change.cook_id == self._cook_id and change.entries:
            self._refresher.mark()

    @Slot(float)
    def _on_tick(self, now_s: float) -> None:
        if abs(now_s - self._refresher.asked_at_s) >= EVERY_S:
            self._refresher.refresh()

    def _ask(self) -> Callable[[], tuple[int, Timetable]] | None:
        cook_id, count = self._cook_id, self._context.make_timetable
        if cook_id is None:
            return None
        asked = cook_id, self._schedule, self._context.units
        return lambda: (cook_id, count(*asked))

    def _on_answer(self, answer: tuple[int, Timetable]) -> None:
        cook_id, timetable = answer
        if cook_id == self._cook_id and not self._refresher.stale:
            self.answered.emit(timetable)

    def _on_failed(self, error: BaseException) -> None:
        if not self._refresher.stale:
            self.failed.emit(why_of(error))
