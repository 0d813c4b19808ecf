"""Altitudes as they are typed and shown: meters, or feet where lengths are in inches."""

from __future__ import annotations

from smokejournal.cook.text.numbers import fmt, number_and_unit
from smokejournal.cook.text.quantities import QuantityError, Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.air.boiling import ALTITUDE_M
from smokejournal.science.numbers.units import M_PER_INCH

M_PER_FT = 12 * M_PER_INCH
_UNITS = {"m": 1.0, "ft": M_PER_FT, "feet": M_PER_FT, "'": M_PER_FT}


def altitude_unit(units: Units) -> str:
    """ "m" or "ft"."""
    return "ft" if units.length == "in" else "m"


def altitude(altitude_m: float, units: Units) -> str:
    """ "350 m" or "1148 ft"."""
    unit = altitude_unit(units)
    return f"{fmt(altitude_m / _UNITS[unit], 0)} {unit}"


def parse_altitude(text: str, units: Units) -> float:
    """Altitude [m] of "350", "350 m" or "1150 ft"; QuantityError says the range and an example."""
    low, high = ALTITUDE_M
    wanted = translate("Quantities", "an altitude from {low} to {high}, for example {example}")
    wanted = wanted.format(
        low=altitude(low, units), high=altitude(high, units), example=altitude(350.0, units)
    )
    value, unit = number_and_unit(text, "", wanted)
    name = unit.lower() or altitude_unit(units)
    if name not in _UNITS or not low <= value * _UNITS[name] <= high:
        raise QuantityError("", wanted)
    return value * _UNITS[name]
