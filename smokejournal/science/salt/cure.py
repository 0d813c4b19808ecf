"""Ingoing nitrite by a named method, and the published limit that goes with it.

Parts per million of the green (raw) weight. The method belongs to the number: one and the same pickle
gives 50 ppm by Method One with 8 % of measured pick-up and 357 ppm by Method Two.

Source of methods and limits: USDA FSIS, Processing Inspectors' Calculations Handbook (Directive
7620.3, 1995), as quoted on public pages; bacon, USDA FSIS, Bacon and Food Safety; fish, Code of Maine
Rules ch. 359. The handbook writes "% pump" and means the fraction; here a percentage is a percentage.
Nitrate is left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from smokejournal.science.numbers.ranges import OutOfRange, within
from smokejournal.science.numbers.refusals import NOT_BELOW_ZERO, between, refuses

Method = Literal["dry", "comminuted", "pumped", "immersion_one", "immersion_two"]
Product = Literal["whole", "bacon", "sausage", "fish"]

#: A blend with more nitrite than this isn't curing salt for a kitchen.
MOST_NITRITE_PCT = 10.0
LEAST_NITRITE_PCT = 0.05
#: What keep-refrigerated cured products hold at least, by the handbook's policy.
LEAST_PPM = 120.0
_MAX_KG = 5000.0
_NITRITE = between("nitrite", 0.0, _MAX_KG, "kg")
_MEAT = between("meat", 0.001, _MAX_KG, "kg")
_PICKLE = between("pickle", 0.001, _MAX_KG, "kg")


class CureMismatch(ValueError):
    """This product isn't cured by this method, so no limit is published for the pair."""

    def __init__(self, product: Product, method: Method) -> None:
        self.product, self.method = product, method
        super().__init__(f"no limit for {product} by {method}")


@dataclass(frozen=True, slots=True)
class Limit:
    """The most nitrite that may go in [ppm], and who published it.

    `is_finished` where the rule speaks of what is found in the finished food instead.
    """

    ppm: float
    source: str
    is_finished: bool = False


_HANDBOOK = "USDA FSIS 7620.3 (1995)"
_BACON = "USDA FSIS, Bacon and Food Safety"
_FISH = "Code of Maine Rules ch. 359"

_LIMITS: dict[tuple[Product, Method], Limit] = {
    ("whole", "dry"): Limit(625.0, _HANDBOOK),
    ("whole", "pumped"): Limit(200.0, _HANDBOOK),
    ("whole", "immersion_one"): Limit(200.0, _HANDBOOK),
    ("whole", "immersion_two"): Limit(200.0, _HANDBOOK),
    ("sausage", "comminuted"): Limit(156.0, _HANDBOOK),
    ("bacon", "dry"): Limit(200.0, _BACON),
    ("bacon", "pumped"): Limit(120.0, _BACON),
    ("bacon", "immersion_one"): Limit(120.0, _BACON),
    ("bacon", "immersion_two"): Limit(120.0, _BACON),
    ("fish", "dry"): Limit(200.0, _FISH, is_finished=True),
    ("fish", "immersion_one"): Limit(200.0, _FISH, is_finished=True),
    ("fish", "immersion_two"): Limit(200.0, _FISH, is_finished=True),
}


def limit(product: Product, method: Method, *, rind_on: bool = False) -> Limit:
    """The limit for this product by this method; bacon with its rind on has a tenth less.

    Raises CureMismatch where none is published.
    """
    found = _LIMITS.get((product, method))
    if found is None:
        raise CureMismatch(product, method)
    if rind_on and product == "bacon":
        return Limit(found.ppm * 0.9, found.source)
    return found


def methods_for(product: Product) -> tuple[Method, ...]:
    """The methods for which this product has a limit."""
    return tuple(method for of, method in _LIMITS if of == product)


