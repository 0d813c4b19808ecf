"""The written form of entries, and what their fields must be to each other.

An entry is written as the name of its kind and a JSON object of its fields. What a field may hold is said
on it (`log.entries`). The rules of the form:

- A field that holds its default is not written. So a default, once released, never changes, and a
  field that is added later stays unseen by older versions until it says something.
- A field that is missing and has no default, a field that isn't known, a value out of its range or a
  kind that isn't known makes the whole entry `Unread`: half an entry could mean something else than
  the whole. It is kept and shown with the reason, and nothing follows from it.
- Reading never raises for what it finds in a file. `validate` raises `SchemaProblem` for what is
  about to be written, with the same checks and those for new names.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any, get_args

from smokejournal.cook.log import entries as kinds
from smokejournal.cook.log.entries import Payload, Unread
from smokejournal.cook.safety.tables import OWN, WrongTable, chosen_table
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import read, written
from smokejournal.cook.text.translate import translate

#: Every kind that can be written, by the name it is written under.
ENTRY_KINDS: dict[str, type[Payload]] = {
    kind.kind: kind for kind in get_args(Payload) if kind is not Unread
}


def encode(payload: Payload) -> tuple[str, dict[str, Any]]:
    """The kind of a payload and its fields as JSON holds them. What is unread goes as it came."""
    if isinstance(payload, Unread):
        return payload.written_kind, dict(payload.data)
    return payload.kind, written(payload)


def decode(kind: str, data: object) -> Payload:
    """The payload that was written so, or `Unread` with the reason. Never raises."""
    known = ENTRY_KINDS.get(kind) if isinstance(kind, str) else None
    try:
        if known is None:
            raise SchemaProblem(
                "", translate("EntryCodec", "This version doesn't know this kind of entry.")
            )
        payload = read(known, data)
        _check_together(payload)
    except SchemaProblem as problem:
        kept = dict(data) if isinstance(data, Mapping) else {"value": data}
        return Unread(written_kind=str(kind), data=kept, why=str(problem))
    return payload


def checked(payload: Payload) -> Payload:
    """The payload as it will be read back (5 becomes 5.0 where a length is meant).

    Raises SchemaProblem where a field is out of its range, and for what is unread.
    """
    if isinstance(payload, Unread):
        raise SchemaProblem(
            "", translate("EntryCodec", "An entry that can't be read can't be written again.")
        )
    same = read(type(payload), written(payload), new=True)
    _check_together(same)
    return same


def validate(payload: Payload) -> None:
    """Raises SchemaProblem where the payload can't be written as it is."""
    checked(payload)


def encode_text(payload: Payload) -> tuple[str, str]:
    """The kind of a payload and its fields as JSON text."""
    kind, data = encode(payload)
    return kind, json.dumps(data, ensure_ascii=False, separators=(",", ":"))


def decode_text(kind: str, text: str) -> Payload:
    """The payload that was written as this JSON text, or `Unread`. Never raises."""
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as problem:
        return Unread(written_kind=kind, data={"text": text}, why=str(problem))
    return decode(kind, data)


def _rises_together(probe_c: Sequence[float], since_s: Sequence[float]) -> bool:
    return len(probe_c) == len(since_s) > 1 and all(
        list(values) == sorted(values) for values in (probe_c, since_s)
    )


def _check_together(payload: Payload) -> None:
    """What several fields must be to each other."""
    match payload:
        case kinds.LeadSet(lead=lead, check=check) if check == lead:
            raise SchemaProblem(
                "check", translate("EntryCodec", "Choose another probe to check the lead probe.")
            )
        case kinds.WeatherObserved(report=report, fetched_from=host) if (
            payload == kinds.WeatherObserved(report=report, fetched_from=host)
        ):
            raise SchemaProblem("", translate("EntryCodec", "Give at least one thing observed."))
        case kinds.WeatherObserved(wind_m_s=float(wind), gust_m_s=float(gust)) if gust < wind:
            raise SchemaProblem(
                "gust_m_s", translate("EntryCodec", "Gusts can't be slower than the wind.")
            )
        case kinds.SafetySet():
            _check_safety(payload)
        case kinds.Tasted(text=text, marks=marks, faults=faults) if not (
            marks or text.strip() or faults
        ):
            raise SchemaProblem("text", translate("EntryCodec", "Write a word or give a mark."))
        case kinds.ForecastMade(low_s=low_s, mid_s=mid_s, high_s=high_s):
            # What lies beyond the horizon is later than everything within it.
            moments = [math.inf if s is None else s for s in (low_s, mid_s, high_s)]
            if moments != sorted(moments):
                raise SchemaProblem(
                    "mid_s", translate("EntryCodec", "Give moments in order of time.")
                )
        case kinds.FuelForeseen(low_s=low_s, mid_s=mid_s, high_s=high_s) if not (
            low_s <= mid_s <= high_s
        ):
            raise SchemaProblem("mid_s", translate("EntryCodec", "Give moments in order of time."))
        case kinds.PieceFound(mean=mean, sd=sd, why=why, directions=directions, course=course):
            # Model 1 gave each parameter a mean, later ones give directions.
            if set(sd) != set(mean).union(*(one.weights for one in directions)):
                raise SchemaProblem(
                    "sd",
                    translate("EntryCodec", "Give a spread for each parameter, and for no other."),
                )
            if bool(mean or directions) == bool(why):
                raise SchemaProblem(
                    "why",
                    translate("EntryCodec", "Say why nothing was found, and only then."),
                )
            if course is not None and not _rises_together(course.probe_c, course.since_s):
                raise SchemaProblem(
                    "course",
                    translate("EntryCodec", "Give a moment for each temperature, both rising."),
                )
        case kinds.TimeExplained(parts=parts):
            if len({part.name for part in parts}) < len(parts):
                raise SchemaProblem("parts", translate("EntryCodec", "Give each part once."))
            if any(part.low_s > part.high_s for part in parts):
                raise SchemaProblem(
                    "parts", translate("EntryCodec", "Give the lower end of a range first.")
                )
        case kinds.ReadingsStruck(from_s=from_s, to_s=to_s) if to_s < from_s:
            raise SchemaProblem(
                "to_s", translate("EntryCodec", "Give an end that is not before the beginning.")
            )
        case _:
            pass


def _check_safety(said: kinds.SafetySet) -> None:
    """A table of another food is never written, and D and z never by halves."""
    try:
        table = chosen_table(said)
    except WrongTable as problem:
        raise SchemaProblem(
            "table",
            translate(
                "EntryCodec",
                "This table was made for another food and falls short here. Choose one for this food.",
            ),
        ) from problem
    if table == OWN:
        for name in ("d_s", "z_k", "reference_c", "from_c", "to_c", "target_log"):
            if getattr(said, name) is None:
                raise SchemaProblem(name, translate("EntryCodec", "This field is missing."))
    if said.from_c is not None and said.to_c is not None and said.to_c <= said.from_c:
        raise SchemaProblem(
            "to_c", translate("EntryCodec", "Give an end that is above the beginning.")
        )
