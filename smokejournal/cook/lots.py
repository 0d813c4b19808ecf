"""Lots of fuel: a bag, or a batch of bags bought together."""

from __future__ import annotations

import math
from dataclasses import dataclass

from smokejournal.cook.schema import SchemaProblem
from smokejournal.cook.words import translate


@dataclass(frozen=True, slots=True)
class Lot:
    """One lot as the cook keeps it. `id` 0: not kept yet. `price` is for one bag of `bag_kg`."""

    id: int
    name: str
    bag_kg: float | None = None
    price: float | None = None
    currency: str = ""
    bags_bought: float = 0.0
    wood: str = ""
    note: str = ""
    retired: bool = False

    @property
    def price_per_kg(self) -> float | None:
        """What a kilogram costs; None while the price or the size of the bag isn't known."""
        if self.price is None or self.bag_kg is None:
            return None
        return self.price / self.bag_kg


def validate_lot(lot: Lot) -> None:
    """SchemaProblem where a field of the lot is out of its range."""
    if not lot.name.strip():
        raise SchemaProblem("name", translate("Lots", "Give the lot a name."))
    if lot.bag_kg is not None and not (math.isfinite(lot.bag_kg) and 0 < lot.bag_kg <= 5000):
        raise SchemaProblem("bag_kg", translate("Lots", "Give a mass above 0 kg, up to 5000 kg."))
    if lot.price is not None and not (math.isfinite(lot.price) and 0 <= lot.price <= 1e9):
        raise SchemaProblem("price", translate("Lots", "Give a price of 0 or more."))
    if not (math.isfinite(lot.bags_bought) and 0 <= lot.bags_bought <= 100_000):
        raise SchemaProblem("bags_bought", translate("Lots", "Give a number of bags, 0 or more."))
