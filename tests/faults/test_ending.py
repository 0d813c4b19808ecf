"""The program ends within seconds, and what could not be written is not gone with it."""

import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from smokejournal.cook.log.entries import CookOpened, Note, ScheduleSet, ScheduleStarted
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage
from smokejournal.inputs.simulated import practice
from smokejournal.inputs.table import guess_replay, rows_of
from smokejournal.journal import Change, Journal
from smokejournal.journal.writer import MOST_TOGETHER
from smokejournal.services.feeds.control import FeedControl
from smokejournal.services.feeds.rescue import rescue
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock, dead_disk, slow_disk

AT_S = 1_780_000_000.0

#: Runs the window in a process of its own, on a disk that takes nothing more, and ends it.
RUN = """
import os, signal, sys, threading, time
import smokejournal.app as app
from smokejournal.cli.commands import parse
from smokejournal.journal.problems import no_room
from smokejournal.journal.writer import Writer

def end():
    while not resumed:
        time.sleep(0.05)
    Writer._on_savepoint = Writer._commit_alone = lambda self, *_: no_room(self._path)
    while not feeds[0].unwritten():
        time.sleep(0.05)
    os.kill(os.getpid(), signal.SIGTERM)

feeds, resumed = [], []
resume = app.FeedControl.resume
def resuming(self):
    feeds.append(self)
    resumed.append(resume(self))
app.FeedControl.resume = resuming
threading.Thread(target=end, daemon=True).start()
sys.exit(app.run_window(parse(["--journal", sys.argv[1]])))
"""


#: Runs the window in a process of its own, and a signal comes while it starts.
EARLY = """
import os, signal, sys
import smokejournal.app as app
from smokejournal.cli.commands import parse

name = sys.argv[2]
owner, method = {"settle": (app.Desk, "_settle_in"), "show": (app.Window, "show"),
                 "resume": (app.FeedControl, "resume"), "page": (app.Window, "show_page")}[name]
was = getattr(owner, method)
def then(self, *asked):
    answer = was(self, *asked)
    os.kill(os.getpid(), getattr(signal, sys.argv[3]))
    return answer
setattr(owner, method, then)
sys.exit(app.run_window(parse(["--journal", sys.argv[1]])))
"""


def until(condition: Callable[[], object], limit_s: float = 20.0) -> None:
    end = time.monotonic() + limit_s
    while not condition():
        assert time.monotonic() < end
        threading.Event().wait(0.005)


def test_closing_does_not_wait_for_a_disk_that_hangs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("smokejournal.journal.journal_file.LONGEST_CLOSE_S", 0.2)
    journal = Journal.open(tmp_path / "journal")
    with slow_disk(journal):
        began_s = time.monotonic()
        journal.close()
        assert time.monotonic() - began_s < 5.0


def test_what_a_person_types_goes_before_readings(tmp_path: Path) -> None:
    heard: list[Change] = []
    with Journal.open(tmp_path / "journal") as journal:
        cook = journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
        journal.subscribe(heard.append)
        with slow_disk(journal):
            for number in range(1000):
                journal.append_readings(cook, [Reading(AT_S + number, "pit", 110.0)])
            journal.append(cook, Note("It smells good."), AT_S, AT_S)
            journal.append(cook, Note("It rains."), AT_S, AT_S)
        journal.flush()
        said = [
            (place, entry.what) for place, change in enumerate(heard) for entry in change.entries
        ]
        assert [what for _, what in said] == [Note("It smells good."), Note("It rains.")]
        # What was already taken up with the first of the queue may go before.
        assert all(place < MOST_TOGETHER + 2 for place, _ in said)
        assert len(journal.trace(cook, "pit")) == 1000


def test_readings_that_could_not_be_written_are_in_a_table_that_reads_in_again(
    tmp_path: Path,
) -> None:
    journal = Journal.open(tmp_path / "journal")
    clock = FixedClock(AT_S)
    program = Program(journal, clock)
    feeds = FeedControl(program)
    cook = program.new_cook("Ribs", "UTC")
    stage = Stage("s1", "Smoke", (ForTime(3600.0),))
    program.live(cook).record(ScheduleSet(Schedule("", (stage,)))).result(10)
    feeds.start(cook, practice())
    with dead_disk(journal):
        until(lambda: clock.forward(1.0) or feeds.unwritten())
        feeds.close()
        program.close()
        journal.close()
    ((found, readings),) = feeds.unwritten()
    assert found == cook
    missing = tmp_path / "not there"
    path = rescue(readings, "readings", (missing, tmp_path))
    assert path == tmp_path / "readings.csv"
    rows = list(rows_of(guess_replay(path)))
    read = [(row.table_s, value.source, value.value_c) for row in rows for value in row.values]
    assert not [row for row in rows if row.refused]
    assert len(read) == len(readings)
    for was, (at_s, channel, value_c) in zip(
        sorted(readings, key=lambda each: (each.at_s, each.channel)), sorted(read), strict=True
    ):
        assert (at_s, channel) == (pytest.approx(was.at_s, abs=0.001), was.channel)
        assert value_c == pytest.approx(was.value_c)
    # Another's file is left alone.
    assert rescue(readings, "readings", (tmp_path,)) == tmp_path / "readings-2.csv"
    with pytest.raises(OSError, match="No such file"):
        rescue(readings, "readings", (missing,))


def test_the_program_ends_and_says_where_the_readings_are(tmp_path: Path) -> None:
    folder = tmp_path / "journal"
    with Journal.open(folder) as journal:
        program = Program(journal, FixedClock(time.time()))
        feeds = FeedControl(program)
        cook = program.new_cook("Ribs", "UTC")
        feeds.start(cook, practice())
        feeds.close()
        program.close()
    home = tmp_path / "home"
    home.mkdir()
    ended = subprocess.run(
        [sys.executable, "-c", RUN, str(folder)],
        env=os.environ
        | {"QT_QPA_PLATFORM": "offscreen", "HOME": str(home), "XDG_STATE_HOME": str(home)},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr
    assert "readings could not be written to the journal." in ended.stderr
    path = folder / f"readings-of-cook-{cook}.csv"
    assert f"They are in {path}." in ended.stderr
    assert len(list(rows_of(guess_replay(path)))) >= 1
    assert "Traceback" not in ended.stderr
    # What goes wrong while the window is open is in a dialog, and in the log.
    (log,) = home.rglob("smokejournal.log")
    assert "Signal 15: closing" in log.read_text("utf-8")
    assert "Traceback" not in log.read_text("utf-8")


@pytest.mark.parametrize("name", ["SIGTERM", "SIGINT"])
@pytest.mark.parametrize("moment", ["page", "show", "resume", "settle"])
def test_a_signal_while_the_program_starts_ends_it(tmp_path: Path, moment: str, name: str) -> None:
    folder = tmp_path / "journal"
    with Journal.open(folder) as journal:
        program = Program(journal, FixedClock(time.time()))
        cook = program.new_cook("Ribs", "UTC")
        stage = Stage("s1", "Smoke", (ForTime(36_000.0),))
        program.live(cook).record_many(
            [(time.time(), ScheduleSet(Schedule("", (stage,)))), (time.time(), ScheduleStarted())]
        ).result(10)
        program.close()
    home = tmp_path / "home"
    home.mkdir()
    ended = subprocess.run(
        [sys.executable, "-c", EARLY, str(folder), moment, name],
        env=os.environ
        | {"QT_QPA_PLATFORM": "offscreen", "HOME": str(home), "XDG_STATE_HOME": str(home)},
        capture_output=True,
        text=True,
        timeout=30,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr
    assert "Traceback" not in ended.stderr
