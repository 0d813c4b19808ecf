"""The cook's sheet on paper: as a PDF, or onto a printer that the cook chose in the dialog.

Works without a screen and from any thread, once there is an application object; `summary_pdf` makes
one where there is none.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Literal

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QRectF, QSaveFile
from PySide6.QtGui import (
    QGuiApplication,
    QPagedPaintDevice,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
)

from smokejournal import __version__
from smokejournal.cook.score.score import Score
from smokejournal.cook.summary.sheet import Section, Sheet, SheetColumn, Table
from smokejournal.cook.summary.sheet_sections import sheet_of
from smokejournal.cook.summary.summary import Summary
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.paper.flow import Pages, Placed
from smokejournal.paper.pdf_text import readable
from smokejournal.paper.sheet_flow import SheetFlow
from smokejournal.paper.typeset import HAIR, Typeset

PageName = Literal["A4", "Letter"]

_RESOLUTION = 600
#: Left, top, right, bottom [mm]. A printer that needs more gets more.
_MARGINS_MM = (19.0, 17.0, 17.0, 19.0)
_HEAD_MM = 7.0
#: A last page that is filled less than this is worth saving.
_SPARSE = 0.25
_MM_PER_INCH = 25.4

_application: QGuiApplication | None = None


def summary_pdf(
    summary: Summary,
    score: Score | None,
    units: Units,
    path: Path,
    page: PageName = "A4",
    *,
    color: bool = True,
) -> int:
    """Write the sheet of a cook to `path` and return its number of pages; see `sheet_pdf`."""
    return sheet_pdf(sheet_of(summary, units), score, units, path, page, color=color)


def sheet_pdf(
    sheet: Sheet,
    score: Score | None,
    units: Units,
    path: Path,
    page: PageName = "A4",
    *,
    color: bool = True,
) -> int:
    """Write any sheet to `path` and return its number of pages.

    The file appears whole or not at all: one that is there stays as it is when writing fails.
    Raises OSError where it can't be written, and where something else than a file is there.
    """

    def paint(device: QPagedPaintDevice) -> int:
        return _paint(device, sheet, score, units, _margins(None), color=color)

    return write_pdf(path, sheet.title, page, paint)


def booklet_pdf(
    title: str,
    cooks: Sequence[tuple[Sheet, Score | None]],
    units: Units,
    path: Path,
    page: PageName = "A4",
    *,
    color: bool = True,
) -> int:
    """Write the sheets of several cooks to one file, with contents before them; its number of pages.

    Each cook begins on a page of its own. Errors as in `sheet_pdf`.
    """

    def paint(device: QPagedPaintDevice) -> int:
        return _paint_booklet(device, title, cooks, units, color=color)

    return write_pdf(path, title, page, paint)


def write_pdf(
    path: Path, title: str, page: PageName, paint: Callable[[QPagedPaintDevice], int]
) -> int:
    """Write what `paint(device)` paints, which gives the number of pages; errors as in `sheet_pdf`."""
    if path.exists() and not path.is_file():
        # It would be renamed away, as /dev/null would for whoever may.
        raise OSError(
            errno.EINVAL,
            translate("SummaryPdf", "there is a folder, a device or a pipe in its place"),
            str(path),
        )
    ensure_application()
    file = QSaveFile(str(path))
    if not file.open(QIODevice.OpenModeFlag.WriteOnly):
        raise OSError(None, file.errorString(), str(path))
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setTitle(title)
    writer.setAuthor("smokejournal")
    writer.setCreator(f"smokejournal {__version__}")
    writer.setResolution(_RESOLUTION)
    size = QPageSize(QPageSize.PageSizeId.A4 if page == "A4" else QPageSize.PageSizeId.Letter)
    writer.setPageLayout(QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0)))
    count = paint(writer)
    del writer
    data = readable(bytes(buffer.data().data()))
    if file.write(data) != len(data) or not file.commit():
        raise OSError(None, file.errorString(), str(path))
    return count


def print_summary(
    summary: Summary,
    score: Score | None,
    units: Units,
    printer: QPagedPaintDevice,
    *,
    color: bool = True,
) -> int:
    """Print the sheet with the paper and margins that the printer was set to; its number of pages.

    `printer` is a QPrinter (or anything paged). Raises OSError when the printer takes no work.
    """
    full_page = getattr(printer, "setFullPage", None)
    if full_page is not None:
        full_page(True)
    sheet = sheet_of(summary, units)
    name = getattr(printer, "setDocName", None)
    if name is not None:
        name(sheet.title)
    margins = _margins(printer.pageLayout().minimumMargins(), printer.pageLayout().units())
    return _paint(printer, sheet, score, units, margins, color=color)


def ensure_application() -> None:
    """Fonts need an application object; make one without a screen where nobody has yet."""
    global _application
    if QGuiApplication.instance() is None:
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
        _application = QGuiApplication(["smokejournal"])


def _margins(
    least: QMarginsF | None, unit: QPageLayout.Unit = QPageLayout.Unit.Millimeter
) -> QMarginsF:
    """The sheet's margins [mm], widened where the printer cannot reach."""
    left, top, right, bottom = _MARGINS_MM
    if least is not None:
        probe = QPageLayout(
            QPageSize(QPageSize.PageSizeId.A4), QPageLayout.Orientation.Portrait, least, unit
        ).margins(QPageLayout.Unit.Millimeter)
        left, top = max(left, probe.left()), max(top, probe.top())
        right, bottom = max(right, probe.right()), max(bottom, probe.bottom())
    return QMarginsF(left, top, right, bottom)


