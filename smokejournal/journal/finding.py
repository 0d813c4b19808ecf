"""What cooks are looked for by besides words, and what a search shows of each."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from smokejournal.cook.log.entries import FoodClass
from smokejournal.cook.log.written_texts import TextSort


@dataclass(frozen=True, slots=True)
class CookFilter:
    """What a cook must be; None or "" where it may be anything. What nobody wrote down fits no limit.

    `food` is a kind of food in it, `overall` the least mean of its overall marks (1 to 5), `first_day`
    and `last_day` the days (both included, by the cook's own zone) between which its day is. The air
    was once from `air_from_c` to `air_to_c` [°C], the wind once `wind_m_s` [m/s] or more. `lot` is the
    name of pellets that were put in.
    """

    food: FoodClass | None = None
    overall: float | None = None
    first_day: datetime.date | None = None
    last_day: datetime.date | None = None
    air_from_c: float | None = None
    air_to_c: float | None = None
    wind_m_s: float | None = None
    lot: str = ""

    def __bool__(self) -> bool:
        return self != _ANY


_ANY = CookFilter()


@dataclass(frozen=True, slots=True)
class FoundText:
    """The text that a search found: of which entry and sort, when that happened (UTC seconds), and where
    in it what was looked for stands, as (from, to) of its characters. On one line."""

    entry_id: int
    at_s: float
    sort: TextSort
    text: str
    marks: Sequence[tuple[int, int]] = ()
