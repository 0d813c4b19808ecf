"""Patterns: an exact round trip, and a plain refusal of what is damaged, foreign, newer or hostile.

The published schema (JSON Schema 2020-12) is held against the reader by the library jsonschema.
"""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from smokejournal.cook.codec.field_lines import line_of
from smokejournal.cook.codec.patterns import (
    LARGEST_BYTES,
    PatternProblem,
    pattern_text,
    read_pattern,
)
from smokejournal.cook.log.entries import ItemAdded, PrepStep
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.cook.plan.pattern import Pattern, pattern_of, payloads_of, schedule_pattern
from smokejournal.cook.plan.plan import Plan
from tests.cook.codec.test_entries import PAYLOADS, channels, name, schedules

SCHEMA = json.loads(
    (Path(__file__).parents[3] / "resources" / "schemas" / "pattern-1.schema.json").read_text(
        "utf-8"
    )
)
CHECKER = jsonschema.Draft202012Validator(SCHEMA)

LOAF = Pattern(
    "Meat loaf",
    items=(ItemAdded("meat loaf", "ground", mass_kg=1.2, channel="c1", target_c=72.0),),
    prep=(
        PrepStep("mix", "keep it cold", 1200.0, key="p1", sort="other"),
        PrepStep("rest in the cold", duration_s=3600.0, key="p2", longest_s=86400.0),
    ),
    probes=(Channel("c1", "probe 1", "meat", place="center"), Channel("c2", "pit", "pit")),
    lead="c1",
    margin_s=900.0,
    schedule=Schedule(
        "Loaf",
        (
            Stage("s1", "Smoke", (UntilTemperature(72.0),), pit_target_c=120.0),
            Stage("s2", "Rest", (ForTime(900.0),)),
        ),
    ),
)


def named(probe: Channel) -> Channel:
    return Channel(probe.key, probe.name, probe.role, place=probe.place)


@st.composite
def patterns(draw: st.DrawFn) -> Pattern:
    probes = draw(st.lists(channels.map(named), max_size=3, unique_by=lambda p: p.key))
    keys = [p.key for p in probes]
    lead = draw(st.sampled_from(["", *keys]))
    check = draw(st.sampled_from(["", *keys])) if lead else ""
    steps = draw(st.lists(PAYLOADS["prep_step"], max_size=3, unique_by=lambda s: s.key))
    return Pattern(
        name=draw(name),
        items=tuple(draw(st.lists(PAYLOADS["item"], max_size=3))),
        prep=tuple(steps),
        probes=tuple(probes),
        lead=lead,
        check=check if check != lead else "",
        margin_s=draw(st.floats(0, 86400)),
        schedule=draw(schedules),
    )


@settings(suppress_health_check=[HealthCheck.too_slow], max_examples=40, deadline=None)
@given(patterns())
def test_round_trip_is_exact_and_fits_the_published_schema(pattern: Pattern) -> None:
    written = pattern_text(pattern)
    assert read_pattern(written.encode()) == pattern
    CHECKER.validate(json.loads(written))


def test_a_plan_becomes_a_pattern_without_its_day_its_shop_and_its_corrections() -> None:
    plan = Plan(
        title="Ribs",
        ready_at_s=1.7e9,
        items=(
            (4, ItemAdded("ribs", bought_at="market", price=9.0, currency="EUR", ready_at_s=5.0)),
        ),
        prep=((7, PrepStep("rub")),),
        channels={"c1": Channel("c1", "probe 1", offset_c=1.5, probe_id=3, simulated=True)},
        lead="c1",
    )
    pattern = pattern_of(plan)
    assert pattern.items == (ItemAdded("ribs"),)
    assert pattern.prep == (PrepStep("rub", key="p1"),)
    assert pattern.probes == (Channel("c1", "probe 1"),)
    assert read_pattern(pattern_text(pattern).encode()) == pattern
    assert [p.kind for p in payloads_of(pattern)] == ["item", "prep_step", "channel", "lead"]


def test_a_schedule_alone_is_told_from_a_plan() -> None:
    assert schedule_pattern(LOAF.schedule, "Loaf").only_schedule
    assert not LOAF.only_schedule


def changed(path: list[str | int], value: Any) -> bytes:
    data = json.loads(pattern_text(LOAF))
    inner = data
    for part in path[:-1]:
        inner = inner[part]
    if value is None:
        del inner[path[-1]]
    else:
        inner[path[-1]] = value
    return json.dumps(data, indent=2).encode()


