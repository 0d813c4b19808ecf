"""The facts of cooks, read from the journal cook by cook, away from the painting thread.

A whole cook is read for them, so each is kept until something is added to it.
"""

from __future__ import annotations

from collections.abc import Sequence

from smokejournal.cook.comparing.alignment import ComparedCook, compared
from smokejournal.cook.comparing.facts import CookFacts
from smokejournal.services.program.cook_walk import CookWalk, KnownCooks
from smokejournal.services.program.program import Program


class AllCooks:
    """Whoever holds it says with `forget` that readings came to a cook; entries it notices itself."""

    def __init__(self, program: Program) -> None:
        self._program = program
        self._known = KnownCooks(program, self._facts)
        self.of_cook = self._known.of_cook
        self.forget = self._known.forget

    def chosen(self, cook_ids: Sequence[int]) -> tuple[ComparedCook, ...]:
        """These cooks up to now, in this order. Raises JournalProblem. Slow."""
        journal, now_s = self._program.journal, self._program.clock.now_s()
        return tuple(compared(journal.log(cook_id), now_s) for cook_id in cook_ids)

    def walk(self) -> FactsWalk:
        """A walk through all finished cooks, which begins when it is run."""
        return FactsWalk(self._program, self.of_cook, tuple)

    def _facts(self, cook_id: int, _entries: object) -> CookFacts:
        journal = self._program.journal
        return compared(journal.log(cook_id), self._program.clock.now_s()).facts


class FactsWalk(CookWalk[CookFacts, tuple[CookFacts, ...]]):
    """A walk that gathers the facts of each cook."""
