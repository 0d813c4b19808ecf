"""The sheet as a file and on a printer: dialogs here, the painting elsewhere."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QDir, QObject, Qt, Signal
from PySide6.QtGui import QPageSize
from PySide6.QtPrintSupport import QPrintDialog, QPrinter, QPrintPreviewDialog
from PySide6.QtWidgets import QDialog, QFileDialog, QLineEdit, QWidget

from smokejournal.cook.score.score import Score
from smokejournal.cook.summary.summary import Summary
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.parts.file_names import file_name
from smokejournal.paper.summary_pdf import PageName, print_summary, summary_pdf
from smokejournal.services.program import settings


class TastePrint(QObject):
    """Saves and prints what it is given. `busy_changed(bool)` while something is being written."""

    busy_changed = Signal(bool)

    def __init__(self, context: DeskContext, parent: QWidget) -> None:
        super().__init__(parent)
        self._context = context
        self._window = parent
        self._sheet: tuple[Summary, Score, Units] | None = None
        self.file_dialog: QFileDialog | None = None
        self.print_dialog: QDialog | None = None
        self._printer: QPrinter | None = None

    def save_pdf(self, summary: Summary, score: Score, units: Units) -> None:
        """Ask where to, then write the PDF on a worker thread."""
        self._sheet = (summary, score, units)
        dialog = QFileDialog(self._window, self.tr("Save the sheet as PDF"))
        dialog.setObjectName("pdfDialog")
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        self._papers: dict[str, PageName] = {
            self.tr("PDF on A4 paper (*.pdf)"): "A4",
            self.tr("PDF on US Letter paper (*.pdf)"): "Letter",
        }
        dialog.setNameFilters(list(self._papers))
        usual = settings.load(self._context.program.journal).settings.page
        dialog.selectNameFilter(next(k for k, v in self._papers.items() if v == usual))
        dialog.setDefaultSuffix("pdf")
        dialog.selectFile(str(Path(QDir.homePath()) / f"{file_name(summary.title)}.pdf"))
        dialog.fileSelected.connect(self._on_file)
        self.file_dialog = dialog
        dialog.open()

    def _on_file(self, chosen: str) -> None:
        if self._sheet is None or self.file_dialog is None:
            return
        summary, score, units = self._sheet
        path = Path(chosen)
        page = self._papers.get(self.file_dialog.selectedNameFilter(), "A4")
        self.busy_changed.emit(True)
        self._context.after(
            in_background(lambda: (path, summary_pdf(summary, score, units, path, page))),
            self._on_saved,
            self._on_not_saved,
        )

    def _on_saved(self, answer: tuple[Path, int]) -> None:
        path, pages = answer
        one, more = self.tr("Saved {path}, 1 page."), self.tr("Saved {path}, {pages} pages.")
        self._tell_done((one if pages == 1 else more).format(path=path, pages=pages))

    def _on_not_saved(self, error: BaseException) -> None:
        self._tell_failed(
            error,
            self.tr("The PDF was not written: {why}."),
            self.tr("Choose another folder, or make room on the disk, and save it again."),
        )

    def _tell_done(self, words: str) -> None:
        self.busy_changed.emit(False)
        self._context.tell(words, kind="done")

    def _tell_failed(self, error: BaseException, words: str, cure: str) -> None:
        self.busy_changed.emit(False)
        if not isinstance(error, OSError):
            raise error
        self._context.tell(words.format(why=error.strerror or error), cure)

    def print_sheet(self, summary: Summary, score: Score, units: Units) -> None:
        """Ask for the printer, then print on a worker thread."""
        self._sheet = (summary, score, units)
        self._printer = self._new_printer()
        dialog = QPrintDialog(self._printer, self._window)
        dialog.setObjectName("printDialog")
        dialog.setWindowTitle(self.tr("Print the sheet"))
        dialog.accepted.connect(self._on_printer)
        self.print_dialog = dialog
        dialog.setWindowModality(Qt.WindowModality.WindowModal)
        dialog.show()

    def _on_printer(self) -> None:
        if self._sheet is None or self._printer is None:
            return
        summary, score, units = self._sheet
        printer = self._printer
        self.busy_changed.emit(True)
        self._context.after(
            in_background(lambda: print_summary(summary, score, units, printer)),
            self._on_printed,
            self._on_not_printed,
        )

    def _on_printed(self, pages: int) -> None:
        one = self.tr("Sent to the printer, 1 page.")
        more = self.tr("Sent to the printer, {pages} pages.")
        self._tell_done((one if pages == 1 else more).format(pages=pages))

    def _on_not_printed(self, error: BaseException) -> None:
        self._tell_failed(
            error,
            self.tr("Nothing was printed: {why}."),
            self.tr("See that the printer is on and has paper, or save the sheet as PDF."),
        )

    def preview(self, summary: Summary, score: Score, units: Units) -> None:
        """Show the pages as they will be printed. The preview itself paints on this thread."""
        self._sheet = (summary, score, units)
        self._printer = self._new_printer()
        dialog = QPrintPreviewDialog(self._printer, self._window)
        dialog.setObjectName("previewDialog")
        dialog.setWindowTitle(self.tr("The sheet as it will be printed"))
        dialog.resize(900, 700)
        dialog.paintRequested.connect(self._on_paint)
        for zoom in dialog.findChildren(QLineEdit):
            # Within the tool bar there is no height for the room our fields have around the text.
            zoom.setStyleSheet("padding: 0; margin: 0; border: none; min-height: 0;")
        self.print_dialog = dialog
        dialog.setWindowModality(Qt.WindowModality.WindowModal)
        dialog.show()

    def _on_paint(self, printer: QPrinter) -> None:
        if self._sheet is not None:
            summary, score, units = self._sheet
            print_summary(summary, score, units, printer)

    def _new_printer(self) -> QPrinter:
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        usual = settings.load(self._context.program.journal).settings.page
        size = QPageSize.PageSizeId.A4 if usual == "A4" else QPageSize.PageSizeId.Letter
        printer.setPageSize(QPageSize(size))
        return printer