@pytest.mark.parametrize(
    ("path", "value", "where"),
    [
        (["items", 0, "mass_kg"], -1, "items[0].mass_kg"),
        (["items", 0, "mass_kg"], "1.2", "items[0].mass_kg"),
        (["items", 0, "name"], None, "items[0].name"),
        (["items", 0, "color"], "red", "items[0].color"),
        (["prep", 1, "sort"], "soak", "prep[1].sort"),
        (["probes", 1, "offset_c"], 2.0, "probes[1].offset_c"),
        (["probes", 0, "role"], "beast", "probes[0].role"),
        (["lead"], 7, "lead"),
        (
            ["schedule", "stages", 0, "rules", 0, "target_c"],
            9000,
            "schedule.stages[0].rules[0].target_c",
        ),
        (
            ["schedule", "stages", 1, "rules", 0, "kind"],
            "until_dusk",
            "schedule.stages[1].rules[0].kind",
        ),
        (["margin_s"], -5, "margin_s"),
        (["name"], "  ", "name"),
        (["more"], 1, "more"),
        (["items"], {}, "items"),
    ],
)
def test_a_wrong_field_is_named_with_its_line(
    path: list[str | int], value: Any, where: str
) -> None:
    content = changed(path, value)
    with pytest.raises(PatternProblem) as refused:
        read_pattern(content)
    problem = refused.value
    assert problem.where == where
    assert problem.line is not None
    line = content.decode().split("\n")[problem.line - 1]
    field = str(path[-1])
    assert value is None or f'"{field}"' in line
    assert problem.message.startswith(f"Line {problem.line}, {where}: ")
    # What the published schema refuses, the program refuses too.
    assert not CHECKER.is_valid(json.loads(content))


def test_what_no_schema_can_say_is_refused_too() -> None:
    for path, value, where in (
        (["lead"], "c9", "lead"),
        (["check"], "c1", "check"),
        (["prep", 1, "key"], "p1", "prep[1].key"),
        (["probes", 1, "key"], "c1", "probes[1].key"),
    ):
        with pytest.raises(PatternProblem) as refused:
            read_pattern(changed(path, value))
        assert refused.value.where == where


@pytest.mark.parametrize(
    ("content", "says", "line"),
    [
        (b"", "not JSON", 1),
        (b'{"format": "smokejournal pattern",\n "version": 1,\n "name": }', "not JSON", 3),
        (b'{"format": "something else", "version": 1}', "not a pattern of this program", 1),
        (b"[1, 2]", "not a pattern of this program", 1),
        (b'{\n"format": "smokejournal pattern",\n"version": 2, "name": "x"}', "newer version", 3),
        (b'{"format": "smokejournal pattern", "version": true, "name": "x"}', "whole number", 1),
        (b'{"format": "smokejournal pattern", "version": 1, "name": "\xff"}', "UTF-8", 1),
        (
            b'{"format": "smokejournal pattern", "version": 1, "name": "x", "margin_s": NaN}',
            "NaN",
            None,
        ),
        (b'{"version": 1,\n"name": "x",\n"name": "y"}', "twice", 3),
        (b"[" * 200_000, "deeper", None),
        (b'{"version": ' + b"9" * 5000 + b"}", "number", None),
        (b" " * (LARGEST_BYTES + 1), "larger than any pattern", None),
        (
            b'{"format": "smokejournal pattern", "version": 1, "name": "a\\u0000b"}',
            "hidden characters",
            1,
        ),
        (
            b'{"format": "smokejournal pattern", "version": 1, "name": "\\ud800"}',
            "can't be written",
            1,
        ),
    ],
)
def test_damaged_foreign_newer_and_hostile_files_are_refused(
    content: bytes, says: str, line: int | None
) -> None:
    with pytest.raises(PatternProblem) as refused:
        read_pattern(content)
    assert says in refused.value.message
    assert refused.value.line == line


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_spoilt_file_is_read_or_refused_but_never_breaks(data: st.DataObject) -> None:
    content = bytearray(pattern_text(LOAF).encode())
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(content) - 1))
        if data.draw(st.booleans()):
            content[at] = data.draw(st.integers(0, 255))
        else:
            del content[at : at + data.draw(st.integers(1, 40))]
    found: Pattern | PatternProblem
    try:
        found = read_pattern(bytes(content))
    except PatternProblem as problem:
        found = problem
    if isinstance(found, PatternProblem):
        assert found.message
        assert found.line is None or 1 <= found.line <= content.count(b"\n") + 1
    else:
        assert read_pattern(pattern_text(found).encode()) == found


def test_a_byte_order_mark_and_other_line_ends_do_no_harm() -> None:
    written = pattern_text(LOAF)
    assert read_pattern(b"\xef\xbb\xbf" + written.encode()) == LOAF
    assert read_pattern(written.replace("\n", "\r\n").encode()) == LOAF


def test_lines_of_fields() -> None:
    doc = '{\n "a": [\n  1,\n  {"b": "x,]}",\n   "c": [[2], 3]}\n ],\n "d": {}\n}'
    for where, line in (("", 1), ("a", 2), ("a[0]", 3), ("a[1]", 4), ("a[1].c", 5), ("d", 7)):
        assert line_of(doc, where) == line
    # What isn't there is told by what should hold it.
    for where, line in (("e", 1), ("a[1].z", 4), ("a[7]", 2), ("d.x", 7), ("a[0].y", 3)):
        assert line_of(doc, where) == line


def test_a_name_may_not_be_missing() -> None:
    with pytest.raises(PatternProblem):
        read_pattern(pattern_text(LOAF).replace('"name": "Meat loaf",', "").encode())
    with pytest.raises(ValueError):
        pattern_text(replace(LOAF, name=" "))
