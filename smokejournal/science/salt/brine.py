"""Salt and water: strength, density, what a brine comes to in the meat, and water-phase salt.

Percentages are by mass and written as percent. "Strength" is salt to salt and water; sugar and spices
don't count, as in the published tables.

Sources: percent = 0.26395 x degree of the salometer and the solubility of salt, Salt Institute;
densities at 15 and 20 °C, Poradnik fizykochemiczny (1974) as a university laboratory's page gives
them, without salt as any table of water has it; strengthening and weakening a brine, Sea Fish
Industry Authority's academy; water-phase salt, Code of Maine Rules ch. 359. Each is checked in
tests/science/salt/test_brine.py.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from smokejournal.science.numbers.ranges import OutOfRange, within
from smokejournal.science.numbers.refusals import NOT_BELOW_ZERO, between, refuses
from smokejournal.science.numbers.spread import Spread, computed

#: What 100 degrees of the salometer are: salt to salt and water at 60 °F, saturated.
SATURATED_60F_PCT = 26.395

#: (percent of salt, kg/m³ at 15 °C, kg/m³ at 20 °C)
_DENSITY: tuple[tuple[float, float, float], ...] = (
    (0.0, 999.1, 998.2),
    (1.0, 1007.1, 1005.3),
    (2.0, 1014.4, 1012.2),
    (4.0, 1029.2, 1026.8),
    (6.0, 1044.1, 1041.3),
    (8.0, 1059.1, 1055.9),
    (10.0, 1074.2, 1070.7),
    (12.0, 1089.5, 1085.7),
    (14.0, 1104.9, 1100.9),
    (16.0, 1120.6, 1116.2),
    (18.0, 1136.4, 1131.9),
    (20.0, 1152.5, 1147.8),
    (22.0, 1168.9, 1164.0),
    (24.0, 1185.6, 1180.4),
    (26.0, 1202.5, 1197.2),
)

#: (°C, percent of salt in a saturated brine), from where salt and not its hydrate is left over.
_SATURATED: tuple[tuple[float, float], ...] = (
    (0.1, 26.31),
    (4.44, 26.33),
    (10.0, 26.36),
    (15.56, 26.395),
    (21.11, 26.45),
    (26.67, 26.52),
    (37.78, 26.68),
    (51.67, 26.92),
    (65.56, 27.21),
    (79.44, 27.62),
    (93.33, 27.91),
    (100.0, 28.12),
)

_MAX_KG = 5000.0
_SALT = between("salt", 0.0, _MAX_KG, "kg")
_WATER = between("water", 0.0, _MAX_KG, "kg")
_FOOD = between("food", 0.001, _MAX_KG, "kg")


def _between(rows: Sequence[tuple[float, float]], x: float) -> float:
    """The value at `x` on straight lines between the rows; the last line goes on past its end."""
    index = min(max(bisect_right([row[0] for row in rows], x), 1), len(rows) - 1)
    (x0, y0), (x1, y1) = rows[index - 1], rows[index]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


@refuses(salt_kg=_SALT, water_kg=_WATER)
def strength_pct(salt_kg: float, water_kg: float) -> float:
    """Percent of salt in salt and water. Raises OutOfRange where there is neither."""
    if salt_kg + water_kg <= 0:
        raise OutOfRange("salt and water", 0.0, 0.001, 2 * _MAX_KG, "kg")
    return 100.0 * salt_kg / (salt_kg + water_kg)


@refuses(water_kg=_WATER, pct=between("strength", 0.0, 99.0, "%"))
def salt_for_strength_kg(water_kg: float, pct: float) -> float:
    """Salt [kg] that makes a brine of `pct` percent with this water."""
    return water_kg * pct / (100.0 - pct)


@refuses(pct=between("strength", 0.0, SATURATED_60F_PCT, "%"))
def salometer_deg(pct: float) -> float:
    """Degrees of the salometer at 60 °F of a brine of salt and water alone."""
    return 100.0 * pct / SATURATED_60F_PCT


@refuses(
    pct=between("strength", 0.0, 26.5, "%"), temperature_c=between("temperature", 10.0, 25.0, "°C")
)
def density_kg_m3(pct: float, temperature_c: float = 15.56) -> float:
    """Density [kg/m³] of a brine of `pct` percent, from 10 to 25 °C.

    Straight lines between the published strengths; the slope from 15 to 20 °C goes on to both sides.
    """
    at_15 = _between([(row[0], row[1]) for row in _DENSITY], pct)
    at_20 = _between([(row[0], row[2]) for row in _DENSITY], pct)
    return at_15 + (at_20 - at_15) * (temperature_c - 15.0) / 5.0


@refuses(temperature_c=between("temperature", 0.1, 100.0, "°C"))
def saturated_pct(temperature_c: float) -> float:
    """The most salt, in percent of salt and water, that dissolves at this temperature."""
    return _between(_SATURATED, temperature_c)


@refuses(
    salt_kg=_SALT,
    water_kg=_WATER,
    food_kg=_FOOD,
    moisture_pct=between("moisture", 1.0, 95.0, "%"),
)
def even_food_salt_kg(
    salt_kg: float, water_kg: float, food_kg: float, moisture_pct: float
) -> float:
    """Salt [kg] in the food once brine and the food's own water are equally strong.

    Salt dissolves in water only, so it is shared out as the water is; what is left, salt times
    `water_kg` over all the water, stays in the brine, and both add up to `salt_kg`. The salt that
    raw meat has by nature (0.1 to 0.3 %) and what runs out of the food are left out.
    """
    own_kg = food_kg * moisture_pct / 100.0
    return salt_kg * own_kg / (own_kg + water_kg)


@refuses(
    water_kg=_WATER,
    target_pct=between("target", 0.0, 20.0, "%"),
    food_kg=_FOOD,
    moisture_pct=between("moisture", 1.0, 95.0, "%"),
)
def salt_for_food_target_kg(
    water_kg: float, food_kg: float, moisture_pct: float, target_pct: float
) -> float:
    """Salt [kg] to use so that the food, with its salt, comes to `target_pct` percent when even."""
    own_kg = food_kg * moisture_pct / 100.0
    return food_kg * target_pct / (100.0 - target_pct) * (own_kg + water_kg) / own_kg


@refuses(salt_kg=NOT_BELOW_ZERO, food_kg=_FOOD)
def finished_water_phase_salt_pct(
    food_kg: float, salt_kg: Spread, moisture_pct: Spread, finished_share: float
) -> Spread:
    """Water-phase salt once the salted food weighs `finished_share` of what it weighed raw.

    What is lost is water and fat and no salt; the low end takes water to be lost as the food held it,
    the high end takes all of the loss for water, and the likely value lies midway. Raises OutOfRange
    where the loss is more than the food's water.
    """
    least = max(0.05, 1.0 - 0.95 * moisture_pct.low / 100.0)
    within("finished mass", 100 * finished_share, 100 * least, 130.0, "% of raw")

    def of(salt: float, moisture: float, of_the_loss: float) -> float:
        water_kg = food_kg * (moisture / 100.0 - (1.0 - finished_share) * of_the_loss)
        return 100.0 * salt / (salt + water_kg)

    def all_water_or_not(salt: float, moisture: float, all_water: float) -> float:
        return of(salt, moisture, moisture / 100.0 + all_water * (1.0 - moisture / 100.0))

    return computed(all_water_or_not, salt_kg, moisture_pct, Spread(0.0, 0.5, 1.0))


@refuses(salt_kg=_SALT, water_kg=_WATER, sugar_kg=between("sugar", 0.0, _MAX_KG, "kg"))
def brine_volume_l(salt_kg: float, water_kg: float, sugar_kg: float = 0.0) -> float:
    """Liters that a brine takes up near 15 °C.

    Salt that can't dissolve lies at the bottom and counts as if it had; a kilogram of dissolved
    sugar takes 0.62 L (from memory, no source read).
    """
    pct = min(strength_pct(salt_kg, water_kg), SATURATED_60F_PCT)
    return 1000.0 * (salt_kg + water_kg) / density_kg_m3(pct) + 0.62 * sugar_kg
