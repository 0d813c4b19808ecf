"""The facts of cooks, read from the journal cook by cook, away from the painting thread.

A whole cook is read for them, so each is kept until something is added to it.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence

from smokejournal.cook.comparing.alignment import ComparedCook, compared
from smokejournal.cook.comparing.facts import CookFacts
from smokejournal.services.program.cook_walk import CookWalk
from smokejournal.services.program.program import Program


class AllCooks:
    """Whoever holds it says with `forget` that readings came to a cook; entries it notices itself."""

    def __init__(self, program: Program) -> None:
        self._program = program
        self._lock = threading.Lock()
        self._known: dict[int, tuple[int, CookFacts]] = {}

    def forget(self, cook_id: int) -> None:
        """Read this cook again when it is asked for."""
        with self._lock:
            self._known.pop(cook_id, None)

    def chosen(self, cook_ids: Sequence[int]) -> tuple[ComparedCook, ...]:
        """These cooks up to now, in this order. Raises JournalProblem. Slow."""
        journal, now_s = self._program.journal, self._program.clock.now_s()
        return tuple(compared(journal.log(cook_id), now_s) for cook_id in cook_ids)

    def walk(self) -> FactsWalk:
        """A walk through all finished cooks, which begins when it is run."""
        return FactsWalk(self._program, self.of_cook, tuple)

    def of_cook(self, cook_id: int) -> CookFacts:
        """The facts of one cook. Raises JournalProblem. Slow the first time."""
        journal = self._program.journal
        entries = journal.entries(cook_id)
        last = entries[-1].id if entries else 0
        with self._lock:
            found = self._known.get(cook_id)
        if found is not None and found[0] == last:
            return found[1]
        facts = compared(journal.log(cook_id), self._program.clock.now_s()).facts
        with self._lock:
            self._known[cook_id] = (last, facts)
        return facts


class FactsWalk(CookWalk[CookFacts, tuple[CookFacts, ...]]):
    """A walk that gathers the facts of each cook."""
