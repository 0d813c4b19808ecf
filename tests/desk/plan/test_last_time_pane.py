"""Last time: what an earlier cook says to the plan that was made from it, taken over with one touch."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import (
    CookClosed,
    ItemAdded,
    NextTime,
    Note,
    PrepStep,
    ScheduleSet,
    ScheduleStarted,
    StageExtended,
    StepBegun,
    StepEnded,
    StepSkipped,
    TimeExplained,
    TimePartFound,
    WeatherObserved,
)
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage
from smokejournal.cook.plan.plan import plan_of
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.plan.head import LAST_TIME, SCHEDULE
from smokejournal.desk.plan.page import PlanPage
from tests.support.fakes import FixedClock

HOUR = 3600.0


class Again:
    """A plan made from a cook whose brine and rest ran over."""

    def __init__(self, qtbot: QtBot, context: DeskContext, clock: FixedClock) -> None:
        self.qtbot, self.context = qtbot, context
        before = context.program.new_cook("Ribs", "Europe/Vienna")
        live = context.live(before)
        smoke = Stage("s1", "Smoke", (ForTime(4 * HOUR),), pit_target_c=110.0, purpose="cook")
        rest = Stage("s2", "Rest", (ForTime(0.5 * HOUR),), purpose="rest")

        def say(what: object, after_h: float = 0.0) -> None:
            clock.forward(after_h * HOUR)
            live.record(what, clock.now_s()).result(5)  # type: ignore[arg-type]

        say(ItemAdded("ribs", "red_meat", mass_kg=1.5))
        say(PrepStep("brine", "2 L water", 8 * HOUR, key="brine"))
        say(PrepStep("rub", key="rub"))
        say(ScheduleSet(Schedule("", (smoke, rest))))
        say(StepBegun("brine"))
        say(StepEnded("brine"), 10.0)
        say(StepSkipped("rub"))
        say(WeatherObserved(air_c=4.0, wind_m_s=3.0))
        say(ScheduleStarted())
        say(StageExtended("s1", 0.75 * HOUR), 1.0)
        clock.forward(6 * HOUR)
        say(NextTime("Wrap <b>earlier</b>."))
        say(CookClosed())
        parts = (
            TimePartFound("pit", 2400.0, 1800.0, 3000.0, -6.0, 0.0),
            TimePartFound("lids", 600.0, 300.0, 900.0, 2.0, 0.0),
            TimePartFound("unexplained", 120.0, -300.0, 500.0),
        )
        say(TimeExplained("plan", 6.5 * HOUR, 6.5 * HOUR - 3120.0, parts, told=True))
        self.cook_id = context.program.plan_again(before)
        context.choose(self.cook_id)
        self.page = PlanPage(context)
        qtbot.addWidget(self.page)
        self.page.resize(1280, 760)
        self.page.show()
        self.page.head.turn_to(LAST_TIME)
        self.until(lambda: "Ribs" in self.page.last_time.title.text())

    def until(self, condition: Callable[[], object]) -> None:
        self.qtbot.waitUntil(lambda: bool(condition()))

    def texts(self) -> list[str]:
        return [
            label.text()
            for label in self.page.last_time.findChildren(QLabel)
            if label.isVisible() and label.text()
        ]

    def take(self, key: str) -> QPushButton | None:
        return self.page.last_time.findChild(QPushButton, f"take_{key}")

    def click(self, key: str) -> None:
        button = self.take(key)
        assert button is not None
        self.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        self.until(lambda: self.take(key) is None)

    def plan(self):
        return plan_of(self.context.live(self.cook_id).log())


@pytest.fixture
def again(qtbot: QtBot, context: DeskContext, clock: FixedClock) -> Again:
    return Again(qtbot, context, clock)


def test_what_really_happened_stands_beside_the_plan(again: Again) -> None:
    texts = again.texts()
    at = texts.index("brine: took 10 h.")
    assert texts[at + 1] == "This plan says 8 h."
    assert "rub: skipped." in texts
    at = texts.index("Smoke: took 4 h 45 min (by its rule).")
    assert texts[at + 1] == "This plan says 4 h."
    at = texts.index("Rest: took 30 min (by its rule).")
    assert texts[at + 1] == "So it is on this plan."
    at = texts.index("What made it last")
    assert "6 h 30 min" in texts[at + 1]
    assert "52 min longer" in texts[at + 1]
    assert texts[at + 2].startswith("Pit 6 °C below its set point")
    assert texts[at + 3].startswith("Lid openings")
    assert any("4 °C" in text and "wind 3 m/s" in text for text in texts)
    wish = again.page.last_time.findChild(QLabel, "last_wish0_Text")
    assert wish.text() == "Wrap <b>earlier</b>."
    assert wish.textFormat() == Qt.TextFormat.PlainText


def test_each_piece_is_taken_over_with_one_touch_and_taken_back(again: Again) -> None:
    again.click("prepbrine")
    ((_, brine), _) = again.plan().prep
    assert (brine.step, brine.text, brine.duration_s) == ("brine", "2 L water", 10 * HOUR)
    again.click("stage0")
    smoke, rest = again.plan().schedule.stages
    assert smoke.rules == (ForTime(4.75 * HOUR),)
    assert rest.rules == (ForTime(0.5 * HOUR),)
    assert again.page.editor.draft.schedule == again.plan().schedule
    again.click("wish0")
    notes = [what.text for _, what in again.context.live(again.cook_id).log().of(Note)]
    assert notes == ["From last time: Wrap <b>earlier</b>."]
    assert "Noted in the log of this cook." in again.texts()
    undo = again.page.last_time.undo
    again.qtbot.mouseClick(undo, Qt.MouseButton.LeftButton)
    again.until(lambda: again.take("wish0") is not None)
    again.qtbot.mouseClick(undo, Qt.MouseButton.LeftButton)
    again.until(lambda: again.take("stage0") is not None)
    assert again.plan().schedule.stages[0].rules == (ForTime(4 * HOUR),)
    again.qtbot.mouseClick(undo, Qt.MouseButton.LeftButton)
    again.until(lambda: again.take("prepbrine") is not None)
    assert next(step for _, step in again.plan().prep).duration_s == 8 * HOUR
    assert not undo.isVisible()


def test_a_schedule_that_is_not_kept_is_not_written_over(again: Again) -> None:
    stage = again.page.editor.draft.schedule.stages[0]
    again.page.editor.draft.put(replace(stage, name="Smoke it"))
    again.page.editor.changed.emit()
    again.until(lambda: not again.take("stage0").isEnabled())
    assert again.take("prepbrine").isEnabled()
    assert "Save the plan first" in again.take("stage0").toolTip()


def test_any_finished_cook_can_be_chosen_and_one_of_the_same_food_comes_by_itself(
    again: Again, context: DeskContext
) -> None:
    pane = again.page.last_time
    fresh = context.program.new_cook("Sunday", "Europe/Vienna")
    context.choose(fresh)
    again.page.head.turn_to(LAST_TIME)
    assert pane.choice.currentIndex() == -1
    assert again.texts() == []
    # From the list, as with the arrow keys and Enter.
    pane.choice.setCurrentIndex(0)
    pane.choice.activated.emit(0)
    again.until(lambda: "Wrap <b>earlier</b>." in " ".join(again.texts()))
    other = context.program.new_cook("Another", "Europe/Vienna")
    context.choose(other)
    context.live(other).record(ItemAdded("beef ribs", "red_meat")).result(5)
    again.page.head.turn_to(LAST_TIME)
    again.until(lambda: pane.title.text().startswith("Ribs, "))


def test_without_a_finished_cook_there_is_no_last_time(qtbot: QtBot, context: DeskContext) -> None:
    context.choose(context.program.new_cook("Fish", "Europe/Vienna"))
    page = PlanPage(context)
    qtbot.addWidget(page)
    page.resize(1280, 760)
    page.show()
    assert not page.head.tabs.isTabVisible(LAST_TIME)
    assert page.head.part == SCHEDULE


def test_its_tab_cuts_no_other_tab_off_on_a_small_screen(again: Again) -> None:
    page, tabs = again.page, again.page.head.tabs
    page.resize(900, 540)
    page.head.set_again(False)
    again.until(lambda: tabs.width() < tabs.sizeHint().width() + 1)
    page.head.set_again(True)
    again.until(lambda: tabs.width() >= tabs.sizeHint().width())
    assert tabs.tabRect(0).left() >= 0


def test_what_is_open_from_other_cooks_of_the_like_is_shown_until_it_is_answered(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    older = context.live(context.program.new_cook("Ribs in May", "Europe/Vienna"))
    for what in (
        ItemAdded("ribs", "red_meat"),
        ScheduleStarted(),
        NextTime("More <i>pepper</i>."),
        CookClosed(),
    ):
        clock.forward(60.0)
        older.record(what, clock.now_s()).result(5)
    again = Again(qtbot, context, clock)
    page = again.page

    def shown(name: str) -> str:
        label = page.findChild(QLabel, name)
        return label.text() if label is not None and label.isVisible() else ""

    qtbot.waitUntil(lambda: shown("last_point0_Text") == "More <i>pepper</i>.")
    assert shown("last_point0_More").startswith("Ribs in May, ")
    button = page.findChild(QPushButton, "letGo_point0")
    assert button is not None
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: shown("last_point0_More") == "No longer wanted.")
    held = [e.what for e in context.live(again.cook_id).log().holding()]
    assert Note("No longer wanted: More <i>pepper</i>.") in held
    undo = page.findChild(QPushButton, "lastTimeUndo")
    assert undo is not None
    qtbot.mouseClick(undo, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: shown("last_point0_More").startswith("Ribs in May, "))
