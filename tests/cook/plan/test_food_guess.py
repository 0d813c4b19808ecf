"""A name says which kind of food it is; of two kinds the one with the higher minimum."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.plan.food_guess import food_of
from smokejournal.cook.safety.cautions import SAFE_MINIMUM


@pytest.mark.parametrize(
    ("name", "food"),
    [
        ("Pork shoulder", "red_meat"),
        ("beef brisket, packer", "red_meat"),
        ("Spare-ribs", "red_meat"),
        ("pork fillet", "red_meat"),
        ("tri-tip", "red_meat"),
        ("whole chicken", "poultry"),
        ("wings", "poultry"),
        ("duck breasts", "poultry"),
        ("turkey sausage", "poultry"),
        ("ground turkey", "poultry"),
        ("chicken thighs with paprika", "poultry"),
        ("coarse pork sausages", "ground"),
        ("meatloaf", "ground"),
        ("hot dogs", "ground"),
        ("trout sides", "fish"),
        ("Mackerel", "fish"),
        ("halibut steaks", "fish"),
        ("fresh ham", "ham"),
        ("ham hock", "ham"),
        ("cheddar", None),
        ("", None),
        ("hampster", None),
        ("porkless", None),
    ],
)
def test_names(name: str, food: str | None) -> None:
    assert food_of(name) == food


KINDS = {
    "chicken": "poultry",
    "sausage": "ground",
    "trout": "fish",
    "ham": "ham",
    "pork": "red_meat",
}


@given(st.permutations(list(KINDS)), st.integers(1, 5))
def test_never_the_kind_with_the_lower_minimum(words: list[str], count: int) -> None:
    said = words[:count]
    food = food_of(" ".join(said))
    assert food is not None
    highest = max(SAFE_MINIMUM[KINDS[word]].temperature_c for word in said)  # type: ignore[index]
    assert SAFE_MINIMUM[food].temperature_c == highest
