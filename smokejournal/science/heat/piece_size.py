"""How far it is from the surface of a piece to its middle, from what it weighs and how it is shaped.

`half_thickness_m` R is half of the least thickness. `dimensionality` E = R A / V (A surface, V volume)
says from how many sides heat comes: 1 a slab, 2 a long cylinder, 3 a sphere or a cube, between them a
brick, E = 1 + 1/b1 + 1/b2 for half sizes R, b1 R, b2 R. Source: equivalent heat transfer dimensionality
for a small Biot number, ASHRAE Handbook, Refrigeration (2010), chapter 20, equations 18 to 24.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from smokejournal.science.numbers.ranges import within
from smokejournal.science.numbers.refusals import between, refuses

#: Raw meat is from 1020 to 1060 kg/m³ (`food_properties`).
MEAT_KG_M3 = 1045.0

MASS_KG = (0.01, 100.0)
DENSITY_KG_M3 = (500.0, 1500.0)
THICKNESS_M = (0.002, 0.6)
#: How many times as long, or as wide, as thick.
LONGER = (1.0, 100.0)


@dataclass(frozen=True, slots=True)
class Size:
    """R [m] and E of a piece, and V [m³] (infinite: of a slab of any width)."""

    half_thickness_m: float
    dimensionality: float
    volume_m3: float = math.inf

    @property
    def surface_m2(self) -> float:
        """A, from E = R A / V."""
        return self.dimensionality * self.volume_m3 / self.half_thickness_m


_MASS = between("mass", *MASS_KG, "kg")
_DENSITY = between("density", *DENSITY_KG_M3, "kg/m³")


def _volume_m3(mass_kg: float, density_kg_m3: float) -> float:
    return mass_kg / density_kg_m3


@refuses(
    mass_kg=_MASS,
    density_kg_m3=_DENSITY,
    wider=between("width over thickness", *LONGER),
    longer=between("length over thickness", *LONGER),
)
def brick(mass_kg: float, wider: float, longer: float, density_kg_m3: float = MEAT_KG_M3) -> Size:
    """A brick `wider` (b1) and `longer` (b2) times as wide and long as thick.

    Raises OutOfRange with the field and its range.
    """
    volume = _volume_m3(mass_kg, density_kg_m3)
    radius = (volume / (8.0 * wider * longer)) ** (1.0 / 3.0)
    return Size(radius, 1.0 + 1.0 / wider + 1.0 / longer, volume)


@refuses(
    mass_kg=_MASS,
    density_kg_m3=_DENSITY,
    thickness_m=between("thickness", *THICKNESS_M, "m"),
    slenderness=between("length over width", *LONGER),
)
def brick_of_thickness(
    mass_kg: float, thickness_m: float, slenderness: float, density_kg_m3: float = MEAT_KG_M3
) -> Size:
    """A brick of known mass and thickness, `slenderness` times as long as wide.

    Raises OutOfRange with the field and its range; also if such a piece would be thicker than it is
    wide, since then the thickness is not its least size.
    """
    volume = _volume_m3(mass_kg, density_kg_m3)
    thickest = (volume / slenderness) ** (1.0 / 3.0)
    # A cube's thickness, measured, is past the sum's by a rounding.
    within(
        "thickness",
        thickness_m,
        0.0,
        thickest * (1.0 + 1e-9),
        "m for this mass and shape",
        argument="thickness_m",
    )
    radius = thickness_m / 2.0
    wider = max(1.0, math.sqrt(volume / (8.0 * radius**3 * slenderness)))
    return Size(radius, 1.0 + 1.0 / wider + 1.0 / (wider * slenderness), volume)


@refuses(mass_kg=_MASS, density_kg_m3=_DENSITY)
def sphere(mass_kg: float, density_kg_m3: float = MEAT_KG_M3) -> Size:
    """A ball. Raises OutOfRange with the field and its range."""
    volume = _volume_m3(mass_kg, density_kg_m3)
    return Size((3.0 * volume / (4.0 * math.pi)) ** (1.0 / 3.0), 3.0, volume)


@refuses(mass_kg=_MASS, density_kg_m3=_DENSITY, longer=between("length over thickness", *LONGER))
def cylinder(mass_kg: float, longer: float, density_kg_m3: float = MEAT_KG_M3) -> Size:
    """A roll `longer` times as long as thick, heated at its ends too: E = 2 + 1/`longer`.

    Raises OutOfRange with the field and its range.
    """
    volume = _volume_m3(mass_kg, density_kg_m3)
    radius = (volume / (2.0 * math.pi * longer)) ** (1.0 / 3.0)
    return Size(radius, 2.0 + 1.0 / longer, volume)


@refuses(thickness_m=between("thickness", *THICKNESS_M, "m"))
def slab(thickness_m: float) -> Size:
    """A wide piece, heated from both sides. Raises OutOfRange with the field and its range."""
    return Size(thickness_m / 2.0, 1.0)
