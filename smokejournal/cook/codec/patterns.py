"""The written form of a pattern: a small JSON file that a person can read and change.

`resources/schemas/pattern-1.schema.json` says what may stand in it. Reading is strict: what is damaged,
unknown, from a newer version or of another program is refused with its line and its field.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, Final

from smokejournal.cook.codec.entries import validate
from smokejournal.cook.codec.field_lines import line_of
from smokejournal.cook.codec.schedules import schedule_to_json
from smokejournal.cook.log.entries import LeadSet
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.plan.pattern import Pattern
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import read, written
from smokejournal.cook.text.translate import translate

FORMAT: Final = "smokejournal pattern"
VERSION: Final = 1
#: More than any plan; a file beyond it is something else.
LARGEST_BYTES: Final = 1_000_000
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
    data["items"] = [written(item) for item in pattern.items]
    data["prep"] = [written(step) for step in pattern.prep]
    data["probes"] = [written(probe) for probe in pattern.probes]
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
            translate("Pattern", "“{word}” is not a number a plan can have.").format(word=word)
        )

    try:
        data = json.loads(text, object_pairs_hook=once, parse_constant=no_number)
    except json.JSONDecodeError as problem:
        raise PatternProblem(
            translate("Pattern", "This is not JSON: {why}.").format(why=problem.msg), problem.lineno
        ) from problem
    except RecursionError as problem:
        raise PatternProblem(
            translate("Pattern", "The brackets go deeper than in any pattern.")
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
                "Pattern", "This is not a pattern of this program: “{format}” is missing."
            ).format(format=FORMAT),
        )
    version = data.get("version")
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise SchemaProblem("version", translate("Pattern", "Give the version, a whole number."))
    if version > VERSION:
        raise SchemaProblem(
            "version",
            translate("Pattern", "A newer version of this program wrote it. Update the program."),
        )
    pattern = read(
        Pattern, {name: data[name] for name in data if name not in ("format", "version")}, new=True
    )
    for n, probe in enumerate(data.get("probes", ())):
        for name in sorted(probe.keys() - _PROBE):
            raise SchemaProblem(
                f"probes[{n}].{name}",
                translate("Pattern", "A pattern has no such field. Take it out."),
            )
    _check_leading(pattern, data)
    return pattern


def _check_leading(pattern: Pattern, data: Mapping[str, object]) -> None:
    keys = {probe.key for probe in pattern.probes}
    for name in ("lead", "check"):
        if name in data and data[name] not in keys:
            raise SchemaProblem(name, translate("Pattern", "Give the key of one of the probes."))
    if pattern.check:
        if not pattern.lead:
            raise SchemaProblem("check", translate("Pattern", "Say first which probe leads."))
        validate(LeadSet(pattern.lead, pattern.check))
