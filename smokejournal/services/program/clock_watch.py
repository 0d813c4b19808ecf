"""Notices that the machine's clock was set while a cook is under way, and writes it in its log."""

from __future__ import annotations

import logging
from dataclasses import dataclass

from smokejournal.cook.log.clock import ahead_in
from smokejournal.cook.log.entries import ClockSet
from smokejournal.journal import Journal, JournalProblem
from smokejournal.services.program.clock import SteadyClock

_log = logging.getLogger(__name__)

#: So far apart [s] the clocks are worth a word. Network time moves less without a step.
JUMP_S = 5.0
#: So far apart [s] the program's clock takes the machine's time while no cook is under way.
DRIFT_S = 0.5


@dataclass(frozen=True, slots=True)
class ClockMoved:
    """The machine's clock was set by `by_s` and is now `ahead_s` ahead of what the cook goes by [s]."""

    cook_id: int
    by_s: float
    ahead_s: float


class ClockWatch:
    """Compares the two clocks; to be asked each second on one thread."""

    def __init__(self, journal: Journal, clock: SteadyClock) -> None:
        self._journal = journal
        self._clock = clock
        #: How far the machine's clock is ahead by each cook's log [s].
        self._said: dict[int, float] = {}

    def look(self) -> tuple[ClockMoved, ...]:
        """What is new, written in the log of each cook under way.

        Without such a cook the program takes the machine's time. Raises JournalProblem.
        """
        ahead_s = self._clock.ahead_s()
        if abs(ahead_s) < DRIFT_S and not any(self._said.values()):
            return ()
        under_way = cooks_under_way(self._journal)
        if not under_way:
            _log.info("The machine's clock was set by %.1f s; it is followed", ahead_s)
            self._clock.follow()
            self._said.clear()
            return ()
        moved = [self._moved(cook_id, ahead_s) for cook_id in under_way]
        return tuple(each for each in moved if each is not None)

    def _moved(self, cook_id: int, ahead_s: float) -> ClockMoved | None:
        said_s = self._said.get(cook_id)
        if said_s is None:
            said_s = ahead_in(self._journal.entries(cook_id))
        self._said[cook_id] = said_s
        if abs(ahead_s - said_s) < JUMP_S:
            return None
        self._said[cook_id] = ahead_s
        now_s = self._clock.now_s()
        _log.warning("The machine's clock was set by %.1f s in cook %d", ahead_s - said_s, cook_id)
        self._journal.append(cook_id, ClockSet(ahead_s), now_s, now_s)
        return ClockMoved(cook_id, ahead_s - said_s, ahead_s)


def cooks_under_way(journal: Journal) -> tuple[int, ...]:
    """Every cook that is started and not closed, newest first, of the last fifty."""
    return tuple(line.id for line in journal.cooks(limit=50) if line.state == "under way")


def steady_clock(journal: Journal) -> SteadyClock:
    """A clock that goes on in the time of the newest cook under way, else the machine's."""
    try:
        newest = next(iter(cooks_under_way(journal)), None)
        return SteadyClock(0.0 if newest is None else ahead_in(journal.entries(newest)))
    except JournalProblem as problem:  # which whoever shows the cook says
        _log.warning("Whether the clock was set in the cook under way can't be read: %s", problem)
        return SteadyClock()
