"""A walk through all finished cooks, one after the other, that can be watched and ended."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Generic, TypeVar

from smokejournal.cook.log.entries import Entry
from smokejournal.services.program.program import Program

Of = TypeVar("Of")
Told = TypeVar("Told")


class KnownCooks(Generic[Of]):
    """What `work` made of each cook, kept until an entry is added to it. It may be used from any thread.

    Whoever holds it says with `forget` that readings came to a cook: no entry tells of those.
    """

    def __init__(self, program: Program, work: Callable[[int, tuple[Entry, ...]], Of]) -> None:
        self._program, self._work = program, work
        self._lock = threading.Lock()
        self._known: dict[int, tuple[int, Of]] = {}

    def forget(self, cook_id: int) -> None:
        """Work it out again when it is asked for."""
        with self._lock:
            self._known.pop(cook_id, None)

    def of_cook(self, cook_id: int) -> Of:
        """What was made of one cook. Raises JournalProblem. Slow the first time."""
        entries = self._program.journal.entries(cook_id)
        last = entries[-1].id if entries else 0
        with self._lock:
            found = self._known.get(cook_id)
        if found is not None and found[0] == last:
            return found[1]
        made = self._work(cook_id, tuple(entries))
        with self._lock:
            self._known[cook_id] = (last, made)
        return made


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
