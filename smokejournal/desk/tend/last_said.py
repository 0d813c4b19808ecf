"""What undo on Tend takes back, and what redo brings back."""

from __future__ import annotations

from dataclasses import dataclass

from smokejournal.cook.log.entries import Entry, ReadingsStruck
from smokejournal.cook.log.entry_words import Names, entry_words, names_of
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.text.quantities import Units, temperature
from smokejournal.desk.tend.recording import Write
from smokejournal.services.program.live import LiveCook


@dataclass(frozen=True, slots=True)
class StrikeMade:
    """A strike, and what it struck or brought back in words."""

    entry: Entry
    words: str


@dataclass(frozen=True, slots=True)
class Turn:
    """One undo or redo: in words, and what does it."""

    words: str
    write: Write


class LastSaid:
    """What was said last of one cook. `made` is a reading taken by hand or a strike made here, as long
    as nothing else was written here after it; without one, undo is that of the log."""

    def __init__(self, live: LiveCook) -> None:
        self._live = live
        self.made: Reading | StrikeMade | None = None

    def undo(self, units: Units) -> Turn | None:
        """What undo would do; None where there is nothing."""
        live, made, latest = self._live, self.made, self._live.can_undo()
        if isinstance(made, Reading):
            struck = ReadingsStruck(made.channel, made.at_s, made.at_s, "undo")
            words = reading_words(made, names_of(live.log().entries), units)
            return Turn(words, lambda: live.record(struck))
        if made is not None and (latest is None or latest.id <= made.entry.id):
            return Turn(made.words, lambda: live.strike(made.entry.id, "undo"))
        return None if latest is None else Turn(self._words(latest, units), live.undo)

    def redo(self, units: Units) -> Turn | None:
        """What redo would do; None where there is nothing."""
        entry = self._live.can_redo()
        return None if entry is None else Turn(self._words(entry, units), self._live.redo)

    def _words(self, entry: Entry, units: Units) -> str:
        return entry_words(entry.what, units, names_of(self._live.log().entries))


def reading_words(reading: Reading, names: Names, units: Units) -> str:
    """A reading taken by hand: its channel and its value."""
    return f"{names.channel(reading.channel)} {temperature(reading.value_c, units, 1)}"
