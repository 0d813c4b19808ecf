"""What most tests of services begin with: a program on a journal of its own, at a clock that stands."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from smokejournal.journal import Journal
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock


@pytest.fixture
def clock() -> FixedClock:
    """Stands until a test moves it. A file that needs another moment has a clock of its own."""
    return FixedClock()


@pytest.fixture
def program(tmp_path: Path, clock: FixedClock) -> Iterator[Program]:
    """On an empty journal."""
    with Journal.open(tmp_path / "journal") as journal:
        program = Program(journal, clock)
        yield program
        program.close()
