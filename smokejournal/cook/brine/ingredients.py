"""What goes into a brine: by what names, how heavy by the litre, and what of it is water, salt, sugar.

Densities are those of household measures (a heaped-up cup, not the grain) [kg/L], from the least to
the most that was read. Sources: USDA National Nutrient Database SR28, files WEIGHT and NUT_DATA;
conversion pages and weighings for coarse salts. All stand in tests/reference
(household_measures_sr28, salt_sugar_volume_mass) and are compared in tests/cook/brine/test_ingredients.py.

Where one publisher alone gives a dry measure, its ends are put a fifth below and above: a spoon of
table salt, carefully weighed five times, came out a fifth lighter than published.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Literal

from smokejournal.cook.log.brine_request import Grain
from smokejournal.science.numbers.spread import Spread
from smokejournal.science.numbers.units import L_PER_US_GALLON

Kind = Literal["water", "salt", "cure", "sugar", "liquid", "spice", "refused"]

SPOON_SHARE = 0.2
"""How far a spoonful may be from its published weight, either way."""

CUP_SHARE = 0.05
"""How far the next cup may be from one that was weighed, either way (common practice, no source)."""

L_PER_US_CUP = L_PER_US_GALLON / 16


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One thing a line may name. `density` None: it has to be weighed.

    `words` are those that may stand beside its name without making it something else.
    """

    key: str
    kind: Kind
    names: tuple[str, ...]
    density: Spread | None = None
    water: float = 0.0
    salt: float = 0.0
    sugar: float = 0.0
    words: frozenset[str] = frozenset()

    @property
    def is_liquid(self) -> bool:
        """True where an ounce may be one of volume."""
        return self.kind in ("water", "liquid")


def _about(density: float) -> Spread:
    return Spread(density * (1 - SPOON_SHARE), density, density * (1 + SPOON_SHARE))


def _range(*densities: float) -> Spread:
    """From the least to the most; likely is the middle of both."""
    low, high = min(densities), max(densities)
    return Spread(low, (low + high) / 2, high)


def _set(words: str) -> frozenset[str]:
    return frozenset(words.split())


def _spoons(*densities: float) -> Spread:
    """Spoons of one publisher: around the mean of its own, a fifth either way."""
    return _about(sum(densities) / len(densities))


#: A cup of each grain: fine is table, pickling and fine sea salt; dense is rolled coarse; flake is
#: hollow coarse flakes; finishing is large thin flakes (one page alone).
GRAINS: dict[Grain, Spread] = {
    "fine": Spread(0.9752, 1.2173, 1.2342),
    "dense": Spread(0.8454, 0.9510, 1.0186),
    "flake": Spread(0.5917, 0.6002, 0.6340),
    "finishing": _about(0.4861),
    # "Coarse" doesn't say whether dense or hollow, and "salt" says nothing.
    "coarse": _range(0.5917, 1.0186),
    "": _range(0.5917, 1.2342),
}

_COOL = _set(
    "cold cool cooled warm hot boiling tap filtered fresh iced chilled ice-cold ice clean distilled"
)
_PURE = _set("plain non-iodized iodized noniodized additive-free pure natural")
_CUT = _set(
    """ground whole cracked crushed dried dry fresh freshly toasted minced chopped sliced peeled smashed
    bruised torn large small medium coarsely finely roughly coarse fine crumbled black leaf clove sprig
    stick berry seed corn powder"""
)
_SALT_MOLAR = 58.443 / 22.990 / 1e5
"""Salt in a share, from sodium in mg per 100 g."""


def _salt(key: Grain, *names: str) -> Ingredient:
    return Ingredient(f"salt_{key}", "salt", names, GRAINS[key], salt=1.0, words=_PURE)


def _refused(key: str, *names: str) -> Ingredient:
    return Ingredient(key, "refused", names)


def _sugar(
    key: str, density: Spread, *names: str, water: float = 0.0, sugar: float = 1.0, words: str = ""
) -> Ingredient:
    return Ingredient(key, "sugar", names, density, water=water, sugar=sugar, words=_set(words))


