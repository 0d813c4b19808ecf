"""Which kind of food a name speaks of, as a first guess that can be changed.

The names are plain trade words as people type them; they are looked for, never shown, so they are
not translated. Which word stands for which kind is common practice, no source. Where several speak,
the one with the higher published minimum wins: "turkey sausage" is poultry.
"""

from __future__ import annotations

import re
from typing import Final

from smokejournal.cook.log.entries import FoodClass

FISH: Final = (
    r"fish|trout|salmon|char|mackerel|eels?|herring|carp|sturgeon|catfish|halibut|fillets?"
)
BIRDS: Final = r"birds?|chickens?|hens?|turkeys?|ducks?|geese|goose|capons?|pheasants?|poultry"
_MORE_BIRDS: Final = r"quails?|guineafowl|guinea fowl|wings?|drumsticks?|thighs?"
_GROUND: Final = (
    r"ground|minced?|sausages?|burgers?|patty|patties|loaf|loaves|meat ?loaf|meat ?balls?|kielbasa"
    r"|bratwursts?|brats?|hot ?dogs?|fatty|chorizo"
)
_HAM: Final = r"hams?|gammon"
_RED: Final = (
    r"pork|beef|veal|lamb|mutton|venison|brisket|ribs?|spare ?ribs?|shoulders?|butts?|loins?|chops?"
    r"|steaks?|tri ?tips?|bellies|belly|bacon|roasts?|shanks?|hocks?"
)
_ORDER: Final[tuple[tuple[FoodClass, str], ...]] = (
    ("poultry", f"{BIRDS}|{_MORE_BIRDS}"),
    ("ground", _GROUND),
    ("fish", FISH),
    ("ham", _HAM),
    ("red_meat", _RED),
)


def has_word(words: str, text: str) -> bool:
    """Whether one of the words (alternatives of a regular expression) stands in the text."""
    return re.search(rf"\b(?:{words})\b", text) is not None


def food_of(name: str) -> FoodClass | None:
    """The kind of food that a name speaks of; None where it says none."""
    text = name.casefold().replace("_", " ").replace("-", " ")
    if has_word(r"pulled pork|pork (?:fillets?|wings?)|beef fillets?", text):
        return "red_meat"
    return next((food for food, words in _ORDER if has_word(words, text)), None)
