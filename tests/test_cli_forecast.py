"""The command 'forecast': every bad input is named with its place, every good one is answered."""

from __future__ import annotations

import json
import sys
import tracemalloc
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from smokejournal.__main__ import main
from smokejournal.cli.recorded_table import LARGEST_BYTES, LONGEST_LINE, MOST_LINES, read_file
from smokejournal.cli.say import EXIT_WRONG
from smokejournal.cook.log.entries import (
    ChannelSet,
    LeadSet,
    ScheduleSet,
    ScheduleStarted,
)
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.journal import Journal
from smokejournal.science.forecast.values import (
    SHARES,
    CookSoFar,
    Forecast,
    Leg,
    SetPoint,
    Wrapped,
)
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock

HEAD = "time_s,pit_c,probe_c\n"
GOOD = HEAD + "0,20,5\n60,80,5\n120,108,5.5\n180,110,6\n240,110,\n300,110,8\n"


class Seen:
    """Stands for the forecast: keeps what it was asked, answers one hour and what follows."""

    def __init__(self) -> None:
        self.cook: CookSoFar | None = None
        self.answer: Forecast | None = None

    def __call__(self, cook: CookSoFar) -> Forecast:
        self.cook = cook
        if self.answer is not None:
            return self.answer
        remaining_s = 3600.0 * (1.0 + SHARES)
        remaining_s[-2:] = np.inf
        reach_s = cook.now_s + np.linspace(3600.0, 7200.0, 20)
        ends_s = np.stack([reach_s] * max(1, len(cook.legs)))
        return Forecast("forecast", cook.now_s, remaining_s, reach_s, ends_s, noticed=("moved",))


@pytest.fixture
def seen(monkeypatch: pytest.MonkeyPatch) -> Seen:
    seen = Seen()
    module = ModuleType("smokejournal.science.forecast.forecast")
    module.forecast = seen  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "smokejournal.science.forecast.forecast", module)
    return seen


