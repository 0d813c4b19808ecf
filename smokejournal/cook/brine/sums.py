"""A brine or a cure worked out: how heavy each part is, how strong it is, what it does to the food.

Every number that hangs on a cup, on a tissue or on what isn't known about the food has its ends with
it; what can't be worked out is None, with the reason among `missing`. What must not be done is in
`warnings` with the weight "stop", and `is_refused` is True.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from smokejournal.cook.brine.cure import CureSum, cure_of, range_words
from smokejournal.cook.brine.ingredients import with_grain
from smokejournal.cook.brine.recipe import RecipeItem, RecipeLine, read_line
from smokejournal.cook.brine.warnings import BrineWarning, Facts, warnings_for
from smokejournal.cook.log.brine_request import BrineAsked, Flesh
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.numbers.spread import NOTHING, Spread, computed
from smokejournal.science.numbers.units import KG_PER_LB, L_PER_US_GALLON
from smokejournal.science.salt import brine, diffusion

#: Water in raw food [%]: least, usual, most. USDA SR28, raw rows: pork shoulder 64.0, from spareribs to
#: lean shoulder; belly 36.7, up to spareribs; short ribs to brisket flat to lean; broilers to breast;
#: mackerel to cod.
MOISTURE_PCT: dict[Flesh, Spread] = {
    "pork": Spread(59.75, 64.02, 72.63),
    "belly": Spread(36.74, 36.74, 59.75),
    "meat": Spread(48.29, 61.08, 72.63),
    "poultry": Spread(65.99, 67.30, 73.90),
    "fish": Spread(63.55, 72.05, 81.22),
    "other": Spread(36.74, 65.0, 81.22),
}
_TISSUE: dict[Flesh, diffusion.Tissue] = {
    "pork": "pork",
    "belly": "unmeasured",
    "meat": "unmeasured",
    "poultry": "unmeasured",
    "fish": "fish",
    "other": "unmeasured",
}
COLD_C = 4.44
"""A brine is kept at or below this: 40 °F."""
SUGAR_PER_WATER = 1.79
"""The most sugar that a kilogram of water at 0 °C holds [kg] (tables of sucrose; from memory)."""


@dataclass(frozen=True, slots=True)
class Portion:
    """One item of the line, scaled, with its mass [kg]; None where it isn't known."""

    item: RecipeItem
    mass_kg: Spread | None


@dataclass(frozen=True, slots=True)
class Even:
    """Once food and brine are equally strong. Percentages of the salted food and of its water."""

    food_salt_pct: Spread
    water_phase_pct: Spread


@dataclass(frozen=True, slots=True)
class Soak:
    """After the time given: shares of what it takes up in the end, and what that makes."""

    taken_share: Spread
    middle_share: Spread
    food_salt_pct: Spread | None
    water_phase_pct: Spread | None


@dataclass(frozen=True, slots=True)
class UptakeTimes:
    """Times [s] until the middle has a half and nine tenths of what it will have."""

    half_s: Spread
    most_s: Spread
    source: str


@dataclass(frozen=True, slots=True)
class BrineSums:
    """What a brine comes to. Masses in kg, volumes in L, strengths in percent of salt and water.

    `total_kg` is all that is understood, `pickle_kg` of it what is dissolved, and its water: neither
    spices nor what isn't known make a brine more.
    """

    asked: BrineAsked
    recipe: RecipeLine
    portions: tuple[Portion, ...] = ()
    factor: float = 1.0
    salt_kg: Spread = NOTHING
    water_kg: Spread = NOTHING
    sugar_kg: Spread = NOTHING
    total_kg: Spread = NOTHING
    pickle_kg: Spread = NOTHING
    strength_pct: Spread | None = None
    salometer_deg: Spread | None = None
    density_kg_m3: Spread | None = None
    volume_l: Spread | None = None
    even: Even | None = None
    target_salt_kg: Spread | None = None
    soak: Soak | None = None
    reach: UptakeTimes | None = None
    finished_water_phase_pct: Spread | None = None
    cure: CureSum | None = None
    warnings: tuple[BrineWarning, ...] = ()
    missing: tuple[str, ...] = ()

    @property
    def is_refused(self) -> bool:
        """True where it must not be put into a plan as it stands."""
        return any(warning.weight == "stop" for warning in self.warnings)

    @property
    def has_cure(self) -> bool:
        """True where curing salt stands in the line."""
        return any(portion.item.kind == "cure" for portion in self.portions)

    @property
    def is_wet(self) -> bool:
        """True for a brine, False for a rub of salt: the little water in honey makes no brine."""
        return any(portion.item.is_liquid for portion in self.portions)

    @property
    def unweighed(self) -> tuple[str, ...]:
        """Names of liquids, ice among them, whose mass isn't known."""
        return tuple(
            portion.item.name
            for portion in self.portions
            if portion.mass_kg is None and portion.item.is_liquid
        )


