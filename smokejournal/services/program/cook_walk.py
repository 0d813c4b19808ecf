"""A walk through all finished cooks, one after the other, that can be watched and ended."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Generic, TypeVar

from smokejournal.services.program.program import Program

Of = TypeVar("Of")
Told = TypeVar("Told")


class CookWalk(Generic[Of, Told]):
    """One walk. `done` of `total` cooks were read so far; both may be looked at from any thread."""

    def __init__(
        self,
        program: Program,
        of_cook: Callable[[int], Of],
        gathered: Callable[[list[Of]], Told],
    ) -> None:
        self._program, self._of_cook, self._gathered = program, of_cook, gathered
        self._stop = threading.Event()
        self.done = 0
        self.total = 0

    def cancel(self) -> None:
        """End it after the cook that is being read. What was read is kept for the next walk."""
        self._stop.set()

    def run(self) -> Told | None:
        """Read every finished cook; None where it was cancelled. Raises JournalProblem. Slow."""
        lines = [line for line in self._program.cooks() if line.state == "finished"]
        self.total = len(lines)
        found = []
        for line in lines:
            if self._stop.is_set():
                return None
            found.append(self._of_cook(line.id))
            self.done += 1
        return self._gathered(found)