class Asker:
    def __init__(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.path = tmp_path / "cook.csv"
        self.capsys = capsys
        self.code = 0
        self.out = self.err = ""

    def __call__(self, text: str | bytes, *options: str, target: bool = True) -> dict[str, Any]:
        data = text.encode() if isinstance(text, str) else text
        self.path.write_bytes(data)
        more = ["--target", "95"] if target else []
        try:
            self.code = main(["forecast", str(self.path), *more, *options])
        except SystemExit as left:
            self.code = int(left.code or 0)
        captured = self.capsys.readouterr()
        self.out, self.err = captured.out, captured.err
        return json.loads(self.out) if self.out.startswith("{") else {}


@pytest.fixture
def ask(tmp_path: Path, capsys: pytest.CaptureFixture[str], seen: Seen) -> Asker:
    return Asker(tmp_path, capsys)


class TestAnswer:
    def test_quantiles_of_what_remains(self, ask: Asker) -> None:
        told = ask(GOOD)
        assert (ask.code, ask.err) == (0, "")
        assert list(told["quantiles"]) == [f"{n * 0.05:.2f}" for n in range(1, 20)]
        assert told["quantiles"]["0.05"] == pytest.approx(3780.0)
        assert told["quantiles"]["0.50"] == told["median_s"] == pytest.approx(5400.0)
        assert told["quantiles"]["0.95"] is None
        assert (told["standing"], told["target_c"], told["now_s"]) == ("forecast", 95.0, 300.0)
        assert told["noticed"] == ["moved"]
        assert told["took_s"] >= 0.0
        assert told["rows"] == {
            "read": 6, "used": 6, "refused": 0, "cells_refused": 0, "after_now": 0
        }  # fmt: skip

    def test_only_what_came_up_to_now(self, ask: Asker, seen: Seen) -> None:
        told = ask(GOOD, "--now", "120", "--wrapped", "60:foil", "--wrapped", "200:paper")
        assert seen.cook is not None
        assert seen.cook.time_s.tolist() == [0.0, 60.0, 120.0]
        assert seen.cook.wraps == (Wrapped(60.0, "foil"),)
        assert told["rows"]["after_now"] == 3
        assert "Wraps told for after now, and so left out: 1." in ask.err

    def test_everything_that_can_be_said(self, ask: Asker, seen: Seen) -> None:
        ask(
            GOOD, "--target", "203F", "--food", "pork butt", "--mass-kg", "6 lb 8 oz",
            "--thickness-m", "12 cm", "--start", "60", "--set-point", "9000:250F",
            "--set-point", "0:110", "--plan-wrap", "165F:paper:250F", "--hold", "30 min",
            target=False,
        )  # fmt: skip
        cook = seen.cook
        assert cook is not None
        assert ask.code == 0
        assert cook.target_c == pytest.approx(95.0)
        assert cook.cut == "shoulder"
        assert cook.mass_kg == pytest.approx(2.948, abs=0.001)
        assert cook.thickness_m == pytest.approx(0.12)
        assert cook.start_s == 60.0
        assert [point.time_s for point in cook.set_points] == [0.0, 9000.0]
        assert cook.set_points[0] == SetPoint(0.0, 110.0)
        first, second, third = cook.legs
        assert first.until_probe_c == pytest.approx(73.89, abs=0.01)
        assert (second.wrap, second.pit_c) == ("paper", pytest.approx(121.1, abs=0.1))
        assert third == Leg(for_s=1800.0)

    def test_bare_numbers_are_si(self, ask: Asker, seen: Seen) -> None:
        ask(GOOD, "--mass-kg", "1.5", "--thickness-m", "0.03", "--hold", "600", "--food", "fish")
        assert seen.cook is not None
        assert (seen.cook.mass_kg, seen.cook.thickness_m) == (1.5, pytest.approx(0.03))
        assert seen.cook.legs == (Leg(until_probe_c=95.0), Leg(for_s=600.0))
        assert seen.cook.cut == "fish"

    def test_a_planned_wrap_that_was_done_is_not_planned_again(
        self, ask: Asker, seen: Seen
    ) -> None:
        ask(GOOD, "--wrapped", "60:paper", "--plan-wrap", "70:paper")
        assert seen.cook is not None
        assert seen.cook.legs == (Leg(until_probe_c=95.0),)

    @pytest.mark.parametrize(
        ("food", "cut"),
        [
            ("poultry-whole", "poultry_whole"), ("Chicken Thighs", "poultry_pieces"),
            ("red_meat", "other"), ("ground", "loaf"), ("BRISKET", "brisket"), ("other", "other"),
        ],
    )  # fmt: skip
    def test_foods(self, ask: Asker, seen: Seen, food: str, cut: str) -> None:
        told = ask(GOOD, "--food", food)
        assert told["cut"] == cut

    def test_reached_leaves_nothing(self, ask: Asker, seen: Seen) -> None:
        seen.answer = Forecast("reached", 300.0)
        assert set(ask(GOOD)["quantiles"].values()) == {0.0}
        seen.answer = Forecast("too_early", 300.0)
        assert ask(GOOD)["quantiles"] is None

    def test_nothing_infinite_or_negative_comes_out(self, ask: Asker, seen: Seen) -> None:
        strange = np.linspace(-50.0, 100.0, 19)
        strange[5] = np.nan
        seen.answer = Forecast("forecast", 300.0, strange, residual_k=float("nan"))
        told = ask(GOOD)
        assert told["quantiles"]["0.05"] == 0.0
        assert told["quantiles"]["0.30"] is None
        assert told["residual_k"] is None


class TestTable:
    def test_other_columns_are_named(self, ask: Asker, seen: Seen) -> None:
        ask("fan,Time_S , probe_c,pit_c,note\n1,0,5,100,x\n2,60,6,101,y\n")
        assert ask.code == 0
        assert "Columns ignored: fan, note." in ask.err
        assert seen.cook is not None
        assert seen.cook.pit_c.tolist() == [100.0, 101.0]

    def test_a_second_probe_in_the_piece(self, ask: Asker, seen: Seen) -> None:
        told = ask("check_c,time_s,probe_c,pit_c\n4,0,5,100\n,60,6,101\n-999,120,7,101\n")
        assert (ask.code, told["rows"]["used"], told["rows"]["cells_refused"]) == (0, 3, 1)
        assert "Line 4: -999 can't be a temperature in °C (check_c)." in ask.err
        assert seen.cook is not None
        assert seen.cook.check_c is not None
        assert seen.cook.check_c[0] == 4.0
        assert np.isnan(seen.cook.check_c[1:]).all()
        assert told["check_used"] is False

    def test_no_second_probe(self, ask: Asker, seen: Seen) -> None:
        ask(GOOD)
        assert seen.cook is not None
        assert seen.cook.check_c is None

    @pytest.mark.parametrize("mark", ["", " ", "nan", "NA", "null", "--"])
    def test_missing_readings(self, ask: Asker, seen: Seen, mark: str) -> None:
        told = ask(HEAD + f"0,{mark},5\n60,100,{mark}\n")
        assert ask.err == ""
        assert told["rows"]["used"] == 2
        assert seen.cook is not None
        assert np.isnan(seen.cook.pit_c[0])
        assert np.isnan(seen.cook.probe_c[1])

    @pytest.mark.parametrize("text", [GOOD.replace(",", ";"), GOOD.replace(",", "\t")])
    def test_other_separators(self, ask: Asker, text: str) -> None:
        assert ask(text)["rows"]["used"] == 6

    def test_byte_order_mark_blank_lines_and_other_line_ends(self, ask: Asker) -> None:
        text = "\ufeff\n\n" + GOOD.replace("\n", "\r\n\r\n")
        assert ask(text)["rows"]["read"] == 6

    def test_what_is_refused_is_counted_and_named(self, ask: Asker, seen: Seen) -> None:
        told = ask(HEAD + "0,100,5\n60,100\n,100,6\n120,100,-999\n180,9999,7\ninf,1,2\n240,100,8\n")
        assert ask.code == 0
        assert told["rows"] == {
            "read": 7, "used": 4, "refused": 3, "cells_refused": 2, "after_now": 0
        }  # fmt: skip
        assert "Rows refused: 3 of 7." in ask.err
        assert "Readings refused: 2." in ask.err
        assert "Line 3: 2 columns instead of 3." in ask.err
        assert "Line 4: nothing is no time (time_s)." in ask.err
        assert "Line 5: -999 can't be a temperature in °C (probe_c)." in ask.err
        assert "The others are not named here." in ask.err

    def test_times_in_any_order_and_twice(self, ask: Asker) -> None:
        told = ask(HEAD + "300,110,8\n0,20,5\n300,110,8\n60,80,5\n")
        assert (told["now_s"], told["rows"]["used"]) == (300.0, 4)

    def test_a_long_one_takes_little_more_than_its_numbers(self, tmp_path: Path) -> None:
        rows = 40_000
        path = tmp_path / "long.csv"
        path.write_text(HEAD + "".join(f"{n},110.5,{n % 90}.5\n" for n in range(rows)))
        tracemalloc.start()
        try:
            recorded = read_file(path)
            peak_b = tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()
        assert recorded.time_s[-1] == rows - 1
        # Three numbers of 8 bytes a row, twice, and the file; as tuples they took 250 bytes a row.
        assert peak_b < 48 * rows + path.stat().st_size + 1_000_000

    def test_a_fast_one_is_answered(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """By the forecast itself, whose windows once took gigabytes."""
        path = tmp_path / "fast.csv"
        rows = (f"{n / 10},110,{5 + n / 4000:.1f}\n" for n in range(200_000))
        path.write_text(HEAD + "".join(rows))
        assert main(["forecast", str(path), "--target", "60", "--food", "loaf"]) == 0
        told = json.loads(capsys.readouterr().out)
        assert (told["standing"], told["rows"]["used"]) == ("forecast", 200_000)


class TestBadTable:
    @pytest.mark.parametrize(
        ("text", "says"),
        [
            ("", "line 1: the file is empty. Its first line must name time_s, pit_c, probe_c."),
            ("\n\n", "the file is empty"),
            (HEAD, "there is no row below the header"),
            ("time_s,pit_c\n0,1\n", "line 1: there is no column probe_c"),
            ("0,20,5\n60,21,5\n", "line 1: there is no column time_s"),
            ("time_s,pit_c,probe_c,pit_c\n0,1,2,3\n", "line 1: there are 2 columns pit_c"),
            (HEAD + "0,20,5\n60,hot,5\n", "line 3: column pit_c: “hot” is no number"),
            (HEAD + "0,20,5\n60,20,5 C\n", "line 3: column probe_c: “5 C” is no number"),
            (HEAD + "12:30,20,5\n", "line 2: column time_s: “12:30” is no number"),
            (HEAD + "1_000,20,5\n", "line 2: column time_s: “1_000” is no number"),
            (HEAD.replace(",", ";") + "0;20,5;5\n", "line 2: column pit_c: “20,5” is no number"),
            (HEAD + "0\n60,1\n", "no row of 2 can be used. Line 2: 1 columns instead of 3."),
            (HEAD + ",,\n,5,6\n", "no row of 1 can be used"),
        ],
    )  # fmt: skip
    def test_is_named_with_its_place(self, ask: Asker, text: str, says: str) -> None:
        ask(text)
        assert ask.code == 2
        assert says in ask.err
        assert str(ask.path) in ask.err
        assert ask.out == ""

    def test_no_text(self, ask: Asker) -> None:
        ask(HEAD.encode() + b"0,20,5\n60,\xff\xfe,5\n")
        assert ask.code == 2
        assert "line 3: this is no text in UTF-8" in ask.err

    def test_a_cell_without_end(self, ask: Asker) -> None:
        ask(HEAD + '0,20,"' + "5" * 200_000 + "\n")
        assert ask.code == 2
        assert "line 2" in ask.err

    def test_no_text_far_down(self, ask: Asker) -> None:
        ask(HEAD.encode() + b"0,20,5\n" * 20_000 + b"60,\xff,5\n")
        assert (ask.code, ask.out) == (2, "")
        assert "line 20002: this is no text in UTF-8" in ask.err

    def test_more_lines_than_a_cook_has(self, ask: Asker, seen: Seen) -> None:
        """Refused before a row of it is read: the last one is no number."""
        ask(HEAD + "1,1,1\n" * MOST_LINES + "x,y,z\n")
        assert (ask.code, ask.out, seen.cook) == (2, "", None)
        assert f"{ask.path}, line {MOST_LINES + 1}: there are more lines than" in ask.err
        assert "Keep the rows of one cook" in ask.err

    @pytest.mark.parametrize("before", ["", HEAD + "0,20,5\n"])
    def test_a_line_without_end(self, ask: Asker, before: str) -> None:
        ask(before + "5," * 3 * LONGEST_LINE)
        assert (ask.code, ask.out) == (2, "")
        assert "the line is too long for a row of readings. Save the table as CSV" in ask.err

    def test_more_than_can_be_read(
        self, ask: Asker, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        path = tmp_path / "large.csv"
        with path.open("wb") as file:
            file.truncate(LARGEST_BYTES + 1)  # sparse: takes no room
        assert main(["forecast", str(path), "--target", "95"]) == 2
        assert f"{path} is larger than 200 MB" in capsys.readouterr().err

    def test_no_such_file(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str], seen: Seen
    ) -> None:
        assert main(["forecast", str(tmp_path / "none.csv"), "--target", "95"]) == 2
        assert "could not be read" in capsys.readouterr().err
        assert main(["forecast", str(tmp_path), "--target", "95"]) == 2
        assert "could not be read" in capsys.readouterr().err


class TestBadOptions:
    @pytest.mark.parametrize(
        ("options", "says"),
        [
            (("--target", "hot"), "--target: Type a temperature"),
            (("--target", "900"), "--target: Type a temperature from"),
            (("--now", "noon"), "--now: “noon” is no time"),
            (("--now", "nan"), "--now: “nan” is no time"),
            (("--now=-10",), "--now -10: nothing was recorded by then. It begins at 0."),
            (("--start", "soon"), "--start: “soon” is no time"),
            (("--start", "301"), "--start 301 lies after now, 300."),
            (("--food", "granite"), "--food: “granite” is not known. Type one of: fish"),
            (("--mass-kg", "heavy"), "--mass-kg: Type a mass"),
            (("--mass-kg", "0"), "--mass-kg: “0”: type a number above 0"),
            (("--mass-kg", "nan"), "--mass-kg: Type a mass"),
            (("--mass-kg=-2",), "--mass-kg: Type a mass"),
            (("--thickness-m", "3"), "--thickness-m: Type a length"),
            (("--thickness-m", "0"), "--thickness-m: “0”: type a number above 0"),
            (("--thickness-m", "3 kg"), "--thickness-m: Type a length"),
            (("--set-point", "110"), "--set-point: “110”: type TIME:TEMP"),
            (("--set-point", "0:warm"), "--set-point: Type a temperature"),
            (("--set-point", "x:110"), "--set-point: “x” is no time"),
            (("--wrapped", "60:leaves"), "--wrapped: “leaves”: type one of foil, paper, none"),
            (("--wrapped", "foil"), "--wrapped: “foil”: type TIME:WRAP"),
            (("--plan-wrap", "70"), "--plan-wrap: “70”: type TEMP:WRAP"),
            (("--plan-wrap", "70:none"), "--plan-wrap: “none”: type one of foil, paper"),
            (("--plan-wrap", "70:foil:"), "--plan-wrap: “70:foil:”: type TEMP:WRAP"),
            (("--plan-wrap", "95:foil"), "--plan-wrap: the wrap must come below --target"),
            (("--hold", "long"), "--hold: Type"),
            (("--hold", "0"), "--hold: “0”: type a number above 0"),
            (("--hold", "inf"), "--hold: Type"),
            (("--cook", "1"), "name a CSV file or --cook, one of them"),
        ],
    )  # fmt: skip
    def test_is_named(self, ask: Asker, options: tuple[str, ...], says: str) -> None:
        ask(GOOD, *options)
        assert ask.code == 2
        assert says in ask.err
        assert ask.out == ""

    def test_a_target_is_needed(self, ask: Asker) -> None:
        ask(GOOD, target=False)
        assert ask.code == 2
        assert "--target is needed" in ask.err

    def test_neither_a_table_nor_a_cook(
        self, capsys: pytest.CaptureFixture[str], seen: Seen
    ) -> None:
        with pytest.raises(SystemExit) as left:
            main(["forecast"])
        assert left.value.code == 2
        assert "name a CSV file or --cook" in capsys.readouterr().err
        with pytest.raises(SystemExit):
            main(["forecast", "--cook", "1", "--target", "95", "--wrapped", "0:foil"])
        assert "--target, --wrapped: with --cook" in capsys.readouterr().err

    def test_help(self, capsys: pytest.CaptureFixture[str]) -> None:
        with pytest.raises(SystemExit):
            main(["forecast", "--help"])
        said = capsys.readouterr().out
        for part in ("time_s", "pit_c", "probe_c", "--plan-wrap", "quantiles", "203F", "null"):
            assert part in said


class TestCook:
    @pytest.fixture
    def folder(self, tmp_path: Path) -> Path:
        """A cook two hours under way, and one that has not begun."""
        folder = tmp_path / "journal"
        journal = Journal.open(folder)
        clock = FixedClock()
        program = Program(journal, clock)
        live = program.live(program.new_cook("Shoulder", "UTC"))
        stages = (
            Stage("s", "Smoke", (UntilTemperature(95.0),), pit_target_c=110.0),
            Stage("r", "Rest", (ForTime(3600.0),)),
        )
        start_s = clock.at_s
        live.record_many(
            [
                (start_s, ChannelSet(Channel("pit", "Pit", role="pit"))),
                (start_s, ChannelSet(Channel("meat", "Shoulder"))),
                (start_s, LeadSet("meat")),
                (start_s, ScheduleSet(Schedule("", stages))),
                (start_s, ScheduleStarted()),
            ]
        ).result()
        readings = [
            Reading(start_s + 60.0 * n, key, value)
            for n in range(121)
            for key, value in (("pit", 110.0), ("meat", 5.0 + n / 4))
        ]
        live.record_readings(readings).result()
        clock.forward(7200.0)
        program.new_cook("Trout", "UTC")
        program.close()
        journal.close()
        return folder

    def test_at_a_moment(
        self, folder: Path, seen: Seen, capsys: pytest.CaptureFixture[str]
    ) -> None:
        now_s = FixedClock().at_s + 3600.0
        options = ["--cook", "1", "--now", str(now_s), "--journal", str(folder)]
        assert main(["forecast", *options]) == 0
        told = json.loads(capsys.readouterr().out)
        assert (told["cook"], told["lead"], told["now_s"]) == (1, "meat", now_s)
        assert told["target_c"] == 95.0
        assert [leg["stage"] for leg in told["legs"]] == ["Smoke", "Rest"]
        assert seen.cook is not None
        assert seen.cook.time_s.max() <= now_s
        assert seen.cook.time_s.size == 61

    def test_none_and_why(
        self, folder: Path, seen: Seen, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert main(["forecast", "--cook", "last", "--journal", str(folder)]) == 0
        captured = capsys.readouterr()
        assert json.loads(captured.out)["why"] == "not_begun"
        assert "has not begun" in captured.err
        assert main(["forecast", "--cook", "9", "--journal", str(folder)]) == EXIT_WRONG
        assert "no cook 9" in capsys.readouterr().err

    def test_nothing_is_written(self, folder: Path, seen: Seen) -> None:
        before = (folder / "journal.sqlite").read_bytes()
        main(["forecast", "--cook", "1", "--journal", str(folder)])
        assert (folder / "journal.sqlite").read_bytes() == before
