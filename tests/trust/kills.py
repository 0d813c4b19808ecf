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
from smokejournal.journal import Journal

#: Writes readings of eight channels and now and then a note, as fast as the disk takes them, and says
#: of each only once it is on disk.
WRITER = """
import sys
from pathlib import Path
from smokejournal.cook.log.entries import CookOpened, Note, ScheduleStarted
from smokejournal.cook.log.readings import Reading
from smokejournal.journal import Journal
journal = Journal.open(Path(sys.argv[1]))
cook = journal.new_cook(CookOpened("Ribs", "UTC"), 1e9, 1e9).result(30)
journal.append(cook, ScheduleStarted(), 1e9, 1e9).result(30)
print("cook", cook, flush=True)
for n in range(10**9):
    at_s = 1e9 + n
    batch = [Reading(at_s, f"channel{k}", 20.0 + (n * 7 + k) % 90) for k in range(8)]
    done = journal.append_readings(cook, batch)
    noted = journal.append(cook, Note(f"note {n}"), at_s, at_s) if n % 25 == 0 else None
    done.result(30)
    print("readings", n, flush=True)
    if noted is not None:
        noted.result(30)
        print("note", n, flush=True)
"""


@dataclass
class Found:
    """What came of a number of kills."""

    kills: int = 0
    readings: int = 0
    notes: int = 0
    lost: int = 0
    damaged: int = 0


def kill_often(folder: Path, times: int, seed: int) -> Found:
    """Kill a writer so often, each at another moment; what it had acknowledged is looked for."""
    found, chance = Found(), random.Random(seed)
    for _ in range(times):
        said = _killed_after(folder, chance.uniform(0.02, 0.9))
        found.kills += 1
        _look(folder, said, found)
    return found


def _killed_after(folder: Path, after_s: float) -> list[list[str]]:
    """Lines that the writer acknowledged before it was killed, so long after its cook was opened."""
    ran = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(folder)], stdout=subprocess.PIPE, text=True
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


def _look(folder: Path, said: list[list[str]], found: Found) -> None:
    with Journal.open(folder) as journal:
        cook = int(said[0][1])
        times = {
            f"channel{k}": set(journal.trace(cook, f"channel{k}").at_s.tolist()) for k in range(8)
        }
        notes = {e.what.text for e in journal.entries(cook) if isinstance(e.what, Note)}
        for kind, number in said[1:]:
            if kind == "note":
                found.notes += 1
                found.lost += f"note {number}" not in notes
            else:
                found.readings += 8
                found.lost += sum(1e9 + int(number) not in at_s for at_s in times.values())
        found.damaged += len(journal.check())
    with closing(sqlite3.connect(folder / "journal.sqlite")) as connection:
        found.damaged += connection.execute("PRAGMA integrity_check").fetchone()[0] != "ok"
