"""How much fuel, as the cook measures it, and how sure that is.

The standard deviations are working figures of ours, meant to be honest rather than narrow: a
household or hanging scale is good to about 50 g or 1 %, a bag as sold holds what it says within
about 1 % each, and a share judged by eye (of a bag, of a hopper) is good to about 5 % of the whole.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from smokejournal.cook.log.entries import FuelMeasure

SCALE_SD_KG = 0.05
SCALE_SD_SHARE = 0.01
BAG_SD_SHARE = 0.01
EYE_SD_SHARE = 0.05


@dataclass(frozen=True, slots=True)
class FuelAmount:
    """A mass [kg] with its standard deviation [kg]."""

    mass_kg: float
    sd_kg: float


def weighed(mass_kg: float) -> FuelAmount:
    """Fuel put on a scale."""
    return FuelAmount(mass_kg, math.hypot(SCALE_SD_KG, SCALE_SD_SHARE * mass_kg))


def in_bags(bags: float, bag_kg: float) -> FuelAmount:
    """Bags of `bag_kg` as sold: whole ones by their label, a broken one by eye."""
    whole = math.floor(bags + 1e-9)
    sold_kg = BAG_SD_SHARE * bag_kg * math.sqrt(whole)
    eye_kg = EYE_SD_SHARE * bag_kg if bags - whole > 1e-9 else 0.0
    return FuelAmount(bags * bag_kg, math.hypot(sold_kg, eye_kg))


def by_eye(share: float, whole_kg: float) -> FuelAmount:
    """A share from 0 to 1 of a bag or of a full hopper that holds `whole_kg`, judged by eye."""
    return FuelAmount(share * whole_kg, EYE_SD_SHARE * whole_kg)


def amount_of(measure: FuelMeasure, value: float, bag_kg: float | None) -> FuelAmount | None:
    """`value` in kg, bags, or a share of a bag; None where the bag's size is wanted and not known."""
    if measure == "mass":
        return weighed(value)
    if bag_kg is None:
        return None
    return in_bags(value, bag_kg) if measure == "bags" else by_eye(value, bag_kg)
