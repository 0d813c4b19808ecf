"""The dialog that lists the copies of the journal with what is in them, and asks for one to be put in place."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QStandardItem, QStandardItemModel
from PySide6.QtWidgets import (
    QDialog,
    QTableView,
    QWidget,
)

from smokejournal.cook.text.quantities import METRIC, Units, date, date_time
from smokejournal.desk.base.tables import FITTED, ONE, STRETCHED, chosen_row, dress_table
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.desk.parts.zone_box import machine_zone
from smokejournal.journal import CopyContents, Journal, JournalCopy, JournalProblem

#: Does work (slow, touching no widget) and calls the answer with its result on the painting thread.
Ask = Callable[[Callable[[], Any], Callable[[Any], None]], None]


class RestoreDialog(QDialog):
    """`restore_asked(JournalCopy)` once a copy was chosen and the question answered with yes."""

    restore_asked = Signal(object)

    def __init__(
        self,
        folder: Path,
        ask: Ask,
        units: Units = METRIC,
        under_way: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("restoreDialog")
        self.setWindowTitle(self.tr("Copies of the journal"))
        self._folder = folder
        self._ask = ask
        self._units = units
        self._under_way = under_way
        self._zone = machine_zone()
        self._copies: list[JournalCopy] = []
        self._usable: set[int] = set()
        self._troubles: dict[int, str] = {}
        self._build()
        ask(self._list, self._on_listed)

    def _build(self) -> None:
        self.text = new_label(self, self.tr("Looking for copies …"), name="restoreText", wraps=True)
        self._model = QStandardItemModel(0, 4, self)
        self._model.setHorizontalHeaderLabels(
            [self.tr("Made"), self.tr("Size"), self.tr("Cooks"), self.tr("Newest cook")]
        )
        self.table = QTableView(self)
        self.table.setModel(self._model)
        dress_table(
            self.table,
            "restoreTable",
            self.tr("Copies of the journal, newest first"),
            chosen=ONE,
            columns=FITTED,
        )
        header = self.table.horizontalHeader()
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignCenter)
        header.setSectionResizeMode(3, STRETCHED)
        self.table.selectionModel().selectionChanged.connect(self._on_selection)
        self.restore = new_button(
            self, self.tr("&Put this copy in place…"), name="restorePut", auto=False
        )
        self.restore.setEnabled(False)
        self.restore.clicked.connect(self._on_restore)
        close = new_button(self, self.tr("Close"), self.reject, name="restoreClose", default=True)
        buttons = new_row(None, self.restore, FILL, close)
        new_column(self, self.text, (self.table, 1), buttons, spacing=12, margins=(18, 16, 18, 14))
        self.resize(720, 440)

    def _list(self) -> list[JournalCopy] | JournalProblem:
        try:
            return Journal.copies(self._folder)
        except JournalProblem as problem:
            return problem

    def _on_listed(self, found: list[JournalCopy] | JournalProblem) -> None:
        if isinstance(found, JournalProblem):
            self.text.setText(f"{found.message} {found.cure}")
            return
        if not found:
            self.text.setText(
                self.tr(
                    "There is no copy yet. The program makes one when a cook is closed, and every few "
                    "hours while something is written."
                )
            )
            return
        self._copies = found
        self._on_selection()
        for copy in found:
            made = date_time(copy.at_s, self._zone, self._units)
            row = [made, _size(copy.size_bytes), "…", self.tr("looking inside …")]
            self._model.appendRow([QStandardItem(text) for text in row])
        self._look(0)

    def _look(self, row: int) -> None:
        """Look into one copy after another: each is read whole, and nobody may wait for it."""
        if row < len(self._copies):
            self._ask(partial(_inside, self._copies[row]), partial(self._on_inside, row))

    def _on_inside(self, row: int, inside: CopyContents | JournalProblem) -> None:
        if isinstance(inside, JournalProblem):
            self._troubles[row] = inside.message
            self._show(row, "–", self.tr("can't be used"))
        else:
            self._usable.add(row)
            newest = inside.newest_title
            if inside.newest_s is not None:
                newest = f"{newest}, {date(inside.newest_s, self._zone, self._units)}"
            self._show(row, str(inside.cooks), newest)
        self._on_selection()
        self._look(row + 1)

    def _show(self, row: int, cooks: str, newest: str) -> None:
        self._model.item(row, 2).setText(cooks)
        self._model.item(row, 3).setText(newest)
        self._model.item(row, 3).setToolTip(newest)

    @Slot()
    def _on_selection(self) -> None:
        row = chosen_row(self.table)
        self.restore.setEnabled(row in self._usable)
        self.text.setText(
            self._troubles[row]
            if row in self._troubles
            else self.tr(
                "Copies the program made of this journal. Choose one to have the journal as it "
                "was then."
            )
        )

    @Slot()
    def _on_restore(self) -> None:
        row = chosen_row(self.table)
        if row is None:
            return
        copy = self._copies[row]
        made = date_time(copy.at_s, self._zone, self._units)
        parts = [
            self.tr(
                "The journal will be as it was on {made}. What was written later isn't in this copy."
            ).format(made=made),
            self.tr(
                "The file as it is now is set aside in the same folder under another name. It isn't "
                "deleted."
            ),
            self.tr("The program closes. Start it again to go on."),
        ]
        if self._under_way:
            parts.insert(
                0,
                self.tr(
                    "A cook is under way: its readings and alarms stop, and the copy may lack it."
                ),
            )
        asking = AskDialog(
            self.tr("Put this copy in place"),
            "\n\n".join(parts),
            self.tr("Put it in place"),
            self.tr("Leave the journal as it is"),
            parent=self,
        )
        asking.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        asking.accepted.connect(partial(self._on_yes, copy))
        asking.open()

    def _on_yes(self, copy: JournalCopy) -> None:
        self.accept()
        self.restore_asked.emit(copy)


def _size(size_bytes: int) -> str:
    if size_bytes < 1e6:
        return f"{max(1, round(size_bytes / 1e3))} kB"
    return f"{size_bytes / 1e6:.1f} MB"


def _inside(copy: JournalCopy) -> CopyContents | JournalProblem:
    try:
        return Journal.look_into(copy)
    except JournalProblem as problem:
        return problem
