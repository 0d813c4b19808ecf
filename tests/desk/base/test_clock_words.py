"""The machine's clock is set, or it sleeps, while a cook is under way: the person is told, and what to
do."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import CookOpened, Note, ScheduleStarted
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.desk.base.clock_words import clock_words, sleep_words
from smokejournal.desk.base.context import Notice
from smokejournal.journal import Journal
from smokejournal.services.program.clock import SteadyClock
from smokejournal.services.program.clock_watch import ClockMoved
from smokejournal.services.program.program import Program
from smokejournal.services.program.sleep_watch import Slept
from tests.support.contexts import desk_context
from tests.support.fakes import FixedClock


def test_a_tick_says_it_once(qtbot: QtBot, tmp_path: Path) -> None:
    set_by_s = [0.0]
    clock = SteadyClock(0.0, lambda: time.time() + set_by_s[0])
    said: list[Notice] = []
    with Journal.open(tmp_path / "journal") as journal:
        cook = journal.new_cook(CookOpened("Ribs", "UTC"), clock.now_s(), clock.now_s()).result(10)
        journal.append(cook, ScheduleStarted(), clock.now_s(), clock.now_s()).result(10)
        program = Program(journal, clock)
        with desk_context(program) as context:
            context.notice_given.connect(said.append)
            context.start_ticking()
            set_by_s[0] = 3600.0
            with qtbot.waitSignal(context.notice_given, timeout=10_000):
                pass
            with qtbot.waitSignals([context.ticked, context.ticked], timeout=10_000):
                pass
        program.close()
    (notice,) = said
    assert notice.text.startswith("The computer's clock was set ahead by 1 h. This cook keeps")
    assert "1 h behind the computer's clock" in notice.text
    assert "set it again on Plan" in notice.cure


@pytest.mark.parametrize(
    ("moved", "words"),
    [
        (ClockMoved(1, -120.0, -120.0), "set back by 2 min. This cook keeps"),
        (ClockMoved(1, -120.0, -120.0), "2 min ahead of the computer's clock"),
        (ClockMoved(1, -3600.0, 0.1), "It agrees with this cook's times again."),
    ],
)
def test_words(moved: ClockMoved, words: str) -> None:
    assert words in clock_words(moved)[0]


def test_waking_up_tells_once_and_stands_in_the_log(qtbot: QtBot, tmp_path: Path) -> None:
    clock = FixedClock(1_780_000_000.0)  # 20:26:40 UTC
    asleep_s = [500.0]
    said: list[Notice] = []
    with Journal.open(tmp_path / "journal") as journal:
        cook = journal.new_cook(CookOpened("Ribs", "UTC"), clock.now_s(), clock.now_s()).result(10)
        journal.append(cook, ScheduleStarted(), clock.now_s(), clock.now_s()).result(10)
        program = Program(journal, clock, lambda: asleep_s[0])
        with desk_context(program) as context:
            context.notice_given.connect(said.append)
            asleep_s[0] += 3600.0
            clock.forward(3600.0)
            context.start_ticking()
            with qtbot.waitSignals([context.ticked, context.ticked], timeout=10_000):
                pass

            def noted() -> list[tuple[float, Note]]:
                return context.live(cook).log().of(Note)

            qtbot.waitUntil(lambda: bool(noted()))
            ((entry, note),) = noted()
            assert note.text == (
                "The machine slept from 20:26 to 21:26. Nothing was recorded in that time."
            )
            assert entry.at_s == clock.now_s()
        program.close()
    (notice,) = said
    assert notice.text == note.text
    assert "Look at the pit and the food now" in notice.cure


def test_a_sleep_of_more_than_a_day_names_the_days() -> None:
    slept = Slept(1_780_000_000.0, 1_780_090_000.0, (1,))
    assert "from 28 May 2026, 20:26 to 29 May 2026, 21:26" in sleep_words(slept, "UTC", METRIC)[0]
    short = Slept(1_780_000_000.0, 1_780_000_600.0, (1,))
    assert "from 8:26 pm to 8:36 pm" in sleep_words(short, "UTC", US)[0]
