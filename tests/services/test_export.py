"""The summary as text and as data."""

from __future__ import annotations

import json

from smokejournal.cook.quantities import METRIC, US
from smokejournal.services.export import summary_json, summary_text
from tests.cook.logs import T0
from tests.paper import sheets


def test_text_says_what_the_sheet_says() -> None:
    text = summary_text(sheets.summed(sheets.full())[0], METRIC)
    for said in ("Pork shoulder", "read 2.2 °C lower", "3.40 ± 0.19 kg", "62.5 %", "Local codes"):
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


def test_data_of_an_empty_cook() -> None:
    data = summary_json(sheets.summed(sheets.empty())[0])
    assert data["length_s"] is None
    assert data["fuel"]["used_kg"] == {"value": None, "sd": None, "why": "nothing_logged"}
