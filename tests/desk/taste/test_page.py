from __future__ import annotations

import gzip
from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtCore import QMimeData, QPointF, QSize, Qt, QUrl
from PySide6.QtGui import QColor, QDropEvent, QImage, QImageReader
from PySide6.QtPrintSupport import QPrintDialog, QPrinter, QPrintPreviewDialog
from PySide6.QtWidgets import QApplication, QComboBox, QFileDialog, QLabel, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    ItemAdded,
    NextTime,
    Photo,
    ScheduleStarted,
    Tasted,
    Weighed,
)
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.text.quantities import US
from smokejournal.desk.base.context import DeskContext, Notice
from smokejournal.desk.parts.file_names import file_name
from smokejournal.desk.taste.page import TastePage
from smokejournal.desk.taste.photos import Copied, copy_photos, offered, thumbnail
from smokejournal.journal import PHOTO_SUFFIXES, JournalProblem
from smokejournal.paper import photos
from tests.support.fakes import FixedClock


def a_cook(context: DeskContext, clock: FixedClock, title: str = "Sunday shoulder") -> int:
    cook_id = context.program.new_cook(title, "Europe/Berlin")
    live = context.live(cook_id)
    live.record(ItemAdded("pork shoulder", "red_meat", mass_kg=3.2)).result()
    live.record(ChannelSet(Channel("meat1", "Thick end"))).result()
    live.record(ScheduleStarted()).result()
    began_s = clock.at_s
    live.record_readings(
        [Reading(began_s + 60 * n, "meat1", 5.0 + 0.2 * n) for n in range(300)]
    ).result()
    clock.forward(5 * 3600)
    live.record(CookClosed()).result()
    clock.forward(600)
    context.choose(cook_id)
    return cook_id


def page_of(qtbot: QtBot, context: DeskContext) -> TastePage:
    page = TastePage(context)
    qtbot.addWidget(page)
    page.resize(1150, 720)
    page.show()
    if context.chosen is not None:
        qtbot.waitUntil(lambda: page._summary is not None)
    return page


def label(page: QWidget, name: str) -> str:
    found = page.findChild(QLabel, name)
    assert found is not None
    return found.text() if found.isVisibleTo(page) else ""


def button(page: QWidget, name: str) -> QPushButton:
    found = page.findChild(QPushButton, name)
    assert found is not None
    return found


def press(qtbot: QtBot, page: QWidget, name: str) -> None:
    assert button(page, name).isEnabled()
    # What was just shown is laid out with the next turn of the event loop.
    qtbot.waitUntil(lambda: button(page, name).height() > 10)
    qtbot.mouseClick(button(page, name), Qt.MouseButton.LeftButton)


def sheet(page: TastePage) -> str:
    return page.sheet.toPlainText()


def a_picture(path: Path) -> Path:
    image = QImage(QSize(640, 480), QImage.Format.Format_RGB32)
    image.fill(QColor("#803010"))
    assert image.save(str(path))
    return path


