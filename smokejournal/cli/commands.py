"""The command line: what was asked, and the commands that need no screen."""

from __future__ import annotations

import argparse
import io
import json
import math
import os
import sys
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from smokejournal import __version__
from smokejournal.cli.say import no_cook, not_written, refuse, say

if TYPE_CHECKING:
    from smokejournal.cli.forecast import Printed
    from smokejournal.journal import Journal
    from smokejournal.services.program.program import Program

EXIT_JOURNAL = 2
EXIT_NO_SCREEN = 4
#: The end of the year 9999, up to which there is a calendar [s].
LATEST_S = 253_402_300_799.0
#: What a summary can be written as: the option's value, and what it does.
FILES = {
    "pdf": ("FILE", "write a PDF"),
    "html": ("FILE", "write one web page, with the score and the photos in it"),
    "markdown": ("FILE", "write Markdown text"),
    "csv": ("FOLDER", "write readings.csv and entries.csv into this folder"),
    "score": ("FILE", "write the score as a picture, .png or .svg"),
}
#: Options that stand in place of a command, each alone, and what goes with them.
ALONE = {
    "emergency": "with --journal and --cook only",
    "guide": "alone",
    "archive": "with --journal and --cook only",
    "take_in": "with --journal only",
}


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command line asked for. `command` None: the window."""

    command: (
        Literal[
            "cooks",
            "where",
            "summary",
            "forecast",
            "track-record",
            "learn",
            "restore",
            "emergency",
            "guide",
            "archive",
            "take-in",
        ]
        | None
    ) = None
    journal: Path | None = None
    demo: bool = False
    practice_pace: float | None = None
    cook: str = ""
    copy: str = ""
    emergency: Path | None = None
    guide: Path | None = None
    archive: Path | None = None
    take_in: Path | None = None
    files: Mapping[str, Path] = field(default_factory=dict)
    shape: Literal["wide", "square"] = "wide"
    page: Literal["A4", "Letter"] = "A4"
    units: Literal["metric", "us"] = "metric"
    as_json: bool = False
    search: str = ""
    at_s: float | None = None
    forecast: argparse.Namespace | None = None


def parse(arguments: Sequence[str]) -> Asked:
    """Read the command line; argparse prints help, the version or what is wrong, and leaves."""
    parser = argparse.ArgumentParser(
        prog="smokejournal",
        description="A cook journal for smoking meat and fish: plan, tend, taste, learn.",
        epilog=(
            "Without a command the window opens. The exit code is 0 when done, 2 when the command "
            "line can't be understood or the journal can't be opened, 3 when there is no such cook or "
            "copy or a file can't be written or taken in, 4 when there is no screen for the window."
        ),
    )
    parser.add_argument("--version", action="version", version=f"smokejournal {__version__}")
    _journal(parser, default=None)
    parser.add_argument(
        "--demo",
        action="store_true",
        help="open an invented journal that is thrown away afterwards",
    )
    parser.add_argument(
        "--practice-pace",
        type=_pace,
        metavar="N",
        help="let the clock run N times as fast, for practice; needs --journal or --demo",
    )
    parser.add_argument(
        "--emergency",
        type=Path,
        metavar="FILE",
        help="write the cook under way, or else the newest, to a new text file: plan, log and "
        "readings; the journal is only read, and may be in use, damaged or newer",
    )
    parser.add_argument(
        "--cook",
        dest="emergency_cook",
        metavar="NUMBER",
        help="with --emergency: write this cook instead; with --archive: write this cook only",
    )
    parser.add_argument(
        "--archive",
        type=Path,
        metavar="FILE",
        help="write the whole journal, or with --cook one cook, to a new file from which --take-in "
        "takes it in again; the journal is only read, and may be in use",
    )
    parser.add_argument(
        "--take-in",
        type=Path,
        metavar="FILE",
        help="take the cooks of an archive into the journal; none is written over, and one that is "
        "there already is not added again",
    )
    parser.add_argument(
        "--guide",
        type=Path,
        metavar="FILE",
        help="write the user guide to a new file, as one web page",
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")

    cooks = commands.add_parser("cooks", help="list the cooks of the journal")
    cooks.add_argument(
        "--search",
        metavar="TEXT",
        default="",
        help="only cooks in which all of these words were written, each with the text that holds "
        'them; "words in quotes" stand together, -word leaves out (write --search=-word)',
    )
    _shared(cooks)
    where = commands.add_parser("where", help="say where a cook stands")
    where.add_argument("cook", help="number of the cook as 'cooks' lists it, or 'last'")
    where.add_argument(
        "--at",
        dest="at_s",
        type=_moment,
        metavar="S",
        help="at this moment, in seconds since 1970 (UTC)",
    )
    _shared(where)
    summary = commands.add_parser(
        "summary",
        help="print the summary of a cook, or write it as PDF, web page, Markdown, CSV or picture",
        description="Print the summary of a cook, or write it to files. No file but the PDF is ever "
        "written over.",
    )
    summary.add_argument("cook", help="number of the cook as 'cooks' lists it, or 'last'")
    for name, (metavar, words) in FILES.items():
        summary.add_argument(f"--{name}", type=Path, metavar=metavar, help=words)
    summary.add_argument(
        "--page", choices=("A4", "Letter"), default="A4", help="paper size of the PDF"
    )
    summary.add_argument(
        "--shape",
        choices=("wide", "square"),
        default="wide",
        help="of the picture: 1200 x 675 or 1080 x 1080 pixels",
    )
    _shared(summary)
    forecast = commands.add_parser(
        "forecast",
        help="say when a probe will be at its target, of a recorded table or a cook of the journal",
        description="Say when a probe will be at its target, with its uncertainty, as JSON.",
    )
    if "forecast" in arguments:
        # Its options take numpy to load, which the others do without.
        from smokejournal.cli import forecast as forecast_command

        forecast_command.options(forecast)

    record = commands.add_parser(
        "track-record",
        help="say how good the forecasts of the finished cooks were",
        description="Say how good the forecasts of the finished cooks were: how often the interval "
        "held, how far off they were, and how far off a straight line would have been. Simulated "
        "cooks are kept apart.",
    )
    _shared(record, units=False)

    learn = commands.add_parser(
        "learn",
        help="read the finished cooks that the forecast hasn't learned from yet",
        description="Read the finished cooks that the forecast hasn't learned from yet, oldest first, as "
        "the window does when a cook is closed. It takes a few seconds a cook.",
    )
    _journal(learn)

    restore = commands.add_parser(
        "restore",
        help="list the copies of the journal, or put one in its place",
        description="List the copies of the journal in its folder backups, or put one in its place. "
        "What was there is set aside under another name and never deleted.",
    )
    restore.add_argument("copy", nargs="?", metavar="NUMBER", help="of the copy, as listed")
    _shared(restore, units=False)

    found = parser.parse_args(arguments)
    files = {n: getattr(found, n) for n in FILES if getattr(found, n, None) is not None}
    if "score" in files and files["score"].suffix.lower() not in (".png", ".svg"):
        summary.error("--score: name a file that ends in .png or .svg")
    if found.command == "forecast":
        forecast_command.check(forecast, found)
    if found.practice_pace is not None and found.journal is None and not found.demo:
        parser.error("--practice-pace needs --journal or --demo: your own journal keeps real time")
    if found.demo and found.journal is not None:
        parser.error("--demo makes a journal of its own: leave out --journal")
    if found.demo and found.command is not None:
        parser.error("--demo opens the window: leave out the command")
    command, before = found.command, found.command is not None or found.demo
    for option, goes_with in ALONE.items():
        if getattr(found, option) is not None:
            name = option.replace("_", "-")
            if before:
                parser.error(f"--{name} goes {goes_with}")
            command, before = name, True
    if found.emergency_cook is not None and not (found.emergency or found.archive):
        parser.error("--cook goes with --emergency or --archive, or after the command forecast")
    told = {
        name: value
        for name, value in vars(found).items()
        if name in Asked.__slots__ and value is not None
    }
    told |= {"command": command, "cook": told.get("cook") or found.emergency_cook or ""}
    forecast_asked = found if found.command == "forecast" else None
    return Asked(**told, files=files, forecast=forecast_asked)


def _journal(parser: argparse.ArgumentParser, default: object = argparse.SUPPRESS) -> None:
    """`default`: a command leaves what was said before it."""
    parser.add_argument(
        "--journal",
        type=Path,
        metavar="FOLDER",
        default=default,
        help="the folder of the journal to use",
    )


def _shared(parser: argparse.ArgumentParser, units: bool = True) -> None:
    _journal(parser)
    if units:
        parser.add_argument(
            "--units", choices=("metric", "us"), default="metric", help="units to show"
        )
    parser.add_argument("--json", dest="as_json", action="store_true", help="answer as JSON")


def _pace(text: str) -> float:
    try:
        pace = float(text)
    except ValueError:
        pace = 0.0
    if not 0.1 <= pace <= 10_000:
        raise argparse.ArgumentTypeError("type a number from 0.1 to 10000")
    return pace


def _moment(text: str) -> float:
    try:
        at_s = float(text)
    except ValueError:
        at_s = math.nan
    if not abs(at_s) <= LATEST_S:
        raise argparse.ArgumentTypeError("type seconds since 1970, such as 1764075600")
    return at_s


def has_screen() -> bool:
    """False where Qt would give up because nothing is there to show a window on."""
    if sys.platform != "linux":
        return True
    return any(os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"))


def say_no_screen() -> int:
    """Say what can be done without a screen and return the exit code."""
    say(
        "There is no screen to show the window on. Start the program in a desktop session.\n"
        "The commands cooks, where, summary, forecast, track-record, learn and restore need none, nor do "
        "--emergency, --archive, --take-in and --guide; 'smokejournal --help' tells of them.",
        wrong=True,
    )
    return EXIT_NO_SCREEN


def run_command(asked: Asked) -> int:
    """Run a command without a screen and return the exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal that lacks a sign gets a stand-in for it rather than nothing at all.
            stream.reconfigure(errors="replace")
    try:
        code = _answer(asked)
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read along has read enough, as `head` does. Nothing more is to be written there.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    return code


