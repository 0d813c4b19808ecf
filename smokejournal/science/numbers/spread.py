"""A quantity of which only a likely value and its ends are known: what spoons, cups and tissue give.

The ends are ends of what was published, not multiples of a standard deviation, so they add up end to
end: two cups of the same salt are both heaped or both loose.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import product


@dataclass(frozen=True, slots=True)
class Spread:
    """`low` <= `mid` <= `high`, in one and the same unit."""

    low: float
    mid: float
    high: float

    def __post_init__(self) -> None:
        if not all(map(math.isfinite, (self.low, self.mid, self.high))):
            raise ValueError("a spread needs finite numbers")
        if not self.low <= self.mid <= self.high:
            raise ValueError("a spread needs low <= mid <= high")

    @classmethod
    def exact(cls, value: float) -> Spread:
        """One number, known as it is."""
        return cls(value, value, value)

    @property
    def is_exact(self) -> bool:
        """True where both ends are the same."""
        return self.low == self.high

    def __add__(self, other: Spread) -> Spread:
        return Spread(self.low + other.low, self.mid + other.mid, self.high + other.high)

    def times(self, factor: float) -> Spread:
        """This times a number from zero up."""
        if not factor >= 0:
            raise ValueError("a spread is multiplied by a number from zero up")
        return Spread(self.low * factor, self.mid * factor, self.high * factor)

    def by(self, other: Spread) -> Spread:
        """The product of two spreads, neither of which goes below zero."""
        return Spread(self.low * other.low, self.mid * other.mid, self.high * other.high)


NOTHING = Spread(0.0, 0.0, 0.0)


def computed(sum_of: Callable[..., float], *parts: Spread) -> Spread:
    """`sum_of` of the likely values, with the least and the most it gives at any of their ends.

    The ends hold where `sum_of` rises or falls with each part by itself, as all of brine's sums do.
    """
    corners = [
        sum_of(*corner)
        for corner in product(*(dict.fromkeys((part.low, part.high)) for part in parts))
    ]
    mid = sum_of(*(part.mid for part in parts))
    return Spread(min(mid, *corners), mid, max(mid, *corners))
