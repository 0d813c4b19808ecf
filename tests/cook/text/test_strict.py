"""The strict reader: what the annotations of a dataclass allow, and the place of what they don't."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any, ClassVar, Literal, TypeAlias

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import (
    IN_FULL,
    AtMost,
    EachOnce,
    Filled,
    OneOf,
    Range,
    TextSize,
    WrittenAs,
    Zone,
    read,
    written,
)


@dataclass(frozen=True, slots=True)
class Hot:
    kind: ClassVar[str] = "hot"
    target_c: Annotated[float, Range(0, 500, "°C")]


@dataclass(frozen=True, slots=True)
class Said:
    kind: ClassVar[str] = "said"


Rule: TypeAlias = Hot | Said


@dataclass(frozen=True, slots=True)
class Step:
    key: Filled
    rules: Annotated[tuple[Rule, ...], AtMost(2)] = (Said(),)


@dataclass(frozen=True, slots=True)
class Whole:
    newest: ClassVar[int] = 2
    name: Annotated[str, TextSize(1, 5)]
    mass_kg: Annotated[float, Range(0, 5000, "kg", above=True)] | None = None
    count: Annotated[int, Range(1, 2**53)] = 1
    sort: Literal["", "thaw"] = ""
    stop: Annotated[float, OneOf((1.0, 1.5))] = 1.0
    asked: bool = False
    steps: Annotated[tuple[Step, ...], EachOnce("key"), IN_FULL] = ()
    keys: Annotated[tuple[Filled, ...], EachOnce()] = ()
    pair: tuple[Annotated[float, Range(0, 9, "ohm")], Annotated[float, Range(0, 9, "°C")]] = (1, 2)
    marks: Mapping[str, Annotated[int, Range(1, 5)]] = field(default_factory=dict)
    shape: Annotated[str, WrittenAs("type")] = ""
    zone: Zone = "UTC"

    def check_together(self) -> None:
        if self.asked and not self.keys:
            raise SchemaProblem("keys", "Name some.")


wholes = st.builds(
    Whole,
    name=st.text("abc ", min_size=1, max_size=5),
    mass_kg=st.none() | st.floats(0, 5000, exclude_min=True),
    count=st.integers(1, 2**53),
    sort=st.sampled_from(["", "thaw"]),
    stop=st.sampled_from([1.0, 1.5]),
    steps=st.lists(
        st.builds(
            Step,
            st.text("ab", min_size=1),
            st.lists(st.just(Said()) | st.builds(Hot, st.floats(0, 500)), max_size=2).map(tuple),
        ),
        unique_by=lambda step: step.key,
        max_size=3,
    ).map(tuple),
    keys=st.lists(st.text("ab", min_size=1), unique=True, max_size=3).map(tuple),
    pair=st.tuples(st.floats(0, 9), st.floats(0, 9)),
    marks=st.dictionaries(st.text("ab", min_size=1), st.integers(1, 5), max_size=3),
    shape=st.text("ab"),
)


@given(wholes, st.booleans())
def test_it_reads_back_through_json_what_it_writes(whole: Whole, in_full: bool) -> None:
    text = json.dumps(written(whole, in_full=in_full), allow_nan=False)
    assert read(Whole, json.loads(text)) == whole


def test_only_what_is_not_at_its_default_is_written_but_all_of_it_where_it_says_so() -> None:
    assert written(Whole("a")) == {"name": "a"}
    assert written(Whole("a", steps=(Step("s"),), shape="B")) == {
        "name": "a",
        "steps": [{"key": "s", "rules": [{"kind": "said"}]}],
        "type": "B",
    }
    # True equals 1 and is another thing.
    assert written(Whole("a", count=True)) == {"name": "a", "count": True}


BAD: list[tuple[dict[str, Any], str, str]] = [
    ({"name": ""}, "name", "Write something here."),
    ({"name": "abcdef"}, "name", "Shorten this to 5 characters."),
    ({"name": 5}, "name", "Give a text."),
    ({"name": "a\0"}, "name", "Take out the characters that can't be written."),
    ({"name": "\ud800"}, "name", "Take out the characters that can't be written."),
    ({"mass_kg": 0}, "mass_kg", "Give a number above 0 kg and up to 5 000 kg."),
    ({"mass_kg": float("nan")}, "mass_kg", "Give a number above 0 kg and up to 5 000 kg."),
    ({"mass_kg": float("inf")}, "mass_kg", "Give a number above 0 kg and up to 5 000 kg."),
    ({"mass_kg": 10**400}, "mass_kg", "Give a number above 0 kg and up to 5 000 kg."),
    ({"mass_kg": True}, "mass_kg", "Give a number."),
    ({"mass_kg": "1"}, "mass_kg", "Give a number."),
    ({"count": 1.0}, "count", "Give a whole number."),
    ({"count": True}, "count", "Give a whole number."),
    ({"count": 0}, "count", "Give a number from 1 to 9.007199255e+15."),
    ({"count": 2**53 + 1}, "count", "Give a number from 1 to 9.007199255e+15."),
    ({"sort": "soak"}, "sort", "Choose one of: '', thaw."),
    ({"sort": []}, "sort", "Choose one of: '', thaw."),
    ({"stop": 1.2}, "stop", "Choose one of: 1.0, 1.5."),
    ({"stop": True}, "stop", "Choose one of: 1.0, 1.5."),
    ({"stop": 10**400}, "stop", "Choose one of: 1.0, 1.5."),
    ({"asked": 1}, "asked", "Give yes or no."),
    ({"asked": True}, "keys", "Name some."),
    ({"steps": "ab"}, "steps", "Give a list."),
    ({"steps": [{}]}, "steps[0].key", "This field is missing."),
    ({"steps": [3]}, "steps[0]", "Give a set of named fields."),
    ({"steps": [{"key": "a"}, {"key": "a"}]}, "steps[1].key", "“a” is there twice. Each needs its own."),
    ({"steps": [{"key": " "}]}, "steps[0].key", "Write something here."),
    ({"steps": [{"key": "a", "rules": [{}] * 3}]}, "steps[0].rules", "There can be 2 at most."),
    ({"steps": [{"key": "a", "rules": [{}]}]}, "steps[0].rules[0].kind", "Choose one of: hot, said."),
    ({"steps": [{"key": "a", "rules": [{"kind": []}]}]}, "steps[0].rules[0].kind", "Choose one of: hot, said."),
    ({"steps": [{"key": "a", "rules": [7]}]}, "steps[0].rules[0]", "Give a set of named fields."),
    (
        {"steps": [{"key": "a", "rules": [{"kind": "said"}, {"kind": "hot", "target_c": 501}]}]},
        "steps[0].rules[1].target_c",
        "Give a number from 0 °C to 500 °C.",
    ),
    ({"keys": ["a", "a"]}, "keys", "Name each only once."),
    ({"keys": ["a", ""]}, "keys[1]", "Write something here."),
    ({"pair": [1]}, "pair", "Give a list of these: ohm, °C."),
    ({"pair": [1, None]}, "pair[1]", "Give a number."),
    ({"marks": []}, "marks", "Give a set of named fields."),
    ({"marks": {"smoke": 6}}, "marks.smoke", "Give a number from 1 to 5."),
    ({"type": None}, "type", "Give a text."),
    ({"shape": "B"}, "shape", "This version doesn't know this field."),
    ({"kind": "whole"}, "kind", "This version doesn't know this field."),
    ({"zone": "../../etc/passwd"}, "zone", "Choose a time zone by its name, as in Europe/Paris."),
    ({"zone": "Europe"}, "zone", "Choose a time zone by its name, as in Europe/Paris."),
    ({"version": 3}, "version", "This was written by a newer version. Set it up again."),
    ({"version": True}, "version", "This was written by a newer version. Set it up again."),
]  # fmt: skip


@pytest.mark.parametrize(("change", "where", "message"), BAD)
def test_what_is_wrong_is_named_with_its_place(
    change: dict[str, Any], where: str, message: str
) -> None:
    with pytest.raises(SchemaProblem) as refused:
        read(Whole, {"name": "a"} | change, "top")
    assert (refused.value.where, refused.value.message) == (f"top.{where}", message)


def test_a_field_without_a_default_is_missed_and_no_fields_are_refused() -> None:
    for data, where in (({}, "name"), ([], ""), (None, "")):
        with pytest.raises(SchemaProblem) as refused:
            read(Whole, data)
        assert refused.value.where == where


def test_numbers_are_read_as_what_they_mean() -> None:
    found = read(Whole, {"name": "a", "mass_kg": 3, "stop": 1, "pair": [1, 2], "version": 1})
    assert [type(found.mass_kg), type(found.stop), *map(type, found.pair)] == [float] * 4


json_values = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=8,
)


@given(st.dictionaries(st.sampled_from(sorted(Whole.__slots__)), json_values))
def test_anything_else_is_read_or_refused_but_never_breaks(data: dict[str, Any]) -> None:
    found: Whole | SchemaProblem
    try:
        found = read(Whole, {"name": "a"} | data)
    except SchemaProblem as problem:
        found = problem
    if isinstance(found, SchemaProblem):
        assert found.message.endswith(".")
    else:
        assert read(Whole, json.loads(json.dumps(written(found)))) == found