def _answer(asked: Asked) -> int:
    if asked.guide is not None:
        from smokejournal.cli.guide import guide

        return guide(asked.guide)
    if asked.forecast is not None and asked.forecast.csv is not None:
        from smokejournal.cli.forecast import answer_csv

        return _print(answer_csv(asked.forecast))
    from smokejournal.host.paths import journal_folder
    from smokejournal.journal import Journal, JournalProblem

    folder = asked.journal or journal_folder()
    try:
        if asked.command == "restore":
            from smokejournal.cli.restore import restore

            return restore(folder, asked.copy, time.time(), asked.as_json)
        if asked.command == "learn":
            from smokejournal.cli.learn import learn

            return learn(folder)
        if asked.emergency is not None:
            from smokejournal.cli.emergency import emergency

            return emergency(folder, asked.emergency, asked.cook)
        if asked.archive is not None:
            from smokejournal.cli.archive import archive

            return archive(folder, asked.archive, asked.cook, time.time())
        if asked.take_in is not None:
            from smokejournal.cli.archive import take_archive_in

            return take_archive_in(folder, asked.take_in)
        journal = Journal.open(folder, read_only=True)
        try:
            return _run(asked, journal)
        finally:
            journal.close()
    except JournalProblem as problem:
        return refuse(problem.message, problem.cure, code=EXIT_JOURNAL)


