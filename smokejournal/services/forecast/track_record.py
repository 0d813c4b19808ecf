"""How good the forecasts of all finished cooks were: read cook by cook, newest first.

Cooks without forecasts are passed over by their entries alone; of the others only the readings of the
probe that was forecast are loaded. Each is read once, and again only when something was added to it.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from smokejournal.cook.learning.track_record import CookMarks, Record, gather, marks_of, needed
from smokejournal.cook.log.cook_log import CookLog, holding
from smokejournal.journal import Change
from smokejournal.services.program.cook_walk import CookWalk
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
        self._lock = threading.Lock()
        self._known: dict[int, tuple[int, CookMarks]] = {}
        self._unsubscribe: Callable[[], None] = program.subscribe(self._written)

    def close(self) -> None:
        """Stop hearing the journal."""
        self._unsubscribe()

    def walk(self) -> Walk:
        """A walk through all finished cooks, which begins when it is run."""
        return Walk(self._program, self._of_cook, _judged)

    def _of_cook(self, cook_id: int) -> CookMarks:
        journal = self._program.journal
        entries = journal.entries(cook_id)
        last = entries[-1].id if entries else 0
        with self._lock:
            found = self._known.get(cook_id)
        if found is not None and found[0] == last:
            return found[1]
        keys = needed(holding(entries))
        traces = {key: journal.trace(cook_id, key) for key in keys}
        marks = marks_of(CookLog(cook_id, entries, traces))
        with self._lock:
            self._known[cook_id] = (last, marks)
        return marks

    def _written(self, change: Change) -> None:
        # An entry changes the number of the last one, by which a cook is known; a late reading doesn't.
        if change.cook_id is not None and change.readings:
            with self._lock:
                self._known.pop(change.cook_id, None)


class Walk(CookWalk[CookMarks, Judged]):
    """A walk that judges the forecasts, of simulated cooks and real ones apart."""


def _judged(found: Sequence[CookMarks]) -> Judged:
    return Judged(
        gather(cook for cook in found if not cook.simulated),
        gather(cook for cook in found if cook.simulated),
    )
