"""Readings and entries as tables: plain for programs, harmless for spreadsheets."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import ChannelSet, Note, ReadingsStruck, Strike
from smokejournal.cook.log.readings import Channel
from smokejournal.services.stores.csv_tables import (
    ENTRIES,
    READINGS,
    disarmed,
    entries_csv,
    readings_csv,
)
from tests.support import sheets
from tests.support.logs import T0, cook_log

#: OWASP, "CSV Injection": what no cell may begin with.
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def rows_of(table: bytes) -> list[dict[str, str]]:
    assert table.startswith(b"\xef\xbb\xbf")
    return list(csv.DictReader(io.StringIO(table.decode("utf-8-sig"), newline="")))


def test_every_reading_with_its_moment_and_correction() -> None:
    said = [
        (-60.0, ChannelSet(Channel("meat", "Thick end", offset_c=0.5))),
        (200.0, ReadingsStruck("meat", T0 + 55.0, T0 + 65.0)),
    ]
    log = cook_log([], said, [(-30.0, "meat", -4.25), (60.0, "meat", 30.0), (60.5, "pit", 107.0)])
    rows = rows_of(readings_csv(log, T0))
    assert tuple(rows[0]) == READINGS
    assert [row["channel"] for row in rows] == ["meat", "meat", "pit"]
    assert [row["seconds_since_start"] for row in rows] == ["-30", "60", "60.5"]
    assert [(row["raw_c"], row["corrected_c"], row["struck"]) for row in rows[:2]] == [
        ("-4.25", "-3.75", "0"),
        ("30", "30.5", "1"),
    ]
    assert rows[0]["name"] == "Thick end"
    for row, at_s in zip(rows, (-30.0, 60.0, 60.5), strict=True):
        assert row["time_utc"].endswith("Z")
        assert datetime.fromisoformat(row["time_utc"]).timestamp() == pytest.approx(T0 + at_s, abs=1e-3)  # fmt: skip


def test_no_start_is_blank_and_not_nothing() -> None:
    log = cook_log([], [(5.0, Note("cold"))], [(1.0, "meat", 20.0)], start=None)
    assert {row["seconds_since_start"] for row in rows_of(readings_csv(log, None))} == {""}
    assert {row["seconds_since_start"] for row in rows_of(entries_csv(log, None))} == {""}


def test_every_entry_in_words_and_as_it_is_held() -> None:
    log = sheets.full()
    last = log.entries[-1]
    strike = replace(last, id=last.id + 1, what=Strike(last.id, "wrong"))
    log = CookLog(log.cook_id, (*log.entries, strike), log.traces)
    rows = rows_of(entries_csv(log, T0))
    assert tuple(rows[0]) == ENTRIES
    assert len(rows) == len(log.entries)
    assert [row["time_utc"] for row in rows] == sorted(row["time_utc"] for row in rows)
    by_id = {row["id"]: row for row in rows}
    assert by_id[str(last.id)]["struck"] == "1"
    wrap = next(row for row in rows if row["kind"] == "wrap")
    assert wrap["struck"] == "0"
    assert float(wrap["seconds_since_start"]) == 5.2 * 3600
    assert json.loads(wrap["data_json"]) == {"material": "paper"}


@given(st.lists(st.sampled_from([*FORMULA, " ", "\u00a0", '"', ",", "'", "1", "cmd|' /C calc'!A0"]), max_size=8).map("".join))  # fmt: skip
def test_no_text_is_a_formula(text: str) -> None:
    log = cook_log([], [(5.0, Note(f"{text}x")), (6.0, ChannelSet(Channel("meat", f"{text.strip() or 'x'}")))], [(1.0, "meat", 20.0)])  # fmt: skip
    for table in (entries_csv(log, T0), readings_csv(log, T0)):
        rows = rows_of(table)
        for row in rows:
            assert None not in row
            for name in ("text", "name", "channel", "kind", "data_json", "time_utc"):
                assert not row.get(name, "").startswith(FORMULA)
                assert not row.get(name, "").lstrip().startswith(FORMULA)
    assert not disarmed(text).lstrip().startswith(FORMULA)
    assert disarmed(text).removeprefix("'" if disarmed(text) != text else "") == text


def test_a_formula_reads_as_it_was_typed_behind_an_apostrophe() -> None:
    log = cook_log([], [(5.0, ChannelSet(Channel("meat", "=1+1")))], [(1.0, "meat", 20.0)])
    (row,) = rows_of(readings_csv(log, T0))
    assert row["name"] == "'=1+1"
    assert disarmed(" \u00a0=1") == "' \u00a0=1"
    assert disarmed("x=1") == "x=1"
    assert disarmed("") == ""


def test_numbers_stand_bare_and_text_in_quotes() -> None:
    log = cook_log([], [], [(-1.0, "meat", -0.00001)])
    line = readings_csv(log, T0).split(b"\r\n")[1]
    assert b",-1," in line
    assert b"-0.00001,-0.00001,0," in line
    assert b'"meat"' in line