def _brown_sugar(key: str, density: Spread, *names: str, words: str = "light dark") -> Ingredient:
    return _sugar(key, density, *names, water=0.0134, sugar=0.9702, words=words)


def _juice(key: str, density: float, name: str, water: float, sugar: float) -> Ingredient:
    exact = Spread.exact(density)
    return Ingredient(key, "liquid", (name,), exact, water=water, sugar=sugar, words=_COOL)


def _spice(key: str, *names: str, density: Spread | None = None) -> Ingredient:
    return Ingredient(key, "spice", names, density, words=_CUT)


INGREDIENTS: tuple[Ingredient, ...] = (
    Ingredient("water", "water", ("water",), Spread(0.998, 1.0, 1.0017), water=1.0, words=_COOL),
    Ingredient("ice", "water", ("ice", "ice cube", "crushed ice"), water=1.0),
    _salt("fine", "table salt", "fine salt", "pickling salt", "canning salt", "fine sea salt"),
    _salt("dense", "dense coarse salt", "dense kosher salt", "rolled coarse salt"),
    _salt("flake", "hollow flake salt", "hollow flake kosher salt", "flake kosher salt"),
    _salt("finishing", "flaky sea salt", "flaky salt", "finishing salt", "sea salt flake"),
    _salt("coarse", "coarse salt", "kosher salt", "coarse kosher salt", "coarse sea salt"),
    _salt("", "salt", "sea salt", "rock salt"),
    Ingredient("cure", "cure", ("curing salt",), salt=1.0),
    _refused("nitrate", "saltpeter", "saltpetre", "potassium nitrate", "sodium nitrate", "nitrate"),
    _refused("nitrite", "sodium nitrite", "potassium nitrite", "nitrite"),
    _refused("pink", "pink salt"),
    _sugar(
        "white_sugar",
        _spoons(0.8454, 0.8521),
        *("sugar", "white sugar", "granulated sugar", "cane sugar"),
        words="white granulated",
    ),
    _brown_sugar(
        "brown_sugar_packed",
        _spoons(0.9299, 0.9333),
        *("packed brown sugar", "brown sugar packed", "firmly packed brown sugar"),
        words="firmly light dark",
    ),
    _brown_sugar(
        "brown_sugar_loose",
        _spoons(0.6087, 0.6129),
        *("unpacked brown sugar", "loose brown sugar", "brown sugar loose", "brown sugar unpacked"),
    ),
    _brown_sugar("brown_sugar", _range(0.6087, 0.9333), "brown sugar"),
    _sugar(
        "powdered_sugar",
        _range(0.4227, 0.5410),
        *("powdered sugar", "icing sugar", "confectioner sugar"),
        sugar=0.9781,
    ),
    _sugar("honey", _range(1.4202, 1.4329), "honey", water=0.1710, sugar=0.8212),
    _sugar("molasses", _range(1.3526, 1.4244), "molasses", water=0.2187, sugar=0.7472),
    _sugar("maple_syrup", _range(1.3314, 1.4033), "maple syrup", water=0.3239, sugar=0.6046),
    _juice("apple_juice", 1.0482, "apple juice", water=0.8824, sugar=0.0962),
    _juice("orange_juice", 1.0482, "orange juice", water=0.8830, sugar=0.0840),
    _juice("lemon_juice", 1.0313, "lemon juice", water=0.9231, sugar=0.0252),
    Ingredient(
        "cider_vinegar",
        "liquid",
        ("cider vinegar", "apple cider vinegar"),
        _range(1.0077, 1.0144),
        water=0.9381,
    ),
    Ingredient(
        "white_vinegar",
        "liquid",
        ("white vinegar", "distilled vinegar", "distilled white vinegar"),
        _range(1.0060, 1.0144),
        water=0.9478,
    ),
    Ingredient(
        "soy_sauce",
        "liquid",
        ("soy sauce",),
        _range(1.0753, 1.0820),
        water=0.7115,
        salt=5493 * _SALT_MOLAR,
    ),
    _spice("allspice", "allspice", "ground allspice", density=_spoons(0.3855, 0.4058)),
    _spice("bay", "crumbled bay leaf", density=_spoons(0.1217)),
    _spice("caraway", "caraway", "caraway seed", density=_spoons(0.4261, 0.4531)),
    _spice("cinnamon", "ground cinnamon", density=_spoons(0.5275)),
    _spice("cloves", "ground clove", density=_spoons(0.4261, 0.4396)),
    _spice("coriander", "coriander seed", density=_spoons(0.3652, 0.3381)),
    _spice("cumin", "cumin", "cumin seed", density=_spoons(0.4261, 0.4058)),
    _spice("dill", "dried dill", "dill weed", density=_spoons(0.2029, 0.2096)),
    _spice("fennel", "fennel seed", density=_spoons(0.4058, 0.3922)),
    _spice("garlic_powder", "garlic powder", density=_spoons(0.6289, 0.6560)),
    _spice("ginger", "ground ginger", density=_spoons(0.3652, 0.3517)),
    _spice("mustard", "ground mustard", "mustard powder", "dry mustard", density=_about(0.4160)),
    _spice("nutmeg", "nutmeg", density=_spoons(0.4463, 0.4734)),
    _spice("onion_powder", "onion powder", density=_spoons(0.4869, 0.4666)),
    _spice("paprika", "paprika", "smoked paprika", "sweet paprika", density=_about(0.4633)),
    _spice("parsley", "dried parsley", density=_spoons(0.1014, 0.1082)),
    # Ground or whole isn't always said, and cracked lies between the two.
    _spice("pepper", "pepper", "black pepper", "cracked pepper", density=_range(0.4666, 0.5884)),
    _spice("ground_pepper", "ground pepper", "ground black pepper", density=_about(0.4666)),
    _spice("peppercorns", "peppercorn", "whole pepper", density=_about(0.5884)),
    _spice("cayenne", "cayenne", "cayenne pepper", "red pepper", density=_about(0.3618)),
    _spice("white_pepper", "ground white pepper", density=_about(0.4836)),
    _spice("rosemary", "dried rosemary", density=_spoons(0.2435, 0.2232)),
    _spice("sage", "ground sage", density=_spoons(0.1420, 0.1353)),
    _spice("thyme", "dried thyme", density=_spoons(0.2029, 0.1826)),
    # Known by name; there is no published weight for a spoonful, so they count only when weighed.
    _spice(
        "other_spice",
        *"""bay|bay leaf|garlic|garlic clove|clove|whole clove|juniper|juniper berry|allspice berry|
        star anise|cinnamon stick|mustard seed|rosemary|rosemary sprig|thyme|thyme sprig|sage|dill|
        parsley|lemon|orange|lime|onion|shallot|ginger|chili flake|chile flake|pepper flake|
        red pepper flake|coriander|lemon zest|orange zest|orange peel|lemon peel|tea bag""".replace(
            "\n", ""
        ).split("|"),
    ),
)

