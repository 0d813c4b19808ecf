"""The program is killed at any moment: all that was acknowledged is there, and nothing is broken."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from smokejournal.cook.log.entries import Note
from smokejournal.journal import Journal

ROUNDS = 10
ROOT = Path(__file__).parents[2]


@pytest.mark.skipif(sys.platform == "win32", reason="needs fork")
def test_what_was_acknowledged_outlives_a_kill(folder: Path) -> None:
    chance = random.Random(20)
    entries: list[tuple[int, int, str]] = []
    readings: list[tuple[int, str, float, float]] = []
    with subprocess.Popen(
        [sys.executable, "-m", "tests.journal.kill_child", str(folder)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    ) as nursery:
        assert nursery.stdin is not None
        assert nursery.stdout is not None
        assert nursery.stdout.readline() == "ready\n"
        for _ in range(ROUNDS):
            nursery.stdin.write("again\n")
            nursery.stdin.flush()
            pid, kill_at_s, killed = 0, float("inf"), False
            for line in nursery.stdout:
                kind, *rest = line.split()
                if kind == "gone":
                    break
                if kind == "pid":
                    pid = int(rest[0])
                elif kind == "cook":
                    kill_at_s = time.monotonic() + chance.uniform(0.0, 0.3)
                elif kind == "entry":
                    entries.append((int(rest[0]), int(rest[1]), rest[2]))
                else:
                    readings.append((int(rest[0]), rest[1], float(rest[2]), float(rest[3])))
                if pid and not killed and time.monotonic() >= kill_at_s:
                    os.kill(pid, signal.SIGKILL)
                    killed = True
            assert killed
            with Journal.open(folder) as journal:
                assert journal.check() == ()
        nursery.stdin.close()
    assert len(entries) > ROUNDS
    assert len(readings) > ROUNDS
    with Journal.open(folder) as journal:
        assert journal.count_cooks() == ROUNDS
        there = {
            (line.id, entry.id, entry.what.text)
            for line in journal.cooks()
            for entry in journal.entries(line.id)
            if isinstance(entry.what, Note)
        }
        kept = {
            (line.id, key, at_s, value_c)
            for line in journal.cooks()
            for key, trace in journal.log(line.id).traces.items()
            for at_s, value_c in zip(trace.at_s.tolist(), trace.value_c.tolist(), strict=True)
        }
    assert set(entries) <= there
    assert set(readings) <= kept
