"""What time it is, as something that is handed in. Only here does the program read the clock."""

from __future__ import annotations

import time
from typing import Protocol


class Clock(Protocol):
    """A source of UTC seconds."""

    def now_s(self) -> float:
        """UTC seconds since 1970."""
        ...


class SystemClock:
    """The machine's clock."""

    def now_s(self) -> float:
        """UTC seconds since 1970."""
        return time.time()


class PacedClock:
    """A clock for practice that runs `pace` times as fast as the machine's.

    `anchor_real_s` and `anchor_shown_s` tie the two together; kept in the journal they let a program
    that is started again go on in the same practice time.
    """

    def __init__(self, pace: float, anchor_real_s: float, anchor_shown_s: float) -> None:
        if not pace > 0:
            raise ValueError(f"pace is a number above 0, not {pace}")
        self.pace = pace
        self.anchor_real_s = anchor_real_s
        self.anchor_shown_s = anchor_shown_s

    def now_s(self) -> float:
        """UTC seconds since 1970 as practice counts them."""
        return self.anchor_shown_s + (time.time() - self.anchor_real_s) * self.pace
