"""The question what made a cook last: asked of one cook at a time, answered in a few words."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QObject, Signal, Slot

from smokejournal.cook.learning.lasted import WhyNotLasted
from smokejournal.cook.learning.lasted_words import part_lines, whole_words, why_not_words
from smokejournal.cook.log.entries import TimeExplained
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import message_of
from smokejournal.services.program.live import LiveCook


class Explaining(QObject):
    """`said(words, kind)` is the answer; `turned` when it begins and ends to be `busy`; `failed(error)`
    where the answer can't be written."""

    said = Signal(str, str)
    turned = Signal()
    failed = Signal(object)

    def __init__(self, context: DeskContext, parent: QObject) -> None:
        super().__init__(parent)
        self._context = context
        self.live: LiveCook | None = None
        self.busy = False

    @Slot()
    def ask(self) -> None:
        """Ask of the cook that is shown."""
        live, context = self.live, self._context
        if live is None or self.busy:
            return
        self._turn(busy=True)
        self.said.emit(self.tr("Working out what made it last. This takes a few seconds."), "good")
        context.after(
            in_background(partial(context.forecasts.explained.work_out, live.cook_id)),
            partial(self._on_explained, live),
            self._on_failed,
            asker=self,
        )

    def _turn(self, *, busy: bool) -> None:
        self.busy = busy
        self.turned.emit()

    def _on_explained(
        self, live: LiveCook, found: tuple[TimeExplained, ...] | WhyNotLasted
    ) -> None:
        self._turn(busy=False)
        if live is not self.live:
            return
        if isinstance(found, str):
            self.said.emit(why_not_words(found), "problem")
            return
        # The usual, where there is one, comes last and says more than the plan.
        words = [whole_words(found[-1]), *part_lines(found[-1], self._context.units)[:1]]
        self.said.emit("\n".join([*words, self.tr("All parts are in the sheet.")]), "good")

    def _on_failed(self, error: BaseException) -> None:
        self._turn(busy=False)
        self.failed.emit(error)
        if message_of(error) is None:
            # A bug, and the one door for bugs is the exception hook.
            raise error
