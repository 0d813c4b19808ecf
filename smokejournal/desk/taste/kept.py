"""What was kept about how a cook turned out, with a way to strike what was wrong."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QListWidget,
    QListWidgetItem,
    QWidget,
)

from smokejournal.cook.log.entries import Entry, NextTime, Photo, Tasted, Weighed
from smokejournal.cook.log.entry_words import Names, entry_words
from smokejournal.cook.text import quantities
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row

SHOWN = (Tasted, Weighed, NextTime, Photo)


class TasteKept(QWidget):
    """The list, newest first. `strike_asked(entry id)`."""

    strike_asked = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("tasteKept")
        title = new_label(self, self.tr("Saved so far"), kind="section")
        self._strike = new_button(
            self,
            self.tr("&Strike"),
            self._on_strike,
            name="tasteStrike",
            tip=self.tr("It no longer counts. It stays in the log, marked as struck."),
        )
        top = new_row(None, (title, 1), self._strike)
        self.list = QListWidget(self)
        self.list.setObjectName("tasteKeptList")
        self.list.setAccessibleName(self.tr("What was saved about this cook"))
        self.list.setWordWrap(True)
        self.list.setMinimumHeight(84)
        self.list.setMaximumHeight(180)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.itemSelectionChanged.connect(self._on_selection)
        self._none = new_label(self, self.tr("Nothing yet."), kind="faint")
        new_column(self, top, self.list, self._none, margins=0)
        self._writable = True
        self.show_entries((), Units(), Names())

    def set_writable(self, writable: bool) -> None:
        """A journal opened for reading only strikes nothing."""
        self._writable = writable
        self._on_selection()

    def show_entries(self, entries: Sequence[Entry], units: Units, names: Names) -> None:
        """Show those that hold and belong here."""
        shown = [entry for entry in entries if isinstance(entry.what, SHOWN)]
        # The list is made again while readings come in: what was chosen stays chosen, in its place.
        chosen = {i.data(Qt.ItemDataRole.UserRole) for i in self.list.selectedItems()}
        where = self.list.verticalScrollBar().value()
        self.list.clear()
        for entry in reversed(shown):
            when = quantities.date_time(entry.at_s, names.zone, units)
            item = QListWidgetItem(f"{entry_words(entry.what, units, names)}\n{when}")
            item.setData(Qt.ItemDataRole.UserRole, entry.id)
            self.list.addItem(item)
            if entry.id in chosen:
                self.list.setCurrentItem(item)
        self.list.verticalScrollBar().setValue(where)
        self.list.setVisible(bool(shown))
        self._none.setVisible(not shown)
        self._on_selection()

    def _on_selection(self) -> None:
        self._strike.setEnabled(self._writable and bool(self.list.selectedItems()))
        self._strike.setVisible(self.list.count() > 0)

    def _on_strike(self) -> None:
        for item in self.list.selectedItems():
            self.strike_asked.emit(item.data(Qt.ItemDataRole.UserRole))
