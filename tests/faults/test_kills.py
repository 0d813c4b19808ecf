"""Killed while it writes, at random moments: every acknowledged reading and entry is there afterwards.

The long form is `python -m tests.trust kills`.
"""

from __future__ import annotations

from pathlib import Path

from tests.trust.kills import kill_often


def test_nothing_acknowledged_is_lost(tmp_path: Path) -> None:
    found = kill_often(tmp_path / "journal", times=6, seed=7)
    assert found.times == 6
    assert found.readings > 0
    assert (found.lost, found.damaged, found.problems) == (0, 0, 0)
