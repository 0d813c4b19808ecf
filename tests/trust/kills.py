"""A program that writes readings and entries is killed at random moments; nothing acknowledged is lost."""

from __future__ import annotations

import random
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from smokejournal.cook.log.entries import Note
from smokejournal.journal import Journal, JournalProblem

#: Writes so many batches of readings of eight channels and now and then a note, as fast as the disk
#: takes them, says of each only once it is on disk, and closes the journal. What can't be written it
#: says too, and goes on; it ends with 3 where it can't begin.
WRITER = """
import sys
from pathlib import Path
from smokejournal.cook.log.entries import CookOpened, Note, ScheduleStarted
from smokejournal.cook.log.readings import Reading
from smokejournal.journal import Journal, JournalProblem
try:
    journal = Journal.open(Path(sys.argv[1]))
    cook = journal.new_cook(CookOpened("Ribs", "UTC"), 1e9, 1e9).result(30)
    journal.append(cook, ScheduleStarted(), 1e9, 1e9).result(30)
except JournalProblem as problem:
    print("problem", problem, flush=True)
    sys.exit(3)
print("cook", cook, flush=True)
for n in range(int(sys.argv[2])):
    at_s = 1e9 + n
    batch = [Reading(at_s, f"channel{k}", 20.0 + (n * 7 + k) % 90) for k in range(8)]
    written = {"readings": journal.append_readings(cook, batch)}
    if n % 25 == 0:
        written["note"] = journal.append(cook, Note(f"note {n}"), at_s, at_s)
    for kind, done in written.items():
        try:
            done.result(30)
        except JournalProblem as problem:
            print("problem", problem, flush=True)
        else:
            print(kind, n, flush=True)
journal.close()
"""


@dataclass
class Found:
    """What came of a number of kills, power cuts or failed writes: acknowledged readings and notes,
    how many of them are lost, and how often the journal was not as it must be."""

    times: int = 0
    readings: int = 0
    notes: int = 0
    problems: int = 0
    """What the program said itself that it could not write."""
    lost: int = 0
    damaged: int = 0


def kill_often(folder: Path, times: int, seed: int) -> Found:
    """Kill a writer so often, each at another moment; what it had acknowledged is looked for."""
    found, chance = Found(), random.Random(seed)
    for _ in range(times):
        said = _killed_after(folder, chance.uniform(0.02, 0.9))
        found.times += 1
        look(folder, said, found)
    return found


def _killed_after(folder: Path, after_s: float) -> list[list[str]]:
    """Lines that the writer acknowledged before it was killed, so long after its cook was opened."""
    ran = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(folder), str(10**9)], stdout=subprocess.PIPE, text=True
    )
    assert ran.stdout is not None
    first = ran.stdout.readline()
    time.sleep(after_s)
    ran.send_signal(signal.SIGKILL)
    rest = ran.stdout.read()
    ran.wait(30)
    ran.stdout.close()
    # The last line may have been cut off in its middle.
    whole = (first + rest).rpartition("\n")[0]
    return [line.split() for line in whole.splitlines()]


def look(folder: Path, said: list[list[str]], found: Found) -> None:
    """Opens what is left of a journal and looks for all that was acknowledged."""
    times: list[set[float]] = [set()] * 8
    notes: set[str] = set()
    try:
        with Journal.open(folder) as journal:
            faults = journal.check()
            if said and said[0][0] == "cook":
                cook = int(said[0][1])
                times = [set(journal.trace(cook, f"channel{k}").at_s.tolist()) for k in range(8)]
                notes = {e.what.text for e in journal.entries(cook) if isinstance(e.what, Note)}
        with closing(sqlite3.connect(folder / "journal.sqlite")) as connection:
            (state,) = connection.execute("PRAGMA integrity_check").fetchone()
        if state != "ok":
            faults = (*faults, state)
    except (JournalProblem, sqlite3.Error) as problem:
        faults = (str(problem),)
    if any(at_s != times[0] for at_s in times):
        faults = (*faults, "a batch of readings is there in part")
    if faults:
        found.damaged += 1
        print(f"{folder.name}: {'; '.join(faults)}", file=sys.stderr)
    lost_before = found.lost
    for kind, number, *_ in said:
        if kind == "note":
            found.notes += 1
            found.lost += f"note {number}" not in notes
        elif kind == "readings":
            found.readings += 8
            found.lost += sum(1e9 + int(number) not in at_s for at_s in times)
        elif kind == "problem":
            found.problems += 1
    if found.lost > lost_before:
        print(f"{folder.name}: lost {found.lost - lost_before}", file=sys.stderr)
