"""The sound check before bed: what is played, what is asked, and where the answer goes."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import CookClosed, Note, ScheduleStarted
from smokejournal.desk.alarms import sound_check
from smokejournal.desk.alarms.sound_check import SoundCheckDialog
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.shell.window import Window
from tests.support.tend_desk import QuietPlayer, dressed, look_kept  # noqa: F401 - fixtures


class Person:
    """Opens the sound check from the spine and answers it."""

    def __init__(self, qtbot: QtBot, window: Window, player: QuietPlayer) -> None:
        self.qtbot = qtbot
        self.window = window
        self.player = player

    def open(self) -> None:
        self.press_in(self.window, "sound_check")
        self.qtbot.waitExposed(self.dialog)

    @property
    def dialog(self) -> SoundCheckDialog:
        (found,) = (d for d in self.window.findChildren(SoundCheckDialog) if d.isVisible())
        return found

    def press_in(self, where, name: str) -> None:
        button = where.findChild(QPushButton, name)
        assert button.isVisible()
        self.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)

    def press(self, name: str) -> None:
        self.press_in(self.dialog, name)

    def reads(self) -> str:
        return "\n".join(x.text() for x in self.dialog.findChildren(QLabel) if x.isVisible())

    @property
    def is_over(self) -> bool:
        return not any(d.isVisible() for d in self.window.findChildren(SoundCheckDialog))


@pytest.fixture
def person(
    qtbot: QtBot,
    context: DeskContext,
    monkeypatch: pytest.MonkeyPatch,
    dressed: None,  # noqa: F811
) -> Iterator[Person]:
    monkeypatch.setattr(sound_check, "PAUSE_MS", 5)
    player = QuietPlayer()
    window = Window(context, player)
    window.show()
    qtbot.waitExposed(window)
    yield Person(qtbot, window, player)
    window.close_unasked()
    window.deleteLater()


def started(context: DeskContext, title: str = "Ribs") -> int:
    cook = context.program.new_cook(title, "UTC")
    context.live(cook).record(ScheduleStarted()).result()
    return cook


def notes(context: DeskContext, cook: int) -> list[str]:
    return [what.text for _, what in context.live(cook).log().of(Note)]


def test_it_plays_at_full_loudness_and_the_answer_is_in_the_log(
    context: DeskContext, person: Person
) -> None:
    first, second = started(context), started(context, "Trout")
    person.open()
    assert "as loud as it gets" in person.reads()
    assert "Did you hear it?" in person.reads()
    assert "goes into the log" in person.reads()
    person.qtbot.waitUntil(lambda: person.player.played == [("insistent", 1.0)] * 3)
    stops = person.player.stops
    person.press("soundCheckYes")
    assert person.is_over
    assert person.player.stops > stops
    for cook in (first, second):
        person.qtbot.waitUntil(lambda c=cook: notes(context, c) == ["Sound check: heard"])


def test_not_heard_says_what_to_look_at_and_plays_again(
    context: DeskContext, person: Person
) -> None:
    cook = started(context)
    person.open()
    person.press("soundCheckNo")
    assert not person.is_over
    assert person.player.stops == 1
    for words in ("volume", "Headphones", "louder speaker"):
        assert words in person.reads()
    assert "Did you hear it?" not in person.reads()
    person.qtbot.waitUntil(lambda: notes(context, cook) == ["Sound check: not heard"])
    before = len(person.player.played)
    person.press("soundCheckAgain")
    assert len(person.player.played) == before + 1
    assert "Did you hear it?" in person.reads()
    person.press("soundCheckYes")
    person.qtbot.waitUntil(
        lambda: notes(context, cook) == ["Sound check: not heard", "Sound check: heard"]
    )


def test_without_a_cook_it_plays_and_nothing_is_written(
    context: DeskContext, person: Person
) -> None:
    planned = context.program.new_cook("Planned", "UTC")
    over = started(context)
    context.live(over).record(CookClosed()).result()
    person.open()
    assert "your answer is not written down" in person.reads()
    assert person.player.played
    person.press("soundCheckYes")
    assert person.is_over
    assert notes(context, planned) == notes(context, over) == []


def test_a_machine_that_can_not_play_says_so(context: DeskContext, person: Person) -> None:
    person.player.received = False
    person.open()
    assert "cannot play the alarm sound" in person.reads()


def test_a_player_that_fails_later_is_told_too(context: DeskContext, person: Person) -> None:
    person.open()
    assert "out of order" not in person.reads()
    person.player.problem = "The player is out of order."
    person.qtbot.waitUntil(lambda: "out of order" in person.reads())


def test_put_away_without_an_answer_it_is_quiet_and_nothing_is_written(
    context: DeskContext, person: Person
) -> None:
    cook = started(context)
    person.open()
    person.qtbot.keyClick(person.dialog, Qt.Key.Key_Escape)
    assert person.is_over
    assert person.player.stops == 1
    count = len(person.player.played)
    person.qtbot.wait(30)
    assert len(person.player.played) == count
    assert notes(context, cook) == []


def test_no_word_of_it_is_cut_off(context: DeskContext, person: Person) -> None:
    button = person.window.findChild(QPushButton, "sound_check")
    assert button is not None
    assert button.width() >= button.sizeHint().width()
    person.open()
    for _ in range(2):
        for label in person.dialog.findChildren(QLabel):
            if label.isVisible():
                assert label.height() >= label.heightForWidth(label.width()), label.objectName()
        if button := person.dialog.findChild(QPushButton, "soundCheckNo"):
            button.click()
