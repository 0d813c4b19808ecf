"""What earlier cooks taught, on screen: words, tick boxes, the offer to read, starting anew."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt, QThreadPool
from PySide6.QtWidgets import QCheckBox, QLabel, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.learning.lesson_words import meat_words, pit_words
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.forecast.history_dialog import HistoryDialog
from smokejournal.desk.forecast.learner import ForecastLearner
from smokejournal.desk.forecast.lessons_panel import LessonsPanel
from smokejournal.desk.journal.page import JournalPage
from smokejournal.science.forecast.values import CookSoFar, Forecast
from smokejournal.services.forecast.learned import ForecastLearned
from tests.support.fakes import FixedClock
from tests.support.learned_cooks import BRISKET, FakeFinder, finished_cook


class HeldFinder(FakeFinder):
    """A finder that can be held up."""

    def __init__(self) -> None:
        super().__init__()
        self.go = threading.Event()
        self.go.set()

    def __call__(self, cook: CookSoFar) -> Forecast:
        self.go.wait(10.0)
        return super().__call__(cook)


@pytest.fixture
def finder(context: DeskContext) -> Iterator[HeldFinder]:
    finder = HeldFinder()
    context.forecasts.learned = ForecastLearned(context.program, finder)
    yield finder
    finder.go.set()
    QThreadPool.globalInstance().waitForDone(5000)


def start_learning(context: DeskContext) -> None:
    """As the program does when its window is there."""
    learner = context.learner
    assert isinstance(learner, ForecastLearner)
    learner.listen()


def shown(qtbot: QtBot, context: DeskContext, simulated: bool | None = None) -> LessonsPanel:
    panel = LessonsPanel(context, simulated)
    qtbot.addWidget(panel)
    panel.resize(640, 600)
    panel.show()
    qtbot.waitUntil(lambda: bool(panel.summary.text()))
    return panel


def said(panel: LessonsPanel) -> str:
    labels = [label for label in panel.findChildren(QLabel) if not label.isHidden()]
    return "\n".join(label.text() for label in labels)


def box(panel: LessonsPanel, cook_id: int) -> QCheckBox:
    found = panel.findChild(QCheckBox, f"teach{cook_id}")
    assert isinstance(found, QCheckBox)
    return found


def tick(qtbot: QtBot, panel: LessonsPanel, cook_id: int) -> None:
    one = box(panel, cook_id)
    one.setFocus()
    qtbot.keyClick(one, Qt.Key.Key_Space)


def waits_for(qtbot: QtBot, panel: LessonsPanel, words: str) -> None:
    qtbot.waitUntil(lambda: words in said(panel))


def test_an_empty_journal(qtbot: QtBot, context: DeskContext, finder: HeldFinder) -> None:
    panel = shown(qtbot, context)
    assert "Nothing learned so far" in panel.summary.text()
    assert not panel.learn.isVisible()
    assert not panel.start_over.isVisible()
    assert not panel.kind.isVisible()


def test_finished_cooks_are_read_when_asked_for(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, finder: HeldFinder
) -> None:
    first = finished_cook(context.program, clock)
    second = finished_cook(context.program, clock, BRISKET, title="Brisket & beans")
    panel = shown(qtbot, context)
    assert "2 finished cooks were not read yet" in panel.offer.text()
    assert finder.asked == []
    finder.go.clear()
    qtbot.mouseClick(panel.learn, Qt.MouseButton.LeftButton)
    waits_for(qtbot, panel, "Reading: 0 of 2 cooks are done.")
    assert panel.bar.isVisible()
    assert not panel.learn.isVisible()
    finder.go.set()
    waits_for(qtbot, panel, "From 2 finished cooks.")
    waits_for(qtbot, panel, "teaches about the pit and about a brisket")
    assert box(panel, first).isChecked()
    assert box(panel, second).isChecked()
    lessons = context.forecasts.learned.lessons()
    for words in (
        "This pit, from 2 cooks",
        *pit_words(lessons.pit, METRIC),
        "Fish, from one cook",
        *meat_words(lessons.meat["fish"], METRIC),
        "Briskets, from one cook",
    ):
        waits_for(qtbot, panel, words)
    qtbot.waitUntil(lambda: not panel.offer.isVisible())
    context.set_units(US)
    waits_for(qtbot, panel, pit_words(lessons.pit, US)[2])


def test_reading_can_be_stopped(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, finder: HeldFinder
) -> None:
    for _ in range(3):
        finished_cook(context.program, clock)
    panel = shown(qtbot, context)
    finder.go.clear()
    qtbot.mouseClick(panel.learn, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: panel.stop.isVisible())
    qtbot.mouseClick(panel.stop, Qt.MouseButton.LeftButton)
    finder.go.set()
    waits_for(qtbot, panel, "From one finished cook.")
    waits_for(qtbot, panel, "2 finished cooks were not read yet.")
    # Once for what it teaches, and at four moments of the way for how forecasts came out.
    assert len(finder.asked) == 5
    # The button that went handed its focus to none that does harm.
    assert not panel.start_over.hasFocus()


def test_a_cook_is_left_out_and_taken_in_again_by_its_box(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, finder: HeldFinder
) -> None:
    cook_id = finished_cook(context.program, clock)
    context.forecasts.learned.read(cook_id)
    panel = shown(qtbot, context)
    assert box(panel, cook_id).isChecked()
    tick(qtbot, panel, cook_id)
    waits_for(qtbot, panel, "left out; used for fish")
    waits_for(qtbot, panel, "Nothing learned so far")
    assert not box(panel, cook_id).isChecked()
    assert "This pit" not in said(panel)
    tick(qtbot, panel, cook_id)
    waits_for(qtbot, panel, "From one finished cook.")
    assert box(panel, cook_id).isChecked()


def test_one_unlike_any_other_says_so_and_waits_for_its_tick(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, finder: HeldFinder
) -> None:
    finder.noticed = ("far_from_any_prior", "moved")
    cook_id = finished_cook(context.program, clock)
    context.forecasts.learned.read(cook_id)
    panel = shown(qtbot, context)
    assert "behaves like no other" in said(panel)
    assert "the probe seems to have been moved" in said(panel)
    assert not box(panel, cook_id).isChecked()
    tick(qtbot, panel, cook_id)
    waits_for(qtbot, panel, "From one finished cook.")
    assert box(panel, cook_id).isChecked()


def test_one_that_tells_nothing_cannot_be_ticked(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, finder: HeldFinder
) -> None:
    cook_id = finished_cook(context.program, clock, lead=False)
    context.forecasts.learned.read(cook_id)
    panel = shown(qtbot, context)
    assert "nothing to learn: no lead probe was chosen" in said(panel)
    assert not box(panel, cook_id).isEnabled()


def test_starting_anew_can_be_taken_back(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, finder: HeldFinder
) -> None:
    context.forecasts.learned.read(finished_cook(context.program, clock))
    panel = shown(qtbot, context)
    qtbot.mouseClick(panel.start_over, Qt.MouseButton.LeftButton)
    waits_for(qtbot, panel, "don’t count.")
    assert "Nothing learned so far" in panel.summary.text()
    qtbot.waitUntil(lambda: panel.findChildren(QCheckBox) == [])
    qtbot.mouseClick(panel.all, Qt.MouseButton.LeftButton)
    waits_for(qtbot, panel, "From one finished cook.")


def test_real_and_simulated_cooks_are_told_apart(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, finder: HeldFinder
) -> None:
    real = finished_cook(context.program, clock)
    played = finished_cook(context.program, clock, simulated=True)
    context.forecasts.learned.read(real)
    context.forecasts.learned.read(played)
    panel = shown(qtbot, context)
    qtbot.waitUntil(box(panel, real).isVisible)
    qtbot.keyClick(panel.kind, Qt.Key.Key_Down)
    waits_for(qtbot, panel, "they teach simulated cooks only")
    qtbot.waitUntil(box(panel, played).isVisible)


def test_a_cook_teaches_when_it_is_closed(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, finder: HeldFinder
) -> None:
    start_learning(context)
    panel = shown(qtbot, context)
    finished_cook(context.program, clock)
    waits_for(qtbot, panel, "From one finished cook.")
    # Once for what it teaches, and at four moments of the way for how forecasts came out.
    assert len(finder.asked) == 5


def test_one_that_was_closed_just_before_the_program_is_read_at_its_next_start(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, finder: HeldFinder
) -> None:
    old = finished_cook(context.program, clock)
    clock.forward(30 * 86_400.0)
    new = finished_cook(context.program, clock)
    panel = shown(qtbot, context)
    start_learning(context)
    waits_for(qtbot, panel, "From one finished cook.")
    waits_for(qtbot, panel, "One finished cook was not read yet.")
    assert box(panel, new).isChecked()
    assert not box(panel, old).isChecked()


def test_a_journal_that_is_read_only_shows_and_offers_nothing(
    qtbot: QtBot,
    context: DeskContext,
    clock: FixedClock,
    finder: HeldFinder,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    known = finished_cook(context.program, clock)
    context.forecasts.learned.read(known)
    fresh = finished_cook(context.program, clock)
    monkeypatch.setattr(context.program.journal, "read_only", True)
    start_learning(context)
    panel = shown(qtbot, context)
    assert "From one finished cook." in panel.summary.text()
    for widget in (panel.learn, panel.start_over, box(panel, known), box(panel, fresh)):
        assert not widget.isEnabled()
    # Once for what it teaches, and at four moments of the way for how forecasts came out.
    assert len(finder.asked) == 5


def test_the_journal_opens_it(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, finder: HeldFinder
) -> None:
    context.forecasts.learned.read(finished_cook(context.program, clock, simulated=True))
    page = JournalPage(context)
    qtbot.addWidget(page)
    page.show()
    button = page.findChild(QPushButton, "journalForecasts")
    assert isinstance(button, QPushButton)
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    dialog = page.findChild(HistoryDialog)
    assert isinstance(dialog, HistoryDialog)
    assert dialog.windowTitle() == "Forecasts so far"
    # Only simulated ones are there, so these are told of.
    waits_for(qtbot, dialog.learned, "From one finished cook.")
    dialog.reject()
