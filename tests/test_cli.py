"""The command line, as somebody at a terminal uses it: what is asked, said, and returned."""

from __future__ import annotations

import csv
import json
import os
import struct
import subprocess
import sys
from pathlib import Path

import pytest

from smokejournal.__main__ import main
from smokejournal.cli.commands import EXIT_JOURNAL, EXIT_NO_SCREEN
from smokejournal.cli.learn import learn
from smokejournal.cli.say import EXIT_WRONG
from smokejournal.cook.log.entries import ChannelSet, NextTime, Note, ScheduleStarted
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.journal import Journal
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock
from tests.support.learned_cooks import finished_cook


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A journal with two cooks: ribs, finished long ago, and trout, just begun."""
    folder = tmp_path / "journal"
    journal = Journal.open(folder)
    clock = FixedClock()
    program = Program(journal, clock)
    ribs = program.new_cook("Ribs", "Europe/Berlin")
    clock.at_s += 60.0
    trout = program.new_cook("Trout", "Europe/Berlin")
    program.live(ribs).record(Note("minus \u2212 sign, and then \u2265")).result()
    program.live(trout).record(ScheduleStarted()).result()
    program.close()
    journal.close()
    return folder


def run(*arguments: object, **more: str) -> subprocess.CompletedProcess[bytes]:
    """The program in a process of its own."""
    environment = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY")}
    return subprocess.run(
        [sys.executable, "-m", "smokejournal", *map(str, arguments)],
        env=environment | more,
        capture_output=True,
        timeout=60,
        check=False,
    )


def test_cooks_are_listed(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["cooks", "--journal", str(folder)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == ["2", "1"]
    assert "under way" in lines[0]
    assert "Trout" in lines[0]
    assert main(["--journal", str(folder), "cooks", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [(cook["id"], cook["state"]) for cook in told] == [(2, "under way"), (1, "planned")]


def test_cooks_are_searched_for(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with Journal.open(folder) as journal:
        said = NextTime("start half an hour\nearlier")
        journal.append(1, said, 1_780_000_000.0, 1_780_000_000.0).result(10)
    asked = ["cooks", "--journal", str(folder), "--search"]
    assert main([*asked, "half earl"]) == 0
    first, second = capsys.readouterr().out.splitlines()
    assert first.split()[0] == "1"
    assert second == "      Next time: start half an hour earlier (28 May 2026)"
    assert main([*asked, "half", "--json"]) == 0
    (told,) = json.loads(capsys.readouterr().out)
    assert told["found"]["what"] == "next_time"
    assert told["found"]["marks"] == [[6, 10]]
    assert main([*asked[:-1], "--search=-half"]) == 0
    assert capsys.readouterr().out.split()[0] == "2"
    assert main([*asked, "nowhere"]) == 0
    assert "Try a shorter word" in capsys.readouterr().out


def test_a_cook_that_is_not_there(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for command in ("where", "summary"):
        assert main([command, "7", "--journal", str(folder)]) == EXIT_WRONG
        assert "no cook 7" in capsys.readouterr().err


def test_an_empty_journal_says_that_it_is_empty(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Journal.open(tmp_path / "journal").close()
    assert main(["summary", "last", "--journal", str(tmp_path / "journal")]) == EXIT_WRONG
    said = capsys.readouterr().err
    assert "No cook has been opened" in said
    assert "no cook last" not in said


def test_no_journal_is_made_by_asking(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["cooks", "--journal", str(tmp_path / "none")]) == EXIT_JOURNAL
    assert "There is no journal" in capsys.readouterr().err
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize("moment", ["nan", "inf", "1e300", "yesterday"])
def test_a_moment_that_is_none(
    folder: Path, moment: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        main(["where", "1", "--at", moment, "--journal", str(folder)])
    assert "seconds since 1970" in capsys.readouterr().err


def test_a_pdf_that_cannot_be_written(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    there_is_none = folder / "none" / "x.pdf"
    assert (
        main(["summary", "1", "--pdf", str(there_is_none), "--journal", str(folder)]) == EXIT_WRONG
    )
    assert "could not be written" in capsys.readouterr().err


def test_a_pdf_is_not_written_over_a_device(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["summary", "1", "--pdf", str(folder), "--journal", str(folder)]
    assert main(arguments) == EXIT_WRONG
    told = capsys.readouterr().err
    assert "there is a folder, a device or a pipe in its place" in told
    assert "Choose another file" in told


def test_a_pdf_answers_as_json(folder: Path) -> None:
    pdf = folder / "x.pdf"
    done = run("summary", "1", "--pdf", pdf, "--json", "--journal", folder)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout) == {"written": str(pdf)}
    assert pdf.read_bytes().startswith(b"%PDF")


def test_a_terminal_that_lacks_signs_gets_the_rest(folder: Path) -> None:
    done = run("summary", "1", "--journal", folder, PYTHONIOENCODING="ascii")
    assert done.returncode == 0, done.stderr
    assert b"minus ? sign" in done.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="pipes end otherwise there")
def test_a_reader_that_leaves_early_is_no_trouble(folder: Path) -> None:
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(
        [sys.executable, "-m", "smokejournal", "summary", "1", "--journal", str(folder)],
        stdout=write,
        stderr=subprocess.PIPE,
        timeout=60,
        check=False,
    )
    os.close(write)
    assert (done.returncode, done.stderr) == (0, b"")


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere there is always a screen")
def test_without_a_screen_it_says_what_can_be_done(tmp_path: Path) -> None:
    done = run("--journal", tmp_path / "journal", QT_QPA_PLATFORM="")
    assert done.returncode == EXIT_NO_SCREEN
    assert b"cooks, where, summary, forecast, track-record, learn and restore" in done.stderr
    assert not (tmp_path / "journal").exists()


def test_finished_cooks_are_read_once(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    journal = Journal.open(tmp_path / "journal")
    clock = FixedClock()
    program = Program(journal, clock)
    finished_cook(program, clock, title="First")
    finished_cook(program, clock, title="Second", lead=False)
    program.close()
    journal.close()
    assert learn(tmp_path / "journal") == 0
    assert capfd.readouterr().out.splitlines() == [
        "1/2  First: teaches about the pit and about fish",
        "2/2  Second: nothing to learn: no lead probe was chosen",
    ]
    assert learn(tmp_path / "journal") == 0
    assert capfd.readouterr().out == "Every finished cook was read already.\n"


def with_a_formula(folder: Path) -> None:
    """Something in the second cook that a spreadsheet and a browser would take for more than words."""
    journal = Journal.open(folder)
    program = Program(journal, FixedClock())
    live = program.live(2)
    live.record(ChannelSet(Channel("meat", '=HYPERLINK("x")'))).result()
    live.record(Note("<script>alert(1)</script>")).result()
    live.record_readings(
        [Reading(FixedClock().at_s + n, "meat", 20.0 + n) for n in range(9)]
    ).result()
    program.close()
    journal.close()


def test_a_cook_is_written_to_be_shown_to_others(folder: Path, tmp_path: Path) -> None:
    with_a_formula(folder)
    files = [tmp_path / name for name in ("c.html", "c.md", "c.png")]
    options = [part for name, file in zip(("html", "markdown", "score"), files, strict=True) for part in (f"--{name}", file)]  # fmt: skip
    tables = tmp_path / "new" / "tables"
    done = run("summary", "2", *options, "--csv", tables, "--shape", "square", "--json", "--journal", folder)  # fmt: skip
    assert done.returncode == 0, done.stderr
    written = [Path(name) for name in json.loads(done.stdout)["written"]]
    assert set(written) == {*files, tables / "readings.csv", tables / "entries.csv"}
    html = files[0].read_text("utf-8")
    assert "&lt;script&gt;" in html
    assert "<script" not in html
    assert "<svg" in html
    assert files[1].read_text("utf-8").startswith("# Trout\n")
    # The width and the height stand in the header of a PNG (ISO/IEC 15948, 11.2.2).
    assert struct.unpack(">II", files[2].read_bytes()[16:24]) == (1080, 1080)
    with (tables / "readings.csv").open(newline="", encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    assert [row["name"] for row in rows] == ['\'=HYPERLINK("x")'] * 9
    assert float(rows[-1]["corrected_c"]) == 28.0


@pytest.mark.parametrize(
    ("option", "there"),
    [("--html", "c.html"), ("--markdown", "c.md"), ("--score", "c.svg"), ("--csv", "entries.csv")],
)
def test_what_is_there_is_never_written_over(
    folder: Path, tmp_path: Path, option: str, there: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / there).write_text("mine")
    target = tmp_path if option == "--csv" else tmp_path / there
    fresh = tmp_path / "fresh.md" if option != "--markdown" else tmp_path / "fresh.html"
    other = "--markdown" if option != "--markdown" else "--html"
    arguments = ["summary", "1", option, str(target), other, str(fresh), "--journal", str(folder)]
    assert main(arguments) == EXIT_WRONG
    told = capsys.readouterr()
    assert f"{tmp_path / there} could not be written: a file or a folder has this name" in told.err
    assert "Choose another file" in told.err
    assert told.out == ""
    assert (tmp_path / there).read_text() == "mine"
    # None of them, rather than some.
    assert {path.name for path in tmp_path.iterdir()} == {"journal", there}


def test_a_picture_of_a_kind_that_is_not_made(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        main(["summary", "1", "--score", "c.jpg", "--journal", str(folder)])
    assert "ends in .png or .svg" in capsys.readouterr().err


def test_an_archive_goes_out_and_comes_in(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, other = tmp_path / "all.zip", tmp_path / "other"
    assert main(["--archive", str(file), "--journal", str(folder)]) == 0
    assert "2 cooks" in capsys.readouterr().out
    assert main(["--take-in", str(file), "--journal", str(other)]) == 0
    assert "Cooks: 2 new." in capsys.readouterr().out
    assert main(["--take-in", str(file), "--journal", str(other)]) == 0
    assert "Cooks: 0 new, 2 already here." in capsys.readouterr().out
    main(["cooks", "--journal", str(other)])
    assert "Trout" in capsys.readouterr().out
    one = tmp_path / "one.zip"
    assert main(["--archive", str(one), "--cook", "last", "--journal", str(folder)]) == 0
    assert "1 cook," in capsys.readouterr().out
    # The journal that it is from has it already.
    assert main(["--take-in", str(one), "--journal", str(folder)]) == 0
    assert "Cooks: 0 new, 1 already here." in capsys.readouterr().out


def test_an_archive_that_cannot_be(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "all.zip"
    file.write_bytes(b"something else")
    assert main(["--archive", str(file), "--journal", str(folder)]) == EXIT_WRONG
    assert "something is there already" in capsys.readouterr().err
    assert file.read_bytes() == b"something else"
    new = ["--take-in", str(file), "--journal", str(tmp_path / "new")]
    assert main(new) == EXIT_WRONG
    assert "no archive of cooks" in capsys.readouterr().err
    file.unlink()
    assert main(new) == EXIT_WRONG
    assert "could not be taken in: No such file" in capsys.readouterr().err
    assert not (tmp_path / "new").exists()
    assert main(["--archive", str(file), "--cook", "7", "--journal", str(folder)]) == EXIT_WRONG
    assert "no cook 7" in capsys.readouterr().err
    assert main(["--archive", str(file), "--journal", str(tmp_path / "new")]) == EXIT_JOURNAL
    assert not file.exists()
    with Journal.open(folder) as open_elsewhere:
        assert main(["--archive", str(file), "--journal", str(folder)]) == 0
        assert main(["--take-in", str(file), "--journal", str(folder)]) == EXIT_JOURNAL
        assert open_elsewhere.count_cooks() == 2


@pytest.mark.parametrize(
    "arguments",
    [
        ["--archive", "x.zip", "cooks"],
        ["--archive", "x.zip", "--take-in", "x.zip"],
        ["--take-in", "x.zip", "--cook", "1"],
        ["--take-in", "x.zip", "--demo"],
    ],
)
def test_options_of_archives_that_do_not_go_together(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        main(arguments)
    assert " goes with " in capsys.readouterr().err
