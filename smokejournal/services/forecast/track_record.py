"""How good the forecasts of all finished cooks were: read cook by cook, newest first.

Cooks without forecasts are passed over by their entries alone; of the others only the readings of the
probe that was forecast are loaded. Each is read once, and again only when something was added to it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from smokejournal.cook.learning.track_record import CookMarks, Record, gather, marks_of, needed
from smokejournal.cook.log.cook_log import CookLog, holding
from smokejournal.cook.log.entries import Entry
from smokejournal.journal import Change
from smokejournal.services.program.cook_walk import CookWalk, KnownCooks
from smokejournal.services.program.program import Program


@dataclass(frozen=True, slots=True)
class Judged:
    """Real cooks, and simulated ones (practice, demo) apart from them."""

    real: Record
    simulated: Record


class TrackRecord:
    """`walk` makes a walk through the journal, to be run away from the painting thread."""

    def __init__(self, program: Program) -> None:
        self._program = program
        self._known = KnownCooks(program, self._marks)
        self._unsubscribe: Callable[[], None] = program.subscribe(self._written)

    def close(self) -> None:
        """Stop hearing the journal."""
        self._unsubscribe()

    def walk(self) -> Walk:
        """A walk through all finished cooks, which begins when it is run."""
        return Walk(self._program, self._known.of_cook, _judged)

    def _marks(self, cook_id: int, entries: tuple[Entry, ...]) -> CookMarks:
        journal = self._program.journal
        keys = needed(holding(entries))
        traces = {key: journal.trace(cook_id, key) for key in keys}
        return marks_of(CookLog(cook_id, entries, traces))

    def _written(self, change: Change) -> None:
        # An entry changes the number of the last one, by which a cook is known; a late reading doesn't.
        if change.cook_id is not None and change.readings:
            self._known.forget(change.cook_id)


class Walk(CookWalk[CookMarks, Judged]):
    """A walk that judges the forecasts, of simulated cooks and real ones apart."""


def _judged(found: Sequence[CookMarks]) -> Judged:
    return Judged(
        gather(cook for cook in found if not cook.simulated),
        gather(cook for cook in found if cook.simulated),
    )