def _run(asked: Asked, journal: Journal) -> int:
    from smokejournal.services.program.practice import clock_read_only
    from smokejournal.services.program.program import Program

    journal.on_spoilt(lambda problem: say(f"{problem.message}\n{problem.cure}", wrong=True))
    program = Program(journal, clock_read_only(journal))
    try:
        if asked.command == "cooks":
            from smokejournal.cli.cooks import list_cooks

            return list_cooks(program, asked.search, as_json=asked.as_json)
        if asked.command == "track-record":
            from smokejournal.cli.track_record import track_record

            say(track_record(program, asked.as_json))
            return 0
        cook_id = _find_cook(asked.cook, program)
        if cook_id is None:
            none = "No cook has been opened in this journal yet. Begin one in the window."
            return refuse(no_cook(asked.cook) if program.journal.count_cooks() else none)
        if asked.forecast is not None:
            from smokejournal.cli.forecast import answer_cook
            from smokejournal.services.forecast.learned import ForecastLearned

            learned = ForecastLearned(program)
            try:
                return _print(
                    answer_cook(program, cook_id, asked.forecast.now, taught=learned.taught)
                )
            finally:
                learned.close()
        return _where(asked, program, cook_id) if asked.command == "where" else _summary(
            asked, program, cook_id
        )  # fmt: skip
    finally:
        program.close()


def _print(printed: Printed) -> int:
    if printed.err:
        say(printed.err, wrong=True)
    if printed.out:
        say(printed.out)
    return printed.code


def _find_cook(name: str, program: Program) -> int | None:
    lines = program.cooks()
    if name == "last":
        return lines[0].id if lines else None
    return next((line.id for line in lines if str(line.id) == name), None)


def _where(asked: Asked, program: Program, cook_id: int) -> int:
    from smokejournal.cli.where import standing_json, standing_text
    from smokejournal.cook.text.quantities import METRIC, US

    live = program.live(cook_id)
    standing = live.standing(asked.at_s)
    if asked.as_json:
        say(json.dumps(standing_json(standing), indent=1))
    else:
        say(standing_text(standing, US if asked.units == "us" else METRIC, live.zone))
    return 0


def _summary(asked: Asked, program: Program, cook_id: int) -> int:
    from smokejournal.cook.text.quantities import METRIC, US

    units = US if asked.units == "us" else METRIC
    live = program.live(cook_id)
    if not asked.files:
        from smokejournal.services.stores.export import summary_json, summary_text

        summary = live.summary()
        say(
            json.dumps(summary_json(summary), indent=1)
            if asked.as_json
            else summary_text(summary, units)
        )
        return 0
    # PDF and pictures are drawn by Qt, which takes the offscreen platform where there is no screen.
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from smokejournal.cli.share import Layout, write_files

    layout = Layout(units, asked.page, asked.shape)
    try:
        written = write_files(asked.files, live, program.journal, layout)
    except OSError as error:
        path = error.filename or next(iter(asked.files.values()))
        return not_written(path, error, "Choose another file.")
    if asked.as_json:
        names = [str(path) for path in written]
        say(json.dumps({"written": names[0] if len(names) == 1 else names}))
    else:
        say("\n".join(f"Written: {path}" for path in written))
    return 0
