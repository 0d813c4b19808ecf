"""A cook's log: entries and readings, and which of them hold."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from smokejournal.cook.log.entries import Entry, ItemAdded, Payload, ReadingsStruck, Strike
from smokejournal.cook.log.items import with_names_now
from smokejournal.cook.log.readings import EMPTY_TRACE, Trace

P = TypeVar("P", bound=Payload)


def struck_ids(entries: Iterable[Entry]) -> frozenset[int]:
    """Ids of the entries that a strike in force strikes.

    A strike can only be struck by a later one, so the latest decides first.
    """
    struck: set[int] = set()
    for entry in sorted(entries, key=lambda e: e.id, reverse=True):
        what = entry.what
        if isinstance(what, Strike) and entry.id not in struck and what.entry_id < entry.id:
            struck.add(what.entry_id)
    return frozenset(struck)


def holding(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Entries that hold, in the order in which they happened; strikes themselves left out.

    Two of the same moment keep the order in which they were written. What was said of an item that has
    another name since is about its name now.
    """
    struck = struck_ids(entries)
    kept = [e for e in entries if e.id not in struck and not isinstance(e.what, Strike)]
    kept.sort(key=lambda e: (e.at_s, e.id))
    # Without an edit every item still has its first name.
    edited = struck and any(e.id in struck and isinstance(e.what, ItemAdded) for e in entries)
    return with_names_now(entries, kept) if edited else tuple(kept)


@dataclass(frozen=True)
class CookLog:
    """Everything that was written about one cook. Nothing here is derived.

    `entries` in the order of writing, struck ones included; `traces` raw, by channel key.
    """

    cook_id: int
    entries: tuple[Entry, ...] = ()
    traces: Mapping[str, Trace] = field(default_factory=dict)

    def holding(self) -> tuple[Entry, ...]:
        """Entries that hold, in the order in which they happened."""
        return holding(self.entries)

    def of(self, kind: type[P]) -> list[tuple[Entry, P]]:
        """Entries of one kind that hold, each with its payload."""
        return [(e, e.what) for e in self.holding() if isinstance(e.what, kind)]

    def trace(self, channel: str) -> Trace:
        """The raw readings of a channel that are not struck; empty where there are none."""
        trace = self.traces.get(channel, EMPTY_TRACE)
        for _, struck in self.of(ReadingsStruck):
            if struck.channel == channel and len(trace):
                keep = (trace.at_s < struck.from_s) | (trace.at_s > struck.to_s)
                trace = Trace(trace.at_s[keep], trace.value_c[keep])
        return trace
