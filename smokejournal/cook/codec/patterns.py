"""The written form of a pattern: a small JSON file that a person can read and change.

`resources/schemas/pattern-1.schema.json` says what may stand in it. Reading is strict: what is damaged,
unknown, from a newer version or of another program is refused with its line and its field.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any, Final, cast

from smokejournal.cook.codec.entries import MAX_DURATION_S, encode, read_payload
from smokejournal.cook.codec.field_lines import line_of
from smokejournal.cook.codec.schedules import schedule_to_json
from smokejournal.cook.log.entries import ChannelSet, ItemAdded, LeadSet, PrepStep
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.plan.pattern import Pattern
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import read
from smokejournal.cook.text.translate import translate

FORMAT: Final = "smokejournal pattern"
VERSION: Final = 1
#: More than any plan; a file beyond it is something else.
LARGEST_BYTES: Final = 1_000_000
LONGEST_NAME: Final = 200
MOST: Final = 200
_FIELDS: Final = (
    "format", "version", "name", "margin_s", "items", "prep", "probes", "lead", "check", "schedule",
)  # fmt: skip
_PROBE: Final = frozenset({"key", "name", "role", "place"})


class PatternProblem(ValueError):
    """A file that can't be used. `line` from 1 (None: the whole file), `where` the field ("": none).

    `message` names both and says what is wrong.
    """

    def __init__(self, message: str, line: int | None = None, where: str = "") -> None:
        self.line = line
        self.where = where
        if line is not None and where:
            told = translate("Pattern", "Line {line}, {field}: {why}").format(
                line=line, field=where, why=message
            )
        elif line is not None:
            told = translate("Pattern", "Line {line}: {why}").format(line=line, why=message)
        else:
            told = message
        super().__init__(told)
        self.message = told


def pattern_text(pattern: Pattern) -> str:
    """The pattern as the text of a file. SchemaProblem where it holds what can't be written."""
    data: dict[str, Any] = {"format": FORMAT, "version": VERSION, "name": pattern.name}
    if pattern.margin_s:
        data["margin_s"] = pattern.margin_s
    data["items"] = [encode(item)[1] for item in pattern.items]
    data["prep"] = [encode(step)[1] for step in pattern.prep]
    data["probes"] = [encode(ChannelSet(probe))[1]["channel"] for probe in pattern.probes]
    for name, key in (("lead", pattern.lead), ("check", pattern.check)):
        if key:
            data[name] = key
    if pattern.schedule != Schedule():
        data["schedule"] = schedule_to_json(pattern.schedule)
    _pattern(data)
    return json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def read_pattern(content: bytes) -> Pattern:
    """The pattern that a file holds. PatternProblem says what is wrong, and on which line."""
    if len(content) > LARGEST_BYTES:
        raise PatternProblem(
            translate("Pattern", "This file is larger than any pattern: {size} bytes.").format(
                size=len(content)
            )
        )
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = content.count(b"\n", 0, problem.start) + 1
        raise PatternProblem(
            translate("Pattern", "This is not text in UTF-8, as patterns are."), line
        ) from problem
    data = _json(text)
    try:
        return _pattern(data)
    except SchemaProblem as problem:
        raise PatternProblem(problem.message, line_of(text, problem.where), problem.where) from None


def _json(text: str) -> object:
    twice: list[str] = []

    def once(pairs: list[tuple[str, object]]) -> dict[str, object]:
        found = dict(pairs)
        if len(found) < len(pairs):
            names = [name for name, _ in pairs]
            twice.extend(name for name in found if names.count(name) > 1)
        return found

    def no_number(word: str) -> object:
        raise ValueError(
            translate("Pattern", "“{word}” is no number that a plan can have.").format(word=word)
        )

    try:
        data = json.loads(text, object_pairs_hook=once, parse_constant=no_number)
    except json.JSONDecodeError as problem:
        raise PatternProblem(
            translate("Pattern", "This is not JSON: {why}.").format(why=problem.msg), problem.lineno
        ) from problem
    except RecursionError as problem:
        raise PatternProblem(
            translate("Pattern", "Brackets within brackets, deeper than any pattern.")
        ) from problem
    except ValueError as problem:
        # Also a whole number with thousands of digits, which Python refuses.
        raise PatternProblem(
            translate("Pattern", "A number in it can't be read: {why}").format(why=problem)
        ) from problem
    if twice:
        name = twice[0]
        line = text.count("\n", 0, text.rfind(json.dumps(name, ensure_ascii=False))) + 1
        raise PatternProblem(
            translate("Pattern", "This field is there twice. Leave one of them."), line, name
        )
    return data


