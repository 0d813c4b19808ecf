"""Writing from Tend: each thing once, told as recorded only when it is on disk."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from functools import partial
from typing import Any, TypeAlias

from PySide6.QtCore import QObject, Signal, Slot

from smokejournal.cook.log.entries import (
    Entry,
    LeadSet,
    Lid,
    Payload,
    ReadingsStruck,
    ScheduleStarted,
    StageConfirmed,
    StageExtended,
    StagePutBack,
    StageSkipped,
    StepBegun,
    StepEnded,
    StepExtended,
    StepSkipped,
    Strike,
    TimesKept,
    Wrap,
    WrapMaterial,
)
from smokejournal.cook.log.entry_words import entry_words, names_of
from smokejournal.cook.log.log_lines import LogLine
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import clock_time, temperature
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.entry.entry_form import Said
from smokejournal.services.program.live import LiveCook

#: What is said of the steps before the fire.
StepSaid: TypeAlias = StepBegun | StepEnded | StepExtended | StepSkipped | TimesKept
Done = Callable[[], None]
Failed = Callable[[str], None]


class TendWriter(QObject):
    """Writes about one cook. `told` carries what to show about the last writing."""

    told = Signal(str)
    changed = Signal()

    def __init__(self, context: DeskContext, parent: QObject) -> None:
        super().__init__(parent)
        self._context = context
        self._live: LiveCook | None = None
        self._writing: set[str] = set()
        self._in_flight = 0
        self._undo_wanted = False
        self._by_hand: dict[int, list[Reading]] = {}
        # The reading that undo takes back, as long as nothing else was written after it.
        self._last_reading: Reading | None = None
        # The strike that undo takes back, with what it struck or brought back in words.
        self._last_strike: tuple[Entry, str] | None = None

    def set_live(self, live: LiveCook | None) -> None:
        """Write about this cook from now on."""
        self._live = live
        self._undo_wanted = False
        self._forget_last()

    # -- what may be written by one key or button ---------------------------------------------

    def begin(self) -> None:
        """The schedule begins."""
        self._one("stage", ScheduleStarted())

    def lid(self, opened: bool) -> None:
        """The lid went up or down."""
        self._one("lid", Lid(opened))

    def confirm(self, stage: str) -> None:
        """The cook's word that the stage is over."""
        self._one("stage", StageConfirmed(stage))

    def skip(self, stage: str) -> None:
        """Past this stage."""
        self._one("stage", StageSkipped(stage))

    def extend(self, stage: str, by_s: float) -> None:
        """More time for the stage."""
        self._one("stage", StageExtended(stage, by_s))

    @Slot(str)
    def put_back(self, stage: str) -> None:
        """Back to the stage."""
        self._one("stage", StagePutBack(stage))

    def lead(self, lead: str, check: str | None) -> None:
        """Another probe leads."""
        self._one("stage", LeadSet(lead, check))

    @Slot(float, str)
    def wrap(self, at_s: float, material: WrapMaterial) -> None:
        """It was wrapped at `at_s` [UTC seconds]; "none": it wasn't."""
        self._one("wrap", Wrap(material), at_s)

    def step(self, what: StepSaid) -> None:
        """What the cook says of a step of the prep, or the times that are kept."""
        self._one("step", what)

    # -- what forms say --------------------------------------------------------------------------

    def write(self, said: Said, done: Done, failed: Failed) -> None:
        """Write what a form says: its entries together, then its readings."""
        live = self._live
        if live is None:
            failed(self.tr("No cook is chosen any more. Choose one on Journal."))
            return
        words = self._words_of(said)
        if not said.payloads:
            self._write_readings(live, said, words, done, failed)
            return
        then = done
        if said.readings:
            then = partial(self._write_readings, live, said, words, done, failed)
        self._start(
            lambda: live.record_many([(said.at_s, payload) for payload in said.payloads]),
            words,
            lambda _: self._entries_written(then),
            failed,
            last=not said.readings,
        )

    # -- undo, redo, strike -----------------------------------------------------------------------

    def undo_words(self) -> tuple[str, str]:
        """What undo and redo would do, in words; empty where there is nothing."""
        if self._live is None:
            return ("", "")
        redo = self._live.can_redo()
        if self._last_reading is not None:
            return (self._reading_words(self._last_reading), self._entry_words(redo))
        strike = self._strike_to_undo()
        if strike is not None:
            return (strike[1], self._entry_words(redo))
        return (self._entry_words(self._live.can_undo()), self._entry_words(redo))

    @Slot()
    def undo(self) -> None:
        """Take back what was said last; what is still being written is waited for."""
        live = self._live
        if live is None or "undo" in self._writing:
            return
        if self._in_flight:
            self._undo_wanted = True
            self.told.emit(self.tr("Undo waits until that is written."))
            return
        reading = self._last_reading
        if reading is not None:
            words = self._reading_words(reading)
            struck = ReadingsStruck(reading.channel, reading.at_s, reading.at_s, "undo")
            self._go("undo", lambda: live.record(struck), self.tr("undone: {what}"), words)
            return
        strike = self._strike_to_undo()
        if strike is not None:
            number, words = strike[0].id, strike[1]
            self._go("undo", lambda: live.strike(number, "undo"), self.tr("undone: {what}"), words)
            return
        entry = live.can_undo()
        if entry is not None:
            words = self._entry_words(entry)
            self._go("undo", live.undo, self.tr("undone: {what}"), words)

    @Slot()
    def redo(self) -> None:
        """Bring back what was taken back last."""
        live = self._live
        if live is None or "undo" in self._writing:
            return
        entry = live.can_redo()
        if entry is not None:
            self._go("undo", live.redo, self.tr("brought back: {what}"), self._entry_words(entry))

    def strike(self, line: LogLine) -> None:
        """A line of the log does not hold."""
        live = self._live
        if live is None:
            return
        if line.entry_id is not None:
            payload: Payload = Strike(line.entry_id)
        elif line.channel is not None:
            payload = ReadingsStruck(line.channel, line.at_s, line.at_s)
        else:
            return
        self._go(
            f"strike{line.key}",
            lambda: live.record(payload),
            self.tr("struck: {what}"),
            line.text,
            undoable=True,
        )

    def restore(self, line: LogLine) -> None:
        """A line that was struck holds again."""
        live = self._live
        striker = line.struck_by
        if live is None or striker is None:
            return
        self._go(
            f"strike{line.key}",
            lambda: live.strike(striker),
            self.tr("brought back: {what}"),
            line.text,
            undoable=True,
        )

    # -- readings taken by hand -------------------------------------------------------------------

    def hand_readings(self) -> list[tuple[str, float]]:
        """Channel and moment of the readings that were taken by hand here."""
        if self._live is None:
            return []
        found = self._by_hand.get(self._live.cook_id, [])
        return [(reading.channel, reading.at_s) for reading in found]

    # -- inside ------------------------------------------------------------------------------------

    def _one(self, what: str, payload: Payload, at_s: float | None = None) -> None:
        live = self._live
        if live is not None:
            names = names_of(live.log().entries)
            words = entry_words(payload, self._context.units, names)
            self._go(what, lambda: live.record(payload, at_s), "{what}", words)

    def _go(
        self,
        key: str,
        write: Callable[[], Future[Any] | None],
        form: str,
        words: str,
        undoable: bool = False,
    ) -> None:
        """Write, unless the same is being written already: a key may be hit twice."""
        if key in self._writing:
            return
        self._writing.add(key)
        told = form.format(what=words)
        live = self._live
        self._start(
            write,
            told,
            lambda result: self._settled(key, result, told if undoable else "", live),
            lambda text: self._not_written(key, text),
        )

    def _start(
        self,
        write: Callable[[], Future[Any] | None],
        words: str,
        done: Callable[[Any], None],
        failed: Failed,
        last: bool = True,
    ) -> None:
        self.told.emit(self.tr("Writing: {what}").format(what=words))
        try:
            future = write()
        except SchemaProblem as problem:
            self._refuse(words, problem.message, failed)
            return
        if future is None:
            self.told.emit("")
            done(None)
            return
        self._in_flight += 1

        def refused(error: BaseException) -> None:
            self._in_flight -= 1
            # What was to be taken back was never written, and nothing else was meant.
            self._undo_wanted = False
            self._refuse(words, _cure_of(error), failed)

        def settled(result: Any) -> None:
            self._in_flight -= 1
            if last:
                now = clock_time(self._context.now_s(), self._zone(), self._context.units)
                said = self.tr("Recorded at {time}: {what}")
                self.told.emit(said.format(time=now, what=words))
            done(result)
            if self._undo_wanted and not self._in_flight:
                self._undo_wanted = False
                self.undo()

        self._context.after(future, settled, refused, asker=self)

    def _refuse(self, words: str, why: str, failed: Failed) -> None:
        self.told.emit(self.tr("Not recorded: {what}").format(what=words))
        failed(why)

    def _settled(self, key: str, result: Any, words: str, live: LiveCook | None) -> None:
        self._writing.discard(key)
        self._forget_last()
        is_strike = isinstance(result, Entry) and isinstance(result.what, Strike)
        if words and is_strike and live is self._live:
            self._last_strike = (result, words)
        self.changed.emit()

    def _forget_last(self) -> None:
        self._last_reading = None
        self._last_strike = None

    def _strike_to_undo(self) -> tuple[Entry, str] | None:
        """The strike made here, as long as nothing was written after it."""
        if self._live is None or self._last_strike is None:
            return None
        latest = self._live.can_undo()
        later = latest is not None and latest.id > self._last_strike[0].id
        return None if later else self._last_strike

    def _not_written(self, key: str, text: str) -> None:
        self._writing.discard(key)
        self._context.tell(
            self.tr("That was not written: {why}").format(why=text),
            self.tr("Do it again once that is put right."),
        )

    def _entries_written(self, then: Done) -> None:
        self._forget_last()
        then()
        self.changed.emit()

    def _write_readings(
        self, live: LiveCook, said: Said, words: str, done: Done, failed: Failed
    ) -> None:
        self._start(
            lambda: live.record_readings(said.readings),
            words,
            lambda stored: self._readings_written(live, stored, done),
            failed,
        )

    def _readings_written(self, live: LiveCook, stored: tuple[Reading, ...], done: Done) -> None:
        # As they are on disk: a moment may have been moved on by a thousandth of a second.
        self._by_hand.setdefault(live.cook_id, []).extend(stored)
        if live is self._live:
            self._forget_last()
            self._last_reading = stored[-1] if stored else None
        done()
        self.changed.emit()

    def _words_of(self, said: Said) -> str:
        names = names_of((*self._entries(), *(Entry(0, 0.0, 0.0, p) for p in said.payloads)))
        units = self._context.units
        parts = [entry_words(payload, units, names) for payload in said.payloads]
        parts += [
            f"{names.channel(r.channel)} {temperature(r.value_c, units, 1)}" for r in said.readings
        ]
        return ", ".join(parts)

    def _entry_words(self, entry: Entry | None) -> str:
        if entry is None:
            return ""
        return entry_words(entry.what, self._context.units, names_of(self._entries()))

    def _reading_words(self, reading: Reading) -> str:
        names = names_of(self._entries())
        value = temperature(reading.value_c, self._context.units, 1)
        return f"{names.channel(reading.channel)} {value}"

    def _entries(self) -> tuple[Entry, ...]:
        return self._live.log().entries if self._live is not None else ()

    def _zone(self) -> str:
        return self._live.zone if self._live is not None else "UTC"


def _cure_of(error: BaseException) -> str:
    """What went wrong and what to do about it, from an error that may bring both."""
    message = str(getattr(error, "message", "") or error)
    cure = str(getattr(error, "cure", ""))
    return f"{message} {cure}".strip()
