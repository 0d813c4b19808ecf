"""What time it is, as something that is handed in. Only here does the program read the clock."""

from __future__ import annotations

import importlib
import sys
import time
from collections.abc import Callable
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


def since_boot_s() -> float:
    """Seconds by a clock that nobody sets and that goes on while the machine sleeps."""
    if sys.platform == "linux":
        return time.clock_gettime(time.CLOCK_BOOTTIME)
    if sys.platform == "darwin":  # where time.monotonic() stands still in sleep
        return time.clock_gettime(time.CLOCK_MONOTONIC)
    return time.monotonic()


def slept_s() -> float:
    """Seconds that the machine has slept since it was started, give or take some milliseconds.

    Only differences of it mean anything: what the clocks began at is left to the system.
    """
    if sys.platform == "win32":
        return since_boot_s() - _unbiased_s()
    if sys.platform == "linux":
        return since_boot_s() - time.clock_gettime(time.CLOCK_MONOTONIC)
    return since_boot_s() - time.monotonic()


def _unbiased_s() -> float:
    """Windows' time since boot without sleep, which it counts in steps of 100 ns."""
    ctypes = importlib.import_module("ctypes")
    steps = ctypes.c_ulonglong()
    ctypes.windll.kernel32.QueryUnbiasedInterruptTime(ctypes.byref(steps))
    return float(steps.value) * 1e-7


class SteadyClock:
    """The machine's clock as it stood at the start, whatever it is set to afterwards.

    Network time, a hand or a battery that was empty may set the machine's clock in the middle of a
    cook. Holds and traces then go on in the time they began in. `ahead_s` is how far the machine's
    clock was ahead of this one when it stopped the last time.
    """

    def __init__(
        self,
        ahead_s: float = 0.0,
        wall_s: Callable[[], float] = time.time,
        boot_s: Callable[[], float] = since_boot_s,
    ) -> None:
        self._wall_s = wall_s
        self._boot_s = boot_s
        self._boot_at_s = wall_s() - ahead_s - boot_s()

    def now_s(self) -> float:
        """UTC seconds since 1970."""
        return self._boot_at_s + self._boot_s()

    def ahead_s(self) -> float:
        """How far the machine's clock is ahead of this one; below 0 where it is behind."""
        return self._wall_s() - self.now_s()

    def follow(self) -> None:
        """Show what the machine's clock shows from now on."""
        self._boot_at_s = self._wall_s() - self._boot_s()


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
