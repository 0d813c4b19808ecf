"""The fold of a log that grows, kept so that going back costs little.

Copies of the state are kept along the way. What is written late, struck or asked of the past is read
on from the last copy before it; the answer is the one that `fold` gives.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from smokejournal.cook.log.cook_log import CookLog, struck_ids
from smokejournal.cook.log.entries import Entry, ReadingsStruck, Strike
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.progress.progress import TELLING, Progress, entry_key, reading_key
from smokejournal.cook.progress.standing import Standing

APART = 4096
"""A copy is kept after so many readings: an hour of one reading a second is about as many."""
MOST = 24
"""So many copies are kept: each holds some minutes of every channel."""
NEWEST = 4
"""These are kept whatever lies between them: what is written late is mostly of a moment ago."""


class KeptFold:
    """Where a cook stands at any moment. Give it the log as it is, and tell it what was written."""

    def __init__(self, apart: int = APART, most: int = MOST) -> None:
        self._apart = apart
        self._most = most
        self._kept: list[Progress] = []
        self._tip = Progress()
        self._answer: Standing | None = None

    def standing(self, log: CookLog, now_s: float) -> Standing:
        """What `fold` answers. Asked again for the same moment it answers at once."""
        if self._answer is None or self._answer.at_s != now_s:
            self._answer = self._walked(log, now_s).standing(now_s)
        return self._answer

    def read(self, log: CookLog) -> None:
        """Read the whole log, so that what is asked of it later costs little."""
        self._walked(log, float("inf"))

    def changed(
        self, before: Sequence[Entry], entries: Sequence[Entry], readings: Iterable[Reading]
    ) -> None:
        """Forget what was read of the log after the first event that these change.

        `before` are the entries written so far, `entries` and `readings` what came to them.
        """
        if not any(isinstance(entry.what, Strike) for entry in entries):
            touched = [*entries]
        else:
            now_and_before = struck_ids([*before, *entries]) ^ struck_ids(before)
            touched = [*entries, *(e for e in before if e.id in now_and_before)]
        keys = [entry_key(e) for e in touched if isinstance(e.what, TELLING)]
        keys += [(e.what.from_s, 0, "", 0) for e in touched if isinstance(e.what, ReadingsStruck)]
        keys += [reading_key(reading) for reading in readings]
        if not keys:
            return
        first = min(keys)
        self._answer = None
        while self._kept and self._kept[-1].last >= first:
            self._kept.pop()
        if self._tip.last >= first:
            self._tip = self._kept[-1].copy() if self._kept else Progress()

    def _walked(self, log: CookLog, until_s: float) -> Progress:
        """The state after all that happened up to a moment."""
        if self._tip.at_s <= until_s:
            self._tip.walk(log, until_s, self._keep)
            return self._tip
        # The tip stays where it is: the next one to ask may ask for now again.
        earlier = (kept for kept in reversed(self._kept) if kept.at_s <= until_s)
        start = next(earlier, None)
        progress = Progress() if start is None else start.copy()
        progress.walk(log, until_s)
        return progress

    def _keep(self, progress: Progress) -> None:
        if progress.readings - (self._kept[-1].readings if self._kept else 0) < self._apart:
            return
        self._kept.append(progress.copy())
        if len(self._kept) > self._most:
            del self._kept[self._least_missed()]

    def _least_missed(self) -> int:
        """The older copy that leaves the smallest gap, so that they stay about evenly apart."""
        read = [0, *(kept.readings for kept in self._kept)]
        older = range(max(1, len(self._kept) - NEWEST))
        return min(older, key=lambda n: read[n + 2] - read[n] if n + 2 < len(read) else 0)