BY_KEY: dict[str, Ingredient] = {item.key: item for item in INGREDIENTS}

_PINK_IS_ROCK = _set("himalayan himalaya mined rock")
_WORD = re.compile(r"[^\W\d_]+(?:[-'’][^\W\d_]+)*|[0-9]+|[^\W_]+")
#: Words that may stand in the name of a cure, and how its two kinds are numbered.
_CURE_WORDS = _set("cure curing pink salt nitrite weighed no nr num number type")
_FIRST, _SECOND = _set("1 one i"), _set("2 two ii second 2nd")
_NITRITE = _set("sodium potassium nitrite")
_MAY_BE_CURE = ("cure", "curing", "nitrite", "nitrate", "saltpeter", "saltpetre")
_IS_NO_CURE = _set("pure cur curd core sure care cube")
_SPOKEN = frozenset(("of", "the"))


def words_of(text: str) -> tuple[str, ...]:
    """The words of a name, small and in the singular: "Bay leaves" gives bay, leaf."""
    return tuple(_singular(word) for word in _WORD.findall(text.lower()))


def _singular(word: str) -> str:
    if word.endswith("leaves"):
        return word.removesuffix("ves") + "f"
    if word.endswith("ies") and len(word) > 4:
        return word.removesuffix("ies") + "y"
    if word.endswith("s") and not word.endswith("ss") and len(word) > 3:
        return word.removesuffix("s")
    return word


