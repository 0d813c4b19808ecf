from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.desk.base.theme import dress
from smokejournal.desk.shell import notice_bar
from smokejournal.desk.shell.notice_bar import NoticeBar


@dataclass(frozen=True)
class Told:
    text: str
    cure: str = ""
    kind: str = "trouble"


def shown(bar: NoticeBar, name: str) -> str:
    label = bar.findChild(QLabel, name)
    assert label is not None
    return label.text() if label.isVisible() else ""


def dismiss(qtbot: QtBot, bar: NoticeBar) -> None:
    button = bar.findChild(QPushButton, "noticeDismiss")
    assert button is not None
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def bar_of(qtbot: QtBot) -> NoticeBar:
    bar = NoticeBar()
    qtbot.addWidget(bar)
    return bar


def test_it_is_hidden_while_there_is_nothing_to_tell(qtbot: QtBot) -> None:
    assert not bar_of(qtbot).isVisible()


def test_trouble_is_shown_with_its_cure_until_it_is_dismissed(qtbot: QtBot) -> None:
    bar = bar_of(qtbot)
    bar.show_notice(Told("The serial line is gone.", "Plug the cable in again."))
    assert shown(bar, "noticeText") == "The serial line is gone."
    assert shown(bar, "noticeCure") == "Plug the cable in again."
    with qtbot.waitSignal(bar.emptied):
        dismiss(qtbot, bar)
    assert not bar.isVisible()


def test_several_troubles_wait_their_turn_and_are_counted(qtbot: QtBot) -> None:
    bar = bar_of(qtbot)
    for text in ("first", "second", "third"):
        bar.show_notice(Told(text))
    assert shown(bar, "noticeText") == "first"
    assert shown(bar, "noticeCount") == "1 of 3"
    dismiss(qtbot, bar)
    assert shown(bar, "noticeText") == "second"
    assert shown(bar, "noticeCount") == "1 of 2"
    dismiss(qtbot, bar)
    assert shown(bar, "noticeCount") == ""
    assert shown(bar, "noticeText") == "third"


def test_the_same_trouble_again_is_counted_not_queued(qtbot: QtBot) -> None:
    bar = bar_of(qtbot)
    for _ in range(4):
        bar.show_notice(Told("The disk is full.", "Make room."))
    assert shown(bar, "noticeCount") == "4 times"
    bar.show_notice(Told("The disk is full.", "Make room."))
    bar.show_notice(Told("another"))
    assert shown(bar, "noticeCount") == "5 times, 1 of 2"


def test_done_goes_by_itself(qtbot: QtBot, monkeypatch) -> None:
    monkeypatch.setattr(notice_bar, "DONE_MS", 20)
    bar = bar_of(qtbot)
    bar.show_notice(Told("Saved.", kind="done"))
    assert shown(bar, "noticeText") == "Saved."
    qtbot.waitUntil(lambda: not bar.isVisible())


def test_done_does_not_push_trouble_aside(qtbot: QtBot) -> None:
    bar = bar_of(qtbot)
    bar.show_notice(Told("Trouble."))
    bar.show_notice(Told("Saved.", kind="done"))
    assert shown(bar, "noticeText") == "Trouble."
    dismiss(qtbot, bar)
    assert shown(bar, "noticeText") == "Saved."


def test_trouble_pushes_done_aside(qtbot: QtBot) -> None:
    bar = bar_of(qtbot)
    bar.show_notice(Told("Saved.", kind="done"))
    bar.show_notice(Told("Trouble."))
    assert shown(bar, "noticeText") == "Trouble."


def test_keys_dismiss_it(qtbot: QtBot) -> None:
    bar = bar_of(qtbot)
    button = bar.findChild(QPushButton, "noticeDismiss")
    assert button is not None
    for key in (Qt.Key.Key_Space, Qt.Key.Key_Escape):
        bar.show_notice(Told("Trouble."))
        qtbot.keyClick(button, key)
        assert not bar.isVisible()


def test_markup_in_a_notice_is_shown_as_typed(qtbot: QtBot) -> None:
    bar = bar_of(qtbot)
    dress(bar, "day")
    bar.show_notice(Told("<b>ribs</b>"))
    label = bar.findChild(QLabel, "noticeText")
    assert label is not None
    assert label.textFormat() == Qt.TextFormat.PlainText
