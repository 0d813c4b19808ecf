"""A cook in one line, read off its entries."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from typing import Any, get_args

from smokejournal.cook.log import entries as kinds
from smokejournal.cook.log.cook_log import holding
from smokejournal.cook.log.entries import Entry, Payload
from smokejournal.cook.log.ranges import LAST_S
from smokejournal.journal.changes import CookLine, CookState

#: The kinds of entries that a line is read off. Others leave it as it is.
LINE_KINDS: tuple[str, ...] = tuple(
    kind.kind
    for kind in (
        kinds.CookOpened,
        kinds.CookRenamed,
        kinds.ItemAdded,
        kinds.PrepStep,
        kinds.ScheduleStarted,
        kinds.Spritz,
        kinds.FuelAdded,
        kinds.StoreUsed,
        kinds.Note,
        kinds.Photo,
        kinds.Tasted,
        kinds.NextTime,
        kinds.CookClosed,
        kinds.CookPutAway,
        kinds.Strike,
    )
)
#: The scale of the mark that a line shows.
OVERALL = "overall"


def line_of(cook_id: int, opened_s: float, entries: Sequence[Entry]) -> CookLine:
    """The line of a cook with these entries; `opened_s` is when it was begun on paper."""
    title = zone = place = ""
    simulated = away = False
    wanted_s: float | None = None
    started_s: float | None = None
    over_s: float | None = None
    pieces: list[tuple[str, float | None]] = []
    overall: list[int] = []
    for entry in holding(entries):
        match entry.what:
            case kinds.CookOpened() as opened:
                title, zone, place = opened.title, opened.zone, opened.place
                simulated, opened_s = opened.simulated, entry.at_s
                wanted_s = opened.ready_at_s
            case kinds.CookRenamed() as renamed:
                title, wanted_s = renamed.title, renamed.ready_at_s
                place = place if renamed.place is None else renamed.place
            case kinds.ScheduleStarted() if started_s is None:
                started_s = entry.at_s
            case kinds.CookClosed(ended_s=ended_s):
                over_s = entry.at_s if ended_s is None else ended_s
            case kinds.CookPutAway(away=put_away):
                away = put_away
            case kinds.ItemAdded(name=name, mass_kg=mass_kg):
                pieces.append((name, mass_kg))
            case kinds.Tasted(marks=marks) if OVERALL in marks:
                overall.append(marks[OVERALL])
            case _:
                pass
    state: CookState = "planned"
    if over_s is not None:
        state = "finished"
    elif started_s is not None:
        state = "under way"
    return CookLine(
        id=cook_id,
        title=title,
        zone=zone,
        opened_s=opened_s,
        started_s=started_s,
        over_s=over_s,
        wanted_s=wanted_s,
        simulated=simulated,
        away=away,
        items=", ".join(_piece(name, mass_kg) for name, mass_kg in pieces),
        state=state,
        overall=sum(overall) / len(overall) if overall else None,
        place=place,
        pieces=tuple(pieces),
    )


def _piece(name: str, mass_kg: float | None) -> str:
    return name if mass_kg is None else f"{name} {mass_kg:.3g} kg"


def search_text(entries: Sequence[Entry]) -> str:
    """All that a person may look for in a cook, one part a line, with capitals folded."""
    words = [text for entry in holding(entries) for text in _texts(entry.what) if text]
    return "\n".join(dict.fromkeys(words)).casefold()


def _texts(what: Payload) -> Iterator[str]:
    match what:
        case kinds.CookOpened(title=title, place=place):
            yield from (title, place)
        case kinds.CookRenamed(title=title, place=place):
            yield from (title, place or "")
        case kinds.ItemAdded(name=name, label=label, bought_at=bought_at):
            yield from (name, label, bought_at)
        case kinds.PrepStep(step=step, text=text):
            yield from (step, text)
        case kinds.Spritz(liquid=liquid):
            yield liquid
        case kinds.FuelAdded(lot=lot):
            yield lot
        case kinds.StoreUsed(name=name):
            yield name
        case kinds.Photo(caption=caption):
            yield caption
        case kinds.Tasted(text=text, taster=taster):
            yield from (text, taster)
        case kinds.Note(text=text) | kinds.NextTime(text=text):
            yield text
        case _:
            pass


def row_of(line: CookLine, search: str) -> dict[str, Any]:
    """The line as its table holds it."""
    return {
        "cook_id": line.id,
        "sort_ms": ms(line.opened_s if line.started_s is None else line.started_s),
        "opened_ms": ms(line.opened_s),
        "started_ms": None if line.started_s is None else ms(line.started_s),
        "closed_ms": None if line.over_s is None else ms(line.over_s),
        "wanted_ms": None if line.wanted_s is None else ms(line.wanted_s),
        "title": line.title,
        "zone": line.zone,
        "place": line.place,
        "simulated": int(line.simulated),
        "away": int(line.away),
        "state": line.state,
        "items": line.items,
        "pieces": json.dumps(line.pieces, ensure_ascii=False),
        "overall": line.overall,
        "search": search,
    }


class UnreadLine(ValueError):
    """A row of the table of lines holds none: bytes of it were spoilt."""


def line_from(row: Any) -> CookLine:
    """The line that a row of its table holds. UnreadLine where it is none that `row_of` gives."""
    for name in ("title", "zone", "place", "items", "search"):
        if not isinstance(row[name], str):
            raise UnreadLine(f"{name} is no text")
    if row["state"] not in get_args(CookState):
        raise UnreadLine(f"state is {row['state']!r}")
    overall = row["overall"]
    if overall is not None and not (isinstance(overall, float) and math.isfinite(overall)):
        raise UnreadLine(f"overall is {overall!r}")
    return CookLine(
        id=row["cook_id"],
        title=row["title"],
        zone=row["zone"],
        opened_s=_moment(row, "opened_ms"),
        started_s=None if row["started_ms"] is None else _moment(row, "started_ms"),
        over_s=None if row["closed_ms"] is None else _moment(row, "closed_ms"),
        wanted_s=None if row["wanted_ms"] is None else _moment(row, "wanted_ms"),
        simulated=bool(row["simulated"]),
        away=bool(row["away"]),
        items=row["items"],
        state=row["state"],
        overall=overall,
        place=row["place"],
        pieces=_pieces(row["pieces"]),
    )


def _moment(row: Any, name: str) -> float:
    at_ms = row[name]
    if not isinstance(at_ms, int) or not 0 <= at_ms <= LAST_S * 1000:
        raise UnreadLine(f"{name} is {at_ms!r}")
    return at_ms / 1000


def _pieces(text: str) -> tuple[tuple[str, float | None], ...]:
    try:
        pieces = tuple((name, mass_kg) for name, mass_kg in json.loads(text))
    except (ValueError, TypeError, RecursionError) as problem:
        raise UnreadLine(f"pieces can't be read: {problem}") from problem
    for name, mass_kg in pieces:
        if not isinstance(name, str) or not isinstance(mass_kg, float | int | None):
            raise UnreadLine(f"pieces hold {name!r}, {mass_kg!r}")
    return pieces


def ms(at_s: float) -> int:
    """UTC seconds as the whole milliseconds that are kept."""
    return round(at_s * 1000)
