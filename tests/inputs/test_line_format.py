"""Lines to temperatures: nothing raises, nothing is invented, nothing is converted silently."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.inputs.cell import HIGHEST_C, LOWEST_C, Column, to_celsius
from smokejournal.inputs.line_format import LineFormat, ParsedLine, format_from_json
from smokejournal.inputs.line_guess import guess_format, hints

TWO = (Column("1", "pit", "F"), Column("2", "meat", "F"))


def got(parsed: ParsedLine) -> dict[str, float]:
    return {value.channel: round(value.value_c, 3) for value in parsed.values}


def why(parsed: ParsedLine) -> list[str]:
    return [refused.reason for refused in parsed.refused]


def test_delimited_fahrenheit():
    # 225 °F = 107.222 °C and 150 °F = 65.556 °C (NIST SP 811, B.8).
    assert got(LineFormat(columns=TWO).parse("225.0, 150")) == {"pit": 107.222, "meat": 65.556}


def test_kelvin_scale_and_decimal_comma():
    form = LineFormat(
        delimiter=";", decimal=",", columns=(Column("2", "a", "K"), Column("1", "b", "C", 0.1))
    )
    assert got(form.parse("1072;373,15")) == {"a": 100.0, "b": 107.2}


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "empty"),
        ("---", "not a number"),
        ("nan", "not a number"),
        ("inf", "not a number"),
        ("1e999", "no thermometer reads this"),
        ("-500", "no thermometer reads this"),
        ("4000", "no thermometer reads this"),
        ("107,2", "the other decimal mark than set"),
        ("107.2.1", "not a number"),
        ("0x20", "not a number"),
        ("1_0", "not a number"),
        ("٣", "not a number"),
        ("225 F", "another unit than set"),
    ],
)
def test_refused_cells(text, reason):
    form = LineFormat(delimiter=";", columns=(Column("1", "pit", "C"), Column("2", "meat", "C")))
    parsed = form.parse(f"{text};45.5")
    assert got(parsed) == {"meat": 45.5}
    assert why(parsed) == [reason]
    assert parsed.refused[0].source == "1"


@pytest.mark.parametrize("text", ["107.2 °C", "107.2C", "107.2 c", "107.2 degC"])
def test_a_unit_that_agrees_is_read(text):
    assert got(LineFormat(columns=(Column("1", "pit"),)).parse(text)) == {"pit": 107.2}


def test_lines_that_ran_together_are_refused_where_the_width_is_known():
    form = LineFormat(columns=TWO, width=2)
    assert why(form.parse("225.0,15225.0,150")) == ["another number of columns than set"]
    assert why(form.parse("225.0")) == ["another number of columns than set"]


def test_a_short_line_gives_what_it_has():
    parsed = LineFormat(columns=TWO).parse("225.0")
    assert got(parsed) == {"pit": 107.222}
    assert why(parsed) == ["column missing"]


@pytest.mark.parametrize(
    "line",
    [
        "pit=107.2 meat=45.5 n=3",
        "pit: 107.2 C meat: 45.5 C",
        "pit = 107.2 °C  meat = 45.5°C",
    ],
)
def test_key_value(line):
    form = LineFormat("key_value", " ", columns=(Column("pit", "p"), Column("meat", "m")))
    assert got(form.parse(line)) == {"p": 107.2, "m": 45.5}


def test_key_value_with_commas_between():
    form = LineFormat("key_value", ",", columns=(Column("grate 1", "p"),))
    assert got(form.parse("grate 1=107.2, meat=45.5")) == {"p": 107.2}
    assert why(form.parse("grate 1=107.2,grate 1=3")) == ["one key is there twice"]
    assert why(form.parse("ready")) == ["no key=value in it"]


def test_json_lines():
    form = LineFormat(
        "json_lines", columns=(Column("probes.pit", "p"), Column("list.2", "m"), Column("t", "x"))
    )
    parsed = form.parse('{"probes": {"pit": 107.2}, "list": [1, "45.5"], "t": true}')
    assert got(parsed) == {"p": 107.2, "m": 45.5}
    assert why(parsed) == ["not a number"]
    assert why(form.parse("{")) == ["no JSON"]
    assert why(form.parse("12")) == ["JSON without names"]
    assert why(form.parse('{"t":1,"t":2}')) == ["one key is there twice"]
    assert why(form.parse('{"t": NaN, "probes": {"pit": Infinity}, "list": [1, 2]}')) == [
        "not a number",
        "not a number",
    ]
    assert form.parse("[" * 500).values == ()


FORMATS = [
    LineFormat(columns=TWO),
    LineFormat(delimiter=" ", columns=(Column("1", "a"), Column("2", "b", "K", -0.5))),
    LineFormat(delimiter=";", decimal=",", columns=(Column("1", "a"),), width=2),
    LineFormat("key_value", " ", columns=(Column("a", "a"), Column("b", "b", "F"))),
    LineFormat("key_value", ";", ",", columns=(Column("a", "a"),)),
    LineFormat("json_lines", columns=(Column("a", "a"), Column("b.1", "b"))),
]

linelike = st.one_of(
    st.text(max_size=60),
    st.lists(
        st.one_of(
            st.floats(allow_nan=True).map(str),
            st.integers().map(str),
            st.sampled_from(["a=", "b:", " ", ",", ";", "{", "}", '"a":', "C", "°F", "1e400", "["]),
        ),
        max_size=10,
    ).map("".join),
    st.dictionaries(
        st.sampled_from(["a", "b"]),
        st.recursive(
            st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=4),
            lambda inner: st.lists(inner, max_size=3),
        ),
    ).map(json.dumps),
)


@given(linelike, st.sampled_from(FORMATS))
def test_no_line_raises_and_every_number_stands_in_it(line, form):
    parsed = form.parse(line)
    units = {column.source: column for column in form.columns}
    for value in parsed.values:
        assert value.text in line
        column = units[value.source]
        number = float(value.text.replace(",", "."))
        assert value.value_c == pytest.approx(to_celsius(number * column.scale, column.unit))
        assert math.isfinite(value.value_c)
        assert LOWEST_C <= value.value_c <= HIGHEST_C
    assert parsed.values or parsed.refused


@given(st.lists(linelike, max_size=8))
def test_a_guess_never_raises_and_can_be_written_down(lines):
    form = guess_format(lines)
    if len({column.source for column in form.columns}) == len(form.columns) and all(
        0 < len(column.source) <= 100 and len(column.label) <= 200 for column in form.columns
    ):
        assert format_from_json(form.to_json()) == form
    hints(form, lines, {"": "pit"})


@pytest.mark.parametrize("form", FORMATS)
def test_written_form_reads_back(form):
    assert format_from_json(json.loads(json.dumps(form.to_json()))) == form


def test_the_kind_of_the_lines_is_never_guessed():
    with pytest.raises(SchemaProblem) as problem:
        format_from_json({"delimiter": ";"})
    assert problem.value.where == "format.kind"


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"version": 3}, "format.version"),
        ({"kind": "xml"}, "format.kind"),
        ({"delimiter": "ab"}, "format.delimiter"),
        ({"decimal": ","}, "format.decimal"),
        ({"width": 0}, "format.width"),
        ({"color": 1}, "format.color"),
        ({"columns": 3}, "format.columns"),
        ({"columns": [{"source": "a"}]}, "format.columns[0].source"),
        ({"columns": [{"source": "0"}]}, "format.columns[0].source"),
        ({"columns": [{"source": "1", "unit": "R"}]}, "format.columns[0].unit"),
        ({"columns": [{"source": "1", "scale": 0}]}, "format.columns[0].scale"),
        ({"columns": [{"source": "1", "scale": float("nan")}]}, "format.columns[0].scale"),
        ({"columns": [{"source": "1"}, {"source": "1"}]}, "format.columns[1].source"),
        (
            {"columns": [{"source": "1", "channel": "p"}, {"source": "2", "channel": "p"}]},
            "format.columns[1].channel",
        ),
    ],
)
def test_what_cannot_be_written_is_named(change, where):
    with pytest.raises(SchemaProblem) as problem:
        format_from_json(LineFormat(columns=TWO).to_json() | change)
    assert problem.value.where == where


@pytest.mark.parametrize(
    ("lines", "kind", "delimiter", "decimal", "sources", "units"),
    [
        (["1,225.1,150.0", "2,225.3,150.2"], "delimited", ",", ".", ["1", "2", "3"], "CCC"),
        (["107,2;45,3", "107,4;45,3"], "delimited", ";", ",", ["1", "2"], "CC"),
        (["107.2\t45.3", "107.4\t45.3"], "delimited", "\t", ".", ["1", "2"], "CC"),
        (["107.2  45.3", "107.4  45.3"], "delimited", " ", ".", ["1", "2"], "CC"),
        (["107.2", "107.4"], "delimited", ",", ".", ["1"], "C"),
        (["225 F,150 F", "225 F,151 F"], "delimited", ",", ".", ["1", "2"], "FF"),
        (
            ["time,pit_f,meat (C)", "1,225,60", "2,226,61"],
            "delimited",
            ",",
            ".",
            list("123"),
            "CFC",
        ),
        (
            ["pit=225F meat=150F", "pit=226F meat=150F"],
            "key_value",
            " ",
            ".",
            ["pit", "meat"],
            "FF",
        ),
        (
            ["pit=107.2,meat=45.5", "pit=107.2,meat=45.6"],
            "key_value",
            ",",
            ".",
            ["pit", "meat"],
            "CC",
        ),
        (['{"pit": 107.2}', '{"pit": 107.4}'], "json_lines", ",", ".", ["pit"], "C"),
        # The colons of a time of day make no key=value of it.
        (["2026-11-20 10:00:00,107.5,20.1"] * 3, "delimited", ",", ".", ["2", "3"], "CC"),
        (["10:00:00;107,5;20,1"] * 3, "delimited", ";", ",", ["2", "3"], "CC"),
        (["t1:107.5 t2:20.1"] * 3, "key_value", " ", ".", ["t1", "t2"], "CC"),
    ],
)
def test_guesses(lines, kind, delimiter, decimal, sources, units):
    form = guess_format(lines)
    assert (form.kind, form.decimal) == (kind, decimal)
    if kind != "json_lines" and len(sources) > 1:
        assert form.delimiter == delimiter
    assert [column.source for column in form.columns] == sources
    assert "".join(column.unit for column in form.columns) == units


def test_a_wrong_unit_is_said_and_not_converted():
    form = LineFormat(columns=(Column("1", "pit", "C", label="grate"),))
    said = hints(form, ["225", "226"], {"pit": "pit"})
    assert said == (
        "grate: 225 is unusual in °C. In °F it would be 107 °C; "
        "look up what the device sends, and set the unit.",
    ) or said[0].startswith("grate: 226 is unusual")
    assert got(form.parse("225")) == {"pit": 225.0}
    assert hints(form, ["107"], {"pit": "pit"}) == ()
    cool = hints(LineFormat(columns=(Column("1", "pit", "F"),)), ["107"], {"pit": "pit"})
    assert "cool for a pit" in cool[0]
    written = hints(form, ["225 F"], {})
    assert "another unit" in written[0]
