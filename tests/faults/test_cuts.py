"""The power is cut while the journal is written, at random moments: every acknowledged reading and
entry is there afterwards.

The long forms are `python -m tests.trust cuts` and `python -m tests.trust writes`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.trust.cuts import cut_often
from tests.trust.record import NoRecorder


def test_nothing_acknowledged_is_lost(tmp_path: Path) -> None:
    try:
        found = cut_often(tmp_path, times=10, seed=7, runs=1, batches=40)
    except NoRecorder as why:
        pytest.skip(str(why))
    assert found.times == 10
    assert found.readings > 0
    assert (found.lost, found.damaged, found.problems) == (0, 0, 0)
