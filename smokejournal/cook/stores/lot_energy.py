"""What a bag of pellets holds, and what a kilowatt-hour of it costs."""

from __future__ import annotations

from dataclasses import dataclass, replace

from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import money
from smokejournal.cook.text.translate import translate
from smokejournal.science.heat.fuel import PELLETS, net_mj_kg

#: What ISO 17225-2 asks of pellets of class A1: MJ/kg net as received at least, % of moisture at most.
A1_NET_MJ_KG = 16.5
A1_MOISTURE_PCT = 10.0
#: Gross calorific values of dry hardwoods, least and most (Texas A&M Forest Service, mesquite).
GROSS_MJ_KG = (18.7, 20.1)
MJ_PER_KWH = 3.6


@dataclass(frozen=True, slots=True)
class NetValue:
    """Net calorific value as received [MJ/kg], from the least to the most that it may be, with where
    that comes from. `high` None: it may well be more."""

    low: float
    high: float | None
    source: str


def net_value(lot: Lot) -> NetValue:
    """The calorific value of a lot: as written down, else from its moisture, else what the standard asks."""
    if lot.net_mj_kg is not None:
        return NetValue(
            lot.net_mj_kg, lot.net_mj_kg, translate("Lots", "the value that you wrote down")
        )
    if lot.moisture_pct is not None:
        low, high = (
            net_mj_kg(replace(PELLETS, gross_mj_kg=gross, moisture_pct=lot.moisture_pct))
            for gross in GROSS_MJ_KG
        )
        return NetValue(
            low, high, translate("Lots", "from its moisture, for hardwood, by ISO 18125")
        )
    return NetValue(
        A1_NET_MJ_KG,
        None,
        translate("Lots", "what ISO 17225-2 asks of pellets of class A1"),
    )


def energy_words(lot: Lot) -> str:
    """What a bag holds and what a kWh costs, with the source; "" while the mass of a bag isn't known."""
    if lot.bag_kg is None:
        return ""
    net = net_value(lot)
    least = net.low * lot.bag_kg / MJ_PER_KWH
    per_kg = fmt(net.low, 1, trim=True)
    if net.high is None:
        holds = translate("Lots", "A bag holds {kwh} kWh or more").format(kwh=fmt(least, 0))
        per_kg = translate("Lots", "{number} MJ/kg or more").format(number=per_kg)
    elif net.high > net.low:
        most = net.high * lot.bag_kg / MJ_PER_KWH
        holds = translate("Lots", "A bag holds {low} to {high} kWh").format(
            low=fmt(least, 0), high=fmt(most, 0)
        )
        per_kg = translate("Lots", "{low} to {high} MJ/kg").format(
            low=per_kg, high=fmt(net.high, 1, trim=True)
        )
    else:
        holds = translate("Lots", "A bag holds {kwh} kWh").format(kwh=fmt(least, 0))
        per_kg = translate("Lots", "{number} MJ/kg").format(number=per_kg)
    parts = [f"{holds} ({per_kg}, {net.source})."]
    cost = _cost(lot, net)
    if cost:
        parts.append(cost)
    if lot.moisture_pct is not None and lot.moisture_pct > A1_MOISTURE_PCT:
        parts.append(
            translate(
                "Lots",
                "That is wetter than the 10 % that class A1 allows: look whether the pellets are still "
                "hard and smooth.",
            )
        )
    return " ".join(parts)


def _cost(lot: Lot, net: NetValue) -> str:
    if lot.price_per_kg is None:
        return ""
    dearest = lot.price_per_kg * MJ_PER_KWH / net.low
    if net.high is None:
        return translate("Lots", "A kWh costs {price} or less.").format(
            price=money(dearest, lot.currency)
        )
    cheapest = money(lot.price_per_kg * MJ_PER_KWH / net.high, lot.currency)
    if cheapest == money(dearest, lot.currency):
        return translate("Lots", "A kWh costs {price}.").format(price=cheapest)
    return translate("Lots", "A kWh costs {low} to {high}.").format(
        low=cheapest, high=money(dearest, lot.currency)
    )
