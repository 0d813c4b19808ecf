"""Save or share: a cook goes out as a web page, text, a picture and tables."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QFileDialog, QMenu
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import ChannelSet, CookClosed, NextTime, Photo, ScheduleStarted
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.text.quantities import US
from smokejournal.desk.base.context import DeskContext, Notice
from smokejournal.desk.taste.page import TastePage
from smokejournal.journal import Journal
from smokejournal.services.archive.reading import open_archive
from smokejournal.services.archive.taking_in import take_in
from tests.desk.taste.test_page import a_picture
from tests.support.fakes import FixedClock


class Shown:
    """Taste with a cook, what it told, and a hand on its menu."""

    def __init__(self, qtbot: QtBot, context: DeskContext, clock: FixedClock, folder: Path) -> None:
        self.qtbot, self.context = qtbot, context
        self.notices: list[Notice] = []
        context.notice_given.connect(self.notices.append)
        cook_id = context.program.new_cook("Sunday <b>shoulder", "Europe/Berlin", place="The yard")
        live = context.live(cook_id)
        live.record(ChannelSet(Channel("meat1", "Thick end"))).result()
        live.record(ScheduleStarted()).result()
        began_s = clock.at_s
        live.record_readings(
            [Reading(began_s + 60 * n, "meat1", 5.0 + 0.2 * n) for n in range(300)]
        ).result()
        sha256, suffix = context.program.journal.keep_photo(a_picture(folder / "bark.png"))
        live.record(Photo(sha256, suffix, "The bark")).result()
        live.record(NextTime("=1+1")).result()
        clock.forward(5 * 3600)
        live.record(CookClosed()).result()
        context.choose(cook_id)
        self.page = TastePage(context)
        qtbot.addWidget(self.page)
        self.page.resize(1150, 720)
        self.page.show()
        qtbot.waitUntil(lambda: self.page.share.isEnabled())

    def choose(self, text: str) -> QFileDialog:
        """Choose in the menu of the button; gives the dialog that asks where to."""
        menu = self.page.share.menu()
        assert isinstance(menu, QMenu)
        # A menu that pops up grabs the keyboard, which a screenless platform has none of.
        next(a for a in menu.actions() if a.text().replace("&", "") == text).trigger()
        dialog = self.page.share.saver.file_dialog
        assert isinstance(dialog, QFileDialog)
        assert dialog.isVisible()
        return dialog

    def save(self, dialog: QFileDialog, path: Path) -> Notice:
        self.notices.clear()
        dialog.selectFile(str(path))
        dialog.accept()
        self.qtbot.waitUntil(lambda: bool(self.notices))
        return self.notices[0]


@pytest.fixture
def shown(qtbot: QtBot, context: DeskContext, clock: FixedClock, tmp_path: Path) -> Shown:
    return Shown(qtbot, context, clock, tmp_path)


def test_the_button_can_be_reached_by_keys(shown: Shown) -> None:
    button = shown.page.share
    assert button.isVisible()
    assert button.text().replace("&", "") == "Save or share…"
    assert button.focusPolicy() & Qt.FocusPolicy.TabFocus
    mnemonics = [a.text()[a.text().index("&") + 1].lower() for a in button.menu().actions()]
    assert len(set(mnemonics)) == len(mnemonics) == 6
    # Next to what prints, and before it.
    assert button.nextInFocusChain() is not button
    assert button.y() == shown.page._pdf.y()


def test_the_web_page_has_the_score_and_the_photo_in_it(shown: Shown, tmp_path: Path) -> None:
    dialog = shown.choose("Web page…")
    assert [Path(name).name for name in dialog.selectedFiles()] == ["Sunday-bshoulder.html"]
    notice = shown.save(dialog, tmp_path / "cook.html")
    assert notice.kind == "done"
    assert str(tmp_path / "cook.html") in notice.text
    assert "no place is left" in notice.text
    page = (tmp_path / "cook.html").read_text("utf-8")
    assert "Sunday &lt;b&gt;shoulder" in page
    assert "<svg" in page
    assert "data:image/jpeg;base64," in page
    assert "The bark" in page


def test_markdown_and_the_two_tables(shown: Shown, tmp_path: Path) -> None:
    shown.context.set_units(US)
    for text, name in (
        ("Markdown text…", "cook.md"),
        ("Readings as CSV…", "readings.csv"),
        ("Entries as CSV…", "entries.csv"),
    ):
        assert shown.save(shown.choose(text), tmp_path / name).kind == "done"
    assert (tmp_path / "cook.md").read_text("utf-8").startswith("# Sunday \\<b\\>shoulder\n")
    assert "°F" in (tmp_path / "cook.md").read_text("utf-8")
    readings = (tmp_path / "readings.csv").read_text("utf-8-sig").splitlines()
    assert len(readings) == 301
    assert readings[1].endswith('"meat1","Thick end","meat",5,5,0,0')
    assert "next_time" in (tmp_path / "entries.csv").read_text("utf-8-sig")


def test_the_picture_is_of_the_kind_and_shape_that_was_chosen(shown: Shown, tmp_path: Path) -> None:
    dialog = shown.choose("Score as a picture…")
    assert shown.save(dialog, tmp_path / "wide").kind == "done"
    image = QImage(str(tmp_path / "wide.png"))
    assert (image.width(), image.height()) == (1200, 675)
    dialog = shown.choose("Score as a picture…")
    square = next(name for name in dialog.nameFilters() if name.startswith("SVG, square"))
    dialog.selectNameFilter(square)
    dialog.filterSelected.emit(square)
    assert shown.save(dialog, tmp_path / "square").kind == "done"
    assert 'width="1080" height="1080"' in (tmp_path / "square.svg").read_text("utf-8")


def test_a_folder_that_is_gone_is_said(shown: Shown, tmp_path: Path) -> None:
    dialog = shown.choose("Web page…")
    shown.notices.clear()
    dialog.fileSelected.emit(str(tmp_path / "gone" / "cook.html"))
    dialog.close()
    shown.qtbot.waitUntil(lambda: bool(shown.notices))
    assert shown.notices[0].kind == "trouble"
    assert "not written" in shown.notices[0].text
    assert shown.notices[0].cure


def test_the_dialog_asks_before_it_writes_over_a_file(shown: Shown) -> None:
    dialog = shown.choose("Markdown text…")
    assert dialog.acceptMode() == QFileDialog.AcceptMode.AcceptSave
    assert not dialog.testOption(QFileDialog.Option.DontConfirmOverwrite)
    dialog.reject()


def test_a_cook_goes_out_as_an_archive(shown: Shown, tmp_path: Path) -> None:
    dialog = shown.choose("Archive…")
    assert dialog.selectedFiles()[0].endswith(".cooks.zip")
    notice = shown.save(dialog, tmp_path / "mine")
    path = tmp_path / "mine.cooks.zip"
    assert notice.text == f"Saved {path}."
    with open_archive(path) as archive, Journal.open(tmp_path / "other") as other:
        take_in(archive, other)
        (line,) = other.cooks()
        assert line.title == "Sunday <b>shoulder"
        assert len(other.trace(line.id, "meat1")) == 300


def test_an_archive_that_cannot_be_written_is_told(
    shown: Shown, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("smokejournal.services.archive.writing.LARGEST_BYTES", 3)
    notice = shown.save(shown.choose("Archive…"), tmp_path / "mine.cooks.zip")
    assert "too large" in notice.text
    assert "Copy the folder" in notice.cure
    assert not list(tmp_path.glob("*.zip"))
