"""Notices that the machine slept while a cook is under way."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass

from smokejournal.journal import Journal
from smokejournal.services.program.clock import Clock
from smokejournal.services.program.clock_watch import cooks_under_way

_log = logging.getLogger(__name__)

#: So long [s] a sleep must be to be worth a word.
LEAST_S = 10.0


@dataclass(frozen=True, slots=True)
class Slept:
    """The machine slept between these two moments [UTC s], to about a second, in these cooks."""

    from_s: float
    to_s: float
    cook_ids: tuple[int, ...]


class SleepWatch:
    """Compares how long the machine has slept since it was started; to be asked each second on one thread."""

    def __init__(self, journal: Journal, clock: Clock, slept_s: Callable[[], float]) -> None:
        self._journal = journal
        self._clock = clock
        self._slept_s = slept_s
        self._before_s = slept_s()
        self._looked_s = clock.now_s()

    def look(self) -> Slept | None:
        """A sleep since the last look, told once; None without one, or without a cook under way.

        Raises JournalProblem; then the next look tells it.
        """
        slept_s, now_s = self._slept_s(), self._clock.now_s()
        from_s = self._looked_s
        found: Slept | None = None
        if slept_s - self._before_s >= LEAST_S:
            under_way = cooks_under_way(self._journal)
            _log.warning("The machine slept for %.0f s", slept_s - self._before_s)
            found = Slept(from_s, now_s, under_way) if under_way else None
        self._before_s, self._looked_s = slept_s, now_s
        return found