def weigh(item: RecipeItem, asked: BrineAsked) -> Spread | None:
    """The mass [kg] of an item; None where there is no published weight for its measure."""
    unit = item.unit
    middle = (item.low + item.high) / 2
    amount = Spread(item.low, middle, item.high).times(unit.size)
    known = item.ingredient
    if unit.dimension == "mass":
        if unit.key == "oz" and known is not None and known.is_liquid and known.density:
            # An ounce of a liquid may be one of mass or one of volume, which is a little more.
            fluid = amount.times(_FLUID_OUNCE_L / (KG_PER_LB / 16)).by(known.density)
            return Spread(amount.low, (amount.mid + fluid.mid) / 2, fluid.high)
        return amount
    if unit.dimension != "volume" or known is None:
        return None
    density = with_grain(known, asked.grain, asked.cup_g).density
    return None if density is None else amount.by(density)


_FLUID_OUNCE_L = L_PER_US_GALLON / 128


def brine_sums(asked: BrineAsked) -> BrineSums:
    """Work it out. Never raises for what a person may type."""
    recipe = read_line(asked.line)
    weighed = [Portion(item, weigh(item, asked)) for item in recipe.items]
    sums = _mixed(BrineSums(asked, recipe, tuple(weighed)))
    missing: list[str] = []
    out_of_range = ""
    factor = 1.0
    try:
        factor = _factor(sums, missing)
    except OutOfRange as problem:
        out_of_range = range_words(problem)
    if factor != 1.0:
        portions = tuple(
            Portion(
                replace(p.item, low=p.item.low * factor, high=p.item.high * factor),
                None if p.mass_kg is None else p.mass_kg.times(factor),
            )
            for p in weighed
        )
        sums = _mixed(replace(sums, portions=portions, factor=factor))
    try:
        if not sums.unweighed:
            sums = _in_food(_strong(sums), missing)
    except OutOfRange as problem:
        out_of_range = range_words(problem)
        sums = replace(sums, even=None, soak=None, reach=None)
    cure, refusals = cure_of(
        asked,
        recipe,
        [(p.item, p.mass_kg) for p in sums.portions],
        sums.pickle_kg,
        unweighed=sums.unweighed,
        is_wet=sums.is_wet,
        dissolves=_dissolves(sums),
    )
    sums = replace(sums, cure=cure, missing=tuple(dict.fromkeys(missing)))
    return replace(sums, warnings=(*refusals, *warnings_for(_facts(sums, out_of_range))))


def _mixed(sums: BrineSums) -> BrineSums:
    """Salt, water and sugar of all that has a mass. Curing salt counts as the salt that it is."""
    salt = water = sugar = total = pickle = NOTHING
    for portion in sums.portions:
        known, mass = portion.item.ingredient, portion.mass_kg
        if mass is None or known is None:
            continue
        total += mass
        if known.kind != "spice":
            pickle += mass
        share = known.salt
        if known.kind == "cure" and sums.asked.nitrite_pct is not None:
            share = 1.0 - min(max(sums.asked.nitrite_pct, 0.0), 100.0) / 100.0
        salt += mass.times(share)
        water += mass.times(known.water)
        sugar += mass.times(known.sugar)
    return replace(
        sums, salt_kg=salt, water_kg=water, sugar_kg=sugar, total_kg=total, pickle_kg=pickle
    )


