"""Wet surfaces: how fast water leaves them, and how warm they stay while it does.

Heat and mass move through the same layer of air, so one coefficient gives the other (Lewis). The
form with the logarithm corrects for the vapour's own outward flow, which counts near boiling.
"""

from __future__ import annotations

import math

from smokejournal.science.numbers.refusals import NOT_BELOW_ZERO, refuses

#: Heat of evaporation [J/kg] near 70 °C (IAPWS-95: 2.333e6), taken as constant.
EVAPORATION_HEAT_J_KG = 2.33e6

#: Psychrometric constant [Pa/K] at sea level for warm moist air, by which Lewis' analogy turns a
#: heat transfer coefficient into one for vapour.
PSYCHROMETRIC_PA_K = 64.3

SEA_LEVEL_PA = 101_325.0

_CRITICAL_K = 647.096
_CRITICAL_PA = 22.064e6


@refuses()
def saturation_pa(temperature_c: float) -> float:
    """Pressure of saturated vapour over water [Pa] at `temperature_c` between -70 and 370 °C.

    Fitted above 0 °C; below it is that of undercooled water. ValueError outside.
    Source: Wagner and Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783, as in IAPWS SR1-86(1992).
    """
    kelvin = temperature_c + 273.15
    if not 200.0 < kelvin < _CRITICAL_K:
        raise ValueError(f"no saturated vapour pressure at {temperature_c} °C")
    t = 1.0 - kelvin / _CRITICAL_K
    half, cubed = math.sqrt(t), t * t * t
    total = (
        -7.85951783 * t
        + 1.84408259 * t * half
        - 11.7866497 * cubed
        + 22.6807411 * cubed * half
        - 15.9618719 * cubed * t
        + 1.80122502 * cubed * cubed * t * half
    )
    return _CRITICAL_PA * math.exp(_CRITICAL_K / kelvin * total)


@refuses(vapour_pa=NOT_BELOW_ZERO, convection_w_m2k=NOT_BELOW_ZERO)
def evaporation_kg_m2_s(
    surface_c: float,
    vapour_pa: float,
    convection_w_m2k: float,
    pressure_pa: float = SEA_LEVEL_PA,
) -> float:
    """Water leaving a wet surface [kg/m2 s]; negative where it condenses.

    `vapour_pa` is the partial pressure of vapour in the air, `convection_w_m2k` the part of the heat
    transfer coefficient that is convection, for radiation carries no vapour. Within a thousandth of
    boiling the flow is held at its value there: it is then ruled by heat, not by the air.
    """
    ceiling = 0.999 * pressure_pa
    at_surface = min(saturation_pa(surface_c), ceiling)
    driving = math.log((pressure_pa - min(vapour_pa, ceiling)) / (pressure_pa - at_surface))
    mass_flow = convection_w_m2k * pressure_pa * driving
    return mass_flow / (PSYCHROMETRIC_PA_K * EVAPORATION_HEAT_J_KG)


@refuses(vapour_pa=NOT_BELOW_ZERO, radiation_share=NOT_BELOW_ZERO)
def wet_surface_c(
    air_c: float,
    vapour_pa: float,
    radiation_share: float = 0.0,
    pressure_pa: float = SEA_LEVEL_PA,
) -> float:
    """Temperature [°C] of a surface that stays wet and takes no heat from within.

    `radiation_share` is the radiative coefficient over the convective one; with 0 this is the wet
    bulb. Found by halving, to a thousandth of a degree. In saturated air it is the air's own.
    """
    low, high = -60.0, air_c

    def surplus_w_m2(surface_c: float) -> float:
        lost = EVAPORATION_HEAT_J_KG * evaporation_kg_m2_s(surface_c, vapour_pa, 1.0, pressure_pa)
        return (1.0 + radiation_share) * (air_c - surface_c) - lost

    if surplus_w_m2(high) >= 0:
        return air_c
    while high - low > 0.001:
        middle = 0.5 * (low + high)
        if surplus_w_m2(middle) > 0:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


@refuses(diffusivity_m2_s=NOT_BELOW_ZERO)
def diffused_kg_m2(
    diffusivity_m2_s: float, from_s: float, to_s: float, water_kg_m3: float = 700.0
) -> float:
    """Water [kg/m2] that comes to a surface kept dry, by diffusion alone, between two times since
    drying began.

    For a body that is deep against sqrt(D t): flow = C sqrt(D / (pi t)). Source: Crank, The
    Mathematics of Diffusion, 2nd ed. (1975), 3.3. In meat D is of the order of 1e-10 m2/s.
    """
    if not 0.0 <= from_s <= to_s:
        raise ValueError("drying goes forward in time")
    return (
        2
        * water_kg_m3
        * math.sqrt(diffusivity_m2_s / math.pi)
        * (math.sqrt(to_s) - math.sqrt(from_s))
    )
