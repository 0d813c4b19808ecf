"""A whole cook through the real program: serial line, pulled cable, SIGKILL, printed summary.

A process writes probe lines to one end of a pseudo-terminal; the program reads the other end as a
serial port and runs 'pit at 107 °C until the lead probe is at 74 °C, then for 30 min at or above it,
then rest 20 min', at an accelerated clock. What it recorded is compared with what was sent, and what
it printed with a few independent lines that walk the recorded readings.
"""

from __future__ import annotations

import csv
import difflib
import functools
import itertools
import json
import os
import re
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pypdf import PdfReader

from smokejournal.cook.log.entries import (
    ChannelSet,
    ItemAdded,
    LeadSet,
    ScheduleSet,
    ScheduleStarted,
)
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.inputs.cell import Column
from smokejournal.inputs.line_format import LineFormat
from smokejournal.inputs.serial_line import SerialConfig
from smokejournal.journal import Journal
from smokejournal.services.program.practice import clock_for
from smokejournal.services.program.program import Program

PACE = 75.0
HISTORY = Path(__file__).with_name("history.csv")
PULL_AT_S, PULL_FOR_S = 2800.0, 400.0
HOLD_S, REST_S, TARGET_C, PROVE_S = 1800.0, 1200.0, 74.0, 60.0
GAP_S = 120.0
COLUMNS = {"pit": "pit_c", "meat": "meat_c", "check": "check_c"}

STAGES = (
    Stage("s1", "Smoke", (UntilTemperature(TARGET_C, prove_s=PROVE_S),), pit_target_c=107.0),
    Stage("s2", "Hold", (ForTime(HOLD_S, at_least_c=TARGET_C),), pit_target_c=107.0),
    Stage("s3", "Rest", (ForTime(REST_S),)),
)


