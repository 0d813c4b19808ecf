"""Which cut an item is taken for: what its name says, and 'other' wherever it leaves it open."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.forecast.cut import cut_of, cut_of_item
from smokejournal.cook.log.entries import FoodClass, ItemAdded
from smokejournal.cook.plan.plan import piece_kg


@pytest.mark.parametrize(
    ("name", "food", "mass_kg", "cut"),
    [
        ("Side of trout", "fish", 0.6, "fish"),
        ("anything at all", "fish", None, "fish"),
        ("trout", "other", None, "fish"),
        ("Whole chicken", "poultry", None, "poultry_whole"),
        ("chicken", "poultry", 1.6, "poultry_whole"),
        ("chicken", "other", None, "poultry_whole"),
        ("Chicken thighs", "poultry", 0.2, "poultry_pieces"),
        ("turkey breast", "poultry", 2.5, "poultry_pieces"),
        ("from the farm", "poultry", 0.3, "poultry_pieces"),
        ("from the farm", "poultry", 4.0, "poultry_whole"),
        ("from the farm", "poultry", None, "other"),
        ("Meatloaf", "ground", None, "loaf"),
        ("beef and pork", "ground", 1.2, "loaf"),
        ("sausages", "ground", 0.12, "other"),
        ("Pork shoulder", "red_meat", 3.0, "shoulder"),
        ("Boston butt", "red_meat", None, "shoulder"),
        ("Brisket, packer", "red_meat", 6.0, "brisket"),
        ("Spare ribs", "red_meat", None, "ribs"),
        ("rib eye roast", "red_meat", 2.0, "other"),
        ("standing rib roast", "red_meat", 3.0, "other"),
        ("pork loin", "red_meat", 1.5, "other"),
        ("ham, cured", "ham", 4.0, "other"),
        ("tofu", "other", 0.5, "other"),
        ("", "other", None, "other"),
        ("cribs and butterfly", "red_meat", None, "other"),
        ("pork_shoulder", "other", None, "shoulder"),
    ],
)
def test_names(name: str, food: FoodClass, mass_kg: float | None, cut: str) -> None:
    assert cut_of(name, food, mass_kg) == cut


def test_an_items_mass_is_that_of_all_its_pieces() -> None:
    item = ItemAdded("chicken", "poultry", mass_kg=3.2, pieces=2)
    assert piece_kg(item) == pytest.approx(1.6)
    assert cut_of_item(item) == "poultry_whole"
    assert (
        cut_of_item(ItemAdded("from the farm", "poultry", mass_kg=1.5, pieces=6))
        == "poultry_pieces"
    )
    assert cut_of_item(ItemAdded("ground", "ground", mass_kg=1.0, thickness_m=0.02)) == "other"


@given(
    st.text(max_size=30), st.sampled_from(["red_meat", "poultry", "ground", "fish", "ham", "other"])
)
def test_any_name_is_taken(name: str, food: FoodClass) -> None:
    assert cut_of(name, food) in (
        "fish", "poultry_pieces", "poultry_whole", "ribs", "loaf", "shoulder", "brisket", "other",
    )  # fmt: skip