@refuses(
    cure_kg=between("curing salt", 0.0, _MAX_KG, "kg"),
    nitrite_pct=between("nitrite in the curing salt", LEAST_NITRITE_PCT, MOST_NITRITE_PCT, "%"),
)
def nitrite_kg(cure_kg: float, nitrite_pct: float) -> float:
    """Sodium nitrite [kg] in this much curing salt; the label says how much is in it."""
    return cure_kg * nitrite_pct / 100.0


@refuses(nitrite_kg=_NITRITE, meat_kg=_MEAT)
def rubbed_ppm(nitrite_kg: float, meat_kg: float) -> float:
    """Dry cured or ground with: nitrite over meat."""
    return nitrite_kg / meat_kg * 1e6


@refuses(
    nitrite_kg=_NITRITE,
    pickle_kg=_PICKLE,
    pickup_pct=between("pumped or picked up", 0.1, 100.0, "%"),
)
def pickup_ppm(nitrite_kg: float, pickle_kg: float, pickup_pct: float) -> float:
    """Pumped, or immersed by Method One: the pickle's nitrite that the meat takes up.

    `pickle_kg` is all of the pickle (water, salt, sugar, curing salt), not its water alone;
    `pickup_pct` is what the meat gains, in percent of its green weight, as pumped or as measured.
    """
    _part_of(nitrite_kg, pickle_kg)
    return nitrite_kg * pickup_pct / 100.0 / pickle_kg * 1e6


@refuses(
    nitrite_kg=_NITRITE,
    pickle_kg=_PICKLE,
    meat_kg=_MEAT,
)
def immersed_ppm(nitrite_kg: float, pickle_kg: float, meat_kg: float) -> float:
    """Immersed by Method Two: all the nitrite over meat and pickle, as when both have become even."""
    _part_of(nitrite_kg, pickle_kg)
    return nitrite_kg / (meat_kg + pickle_kg) * 1e6


@refuses(nitrite_kg=_NITRITE, meat_kg=_MEAT, pickle_kg=NOT_BELOW_ZERO)
def ingoing_ppm(
    method: Method,
    nitrite_kg: float,
    meat_kg: float,
    pickle_kg: float = 0.0,
    pickup_pct: float | None = None,
) -> float:
    """Ingoing nitrite [ppm of green weight] by `method`. Raises OutOfRange for what it lacks."""
    if method in ("dry", "comminuted"):
        return rubbed_ppm(nitrite_kg, meat_kg)
    if method == "immersion_two":
        return immersed_ppm(nitrite_kg, pickle_kg, meat_kg)
    if pickup_pct is None:
        raise OutOfRange("pumped or picked up", 0.0, 0.1, 100.0, "%")
    return pickup_ppm(nitrite_kg, pickle_kg, pickup_pct)


@refuses(
    rest_kg=between("rest of the pickle", 0.0, _MAX_KG, "kg"),
    most_ppm=between("limit", 1.0, 1000.0, "ppm"),
    meat_kg=_MEAT,
)
def most_cure_kg(
    most_ppm: float,
    method: Method,
    nitrite_pct: float,
    meat_kg: float,
    rest_kg: float = 0.0,
    pickup_pct: float | None = None,
) -> float:
    """Curing salt [kg] that comes to `most_ppm` with everything else as it is.

    `rest_kg` is the pickle without its curing salt: less of it makes a lighter pickle. Infinite where
    no amount comes to that much.
    """
    share = nitrite_kg(1.0, nitrite_pct)
    most = most_ppm * 1e-6
    if method in ("dry", "comminuted"):
        return most * meat_kg / share
    if method == "immersion_two":
        base_kg = meat_kg + rest_kg
    else:
        if pickup_pct is None:
            raise OutOfRange("pumped or picked up", 0.0, 0.1, 100.0, "%")
        share *= within("pumped or picked up", pickup_pct, 0.1, 100.0, "%") / 100.0
        base_kg = rest_kg
    return most * base_kg / (share - most) if share > most else math.inf


def _part_of(nitrite_kg: float, pickle_kg: float) -> None:
    if nitrite_kg > pickle_kg:
        raise OutOfRange("nitrite", nitrite_kg, 0.0, pickle_kg, "kg, what the pickle weighs")