def run(*arguments: str) -> str:
    """Run a command of the program and return what it printed."""
    done = subprocess.run(
        [sys.executable, "-m", "smokejournal", *arguments],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def wait_until(condition: Callable[[], bool], timeout_s: float, what: str) -> None:
    """Look at something outside this process until it is so."""
    until = time.monotonic() + timeout_s
    while not condition():
        assert time.monotonic() < until, f"waited {timeout_s} s for {what}"
        time.sleep(0.1)


class Feeder:
    """The process at the other end of the line."""

    def __init__(self, link: Path, said: Path) -> None:
        self._out = said.open("w")
        self._said = said
        self.process = subprocess.Popen(
            [
                *(sys.executable, "-m", "tests.e2e.probe_line", str(link), str(HISTORY)),
                *(str(PACE), str(PULL_AT_S), str(PULL_FOR_S)),
            ],
            stdin=subprocess.PIPE,
            stdout=self._out,
            text=True,
        )
        wait_until(lambda: "ready" in self.lines(), 20, "the line")

    def lines(self) -> list[str]:
        return self._said.read_text().splitlines()

    def begin(self) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write("go\n")
        self.process.stdin.flush()

    def sent(self) -> list[float]:
        return [float(line[5:]) for line in self.lines() if line.startswith("sent ")]

    def close(self) -> None:
        self.process.kill()
        self.process.wait()
        self._out.close()


@pytest.fixture
def feeder(tmp_path: Path) -> Iterator[Feeder]:
    feeder = Feeder(tmp_path / "probes", tmp_path / "said.txt")
    yield feeder
    feeder.close()


def start_program(folder: Path, log: Path) -> subprocess.Popen[bytes]:
    with log.open("ab") as out:
        return subprocess.Popen(
            [
                *(sys.executable, "-m", "smokejournal"),
                *("--journal", str(folder), "--practice-pace", str(PACE)),
            ],
            stdout=out,
            stderr=out,
            env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        )


def plan_cook(folder: Path, port: Path) -> int:
    """What a cook does on Plan and Bench before the fire, through the services they call."""
    from smokejournal.services.feeds.control import FeedControl

    journal = Journal.open(folder)
    program = Program(journal, clock_for(journal, PACE))
    feeds = FeedControl(program)
    cook_id = program.new_cook("Trout on a line", "Europe/Vienna", simulated=True)
    live = program.live(cook_id)
    now_s = program.clock.now_s()
    live.record_many(
        [
            (now_s, ItemAdded("side of trout", "fish", mass_kg=0.7, thickness_m=0.026)),
            (now_s, ChannelSet(Channel("pit", "Pit", "pit", gap_s=GAP_S))),
            (now_s, ChannelSet(Channel("meat", "Thick end", gap_s=GAP_S))),
            (now_s, ChannelSet(Channel("check", "Thin end", gap_s=GAP_S))),
            (now_s, LeadSet("meat", "check")),
            (now_s, ScheduleSet(Schedule("Trout", STAGES))),
        ]
    ).result(10)
    columns = (Column("1", "pit", "C"), Column("2", "meat", "C"), Column("3", "check", "C"))
    feeds.start(cook_id, SerialConfig(str(port), format=LineFormat(columns=columns)))
    feeds.close()
    live.record(ScheduleStarted()).result(10)
    program.close()
    journal.close()
    return cook_id


def stored(folder: Path, channel: str) -> list[tuple[float, float]]:
    """(UTC seconds, °C) of a channel, straight from the file."""
    database = sqlite3.connect(f"file:{folder / 'journal.sqlite'}?mode=ro", uri=True)
    try:
        rows = database.execute(
            "select r.t_ms, r.value from reading r join channel c on c.id = r.channel_id"
            " where c.key = ? order by r.t_ms",
            (channel,),
        ).fetchall()
    finally:
        database.close()
    return [(t_ms / 1000, value) for t_ms, value in rows]


# -- the independent few lines -------------------------------------------------------------------


def reached(rows: list[tuple[float, float]], target_c: float) -> float:
    """The first reading at or past a temperature."""
    return next(t for t, v in rows if v >= target_c)


def proven(rows: list[tuple[float, float]]) -> float:
    """The reading at which the target had been held for the proving time without a gap."""
    since = last = None
    for t, v in rows:
        if v < TARGET_C:
            since = None
        elif since is None or t - last > GAP_S:
            since = t
        last = t
        if since is not None and t - since >= PROVE_S:
            return t
    raise AssertionError("never proven")


def held(rows: list[tuple[float, float]], from_s: float) -> float:
    """The reading at which the hold had counted in full; nothing counts across a gap or a dip."""
    counted = 0.0
    for (t0, v0), (t1, v1) in itertools.pairwise(rows):
        if t1 > from_s and t1 - t0 <= GAP_S and v0 >= TARGET_C and v1 >= TARGET_C:
            counted += t1 - max(t0, from_s)
        if counted >= HOLD_S:
            return t1
    raise AssertionError("never held")


def gaps(rows: list[tuple[float, float]]) -> list[float]:
    return [b[0] - a[0] for a, b in itertools.pairwise(rows) if b[0] - a[0] > GAP_S]


@pytest.mark.slow
@pytest.mark.timeout(420)
@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals and SIGKILL are POSIX")
def test_a_cook_from_plan_to_printed_page_on_a_serial_line(tmp_path: Path, feeder: Feeder) -> None:
    folder, log = tmp_path / "journal", tmp_path / "program.txt"
    port = tmp_path / "probes"
    cook_id = plan_cook(folder, port)
    program = start_program(folder, log)
    try:
        time_limit_s = 60.0
        feeder.begin()
        wait_until(
            lambda: len(stored(folder, "meat")) > 20, time_limit_s, "readings to be recorded"
        )
        wait_until(lambda: "back" in feeder.lines(), 90, "the cable to be put back")
        back_n = len(stored(folder, "pit"))
        wait_until(
            lambda: len(stored(folder, "pit")) > back_n + 5, time_limit_s, "the line to come back"
        )

        def in_the_hold() -> bool:
            rows = stored(folder, "meat")
            above = [t for t, v in rows if v >= TARGET_C]
            return len(above) > 1 and above[-1] - above[0] > 600

        wait_until(in_the_hold, 90, "the hold")
        program.send_signal(signal.SIGKILL)
        program.wait()
        killed_s = time.monotonic()
        killed_n = len(stored(folder, "meat"))
        standing = json.loads(run("where", str(cook_id), "--journal", str(folder), "--json"))
        assert standing["stage"]["key"] == "s2"
        # However fast the machine starts again, this long without readings is a gap.
        wait_until(
            lambda: time.monotonic() - killed_s > 1.2 * GAP_S / PACE, time_limit_s, "a gap to pass"
        )
        program = start_program(folder, log)
        wait_until(
            lambda: len(stored(folder, "meat")) > killed_n + 5, time_limit_s, "readings to go on"
        )

        def done() -> bool:
            answer = run("where", str(cook_id), "--journal", str(folder), "--json")
            return bool(json.loads(answer)["phase"] == "done")

        # To the end of the line, not only of the schedule: what is sent while the program is being
        # ended would be missed with good reason, and whatever else is missing would hide behind it.
        wait_until(lambda: "end" in feeder.lines(), 120, "the end of the line")
        wait_until(done, 60, "the schedule to be done")
        last = _row_sent(feeder.sent()[-1])
        wait_until(
            lambda: tuple(stored(folder, channel)[-1][1] for channel in COLUMNS) == last,
            time_limit_s,
            "the last line sent",
        )
    finally:
        program.terminate()
        code = program.wait(20)
    assert code == 0, log.read_text()
    assert "Traceback" not in log.read_text()

    _check_readings(folder, feeder)
    _check_figures(folder, cook_id, tmp_path / "summary.pdf")


@functools.cache
def _history() -> dict[float, dict[str, str]]:
    with HISTORY.open(newline="") as file:
        return {float(row["time_s"]): row for row in csv.DictReader(file)}


def _row_sent(at_s: float) -> tuple[float | None, ...]:
    row = _history()[at_s]
    return tuple(float(row[column]) if row[column] else None for column in COLUMNS.values())


def _check_readings(folder: Path, feeder: Feeder) -> None:
    """Nothing was invented or changed, and nothing is missing but where nobody could listen."""
    sent = [_row_sent(at_s) for at_s in feeder.sent()]
    lines: dict[float, dict[str, float]] = {}
    for channel in COLUMNS:
        for at_s, value in stored(folder, channel):
            lines.setdefault(at_s, {})[channel] = value
    # Lines that arrived in one handful have one stamp, moved on by a millisecond for each channel.
    kept = [tuple(line.get(channel) for channel in COLUMNS) for _, line in sorted(lines.items())]
    matcher = difflib.SequenceMatcher(None, sent, kept, autojunk=False)
    changes = [change for change in matcher.get_opcodes() if change[0] != "equal"]
    assert {change[0] for change in changes} <= {"delete"}, "a line that was never sent"
    # Before it first listened, while the cable was out, and while it was dead.
    assert len(changes) <= 3, changes
    assert len(kept) > 0.5 * len(sent)


def _check_figures(folder: Path, cook_id: int, pdf: Path) -> None:
    rows = stored(folder, "meat")
    smoke_s = proven(rows)
    hold_s = held(rows, smoke_s)
    rest_s = hold_s + REST_S
    told = json.loads(run("where", str(cook_id), "--journal", str(folder), "--json"))
    ends = [stage["ended_at_s"] for stage in told["stages"]]
    assert ends == pytest.approx([smoke_s, hold_s, rest_s], abs=0.01)

    run("summary", str(cook_id), "--journal", str(folder), "--pdf", str(pdf))
    text = " ".join(page.extract_text() for page in PdfReader(str(pdf)).pages)
    text = re.sub(r"\s+", " ", text)
    assert "Trout on a line" in text
    assert "SIMULATED" in text.upper()

    def clock(at_s: float) -> str:
        # Vienna is an hour before UTC in winter, two in summer; ask the library, not the program.
        from zoneinfo import ZoneInfo

        return (
            datetime.fromtimestamp(at_s, UTC)
            .astimezone(ZoneInfo("Europe/Vienna"))
            .strftime("%H:%M")
        )

    for moment_s in (smoke_s, hold_s, rest_s, reached(rows, TARGET_C)):
        assert clock(moment_s) in text
    assert clock(reached(stored(folder, "check"), TARGET_C)) in text
    pit = [v for _, v in stored(folder, "pit")]
    for figure in (max(pit), min(v for _, v in rows), max(v for _, v in rows)):
        assert re.search(rf"\b{figure:.1f}\b|\b{figure:.0f} °C", text), figure
    longest = max(gaps(rows))
    assert longest > PULL_FOR_S * 0.8
    assert len(gaps(rows)) >= 3  # silent probe, pulled cable, kill
