"""The power is cut while the journal is written, at random moments: every acknowledged reading and
entry is there afterwards.

The long forms are `python -m tests.trust cuts` and `python -m tests.trust writes`.
"""

from __future__ import annotations

import errno
import random
from pathlib import Path

import pytest

from tests.trust.cuts import cut_at, cut_often
from tests.trust.kills import Found
from tests.trust.record import SYNC, TRUNCATE, WRITE, NoRecorder, compiled, record


def test_nothing_acknowledged_is_lost(tmp_path: Path) -> None:
    try:
        found = cut_often(tmp_path, times=10, seed=7, runs=1, batches=40)
    except NoRecorder as why:
        pytest.skip(str(why))
    assert found.times == 10
    assert found.readings > 0
    assert (found.lost, found.damaged, found.problems) == (0, 0, 0)


def test_nothing_is_lost_where_the_last_step_of_making_a_journal_failed(tmp_path: Path) -> None:
    try:
        library = compiled(tmp_path)
    except NoRecorder as why:
        pytest.skip(str(why))
    made = record(library, tmp_path / "made", batches=0)
    calls = [event for event in made.events if event.kind in (WRITE, TRUNCATE, SYNC)]
    # The last step of a new journal is the change to a write-ahead log. Where that fails, the opening
    # that follows makes up for it.
    last = max(n for n, call in enumerate(calls, 1) if call.path.endswith(".new-journal"))
    journal = tmp_path / "journal"
    run = record(library, journal, 4, last, errno.EIO)
    assert any(event.path.endswith("-wal") for event in run.events)
    found = Found()
    cut_at(run.events, journal, [len(run.events)] * 8, random.Random(7), found)
    assert found.readings == 8 * 4 * 8
    assert (found.lost, found.damaged, found.problems) == (0, 0, 0)
