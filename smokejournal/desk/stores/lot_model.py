"""The table of lots on Stores."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt

from smokejournal.cook.text import quantities
from smokejournal.cook.text.quantities import Units
from smokejournal.services.stores.stores import LotStock

log = logging.getLogger(__name__)

AnyIndex = QModelIndex | QPersistentModelIndex

LOT, WOOD, LEFT, BURNED, BOUGHT, BAG, PRICE = range(7)


class StoresModel(QAbstractTableModel):
    """Rows are lots with what is left of them."""

    def __init__(self, parent: Any = None) -> None:
        super().__init__(parent)
        self._units = Units()
        self._stock: list[LotStock] = []
        self._complained = False

    def show(self, stock: Sequence[LotStock]) -> None:
        """Show these."""
        self.beginResetModel()
        self._stock = list(stock)
        self.endResetModel()

    def set_units(self, units: Units) -> None:
        """In which units masses are written."""
        self._units = units
        if self._stock:
            self.dataChanged.emit(self.index(0, 0), self.index(len(self._stock) - 1, PRICE))

    def stock(self, row: int) -> LotStock | None:
        """The lot in this row."""
        return self._stock[row] if 0 <= row < len(self._stock) else None

    def row_of(self, name: str) -> int | None:
        """Where the lot of this name stands."""
        return next((n for n, s in enumerate(self._stock) if s.lot.name == name), None)

    def rowCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else len(self._stock)

    def columnCount(self, parent: AnyIndex = QModelIndex()) -> int:  # noqa: B008
        return 0 if parent.isValid() else 7

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if orientation != Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.TextAlignmentRole:
            side = Qt.AlignmentFlag.AlignRight if section >= LEFT else Qt.AlignmentFlag.AlignLeft
            return side | Qt.AlignmentFlag.AlignVCenter
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        return (
            self.tr("Lot"),
            self.tr("Wood"),
            self.tr("Left"),
            self.tr("Burned"),
            self.tr("Bags"),
            self.tr("A bag"),
            self.tr("Price a bag"),
        )[section]

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        # A view asks for every role of every cell at every paint: one bad line must not flood.
        stock = self.stock(index.row()) if index.isValid() else None
        if stock is None:
            return None
        try:
            return self._cell(stock, index.column(), role)
        except (ValueError, TypeError, ArithmeticError, LookupError, AttributeError):
            if not self._complained:
                self._complained = True
                log.exception("A lot cannot be shown: %s", stock.lot.name)
            return self.tr("cannot be shown") if role == Qt.ItemDataRole.DisplayRole else None

    def _cell(self, stock: LotStock, column: int, role: int) -> Any:
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return self._words(stock, column)
        if role == Qt.ItemDataRole.ToolTipRole:
            return stock.why or stock.lot.note or self._words(stock, column)
        if role == Qt.ItemDataRole.TextAlignmentRole and column >= LEFT:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None

    def _words(self, stock: LotStock, column: int) -> str:
        lot = stock.lot
        if column == LOT:
            return self.tr("{lot} (retired)").format(lot=lot.name) if lot.retired else lot.name
        if column == WOOD:
            return lot.wood
        if column == BAG:
            return "" if lot.bag_kg is None else quantities.mass(lot.bag_kg, self._units)
        if column == BOUGHT:
            return "" if lot.id == 0 else f"{lot.bags_bought:g}"
        if column == BURNED:
            if stock.unknown_cooks == stock.cooks and stock.cooks:
                return self.tr("unknown")
            burned = self._with_sd(stock.burned_kg, stock.burned_sd_kg)
            if stock.unknown_cooks:
                return self.tr("at least {mass}").format(mass=burned)
            return burned
        if column == LEFT:
            if stock.left_kg is not None:
                return self._with_sd(stock.left_kg, stock.burned_sd_kg)
            if stock.left_low_kg is None or stock.left_high_kg is None:
                return self.tr("unknown")
            return self.tr("{low} to {high} {unit}").format(
                low=quantities.mass_number(stock.left_low_kg, self._units, 1),
                high=quantities.mass_number(stock.left_high_kg, self._units, 1),
                unit=quantities.mass_unit(self._units),
            )
        return "" if lot.price is None else quantities.money(lot.price, lot.currency)

    def _with_sd(self, mass_kg: float, sd_kg: float) -> str:
        number = quantities.mass_number(mass_kg, self._units, 1)
        unit = quantities.mass_unit(self._units)
        if sd_kg < 0.05:
            return f"{number} {unit}"
        return f"{number} ± {quantities.mass_number(sd_kg, self._units, 1)} {unit}"
