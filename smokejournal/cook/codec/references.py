"""What the written form of an entry says of other entries, of cooks and of probes by their numbers.

Numbers hold within one journal. An entry that is carried to another one is given the numbers there.
Besides the fields that hold a number there are keys made of one (`item_key`, `step_key`), also inside
longer ones: those of a timetable ("on:12", "prep:e12") and of alarms ("step_over:e12:1700000000").
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

#: The fields that hold a key, by the kind of entry.
_KEYS: Final = {
    "item": "key",
    "prep_step": "key",
    "step_begun": "step",
    "step_ended": "step",
    "step_extended": "step",
    "step_skipped": "step",
    "alarm_raised": "key",
    "alarm_acknowledged": "key",
}
_OWN: Final = re.compile(r"(?P<before>e?)(?P<number>[1-9]\d{0,15})(?P<after>)", re.ASCII)
_PLANNED: Final = re.compile(
    r"(?P<before>on:|rest:|prep:e)(?P<number>[1-9]\d{0,15})(?P<after>)", re.ASCII
)
_ALARM: Final = re.compile(
    r"(?P<before>fuel_(?:empty|low|short):|step_(?:longest|over|begin):e)"
    r"(?P<number>[1-9]\d{0,15})(?P<after>(?::.*)?)",
    re.ASCII | re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class Numbers:
    """Which number is which now. An entry that isn't in `entries` keeps its own; a cook or probe that
    isn't in `cooks` or `probes` is named no more."""

    entries: Mapping[int, int]
    cooks: Mapping[int, int]
    probes: Mapping[int, int]


def renumbered(kind: str, data: Mapping[str, Any], numbers: Numbers) -> dict[str, Any]:
    """The fields of an entry of this kind, in their written form, with other numbers in them."""
    found = dict(data)
    if kind == "strike":
        found["entry_id"] = _number(data.get("entry_id"), numbers.entries, data.get("entry_id"))
    elif kind == "times_kept" and isinstance(data.get("starts"), Mapping):
        found["starts"] = {
            _key(key, _PLANNED, numbers): start for key, start in data["starts"].items()
        }
    elif kind in _KEYS and _KEYS[kind] in data:
        pattern = _ALARM if kind.startswith("alarm") else _OWN
        found[_KEYS[kind]] = _key(data[_KEYS[kind]], pattern, numbers)
    elif kind == "cook_opened":
        _name_again(found, "again_of", numbers.cooks)
    elif kind == "channel" and isinstance(data.get("channel"), Mapping):
        found["channel"] = dict(data["channel"])
        _name_again(found["channel"], "probe_id", numbers.probes)
    return found


def cook_named(kind: str, data: Mapping[str, Any]) -> int | None:
    """The number of the cook that an entry names; None where it names none."""
    return _whole(data.get("again_of")) if kind == "cook_opened" else None


def probe_named(kind: str, data: Mapping[str, Any]) -> int | None:
    """The number of the probe that an entry names; None where it names none."""
    channel = data.get("channel") if kind == "channel" else None
    return _whole(channel.get("probe_id")) if isinstance(channel, Mapping) else None


def _name_again(fields: dict[str, Any], name: str, numbers: Mapping[int, int]) -> None:
    number = _number(fields.pop(name, None), numbers, None)
    if number is not None:
        fields[name] = number


def _number(value: object, numbers: Mapping[int, int], otherwise: Any) -> Any:
    number = _whole(value)
    return otherwise if number is None else numbers.get(number, otherwise)


def _whole(value: object) -> int | None:
    return value if isinstance(value, int) and not isinstance(value, bool) else None


def _key(key: Any, pattern: re.Pattern[str], numbers: Numbers) -> Any:
    match = pattern.fullmatch(key) if isinstance(key, str) else None
    if match is None:
        return key
    number = int(match["number"])
    return f"{match['before']}{numbers.entries.get(number, number)}{match['after']}"
