"""The foot of Journal: what is done with several cooks at once, and what comes from files."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QMenu, QPushButton, QWidget

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.dialogs import open_dialog
from smokejournal.desk.base.widgets import new_button, new_row
from smokejournal.journal import CookLine

if TYPE_CHECKING:
    from smokejournal.services.comparing.all_cooks import AllCooks


class JournalMore(QWidget):
    """`selected()` gives the lines that are chosen; `filled(cook_id)` once a file's readings are in.

    What it opens is loaded when it is first asked for: the first painted window needs none of it.
    """

    filled = Signal(object)

    def __init__(
        self,
        context: DeskContext,
        selected: Callable[[], Sequence[CookLine]],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._context, self._selected = context, selected
        self._facts: AllCooks | None = None
        self._compare = self._button("journalCompare", self.tr("&Compare…"), self._on_compare)
        self._compare.setToolTip(
            self.tr(
                "Lay two to six cooks over one another: choose them with Ctrl or Shift and a click"
            )
        )
        self._forecasts = self._button(
            "journalForecasts", self.tr("&Forecasts so far…"), self._on_forecasts
        )
        self._archive = self._button("journalArchive", self.tr("Sa&ve…"), None)
        self._archive.setToolTip(
            self.tr("Cooks as a booklet or as one file, and cooks from such a file")
        )
        menu = QMenu(self._archive)
        menu.setObjectName("archiveMenu")
        menu.addAction(self.tr("&Save all cooks…")).triggered.connect(self._on_save_archive)
        self._booklet = menu.addAction("")
        self._booklet.setObjectName("journalBooklet")
        self._booklet.triggered.connect(self._on_booklet)
        menu.aboutToShow.connect(self._show_booklet)
        self._take_in = menu.addAction(self.tr("&Take in cooks…"))
        self._take_in.triggered.connect(self._on_take_in)
        self._take_in.setEnabled(not self._context.program.journal.read_only)
        self._archive.setMenu(menu)
        self._file = self._button("journalFile", self.tr("&Readings from a file…"), self._on_file)
        self._file.setToolTip(self.tr("What a logger wrote, into a new cook or one that is here"))
        row = new_row(self, margins=0)
        for button in (self._compare, self._archive, self._file, self._forecasts):
            row.addWidget(button)
        context.cook_changed.connect(self._on_cook_changed)

    def set_writable(self, writable: bool) -> None:
        """Whether readings can be taken in."""
        self._file.setEnabled(writable)

    def _button(self, name: str, text: str, slot: Callable[[], None] | None) -> QPushButton:
        return new_button(self, text, slot, name=name, kind="quiet", hears=text.replace("&", ""))

    def _on_cook_changed(self, change: object) -> None:
        cook_id = getattr(change, "cook_id", None)
        read = getattr(change, "readings", None) or getattr(change, "reread", False)
        if self._facts is not None and cook_id is not None and read:
            self._facts.forget(cook_id)

    def _on_compare(self) -> None:
        from smokejournal.desk.comparing.window import CompareWindow
        from smokejournal.services.comparing.all_cooks import AllCooks

        if self._facts is None:
            self._facts = AllCooks(self._context.program)
        chosen = [line.id for line in self._selected()]
        window = CompareWindow(self._context, self._facts, chosen, self)
        open_dialog(window)

    def _on_forecasts(self) -> None:
        from smokejournal.desk.forecast.history_dialog import HistoryDialog

        dialog = HistoryDialog(self._context, parent=self)
        open_dialog(dialog)

    def _on_save_archive(self) -> None:
        from smokejournal.desk.outgoing.archive import save_archive
        from smokejournal.desk.outgoing.file_saver import FileSaver

        self.saver = FileSaver(self._context, self)
        save_archive(self._context, self.saver, self.tr("All cooks"))

    def _for_booklet(self) -> list[int]:
        """The cooks that are selected where they are several, else all that are finished; oldest first."""
        lines = list(self._selected())
        if len(lines) < 2:
            lines = [line for line in self._context.program.cooks() if line.state == "finished"]
        return [line.id for line in sorted(lines, key=lambda line: line.day_s)]

    def _show_booklet(self) -> None:
        several = len(self._selected()) > 1
        words = (
            self.tr("&Booklet of the selected cooks…")
            if several
            else self.tr("&Booklet of all finished cooks…")
        )
        self._booklet.setText(words)
        self._booklet.setEnabled(bool(self._for_booklet()))

    def _on_booklet(self) -> None:
        from smokejournal.desk.outgoing.booklet import save_booklet
        from smokejournal.desk.outgoing.file_saver import FileSaver

        self.saver = FileSaver(self._context, self)
        save_booklet(self._context, self.saver, self._for_booklet())

    def _on_take_in(self) -> None:
        from smokejournal.desk.outgoing.archive import ArchiveTaker

        self.taker = ArchiveTaker(self._context, self)
        self.taker.busy_changed.connect(self._archive.setDisabled)
        self.taker.ask()

    def _on_file(self) -> None:
        from smokejournal.desk.from_file.dialog import FromFileDialog

        dialog = FromFileDialog(self._context, self)
        dialog.open_asked.connect(self.filled)
        open_dialog(dialog)
