"""One cook, kept up with its log: what it says now, and how to add to it.

A `LiveCook` hears every commit that concerns its cook and holds the log in memory, so that asking
where the cook stands costs next to nothing. It may be used from any thread.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from smokejournal.cook.forecast.nearly_ready import nearly_ready
from smokejournal.cook.log.cook_log import CookLog, holding
from smokejournal.cook.log.entries import (
    AlarmAcknowledged,
    AlarmRaised,
    CookOpened,
    Entry,
    Foreseen,
    Payload,
    Strike,
)
from smokejournal.cook.log.readings import FloatArray, Reading, Trace
from smokejournal.cook.plan.prep_reminders import reminders
from smokejournal.cook.progress.alarms import Alarm, AlarmBook, Called
from smokejournal.cook.progress.kept_fold import KeptFold
from smokejournal.cook.progress.standing import Standing, with_held
from smokejournal.journal import Change, Journal, JournalProblem
from smokejournal.services.program.clock import Clock
from smokejournal.services.program.undo import Undo

if TYPE_CHECKING:
    # Loaded when first asked for: the first painted window needs neither.
    from smokejournal.cook.safety.assessment import Safety
    from smokejournal.cook.score.score import Score
    from smokejournal.cook.summary.summary import Summary

Listener = Callable[["LiveCook", Change], None]


class _GrowingTrace:
    """Readings of one channel in time order, cheap to append to."""

    def __init__(self, trace: Trace) -> None:
        self._n = len(trace)
        room = max(1024, _more(self._n))
        self._at: FloatArray = np.empty(room)
        self._value: FloatArray = np.empty(room)
        self._at[: self._n] = trace.at_s
        self._value[: self._n] = trace.value_c

    def add(self, reading: Reading) -> None:
        """Add a reading, at the end or, back-dated, where it belongs.

        One that is there already is left alone: the load may have seen it before its commit was told.
        """
        if self._n == self._at.size:
            self._at = _with_room(self._at)
            self._value = _with_room(self._value)
        if self._n == 0 or reading.at_s > self._at[self._n - 1]:
            self._at[self._n] = reading.at_s
            self._value[self._n] = reading.value_c
        else:
            # A new array, since traces handed out earlier look into the old one.
            where = int(np.searchsorted(self._at[: self._n], reading.at_s))
            if self._at[where] == reading.at_s:
                return
            self._at = np.insert(self._at, where, reading.at_s)
            self._value = np.insert(self._value, where, reading.value_c)
        self._n += 1

    def trace(self) -> Trace:
        return Trace(self._at[: self._n], self._value[: self._n])


def _more(size: int) -> int:
    return size + max(1024, size // 4)


def _with_room(full: FloatArray) -> FloatArray:
    """The same and a quarter more room: what is not written to yet may be memory all the same."""
    roomy = np.empty(_more(full.size))
    roomy[: full.size] = full
    return roomy


class LiveCook:
    """See the module."""

    def __init__(self, journal: Journal, clock: Clock, cook_id: int) -> None:
        self.cook_id = cook_id
        self._journal = journal
        self._clock = clock
        self._lock = threading.RLock()
        self._listeners: list[Listener] = []
        self._undo = Undo(self._log_entries, self._strike_all)
        #: The newest readings by channel that came and wait to be written; set by what feeds the cook.
        self.held: Callable[[], Mapping[str, float]] = dict
        #: How the person wants to be called; set by the program. The zone is the cook's own.
        self.called: Callable[[], Called] = Called
        #: What calls for causes that are in no log; set by the program.
        self.beside: Callable[[Called], tuple[Alarm, ...]] = lambda _: ()
        self._alarms = AlarmBook()
        self._entries: list[Entry] = []
        self._traces: dict[str, _GrowingTrace] = {}
        self._fold = KeptFold()
        self.loaded = False

    def load(self) -> None:
        """Read the log, once. Slow for a long cook: call it away from the painting thread.

        Raises JournalProblem when the journal cannot be read.
        """
        with self._lock:
            if not self.loaded:
                self._use(*self._read())

    def _read(self) -> tuple[CookLog, KeptFold]:
        log = self._journal.log(self.cook_id)
        fold = KeptFold()
        fold.read(log)
        return log, fold

    def _use(self, log: CookLog, fold: KeptFold) -> None:
        self._entries = list(log.entries)
        self._traces = {key: _GrowingTrace(trace) for key, trace in log.traces.items()}
        self._fold = fold
        self.loaded = True

    # -- reading -----------------------------------------------------------------------------

    @property
    def zone(self) -> str:
        """IANA name of the cook's time zone."""
        opened = self.opened
        return opened.zone if opened is not None else "UTC"

    @property
    def opened(self) -> CookOpened | None:
        """How the cook was opened."""
        return next((e.what for e in self._entries if isinstance(e.what, CookOpened)), None)

    @property
    def title(self) -> str:
        """What the cook is called; its number until its opening is read."""
        opened = self.opened
        return opened.title if opened is not None else str(self.cook_id)

    @property
    def simulated(self) -> bool:
        """Whether it is a model's, not a fire's."""
        opened = self.opened
        return opened is not None and opened.simulated

    def log(self) -> CookLog:
        """The whole log so far."""
        with self._lock:
            return CookLog(
                self.cook_id,
                tuple(self._entries),
                {key: growing.trace() for key, growing in self._traces.items()},
            )

    def standing(self, now_s: float | None = None) -> Standing:
        """Where the cook stands, now or at any other moment."""
        with self._lock:
            at_s = self._clock.now_s() if now_s is None else now_s
            standing = self._fold.standing(self.log(), at_s)
        held = self.held()
        return with_held(standing, held) if held else standing

    def score(self) -> Score:
        """The score up to now."""
        from smokejournal.cook.score.from_log import score_of

        now_s = self._clock.now_s()
        return score_of(self.log(), self.standing(now_s), now_s)

    def summary(self) -> Summary:
        """The summary up to now."""
        from smokejournal.cook.summary.summary import summarize

        now_s = self._clock.now_s()
        return summarize(self.log(), now_s, self.standing(now_s))

    def safety(self) -> Safety:
        """What is known of food safety up to now. Some ten milliseconds for a long cook."""
        from smokejournal.cook.safety.assessment import assess

        return assess(self.log(), self._clock.now_s(), self.zone)

    def alarms(self, now_s: float) -> tuple[Alarm, ...]:
        """Alarms that hold and were not answered, or whose snooze is over."""
        with self._lock:
            standing, entries = self.standing(now_s), holding(self._entries)
            return self._alarms.sounding(standing, entries, now_s, *self._also(standing, entries))

    def _also(
        self, standing: Standing, entries: Sequence[Entry]
    ) -> tuple[tuple[Alarm, ...], Called]:
        """What calls beside the cook's standing, and how the person wants to be called."""
        called = replace(self.called(), zone=self.zone)
        also = (*reminders(standing, entries), *nearly_ready(standing, entries, called))
        if standing.phase in ("running", "done"):
            also = (*self.beside(called), *also)
        return also, called

    # -- writing -----------------------------------------------------------------------------

    def answer(self, alarm: Alarm, snooze_s: float | None) -> Future[Entry]:
        """Answer an alarm: at once in memory, and in the log as soon as it can be written."""
        now_s = self._clock.now_s()
        self._alarms.answered(alarm.key, math.inf if snooze_s is None else now_s + snooze_s)
        return self.record(AlarmAcknowledged(alarm.key, snooze_s), now_s)

    def record(self, payload: Payload, at_s: float | None = None) -> Future[Entry]:
        """Write an entry. The future is settled once it is on disk.

        Raises SchemaProblem at once when the payload cannot be right.
        """
        now_s = self._clock.now_s()
        return self._undo.said(
            self._journal.append(self.cook_id, payload, now_s if at_s is None else at_s, now_s)
        )

    def record_many(self, items: Sequence[tuple[float, Payload]]) -> Future[tuple[Entry, ...]]:
        """Write entries (each with its moment) in one transaction: all of them or none."""
        return self._undo.said(self._journal.append_many(self.cook_id, items, self._clock.now_s()))

    def record_readings(self, readings: Sequence[Reading]) -> Future[tuple[Reading, ...]]:
        """Write readings. The future is settled once they are on disk."""
        return self._journal.append_readings(self.cook_id, readings)

    def strike(self, entry_id: int, reason: str = "") -> Future[Entry]:
        """Say that an entry does not hold."""
        return self.record(Strike(entry_id, reason))

    def can_undo(self) -> Entry | None:
        """The entry that undo would strike: the last thing the cook said that still holds."""
        return self._undo.can_undo(self._log_entries())

    def undo(self) -> Future[Entry] | None:
        """Strike what was said last. None when there is nothing to undo."""
        return self._undo.undo()

    def can_redo(self) -> Entry | None:
        """The entry that redo would bring back."""
        return self._undo.can_redo(self._log_entries())

    def redo(self) -> Future[Entry] | None:
        """Strike the last undo. None when nothing was undone since the last entry."""
        return self._undo.redo()

    def _log_entries(self) -> tuple[Entry, ...]:
        with self._lock:
            return tuple(self._entries)

    def _strike_all(self, entry_ids: Sequence[int], reason: str) -> Future[tuple[Entry, ...]]:
        now_s = self._clock.now_s()
        strikes = [(now_s, Strike(entry_id, reason)) for entry_id in entry_ids]
        return self._journal.append_many(self.cook_id, strikes, now_s)

    def raise_alarms(self, now_s: float) -> tuple[Alarm, ...]:
        """Write an entry for each alarm that has come to hold; returns those that are new."""
        with self._lock:
            standing, entries = self.standing(now_s), holding(self._entries)
            fresh = self._alarms.fresh(standing, entries, *self._also(standing, entries))
            for alarm in fresh:
                self._alarms.written(alarm)
        for alarm in fresh:
            self._journal.append(self.cook_id, AlarmRaised(alarm.key, alarm.text), now_s, now_s)
        return fresh

    def keep_forecast(self, forecast: Foreseen, at_s: float) -> Future[Entry]:
        """Write what was expected at `at_s`. It takes no part in undo and redo."""
        return self._journal.append(self.cook_id, forecast, at_s, self._clock.now_s())

    # -- keeping up --------------------------------------------------------------------------

    def subscribe(self, listener: Listener) -> Callable[[], None]:
        """Hear of every change, on the thread that wrote it. Returns how to stop."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener)

    def take(self, change: Change) -> None:
        """Take in what was written about this cook."""
        if change.reread and self.loaded:
            # Slow, and so without the lock, for which the painting thread would wait. Nothing else is
            # told meanwhile: that is done by this thread.
            try:
                log, fold = self._read()
            except JournalProblem:
                self.loaded = False  # whoever asks for the cook next tries again
                raise
            with self._lock:
                self._use(log, fold)
        with self._lock:
            if not self.loaded:
                return  # it is on disk, and loading will find it there
            known = self._entries[-1].id if self._entries else 0
            entries = tuple(entry for entry in change.entries if entry.id > known)
            self._fold.changed(self._entries, entries, change.readings)
            for entry in entries:
                self._entries.append(entry)
                if isinstance(entry.what, AlarmRaised):
                    self._alarms.landed(entry.what.key)
            for reading in change.readings:
                growing = self._traces.get(reading.channel)
                if growing is None:
                    growing = self._traces[reading.channel] = _GrowingTrace(
                        Trace(np.empty(0), np.empty(0))
                    )
                growing.add(reading)
        for listener in tuple(self._listeners):
            listener(self, change)