def test_without_a_cook_it_says_what_to_do(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    assert label(page, "tasteNoCookTitle") == "No cook is chosen"
    assert "Journal" in label(page, "tasteNoCookNext")


def test_the_sheet_and_the_score_of_the_cook_are_shown(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    a_cook(context, clock)
    page = page_of(qtbot, context)
    assert label(page, "tasteTitle") == "Sunday shoulder"
    assert "Sunday shoulder" in sheet(page)
    assert "pork shoulder" in sheet(page)
    assert page.score.score is not None
    assert [trace.key for trace in page.score.score.traces] == ["meat1"]


def test_notes_marks_masses_and_next_time_are_kept_together(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    cook_id = a_cook(context, clock)
    page = page_of(qtbot, context)
    assert not button(page, "tasteKeep").isEnabled()
    press(qtbot, page, "mark_smoke_3")
    press(qtbot, page, "mark_overall_4")
    qtbot.keyClicks(page.notes.text, "Juicy, bark a bit soft")
    qtbot.keyClicks(page.notes.masses["cooked"].edit, "1.9")
    qtbot.keyClicks(page.notes.next_time, "Wrap later")
    press(qtbot, page, "tasteKeep")
    live = context.live(cook_id)
    qtbot.waitUntil(lambda: label(page, "tasteSaid").startswith("Saved at"))
    log = live.log()
    assert [what for _, what in log.of(Tasted)] == [
        Tasted("Juicy, bark a bit soft", {"smoke": 3, "overall": 4})
    ]
    assert [what for _, what in log.of(Weighed)] == [Weighed("cooked", 1.9)]
    assert [what for _, what in log.of(NextTime)] == [NextTime("Wrap later")]
    assert page.notes.text.toPlainText() == ""
    assert page.notes.is_empty()
    qtbot.waitUntil(lambda: "Juicy, bark a bit soft" in sheet(page))
    assert "Wrap later" in sheet(page)
    qtbot.waitUntil(lambda: "Cooked 1.9 kg (59 %)" in label(page, "tasteYields"))
    assert page.kept.list.count() == 3


def test_marks_that_were_given_stand_and_can_be_changed(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    cook_id = a_cook(context, clock)
    live = context.live(cook_id)
    first = live.record(Tasted("Bark a bit soft", {"smoke": 4, "overall": 3})).result()
    page = page_of(qtbot, context)
    block = page.verdict.findChild(QWidget, f"tasting_{first.id}")
    assert block is not None
    assert label(block, "dots_smoke") == "●●●●○"
    assert label(page, f"tastingText_{first.id}") == "Bark a bit soft"
    assert not page.notes.marks["smoke"].isVisible()
    assert not page.notes.text.isVisible()

    press(qtbot, page, f"tastingChange_{first.id}")
    assert page.notes.marks["smoke"].mark() == 4
    assert page.notes.text.toPlainText() == "Bark a bit soft"
    press(qtbot, page, "tasteLeave")
    assert not page.notes.marks["smoke"].isVisible()
    assert page.notes.is_empty()

    press(qtbot, page, f"tastingChange_{first.id}")
    press(qtbot, page, "mark_smoke_2")
    press(qtbot, page, "tasteKeep")
    qtbot.waitUntil(lambda: label(page, "tasteSaid").startswith("Saved at"))
    held = [what for _, what in live.log().of(Tasted)]
    assert held == [Tasted("Bark a bit soft", {"smoke": 2, "overall": 3})]
    qtbot.waitUntil(lambda: label(page.verdict, "dots_smoke") == "●●○○○")
    qtbot.waitUntil(lambda: not page.notes.marks["smoke"].isVisible())
    # One undo takes the change back, and what was said before counts again.
    undoing = live.undo()
    assert undoing is not None
    undoing.result()
    assert [what.marks["smoke"] for _, what in live.log().of(Tasted)] == [4]


def test_another_taster_is_added_beside_the_first(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    cook_id = a_cook(context, clock)
    live = context.live(cook_id)
    live.record(Tasted("", {"overall": 3})).result()
    page = page_of(qtbot, context)
    press(qtbot, page, "tasteMore")
    assert page.notes.taster.isVisible()
    qtbot.keyClicks(page.notes.taster, "the neighbor")
    press(qtbot, page, "mark_overall_5")
    press(qtbot, page, "tasteKeep")
    qtbot.waitUntil(lambda: label(page, "tasteSaid").startswith("Saved at"))
    assert [what.taster for _, what in live.log().of(Tasted)] == ["", "the neighbor"]
    qtbot.waitUntil(lambda: "mean of 2" in sheet(page))
    dots = [w.text() for w in page.verdict.findChildren(QLabel, "dots_overall")]
    assert dots == ["●●●○○", "●●●●●"]


def test_a_mass_that_cannot_be_read_is_told_and_nothing_is_written(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    cook_id = a_cook(context, clock)
    page = page_of(qtbot, context)
    qtbot.keyClicks(page.notes.text, "Good")
    qtbot.keyClicks(page.notes.masses["served"].edit, "a lot")
    press(qtbot, page, "tasteKeep")
    assert label(page, "tasteMass_servedProblem")
    assert page.notes.masses["served"].text() == "a lot"
    assert page.notes.text.toPlainText() == "Good"
    assert context.live(cook_id).log().of(Tasted) == []


def test_a_long_message_beside_a_mass_is_read_whole_and_keeping_says_why_not(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    a_cook(context, clock)
    page = page_of(qtbot, context)
    page.resize(900, 560)
    first, last = page.notes.masses["raw"], page.notes.masses["served"]
    for field in (first, last):
        field.edit.setFocus()
        qtbot.keyClicks(field.edit, "abc")
    page.notes.next_time.setFocus()
    qtbot.keyClicks(page.notes.next_time, "less salt")
    for field in (first, last):
        message = field.message
        qtbot.waitUntil(
            lambda message=message: message.height() >= message.heightForWidth(message.width())
        )
    press(qtbot, page, "tasteKeep")
    assert label(page, "tasteSaid") == "Nothing is saved yet. Fix what is marked."
    assert page.notes.next_time.toPlainText() == "less salt"
    qtbot.waitUntil(lambda: not first.edit.visibleRegion().isEmpty())


def test_a_mark_is_set_and_taken_back_by_keys(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    a_cook(context, clock)
    page = page_of(qtbot, context)
    row = page.notes.marks["salt"]
    first = button(page, "mark_salt_1")
    first.setFocus()
    qtbot.keyClick(first, Qt.Key.Key_4)
    assert row.mark() == 4
    assert "4 / 5" in row.accessibleName()
    qtbot.keyClick(button(page, "mark_salt_4"), Qt.Key.Key_Left)
    assert row.mark() == 3
    qtbot.keyClick(button(page, "mark_salt_3"), Qt.Key.Key_Delete)
    assert row.mark() is None
    press(qtbot, page, "mark_salt_2")
    press(qtbot, page, "mark_salt_2")
    assert row.mark() is None


def test_what_is_typed_for_one_cook_waits_while_another_is_looked_at(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    first = a_cook(context, clock)
    second = a_cook(context, clock, "Trout")
    context.choose(first)
    page = page_of(qtbot, context)
    qtbot.keyClicks(page.notes.text, "half a thought")
    qtbot.keyClicks(page.notes.masses["raw"].edit, "oops")
    press(qtbot, page, "mark_smoke_2")
    context.choose(second)
    assert page.notes.text.toPlainText() == ""
    assert page.notes.masses["raw"].text() == ""
    assert label(page, "tasteTitle") == "Trout"
    context.choose(first)
    assert page.notes.text.toPlainText() == "half a thought"
    assert page.notes.masses["raw"].text() == "oops"
    assert page.notes.marks["smoke"].mark() == 2


def test_what_was_kept_can_be_struck(qtbot: QtBot, context: DeskContext, clock: FixedClock) -> None:
    cook_id = a_cook(context, clock)
    context.live(cook_id).record(NextTime("Wrap later")).result()
    page = page_of(qtbot, context)
    assert "Wrap later" in sheet(page)
    page.kept.list.setCurrentRow(0)
    press(qtbot, page, "tasteStrike")
    qtbot.waitUntil(lambda: page.kept.list.count() == 0)
    qtbot.waitUntil(lambda: "Wrap later" not in sheet(page))
    assert context.live(cook_id).log().of(NextTime) == []
    assert label(page, "tasteSaid").startswith("Struck")


def test_what_is_chosen_to_be_struck_stays_chosen_while_readings_come_in(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    live = context.live(a_cook(context, clock))
    for words in ("Wrap later", "Less salt"):
        live.record(NextTime(words)).result()
    page = page_of(qtbot, context)
    page.kept.list.setCurrentRow(1)
    page._refresher.refresh()
    assert page.kept.list.currentRow() == 1
    press(qtbot, page, "tasteStrike")
    qtbot.waitUntil(lambda: page.kept.list.count() == 1)
    assert [what.text for _, what in live.log().of(NextTime)] == ["Less salt"]


def test_the_sheet_follows_the_units(qtbot: QtBot, context: DeskContext, clock: FixedClock) -> None:
    a_cook(context, clock)
    page = page_of(qtbot, context)
    assert "3.2 kg" in sheet(page).replace("\xa0", " ")
    context.set_units(US)
    assert "7 lb 1 oz" in sheet(page).replace("\xa0", " ")


def test_photos_are_dropped_copied_and_shown(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, tmp_path: Path
) -> None:
    cook_id = a_cook(context, clock)
    picture = a_picture(tmp_path / "bark.png")
    other = tmp_path / "notes.txt"
    other.write_text("no picture", encoding="utf-8")
    page = page_of(qtbot, context)
    told: list[Notice] = []
    context.notice_given.connect(told.append)
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(picture)), QUrl.fromLocalFile(str(other))])
    page.photos.dropEvent(
        QDropEvent(
            QPointF(5, 5),
            Qt.DropAction.CopyAction,
            data,
            Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.NoModifier,
        )
    )
    qtbot.waitUntil(lambda: page.photos.list.count() == 1)
    ((_, photo),) = context.live(cook_id).log().of(Photo)
    kept = context.program.journal.photo_path(photo.sha256, photo.suffix)
    assert kept.read_bytes() == picture.read_bytes()
    assert picture.exists()
    qtbot.waitUntil(lambda: not page.photos.list.item(0).icon().isNull())
    assert [notice.text for notice in told] == [
        "Not saved: notes.txt: not a picture that can be read"
    ]


SVG = (
    '<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" width="40" height="40">'
    '<image href="file:///nowhere.png" width="40" height="40"/></svg>'
)


def keep_by_name(path: Path) -> tuple[str, str]:
    """As the journal keeps a picture, without one."""
    if path.suffix not in PHOTO_SUFFIXES:
        raise JournalProblem(f"{path.name} is not a picture that can be kept.", "Choose another.")
    return "0" * 64, path.suffix


def copied(*paths: Path) -> Copied:
    return copy_photos(paths, keep_by_name, "no picture", "over {limit} megapixels")


def test_a_drawing_is_refused_whatever_its_name_and_the_others_are_kept(
    tmp_path: Path, qapp: QApplication
) -> None:
    before = a_picture(tmp_path / "before.png")
    drawing, zipped, old = (tmp_path / name for name in ("bark.png", "bark.jpg", "bark.xpm"))
    drawing.write_text(SVG, encoding="utf-8")
    zipped.write_bytes(gzip.compress(SVG.encode()))
    assert QImage(8, 8, QImage.Format.Format_RGB32).save(str(old), "XPM")
    # A picture by its content, under a name that the journal doesn't keep.
    misnamed = tmp_path / "bark.txt"
    misnamed.write_bytes(before.read_bytes())
    after = a_picture(tmp_path / "after.jpg")
    found = copied(before, drawing, zipped, old, misnamed, tmp_path / "gone.png", after)
    assert [photo.suffix for photo in found.photos] == [".png", ".jpg"]
    assert found.refused == (
        "bark.png: no picture",
        "bark.jpg: no picture",
        "bark.xpm: no picture",
        "bark.txt: bark.txt is not a picture that can be kept.",
        "gone.png: no picture",
    )
    # One that an earlier version kept is not drawn either.
    assert thumbnail(drawing, 1.0).isNull()
    assert not thumbnail(before, 1.0).isNull()


def test_a_picture_too_large_to_be_shown_small_is_refused_with_the_reason(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qapp: QApplication
) -> None:
    png, jpeg = a_picture(tmp_path / "bark.png"), a_picture(tmp_path / "bark.jpg")
    usual = QImageReader.allocationLimit()
    try:
        # 640 by 480 pixels at 32 bits are 1.23 MB: over the limit, unless scaled while decoding.
        QImageReader.setAllocationLimit(1)
        found = copied(png, jpeg)
        assert [photo.suffix for photo in found.photos] == [".jpg"]
        assert found.refused == ("bark.png: over 0.262 megapixels",)
        assert thumbnail(jpeg, 1.0).size() == QSize(112, 84)
    finally:
        QImageReader.setAllocationLimit(usual)
    assert copied(png, jpeg).refused == ()
    monkeypatch.setattr(photos, "MOST_PIXELS", 300_000)
    assert copied(jpeg).refused == ("bark.jpg: over 0.3 megapixels",)


def test_the_file_dialog_offers_what_is_kept(qapp: QApplication) -> None:
    patterns = offered().split()
    assert {"*.jpg", "*.jpeg", "*.png", "*.webp"} <= set(patterns)
    assert {pattern[1:] for pattern in patterns} <= PHOTO_SUFFIXES
    assert "*.svg" not in patterns


def test_the_sheet_is_saved_as_pdf(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, tmp_path: Path
) -> None:
    a_cook(context, clock)
    page = page_of(qtbot, context)
    told: list[Notice] = []
    context.notice_given.connect(told.append)
    press(qtbot, page, "tastePdf")
    dialog = page._print.file_dialog
    assert isinstance(dialog, QFileDialog)
    assert [Path(name).name for name in dialog.selectedFiles()] == ["Sunday-shoulder.pdf"]
    dialog.selectNameFilter("PDF on US Letter paper (*.pdf)")
    target = tmp_path / "sheet.pdf"
    dialog.selectFile(str(target))
    dialog.accept()
    qtbot.waitUntil(lambda: bool(told))
    assert told[0].kind == "done"
    assert str(target) in told[0].text
    reader = PdfReader(target)
    assert [round(float(side)) for side in reader.pages[0].mediabox[2:]] == [612, 792]
    assert "Sunday shoulder" in "".join(p.extract_text() for p in reader.pages)


def test_a_pdf_that_cannot_be_written_says_so(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, tmp_path: Path
) -> None:
    a_cook(context, clock)
    page = page_of(qtbot, context)
    told: list[Notice] = []
    context.notice_given.connect(told.append)
    press(qtbot, page, "tastePdf")
    page._print._on_file(str(tmp_path / "gone" / "sheet.pdf"))
    qtbot.waitUntil(lambda: bool(told))
    assert told[0].kind == "trouble"
    assert "not written" in told[0].text
    assert told[0].cure
    assert page._print.file_dialog is not None
    page._print.file_dialog.reject()


def test_the_sheet_is_printed_through_the_print_dialog(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, tmp_path: Path
) -> None:
    a_cook(context, clock)
    page = page_of(qtbot, context)
    told: list[Notice] = []
    context.notice_given.connect(told.append)
    press(qtbot, page, "tastePrint")
    dialog = page._print.print_dialog
    assert isinstance(dialog, QPrintDialog)
    assert dialog.isVisible()
    target = tmp_path / "printed.pdf"
    dialog.printer().setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    dialog.printer().setOutputFileName(str(target))
    dialog.accepted.emit(dialog.printer())
    qtbot.waitUntil(lambda: bool(told))
    dialog.close()
    assert told[0].kind == "done"
    assert "Sunday shoulder" in " ".join(PdfReader(target).pages[0].extract_text().split())


def test_the_print_preview_is_painted(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    a_cook(context, clock)
    page = page_of(qtbot, context)
    press(qtbot, page, "tastePreview")
    dialog = page._print.print_dialog
    assert isinstance(dialog, QPrintPreviewDialog)
    painted: list[object] = []
    dialog.paintRequested.connect(painted.append)
    qtbot.waitExposed(dialog)
    qtbot.waitUntil(lambda: bool(painted) or dialog.isVisible())
    zoom = dialog.findChild(QComboBox).lineEdit()
    assert zoom.contentsRect().height() >= zoom.fontMetrics().height()
    dialog.close()


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Sunday shoulder", "Sunday-shoulder"),
        ("Ribs / Bob's: the 2nd?", "Ribs-Bobs-the-2nd"),
        ("../../etc", "etc"),
        ("Räucherforelle", "Räucherforelle"),
        ("???", "cook"),
    ],
)
def test_a_title_makes_a_file_name(title: str, name: str) -> None:
    assert file_name(title) == name
