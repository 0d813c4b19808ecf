"""Stand-ins made by hand, for what a test must be able to hold still."""

from __future__ import annotations


class FixedClock:
    """A clock that stands until it is set."""

    def __init__(self, now_s: float = 1_780_000_000.0) -> None:
        self.at_s = now_s

    def now_s(self) -> float:
        """The moment that was set."""
        return self.at_s

    def forward(self, by_s: float) -> None:
        """Let time pass."""
        self.at_s += by_s
