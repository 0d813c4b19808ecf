"""The table of pellet lots, or of one sort of wares, on Stores."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from smokejournal.cook.stores.wares import kind_words
from smokejournal.cook.text import quantities
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.desk.base.rows_model import RowsModel
from smokejournal.services.stores.stores import LotStock, Stock, WareStock

#: Numbers stand at the right, from what is left on.
LEFT = 2
_EXACT_KG = 0.0005


@dataclass(frozen=True, slots=True)
class StockColumn:
    """A title and what stands below it; hidden while the page is narrower than `needs_px`."""

    title: str
    words: Callable[[Any, Units], str]
    needs_px: int = 0


class StockModel(RowsModel[Stock]):
    """Rows are what is kept, with what is left of it."""

    def __init__(self, columns: Sequence[StockColumn], parent: Any = None) -> None:
        super().__init__(parent)
        self._columns = columns
        self.numbers = frozenset(range(LEFT, len(columns)))

    def row_of(self, name: str) -> int | None:
        """Where what is called so stands."""
        return next((n for n, stock in enumerate(self._rows) if stock.kept.name == name), None)

    def titles(self) -> tuple[str, ...]:
        return tuple(column.title for column in self._columns)

    def words(self, stock: Stock, column: int) -> str:
        return self._columns[column].words(stock, self._units)

    def tip(self, stock: Stock, column: int) -> str:
        return stock.line.why or stock.kept.note or self.words(stock, column)


def lot_columns() -> tuple[StockColumn, ...]:
    """Of pellets by lot."""
    return (
        StockColumn(translate("Stores", "Lot"), _name),
        StockColumn(translate("Stores", "Wood"), lambda stock, _: stock.lot.wood, 960),
        StockColumn(translate("Stores", "Left"), _lot_left),
        StockColumn(translate("Stores", "Burned"), _burned),
        StockColumn(translate("Stores", "Bags"), _bags),
        StockColumn(translate("Stores", "A bag"), _bag, 1010),
        StockColumn(translate("Stores", "Price a bag"), _price, 1090),
    )


def ware_columns() -> tuple[StockColumn, ...]:
    """Of salts, woods or rubs."""
    return (
        StockColumn(translate("Stores", "Name"), _name),
        StockColumn(
            translate("Stores", "What it is"), lambda stock, _: kind_words(stock.ware), 960
        ),
        StockColumn(translate("Stores", "Left"), _ware_left),
        StockColumn(translate("Stores", "Price of all"), _price, 960),
    )


def _name(stock: Stock, _: Units) -> str:
    name = stock.kept.name
    return translate("Stores", "{name} (retired)").format(name=name) if stock.kept.retired else name


def _price(stock: Stock, _: Units) -> str:
    kept = stock.kept
    return "" if kept.price is None else quantities.money(kept.price, kept.currency)


def _bags(stock: LotStock, _: Units) -> str:
    return "" if stock.lot.id == 0 else f"{stock.lot.bags_bought:g}"


def _bag(stock: LotStock, units: Units) -> str:
    return "" if stock.lot.bag_kg is None else quantities.mass(stock.lot.bag_kg, units)


def _burned(stock: LotStock, units: Units) -> str:
    if stock.unknown_cooks == stock.cooks and stock.cooks:
        return translate("Stores", "unknown")
    burned = _with_sd(stock.burned_kg, stock.burned_sd_kg, units)
    if stock.unknown_cooks:
        return translate("Stores", "at least {mass}").format(mass=burned)
    return burned


def _lot_left(stock: LotStock, units: Units) -> str:
    if stock.left_kg is not None:
        return _with_sd(stock.left_kg, stock.burned_sd_kg, units)
    if stock.left_low_kg is None or stock.left_high_kg is None:
        return translate("Stores", "unknown")
    low, high = (
        quantities.mass_number(kg, units, 1) for kg in (stock.left_low_kg, stock.left_high_kg)
    )
    return _between(low, high, quantities.mass_unit(units))


def _ware_left(stock: WareStock, units: Units) -> str:
    line = stock.line
    if line.left_low is None or line.left_high is None:
        return translate("Stores", "unknown")
    if line.unit == "pieces":
        low, high, unit = f"{line.left_low:g}", f"{line.left_high:g}", translate("Stores", "pieces")
    elif line.left_high - line.left_low < _EXACT_KG:
        return quantities.mass(line.left_high, units)
    else:
        low = quantities.mass_number(line.left_low, units, 2)
        high = quantities.mass_number(line.left_high, units, 2)
        unit = quantities.mass_unit(units)
    return f"{low} {unit}" if low == high else _between(low, high, unit)


def _between(low: str, high: str, unit: str) -> str:
    return translate("Stores", "{low} to {high} {unit}").format(low=low, high=high, unit=unit)


def _with_sd(mass_kg: float, sd_kg: float, units: Units) -> str:
    number = quantities.mass_number(mass_kg, units, 1)
    unit = quantities.mass_unit(units)
    if sd_kg < 0.05:
        return f"{number} {unit}"
    return f"{number} ± {quantities.mass_number(sd_kg, units, 1)} {unit}"
