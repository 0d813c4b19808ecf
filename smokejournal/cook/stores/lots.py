"""Lots of fuel: a bag, or a batch of bags bought together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from smokejournal.cook.log.ranges import Mass, MassOrNoneLeft, Money
from smokejournal.cook.text.strict import Name, Range
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
    name: Name
    bag_kg: Mass | None = None
    price: Money | None = None
    currency: str = ""
    bags_bought: Annotated[float, Range(0, 100_000)] = 0.0
    wood: str = ""
    note: str = ""
    retired: bool = False
    label: str = ""
    moisture_pct: Annotated[float, Range(*MOISTURE, "%")] | None = None
    net_mj_kg: Annotated[float, Range(*NET_MJ_KG, "MJ/kg")] | None = None
    low_below_kg: MassOrNoneLeft | None = None

    @property
    def price_per_kg(self) -> float | None:
        """What a kilogram costs; None while the price or the size of the bag isn't known."""
        if self.price is None or self.bag_kg is None:
            return None
        return self.price / self.bag_kg
