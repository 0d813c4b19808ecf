"""Damaged lines of a device give no exception and no value that they don't say.

The long form is `python -m tests.trust lines --times 10000`.
"""

from __future__ import annotations

from tests.trust.lines import read_damaged


def test_damaged_lines_make_nothing_up() -> None:
    read = read_damaged(20_000, seed=3)
    assert read.made_up == 0
    assert read.values > 1000
    assert read.refused > 1000
