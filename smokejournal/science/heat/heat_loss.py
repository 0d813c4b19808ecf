"""The heat that a cooker loses, by its walls and by its exhaust, and the fuel that makes up for it.

Walls: heat goes from the air in the pit to the wall, through it, and from its outer side by natural
convection, wind and radiation. The temperature of the outer side is where both flows are equal.
Correlations, each by its name:

- natural convection: Churchill and Chu (1975), vertical plate (a box) and horizontal cylinder (a
  barrel);
- wind across a barrel: Churchill and Bernstein (1977); along the sides of a box: h = 2.8 + 3.0 V, as
  measured outdoors on flat collectors (Watmuff, Charters and Proctor 1977);
- both together: the cube root of the sum of cubes (Churchill 1977);
- radiation: Stefan and Boltzmann, to surroundings as warm as the air;
- air: viscosity and conductivity of the US Standard Atmosphere (1976), as an ideal gas.

Exhaust: dry air left over is warmed from outside to the pit's temperature.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from smokejournal.science.heat.fuel import PELLETS, WOOD, Wood, air_to_burn_kg_kg, net_mj_kg
from smokejournal.science.numbers.ranges import within
from smokejournal.science.numbers.refusals import (
    ABOVE_ZERO,
    NOT_BELOW_ZERO,
    NUMBER,
    Parts,
    between,
    refuses,
)
from smokejournal.science.numbers.units import ZERO_C_IN_K

Shape = Literal["box", "barrel"]

STEFAN_BOLTZMANN = 5.670374419e-8
GRAVITY = 9.80665
GAS_DRY_AIR = 287.05287
AIR_J_KGK = 1006.0
#: Flue gas is warmer in specific heat than air by its vapour and carbon dioxide: some 3 %.
FLUE_J_KGK = 1030.0
SEA_LEVEL_PA = 101_325.0

PIT_C = (20.0, 400.0)
AIR_C = (-60.0, 60.0)
WIND_M_S = (0.0, 60.0)
SIDE_M = (0.1, 5.0)


@dataclass(frozen=True, slots=True)
class Wall:
    """A wall. `resistance_m2k_w` is what it holds back itself: nothing for a single sheet.

    `inside_w_m2k` is the coefficient between the pit's air and the wall, `emissivity` that of its
    outer side.
    """

    resistance_m2k_w: float = 0.0
    inside_w_m2k: float = 12.0
    emissivity: float = 0.9


@dataclass(frozen=True, slots=True)
class Cooker:
    """The outside of a cooker [m]: a box, or a lying barrel whose `height_m` is its diameter.

    `excess_air` is the air that passes over the air that burning needs; `shelter` the share of the
    wind at 10 m that reaches the cooker.
    """

    shape: Shape = "box"
    length_m: float = 0.90
    depth_m: float = 0.50
    height_m: float = 0.50
    wall: Wall = field(default_factory=Wall)
    excess_air: float = 7.6
    shelter: float = 0.4


@dataclass(frozen=True, slots=True)
class AirProperties:
    """Of dry air: [W/m K], [m2/s], and Prandtl's number."""

    conductivity: float
    kinematic_viscosity: float
    prandtl: float


@dataclass(frozen=True, slots=True)
class Burn:
    """What a steady fire makes up for: [W] through the walls, [MJ] up the exhaust with each kg of
    fuel, the wall's outer side [°C], and the fuel [kg/h]."""

    wall_w: float
    exhaust_mj_kg: float
    skin_c: float
    rate_kg_h: float


#: A barrel's depth means nothing; `area_m2` looks at a box's.
_COOKER = Parts(
    length_m=between("length", *SIDE_M, "m"),
    height_m=between("height", *SIDE_M, "m"),
    depth_m=NUMBER,
    wall=Parts(resistance_m2k_w=NOT_BELOW_ZERO, inside_w_m2k=ABOVE_ZERO),
)