def _paint(
    device: QPagedPaintDevice,
    sheet: Sheet,
    score: Score | None,
    units: Units,
    margins: QMarginsF,
    *,
    color: bool,
) -> int:
    painter = QPainter()
    if not painter.begin(device):
        raise OSError(None, translate("Sheet", "the printer doesn't accept the job"))
    try:
        box, band = _text_box(device, margins)
        type_, pages = _composed(device, sheet, score, units, box, color=color)
        for number, placed in enumerate(pages, start=1):
            if number > 1:
                device.newPage()
            foot = _foot(number, len(pages))
            _paint_page(painter, type_, sheet, box, placed, band, foot, first=number == 1)
    finally:
        painter.end()
    return len(pages)


def _paint_booklet(
    device: QPagedPaintDevice,
    title: str,
    cooks: Sequence[tuple[Sheet, Score | None]],
    units: Units,
    *,
    color: bool,
) -> int:
    painter = QPainter()
    if not painter.begin(device):
        raise OSError(None, translate("Sheet", "the printer doesn't accept the job"))
    try:
        box, band = _text_box(device, _margins(None))
        bodies = [
            (sheet, *_composed(device, sheet, score, units, box, color=color))
            for sheet, score in cooks
        ]

        def contents(first: int) -> tuple[Sheet, Typeset, list[list[Placed]]]:
            rows, number = [], first
            for sheet, _, pages in bodies:
                rows.append((sheet.title, sheet.lines[0] if sheet.lines else "", str(number)))
                number += len(pages)
            sheet = _contents_sheet(title, rows, [each for each, _, _ in bodies])
            return (sheet, *_composed(device, sheet, None, units, box, color=color))

        # As many rows, so as many pages, whatever numbers stand in them.
        before = len(contents(1)[2])
        parts = [contents(before + 1), *bodies]
        count, number = sum(len(pages) for _, _, pages in parts), 0
        for sheet, type_, pages in parts:
            for place, placed in enumerate(pages):
                number += 1
                if number > 1:
                    device.newPage()
                foot = _foot(number, count)
                _paint_page(painter, type_, sheet, box, placed, band, foot, first=place == 0)
    finally:
        painter.end()
    return count


def _contents_sheet(
    title: str, rows: Sequence[tuple[str, str, str]], sheets: Sequence[Sheet]
) -> Sheet:
    columns = (
        SheetColumn(translate("Booklet", "Cook"), 0.36),
        SheetColumn(translate("Booklet", "When"), 0.52),
        SheetColumn(translate("Booklet", "Page"), 0.12, "right"),
    )
    section = Section("contents", translate("Booklet", "Contents"), (Table(columns, tuple(rows)),))
    # What must stand wherever the numbers do stands here too where it does in any of them.
    notice = next((sheet.notice for sheet in sheets if sheet.notice), "")
    made = next((sheet.made for sheet in sheets), "")
    return Sheet(title, (), notice, made, (section,))


def _text_box(device: QPagedPaintDevice, margins: QMarginsF) -> tuple[QRectF, float]:
    """Where the text goes [dots], and how high the band of a head or foot is."""
    dots = device.logicalDpiX() / _MM_PER_INCH
    paper = device.pageLayout().fullRect(QPageLayout.Unit.Millimeter)
    box = QRectF(
        margins.left() * dots,
        (margins.top() + _HEAD_MM) * dots,
        (paper.width() - margins.left() - margins.right()) * dots,
        (paper.height() - margins.top() - margins.bottom() - 2 * _HEAD_MM) * dots,
    )
    return box, _HEAD_MM * dots


def _foot(number: int, count: int) -> str:
    return translate("Sheet", "page {n} of {count}").format(n=number, count=count)


def _composed(
    device: QPagedPaintDevice,
    sheet: Sheet,
    score: Score | None,
    units: Units,
    box: QRectF,
    *,
    color: bool,
) -> tuple[Typeset, list[list[Placed]]]:
    """The pages; set a little closer where that saves a last page with next to nothing on it."""

    def compose(leading: float) -> tuple[Typeset, list[list[Placed]]]:
        type_ = Typeset(device, color=color, leading=leading)
        flow = SheetFlow(type_, box.width(), box.height(), units)
        return type_, Pages(box.height()).place_all(flow.items(sheet, score))

    best = compose(1.0)
    bottom = max((one.y + one.strip.height for one in best[1][-1]), default=0.0)
    if len(best[1]) > 1 and bottom < _SPARSE * box.height():
        for leading in (0.96, 0.92):
            closer = compose(leading)
            if len(closer[1]) < len(best[1]):
                best = closer
                break
    type_, pages = best
    pages[-1] += SheetFlow(type_, box.width(), box.height(), units).ruled(sheet.remarks, pages[-1])
    return best


def _paint_page(
    painter: QPainter,
    type_: Typeset,
    sheet: Sheet,
    box: QRectF,
    placed: list[Placed],
    band: float,
    foot: str,
    *,
    first: bool,
) -> None:
    hair = 0.5 * type_.point
    if not first:
        right = sheet.notice.split(":")[0]
        room = box.width() - type_.width(right, "foot") - 12 * type_.point
        _across(
            painter, type_, box, box.top() - band, type_.elided(sheet.title, "foot", room), right
        )
        painter.fillRect(QRectF(box.left(), box.top() - 0.35 * band, box.width(), hair), HAIR)
    for one in placed:
        one.strip.paint(painter, box.left() + one.x, box.top() + one.y)
    _across(painter, type_, box, box.bottom() + 0.5 * band, sheet.made, foot)


def _across(
    painter: QPainter, type_: Typeset, box: QRectF, y: float, left: str, right: str
) -> None:
    """One line with a text at either end."""
    for text, flush in ((left, False), (right, True)):
        if text:
            for line in type_.lines(text, "foot", box.width(), right=flush)[:1]:
                line.paint(painter, box.left(), y)
