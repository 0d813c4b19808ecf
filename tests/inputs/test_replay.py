"""Recorded tables come back as they were, at any pace, and bad rows are counted with their number."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.readings import Reading
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.inputs.cell import Column
from smokejournal.inputs.configs import config_from_json
from smokejournal.inputs.replay import ReplaySource
from smokejournal.inputs.replay_config import ReplayConfig
from smokejournal.inputs.source import ReceivedLine
from smokejournal.inputs.table import guess_replay, table_time

COLUMNS = (Column("pit", "pit", "F"), Column("meat", "meat", "F"))


class Basket:
    def __init__(self) -> None:
        self.readings: list[Reading] = []
        self.lines: list[ReceivedLine] = []

    def take(self, readings: Sequence[Reading]) -> None:
        self.readings.extend(readings)

    def received(self, lines: Sequence[ReceivedLine]) -> None:
        self.lines.extend(lines)


def until(condition: Callable[[], bool], limit_s: float = 20.0) -> None:
    end = time.monotonic() + limit_s
    while not condition():
        assert time.monotonic() < end
        threading.Event().wait(0.005)


def table(tmp_path: Path, text: str) -> str:
    path = tmp_path / "cook.csv"
    path.write_text(text, encoding="utf-8")
    return str(path)


def replayed(
    config: ReplayConfig, now: Callable[[], float] = lambda: 5000.0, after_s: float | None = None
) -> tuple[ReplaySource, Basket]:
    source, basket = ReplaySource(config, now, after_s), Basket()
    source.start(basket)
    until(lambda: source.status().state == "stopped")
    source.stop()
    return source, basket


def test_all_at_once_with_the_times_of_the_table(tmp_path):
    path = table(
        tmp_path,
        "time,pit,meat\n"
        "2026-03-21T18:00:00Z,225,150\n"
        "2026-03-21T18:00:30+00:00,226,oops\n"
        "yesterday,226,151\n"
        "2026-03-21T17:59:00Z,1,2\n"
        "2026-03-21T18:01:00Z,227\n"
        "\n"
        "2026-03-21T18:01:30Z,228,153\n",
    )
    config = ReplayConfig(path, "time", "iso", COLUMNS, pace=None, stamps="written")
    source, basket = replayed(config)
    start = datetime(2026, 3, 21, 18, tzinfo=UTC).timestamp()
    assert [(r.at_s - start, r.channel, round(r.value_c, 1)) for r in basket.readings] == [
        (0.0, "pit", 107.2),
        (0.0, "meat", 65.6),
        (30.0, "pit", 107.8),
        (60.0, "pit", 108.3),
        (90.0, "pit", 108.9),
        (90.0, "meat", 67.2),
    ]
    status = source.status()
    assert (status.lines_good, status.lines_refused) == (4, 2)
    assert {(c.reason, c.example) for c in status.refused} == {
        ("not a number", "3: meat: oops"),
        ("no time", "4: time: yesterday"),
        ("earlier than the row before", "5: time: 2026-03-21T17:59:00Z"),
        ("column missing", "6: meat: "),
    }
    assert "6 rows" in status.text


def test_what_is_in_the_journal_already_is_passed_over(tmp_path):
    path = table(tmp_path, "time,pit\n1774116000,225\n1774116030,226\n1774116060,227\n")
    config = ReplayConfig(path, "time", "epoch", COLUMNS[:1], pace=None, stamps="written")
    source, basket = replayed(config, after_s=1774116030.0)
    assert [r.at_s for r in basket.readings] == [1774116060.0]
    assert source.status().missed == 2


def test_rows_come_when_they_are_due(tmp_path):
    rows = "".join(f"{n * 10},{200 + n}\n" for n in range(6))
    config = ReplayConfig(table(tmp_path, "s,pit\n" + rows), "s", columns=COLUMNS[:1], pace=2.0)
    shown = [1000.0]
    source, basket = ReplaySource(config, lambda: shown[0]), Basket()
    source.start(basket)
    try:
        until(lambda: len(basket.readings) == 1)
        shown[0] = 1010.0  # ten seconds are twenty of the table
        until(lambda: len(basket.readings) == 3)
        assert [r.at_s for r in basket.readings] == [1000.0, 1005.0, 1010.0]
        shown[0] = 2000.0
        until(lambda: source.status().state == "stopped")
        assert len(basket.readings) == 6
        assert basket.readings[-1].at_s == 1025.0
    finally:
        source.stop()


def test_a_replay_taken_up_again_leaves_the_gap(tmp_path):
    rows = "".join(f"{n * 10},{200 + n}\n" for n in range(6))
    config = ReplayConfig(
        table(tmp_path, "s,pit\n" + rows), "s", columns=COLUMNS[:1], begun_at_s=1000.0
    )
    shown = [1025.0]
    source, basket = ReplaySource(config, lambda: shown[0]), Basket()
    source.start(basket)
    try:
        shown[0] = 1100.0
        until(lambda: source.status().state == "stopped")
        assert [r.at_s for r in basket.readings] == [1030.0, 1040.0, 1050.0]
        assert source.status().missed == 3
    finally:
        source.stop()


@pytest.mark.parametrize(
    ("text", "words"),
    [("s,other\n1,2\n", "no column “pit”"), ("pit,pit,s\n1,2,3\n", "Two columns are called “pit”")],
)
def test_a_table_without_its_columns_says_so(tmp_path, text, words):
    source, basket = replayed(ReplayConfig(table(tmp_path, text), "s", columns=COLUMNS[:1]))
    assert words in source.status().text
    assert basket.readings == []


def test_a_file_that_is_not_there_says_so(tmp_path):
    source, _ = replayed(ReplayConfig(str(tmp_path / "none.csv"), "s", columns=COLUMNS))
    assert "can't be read: No such file or directory" in source.status().text


def test_times_of_day_go_on_past_midnight():
    config = ReplayConfig("x", time_kind="clock", zone="Europe/Rome", day="2026-03-20")
    first, _ = table_time(config, "23:59:30", None)
    assert first == datetime(2026, 3, 20, 22, 59, 30, tzinfo=UTC).timestamp()
    assert table_time(config, "00:00:10", first)[0] == first + 40
    assert table_time(config, "12:00:10 am", first)[0] == first + 40
    assert table_time(config, "24:00", None)[0] is None
    assert table_time(config, "13:00 pm", None)[0] is None


def test_a_time_that_the_change_of_clocks_left_out_is_refused():
    # Clocks in the EU went from 02:00 to 03:00 on 29 March 2026 (Directive 2000/84/EC).
    config = ReplayConfig("x", time_kind="iso", zone="Europe/Berlin")
    assert table_time(config, "2026-03-29T02:30:00", None) == (
        None,
        "a time that the change of clocks left out",
    )
    after, _ = table_time(config, "2026-03-29T03:30:00", None)
    assert after == datetime(2026, 3, 29, 1, 30, tzinfo=UTC).timestamp()


@given(st.text(max_size=30), st.sampled_from(["seconds", "epoch", "iso", "clock"]))
def test_no_text_in_the_time_column_raises(text, kind):
    table_time(ReplayConfig("x", time_kind=kind, zone="America/Chicago"), text, 1.0)


@given(data=st.binary(max_size=400))
def test_no_file_raises(tmp_path_factory, data):
    path = tmp_path_factory.mktemp("replay") / "any.csv"
    path.write_bytes(b"s,pit\n" + data)
    _, basket = replayed(
        ReplayConfig(
            str(path), "s", columns=COLUMNS[:1], pace=None, stamps="written", begun_at_s=0.0
        )
    )
    assert all(-273.15 <= r.value_c <= 2000 for r in basket.readings)
    guess_replay(path)


def test_guesses(tmp_path):
    guess = guess_replay(Path(table(tmp_path, "Time;Pit (F);Meat F\n18:00:00;225;150\n")))
    assert (guess.time_column, guess.time_kind, guess.delimiter) == ("Time", "clock", ";")
    assert [(c.source, c.unit) for c in guess.columns] == [("Pit (F)", "F"), ("Meat F", "F")]
    bare = guess_replay(Path(table(tmp_path, "0,107.2\n10,107.4\n")))
    assert (bare.heading, bare.time_column, bare.time_kind) == (False, "1", "seconds")
    assert [c.source for c in bare.columns] == ["2"]
    assert guess_replay(Path(table(tmp_path, ""))).columns == ()
    # With decimal commas, and rows that nothing can be made of.
    rows = ["time;pit;meat", "2026-11-20 10:00:00;107,5;20,1", "2026-11-20 10:01:00;107,9;20,9"]
    rows += ["2026-11-20 10:02:00;abc;21,5", "noise", "2026-11-20 10:03:00;108,0;", ";;"]
    commas = guess_replay(Path(table(tmp_path, "\n".join(rows))))
    assert (commas.delimiter, commas.decimal, commas.time_kind) == (";", ",", "iso")
    assert [c.source for c in commas.columns] == ["pit", "meat"]


def test_written_form():
    config = ReplayConfig("a.csv", "t", "iso", COLUMNS, ";", ",", False, "Europe/Rome", pace=60.0)
    assert config_from_json(config.to_json()) == config
    for change, where in (
        ({"zone": "Nowhere/Else"}, "input.zone"),
        ({"day": "21.3."}, "input.day"),
        ({"pace": 0}, "input.pace"),
        ({"pace": None}, "input.pace"),
        ({"stamps": "written", "time_kind": "clock"}, "input.day"),
        ({"stamps": "written", "time_kind": "seconds"}, "input.begun_at_s"),
        ({"columns": [{}]}, "input.columns[0].source"),
    ):
        with pytest.raises(SchemaProblem) as problem:
            config_from_json(config.to_json() | change)
        assert problem.value.where == where
