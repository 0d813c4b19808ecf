"""At what temperature water boils: by the pressure where one stands, or by altitude.

Water comes from the package seuif97 (the industrial formulation IAPWS-IF97, saturation line), which
loads in milliseconds. It is imported when first needed and is missing on few machines
(`BoilingUnknown` then says so, and a boiling point can still be typed).

What counts is the pressure at the station. A weather report gives it reduced to the sea, which is
higher: `station_pressure_hpa` takes it back.

Source of the atmosphere: ISO 2533:1975 (ICAO Doc 7488), 1013.25 hPa, 288.15 K, 6.5 K/km,
g/(R L) = 5.25588.
"""

from __future__ import annotations

from smokejournal.science.numbers.refusals import between, refuses

SEA_LEVEL_HPA = 1013.25
PRESSURE_HPA = (400.0, 1100.0)
ALTITUDE_M = (-430.0, 6000.0)
_LAPSE_PER_M = 0.0065 / 288.15
_POWER = 9.80665 / (287.05287 * 0.0065)

#: How far the pressure of a day lies from that of the standard atmosphere, as one standard deviation
#: [hPa]. Common practice, no source: highs and lows of temperate weather lie within some 25 hPa.
WEATHER_SD_HPA = 10.0


class BoilingUnknown(RuntimeError):
    """The package that knows water is not there for this machine."""


@refuses(pressure_hpa=between("pressure", *PRESSURE_HPA, "hPa"))
def boiling_point_c(pressure_hpa: float) -> float:
    """Boiling point [°C] of pure water at the pressure where it stands [hPa, not reduced to the sea].

    OutOfRange outside 400 to 1100 hPa. Checked against IAPWS-95 from 650 hPa to 1060 hPa.
    """
    try:
        from seuif97 import px2t
    except ImportError as missing:
        raise BoilingUnknown("water properties are not available on this machine") from missing
    return float(px2t(pressure_hpa * 1e-4, 0.0))


@refuses(pressure_hpa=between("pressure", *PRESSURE_HPA, "hPa"))
def boiling_slope_k_per_hpa(pressure_hpa: float) -> float:
    """By how much the boiling point rises with pressure [K/hPa]: 0.028 near the sea.

    OutOfRange outside 400 to 1100 hPa.
    """
    low = max(PRESSURE_HPA[0], pressure_hpa - 1.0)
    high = min(PRESSURE_HPA[1], pressure_hpa + 1.0)
    return (boiling_point_c(high) - boiling_point_c(low)) / (high - low)


@refuses(altitude_m=between("altitude", *ALTITUDE_M, "m"))
def standard_pressure_hpa(altitude_m: float) -> float:
    """Pressure [hPa] of the standard atmosphere at an altitude [m]; OutOfRange outside its own."""
    return float(SEA_LEVEL_HPA * (1.0 - _LAPSE_PER_M * altitude_m) ** _POWER)


@refuses(
    altitude_m=between("altitude", *ALTITUDE_M, "m"),
    sea_level_hpa=between("pressure at the sea", 850.0, 1100.0, "hPa"),
)
def station_pressure_hpa(sea_level_hpa: float, altitude_m: float) -> float:
    """Pressure [hPa] at an altitude [m] from that which a weather report reduces to the sea (QNH)."""
    there = (sea_level_hpa / SEA_LEVEL_HPA) ** (1.0 / _POWER) - _LAPSE_PER_M * altitude_m
    return float(SEA_LEVEL_HPA * there**_POWER)
