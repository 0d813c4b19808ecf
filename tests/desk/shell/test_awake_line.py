"""Tonight's cook keeps the machine awake, the spine says so, and it is given back afterwards."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QLabel, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import CookClosed, ScheduleStarted
from smokejournal.desk.base.context import DeskContext, Notice
from smokejournal.desk.shell.settings_dialog import SettingsDialog
from smokejournal.desk.shell.window import Window
from smokejournal.host.awake import REFUSED, Wakefulness
from smokejournal.services.program import settings
from tests.support.tend_desk import QuietPlayer

HELD = Wakefulness("held", "held", "held")


class FakeMachine:
    """Says what it is told to say."""

    def __init__(self) -> None:
        self.stands = HELD
        self.acts: list[str] = []

    def hold(self) -> None:
        self.acts.append("hold")

    def look(self) -> Wakefulness:
        return self.stands

    def let_go(self) -> None:
        self.acts.append("let go")


@pytest.fixture
def machine() -> FakeMachine:
    return FakeMachine()


@pytest.fixture
def window(qtbot: QtBot, context: DeskContext, machine: FakeMachine) -> Iterator[Window]:
    shown = Window(context, QuietPlayer(), machine)
    shown.show_page("journal")
    shown.show()
    qtbot.waitExposed(shown)
    shown.keep_awake(True)
    yield shown
    shown.close_unasked()
    shown.deleteLater()


@pytest.fixture
def begin(context: DeskContext) -> Callable[[], int]:
    def started() -> int:
        cook = context.program.new_cook("Ribs", "UTC")
        context.live(cook).record(ScheduleStarted()).result()
        return cook

    return started


def line(window: Window) -> QLabel:
    found = window.findChild(QLabel, "awakeLine")
    assert found is not None
    return found


def test_a_cook_under_way_keeps_it_awake_and_closing_the_cook_gives_it_back(
    qtbot: QtBot, context: DeskContext, window: Window, machine: FakeMachine, begin
) -> None:
    context.program.new_cook("Planned", "UTC")
    assert not line(window).isVisible()
    assert machine.acts == []
    cook = begin()
    qtbot.waitUntil(line(window).isVisible)
    assert line(window).text() == "Kept awake while the cook is under way"
    assert "lid" in line(window).toolTip()
    assert machine.acts == ["hold"]
    second = begin()
    context.live(cook).record(CookClosed()).result()
    qtbot.waitUntil(lambda: context.program.all_under_way() == (second,))
    assert machine.acts == ["hold"]
    context.live(second).record(CookClosed()).result()
    qtbot.waitUntil(lambda: not line(window).isVisible())
    assert machine.acts == ["hold", "let go"]


def test_closing_the_program_gives_it_back(
    qtbot: QtBot, window: Window, machine: FakeMachine, begin
) -> None:
    begin()
    qtbot.waitUntil(line(window).isVisible)
    window.close_unasked()
    assert machine.acts == ["hold", "let go"]


def test_a_machine_that_refuses_is_told_once_with_what_to_do(
    qtbot: QtBot, context: DeskContext, window: Window, machine: FakeMachine, begin
) -> None:
    told: list[Notice] = []
    context.notice_given.connect(told.append)
    machine.stands = Wakefulness("asked", "asked", "asked")
    begin()
    qtbot.waitUntil(lambda: machine.acts == ["hold"])
    assert not line(window).isVisible()
    machine.stands = REFUSED
    for _ in range(3):
        context.ticked.emit(context.now_s())
    assert line(window).text() == "This machine may fall asleep"
    assert "power settings" in line(window).toolTip()
    (notice,) = told
    assert notice.text.startswith("This machine may fall asleep")
    assert "leave the lid open" in notice.cure


@pytest.mark.parametrize(
    ("stands", "words"),
    [
        (HELD, "some machines sleep when it is closed"),
        (Wakefulness("held", "refused", "held"), "closed, this machine sleeps all the same"),
        (Wakefulness("held", "held", "refused"), "The screen may go dark"),
    ],
)
def test_what_is_not_held_is_named(
    qtbot: QtBot, window: Window, machine: FakeMachine, begin, stands: Wakefulness, words: str
) -> None:
    machine.stands = stands
    begin()
    qtbot.waitUntil(line(window).isVisible)
    assert words in line(window).toolTip()
    assert words in line(window).accessibleDescription()


def test_switched_off_in_settings_nothing_is_held_and_the_spine_says_so(
    qtbot: QtBot, context: DeskContext, window: Window, machine: FakeMachine, begin
) -> None:
    begin()
    qtbot.waitUntil(line(window).isVisible)
    dialog = SettingsDialog(context, window)
    dialog.kept.connect(lambda kept: window.keep_awake(kept.keep_awake))
    dialog.show()
    box = dialog.findChild(QCheckBox, "settingsAwake")
    assert box is not None
    assert box.isChecked()
    box.click()
    keep = dialog.findChild(QPushButton, "settingsKeep")
    assert keep is not None
    with qtbot.waitSignal(dialog.kept):
        qtbot.mouseClick(keep, Qt.MouseButton.LeftButton)
    assert not settings.load(context.program.journal).settings.keep_awake
    assert machine.acts == ["hold", "let go"]
    assert line(window).text() == "This machine may fall asleep"
    assert "switched off in Settings" in line(window).toolTip()


def test_a_window_without_it_says_nothing(qtbot: QtBot, context: DeskContext, begin) -> None:
    begin()
    shown = Window(context, QuietPlayer())
    shown.keep_awake(True)
    assert shown.findChild(QLabel, "awakeLine") is None
    shown.close_unasked()
    shown.deleteLater()