@refuses(temperature_c=between("temperature of the air", -100.0, 500.0, "°C"))
def air_properties(temperature_c: float, pressure_pa: float = SEA_LEVEL_PA) -> AirProperties:
    """Dry air at a temperature [°C] and pressure [Pa]; OutOfRange outside -100 to 500 °C.

    Source: US Standard Atmosphere (1976), equations 51 and 53.
    """
    kelvin = temperature_c + ZERO_C_IN_K
    viscosity = 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)
    conductivity = 2.64638e-3 * kelvin**1.5 / (kelvin + 245.4 * 10.0 ** (-12.0 / kelvin))
    density = pressure_pa / (GAS_DRY_AIR * kelvin)
    return AirProperties(conductivity, viscosity / density, AIR_J_KGK * viscosity / conductivity)


@refuses(rayleigh=NOT_BELOW_ZERO, prandtl=ABOVE_ZERO)
def nusselt_plate(rayleigh: float, prandtl: float) -> float:
    """Nusselt number of an upright plate in still air.

    Source: Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1323. Worked (Incropera and
    DeWitt, example 9.2): Gr 2.63e9, Pr 0.69 gives 147.
    """
    by_prandtl = (1.0 + (0.492 / prandtl) ** (9 / 16)) ** (8 / 27)
    return float((0.825 + 0.387 * rayleigh ** (1 / 6) / by_prandtl) ** 2)


@refuses(rayleigh=NOT_BELOW_ZERO, prandtl=ABOVE_ZERO)
def nusselt_lying_cylinder(rayleigh: float, prandtl: float) -> float:
    """Nusselt number of a lying cylinder in still air, up to a Rayleigh number of 1e12.

    Source: Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1049.
    """
    by_prandtl = (1.0 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)
    return float((0.60 + 0.387 * rayleigh ** (1 / 6) / by_prandtl) ** 2)


@refuses(reynolds=NOT_BELOW_ZERO, prandtl=ABOVE_ZERO)
def nusselt_cross_flow(reynolds: float, prandtl: float) -> float:
    """Nusselt number of a cylinder across the wind; for Re Pr above 0.2.

    Source: Churchill and Bernstein, J. Heat Transfer 99 (1977) 300. Worked (Incropera and DeWitt,
    example 7.4): Re 6071, Pr 0.70 gives 40.6.
    """
    body = (
        0.62 * math.sqrt(reynolds) * prandtl ** (1 / 3) / (1 + (0.4 / prandtl) ** (2 / 3)) ** 0.25
    )
    return float(0.3 + body * (1.0 + (reynolds / 282_000.0) ** 0.625) ** 0.8)


@refuses(cooker=_COOKER)
def area_m2(cooker: Cooker) -> float:
    """Outer surface [m2]; OutOfRange names a side that is no side of a cooker."""
    if cooker.shape == "barrel":
        return math.pi * cooker.height_m * (cooker.length_m + cooker.height_m / 2)
    within("depth", cooker.depth_m, *SIDE_M, "m", argument="cooker.depth_m")
    a, b, c = cooker.length_m, cooker.depth_m, cooker.height_m
    return 2.0 * (a * b + b * c + a * c)


@refuses(cooker=_COOKER, wind_m_s=NOT_BELOW_ZERO)
def outside_w_m2k(
    cooker: Cooker,
    skin_c: float,
    air_c: float,
    wind_m_s: float,
    pressure_pa: float = SEA_LEVEL_PA,
) -> float:
    """Coefficient [W/m2 K] between the outer side and the air, convection and radiation together.

    `wind_m_s` is the wind at the cooker.
    """
    return _outside_w_m2k(cooker, skin_c, air_c, wind_m_s, pressure_pa)


