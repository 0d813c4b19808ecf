"""When the lid was up, read off the entries. Everything that speaks of the lid asks here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from smokejournal.cook.log.entries import Entry, Lid


@dataclass(frozen=True, slots=True)
class LidSpan:
    """One opening: from when until when (UTC seconds; None: still open), and the entries of both."""

    from_s: float
    to_s: float | None
    opened_id: int
    closed_id: int | None = None

    def length_s(self, now_s: float) -> float:
        """How long it was up [s]; of one that is still open, so far."""
        return max(0.0, (now_s if self.to_s is None else self.to_s) - self.from_s)


def lid_spans(entries: Sequence[Entry]) -> tuple[LidSpan, ...]:
    """The openings in order of time. `entries` hold and are in order of time.

    Opened while it is open is the same opening; closed while it is closed says nothing.
    """
    spans: list[LidSpan] = []
    opened: Entry | None = None
    for entry in entries:
        if not isinstance(entry.what, Lid):
            continue
        if entry.what.open:
            opened = opened or entry
        elif opened is not None:
            spans.append(LidSpan(opened.at_s, entry.at_s, opened.id, entry.id))
            opened = None
    if opened is not None:
        spans.append(LidSpan(opened.at_s, None, opened.id))
    return tuple(spans)
