"""Tables as all screens have them: no grid, no row numbers, heads at the left, nothing typed into cells."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QTableView,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

NOTHING, ONE, MANY = (
    QAbstractItemView.SelectionMode.NoSelection,
    QAbstractItemView.SelectionMode.SingleSelection,
    QAbstractItemView.SelectionMode.ExtendedSelection,
)
FIXED, FITTED, STRETCHED = (
    QHeaderView.ResizeMode.Fixed,
    QHeaderView.ResizeMode.ResizeToContents,
    QHeaderView.ResizeMode.Stretch,
)


def dress_table(
    table: QTableView,
    name: str,
    hears: str,
    *,
    chosen: QAbstractItemView.SelectionMode = NOTHING,
    row_px: int | None = None,
    columns: QHeaderView.ResizeMode | None = None,
    fields: bool = False,
) -> None:
    """What every table is told. `hears` is its name for readers of screens, `chosen` how many rows a
    person may choose, `columns` how wide they are; with `fields` it holds what is typed into or chosen
    from, and is passed over itself."""
    table.setObjectName(name)
    table.setAccessibleName(hears)
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    table.setSelectionMode(chosen)
    table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
    if fields:
        table.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    else:
        table.setTabKeyNavigation(False)
    table.setShowGrid(False)
    table.verticalHeader().hide()
    if row_px is not None:
        table.verticalHeader().setDefaultSectionSize(row_px)
    header = table.horizontalHeader()
    header.setHighlightSections(False)
    header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
    if columns is not None:
        header.setSectionResizeMode(columns)


def chosen_row(table: QTableView) -> int | None:
    """The first row that is chosen; None where none is."""
    rows = table.selectionModel().selectedRows()
    return rows[0].row() if rows else None


def fit_height(table: QTableView, fits: bool) -> None:
    """The table just as high as its rows: what it stands in scrolls. Where its columns don't fit, it
    scrolls sideways; where they do, the last takes the room that is left."""
    header = table.horizontalHeader()
    # One that was stretched once stays wide when the table becomes narrow.
    header.setStretchLastSection(fits)
    rows = sum(table.rowHeight(n) for n in range(table.model().rowCount()))
    high = header.sizeHint().height() + rows + 2 * table.frameWidth()
    if not fits:
        high += table.horizontalScrollBar().sizeHint().height()
    table.setFixedHeight(high)


class PlainTable(QTableWidget):
    """A table of texts that are put into it."""

    def __init__(
        self,
        parent: QWidget | None,
        name: str,
        hears: str,
        heads: Sequence[str] = (),
        **look: Any,
    ) -> None:
        """`look` is as `dress_table` has it."""
        super().__init__(0, len(heads), parent)
        self.setHorizontalHeaderLabels(list(heads))
        dress_table(self, name, hears, **look)

    def put(self, row: int, texts: Sequence[str]) -> list[QTableWidgetItem]:
        """These texts into the first columns of a row; each is told whole where the pointer rests."""
        items = [QTableWidgetItem(text) for text in texts]
        for column, item in enumerate(items):
            item.setToolTip(item.text())
            self.setItem(row, column, item)
        return items
