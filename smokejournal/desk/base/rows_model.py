"""What every table model of the desk does alike: rows of one kind, a title and words for each column."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from typing import Any, Generic, TypeVar

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt

from smokejournal.cook.text.quantities import Units

log = logging.getLogger(__name__)

AnyIndex = QModelIndex | QPersistentModelIndex
Row = TypeVar("Row")


class RowsModel(QAbstractTableModel, Generic[Row]):
    """Subclasses say `titles` and `words`, and which columns (`numbers`) stand at the right."""

    numbers: frozenset[int] = frozenset()

    def __init__(self, parent: Any = None) -> None:
        super().__init__(parent)
        self._units = Units()
        self._rows: list[Row] = []
        self._complained = False

    # for subclasses

    def titles(self) -> Sequence[str]:
        """The title of each column."""
        raise NotImplementedError

    def words(self, row: Row, column: int) -> str:
        """What stands in a cell."""
        raise NotImplementedError

    def tip(self, row: Row, column: int) -> str | None:
        """What a cell says when it is pointed at."""
        return self.words(row, column)

    # for pages

    def show(self, rows: Sequence[Row]) -> None:
        """Show these and nothing else."""
        self.beginResetModel()
        self._rows = list(rows)
        self.endResetModel()

    def set_units(self, units: Units) -> None:
        """How quantities, dates and hours are written."""
        self._units = units
        if self._rows:
            self.dataChanged.emit(
                self.index(0, 0), self.index(len(self._rows) - 1, self.columnCount() - 1)
            )

    def row(self, number: int) -> Row | None:
        """What stands in this row."""
        return self._rows[number] if 0 <= number < len(self._rows) else None

    # for views

    def rowCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008 - Qt's own default
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(self.titles())

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if orientation != Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.TextAlignmentRole:
            right = section in self.numbers
            side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
            return side | Qt.AlignmentFlag.AlignVCenter
        return self.titles()[section] if role == Qt.ItemDataRole.DisplayRole else None

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row = self.row(index.row()) if index.isValid() else None
        if row is None:
            return None
        try:
            return self._cell(row, index.column(), role)
        except (ValueError, TypeError, ArithmeticError, LookupError, AttributeError):
            # A view asks for every role of every cell at every paint: one bad row must not flood.
            if not self._complained:
                self._complained = True
                log.exception("%s cannot show a row: %.200r", type(self).__name__, row)
            return self.tr("cannot be shown") if role == Qt.ItemDataRole.DisplayRole else None

    def _cell(self, row: Row, column: int, role: int) -> Any:
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return self.words(row, column)
        if role == Qt.ItemDataRole.ToolTipRole:
            return self.tip(row, column)
        if role == Qt.ItemDataRole.TextAlignmentRole and column in self.numbers:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None
