"""How good the forecasts of all finished cooks were: read cook by cook, newest first.

Cooks without forecasts are passed over by their entries alone; of the others only the readings of the
probe that was forecast are loaded. Each is read once, and again only when something was added to it.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass

from smokejournal.cook.learning.track_record import CookMarks, Record, gather, marks_of, needed
from smokejournal.cook.log.cook_log import CookLog, holding
from smokejournal.journal import Change
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
        return Walk(self._program, self._of_cook)

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


class Walk:
    """One walk. `done` of `total` cooks were read so far; both may be looked at from any thread."""

    def __init__(self, program: Program, of_cook: Callable[[int], CookMarks]) -> None:
        self._program = program
        self._of_cook = of_cook
        self._stop = threading.Event()
        self.done = 0
        self.total = 0

    def cancel(self) -> None:
        """End it after the cook that is being read. What was read is kept for the next walk."""
        self._stop.set()

    def run(self) -> Judged | None:
        """Read every finished cook; None where it was cancelled. Raises JournalProblem. Slow."""
        lines = [line for line in self._program.cooks() if line.state == "finished"]
        self.total = len(lines)
        found = []
        for line in lines:
            if self._stop.is_set():
                return None
            found.append(self._of_cook(line.id))
            self.done += 1
        return Judged(
            gather(cook for cook in found if not cook.simulated),
            gather(cook for cook in found if cook.simulated),
        )
