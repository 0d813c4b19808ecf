"""What the air feels like: wind chill, heat index, apparent temperature; dew point; wind force.

Each holds only within the range that its publisher states, and answers None outside it: a number
carried past its range would look as good as one within. What is no number at all is a ValueError.
"""

from __future__ import annotations

import bisect
import math
from dataclasses import dataclass
from typing import Literal

from smokejournal.science.air.humid_air import dew_point_of_c, vapour_pa
from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.numbers.refusals import between, refuses
from smokejournal.science.numbers.units import M_S_PER_MPH, c_from_f, f_from_c

WIND_CHILL_HIGHEST_F = 50.0
WIND_CHILL_LEAST_MPH = 3.0
HEAT_INDEX_LOWEST_F = 80.0
HEAT_INDEX_HIGHEST_F = 112.0
HEAT_INDEX_BEYOND_CHART_F = 137.5
APPARENT_AIR_C = (-5.0, 45.0)
APPARENT_WIND_M_S = 10.0
#: The highest wind [m/s] of each force from 0 to 11.
_BEAUFORT_TO_M_S = (0.2, 1.5, 3.3, 5.4, 7.9, 10.7, 13.8, 17.1, 20.7, 24.4, 28.4, 32.6)

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


@refuses()
def wind_chill_c(air_c: float, wind_m_s: float) -> float | None:
    """Wind chill temperature [°C] of air [°C] in wind [m/s, at 10 m]; None outside its range.

    Defined for air at or below 50 °F (10 °C) and wind of 3 mph (1.3 m/s) or more.

    Source: US National Weather Service, Wind Chill Chart, effective 1 November 2001:
    35.74 + 0.6215 T - 35.75 V^0.16 + 0.4275 T V^0.16 with T in °F and V in mph.
    """
    air_f, wind_mph = f_from_c(air_c), wind_m_s / M_S_PER_MPH
    if air_f > WIND_CHILL_HIGHEST_F + _SLACK or wind_mph < WIND_CHILL_LEAST_MPH - _SLACK:
        return None
    power = wind_mph**0.16
    return c_from_f(35.74 + 0.6215 * air_f - 35.75 * power + 0.4275 * air_f * power)


@refuses()
def heat_index_c(air_c: float, humidity_pct: float) -> float | None:
    """Heat index [°C] in the shade of air [°C] at a relative humidity [%]; None outside its range.

    Defined from 80 °F; the low-humidity adjustment ends at 112 °F and the published chart at 137 °F
    of heat index, so nothing is given beyond either.

    Source: US National Weather Service, Weather Prediction Center, The Heat Index Equation: the
    simple formula averaged with the air temperature; from 80 °F of that on, Rothfusz's regression
    (technical attachment SR 90-23, 1990) with its two adjustments.
    """
    if not 0.0 <= humidity_pct <= 100.0:
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


@refuses()
def dew_point_c(air_c: float, humidity_pct: float) -> float | None:
    """Dew point over water [°C] of air [°C] at a relative humidity [%]; None outside its range.

    Defined for air from -40 to 60 °C, down to -70 °C. Below 0 °C it stays the one over water, as weather stations report it.
    The same as in `humid_air`, for those who have no number to show where there is none.
    """
    try:
        dew_c = dew_point_of_c(vapour_pa(air_c, humidity_pct))
    except OutOfRange:
        return None
    return None if dew_c is None else min(air_c, dew_c)


@refuses()
def apparent_temperature_c(air_c: float, humidity_pct: float, wind_m_s: float) -> float | None:
    """Apparent temperature [°C] in the shade; None outside its range.

    `wind_m_s` is that at 10 m, as stations report it. Given for air from -5 to 45 °C and wind up to
    10 m/s: what it was checked in. The publisher states no range on the page that was read, and a
    line that is straight in the wind means nothing in a storm.

    Source: Australian Bureau of Meteorology, Thermal Comfort Observations, after Steadman (1994):
    T + 0.33 e - 0.70 v - 4.00 with e = rh/100 * 6.105 exp(17.27 T/(237.7 + T)) in hPa. The vapour
    pressure is the publisher's own, which belongs to the definition.
    """
    low_c, high_c = APPARENT_AIR_C
    inside = low_c <= air_c <= high_c and 0.0 <= humidity_pct <= 100.0
    if not (inside and 0.0 <= wind_m_s <= APPARENT_WIND_M_S):
        return None
    vapour_hpa = humidity_pct / 100.0 * 6.105 * math.exp(17.27 * air_c / (237.7 + air_c))
    return air_c + 0.33 * vapour_hpa - 0.70 * wind_m_s - 4.00


@refuses(wind_m_s=between("wind", 0.0, 150.0, "m/s"))
def beaufort(wind_m_s: float) -> int:
    """Wind force on the Beaufort scale, 0 to 12, of a mean wind [m/s at 10 m]; OutOfRange below 0.

    Source: WMO-No. 306, Manual on Codes, volume I.1, section E, column of meters per second, which is
    printed to 0.1 m/s: the number is rounded to that first. The column of knots beside it puts 16, 21
    and 27 knots one force lower.
    """
    return bisect.bisect_left(_BEAUFORT_TO_M_S, round(wind_m_s, 1))


@refuses()
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
