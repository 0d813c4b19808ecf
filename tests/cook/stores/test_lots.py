"""Lots of fuel."""

import pytest

from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import check


def test_the_price_of_a_kilogram_follows_from_bag_and_price() -> None:
    assert Lot(0, "Beech, autumn", bag_kg=8.0, price=12.0).price_per_kg == 1.5
    assert Lot(0, "Beech, autumn", bag_kg=8.0).price_per_kg is None
    assert Lot(0, "Beech, autumn", price=12.0).price_per_kg is None


@pytest.mark.parametrize(
    ("lot", "where"),
    [
        (Lot(0, " "), "name"),
        (Lot(0, "Beech", bag_kg=0.0), "bag_kg"),
        (Lot(0, "Beech", bag_kg=float("nan")), "bag_kg"),
        (Lot(0, "Beech", price=-1.0), "price"),
        (Lot(0, "Beech", bags_bought=float("inf")), "bags_bought"),
    ],
)
def test_a_lot_that_can_not_be_is_refused_beside_its_field(lot: Lot, where: str) -> None:
    with pytest.raises(SchemaProblem) as refused:
        check(lot)
    assert refused.value.where == where


def test_a_lot_may_be_little_known() -> None:
    check(Lot(0, "Beech"))
