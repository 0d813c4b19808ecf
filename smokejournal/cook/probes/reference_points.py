"""Where a temperature is known: ice water and boiling water, and how well."""

from __future__ import annotations

import math
from dataclasses import dataclass

from smokejournal.cook.text.altitude import altitude
from smokejournal.cook.text.quantities import Units, pressure, temperature, temperature_step
from smokejournal.cook.text.translate import translate
from smokejournal.science.air import boiling
from smokejournal.science.probes.calibration import BOIL_SD_K, COVERAGE, ICE_C, ICE_SD_K

PRESSURE_SD_HPA = 1.0
"""How well a pressure is known that was read off or typed. Our own judgment."""


@dataclass(frozen=True, slots=True)
class Reference:
    """A known temperature [°C], its standard uncertainty [K], and the pressure it was found by."""

    temperature_c: float
    sd_k: float
    pressure_hpa: float | None = None


def ice() -> Reference:
    """Well stirred ice water."""
    return Reference(ICE_C, ICE_SD_K)


def boiling_water(
    altitude_m: float | None, pressure_hpa: float | None, *, at_sea: bool
) -> Reference:
    """Water at a rolling boil, by what is known of the place; OutOfRange else.

    `pressure_hpa` is the pressure there, or with `at_sea` that of a weather report, which needs the
    altitude as well. The altitude alone gives the pressure of an average day. BoilingUnknown where
    water properties are missing.
    """
    sd_hpa = PRESSURE_SD_HPA
    if pressure_hpa is None:
        here = boiling.standard_pressure_hpa(0.0 if altitude_m is None else altitude_m)
        sd_hpa = boiling.WEATHER_SD_HPA
    elif at_sea:
        here = boiling.station_pressure_hpa(pressure_hpa, altitude_m or 0.0)
    else:
        here = pressure_hpa
    slope = boiling.boiling_slope_k_per_hpa(here)
    sd_k = math.hypot(BOIL_SD_K, slope * sd_hpa)
    return Reference(boiling.boiling_point_c(here), sd_k, here)


def reference_words(found: Reference, altitude_m: float | None, units: Units) -> str:
    """ "Water boils at 98.2 °C ± 0.6 °C at 946 hPa"."""
    step = temperature_step(COVERAGE * found.sd_k, units)
    t = temperature(found.temperature_c, units, 1)
    if found.pressure_hpa is None:
        return translate("Reference", "Ice water is at {t} ± {step}").format(t=t, step=step)
    place = pressure(found.pressure_hpa, units)
    if altitude_m is not None:
        place = translate("Reference", "{pressure}, {altitude} up").format(
            pressure=place, altitude=altitude(altitude_m, units)
        )
    return translate("Reference", "Water boils here at {t} ± {step} ({place})").format(
        t=t, step=step, place=place
    )