def _outside_w_m2k(
    cooker: Cooker, skin_c: float, air_c: float, wind_m_s: float, pressure_pa: float
) -> float:
    """`outside_w_m2k` for every try of `wall_loss`: the cooker isn't looked at again."""
    air = air_properties((skin_c + air_c) / 2, pressure_pa)
    size_m = cooker.height_m
    expansion = 1.0 / ((skin_c + air_c) / 2 + ZERO_C_IN_K)
    grashof = GRAVITY * expansion * abs(skin_c - air_c) * size_m**3 / air.kinematic_viscosity**2
    rayleigh = grashof * air.prandtl
    per_nusselt = air.conductivity / size_m
    if cooker.shape == "barrel":
        still = nusselt_lying_cylinder(rayleigh, air.prandtl) * per_nusselt
        reynolds = wind_m_s * size_m / air.kinematic_viscosity
        windy = 0.0
        if reynolds * air.prandtl > 0.2:
            windy = nusselt_cross_flow(reynolds, air.prandtl) * per_nusselt
    else:
        still = nusselt_plate(rayleigh, air.prandtl) * per_nusselt
        windy = 2.8 + 3.0 * wind_m_s if wind_m_s > 0.0 else 0.0
        # Below some tenths of a meter per second the line's 2.8 is natural convection's own.
        windy *= min(1.0, wind_m_s / 0.5)
    skin_k, air_k = skin_c + ZERO_C_IN_K, air_c + ZERO_C_IN_K
    radiation = (
        cooker.wall.emissivity * STEFAN_BOLTZMANN * (skin_k**2 + air_k**2) * (skin_k + air_k)
    )
    return float((still**3 + windy**3) ** (1 / 3) + radiation)


@refuses(
    cooker=_COOKER,
    pit_c=between("pit", *PIT_C, "°C"),
    air_c=between("air", *AIR_C, "°C"),
    wind_m_s=between("wind", *WIND_M_S, "m/s"),
)
def wall_loss(
    cooker: Cooker,
    pit_c: float,
    air_c: float,
    wind_m_s: float,
    pressure_pa: float = SEA_LEVEL_PA,
) -> tuple[float, float]:
    """Heat through the walls [W] and the temperature of their outer side [°C].

    `wind_m_s` is that of a weather report, at 10 m; the cooker's `shelter` brings it down. None of it
    flows where the pit is no warmer than the air.
    """
    area = area_m2(cooker)
    if pit_c <= air_c:
        return 0.0, air_c
    wind = wind_m_s * cooker.shelter
    inner = 1.0 / (1.0 / cooker.wall.inside_w_m2k + cooker.wall.resistance_m2k_w)
    low_c, high_c = air_c, pit_c
    while high_c - low_c > 1e-4:
        skin_c = 0.5 * (low_c + high_c)
        outer = _outside_w_m2k(cooker, skin_c, air_c, wind, pressure_pa)
        if outer * (skin_c - air_c) < inner * (pit_c - skin_c):
            low_c = skin_c
        else:
            high_c = skin_c
    return area * inner * (pit_c - high_c), high_c


@refuses(wood=WOOD, excess_air=between("excess air", 1.0, 30.0))
def exhaust_mj_kg(pit_c: float, air_c: float, excess_air: float, wood: Wood = PELLETS) -> float:
    """Heat [MJ] that goes up the exhaust with each kg of fuel: its gases, warmed from air to pit."""
    gases_kg = 1.0 + excess_air * air_to_burn_kg_kg(wood)
    return gases_kg * FLUE_J_KGK * max(0.0, pit_c - air_c) * 1e-6


@refuses(cooker=_COOKER, wood=WOOD)
def steady_burn(
    cooker: Cooker,
    pit_c: float,
    air_c: float,
    wind_m_s: float,
    wood: Wood = PELLETS,
    pressure_pa: float = SEA_LEVEL_PA,
) -> Burn:
    """The fire that holds `pit_c` [°C] in air [°C] and wind [m/s at 10 m].

    Food, lid and the first heating are not in it. OutOfRange where the exhaust would carry off all
    that the fuel gives: such a fire can't hold that temperature.
    """
    wall_w, skin_c = wall_loss(cooker, pit_c, air_c, wind_m_s, pressure_pa)
    exhaust = exhaust_mj_kg(pit_c, air_c, cooker.excess_air, wood)
    net = net_mj_kg(wood)
    within("heat up the exhaust", exhaust, 0.0, 0.9 * net, "MJ/kg")
    return Burn(wall_w, exhaust, skin_c, wall_w * 3600.0 / ((net - exhaust) * 1e6))
