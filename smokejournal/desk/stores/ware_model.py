"""The table of salts, woods or rubs on Stores."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt

from smokejournal.cook.stores.wares import kind_words
from smokejournal.cook.text import quantities
from smokejournal.cook.text.quantities import Units
from smokejournal.services.stores.stores import WareStock

AnyIndex = QModelIndex | QPersistentModelIndex

NAME, ABOUT, LEFT, PRICE = range(4)
_EXACT_KG = 0.0005


class WareModel(QAbstractTableModel):
    """Rows are wares of one sort with what is left of them."""

    def __init__(self, parent: Any = None) -> None:
        super().__init__(parent)
        self._units = Units()
        self._stock: list[WareStock] = []

    def show(self, stock: Sequence[WareStock]) -> None:
        """Show these."""
        self.beginResetModel()
        self._stock = list(stock)
        self.endResetModel()

    def set_units(self, units: Units) -> None:
        """In which units masses are written."""
        self._units = units
        if self._stock:
            self.dataChanged.emit(self.index(0, 0), self.index(len(self._stock) - 1, PRICE))

    def stock(self, row: int) -> WareStock | None:
        """The ware in this row."""
        return self._stock[row] if 0 <= row < len(self._stock) else None

    def row_of(self, name: str) -> int | None:
        """In which row the ware of this name is."""
        found = (n for n, stock in enumerate(self._stock) if stock.ware.name == name)
        return next(found, None) if name else None

    def rowCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008 - Qt's own default
        return 0 if parent.isValid() else len(self._stock)

    def columnCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else 4

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if orientation is not Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.TextAlignmentRole:
            side = Qt.AlignmentFlag.AlignRight if section >= LEFT else Qt.AlignmentFlag.AlignLeft
            return side | Qt.AlignmentFlag.AlignVCenter
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        return (self.tr("Name"), self.tr("What it is"), self.tr("Left"), self.tr("Price of all"))[
            section
        ]

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        stock = self.stock(index.row()) if index.isValid() else None
        if stock is None:
            return None
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return self._words(stock, index.column())
        if role == Qt.ItemDataRole.ToolTipRole:
            return stock.line.why or stock.ware.note or self._words(stock, index.column())
        if role == Qt.ItemDataRole.TextAlignmentRole and index.column() >= LEFT:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None

    def _words(self, stock: WareStock, column: int) -> str:
        ware = stock.ware
        if column == NAME:
            return self.tr("{name} (retired)").format(name=ware.name) if ware.retired else ware.name
        if column == ABOUT:
            return kind_words(ware)
        if column == LEFT:
            return self._left(stock)
        return "" if ware.price is None else quantities.money(ware.price, ware.currency)

    def _left(self, stock: WareStock) -> str:
        line = stock.line
        if line.left_low is None or line.left_high is None:
            return self.tr("unknown")
        if line.unit == "kg" and line.left_high - line.left_low < _EXACT_KG:
            return quantities.mass(line.left_high, self._units)
        low, high = (self._number(value, line.unit) for value in (line.left_low, line.left_high))
        unit = self.tr("pieces") if line.unit == "pieces" else quantities.mass_unit(self._units)
        if low == high:
            return f"{low} {unit}"
        return self.tr("{low} to {high} {unit}").format(low=low, high=high, unit=unit)

    def _number(self, value: float, unit: str) -> str:
        if unit == "pieces":
            return f"{value:g}"
        return quantities.mass_number(value, self._units, 2)
