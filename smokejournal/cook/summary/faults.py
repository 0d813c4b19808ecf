"""What may be wrong with smoked food when it is eaten, and what usually did it.

Causes are common practice, no source: places to look, not a finding.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from smokejournal.cook.log.entries import FoodClass
from smokejournal.cook.text.translate import translate


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault, what usually causes it, and the kinds of food it is seen on (empty: any)."""

    key: str
    name: str
    causes: tuple[str, ...]
    foods: frozenset[FoodClass] = frozenset()


def faults() -> tuple[Fault, ...]:
    """Every fault that can be chosen."""
    fish: frozenset[FoodClass] = frozenset({"fish"})
    poultry: frozenset[FoodClass] = frozenset({"poultry"})
    red: frozenset[FoodClass] = frozenset({"red_meat", "ham"})
    return (
        Fault(
            "white_protein",
            translate("Faults", "White protein on the surface"),
            (
                translate("Faults", "The pit rose too fast, or ran too hot."),
                translate("Faults", "The brine was too weak or too short."),
                translate("Faults", "The surface was not dry when the fish went on."),
            ),
            fish,
        ),
        Fault(
            "soft_skin",
            translate("Faults", "Soft, rubbery skin"),
            (
                translate("Faults", "The pit was too cool to the end: skin wants a hot finish."),
                translate(
                    "Faults", "The skin was wet: not dried before, sprayed late, or wrapped."
                ),
            ),
            poultry,
        ),
        Fault(
            "tough",
            translate("Faults", "Tough, does not come apart"),
            (
                translate("Faults", "It came off before the tough parts had given way."),
                translate("Faults", "The lead probe read high, or sat in fat or beside a bone."),
            ),
            red,
        ),
        Fault(
            "bitter",
            translate("Faults", "Bitter smoke"),
            (
                translate(
                    "Faults", "The smoke was thick and white: too little air, or food on too early."
                ),
                translate("Faults", "The pellets were damp or old."),
                translate("Faults", "Fat burned in the pit."),
            ),
        ),
        Fault(
            "weak_smoke",
            translate("Faults", "Hardly any smoke"),
            (
                translate("Faults", "The pit was hot from the start, and the fire burned clean."),
                translate("Faults", "It was wrapped early, or the wood is a mild one."),
            ),
        ),
        Fault(
            "dry",
            translate("Faults", "Dry all through"),
            (
                translate(
                    "Faults", "It went past its temperature: look at the probe that reads low."
                ),
                translate("Faults", "It was kept hot too long before it was eaten."),
            ),
        ),
        Fault(
            "dry_edge",
            translate("Faults", "Dry edge or thin end"),
            (
                translate(
                    "Faults", "The thin end cooked as long as the thick one: fold or shield it."
                ),
                translate("Faults", "One side lay toward the heat: turn it halfway."),
            ),
        ),
        Fault(
            "uneven",
            translate("Faults", "Done unevenly"),
            (
                translate("Faults", "The pit has a hot side: move the pieces around."),
                translate(
                    "Faults", "The pieces differed in thickness, and one probe spoke for all."
                ),
            ),
        ),
        Fault(
            "mushy",
            translate("Faults", "Mushy surface"),
            (
                translate("Faults", "It was wrapped or rested too long while hot."),
                translate("Faults", "It lay too long in a brine or an acid marinade."),
            ),
        ),
        Fault(
            "too_salty",
            translate("Faults", "Too salty"),
            (
                translate(
                    "Faults", "The brine was stronger or longer than planned, or not rinsed off."
                ),
                translate("Faults", "Brine and rub both brought salt."),
            ),
        ),
        Fault(
            "pale",
            translate("Faults", "Pale surface"),
            (
                translate("Faults", "The surface stayed wet, or was wrapped before it had set."),
                translate("Faults", "The pit was too cool for color."),
            ),
        ),
        Fault(
            "sooty",
            translate("Faults", "Sooty or black"),
            (
                translate("Faults", "The fire was starved of air."),
                translate("Faults", "Fat dripped on the fire, or the pit is due for cleaning."),
            ),
        ),
    )


def fault(key: str) -> Fault | None:
    """The fault with this key; None for one that this version does not know."""
    return next((found for found in faults() if found.key == key), None)


def faults_for(foods: Iterable[FoodClass]) -> tuple[Fault, ...]:
    """Those that are seen on these kinds of food, what is special to them first; all without any."""
    there = frozenset(foods)
    return tuple(one for one in faults() if not one.foods or not there or one.foods & there)


def fault_words(keys: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """What was seen, and on one line what usually causes it. An unknown one goes by its key."""
    found = [(key, fault(key)) for key in keys]
    return tuple((one.name, " ".join(one.causes)) if one else (key, "") for key, one in found)
