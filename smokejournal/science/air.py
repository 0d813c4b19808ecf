"""What the air feels like: wind chill, heat index, dew point.

Each holds only within the range that its publisher states, and answers None outside it: a number
carried past its range would look as good as one within.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from smokejournal.science.units import M_S_PER_MPH, c_from_f, f_from_c

WIND_CHILL_HIGHEST_F = 50.0
WIND_CHILL_LEAST_MPH = 3.0
HEAT_INDEX_LOWEST_F = 80.0
HEAT_INDEX_HIGHEST_F = 112.0
HEAT_INDEX_BEYOND_CHART_F = 137.5
DEW_POINT_RANGE_C = (-40.0, 50.0)

Felt = Literal["wind_chill", "heat_index", "none"]
WhyNot = Literal["", "no_air", "no_wind", "no_humidity", "calm", "mild", "beyond"]

# A value typed in °C or m/s and turned into °F or mph may miss a bound by the last bit.
_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class FeelsLike:
    """What the air feels like [°C], and by which measure; `why` where there is no such number.

    "mild": neither measure is defined for this temperature. "calm": too little wind for wind chill.
    "beyond": hotter or damper than the published heat index goes.
    """

    value_c: float | None
    by: Felt = "none"
    why: WhyNot = ""


def wind_chill_c(air_c: float, wind_m_s: float) -> float | None:
    """Wind chill temperature [°C] of air [°C] in wind [m/s, at 10 m]; None outside its range.

    Defined for air at or below 50 °F (10 °C) and wind of 3 mph (1.3 m/s) or more.

    Source: US National Weather Service, Wind Chill Chart, effective 1 November 2001:
    35.74 + 0.6215 T - 35.75 V^0.16 + 0.4275 T V^0.16 with T in °F and V in mph.
    """
    if not (math.isfinite(air_c) and math.isfinite(wind_m_s)):
        return None
    air_f, wind_mph = f_from_c(air_c), wind_m_s / M_S_PER_MPH
    if air_f > WIND_CHILL_HIGHEST_F + _SLACK or wind_mph < WIND_CHILL_LEAST_MPH - _SLACK:
        return None
    power = wind_mph**0.16
    return c_from_f(35.74 + 0.6215 * air_f - 35.75 * power + 0.4275 * air_f * power)


def heat_index_c(air_c: float, humidity_pct: float) -> float | None:
    """Heat index [°C] in the shade of air [°C] at a relative humidity [%]; None outside its range.

    Defined from 80 °F; the low-humidity adjustment ends at 112 °F and the published chart at 137 °F
    of heat index, so nothing is given beyond either.

    Source: US National Weather Service, Weather Prediction Center, The Heat Index Equation: the
    simple formula averaged with the air temperature; from 80 °F of that on, Rothfusz's regression
    (technical attachment SR 90-23, 1990) with its two adjustments.
    """
    if not (math.isfinite(air_c) and 0.0 <= humidity_pct <= 100.0):
        return None
    t, rh = f_from_c(air_c), humidity_pct
    if not HEAT_INDEX_LOWEST_F - _SLACK <= t <= HEAT_INDEX_HIGHEST_F + _SLACK:
        return None
    simple = (0.5 * (t + 61.0 + (t - 68.0) * 1.2 + rh * 0.094) + t) / 2.0
    if simple < 80.0:
        return c_from_f(simple)
    index = (
        -42.379
        + 2.04901523 * t
        + 10.14333127 * rh
        - 0.22475541 * t * rh
        - 0.00683783 * t * t
        - 0.05481717 * rh * rh
        + 0.00122874 * t * t * rh
        + 0.00085282 * t * rh * rh
        - 0.00000199 * t * t * rh * rh
    )
    if rh < 13.0:
        index -= (13.0 - rh) / 4.0 * math.sqrt(max(0.0, 17.0 - abs(t - 95.0)) / 17.0)
    elif rh > 85.0 and t <= 87.0:
        index += (rh - 85.0) / 10.0 * (87.0 - t) / 5.0
    return None if index > HEAT_INDEX_BEYOND_CHART_F else c_from_f(index)


def dew_point_c(air_c: float, humidity_pct: float) -> float | None:
    """Dew point over water [°C] of air [°C] at a relative humidity [%]; None outside its range.

    Defined from -40 to 50 °C. Below 0 °C it stays the one over water, as weather stations report it.

    Source: Alduchov and Eskridge, Improved Magnus form approximation of saturation vapor pressure,
    Journal of Applied Meteorology 35 (1996): 17.625 and 243.04 °C.
    """
    low_c, high_c = DEW_POINT_RANGE_C
    if not (low_c <= air_c <= high_c and 0.0 < humidity_pct <= 100.0):
        return None
    gamma = math.log(humidity_pct / 100.0) + 17.625 * air_c / (243.04 + air_c)
    return 243.04 * gamma / (17.625 - gamma)


def feels_like(
    air_c: float | None, wind_m_s: float | None = None, humidity_pct: float | None = None
) -> FeelsLike:
    """What applies of wind chill and heat index, and the reason where neither does.

    Each argument is None where it was not seen.
    """
    if air_c is None:
        return FeelsLike(None, why="no_air")
    air_f = f_from_c(air_c)
    if air_f <= WIND_CHILL_HIGHEST_F + _SLACK:
        if wind_m_s is None:
            return FeelsLike(None, why="no_wind")
        chill_c = wind_chill_c(air_c, wind_m_s)
        return FeelsLike(None, why="calm") if chill_c is None else FeelsLike(chill_c, "wind_chill")
    if air_f >= HEAT_INDEX_LOWEST_F - _SLACK:
        if humidity_pct is None:
            return FeelsLike(None, why="no_humidity")
        index_c = heat_index_c(air_c, humidity_pct)
        return (
            FeelsLike(None, why="beyond") if index_c is None else FeelsLike(index_c, "heat_index")
        )
    return FeelsLike(None, why="mild")
