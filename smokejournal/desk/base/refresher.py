"""What a widget shows, worked out in the background again whenever something of it changes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias

from PySide6.QtCore import QObject, Qt, QTimer, Signal, Slot
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QWidget

from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import cure_of, message_of, why_of

Ask: TypeAlias = Callable[[], Callable[[], Any] | None]
"""Called on the painting thread: gives the work to do in the background, or None where there is
nothing to ask now."""


class _Sight(QWidget):
    """Of no size, in the widget that is watched: it is shown with it.

    An event filter would be asked about a widget that is being taken apart, which Python can't name.
    """

    shown = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setFixedSize(0, 0)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.shown.emit()


class Refresher(QObject):
    """Asks only while the widget can be seen, one question at a time, and once more where something
    changed meanwhile. What changes out of sight is caught up with when the widget is shown.

    `show(answer)` is called with each answer, `failed(error)` with the trouble; without `failed` what
    it says becomes a notice. What arrives in bursts is waited for, `soon_ms`.
    """

    def __init__(
        self,
        widget: QWidget,
        context: DeskContext,
        ask: Ask,
        show: Callable[[Any], None],
        failed: Callable[[BaseException], None] | None = None,
        *,
        soon_ms: int = 0,
        in_sight: Callable[[], bool] | None = None,
    ) -> None:
        super().__init__(widget)
        self.stale = True
        self.asking = False
        #: When it asked last [UTC s].
        self.asked_at_s = 0.0
        self._context = context
        self._ask, self._show, self._failed = ask, show, failed
        self._in_sight = in_sight or widget.isVisible
        self._soon_ms = soon_ms
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self.refresh)
        _Sight(widget).shown.connect(self._on_shown)

    @property
    def settled(self) -> bool:
        """Whether the last answer is one to all that changed so far."""
        return not self.asking and not self.stale

    @Slot()
    def mark(self) -> None:
        """Something changed: ask soon, or when the widget is shown."""
        self.stale = True
        # Not begun again: what changes all the time would never be asked.
        if self._in_sight() and not self._soon.isActive():
            self._soon.start(self._soon_ms)

    @Slot()
    def refresh(self) -> None:
        """Ask at once if it can be seen; after the answer that is still to come if there is one."""
        self.stale = True
        if self.asking or not self._in_sight():
            return
        self.stale = False
        work = self._ask()
        if work is None:
            return
        self.asking = True
        self.asked_at_s = self._context.now_s()
        self._context.after(in_background(work), self._on_answer, self._on_failed)

    @Slot()
    def _on_shown(self) -> None:
        """Catch up with what changed while it was not in sight."""
        if self.stale:
            self._soon.start(0)

    # A bound method of a Qt object: nobody is answered once the widget is gone.

    def _on_answer(self, answer: object) -> None:
        self._end()
        self._show(answer)

    def _on_failed(self, error: BaseException) -> None:
        self._end()
        if self._failed is not None:
            self._failed(error)
        if message_of(error) is None:
            # A bug, and the one door for bugs is the exception hook.
            raise error
        if self._failed is None:
            self._context.tell(why_of(error), cure_of(error))

    def _end(self) -> None:
        self.asking = False
        if self.stale:
            self.mark()
