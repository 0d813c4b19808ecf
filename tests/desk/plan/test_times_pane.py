"""Times on Plan: counted back, lived step by step, kept, and taken back."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import (
    CookRenamed,
    ItemAdded,
    PrepStep,
    ScheduleSet,
    StepBegun,
    StepEnded,
    StepExtended,
    StepSkipped,
    TimesKept,
)
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.plan.prep_progress import prep_progress
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.timetable.count_back import count_back
from smokejournal.cook.timetable.timetable import Timetable
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.plan.head import TIMES
from smokejournal.desk.plan.page import PlanPage
from tests.support.fakes import FixedClock

HOUR = 3600.0
SCHEDULE = Schedule(
    "Ribs",
    (
        Stage("s1", "Smoke", (ForTime(4 * HOUR),), pit_target_c=110.0, purpose="cook"),
        Stage("s2", "Rest", (ForTime(HOUR),), purpose="rest"),
    ),
)


@pytest.fixture
def page(qtbot: QtBot, context: DeskContext, clock: FixedClock) -> PlanPage:
    def make(cook_id: int, schedule: Schedule, units: Units) -> Timetable:
        log = context.live(cook_id).log()
        return count_back(
            plan_of(log), schedule, prep_progress(log.holding()), clock.now_s(), units=units
        )

    context.make_timetable = make
    cook_id = context.program.new_cook("Ribs", "UTC")
    live = context.live(cook_id)
    now_s = clock.now_s()
    for what in (
        ItemAdded("ribs", "red_meat", mass_kg=1.5),
        PrepStep("dry brine", "uncovered", 10 * HOUR, key="salt"),
        PrepStep("rub", "thin", 900.0, key="rub"),
        ScheduleSet(SCHEDULE),
    ):
        live.record(what, now_s).result()
    context.choose(cook_id)
    page = PlanPage(context)
    qtbot.addWidget(page)
    page.resize(1280, 760)
    page.show()
    page.head.turn_to(TIMES)
    qtbot.waitUntil(page.times.isVisible)
    return page


def text(page: PlanPage, name: str) -> str:
    label = page.findChild(QLabel, name)
    assert label is not None, name
    return label.text() if label.isVisible() else ""


def press(qtbot: QtBot, page: PlanPage, name: str) -> None:
    button = page.findChild(QPushButton, name)
    assert button is not None, name
    assert button.isVisible(), name
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def entries(context: DeskContext, kind: type) -> list[object]:
    assert context.chosen is not None
    return [what for _, what in context.live(context.chosen).log().of(kind)]


def want(context: DeskContext, at_s: float) -> None:
    assert context.chosen is not None
    context.live(context.chosen).record(CookRenamed("Ribs", ready_at_s=at_s)).result()


def test_without_a_time_it_asks_for_one_and_tells_lengths(qtbot: QtBot, page: PlanPage) -> None:
    qtbot.waitUntil(lambda: "When is it wanted?" in text(page, "timesNext"))
    assert text(page, "step_prep:saltLength") == "Takes 10 h, you said so."
    assert not page.times.keep.isEnabled()


def test_every_step_is_counted_back_from_the_table(
    qtbot: QtBot, page: PlanPage, context: DeskContext, clock: FixedClock
) -> None:
    # At the table 5 h after the fire is lit, which is 10 h 15 min after the salt goes on.
    start_s = clock.now_s() + 5 * HOUR
    want(context, start_s + 15 * HOUR + 900.0)
    qtbot.waitUntil(lambda: text(page, "timesNext").startswith("Next: dry brine at"))
    timetable = page.times.timetable
    assert timetable is not None
    planned = {s.key: s.start.planned_s for s in timetable.steps if s.start is not None}
    assert planned["prep:salt"] == pytest.approx(start_s, abs=60.0)
    assert planned["prep:rub"] == pytest.approx(start_s + 10 * HOUR, abs=60.0)
    assert planned["stage:s1"] == pytest.approx(start_s + 10 * HOUR + 900.0, abs=60.0)
    assert "Chance of being late: less than 1 in 10." in text(page, "timesFacts")


def test_a_step_is_lived_and_the_rest_is_counted_again(
    qtbot: QtBot, page: PlanPage, context: DeskContext, clock: FixedClock
) -> None:
    want(context, clock.now_s() + 20 * HOUR)
    qtbot.waitUntil(lambda: "Next: dry brine" in text(page, "timesNext"))
    press(qtbot, page, "step_prep:salt_begin")
    qtbot.waitUntil(lambda: "Under way since" in text(page, "step_prep:saltState"))
    assert entries(context, StepBegun) == [StepBegun("salt")]
    more = page.findChild(QPushButton, "step_prep:salt_more")
    assert more is not None
    assert more.isVisible()
    next(a for a in more.menu().actions() if a.text() == "2 h").trigger()
    qtbot.waitUntil(lambda: entries(context, StepExtended) == [StepExtended("salt", 2 * HOUR)])
    qtbot.waitUntil(lambda: "12 h left" in text(page, "step_prep:saltLength"))
    clock.forward(13 * HOUR)
    press(qtbot, page, "step_prep:salt_end")
    qtbot.waitUntil(lambda: "took 13 h, 1 h over" in text(page, "step_prep:saltState"))
    assert entries(context, StepEnded) == [StepEnded("salt")]
    press(qtbot, page, "step_prep:rub_skip")
    qtbot.waitUntil(lambda: text(page, "step_prep:rubState") == "Skipped")
    assert entries(context, StepSkipped) == [StepSkipped("rub")]
    press(qtbot, page, "timesUndo")
    qtbot.waitUntil(lambda: not entries(context, StepSkipped))
    qtbot.waitUntil(lambda: "Next: rub" in text(page, "timesNext"))


def test_times_are_kept_and_what_changes_is_shown_beside_them(
    qtbot: QtBot, page: PlanPage, context: DeskContext, clock: FixedClock
) -> None:
    want(context, clock.now_s() + 30 * HOUR)
    qtbot.waitUntil(page.times.keep.isEnabled)
    press(qtbot, page, "timesKeep")
    qtbot.waitUntil(lambda: len(entries(context, TimesKept)) == 1)
    want(context, clock.now_s() + 27 * HOUR)
    qtbot.waitUntil(lambda: "Saved: start" in text(page, "step_prep:saltState"))
    assert "now estimated" in text(page, "step_prep:saltState")


def test_a_cook_that_is_over_offers_nothing(
    qtbot: QtBot, page: PlanPage, context: DeskContext
) -> None:
    from smokejournal.cook.log.entries import CookClosed

    assert context.chosen is not None
    qtbot.waitUntil(lambda: bool(page.times.timetable))
    context.live(context.chosen).record(CookClosed()).result()
    button = page.findChild(QPushButton, "step_prep:salt_begin")
    assert button is not None
    qtbot.waitUntil(lambda: not button.isVisible())
