"""Has a plan counted back again whenever something of it changes, away from the painting thread."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QEvent, QObject, QTimer, Signal, Slot
from PySide6.QtWidgets import QWidget

from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.timetable.timetable import Timetable
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import why_of
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
        self._watched = watched
        self._cook_id: int | None = None
        self._schedule = Schedule()
        self._asking = False
        self._stale = True
        self._asked_at_s = 0.0
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(SOON_MS)
        self._soon.timeout.connect(self._ask)
        watched.installEventFilter(self)
        context.cook_changed.connect(self._on_changed)
        context.units_changed.connect(self._on_stale)
        context.ticked.connect(self._on_tick)

    def show_cook(self, cook_id: int | None, schedule: Schedule) -> None:
        """Count this cook's plan back, by this schedule, kept or not; nobody's with None."""
        if (cook_id, schedule) == (self._cook_id, self._schedule):
            return
        self._cook_id, self._schedule = cook_id, schedule
        self._on_stale()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Catch up with what changed while it was not in sight."""
        if watched is self._watched and event.type() == QEvent.Type.Show and self._stale:
            self._soon.start(0)
        return super().eventFilter(watched, event)

    # -- inside -----------------------------------------------------------------------------

    @Slot()
    def _on_stale(self) -> None:
        self._stale = True
        if self._watched.isVisible():
            self._soon.start(SOON_MS)

    @Slot(object)
    def _on_changed(self, change: Change) -> None:
        # Readings alone are looked at with the minute.
        if change.cook_id == self._cook_id and change.entries:
            self._on_stale()

    @Slot(float)
    def _on_tick(self, now_s: float) -> None:
        if abs(now_s - self._asked_at_s) >= EVERY_S and not self._soon.isActive():
            self._stale = True
            if self._watched.isVisible():
                self._soon.start(0)

    @Slot()
    def _ask(self) -> None:
        cook_id, count = self._cook_id, self._context.make_timetable
        if self._asking or cook_id is None or not self._watched.isVisible():
            return
        self._asking, self._stale = True, False
        self._asked_at_s = self._context.now_s()
        self._context.after(
            in_background(partial(count, cook_id, self._schedule, self._context.units)),
            partial(self._on_answer, cook_id),
            self._on_failed,
            asker=self,
        )

    def _on_answer(self, cook_id: int, timetable: Timetable) -> None:
        self._asking = False
        if self._stale:
            self._on_stale()
        elif cook_id == self._cook_id:
            self.answered.emit(timetable)

    def _on_failed(self, error: BaseException) -> None:
        self._asking = False
        if self._stale:
            self._on_stale()
        else:
            self.failed.emit(why_of(error))
