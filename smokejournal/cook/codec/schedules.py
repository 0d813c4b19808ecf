"""The written form of a schedule: plain dictionaries, lists, strings and numbers, ready for JSON.

Reading is strict: a field that is missing, unknown, of the wrong type or outside what can be is
refused with its place, because a schedule that was half understood would run another cook.
Fields that have a default may be left out.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import MISSING, fields
from typing import Any, Final, get_args

from smokejournal.cook.log.schedule import (
    Alert,
    Combine,
    DipMode,
    Direction,
    Ending,
    ForTime,
    Purpose,
    Rule,
    Schedule,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.text.problems import SchemaProblem

#: No pit, meat or threshold is meant to be outside these.
TEMPERATURE_C: Final = (-40.0, 500.0)
#: A week: longer than any stage, short enough that a slip of the keyboard shows.
DURATION_S: Final = (1.0, 7 * 86400.0)
PROVE_S: Final = (0.0, 86400.0)
DIP_C: Final = (0.0, 100.0)
#: From 1990 to 2200, in UTC seconds.
CLOCK_S: Final = (631152000.0, 7258118400.0)
LONGEST_NAME: Final = 200
LONGEST_INSTRUCTION: Final = 4000
MOST_STAGES: Final = 200
MOST_RULES: Final = 20

RULE_KINDS: Final[dict[str, type[Rule]]] = {
    rule.kind: rule for rule in (UntilTemperature, ForTime, UntilClock, UntilSaid)
}

_CHOICES: Final[dict[str, tuple[str, ...]]] = {
    "direction": get_args(Direction),
    "dip_mode": get_args(DipMode),
    "combine": get_args(Combine),
    "alert": get_args(Alert),
    "ending": get_args(Ending),
    "purpose": get_args(Purpose),
}
_RANGES: Final[dict[str, tuple[float, float]]] = {
    "target_c": TEMPERATURE_C,
    "at_least_c": TEMPERATURE_C,
    "pit_target_c": TEMPERATURE_C,
    "prove_s": PROVE_S,
    "duration_s": DURATION_S,
    "dip_c": DIP_C,
    "dip_s": PROVE_S,
    "at_s": CLOCK_S,
    "guard_s": DURATION_S,
}
_MAY_BE_NONE: Final = frozenset({"at_least_c", "pit_target_c", "guard_s"})
_LENGTHS: Final[dict[str, tuple[int, int]]] = {
    "key": (1, LONGEST_NAME),
    "name": (0, LONGEST_NAME),
    "channel": (1, LONGEST_NAME),
    "instruction": (0, LONGEST_INSTRUCTION),
}


def schedule_to_json(schedule: Schedule) -> dict[str, Any]:
    """The written form of `schedule`. Every field is written, also where it has its default."""
    return {
        "name": schedule.name,
        "stages": [_stage_to_json(stage) for stage in schedule.stages],
    }


def schedule_from_json(data: object) -> Schedule:
    """The schedule that `data` is the written form of; SchemaProblem says what is wrong and where."""
    return read_schedule(data, "schedule")


def read_schedule(data: object, where: str) -> Schedule:
    """Like `schedule_from_json`, for a schedule that stands at `where` within something larger."""
    given = _mapping(data, where, ("name", "stages"), ())
    name = _text("name", given.get("name", ""), f"{where}.name")
    written = given.get("stages", [])
    if not isinstance(written, Sequence) or isinstance(written, str | bytes):
        raise SchemaProblem(f"{where}.stages", "This must be a list of stages.")
    if len(written) > MOST_STAGES:
        raise SchemaProblem(f"{where}.stages", f"There can be {MOST_STAGES} stages at most.")
    stages = tuple(_stage(item, f"{where}.stages[{n}]") for n, item in enumerate(written))
    seen: set[str] = set()
    for n, stage in enumerate(stages):
        if stage.key in seen:
            raise SchemaProblem(
                f"{where}.stages[{n}].key", f"Two stages have the key “{stage.key}”."
            )
        seen.add(stage.key)
    return Schedule(name=name, stages=stages)


def validate_schedule(schedule: Schedule, where: str = "schedule") -> None:
    """SchemaProblem where `schedule` holds something that could not be read back."""
    if read_schedule(schedule_to_json(schedule), where) != schedule:
        raise SchemaProblem(where, "This schedule does not read back as it was written.")


def _stage_to_json(stage: Stage) -> dict[str, Any]:
    data = {f.name: getattr(stage, f.name) for f in fields(Stage)}
    data["rules"] = [
        {"kind": rule.kind} | {f.name: getattr(rule, f.name) for f in fields(rule)}
        for rule in stage.rules
    ]
    return data


def _stage(data: object, where: str) -> Stage:
    given = _mapping(data, where, [f.name for f in fields(Stage)], ("key", "name"))
    values = {
        name: _value(name, value, f"{where}.{name}")
        for name, value in given.items()
        if name != "rules"
    }
    if "rules" in given:
        written = given["rules"]
        if not isinstance(written, Sequence) or isinstance(written, str | bytes):
            raise SchemaProblem(f"{where}.rules", "This must be a list of finish rules.")
        if len(written) > MOST_RULES:
            raise SchemaProblem(
                f"{where}.rules", f"There can be {MOST_RULES} finish rules at most."
            )
        values["rules"] = tuple(
            _rule(item, f"{where}.rules[{n}]") for n, item in enumerate(written)
        )
    return Stage(**values)


def _rule(data: object, where: str) -> Rule:
    if not isinstance(data, Mapping):
        raise SchemaProblem(where, "This must be a finish rule with its kind.")
    kind = data.get("kind")
    rule_type = RULE_KINDS.get(kind) if isinstance(kind, str) else None
    if rule_type is None:
        known = ", ".join(RULE_KINDS)
        raise SchemaProblem(
            f"{where}.kind", f"This kind of finish rule is not known. Known: {known}."
        )
    needed = [f.name for f in fields(rule_type) if f.default is MISSING]
    given = _mapping(data, where, ["kind", *(f.name for f in fields(rule_type))], needed)
    return rule_type(
        **{
            name: _value(name, value, f"{where}.{name}")
            for name, value in given.items()
            if name != "kind"
        }
    )


def _mapping(
    data: object, where: str, known: Sequence[str], needed: Sequence[str]
) -> Mapping[str, Any]:
    if not isinstance(data, Mapping):
        raise SchemaProblem(where, "This must be a set of named fields.")
    for name in data:
        if name not in known:
            raise SchemaProblem(f"{where}.{name}", "This field is not known to this version.")
    for name in needed:
        if name not in data:
            raise SchemaProblem(f"{where}.{name}", "This field is missing.")
    return data


def _value(name: str, value: object, where: str) -> Any:
    if name in _CHOICES:
        if not isinstance(value, str) or value not in _CHOICES[name]:
            raise SchemaProblem(where, f"This must be one of: {', '.join(_CHOICES[name])}.")
        return value
    if name in _LENGTHS:
        return _text(name, value, where)
    if value is None and name in _MAY_BE_NONE:
        return None
    low, high = _RANGES[name]
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise SchemaProblem(where, "This must be a number.")
    # A whole number too long for a float cannot be converted, so it is compared as it is.
    if not (low <= value <= high) or not math.isfinite(value):
        raise SchemaProblem(where, f"This must lie between {low:g} and {high:g}.")
    return float(value)


def _text(name: str, value: object, where: str) -> str:
    if not isinstance(value, str):
        raise SchemaProblem(where, "This must be text.")
    shortest, longest = _LENGTHS[name]
    if not shortest <= len(value) <= longest:
        raise SchemaProblem(where, f"This must have {shortest} to {longest} characters.")
    try:
        value.encode()
    except UnicodeEncodeError:
        raise SchemaProblem(where, "This text holds a broken character.") from None
    return value
