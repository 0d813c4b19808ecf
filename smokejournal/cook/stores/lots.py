"""Lots of fuel: a bag, or a batch of bags bought together."""

from __future__ import annotations

import math
from dataclasses import dataclass

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.science.heat.fuel import MOISTURE_PCT as MOISTURE

#: The ends between which a net calorific value as received can be.
NET_MJ_KG = (5.0, 30.0)


@dataclass(frozen=True, slots=True)
class Lot:
    """One lot as the cook keeps it. `id` 0: not kept yet. `price` is for one bag of `bag_kg`.

    `label` is what the bag says, as it says it. `moisture_pct` (% of the mass as received) and
    `net_mj_kg` (net calorific value as received, MJ/kg) where they are known. `low_below_kg`: it runs
    low with less than this; None: less than one usual cook burns.
    """

    id: int
    name: str
    bag_kg: float | None = None
    price: float | None = None
    currency: str = ""
    bags_bought: float = 0.0
    wood: str = ""
    note: str = ""
    retired: bool = False
    label: str = ""
    moisture_pct: float | None = None
    net_mj_kg: float | None = None
    low_below_kg: float | None = None

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
    for where, value, low, high, text in (
        ("moisture_pct", lot.moisture_pct, *MOISTURE, translate("Lots", "Give 0 to 65 %.")),
        ("net_mj_kg", lot.net_mj_kg, *NET_MJ_KG, translate("Lots", "Give 5 to 30 MJ/kg.")),
        ("low_below_kg", lot.low_below_kg, 0.0, 5000.0, translate("Lots", "Give 0 to 5000 kg.")),
    ):
        if value is not None and not (math.isfinite(value) and low <= value <= high):
            raise SchemaProblem(where, text)
