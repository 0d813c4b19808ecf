"""The kinds of things that the stores hold, and what tells one from another on the page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from smokejournal.cook.log.entries import WareSort
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.stores.wares import Ware
from smokejournal.cook.text.translate import translate
from smokejournal.desk.stores.stock_model import StockColumn, lot_columns, ware_columns


@dataclass(frozen=True, slots=True)
class Kind:
    """Its widgets are named after `name`; `blank` is one that nothing is said of yet."""

    name: str
    blank: Lot | Ware
    columns: Sequence[StockColumn]
    words: str
    title: str
    new: str
    show_retired: str
    nothing: str
    what_next: str


def pellet_kind() -> Kind:
    """Pellets by lot."""
    return Kind(
        "stores",
        Lot(0, ""),
        lot_columns(),
        translate("Stores", "Pellets"),
        translate("Stores", "Lots of pellets"),
        translate("Stores", "&New lot"),
        translate("Stores", "Show retired lots"),
        translate("Stores", "No lots yet"),
        translate(
            "Stores",
            "Write down the bag you are burning: its wood, its mass and what it cost. Cooks "
            "then say which lot they burned, and this page says what is left.",
        ),
    )


def ware_kinds() -> dict[WareSort, Kind]:
    """Each sort of wares, in the order of their buttons."""
    columns = ware_columns()
    show_retired = translate("Stores", "Show retired")
    return {
        "salt": Kind(
            "salt",
            Ware(0, "salt", ""),
            columns,
            translate("Stores", "Salt"),
            translate("Stores", "Salts"),
            translate("Stores", "&New salt"),
            show_retired,
            translate("Stores", "No salt yet"),
            translate(
                "Stores",
                "Write down the salt you brine with and what a cup of it weighs. Brines then go "
                "by your own salt, not by a table.",
            ),
        ),
        "wood": Kind(
            "wood",
            Ware(0, "wood", ""),
            columns,
            translate("Stores", "Wood"),
            translate("Stores", "Woods"),
            translate("Stores", "&New wood"),
            show_retired,
            translate("Stores", "No wood yet"),
            translate(
                "Stores",
                "Write down chunks, chips or splits, by mass or by pieces. A cook then says "
                "what it used, and this page says what is left.",
            ),
        ),
        "rub": Kind(
            "rub",
            Ware(0, "rub", ""),
            columns,
            translate("Stores", "Rub"),
            translate("Stores", "Rubs"),
            translate("Stores", "&New rub"),
            show_retired,
            translate("Stores", "No rub yet"),
            translate(
                "Stores",
                "Write down what you mixed: its recipe, how much of it there is, and how much of "
                "it is salt.",
            ),
        ),
    }
