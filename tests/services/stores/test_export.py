"""The summary as text and as data."""

from __future__ import annotations

import json

from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.entries import (
    CookClosed,
    FuelAdded,
    FuelLevel,
    ItemAdded,
    Lid,
    Note,
    Payload,
    ReadingsStruck,
    StageConfirmed,
    StagePutBack,
    StageSkipped,
    Strike,
    Tasted,
    Weighed,
)
from smokejournal.cook.log.schedule import Stage, UntilTemperature
from smokejournal.cook.summary.summary import summarize
from smokejournal.cook.summary.yields import STEPS
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.services.stores.export import summary_json, summary_text
from tests.support import sheets
from tests.support.logs import T0, cook_log


def test_text_says_what_the_sheet_says() -> None:
    text = summary_text(sheets.summed(sheets.full())[0], METRIC)
    for said in ("Pork shoulder", "read 2.2 °C lower", "3.40 ± 0.19 kg", "62 %", "Local codes"):
        assert said in text
    assert "165 °F" in summary_text(sheets.summed(sheets.full())[0], US)


def test_text_keeps_to_its_width_and_sends_no_escape_codes() -> None:
    for make in (sheets.full, sheets.long, sheets.hostile, sheets.empty):
        text = summary_text(sheets.summed(make())[0], METRIC, 80)
        assert max(len(line) for line in text.split("\n")) <= 80
        assert "\x1b" not in text
        assert "\x00" not in text


def test_no_note_is_shortened() -> None:
    text = summary_text(sheets.summed(sheets.hostile())[0], METRIC)
    assert text.count("W") >= 500
    for n in range(200):
        assert f"pasted line {n:03d}" in text


def test_data_is_plain_and_in_si() -> None:
    log = sheets.full()
    data = json.loads(json.dumps(summary_json(sheets.summed(log)[0]), allow_nan=False))
    assert data["title"] == "Pork shoulder"
    assert data["started_s"] == T0
    assert data["stages"][0]["stage"]["rules"][0]["kind"] == "until_temperature"
    assert data["told"][0]["what"]["kind"] == "fuel_level"
    meat = log.trace("meat")
    first = next(r for r in data["reaches"] if r["channel"] == "meat" and r["target_c"] == 74.0)
    assert first["first_at_s"] == float(meat.at_s[meat.value_c >= 74.0][0])
    assert data["fuel"]["used_kg"]["value"] == 0.8 + 5.0 - 2.4
    assert data["marks"]["overall"] == {"mean": 4.0, "tastings": 1}


moments = st.floats(-4000, 9000).map(lambda at: round(at, 1))
payloads: st.SearchStrategy[Payload] = st.one_of(
    st.builds(Lid, st.booleans()),
    st.builds(FuelLevel, st.floats(0, 20), st.floats(0, 1)),
    st.builds(FuelAdded, st.text(max_size=5), st.floats(0.1, 20), st.floats(0, 1)),
    st.builds(StageConfirmed, st.sampled_from(["s1", "s2", "none"])),
    st.builds(StagePutBack, st.sampled_from(["s1", "s2"])),
    st.builds(StageSkipped, st.sampled_from(["s1", "s2"])),
    st.builds(Strike, st.integers(1, 20)),
    st.builds(Weighed, st.sampled_from(STEPS), st.floats(0.1, 9), st.sampled_from(["", "a", "b"])),
    st.builds(ItemAdded, st.sampled_from(["a", "b"]), mass_kg=st.none() | st.floats(0.1, 9)),
    st.builds(Note, st.text(max_size=40)),
    st.builds(Tasted, st.text(max_size=9), st.dictionaries(st.text(max_size=5), st.integers(1, 5))),
    st.builds(ReadingsStruck, st.just("meat"), st.floats(T0, T0 + 99), st.floats(T0, T0 + 999)),
    st.just(CookClosed()),
)


@given(
    st.lists(st.tuples(moments, payloads), max_size=12),
    st.lists(
        st.tuples(moments, st.sampled_from(["meat", "pit", "x"]), st.floats(-99, 400)), max_size=25
    ),
    moments,
)
def test_any_log_can_be_told(
    said: list[tuple[float, Payload]], readings: list[tuple[float, str, float]], now: float
) -> None:
    stages = (Stage("s1", "A", (UntilTemperature(74.0),), pit_target_c=107.0), Stage("s2", "B"))
    summary = summarize(cook_log(stages, said, readings), T0 + now)
    assert summary_text(summary, US)
    assert summary_json(summary)


def test_data_of_an_empty_cook() -> None:
    data = summary_json(sheets.summed(sheets.empty())[0])
    assert data["length_s"] is None
    assert data["fuel"]["used_kg"] == {"value": None, "sd": None, "why": "nothing_logged"}
