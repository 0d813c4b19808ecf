"""Learns from finished cooks in the background, one after the other."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QObject, Qt, Signal, Slot

from smokejournal.cook.log.entries import CookClosed, PieceFound
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import cure_of, message_of


class ForecastLearner(QObject):
    """`moved_on` when a cook was read, or reading began or ended; `read` of `wanted` are read."""

    moved_on = Signal()

    def __init__(self, context: DeskContext, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._context = context
        self._waiting: list[int] = []
        self._reading: int | None = None
        self.read = 0
        self.wanted = 0

    def listen(self) -> None:
        """Read each cook when it is closed from now on, and those that were only just closed."""
        if self._context.program.journal.read_only:
            return
        self._context.cook_changed.connect(
            self._on_cook_changed, Qt.ConnectionType.UniqueConnection
        )
        context = self._context
        context.after(
            in_background(lambda: context.forecasts.learned.just_closed()),
            self.learn_from,
            self._on_failed,
            asker=self,
        )

    @property
    def busy(self) -> bool:
        """Whether a cook is being read."""
        return self._reading is not None

    def learn_from(self, cook_ids: Iterable[int]) -> None:
        """Read these cooks, after those that wait already."""
        known = {self._reading, *self._waiting}
        fresh = [cook_id for cook_id in cook_ids if cook_id not in known]
        self._waiting += fresh
        self.wanted += len(fresh)
        self._next()

    @Slot()
    def stop(self) -> None:
        """Read no more after the one that is being read."""
        self._waiting = []
        self.wanted = self.read + (1 if self.busy else 0)
        self.moved_on.emit()

    @Slot(object)
    def _on_cook_changed(self, change: object) -> None:
        entries = getattr(change, "entries", ())
        cook_id = getattr(change, "cook_id", None)
        closed = any(isinstance(entry.what, CookClosed) for entry in entries)
        if closed and cook_id is not None:
            self.learn_from([cook_id])

    def _next(self) -> None:
        if self.busy:
            return
        if not self._waiting:
            self.read = self.wanted = 0
            self.moved_on.emit()
            return
        cook_id = self._reading = self._waiting.pop(0)
        context = self._context
        context.after(
            in_background(lambda: context.forecasts.learned.read(cook_id)),
            self._on_read,
            self._on_failed,
            asker=self,
        )
        self.moved_on.emit()

    def _on_read(self, found: PieceFound | None) -> None:
        if found is not None:
            self._context.forecasts.finish.forget()
        self._reading = None
        self.read += 1
        self._next()

    def _on_failed(self, error: BaseException) -> None:
        self._reading = None
        self._waiting = []
        self._next()
        message = message_of(error)
        if message is None:
            # A bug, and the one door for bugs is the exception hook.
            raise error
        self._context.tell(
            self.tr("The forecast could not learn from a cook: {why}").format(why=message),
            cure_of(error),
        )
