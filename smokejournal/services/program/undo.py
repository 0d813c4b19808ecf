"""What undo takes back, and redo brings again, of one cook."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future
from itertools import takewhile
from typing import Any, TypeVar

from smokejournal.cook.log.cook_log import struck_ids
from smokejournal.cook.log.entries import (
    AlarmRaised,
    ChannelSet,
    ClockSet,
    Computed,
    CookOpened,
    Entry,
    LeadSet,
    Strike,
    WeatherObserved,
)

Entries = tuple[Entry, ...]
S = TypeVar("S")


class Undo:
    """`entries` gives the log's entries so far; `strike_all` strikes some, all or none, for a reason."""

    def __init__(
        self,
        entries: Callable[[], Entries],
        strike_all: Callable[[Sequence[int], str], Future[Entries]],
    ) -> None:
        self._entries = entries
        self._strike_all = strike_all
        #: The strikes of each undo since something was last said.
        self._undone: list[tuple[int, ...]] = []
        self._said: Future[Any] | None = None

    def said(self, writing: Future[S]) -> Future[S]:
        """Something else is on its way to the disk: nothing can be brought back any more."""
        self._undone.clear()
        return self._on_its_way(writing)

    @staticmethod
    def can_undo(entries: Entries) -> Entry | None:
        """The entry that undo would strike: the last thing the cook said that still holds.

        What an input writes when it is set up (its channels, the first lead) is not undone this way,
        nor what the program writes by itself (alarms, forecasts, fetched weather, what a cook taught).
        """
        struck = struck_ids(entries)
        leads = [e.id for e in entries if isinstance(e.what, LeadSet)]
        for entry in reversed(entries):
            what = entry.what
            if entry.id in struck or entry.id in leads[:1]:
                continue
            fetched = isinstance(what, WeatherObserved) and what.fetched_from
            if not fetched and not isinstance(
                what, AlarmRaised | ClockSet | Computed | Strike | CookOpened | ChannelSet
            ):
                return entry
        return None

    def undo(self) -> Future[Entry] | None:
        """Strike what was said last. None when there is nothing to undo.

        What is still on its way to the disk was said last: it is waited for, never passed over for
        what was said before it. Where it can't be written, neither is anything struck.
        """
        said = self._said
        if said is None or said.done():
            return self._undo_now()
        undone: Future[Entry] = Future()

        def written(_: object) -> None:
            problem = said.exception()
            if problem is not None:
                undone.set_exception(problem)
                return
            struck = self._undo_now()
            if struck is None:
                undone.set_exception(ValueError("nothing is left to undo"))
            else:
                struck.add_done_callback(lambda done: _settle(undone, done, done.result))

        said.add_done_callback(written)
        return self._on_its_way(undone)

    def can_redo(self, entries: Entries) -> Entry | None:
        """The entry that redo would bring back."""
        if not self._undone:
            return None
        strike_id = self._undone[-1][0]
        strike = next(e for e in entries if e.id == strike_id)
        assert isinstance(strike.what, Strike)
        return next((e for e in entries if e.id == strike.what.entry_id), None)

    def redo(self) -> Future[Entry] | None:
        """Strike the last undo. None when nothing was undone since the last entry."""
        if not self._undone:
            return None
        return _first(self._strike_all(self._undone.pop(), "redo"))

    def _on_its_way(self, said: Future[S]) -> Future[S]:
        self._said = said
        return said

    def _undo_now(self) -> Future[Entry] | None:
        entries = self._entries()
        entry = self.can_undo(entries)
        if entry is None:
            return None
        # What was changed comes with the strike of what it was before, which then holds again.
        written = self._strike_all((entry.id, *_struck_with(entries, entry)), "undo")
        written.add_done_callback(self._remember)
        return self._on_its_way(_first(written))

    def _remember(self, written: Future[Entries]) -> None:
        if written.exception() is None:
            self._undone.append(tuple(entry.id for entry in written.result()))


def _struck_with(entries: Entries, entry: Entry) -> tuple[int, ...]:
    """The strikes that were written in one with this entry, right before it."""
    before = entries[: next(n for n, each in enumerate(entries) if each.id == entry.id)]
    together = takewhile(
        lambda each: isinstance(each.what, Strike) and each.recorded_s == entry.recorded_s,
        reversed(before),
    )
    return tuple(
        each.id
        for each in together
        if isinstance(each.what, Strike) and each.what.reason not in ("undo", "redo")
    )


def _first(written: Future[Entries]) -> Future[Entry]:
    """The first of what is written."""
    first: Future[Entry] = Future()
    written.add_done_callback(lambda done: _settle(first, done, lambda: done.result()[0]))
    return first


def _settle(to: Future[Entry], done: Future[Any], result: Callable[[], Entry]) -> None:
    problem = done.exception()
    if problem is not None:
        to.set_exception(problem)
    else:
        to.set_result(result())
