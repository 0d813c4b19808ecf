"""What the journal tells those who listen, and what it lists."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from smokejournal.cook.log.entries import Entry
from smokejournal.cook.log.readings import Reading
from smokejournal.journal.finding import FoundText

CookState = Literal["planned", "under way", "finished"]


@dataclass(frozen=True, slots=True)
class Change:
    """What one write has put on disk. `cook_id` is None for what belongs to no cook.

    `reread`: so many readings came to this cook that they aren't told one by one.
    """

    cook_id: int | None = None
    entries: tuple[Entry, ...] = ()
    readings: tuple[Reading, ...] = ()
    new_cook: bool = False
    stores: bool = False
    settings: bool = False
    patterns: bool = False
    probes: bool = False
    reread: bool = False


@dataclass(frozen=True, slots=True)
class CookLine:
    """One cook as the list of cooks shows it.

    `items` is plain text in SI ("pork shoulder 3.2 kg"); `pieces` is the same as (name, mass in kg
    or None), for those who show other units. `overall` is the mean of the overall tasting marks.
    `wanted_s` is when it was wanted at the table; `away` whether it was put away, out of sight.
    `over_s` is when the last stage of a closed cook was over, as was known when it was closed.
    """

    id: int
    title: str
    zone: str
    opened_s: float
    started_s: float | None = None
    over_s: float | None = None
    wanted_s: float | None = None
    simulated: bool = False
    away: bool = False
    items: str = ""
    state: CookState = "planned"
    overall: float | None = None
    place: str = ""
    pieces: tuple[tuple[str, float | None], ...] = ()
    found: FoundText | None = None
    """The text that a search found, where neither title, food nor place show it."""

    @property
    def day_s(self) -> float:
        """The moment whose day is the cook's: when the fire was lit, before that when it was planned."""
        return self.opened_s if self.started_s is None else self.started_s

    def length_s(self, now_s: float) -> float | None:
        """How long it took, of one that is under way so far [s]; None before it began."""
        if self.started_s is None:
            return None
        return max(0.0, (now_s if self.over_s is None else self.over_s) - self.started_s)