def _pattern(data: object) -> Pattern:
    if not isinstance(data, Mapping) or data.get("format") != FORMAT:
        raise SchemaProblem(
            "format",
            translate(
                "Pattern", "This is no pattern of this program: “{format}” is missing."
            ).format(format=FORMAT),
        )
    version = data.get("version")
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise SchemaProblem("version", translate("Pattern", "Give the version, a whole number."))
    if version > VERSION:
        raise SchemaProblem(
            "version",
            translate(
                "Pattern", "A newer version of this program wrote it. Bring the program up to date."
            ),
        )
    for name in data:
        if name not in _FIELDS:
            raise SchemaProblem(
                str(name), translate("Pattern", "This version doesn't know this field.")
            )
    probes = tuple(_probe(item, f"probes[{n}]") for n, item in enumerate(_list(data, "probes")))
    return Pattern(
        name=_name(data.get("name")),
        items=tuple(
            cast(ItemAdded, read_payload(ItemAdded.kind, item, f"items[{n}]"))
            for n, item in enumerate(_list(data, "items"))
        ),
        prep=_steps(_list(data, "prep")),
        probes=_once(probes),
        **_leading(data, probes),
        margin_s=_margin(data.get("margin_s", 0)),
        schedule=read(Schedule, data["schedule"], "schedule") if "schedule" in data else Schedule(),
    )


def _name(value: object) -> str:
    if not isinstance(value, str) or not value.strip() or len(value) > LONGEST_NAME:
        raise SchemaProblem(
            "name",
            translate("Pattern", "Give a name of 1 to {count} characters.").format(
                count=LONGEST_NAME
            ),
        )
    if "\0" in value or any("\ud800" <= letter <= "\udfff" for letter in value):
        raise SchemaProblem(
            "name", translate("Pattern", "Take out the characters that can't be written.")
        )
    return value


def _margin(value: object) -> float:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if not number or not 0 <= cast(float, value) <= MAX_DURATION_S:
        raise SchemaProblem(
            "margin_s",
            translate("Pattern", "Give a number of seconds from 0 to {most}.").format(
                most=f"{MAX_DURATION_S:.0f}"
            ),
        )
    return float(cast(float, value))


def _list(data: Mapping[str, object], name: str) -> Sequence[object]:
    value = data.get(name, [])
    if not isinstance(value, list):
        raise SchemaProblem(name, translate("Pattern", "This must be a list."))
    if len(value) > MOST:
        raise SchemaProblem(
            name, translate("Pattern", "There can be {count} at most.").format(count=MOST)
        )
    return value


def _steps(written: Sequence[object]) -> tuple[PrepStep, ...]:
    steps = tuple(
        cast(PrepStep, read_payload(PrepStep.kind, item, f"prep[{n}]"))
        for n, item in enumerate(written)
    )
    seen: set[str] = set()
    for n, step in enumerate(steps):
        if step.key and step.key in seen:
            raise SchemaProblem(
                f"prep[{n}].key", translate("Pattern", "Another step has this key already.")
            )
        seen.add(step.key)
    return steps


def _probe(value: object, where: str) -> Channel:
    if isinstance(value, Mapping):
        for name in value:
            if name not in _PROBE:
                raise SchemaProblem(
                    f"{where}.{name}", translate("Pattern", "This version doesn't know this field.")
                )
    try:
        payload = read_payload(ChannelSet.kind, {"channel": value}, where)
    except SchemaProblem as problem:
        # In the file a probe stands by itself, not within an entry.
        field = problem.where.replace(f"{where}.channel", where, 1)
        raise SchemaProblem(field, problem.message) from problem
    assert isinstance(payload, ChannelSet)
    return payload.channel


def _once(probes: tuple[Channel, ...]) -> tuple[Channel, ...]:
    seen: set[str] = set()
    for n, probe in enumerate(probes):
        if probe.key in seen:
            raise SchemaProblem(
                f"probes[{n}].key", translate("Pattern", "Another probe has this key already.")
            )
        seen.add(probe.key)
    return probes


def _leading(data: Mapping[str, object], probes: Sequence[Channel]) -> dict[str, str]:
    keys = {probe.key for probe in probes}
    found: dict[str, str] = {"lead": "", "check": ""}
    for name in found:
        if name not in data:
            continue
        value = data[name]
        if not isinstance(value, str) or value not in keys:
            raise SchemaProblem(name, translate("Pattern", "Give the key of one of the probes."))
        found[name] = value
    if found["check"] and not found["lead"]:
        raise SchemaProblem("check", translate("Pattern", "Say first which probe leads."))
    if found["lead"]:
        read_payload(LeadSet.kind, {"lead": found["lead"], "check": found["check"] or None}, "")
    return found
