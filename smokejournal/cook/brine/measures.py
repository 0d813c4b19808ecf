"""Measures of the kitchen: US volumes, metric volumes, masses, and things that are counted.

Volumes are US customary (21 CFR 101.9 has rounded ones for labels, which aren't meant here).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from smokejournal.cook.text.numbers import QuantityError, fmt, number_and_unit
from smokejournal.cook.text.quantities import within
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.units import KG_PER_LB, L_PER_US_GALLON

Dimension = Literal["volume", "mass", "count", "loose"]


@dataclass(frozen=True, slots=True)
class Unit:
    """`size` is litres, kilograms, or 1 for what is counted."""

    key: str
    dimension: Dimension
    size: float
    names: tuple[str, ...]

    @property
    def is_metric(self) -> bool:
        """True for grams, litres and what is made of them."""
        return self.key in ("mL", "cL", "dL", "L", "mg", "g", "kg")


_CUP_L = L_PER_US_GALLON / 16

UNITS: tuple[Unit, ...] = (
    Unit("tsp", "volume", _CUP_L / 48, ("tsp", "tsps", "teaspoon", "teaspoons")),
    Unit(
        "tbsp",
        "volume",
        _CUP_L / 16,
        ("tbsp", "tbsps", "tbs", "tblsp", "tbl", "tablespoon", "tablespoons"),
    ),
    Unit(
        "fl oz",
        "volume",
        _CUP_L / 8,
        ("fl oz", "fl. oz", "floz", "fluid ounce", "fluid ounces", "fluid oz"),
    ),
    Unit("cup", "volume", _CUP_L, ("cup", "cups")),
    Unit("pt", "volume", 2 * _CUP_L, ("pt", "pts", "pint", "pints")),
    Unit("qt", "volume", 4 * _CUP_L, ("qt", "qts", "quart", "quarts")),
    Unit("gal", "volume", L_PER_US_GALLON, ("gal", "gals", "gallon", "gallons")),
    Unit(
        "mL",
        "volume",
        0.001,
        ("ml", "cc", "milliliter", "milliliters", "millilitre", "millilitres"),
    ),
    Unit("cL", "volume", 0.01, ("cl", "centiliter", "centilitre")),
    Unit("dL", "volume", 0.1, ("dl", "deciliter", "decilitre")),
    Unit("L", "volume", 1.0, ("l", "liter", "liters", "litre", "litres")),
    Unit("mg", "mass", 1e-6, ("mg", "milligram", "milligrams")),
    Unit("g", "mass", 0.001, ("g", "gr", "gm", "gram", "grams", "gramme", "grammes")),
    Unit("kg", "mass", 1.0, ("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms")),
    Unit("oz", "mass", KG_PER_LB / 16, ("oz", "ozs", "ounce", "ounces")),
    Unit("lb", "mass", KG_PER_LB, ("lb", "lbs", "pound", "pounds")),
    Unit("clove", "count", 1.0, ("clove", "cloves")),
    Unit("sprig", "count", 1.0, ("sprig", "sprigs")),
    Unit("leaf", "count", 1.0, ("leaf", "leaves")),
    Unit("stick", "count", 1.0, ("stick", "sticks")),
    Unit("bag", "count", 1.0, ("bag", "bags")),
    Unit("pinch", "loose", 1.0, ("pinch", "pinches")),
    Unit("dash", "loose", 1.0, ("dash", "dashes")),
    Unit("handful", "loose", 1.0, ("handful", "handfuls")),
    Unit("bunch", "loose", 1.0, ("bunch", "bunches")),
)
PIECES = Unit("", "count", 1.0, ())
BY_NAME: dict[str, Unit] = {name: unit for unit in UNITS for name in unit.names}
_BY_KEY: dict[str, Unit] = {unit.key: unit for unit in UNITS}
# A capital T is a tablespoon, a small one a teaspoon: only these two go by their size.
_SINGLE = {"T": _BY_KEY["tbsp"], "t": _BY_KEY["tsp"], "c": _BY_KEY["cup"], "C": _BY_KEY["cup"]}

UNIT_PATTERN = (
    "(?:"
    + "|".join(re.escape(name) for name in sorted(BY_NAME, key=len, reverse=True))
    + r"|(?-i:[TtcC])|#)(?![^\W_])\.?"
)
"""Matches a unit, its full stop with it. To be compiled with re.IGNORECASE."""


def unit_of(text: str) -> Unit | None:
    """The unit that is written so."""
    name = text.strip().rstrip(".")
    if name == "#":
        return _BY_KEY["lb"]
    return _SINGLE.get(name) or BY_NAME.get(name.lower())


def parse_volume(
    text: str, metric: bool, field: str, low_l: float = 0.05, high_l: float = 2000.0
) -> float:
    """Litres of "12", "12 L" or "3 gal". A bare number is litres, or US quarts."""
    wanted = translate("Quantities", "a volume from {low} to {high}, for example {a} or {b}")
    wanted = wanted.format(
        low=volume(low_l, metric), high=volume(high_l, metric), a="8 L", b="2 gal"
    )
    value, name = number_and_unit(text, field, wanted)
    unit = unit_of(name) if name else _BY_KEY["L" if metric else "qt"]
    if unit is None or unit.dimension != "volume":
        raise QuantityError(field, wanted)
    return within(value * unit.size, low_l, high_l, field, wanted)


def volume(volume_l: float, metric: bool) -> str:
    """ "3.8 L" or "4 qt"; below a litre or a quart "250 mL" or "8.5 fl oz"."""
    if metric:
        if volume_l < 0.9995:
            return f"{fmt(volume_l * 1000, 0)} mL"
        return f"{fmt(volume_l, 1 if volume_l >= 10 else 2, trim=True)} L"
    quarts = volume_l / _BY_KEY["qt"].size
    if quarts < 1:
        return f"{fmt(volume_l / _BY_KEY['fl oz'].size, 1, trim=True)} fl oz"
    return f"{fmt(quarts, 2 if quarts < 10 else 1, trim=True)} qt"
