"""Ingredients: every density against the table it was read from, and names that mustn't be mixed up."""

from __future__ import annotations

import pytest

from smokejournal.cook.brine.ingredients import (
    BY_KEY,
    GRAINS,
    INGREDIENTS,
    SPOON_SHARE,
    find_ingredient,
    with_grain,
    words_of,
)
from smokejournal.cook.brine.measures import UNITS, parse_volume, unit_of, volume
from smokejournal.cook.text.numbers import QuantityError
from tests.reference.tables import rows

#: Rows of USDA SR28 (household_measures_sr28) that each ingredient is read from.
SR28 = {
    "water": ("Beverages, water, tap, drinking", ""),
    "white_sugar": ("Sugars, granulated", ""),
    "brown_sugar_packed": ("Sugars, brown", " packed"),
    "brown_sugar_loose": ("Sugars, brown", "unpacked"),
    "powdered_sugar": ("Sugars, powdered", ""),
    "honey": ("Honey", ""),
    "molasses": ("Molasses", ""),
    "maple_syrup": ("Syrups, maple", ""),
    "apple_juice": ("Apple juice", ""),
    "orange_juice": ("Orange juice", ""),
    "lemon_juice": ("Lemon juice", ""),
    "cider_vinegar": ("Vinegar, cider", ""),
    "white_vinegar": ("Vinegar, distilled", ""),
    "soy_sauce": ("Soy sauce", ""),
    "allspice": ("Spices, allspice", ""),
    "bay": ("Spices, bay leaf", ""),
    "caraway": ("Spices, caraway", ""),
    "cinnamon": ("Spices, cinnamon", ""),
    "cloves": ("Spices, cloves", ""),
    "coriander": ("Spices, coriander seed", ""),
    "cumin": ("Spices, cumin", ""),
    "dill": ("Spices, dill weed", ""),
    "fennel": ("Spices, fennel", ""),
    "garlic_powder": ("Spices, garlic powder", ""),
    "ginger": ("Spices, ginger", ""),
    "mustard": ("Spices, mustard", ""),
    "nutmeg": ("Spices, nutmeg", ""),
    "onion_powder": ("Spices, onion powder", ""),
    "paprika": ("Spices, paprika", ""),
    "parsley": ("Spices, parsley", ""),
    "pepper": ("Spices, pepper, black", ""),
    "ground_pepper": ("Spices, pepper, black", "ground"),
    "peppercorns": ("Spices, pepper, black", "whole"),
    "cayenne": ("Spices, pepper, red", ""),
    "white_pepper": ("Spices, pepper, white", ""),
    "rosemary": ("Spices, rosemary", ""),
    "sage": ("Spices, sage", ""),
    "thyme": ("Spices, thyme", "leaves"),
}
TABLE = rows("household_measures_sr28")
SALTS = rows("salt_sugar_volume_mass")


def published(key: str) -> list[dict[str, str]]:
    name, measure = SR28[key]
    found = [
        row for row in TABLE if row["description"].startswith(name) and measure in row["measure"]
    ]
    assert found, key
    return found


@pytest.mark.parametrize("key", SR28)
def test_the_published_weight_is_within_its_ends(key: str) -> None:
    item = BY_KEY[key]
    assert item.density is not None
    values = [float(row["density_g_per_mL"]) for row in published(key)]
    for value in values:
        assert item.density.low - 1e-4 <= value <= item.density.high + 1e-4
    middle = (min(values) + max(values)) / 2
    assert item.density.mid == pytest.approx(middle, rel=0.01)
    if item.kind == "spice":
        assert item.density.low <= (1 - SPOON_SHARE) * max(values) + 1e-4 or key == "pepper"


@pytest.mark.parametrize("key", [k for k in SR28 if BY_KEY[k].kind in ("sugar", "liquid")])
def test_what_is_water_sugar_and_salt(key: str) -> None:
    item, row = BY_KEY[key], published(key)[0]
    if key != "white_sugar":
        assert item.sugar == pytest.approx(float(row["sugars_g_per_100g"]) / 100, abs=0.0045)
        assert item.water == pytest.approx(float(row["water_g_per_100g"]) / 100, abs=0.0025)
    # 58.443 g of salt for 22.990 g of sodium; the little in the others isn't counted.
    salt = float(row["sodium_mg_per_100g"]) / 1e5 * 58.443 / 22.990
    assert item.salt == pytest.approx(salt, abs=0.001)


def test_every_ingredient_with_a_weight_was_read() -> None:
    for item in INGREDIENTS:
        if item.density is not None and item.kind != "salt" and item.key != "brown_sugar":
            assert item.key in SR28


@pytest.mark.parametrize(
    ("grain", "materials"),
    [
        ("fine", ("table salt",)),
        ("dense", ("coarse kosher salt, rolled dense flake",)),
        ("flake", ("kosher salt, light hollow flake",)),
        ("finishing", ("flaky finishing sea salt",)),
    ],
)
def test_grains_of_salt(grain, materials) -> None:
    """From the least to the most that was read; not the page that contradicts all others."""
    values = [
        float(row["bulk_density_g_per_mL"])
        for row in SALTS
        if row["material"] in materials
        and row["provenance"] == "READ"
        and "CAUTION" not in row["unit"]
    ]
    spread = GRAINS[grain]
    if len(values) > 1:
        assert spread.low == pytest.approx(min(values), abs=1e-4)
        assert spread.high == pytest.approx(max(values), abs=1e-4)
        assert min(abs(value - spread.mid) for value in values) < 1e-4
    else:
        assert spread.mid == pytest.approx(values[0], abs=1e-4)
        assert spread.low < 0.81 * values[0]


