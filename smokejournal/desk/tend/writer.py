"""Writing from Tend: what keys and forms say, striking, undo and redo."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import QObject, Signal, Slot

from smokejournal.cook.log.entries import (
    Entry,
    Lid,
    Payload,
    ReadingsStruck,
    Strike,
    Wrap,
    WrapMaterial,
)
from smokejournal.cook.log.entry_words import entry_words, names_of
from smokejournal.cook.log.log_lines import LogLine
from smokejournal.cook.log.readings import Reading
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.entry.entry_form import Said
from smokejournal.desk.tend.last_said import LastSaid, StrikeMade, Turn, reading_words
from smokejournal.desk.tend.recording import Failed, Recording, Write
from smokejournal.services.program.live import LiveCook

Done = Callable[[], None]


class TendWriter(QObject):
    """Writes about one cook. `told` carries what to show about the last writing."""

    told = Signal(str)
    changed = Signal()

    def __init__(self, context: DeskContext, parent: QObject) -> None:
        super().__init__(parent)
        self._context = context
        self._live: LiveCook | None = None
        self._last: LastSaid | None = None
        self._by_hand: dict[int, list[Reading]] = {}
        self._recording = Recording(
            context, lambda: self._live.zone if self._live is not None else "UTC", self
        )
        self._recording.told.connect(self.told)

    def set_live(self, live: LiveCook | None) -> None:
        """Write about this cook from now on."""
        self._live = live
        self._last = None if live is None else LastSaid(live)
        self._recording.call_off()

    def hand_readings(self) -> list[tuple[str, float]]:
        """Channel and moment of the readings that were taken by hand here."""
        found = [] if self._live is None else self._by_hand.get(self._live.cook_id, [])
        return [(reading.channel, reading.at_s) for reading in found]

    # -- what one key or button says -------------------------------------------------------------

    def say(self, payload: Payload, at_s: float | None = None) -> None:
        """Write this of the cook, at `at_s` [UTC seconds] or now, unless the like is being written."""
        live = self._live
        if live is not None:
            key = {Lid: "lid", Wrap: "wrap"}.get(type(payload), "stage")
            words = entry_words(payload, self._context.units, names_of(live.log().entries))
            self._once(key, lambda: live.record(payload, at_s), words)

    @Slot(float, str)
    def wrap(self, at_s: float, material: WrapMaterial) -> None:
        """It was wrapped at `at_s` [UTC seconds]; "none": it wasn't."""
        self.say(Wrap(material), at_s)

    # -- what forms say --------------------------------------------------------------------------

    def write(self, said: Said, done: Done, failed: Failed) -> None:
        """Write what a form says: its entries together, then its readings."""
        live = self._live
        if live is None:
            failed(self.tr("No cook is chosen anymore. Choose one on Journal."))
            return
        words = self._words_of(live, said)
        write_readings = partial(self._write_readings, live, said, words, done, failed)
        if not said.payloads:
            write_readings()
            return

        def written(_: object) -> None:
            self._remember(None, live)
            (write_readings if said.readings else done)()
            self.changed.emit()

        self._recording.start(
            lambda: live.record_many([(said.at_s, payload) for payload in said.payloads]),
            words,
            written,
            failed,
            last=not said.readings,
        )

    def _write_readings(
        self, live: LiveCook, said: Said, words: str, done: Done, failed: Failed
    ) -> None:
        def written(stored: tuple[Reading, ...]) -> None:
            # As they are on disk: a moment may have been moved on by a thousandth of a second.
            self._by_hand.setdefault(live.cook_id, []).extend(stored)
            if live is self._live:
                self._remember(stored[-1] if stored else None, live)
            done()
            self.changed.emit()

        self._recording.start(lambda: live.record_readings(said.readings), words, written, failed)

    def _words_of(self, live: LiveCook, said: Said) -> str:
        new = (Entry(0, 0.0, 0.0, payload) for payload in said.payloads)
        names, units = names_of((*live.log().entries, *new)), self._context.units
        parts = [entry_words(payload, units, names) for payload in said.payloads]
        return ", ".join([*parts, *(reading_words(r, names, units) for r in said.readings)])

    # -- undo, redo, strike ----------------------------------------------------------------------

    def undo_words(self) -> tuple[str, str]:
        """What undo and redo would do, in words; empty where there is nothing."""
        if self._last is None:
            return ("", "")
        undo, redo = self._last.undo(self._context.units), self._last.redo(self._context.units)
        return (undo.words if undo else "", redo.words if redo else "")

    @Slot()
    def undo(self) -> None:
        """Take back what was said last; what is still being written is waited for."""
        if self._last is None or self._recording.is_writing("undo"):
            return
        if self._recording.put_off(self.undo):
            self.told.emit(self.tr("Undo waits until that is written."))
            return
        self._turn(self._last.undo(self._context.units), self.tr("undone: {what}"))

    @Slot()
    def redo(self) -> None:
        """Bring back what was taken back last."""
        if self._last is not None:
            self._turn(self._last.redo(self._context.units), self.tr("brought back: {what}"))

    def _turn(self, turn: Turn | None, form: str) -> None:
        if turn is not None:
            self._once("undo", turn.write, form.format(what=turn.words))

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
        words = self.tr("struck: {what}").format(what=line.text)
        self._once(f"strike{line.key}", lambda: live.record(payload), words, undoable=True)

    def restore(self, line: LogLine) -> None:
        """A line that was struck holds again."""
        live, striker = self._live, line.struck_by
        if live is None or striker is None:
            return
        words = self.tr("brought back: {what}").format(what=line.text)
        self._once(f"strike{line.key}", lambda: live.strike(striker), words, undoable=True)

    # -- inside ----------------------------------------------------------------------------------

    def _once(self, key: str, write: Write, words: str, undoable: bool = False) -> None:
        """Write under this key; where that is an `undoable` strike, undo takes it back itself."""
        live = self._live

        def written(result: Any) -> None:
            is_strike = isinstance(result, Entry) and isinstance(result.what, Strike)
            self._remember(StrikeMade(result, words) if undoable and is_strike else None, live)
            self.changed.emit()

        self._recording.once(key, write, words, written)

    def _remember(self, made: Reading | StrikeMade | None, live: LiveCook | None) -> None:
        """What was before isn't the last any more; this is, if it is still the cook shown."""
        if self._last is not None:
            self._last.made = made if live is self._live else None
