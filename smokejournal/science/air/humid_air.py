"""Moist air: what follows from its temperature, how damp it is, and the pressure where one stands.

Vapour pressure comes from `wetbulb.saturation_pa` (Wagner and Pruss), the program's only formula for
it. PsychroLib, which gives all of this too, is not used: it is published as source only, and the
program installs nothing that has to be built. It and the tables of the ASHRAE Handbook of
Fundamentals (2017), chapter 1, are what these functions are checked against.

The air is that of weather, from -40 to 60 °C. Below 0 °C humidity and dew point are those over water,
as weather stations report them.
"""

from __future__ import annotations

from dataclasses import dataclass

from smokejournal.science.air.boiling import PRESSURE_HPA
from smokejournal.science.air.wetbulb import saturation_pa
from smokejournal.science.numbers.ranges import OutOfRange, within
from smokejournal.science.numbers.refusals import NOT_BELOW_ZERO, between, refuses
from smokejournal.science.numbers.units import ZERO_C_IN_K

AIR_C = (-40.0, 60.0)
#: Drier than this is drier than any weather; a dew point of nothing at all has no number.
HUMIDITY_PCT = (0.1, 100.0)
DEW_POINT_LOWEST_C = -70.0

_AIR = between("air", *AIR_C, "°C")
_HUMIDITY = between("humidity", *HUMIDITY_PCT, "%")

GAS_DRY_AIR_J_KGK = 287.042
#: Molar mass of water over that of dry air: 18.015268 over 28.966 (ASHRAE 2017, chapter 1).
VAPOUR_TO_AIR = 0.621945


@dataclass(frozen=True, slots=True)
class HumidAir:
    """Moist air. `wet_bulb_c` is None where the bulb would be iced, which has other values;
    `dew_point_c` is None below -70 °C, where air is drier than any weather's.

    `humidity_ratio` is kg of vapour to a kg of dry air; `density_kg_m3` that of both together.
    """

    air_c: float
    humidity_pct: float
    pressure_hpa: float
    dew_point_c: float | None
    wet_bulb_c: float | None
    humidity_ratio: float
    density_kg_m3: float


@refuses(air_c=_AIR, humidity_pct=_HUMIDITY)
def vapour_pa(air_c: float, humidity_pct: float) -> float:
    """Partial pressure of vapour [Pa] in air [°C] at a relative humidity [%]; OutOfRange outside."""
    return saturation_pa(air_c) * humidity_pct / 100.0


@refuses()
def dew_point_of_c(vapour: float) -> float | None:
    """The temperature [°C] at which vapour of this pressure [Pa] is saturated, to 1e-6 K.

    Found by halving; None where it is not between -70 and 60 °C.
    """
    low_c, high_c = DEW_POINT_LOWEST_C, AIR_C[1] + 1e-3
    if not saturation_pa(low_c) <= vapour <= saturation_pa(high_c):
        return None
    while high_c - low_c > 1e-6:
        middle_c = 0.5 * (low_c + high_c)
        if saturation_pa(middle_c) < vapour:
            low_c = middle_c
        else:
            high_c = middle_c
    return high_c


@refuses(air_c=_AIR)
def humidity_of_pct(air_c: float, dew_point_c: float) -> float:
    """Relative humidity [%] of air [°C] with a dew point [°C], which can't be above the air.

    OutOfRange outside -40 to 60 °C of air and -70 °C to the air's own temperature of dew point.
    """
    within("dew point", dew_point_c, DEW_POINT_LOWEST_C, air_c, "°C", argument="dew_point_c")
    return 100.0 * saturation_pa(dew_point_c) / saturation_pa(air_c)


@refuses(vapour=NOT_BELOW_ZERO)
def humidity_ratio_of(vapour: float, pressure_pa: float) -> float:
    """Vapour to dry air by mass, from the vapour's pressure and that of the whole [Pa].

    Source: ASHRAE Fundamentals (2017), chapter 1, equation 20.
    """
    if not 0.0 <= vapour < pressure_pa:
        raise OutOfRange("vapour pressure", vapour, 0.0, pressure_pa, "Pa")
    return VAPOUR_TO_AIR * vapour / (pressure_pa - vapour)


@refuses(ratio=NOT_BELOW_ZERO)
def wet_bulb_c(air_c: float, ratio: float, pressure_pa: float) -> float | None:
    """Thermodynamic wet-bulb temperature [°C], to 1e-4 K; None where it is below 0 °C.

    Source: ASHRAE Fundamentals (2017), chapter 1, equation 33, solved by halving.
    """

    def ratio_at(bulb_c: float) -> float:
        saturated = humidity_ratio_of(saturation_pa(bulb_c), pressure_pa)
        wet = (2501.0 - 2.326 * bulb_c) * saturated - 1.006 * (air_c - bulb_c)
        return wet / (2501.0 + 1.86 * air_c - 4.186 * bulb_c)

    low_c, high_c = 0.0, air_c
    # Saturated air at 0 °C is there but for a rounding.
    if air_c < 0.0 or ratio_at(low_c) > ratio * (1.0 + 1e-12):
        return None
    while high_c - low_c > 1e-4:
        middle_c = 0.5 * (low_c + high_c)
        if ratio_at(middle_c) > ratio:
            high_c = middle_c
        else:
            low_c = middle_c
    return high_c


@refuses(air_c=_AIR, humidity_pct=_HUMIDITY, pressure_hpa=between("pressure", *PRESSURE_HPA, "hPa"))
def humid_air(air_c: float, humidity_pct: float, pressure_hpa: float) -> HumidAir:
    """Everything about air [°C] at a relative humidity [%] and the pressure where it is [hPa].

    OutOfRange names what is outside: air from -40 to 60 °C, humidity from 0.1 to 100 %, pressure from
    400 to 1100 hPa. The air counts as ideal, which ASHRAE's tables show to cost 0.7 % of the humidity
    ratio at most in this range.
    """
    vapour = vapour_pa(air_c, humidity_pct)
    pressure_pa = pressure_hpa * 100.0
    ratio = humidity_ratio_of(vapour, pressure_pa)
    # ASHRAE Fundamentals (2017), chapter 1, equations 26 and 11.
    volume = GAS_DRY_AIR_J_KGK * (air_c + ZERO_C_IN_K) * (1.0 + 1.607858 * ratio) / pressure_pa
    dew_c = dew_point_of_c(vapour)
    return HumidAir(
        air_c=air_c,
        humidity_pct=humidity_pct,
        pressure_hpa=pressure_hpa,
        dew_point_c=None if dew_c is None else min(air_c, dew_c),
        wet_bulb_c=wet_bulb_c(air_c, ratio, pressure_pa),
        humidity_ratio=ratio,
        density_kg_m3=(1.0 + ratio) / volume,
    )