def _dissolves(sums: BrineSums) -> bool:
    """True where the cold water surely holds all salt and sugar: what lies on the ground is no pickle."""
    if sums.strength_pct is None or sums.water_kg.low <= 0:
        return False
    sweet = sums.sugar_kg.high / sums.water_kg.low
    return sums.strength_pct.high <= brine.saturated_pct(COLD_C) and sweet <= SUGAR_PER_WATER


def _factor(sums: BrineSums, missing: list[str]) -> float:
    """What the line is multiplied by."""
    asked = sums.asked
    to = asked.scale_to
    if not asked.scale_by or to is None:
        return 1.0
    if asked.scale_by == "times":
        return to
    if sums.unweighed:
        text = translate("Brine", "Weigh “{names}” before this is scaled.")
        missing.append(text.format(names="”, “".join(sums.unweighed)))
        return 1.0
    if sums.total_kg.mid <= 0:
        missing.append(translate("Brine", "There is nothing to scale yet."))
        return 1.0
    if asked.scale_by == "mass":
        return to / sums.total_kg.mid
    # Food is taken to be as heavy as water, which leaves a little room rather than none.
    room_l = to - (asked.food_kg or 0.0)
    if room_l <= 0:
        missing.append(translate("Brine", "The food alone fills this container. Use a larger one."))
        return 1.0
    if not sums.is_wet:
        missing.append(
            translate("Brine", "There is no water in the line to fill a container with.")
        )
        return 1.0
    volume_l = brine.brine_volume_l(sums.salt_kg.mid, sums.water_kg.mid, sums.sugar_kg.mid)
    return room_l / volume_l


def _strong(sums: BrineSums) -> BrineSums:
    if not sums.is_wet:
        return sums
    strength = computed(brine.strength_pct, sums.salt_kg, sums.water_kg)
    top = brine.saturated_pct(15.56)
    shown = Spread(*(min(part, top) for part in (strength.low, strength.mid, strength.high)))
    return replace(
        sums,
        strength_pct=strength,
        salometer_deg=computed(brine.salometer_deg, shown),
        density_kg_m3=computed(brine.density_kg_m3, shown),
        volume_l=computed(brine.brine_volume_l, sums.salt_kg, sums.water_kg, sums.sugar_kg),
    )


def _in_food(sums: BrineSums, missing: list[str]) -> BrineSums:
    """What gets into the food, in the end and in the time given."""
    asked = sums.asked
    moisture = MOISTURE_PCT[asked.flesh]
    pumped = asked.method == "pumped" and sums.is_wet
    if not pumped:
        sums = _soaking(sums, missing)
    food = asked.food_kg
    if food is None:
        missing.append(
            translate("Brine", "Give the mass of the food to see how much salt gets into it.")
        )
        return sums
    if sums.salt_kg.high <= 0 and asked.target_pct is None:
        return sums
    target = asked.target_pct
    if target is not None:
        sums = replace(
            sums,
            target_salt_kg=computed(
                lambda water, share: brine.salt_for_food_target_kg(water, food, share, target),
                sums.water_kg,
                moisture,
            ),
        )
    if pumped:
        return _pumped(sums, food, moisture, missing)
    salt_in = computed(
        lambda salt, water, share: brine.even_food_salt_kg(salt, water, food, share),
        sums.salt_kg,
        sums.water_kg,
        moisture,
    )
    even = Even(
        _pct_of_food(salt_in, food),
        computed(
            lambda salt, water, share: brine.strength_pct(salt, water + food * share / 100.0),
            sums.salt_kg,
            sums.water_kg,
            moisture,
        ),
    )
    sums = replace(sums, even=even)
    now = salt_in
    if sums.soak is not None:
        now = salt_in.by(sums.soak.taken_share)
        sums = replace(
            sums,
            soak=replace(
                sums.soak,
                food_salt_pct=_pct_of_food(now, food),
                water_phase_pct=computed(
                    lambda salt, share: brine.strength_pct(salt, food * share / 100.0),
                    now,
                    moisture,
                ),
            ),
        )
    if asked.finished_pct is None:
        missing.append(
            translate(
                "Brine", "Give the finished mass to see the water-phase salt after the smoke."
            )
        )
        return sums
    return _finished(sums, food, now, moisture, asked.finished_pct, missing)


