"""An archive of all cooks is saved from the Journal page, and taken in there."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QLabel, QMenu, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import CookOpened, Note
from smokejournal.cook.stores.lots import Lot
from smokejournal.desk.base.context import DeskContext, Notice
from smokejournal.desk.journal.page import JournalPage
from smokejournal.journal import Journal
from smokejournal.services.archive.writing import write_archive
from tests.desk.journal.test_page import page_of, text_of

T0 = 1_780_000_000.0


class Desk:
    """The page, what it told, and a hand on its menu."""

    def __init__(self, qtbot: QtBot, context: DeskContext) -> None:
        self.qtbot, self.context = qtbot, context
        self.notices: list[Notice] = []
        context.notice_given.connect(self.notices.append)
        self.page: JournalPage = page_of(qtbot, context)

    @property
    def button(self) -> QPushButton:
        found = self.page.findChild(QPushButton, "journalArchive")
        assert found is not None
        return found

    def choose(self, text: str) -> None:
        menu = self.button.menu()
        assert isinstance(menu, QMenu)
        # A menu that pops up grabs the keyboard, which a screenless platform has none of.
        next(a for a in menu.actions() if a.text().replace("&", "") == text).trigger()

    def take_in(self, path: Path) -> None:
        self.choose("Take in cooks…")
        dialog = self.page.more.taker.file_dialog
        assert dialog is not None
        dialog.selectFile(str(path))
        dialog.accept()

    def told(self) -> Notice:
        self.qtbot.waitUntil(lambda: bool(self.notices))
        self.qtbot.waitUntil(self.button.isEnabled)
        return self.notices.pop()


@pytest.fixture
def desk(qtbot: QtBot, context: DeskContext) -> Desk:
    return Desk(qtbot, context)


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Journal]:
    with Journal.open(tmp_path / "other") as journal:
        cook_id = journal.new_cook(CookOpened("Ribs <b>from elsewhere", "UTC"), T0, T0).result()
        journal.append(cook_id, Note("said"), T0, T0).result()
        journal.stores.save_lot(Lot(0, "Oak")).result()
        yield journal


def test_what_comes_in_whole_is_taken_in_at_once(
    qtbot: QtBot, desk: Desk, other: Journal, tmp_path: Path
) -> None:
    write_archive(other, tmp_path / "a.zip", T0)
    desk.take_in(tmp_path / "a.zip")
    notice = desk.told()
    assert notice.kind == "done"
    assert notice.text == "Taken in. Cooks: 1 new. Lots of pellets: 1 new."
    qtbot.waitUntil(lambda: text_of(desk.page, "journalCount") == "1 cook")
    desk.take_in(tmp_path / "a.zip")
    notice = desk.told()
    assert notice.text == "Nothing in a.zip is new, so nothing was taken in."


def test_what_does_not_come_in_whole_is_asked_about(
    qtbot: QtBot, desk: Desk, other: Journal, tmp_path: Path
) -> None:
    desk.context.program.journal.stores.save_lot(Lot(0, "Oak", note="mine")).result()
    write_archive(other, tmp_path / "a.zip", T0)
    desk.take_in(tmp_path / "a.zip")
    for answer, count in (("askNo", 0), ("askYes", 1)):
        qtbot.waitUntil(lambda: desk.page.findChild(QDialog, "askDialog") is not None)
        dialog = desk.page.findChild(QDialog, "askDialog")
        assert dialog is not None
        said = [label.text() for label in dialog.findChildren(QLabel)]
        assert any("Nothing is written yet" in text for text in said)
        assert "Cooks: 1 new." in said
        assert any("Lots of pellets that are here otherwise" in text for text in said)
        assert desk.context.program.journal.count_cooks() == 0
        assert not desk.button.isEnabled()
        button = dialog.findChild(QPushButton, answer)
        assert button is not None
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        if not count:
            qtbot.waitUntil(desk.button.isEnabled)
            qtbot.waitUntil(lambda: desk.page.findChild(QDialog, "askDialog") is None)
            desk.take_in(tmp_path / "a.zip")
    assert desk.told().text == "Taken in. Cooks: 1 new."
    (lot,) = desk.context.program.journal.stores.lots()
    assert lot.note == "mine"


def test_what_is_no_archive_is_told(desk: Desk, tmp_path: Path) -> None:
    (tmp_path / "x.zip").write_bytes(b"no zip")
    desk.take_in(tmp_path / "x.zip")
    notice = desk.told()
    assert notice.kind == "trouble"
    assert notice.text == "This is no archive of cooks."
    assert "Nothing was written" in notice.cure


def test_all_cooks_go_out(desk: Desk, tmp_path: Path) -> None:
    desk.context.program.new_cook("Trout", "UTC")
    desk.choose("Save all cooks…")
    dialog = desk.page.more.saver.file_dialog
    assert dialog is not None
    dialog.selectFile(str(tmp_path / "mine"))
    dialog.accept()
    assert desk.told().text == f"Saved {tmp_path / 'mine.cooks.zip'}."
    assert (tmp_path / "mine.cooks.zip").read_bytes()[:4] == b"PK\x03\x04"
