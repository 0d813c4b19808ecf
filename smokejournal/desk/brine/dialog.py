"""Brine and cure: a line of a recipe, what it comes to, and into the plan with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QSize, Slot
from PySide6.QtWidgets import QDialog, QWidget

from smokejournal.cook.brine.sums import BrineSums, brine_sums
from smokejournal.cook.brine.words import step_of
from smokejournal.cook.log.entries import ItemAdded, Payload, PrepStep, Strike, step_key
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import why_of
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row
from smokejournal.desk.brine.form import BrineForm
from smokejournal.desk.brine.results import BrineResults
from smokejournal.journal import JournalProblem
from smokejournal.services.program.live import LiveCook

SIZE = QSize(980, 600)
#: Room that the window's frame and the desktop's bars take.
FRAME = QSize(16, 48)


class BrineDialog(QDialog):
    """Writes the step to the log itself; closes once it is there. What is typed is never lost to a
    refusal. `key` is the entry of the step that is opened again, or None for a new one."""

    def __init__(
        self,
        context: DeskContext,
        live: LiveCook,
        items: Sequence[ItemAdded],
        key: int | None = None,
        step: PrepStep | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("brineDialog")
        self.setWindowTitle(self.tr("Brine and cure"))
        self.setModal(True)
        self._context = context
        self._live = live
        self._key = key
        self._step = step
        wares = context.program.journal.stores.wares()
        salts = [ware for ware in wares if ware.sort == "salt" and not ware.retired]
        self.form = BrineForm(items, context.units, self, salts)
        self.results = BrineResults(self, context.units)
        self.status = new_label(self, name="brineStatus", kind="problem", wraps=True)
        self.put = new_button(
            self,
            self.tr("Put it in the plan"),
            self._on_put,
            name="brinePut",
            kind="ember",
            auto=False,
        )
        self.close_button = new_button(
            self, self.tr("Close"), self.reject, name="brineClose", auto=False
        )
        self._lay_out()
        self.form.changed.connect(self._on_changed)
        if step is not None and step.brine is not None:
            self.form.show_asked(step.brine)
        elif items:
            self.form.take_item(0)
        self._sums = BrineSums(self.form.asked(), brine_sums(self.form.asked()).recipe)
        self._on_changed()
        self.form.line.edit.setFocus()

    @property
    def sums(self) -> BrineSums:
        """What the form comes to now."""
        return self._sums

    def _lay_out(self) -> None:
        panes = new_row(None, (self.form, 2), (self.results, 3), spacing=12)
        foot = new_row(None, (self.status, 1), self.close_button, self.put, spacing=10)
        new_column(self, (panes, 1), foot, spacing=10, margins=(16, 14, 16, 12))
        screen = self.screen().availableSize() - FRAME
        self.resize(SIZE.boundedTo(screen))

    @Slot()
    def _on_changed(self) -> None:
        self.status.setText("")
        self._sums = brine_sums(self.form.asked())
        self.form.line.show_recipe(self._sums.recipe)
        self.results.show_sums(self._sums)

    @Slot()
    def _on_put(self) -> None:
        if not self.form.check():
            self.status.setText(self.tr("Look at the message beside the field first."))
            return
        sums = self._sums
        if not sums.portions:
            self.status.setText(self.tr("Type what goes in first."))
            self.form.line.edit.setFocus()
            return
        if sums.is_refused:
            self.status.setText(
                self.tr("Not put in the plan. Fix what is refused at the top right first.")
            )
            self.results.verticalScrollBar().setValue(0)
            return
        payloads: list[Payload] = [self._step_now(sums)]
        if self._key is not None:
            payloads.insert(0, Strike(self._key, self.tr("changed on Plan")))
        now_s = self._context.now_s()
        try:
            future = self._live.record_many([(now_s, payload) for payload in payloads])
        except (SchemaProblem, JournalProblem) as problem:
            self.status.setText(problem.message)
            return
        self.put.setEnabled(False)
        self._context.after(future, self._on_kept, self._on_failed)

    def _step_now(self, sums: BrineSums) -> PrepStep:
        """The step to be written; what the form doesn't ask stays as it was said."""
        fresh, known = step_of(sums, self._context.units), self._step
        if known is None or self._key is None:
            return fresh
        before_s = None if known.brine is None else known.brine.soak_s
        soaks_s = fresh.duration_s
        return replace(
            known,
            step=fresh.step,
            text=fresh.text,
            brine=fresh.brine,
            duration_s=known.duration_s if soaks_s == before_s else soaks_s,
            key=step_key(self._key, known),
        )

    def _on_kept(self, _entries: object) -> None:
        self.accept()

    def _on_failed(self, error: BaseException) -> None:
        self.put.setEnabled(True)
        self.status.setText(why_of(error))
