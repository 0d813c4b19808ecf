"""Density, specific heat and conductivity of unfrozen food from what it is made of.

Each part (water, protein, fat, carbohydrate, ash) has a polynomial in the temperature; parts add up by
mass (specific heat), by volume (density), and the conductivity lies between layers along the heat
(parallel) and across it (perpendicular). Source: Choi and Okos (1986) as the ASHRAE Handbook,
Refrigeration, chapter on thermal properties of foods, and CoolProp 8.0.0 give them. For the specific
heat of water copies differ: 4128.9 J/kgK at 0 °C there, 4176.2 in other copies of Choi and Okos; water
itself has 4217. The first is taken, as the tables to check with are made with it: it makes meat some 1 %
quicker to heat. Measured meat scatters by several percent about any of this; pores, bone and the
heat of melting fat are left out.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from smokejournal.science.forecast.values import Cut
from smokejournal.science.numbers.ranges import within
from smokejournal.science.numbers.refusals import between, refuses

FloatArray = NDArray[np.float64]

#: The polynomials hold up to 150 °C, and for water that is not ice.
TEMPERATURE_C = (0.0, 150.0)
#: How far printed shares may miss one by their rounding.
_ROUNDING = 0.005
#: Analyses of raw food, each part measured by itself, add up to 97 to 102 g in 100 g.
ANALYSIS_SUM_G = (95.0, 105.0)


class _Part(NamedTuple):
    """Coefficients of 1, t and t² (t in °C) for each quantity."""

    density_kg_m3: tuple[float, float, float]
    specific_heat_j_kgk: tuple[float, float, float]
    conductivity_w_mk: tuple[float, float, float]


_PARTS: dict[str, _Part] = {
    "water": _Part(
        (997.18, 3.1439e-3, -3.7574e-3),
        (4128.9, -9.0864e-2, 5.4731e-3),
        (0.57109, 1.7625e-3, -6.7036e-6),
    ),
    "protein": _Part(
        (1329.9, -0.51840, 0.0),
        (2008.2, 1.2089, -1.3129e-3),
        (0.17881, 1.1958e-3, -2.7178e-6),
    ),
    "fat": _Part(
        (925.59, -0.41757, 0.0),
        (1984.2, 1.4733, -4.8008e-3),
        (0.18071, -2.7604e-4, -1.7749e-7),
    ),
    "carbohydrate": _Part(
        (1599.1, -0.31046, 0.0),
        (1548.8, 1.9625, -5.9399e-3),
        (0.20141, 1.3874e-3, -4.3312e-6),
    ),
    "ash": _Part(
        (2423.8, -0.28063, 0.0),
        (1092.6, 1.8896, -3.6817e-3),
        (0.32962, 1.4011e-3, -2.9069e-6),
    ),
}


@dataclass(frozen=True, slots=True)
class Composition:
    """Shares by mass, which make one together.

    Raises OutOfRange, naming the part and its range, for a share that is not from 0 to 1, and for a
    sum that is further from 1 than printed shares are rounded (0.005).
    """

    water: float
    protein: float
    fat: float
    carbohydrate: float = 0.0
    ash: float = 0.0

    def __post_init__(self) -> None:
        for name, share in self.shares().items():
            within(f"share of {name}", share, 0.0, 1.0)
        within("all shares together", self.total, 1.0 - _ROUNDING, 1.0 + _ROUNDING)

    @classmethod
    def of_analysis(
        cls,
        water_g: float,
        protein_g: float,
        fat_g: float,
        carbohydrate_g: float = 0.0,
        ash_g: float = 0.0,
    ) -> Composition:
        """From grams in about 100 g, as tables of food print them.

        Each part is measured by itself, so they seldom make 100 g: they are divided by their sum,
        which must be from 95 to 105 g. Raises OutOfRange with the part and its range.
        """
        grams = {
            "water": water_g,
            "protein": protein_g,
            "fat": fat_g,
            "carbohydrate": carbohydrate_g,
            "ash": ash_g,
        }
        for name, value in grams.items():
            within(name, value, 0.0, 100.0, "g in 100 g")
        total = within("all parts together", math.fsum(grams.values()), *ANALYSIS_SUM_G, "g")
        return cls(**{name: value / total for name, value in grams.items()})

    def shares(self) -> dict[str, float]:
        """The shares by the names of their parts."""
        return {part.name: getattr(self, part.name) for part in fields(self)}

    @property
    def total(self) -> float:
        """The sum of all shares: one but for rounding."""
        return math.fsum(self.shares().values())


@dataclass(frozen=True, slots=True)
class FoodProperties:
    """Each array has the shape of the temperatures asked for."""

    density_kg_m3: FloatArray
    specific_heat_j_kgk: FloatArray
    parallel_w_mk: FloatArray  #: conductivity along layers: the most it can be
    perpendicular_w_mk: FloatArray  #: across layers: the least

    @property
    def heat_capacity_j_m3k(self) -> FloatArray:
        """Heat capacity of a volume."""
        return self.density_kg_m3 * self.specific_heat_j_kgk

    @property
    def diffusivity_m2_s(self) -> FloatArray:
        """Diffusivity of heat along layers, which fits measured meat better than across."""
        return self.parallel_w_mk / self.heat_capacity_j_m3k


def _at(coefficients: tuple[float, float, float], t: FloatArray) -> FloatArray:
    constant, linear, square = coefficients
    return np.asarray(constant + t * (linear + t * square), dtype=np.float64)


@refuses(temperature_c=between("temperature", *TEMPERATURE_C, "°C"))
def food_properties(composition: Composition, temperature_c: ArrayLike) -> FoodProperties:
    """Properties of food of `composition` at `temperature_c` [°C], a number or an array.

    Raises OutOfRange for a temperature that is not from 0 to 150 °C. Source: Choi and Okos (1986),
    see the module.
    """
    t = np.asarray(temperature_c, dtype=np.float64)
    total = composition.total
    nothing = np.zeros_like(t)
    volume, heat, along, across = nothing, nothing, nothing, nothing
    for name, share in composition.shares().items():
        part = _PARTS[name]
        mass = share / total
        taken = mass / _at(part.density_kg_m3, t)
        conducts = _at(part.conductivity_w_mk, t)
        volume = volume + taken
        heat = heat + mass * _at(part.specific_heat_j_kgk, t)
        along = along + taken * conducts
        across = across + taken / conducts
    return FoodProperties(1.0 / volume, heat, along / volume, volume / across)


@dataclass(frozen=True, slots=True)
class Typical:
    """What a kind of food is made of, and who says so."""

    composition: Composition
    source: str


def _usda(number: str, name: str, water: float, protein: float, fat: float, ash: float) -> Typical:
    return Typical(
        Composition.of_analysis(water, protein, fat, ash_g=ash), f"USDA SR28, {number}, {name}"
    )


NO_SOURCE = "common practice, no source"

#: One raw piece for each cut; another animal differs by several percent of water and fat.
TYPICAL: Mapping[Cut, Typical] = MappingProxyType(
    {
        "fish": _usda("15240", "trout, rainbow, farmed", 73.8, 19.94, 6.18, 1.21),
        "poultry_pieces": _usda("05075", "chicken, leg, meat and skin", 67.3, 16.37, 15.95, 0.81),
        "poultry_whole": _usda("05006", "chicken, meat and skin", 65.99, 18.6, 15.06, 0.79),
        "ribs": _usda("10088", "pork, spareribs, lean and fat", 59.75, 15.47, 23.4, 0.67),
        "loaf": Typical(Composition(0.62, 0.16, 0.16, 0.045, 0.015), NO_SOURCE),
        "shoulder": _usda(
            "10080", "pork, shoulder, blade, lean and fat", 69.18, 17.42, 12.36, 0.83
        ),
        "brisket": _usda("13803", "beef, brisket, whole, 1/8 in fat", 61.08, 18.42, 19.06, 0.88),
        "other": Typical(Composition(0.67, 0.18, 0.14, 0.0, 0.01), NO_SOURCE),
    }
)