@lru_cache(maxsize=1)
def _by_length() -> tuple[tuple[tuple[str, ...], Ingredient], ...]:
    """Names as words, the longest first: "cider vinegar" before "cider"."""
    named = [(words_of(name), item) for item in INGREDIENTS for name in item.names]
    return tuple(sorted(named, key=lambda pair: -len(pair[0])))


def find_ingredient(words: Sequence[str]) -> Ingredient | None:
    """What a name of these words means, or None.

    Every word must belong to the name or be one that changes nothing: celery salt is no salt, and
    unsalted butter is no butter to speak of.
    """
    said = tuple(word for word in words if word not in _SPOKEN)
    if not said:
        return None
    if may_be_cure(" ".join(said)) and not {*said} <= _NITRITE:
        return _cure(frozenset(said))
    if {"pink", "salt"} < set(said) <= {"pink", "salt", "fine", "coarse"} | _PINK_IS_ROCK:
        return BY_KEY["salt_"]
    for name, item in _by_length():
        if set(name) <= set(said) and set(said) - set(name) <= item.words:
            return item
    return None


def _cure(said: frozenset[str]) -> Ingredient | None:
    """What kind of cure it is; None where a word or a number isn't known, for that may matter."""
    if any(word.startswith(("nitrat", "saltpet")) for word in said):
        return BY_KEY["nitrate"]
    numbers = said - _CURE_WORDS
    if numbers & _SECOND and numbers <= _FIRST | _SECOND:
        return BY_KEY["nitrate"]
    if numbers and numbers <= _FIRST:
        return BY_KEY["cure"]
    if numbers:
        return None
    if {"curing", "salt"} <= said:
        return BY_KEY["cure"]
    if {"pink", "salt"} <= said:
        return BY_KEY["pink"]
    return None


def is_numbered(name: str) -> bool:
    """True for "cure #1", False for "curing salt", which may be of either kind."""
    return bool(_FIRST & set(words_of(name)))


def may_be_cure(text: str) -> bool:
    """True where a cure is named in `text`, even with one letter wrong, left out or too many."""
    said = words_of(text)
    # "Salt petre": a space is as easily too many as a letter.
    said = (*said, *(a + b for a, b in pairwise(said)))
    words = [word for word in said if word not in _IS_NO_CURE]
    if any(stem in word for word in words for stem in ("cure", "curing", "nitrit", "nitrat")):
        return True
    if any(_alike(word, name) for word in words for name in _MAY_BE_CURE):
        return True
    pink = any(_alike(word, "pink") for word in words)
    return pink and any(_alike(word, "salt") for word in words) and not _PINK_IS_ROCK & set(words)


def _alike(word: str, name: str) -> bool:
    """True where one letter is wrong, left out or too many, or two beside each other are swapped."""
    at = next((i for i, (a, b) in enumerate(zip(word, name, strict=False)) if a != b), None)
    if at is None:
        return abs(len(word) - len(name)) <= 1
    one, other = word[at:], name[at:]
    return (
        one[1:] == other[1:]
        or one[1:] == other
        or one == other[1:]
        or (one[:2] == other[1::-1] and one[2:] == other[2:])
    )


def with_grain(item: Ingredient, grain: Grain, cup_g: float | None = None) -> Ingredient:
    """A salt that doesn't say its grain, taken for this one. What the line says itself stays.

    `cup_g` is what the person's own cup of it weighed [g]: that goes before any table.
    """
    if item.key in ("salt_", "salt_coarse") and cup_g is not None:
        density = cup_g / 1000 / L_PER_US_CUP
        own = Spread(density * (1 - CUP_SHARE), density, density * (1 + CUP_SHARE))
        return replace(item, key="salt_own", density=own)
    if item.key in ("salt_", "salt_coarse") and grain:
        return BY_KEY[f"salt_{grain}"]
    return item