def _pumped(sums: BrineSums, food_kg: float, moisture: Spread, missing: list[str]) -> BrineSums:
    """Pumped in, the brine doesn't have to soak: the food holds what went in."""
    if sums.asked.pickup_pct is None:
        return sums
    in_kg = food_kg * sums.asked.pickup_pct / 100.0
    salt_in = computed(
        lambda salt, pickle: in_kg * min(salt / pickle, 1.0), sums.salt_kg, sums.pickle_kg
    )
    even = Even(
        computed(lambda salt: 100.0 * salt / (food_kg + in_kg), salt_in),
        computed(
            lambda salt, share: brine.strength_pct(
                salt, food_kg * share / 100.0 + max(in_kg - salt, 0.0)
            ),
            salt_in,
            moisture,
        ),
    )
    sums = replace(sums, even=even, target_salt_kg=None)
    if sums.asked.finished_pct is None:
        return sums
    return _finished(sums, food_kg, salt_in, moisture, sums.asked.finished_pct, missing)


def _finished(
    sums: BrineSums,
    food_kg: float,
    salt_kg: Spread,
    moisture: Spread,
    finished_pct: float,
    missing: list[str],
) -> BrineSums:
    """Water-phase salt after the smoke."""
    try:
        found = brine.finished_water_phase_salt_pct(
            food_kg, salt_kg, moisture, finished_pct / 100.0
        )
    except OutOfRange as problem:
        missing.append(
            translate(
                "Brine",
                "Finished mass: from {low} to {high} % of the raw mass. Less would be more than all water.",
            ).format(low=f"{problem.low:.0f}", high=f"{problem.high:.0f}")
        )
        return sums
    return replace(sums, finished_water_phase_pct=found)


def _soaking(sums: BrineSums, missing: list[str]) -> BrineSums:
    asked = sums.asked
    if asked.thickness_m is None:
        missing.append(
            translate("Brine", "Give the thickness to see how long salt takes to the middle.")
        )
        return sums
    one_face = asked.one_face and asked.shape == "slab"
    radius = diffusion.radius_m(asked.shape, asked.thickness_m, one_face=one_face)
    known = diffusion.DIFFUSIVITIES[_TISSUE[asked.flesh]]
    reach = UptakeTimes(
        diffusion.time_to_middle_s(asked.shape, radius, 0.5, known.m2_s),
        diffusion.time_to_middle_s(asked.shape, radius, 0.9, known.m2_s),
        known.source,
    )
    sums = replace(sums, reach=reach)
    if asked.soak_s is None:
        return sums
    taken, middle = diffusion.uptake_after(asked.shape, radius, asked.soak_s, known.m2_s)
    return replace(sums, soak=Soak(taken, middle, None, None))


def _pct_of_food(salt_kg: Spread, food_kg: float) -> Spread:
    return computed(lambda salt: 100.0 * salt / (food_kg + salt), salt_kg)


def _facts(sums: BrineSums, out_of_range: str) -> Facts:
    in_food = sums.soak.food_salt_pct if sums.soak is not None else None
    left = sums.soak.water_phase_pct if sums.soak is not None else None
    return Facts(
        flesh=sums.asked.flesh,
        is_wet=sums.is_wet,
        is_empty=not sums.portions,
        has_salt=sums.salt_kg.high > 0,
        has_cure=sums.has_cure,
        salt_unsaid=any(
            p.item.unit.dimension == "volume"
            and p.item.ingredient is not None
            and with_grain(p.item.ingredient, sums.asked.grain, sums.asked.cup_g).key
            in ("salt_", "salt_coarse")
            for p in sums.portions
        ),
        strength_pct=sums.strength_pct,
        density_kg_m3=sums.density_kg_m3,
        saturated_pct=brine.saturated_pct(COLD_C),
        food_salt_pct=in_food or (sums.even.food_salt_pct if sums.even is not None else None),
        water_phase_pct=sums.finished_water_phase_pct
        or left
        or (sums.even.water_phase_pct if sums.even is not None else None),
        marks=len(sums.recipe.marks),
        unweighed=sums.unweighed,
        out_of_range=out_of_range,
    )
