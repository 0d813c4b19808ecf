"""How far the machine's clock is from the time that a cook goes by."""

from __future__ import annotations

from collections.abc import Iterable

from smokejournal.cook.log.entries import ClockSet, Entry


def ahead_in(entries: Iterable[Entry]) -> float:
    """By how much the machine's clock is ahead of the log's times [s], by its last entry of that."""
    ahead_s = 0.0
    for entry in entries:
        if isinstance(entry.what, ClockSet):
            ahead_s = entry.what.ahead_s
    return ahead_s
