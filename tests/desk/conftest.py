"""A desk on a journal of its own, for tests of pages."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from smokejournal.desk.base.context import DeskContext
from smokejournal.journal import Journal
from smokejournal.science.forecast.values import CookSoFar, Forecast
from smokejournal.services.forecast.finish import FinishForecasts
from smokejournal.services.program.program import Program
from tests.support.contexts import desk_context
from tests.support.fakes import FixedClock


@pytest.fixture(autouse=True)
def collected_here() -> Iterator[None]:
    """Collect garbage on the painting thread only, as the program does while its window is open:
    a worker that collects takes Qt objects apart while they are being painted."""
    gc.disable()
    yield
    gc.collect(1)
    gc.enable()


@pytest.fixture(autouse=True, scope="module")
def nothing_left_to_others() -> Iterator[None]:
    """What lives longer than one test is collected here too: the tests that come next have workers
    of their own, which would collect it on their threads."""
    yield
    gc.collect()


def _tells_nothing(cook: CookSoFar) -> Forecast:
    return Forecast("too_early", cook.now_s)


@pytest.fixture
def clock() -> FixedClock:
    """The time on the desk."""
    return FixedClock()


@pytest.fixture
def context(qtbot: QtBot, tmp_path: Path, clock: FixedClock) -> Iterator[DeskContext]:
    """An empty journal, opened; put away in order at the end."""
    journal = Journal.open(tmp_path / "journal")
    program = Program(journal, clock)
    with desk_context(program) as desk:
        # The real forecast takes a second; tests that are about it bring one of their own.
        desk.forecasts.finish = FinishForecasts(program, _tells_nothing)
        yield desk
    program.close()
    journal.close()
