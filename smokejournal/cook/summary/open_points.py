"""What was written for next time and not answered yet, over all earlier cooks of the like."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from smokejournal.cook.log.entries import Entry, NextTime, Note
from smokejournal.cook.text.translate import translate


@dataclass(frozen=True, slots=True)
class OpenPoint:
    """A wish for next time, from which cook, and when it was written (UTC seconds)."""

    text: str
    title: str
    at_s: float


def taken_over(text: str) -> Note:
    """The note by which a plan takes a wish over."""
    return Note(translate("LastTime", "From last time: {text}").format(text=text))


def let_go(text: str) -> Note:
    """The note by which a plan says that a wish no longer holds."""
    return Note(translate("LastTime", "No longer wanted: {text}").format(text=text))


def open_points(cooks: Sequence[tuple[str, Sequence[Entry]]]) -> tuple[OpenPoint, ...]:
    """The wishes that no later cook took over or let go, the newest first.

    `cooks` are titles with the entries that hold, the oldest cook first. A wish that is written again
    is one point, as old as when it was written last.
    """
    points: dict[str, OpenPoint] = {}
    for title, entries in cooks:
        said = {entry.what.text for entry in entries if isinstance(entry.what, Note)}
        for text in list(points):
            if taken_over(text).text in said or let_go(text).text in said:
                del points[text]
        for entry in entries:
            if isinstance(entry.what, NextTime):
                points.pop(entry.what.text, None)
                points[entry.what.text] = OpenPoint(entry.what.text, title, entry.at_s)
    return tuple(reversed(points.values()))
