"""Thermocouples of types K, J and T: voltage to temperature and back, on the scale of 1990 (ITS-90).

The reference functions come from the package thermocouple-its90, which carries NIST's own
coefficients (Standard Reference Database 60; Monograph 175) and inverts the exact function by
iteration. The published inverse polynomials are only good to some 0.05 °C and are not used.

A thermocouple measures a difference. What the hot end is at follows from the measured voltage plus
the voltage that belongs to the temperature of the cold junction; adding the cold junction's
temperature to a temperature looked up for the bare voltage is wrong by up to a few degrees.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Literal, get_args

from smokejournal.science.numbers.ranges import OutOfRange, within
from smokejournal.science.numbers.refusals import between, refuses

if TYPE_CHECKING:
    from thermocouple_its90 import Thermocouple

ThermocoupleType = Literal["K", "J", "T"]
THERMOCOUPLE_TYPES: tuple[ThermocoupleType, ...] = get_args(ThermocoupleType)

#: The range in which cold junctions are believed [°C]: instruments stand where people can.
COLD_C = (-40.0, 100.0)


@cache
def _function(kind: ThermocoupleType) -> Thermocouple:
    # Imported when first needed: it takes as long as a few frames.
    from thermocouple_its90 import get

    if kind not in THERMOCOUPLE_TYPES:
        raise ValueError(f"type: one of {', '.join(THERMOCOUPLE_TYPES)}, not {kind}")
    return get(kind)


def range_c(kind: ThermocoupleType) -> tuple[float, float]:
    """The range [°C] for which the type's reference function is defined."""
    return _function(kind).range


@refuses(hot_c=None, cold_c=between("cold junction", *COLD_C, "°C"))
def emf_mv(kind: ThermocoupleType, hot_c: float, cold_c: float = 0.0) -> float:
    """The voltage [mV] between a hot end [°C] and a cold junction [°C].

    OutOfRange where a temperature lies outside the type's range. Checked against NIST's tables.
    """
    within("hot end", hot_c, *range_c(kind), "°C", argument="hot_c")
    return _function(kind).emf(hot_c, cold_c)


@refuses(measured_mv=None, cold_c=between("cold junction", *COLD_C, "°C"))
def temperature_c(kind: ThermocoupleType, measured_mv: float, cold_c: float = 0.0) -> float:
    """The temperature [°C] of the hot end that gives `measured_mv` [mV] over a cold junction [°C].

    OutOfRange where no temperature within the type's range gives this voltage.
    """
    function = _function(kind)
    at_cold_mv = function.emf(cold_c)
    low, high = function.invertible_emf_range
    if not low - at_cold_mv <= measured_mv <= high - at_cold_mv:
        low, high = low - at_cold_mv, high - at_cold_mv
        raise OutOfRange("voltage", measured_mv, low, high, "mV", argument="measured_mv")
    return function.temperature(measured_mv, cold_c)
