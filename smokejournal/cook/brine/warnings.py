"""What speaks against a brine, in words, and the usual cautions that go with it.

Weights: "stop" must not be put into a plan, "look" is to be looked at again, "caution" always holds.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from smokejournal.cook.log.brine_request import Flesh
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.spread import Spread

Weight = Literal["stop", "look", "caution"]

#: Above this many kg of salt in a m³ of brine, pork was seen to lose water instead of gaining it.
DRAWING_KG_M3 = 200.0
#: Salt in the finished fish: 1.8 to 2.0 % is usual, 3 % is quoted as a limit (ILO 1982).
MOST_SALT_PCT = 3.0
#: Common practice, no source: below this, salt is hardly tasted.
LEAST_SALT_PCT = 0.5
#: Water-phase salt of smoked fish: reduced-oxygen packs and packs with air (Maine ch. 359).
SEALED_PCT, AIR_PCT = 3.5, 2.5


@dataclass(frozen=True, slots=True)
class BrineWarning:
    """One thing to say, with its weight."""

    weight: Weight
    text: str


@dataclass(frozen=True, slots=True)
class Facts:
    """What the warnings are read off. Percentages of salt."""

    flesh: Flesh
    is_wet: bool
    is_empty: bool
    has_salt: bool
    has_cure: bool
    salt_unsaid: bool
    strength_pct: Spread | None
    density_kg_m3: Spread | None
    saturated_pct: float
    food_salt_pct: Spread | None
    water_phase_pct: Spread | None
    marks: int
    unweighed: tuple[str, ...]
    out_of_range: str


def warnings_for(facts: Facts) -> tuple[BrineWarning, ...]:
    """The heaviest first."""
    stops, looks = [], []
    if facts.out_of_range:
        text = translate("Brine", "This can't be worked out. {why}")
        stops.append(text.format(why=facts.out_of_range))
    if not facts.is_empty:
        if facts.marks:
            looks.append(translate("Brine", "What is marked in the line isn't in these sums."))
        if facts.unweighed:
            text = translate(
                "Brine",
                "Weigh “{names}”: a cup of it has no published weight, so how strong the brine is isn't known.",
            )
            looks.append(text.format(names="”, “".join(facts.unweighed)))
        looks += [*_salt(facts), *_strength(facts), *_in_food(facts)]
    cautions = [] if facts.is_empty else _cautions(facts)
    weighed: tuple[tuple[Weight, list[str]], ...] = (
        ("stop", stops),
        ("look", looks),
        ("caution", cautions),
    )
    return tuple(BrineWarning(weight, text) for weight, texts in weighed for text in texts)


def _salt(facts: Facts) -> list[str]:
    if not facts.has_salt:
        return [translate("Brine", "No salt was found in the line.")]
    if facts.salt_unsaid:
        return [
            translate(
                "Brine",
                "A cup of coarse or hollow salt holds about half as much as one of table salt. Choose the grain, or weigh the salt.",
            )
        ]
    return []


def _strength(facts: Facts) -> list[str]:
    strength = facts.strength_pct
    if strength is None or not facts.has_salt:
        return []
    if strength.high > facts.saturated_pct:
        text = translate(
            "Brine",
            "Too strong to dissolve: cold water holds {most} % and this may come to {found} "
            "%. Use less salt or more water.",
        )
        return [text.format(most=f"{facts.saturated_pct:.1f}", found=f"{strength.high:.1f}")]
    density = facts.density_kg_m3
    if density is not None and density.high * strength.high / 100.0 > DRAWING_KG_M3:
        text = translate(
            "Brine",
            "Strong: above about {limit} g of salt in a liter of brine, pork was seen to lose water rather than gain it. Such a brine is for hours, not for days.",
        )
        return [text.format(limit=f"{DRAWING_KG_M3:.0f}")]
    return []


def _in_food(facts: Facts) -> Iterator[str]:
    salt = facts.food_salt_pct
    if salt is None or not facts.has_salt:
        return
    if round(salt.high, 1) > MOST_SALT_PCT:
        text = (
            translate(
                "Brine",
                "Too strong: the food may come to {found} % salt. 1.8 to 2 % is usual in "
                "hot-smoked fish, and {limit} % is quoted as its limit. Use less salt or less "
                "time.",
            )
            if facts.flesh == "fish"
            else translate(
                "Brine",
                "Too strong: the food may come to {found} % salt. The only published limit "
                "known here, {limit} %, is for smoked fish, and few people like meat saltier. "
                "Use less salt or less time.",
            )
        )
        yield text.format(found=f"{salt.high:.1f}", limit=f"{MOST_SALT_PCT:.0f}")
    elif salt.high < LEAST_SALT_PCT:
        text = translate(
            "Brine",
            "Too weak: the food comes to {found} % salt at most, which you can hardly "
            "taste. Use more salt or more time.",
        )
        yield text.format(found=f"{salt.high:.2f}")
    wps = facts.water_phase_pct
    if facts.flesh == "fish" and wps is not None and wps.low < SEALED_PCT:
        text = translate(
            "Brine",
            "Too weak for packing: water-phase salt may be as low as {found} %. Codes ask for {sealed} % in smoked fish packed without air and {air} % with air (3.0 % in Michigan), measured in the thickest part, and cold all the same.",
        )
        yield text.format(found=f"{wps.low:.1f}", sealed=SEALED_PCT, air=AIR_PCT)


def _cautions(facts: Facts) -> list[str]:
    cold = translate("Brine", "Keep the salted food at or below 4.4 °C (40 °F) all the time.")
    if facts.is_wet:
        cold = translate(
            "Brine",
            "Keep the brine and the food in it at or below 4.4 °C (40 °F) all the time. Make it fresh, and don't use it again.",
        )
    kept = translate(
        "Brine",
        "Salt alone doesn't make food keep. Local codes come first; these sums are no promise that food is safe.",
    )
    if facts.has_cure:
        kept = translate(
            "Brine",
            "Curing salt is poisonous in excess. Weigh it on a scale that shows tenths of a gram, keep it apart and labeled, and go by a tested recipe. Local codes and the label come first; these sums are no promise that food is safe.",
        )
    return [cold, kept]
