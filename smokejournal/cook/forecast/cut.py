"""Which kind of piece a forecast takes an item for, by its food class, its name and its size.

The names are plain trade words as people type them; they are looked for, never shown, so they are
not translated. Where they leave it open the piece is "other", whose prior is the widest. Which word
stands for which cut is common practice, no source; the masses below are our own judgment.
"""

from __future__ import annotations

from typing import Final

from smokejournal.cook.log.entries import FoodClass, ItemAdded
from smokejournal.cook.plan.food_guess import BIRDS, FISH, has_word
from smokejournal.cook.plan.plan import piece_kg
from smokejournal.science.forecast.values import Cut

#: A bird is hardly ever lighter, part of one seldom heavier [kg].
WHOLE_BIRD_KG: Final = 0.9
BIRD_PART_KG: Final = 0.6
#: Ground meat of this size is a loaf, below it a sausage or a patty [kg, m].
LOAF_KG: Final = 0.4
LOAF_M: Final = 0.05

_BIRD_PARTS: Final = (
    r"wings?|thighs?|drumsticks?|drums?|legs?|breasts?|quarters?|halves|half|pieces?|parts?"
    r"|tenders?|crowns?"
)
_LOAF: Final = r"loaf|loaves|meat ?loaf|fatty|terrine|pate|pâté"
_NO_RIBS: Final = r"rib ?eyes?|prime ribs?|rib roasts?|standing ribs?|rib of"
_RIBS: Final = r"ribs?|spare ?ribs?|st\.? louis|baby ?backs?"
_BRISKET: Final = r"briskets?|packer|point end|flat end"
_SHOULDER: Final = r"shoulders?|butts?|boston|picnic|collar|neck|pulled"


def cut_of(
    name: str,
    food: FoodClass = "other",
    mass_kg: float | None = None,
    thickness_m: float | None = None,
) -> Cut:
    """The cut that one piece of this name, food, mass [kg] and thickness [m] is taken for."""
    text = name.casefold().replace("_", " ").replace("-", " ")
    bird = has_word(BIRDS, text)
    if food == "fish" or (food == "other" and not bird and has_word(FISH, text)):
        return "fish"
    if food == "poultry" or (food == "other" and bird):
        return _bird(text, mass_kg, named=bird)
    if food == "ground" or (food == "other" and has_word(_LOAF, text)):
        big = (mass_kg or 0.0) >= LOAF_KG and (thickness_m is None or thickness_m >= LOAF_M)
        return "loaf" if has_word(_LOAF, text) or big else "other"
    if food == "ham":
        return "other"
    if has_word(_BRISKET, text):
        return "brisket"
    if has_word(_RIBS, text) and not has_word(_NO_RIBS, text):
        return "ribs"
    if has_word(_SHOULDER, text):
        return "shoulder"
    return "other"


def _bird(text: str, mass_kg: float | None, *, named: bool) -> Cut:
    if "whole" in text.split():
        return "poultry_whole"
    if has_word(_BIRD_PARTS, text):
        return "poultry_pieces"
    if mass_kg is not None and mass_kg >= WHOLE_BIRD_KG:
        return "poultry_whole"
    if mass_kg is not None and mass_kg <= BIRD_PART_KG:
        return "poultry_pieces"
    # "Chicken" with nothing else said is the bird.
    return "poultry_whole" if named else "other"


def cut_of_item(item: ItemAdded) -> Cut:
    """The cut of one piece of an item of the log."""
    return cut_of(f"{item.name} {item.label}", item.food, piece_kg(item), item.thickness_m)
