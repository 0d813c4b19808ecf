"""Writing the pieces of a plan (food, steps, probes) to the log, one by one, as the person keeps them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import replace
from functools import partial
from typing import Any

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import QWidget
from shiboken6 import isValid

from smokejournal.cook.log.entries import ChannelSet, Entry, LeadSet, Payload, Strike
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.plan.plan import Plan, new_channel_key
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import why_of
from smokejournal.desk.brine.dialog import BrineDialog
from smokejournal.desk.plan.food_pane import DishPane
from smokejournal.desk.plan.list_editor import RecordsEditor
from smokejournal.desk.plan.probes_editor import ProbesEditor
from smokejournal.desk.plan.questions import ask_lead
from smokejournal.journal import JournalProblem
from smokejournal.services.program.live import LiveCook


class PlanPieces(QObject):
    """Writes for one cook: `show_plan` says which one, and what its log says of it."""

    def __init__(self, context: DeskContext, page: QWidget) -> None:
        super().__init__(page)
        self._context = context
        self._page = page
        self._cook: LiveCook | None = None
        self._plan = Plan()
        #: What was written last, and by which part of the page: it can be taken back.
        self._last: tuple[RecordsEditor, tuple[Entry, ...]] | None = None

    def show_plan(self, live: LiveCook, plan: Plan) -> None:
        """Write for this cook from now on."""
        if live is not self._cook:
            self._remember(None, (), "")
        self._cook, self._plan = live, plan

    def listen(self, dish: DishPane) -> None:
        """Write what is kept in this pane."""
        for part in dish.editors:
            part.keep_asked.connect(self._on_piece)
            part.remove_asked.connect(self._on_strike)
            part.back_asked.connect(self._on_back)
        dish.prep.brine_asked.connect(self._on_brine)
        dish.probes.pair_asked.connect(self._on_pair)
        dish.probes.lead_asked.connect(self._on_lead)
        dish.probes.lead_back_asked.connect(self._on_lead_back)

    def write(self, payloads: Sequence[Payload]) -> Future[Any]:
        """Write these now, all or none. SchemaProblem at once where one can't be right."""
        # What was written before this is no longer the last.
        self._remember(None, (), "")
        now_s = self._context.now_s()
        return self._live().record_many([(now_s, payload) for payload in payloads])

    @Slot(object)
    def on_said(self, payload: Payload) -> None:
        """Write what the cook says of a step, or the times that are kept."""
        self._write_or_tell([payload])

    @Slot(object)
    def on_taken_over(self, payloads: Sequence[Payload]) -> None:
        """Write what an earlier cook says to this plan."""
        self._write_or_tell(payloads)

    @Slot()
    def on_undo(self) -> None:
        """Take back what was written last."""
        future = self._live().undo()
        if future is not None:
            self._context.after(future)

    # -- inside -----------------------------------------------------------------------------

    def _live(self) -> LiveCook:
        assert self._cook is not None
        return self._cook

    @Slot(object, object)
    def _on_piece(self, key: object, payload: Payload) -> None:
        editor = self.sender()
        assert isinstance(editor, RecordsEditor)
        written: list[Payload] = [payload]
        if isinstance(payload, ChannelSet):
            written += self._lead_for(payload)
        elif isinstance(key, int):
            written.insert(0, Strike(key, self.tr("changed on Plan")))
        try:
            future = self.write(written)
        except (SchemaProblem, JournalProblem) as problem:
            editor.refused(problem.message)
            return

        def failed(error: BaseException) -> None:
            editor.refused(why_of(error))

        words = self.tr("Added.") if key is None else self.tr("Changed.")

        def kept(entries: tuple[Entry, ...]) -> None:
            editor.kept()
            self._remember(editor, entries, words)

        self._context.after(future, kept, failed, asker=self)

    @Slot()
    def _on_pair(self) -> None:
        editor = self.sender()
        assert isinstance(editor, RecordsEditor)
        pit = Channel(new_channel_key(self._plan), self.tr("pit"), role="pit")
        with_pit = replace(self._plan, channels={**self._plan.channels, pit.key: pit})
        meat = Channel(new_channel_key(with_pit), self.tr("meat"), role="meat")
        self._write_or_tell(
            [ChannelSet(pit), ChannelSet(meat), LeadSet(meat.key)],
            partial(self._remember, editor, words=self.tr("Added.")),
        )

    def _remember(
        self, editor: RecordsEditor | None, entries: tuple[Entry, ...], words: str
    ) -> None:
        if self._last is not None and isValid(self._last[0]):
            self._last[0].offer_back("")
        self._last = None if editor is None else (editor, tuple(entries))
        if editor is not None:
            editor.offer_back(words)

    @Slot()
    def _on_back(self) -> None:
        if self._last is None:
            return
        _, entries = self._last
        self._remember(None, (), "")
        # The last first: what a strike took away comes back before what replaced it goes.
        self._write_or_tell([Strike(entry.id, "undo") for entry in reversed(entries)])

    def _lead_for(self, added: ChannelSet) -> list[Payload]:
        """The first probe in the meat leads and the second checks, until the person says otherwise."""
        plan, channel = self._plan, added.channel
        if channel.key in plan.channels or channel.role != "meat":
            return []
        if plan.lead not in plan.channels:
            return [LeadSet(channel.key)]
        if plan.check not in plan.channels and plan.lead is not None:
            return [LeadSet(plan.lead, channel.key)]
        return []

    @Slot(object)
    def _on_strike(self, key: object) -> None:
        editor = self.sender()
        assert isinstance(editor, RecordsEditor)
        written: list[Payload] = []
        why = self.tr("removed on Plan")
        if isinstance(key, str):
            if len(self._live().log().trace(key)):
                self._context.tell(
                    self.tr("This probe has readings in the log, so it stays."),
                    self.tr("Choose another one as lead, or give this one another name."),
                )
                return
            written += [Strike(entry, why) for entry in self._plan.channel_entries[key]]
            written += self._lead_without(key)
        elif isinstance(key, int):
            written.append(Strike(key, why))
        self._write_or_tell(written, partial(self._remember, editor, words=self.tr("Removed.")))

    def _lead_without(self, key: str) -> list[Payload]:
        plan = self._plan
        if plan.lead == key:
            others = [k for k, c in plan.channels.items() if c.role == "meat" and k != key]
            return [LeadSet(others[0])] if others else []
        return [LeadSet(plan.lead)] if plan.check == key and plan.lead is not None else []

    @Slot(object)
    def _on_brine(self, key: int | None) -> None:
        step = None if key is None else dict(self._plan.prep).get(key)
        items = [item for _, item in self._plan.items]
        dialog = BrineDialog(self._context, self._live(), items, key, step, self._page)
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()

    @Slot(object)
    def _on_lead(self, payload: LeadSet) -> None:
        plan, editor = self._plan, self.sender()
        if not plan.started or plan.closed or not isinstance(editor, ProbesEditor):
            self._write_or_tell([payload])
            return
        before = None if plan.lead is None else LeadSet(plan.lead, plan.check)

        def change() -> None:
            self._write_or_tell([payload])
            editor.offer_lead_back(before)

        ask_lead(plan, payload, self._page, change, lambda: editor.show_plan(self._plan))

    @Slot(object)
    def _on_lead_back(self, payload: LeadSet) -> None:
        self._write_or_tell([payload])

    def _write_or_tell(
        self,
        payloads: Sequence[Payload],
        then: Callable[[tuple[Entry, ...]], None] | None = None,
    ) -> None:
        try:
            future = self.write(payloads)
        except SchemaProblem as problem:
            self._context.tell(problem.message)
        except JournalProblem as problem:
            self._context.tell(problem.message, problem.cure)
        else:
            self._context.after(future, then, asker=self)