def test_what_is_not_said_takes_all_grains_in() -> None:
    assert GRAINS["coarse"].low == GRAINS["flake"].low
    assert GRAINS["coarse"].high == GRAINS["dense"].high
    assert GRAINS[""].low == GRAINS["flake"].low
    assert GRAINS[""].high == GRAINS["fine"].high
    # Extension bulletins' "salt", 252 to 272 g a cup, lies within.
    for row in SALTS:
        if row["material"].startswith("salt, extension"):
            assert GRAINS[""].low < float(row["bulk_density_g_per_mL"]) < GRAINS[""].high
    salt = BY_KEY["salt_"]
    assert with_grain(salt, "flake").density == GRAINS["flake"]
    assert with_grain(BY_KEY["salt_fine"], "flake").density == GRAINS["fine"]
    # A cup weighed by hand, 236.588 mL: 240 g are 1.0144 kg/L, whatever the grain is said to be.
    own = with_grain(salt, "flake", 240.0).density
    assert own is not None
    assert (own.low, own.mid, own.high) == pytest.approx((0.9637, 1.0144, 1.0651), abs=1e-4)
    assert with_grain(BY_KEY["salt_fine"], "", 240.0).density == GRAINS["fine"]
    assert with_grain(BY_KEY["water"], "flake") is BY_KEY["water"]


def test_a_fifth_is_what_a_weighing_differed_by() -> None:
    table, weighed = (
        next(
            float(row["mass_g"])
            for row in SALTS
            if row["material"] == "table salt" and row["unit"] == unit
        )
        for unit in ("tbsp", "tbsp (mean of 5 weighings)")
    )
    assert 1 - weighed / table == pytest.approx(SPOON_SHARE, abs=0.01)


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("Water", "water"),
        ("ice-cold filtered water", "water"),
        ("coarse salt", "salt_coarse"),
        ("kosher salt", "salt_coarse"),
        ("table salt", "salt_fine"),
        ("sea salt", "salt_"),
        ("flaky sea salt", "salt_finishing"),
        ("pink Himalayan salt", "salt_"),
        ("curing salt", "cure"),
        ("pink curing salt", "cure"),
        ("cure #1", "cure"),
        ("cure no. 1", "cure"),
        ("pink salt #1", "cure"),
        ("cure", None),
        ("cure #3", None),
        ("sugar cure", None),
        ("cure #2", "nitrate"),
        ("curing salt #2", "nitrate"),
        ("pink salt no. 2", "nitrate"),
        ("pink salt 2", "nitrate"),
        ("cure two", "nitrate"),
        ("No 2 cure", "nitrate"),
        ("cure2", "nitrate"),
        ("cure-2", "nitrate"),
        ("number II pink curing salt", "nitrate"),
        ("cures 1 and 2", None),
        ("cures 1, 2", "nitrate"),
        ("pink Himalayan curing salt", None),
        ("pink Himalayan salt 2", None),
        ("curing salt with nitrate", "nitrate"),
        ("pink salt", "pink"),
        ("sodium nitrite", "nitrite"),
        ("saltpeter", "nitrate"),
        ("celery salt", None),
        ("garlic salt", None),
        ("unsalted butter", None),
        ("salt pork", None),
        ("salt substitute", None),
        ("rose water", None),
        ("brown sugar", "brown_sugar"),
        ("packed dark brown sugar", "brown_sugar_packed"),
        ("apple cider vinegar", "cider_vinegar"),
        ("apple cider", None),
        ("freshly cracked black pepper", "pepper"),
        ("black peppercorns, crushed", "peppercorns"),
        ("bay leaves", "other_spice"),
        ("juniper berries", "other_spice"),
        ("", None),
        ("of the", None),
    ],
)
def test_names(name: str, key: str | None) -> None:
    found = find_ingredient(words_of(name))
    assert (found.key if found else None) == key


def test_units_against_the_published_measures() -> None:
    published_ml = {row["unit"]: float(row["mL"]) for row in rows("volume_measures") if row["mL"]}
    for ours, theirs in (
        ("tsp", "US teaspoon"),
        ("tbsp", "US tablespoon"),
        ("fl oz", "US fluid ounce"),
        ("cup", "US cup"),
        ("pt", "US pint"),
        ("qt", "US quart"),
        ("gal", "US gallon"),
    ):
        unit = unit_of(ours)
        assert unit is not None
        assert unit.size * 1000 == pytest.approx(published_ml[theirs], rel=1e-12)
    for ours, theirs in (("oz", "ounce avoirdupois (g)"), ("lb", "pound (g)")):
        unit = unit_of(ours)
        assert unit is not None
        assert unit.size * 1000 == pytest.approx(published_ml[theirs], rel=1e-12)
    assert len({name for unit in UNITS for name in unit.names}) == sum(
        len(unit.names) for unit in UNITS
    )


def test_a_large_t_is_a_tablespoon() -> None:
    assert [unit_of(t).key for t in ("T", "t", "T.", "c", "#")] == [  # type: ignore[union-attr]
        "tbsp",
        "tsp",
        "tbsp",
        "cup",
        "lb",
    ]


def test_a_vessel() -> None:
    assert parse_volume("12", True, "") == 12
    assert parse_volume("3 gal", True, "") == pytest.approx(11.356, abs=0.001)
    assert parse_volume("12 qt", False, "") == parse_volume("12", False, "")
    assert volume(3.785411784, False) == "4 qt"
    assert volume(0.25, True) == "250 mL"
    for wrong in ("", "5 kg", "0", "-3 L", "1e9", "many"):
        with pytest.raises(QuantityError) as told:
            parse_volume(wrong, True, "Vessel")
        assert "Vessel: Type a volume from" in told.value.message
