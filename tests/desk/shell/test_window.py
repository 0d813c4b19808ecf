"""The window: its pages, what is carried from one to another, and what shows over all of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QApplication, QFileDialog, QLabel, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import (
    AlarmAcknowledged,
    PrepStep,
    ScheduleSet,
    ScheduleStarted,
    StepBegun,
)
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage
from smokejournal.desk.base.theme import GROUNDS, apply_ground
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.desk.parts.zone_box import ZoneBox
from smokejournal.desk.shell.settings_dialog import SettingsDialog
from smokejournal.desk.shell.window import PAGES, Window
from smokejournal.journal import Journal
from smokejournal.services.feeds.control import FeedStatus
from smokejournal.services.program.program import Program
from tests.support.contexts import desk_context
from tests.support.fakes import FixedClock, dead_disk
from tests.support.tend_desk import look_kept  # noqa: F401 - a fixture


class SilentPlayer:
    """Counts what it was asked to play."""

    def __init__(self) -> None:
        self.played: list[str] = []

    def play(self, sound: str, loudness: float = 1.0) -> bool:
        self.played.append(sound)
        return True

    def stop(self) -> None:
        """Nothing sounds."""

    def take_problem(self) -> str:
        return ""


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[Window]:
    journal = Journal.open(tmp_path / "journal")
    program = Program(journal, FixedClock())
    with desk_context(program) as context:
        window = Window(context, SilentPlayer())
        window.show_page("journal")
        window.show()
        qtbot.waitExposed(window)
        yield window
        window.close_unasked()
    program.close()
    journal.close()
    window.deleteLater()


def go(window: Window, name: str) -> QPushButton:
    button = window.findChild(QPushButton, f"go_{name}")
    assert button is not None
    return button


def shown(window: Window) -> str:
    return next(name for name in PAGES if go(window, name).isChecked())


def test_every_page_opens_on_an_empty_journal_by_mouse_and_by_key(
    window: Window, qtbot: QtBot
) -> None:
    for name in PAGES:
        qtbot.mouseClick(go(window, name), Qt.MouseButton.LeftButton)
        assert window.page(name).isVisible()
    for number, name in enumerate(PAGES, start=1):
        qtbot.keyClick(window, Qt.Key(Qt.Key.Key_0 + number), Qt.KeyboardModifier.ControlModifier)
        qtbot.waitUntil(window.page(name).isVisible)


def test_a_cook_that_is_opened_shows_on_its_page_and_in_the_title(
    window: Window, qtbot: QtBot
) -> None:
    cook_id = window.context.program.new_cook("Sunday ribs", "Europe/Berlin")
    window.page("journal").open_asked.emit(cook_id, "plan")
    qtbot.waitUntil(lambda: window.context.chosen == cook_id)
    assert shown(window) == "plan"
    assert window.windowTitle().startswith("Sunday ribs")


def test_readings_that_cannot_be_written_are_said_over_every_page(
    window: Window, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    line = window.findChild(QLabel, "heldText")
    assert line is not None
    assert not line.isVisible()
    status = FeedStatus(
        unwritten=12, trouble="There is no room left on the disk.", cure="Make room."
    )
    feeds = window.context.feeds
    monkeypatch.setattr(feeds, "status", lambda: status)
    for name in PAGES:
        qtbot.mouseClick(go(window, name), Qt.MouseButton.LeftButton)
        window.context.ticked.emit(window.context.now_s())
        assert line.isVisible()
        assert line.text().startswith(
            "12 readings wait in memory: There is no room left on the disk. Make room."
        )
    window.close()
    ask = window.findChild(AskDialog)
    assert ask is not None
    assert "12 readings could not be written" in ask.text.text()
    ask.reject()
    monkeypatch.setattr(feeds, "status", FeedStatus)
    window.context.ticked.emit(window.context.now_s())
    assert not line.isVisible()


def test_a_cook_whose_readings_wait_is_written_as_text(
    window: Window, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    program = window.context.program
    cook = program.new_cook("Ribs", "UTC")
    feeds = window.context.feeds
    waiting = [(cook, [Reading(program.clock.now_s(), "pit", 110.5)])]
    monkeypatch.setattr(feeds, "status", lambda: FeedStatus(unwritten=1, trouble="No room."))
    monkeypatch.setattr(feeds, "unwritten", lambda: waiting)
    window.context.ticked.emit(window.context.now_s())
    write = window.findChild(QPushButton, "heldWrite")
    qtbot.mouseClick(write, Qt.MouseButton.LeftButton)
    dialog = window.findChild(QFileDialog, "outgoingFile")
    path = tmp_path / "ribs.txt"
    dialog.fileSelected.emit(str(path))
    qtbot.waitUntil(path.exists)
    qtbot.waitUntil(window.notices.isVisible)
    text = path.read_text()
    assert text.startswith("Ribs\n")
    assert text.endswith(",pit,110.5\n")
    dialog.close()


def test_an_answer_silences_an_alarm_though_it_cannot_be_written(
    window: Window, qtbot: QtBot
) -> None:
    program = window.context.program
    clock = program.clock
    assert isinstance(clock, FixedClock)
    live = program.live(program.new_cook("Short smoke", "Europe/Berlin"))
    stage = Stage("s1", "Smoke", (ForTime(60.0),), alert="insistent")
    start_s = clock.now_s()
    live.record_many(
        [(start_s, ScheduleSet(Schedule("", (stage,)))), (start_s, ScheduleStarted())]
    ).result(5)
    window.context.choose(live.cook_id)
    clock.forward(120.0)
    qtbot.waitUntil(window.alarms.isVisible)
    with dead_disk(program.journal):
        answer = window.alarms.findChild(QPushButton, "alarmAnswer")
        assert answer is not None
        qtbot.mouseClick(answer, Qt.MouseButton.LeftButton)
        qtbot.waitUntil(lambda: not window.alarms.isVisible())
        clock.forward(30.0)
        window.alarms.refresh()
        assert not window.alarms.isVisible()
        # That the answer could not be written is said.
        qtbot.waitUntil(window.notices.isVisible)
    shown_text = " ".join(label.text() for label in window.notices.findChildren(QLabel))
    assert "no room left" in shown_text


def test_an_alarm_shows_over_every_page_and_can_be_answered_there(
    window: Window, qtbot: QtBot
) -> None:
    program = window.context.program
    clock = program.clock
    assert isinstance(clock, FixedClock)
    live = program.live(program.new_cook("Short smoke", "Europe/Berlin"))
    stage = Stage("s1", "Smoke", (ForTime(60.0),), alert="insistent")
    start_s = clock.now_s()
    live.record_many(
        [(start_s, ScheduleSet(Schedule("", (stage,)))), (start_s, ScheduleStarted())]
    ).result(5)
    clock.forward(61)
    program.look_for_alarms(clock.now_s())
    window.context.ticked.emit(clock.now_s())
    qtbot.waitUntil(window.alarms.isVisible)
    for name in PAGES:
        qtbot.mouseClick(go(window, name), Qt.MouseButton.LeftButton)
        assert window.alarms.isVisible()
        # The key is named only where it is heard.
        answer = window.alarms.findChild(QPushButton, "alarmAnswer")
        assert answer.text() == ("Answer  A" if name == "tend" else "Answer")
    qtbot.mouseClick(answer, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not window.alarms.isVisible())
    qtbot.waitUntil(lambda: len(live.log().of(AlarmAcknowledged)) == 1)


def test_a_notice_shows_what_happened_and_what_to_do(window: Window, qtbot: QtBot) -> None:
    window.context.tell("The port is gone.", "Put the cable back.")
    qtbot.waitUntil(window.notices.isVisible)


def test_the_grounds_are_asked_for_on_the_spine(window: Window, qtbot: QtBot) -> None:
    asked: list[str] = []
    window.ground_asked.connect(asked.append)
    for name in ("night", "sun", "day"):
        button = window.findChild(QPushButton, f"ground_{name}")
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert asked == ["night", "sun", "day"]


def test_everything_on_the_spine_has_a_name_for_those_who_cannot_see_it(window: Window) -> None:
    nameless = [b.objectName() for b in window.findChildren(QPushButton) if not b.accessibleName()]
    assert nameless == [], nameless


def test_leaving_with_a_plan_that_is_not_kept_asks_first(window: Window, qtbot: QtBot) -> None:
    cook_id = window.context.program.new_cook("Sunday ribs", "Europe/Berlin")
    window.page("journal").open_asked.emit(cook_id, "plan")
    qtbot.waitUntil(lambda: window.context.chosen == cook_id)
    plan = window.page("plan")
    add = plan.findChild(QPushButton, "addStage")
    assert add is not None
    qtbot.mouseClick(add, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: plan.dirty)
    window.close()
    assert window.isVisible()
    dialog = window.findChild(AskDialog)
    assert dialog is not None
    qtbot.mouseClick(dialog.no, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: window.findChild(AskDialog) is None)
    assert window.isVisible()
    window.close()
    dialog = window.findChild(AskDialog)
    qtbot.mouseClick(dialog.yes, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not window.isVisible())


def test_the_window_is_no_larger_than_the_screen(window: Window) -> None:
    room = window.screen().availableSize().expandedTo(window.minimumSize())
    assert window.width() <= room.width()
    assert window.height() <= room.height()


def under_way(window: Window) -> None:
    context = window.context
    live = context.live(context.program.new_cook("Ribs", "UTC"))
    live.record(ScheduleSet(Schedule("s", (Stage("s1", "Smoke", (ForTime(3600.0),)),)))).result()
    live.record(ScheduleStarted()).result()


@pytest.mark.parametrize("way", ["x", "ctrl+q"])
def test_closing_while_a_cook_is_under_way_asks_and_stays_by_default(
    window: Window, qtbot: QtBot, way: str
) -> None:
    under_way(window)
    leave = next(a for a in window.actions() if a.text() == "Leave")
    close = window.close if way == "x" else leave.trigger
    close()
    close()  # Asked once, however often it is tried.
    dialogs = [d for d in window.findChildren(AskDialog) if d.isVisible()]
    assert len(dialogs) == 1
    (dialog,) = dialogs
    assert "A cook is under way (Ribs). Readings and alarms stop" in dialog.text.text()
    assert window.isVisible()
    no = dialog.findChild(QPushButton, "askNo")
    assert no is not None
    assert no.isDefault()
    assert no.hasFocus() or dialog.focusWidget() is no
    qtbot.keyClick(dialog, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: not [d for d in window.findChildren(AskDialog) if d.isVisible()])
    assert window.isVisible()
    close()
    (dialog,) = [d for d in window.findChildren(AskDialog) if d.isVisible()]
    yes = dialog.findChild(QPushButton, "askYes")
    assert yes is not None
    with qtbot.waitSignal(window.closing):
        qtbot.mouseClick(yes, Qt.MouseButton.LeftButton)
    assert not window.isVisible()


def test_the_system_closes_a_cook_under_way_without_a_question(
    window: Window, qtbot: QtBot
) -> None:
    """What app.py does on TERM."""
    under_way(window)
    with qtbot.waitSignal(window.closing):
        window.close_unasked()
    assert not window.findChildren(AskDialog)


def test_closing_with_every_cook_finished_asks_nothing(window: Window, qtbot: QtBot) -> None:
    window.context.program.new_cook("Only planned", "UTC")
    with qtbot.waitSignal(window.closing):
        window.close()


class Redressed(QObject):
    """Counts, by page, the widgets that were dressed anew."""

    def __init__(self, window: Window) -> None:
        super().__init__()
        self.count: Counter[str] = Counter()
        for name in PAGES:
            page = window.page(name)
            for widget in (page, *page.findChildren(QWidget)):
                widget.setProperty("ofPage", name)
                widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.StyleChange:
            self.count[watched.property("ofPage")] += 1
        return False


def color_of(widget: QWidget) -> str:
    return widget.palette().color(QPalette.ColorRole.WindowText).name()


def test_another_ground_dresses_the_page_in_sight_and_the_others_once_they_are_shown(
    window: Window,
    qapp: QApplication,
    look_kept: None,  # noqa: F811
) -> None:
    for name in (*PAGES, "tend"):
        window.show_page(name)
    redressed = Redressed(window)
    apply_ground(qapp, "night")
    window.context.set_ground("night")
    qapp.processEvents()
    assert set(redressed.count) == {"tend"}
    assert redressed.count["tend"] > 100
    ink = GROUNDS["night"].ink
    assert color_of(go(window, "tend")) == ink
    waiting = window.page("stores").findChild(QLabel)
    assert waiting is not None
    assert color_of(waiting) != ink
    window.show_page("stores")
    qapp.processEvents()
    assert set(redressed.count) == {"tend", "stores"}
    kinds = {label.property("kind"): label for label in window.page("stores").findChildren(QLabel)}
    assert color_of(kinds["section"]) == ink
    assert color_of(kinds["faint"]) == GROUNDS["night"].faint


def test_dialogs_of_the_window_look_as_its_ground_does(
    window: Window,
    qtbot: QtBot,
    qapp: QApplication,
    look_kept: None,  # noqa: F811
) -> None:
    apply_ground(qapp, "night")
    window.context.set_ground("night")
    settings = window.findChild(QPushButton, "settings")
    assert settings is not None
    qtbot.mouseClick(settings, Qt.MouseButton.LeftButton)
    dialog = window.findChild(SettingsDialog)
    assert dialog is not None
    problem = dialog.findChild(QLabel, "settingsZoneProblem")
    assert problem is not None
    assert color_of(problem) == GROUNDS["night"].ember
    # A list of completions has no parent by itself, and so no look.
    (zone,) = dialog.findChildren(ZoneBox)
    completer = zone.completer()
    assert completer is not None
    popup = completer.popup()
    assert popup is not None
    assert popup.parentWidget() is dialog
    dialog.reject()


def test_a_plan_that_is_not_in_sight_calls_when_a_step_has_had_its_time(
    window: Window, qtbot: QtBot
) -> None:
    context = window.context
    plan = context.live(context.program.new_cook("Ribs for Sunday", "UTC"))
    plan.record(PrepStep("dry brine", duration_s=3600.0, key="k")).result()
    plan.record(StepBegun("k")).result()
    clock = context.program.clock
    assert isinstance(clock, FixedClock)
    clock.forward(3700.0)
    context.program.look_for_alarms(clock.now_s())
    context.ticked.emit(clock.now_s())
    text = window.findChild(QLabel, "alarmText")
    assert text is not None
    qtbot.waitUntil(lambda: "Ribs for Sunday: Time is up: dry brine." in text.text())
    answer = window.findChild(QPushButton, "alarmAnswer")
    assert answer is not None
    qtbot.mouseClick(answer, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not window.alarms.isVisible())
