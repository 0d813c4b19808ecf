"""Which schedule is offered first for what is on the plan."""

from __future__ import annotations

import pytest

from smokejournal.cook.log.entries import FoodClass, ItemAdded
from smokejournal.cook.plan.starter_schedules import fitting_first, starters
from smokejournal.cook.text.quantities import METRIC, US, Units


@pytest.mark.parametrize("units", [METRIC, US])
@pytest.mark.parametrize(
    ("name", "food", "first"),
    [
        ("pork shoulder", "red_meat", "Low and slow with a wrap"),
        ("Spare ribs", "red_meat", "Ribs by time"),
        ("chicken thighs", "poultry", "Poultry pieces"),
        ("trout", "fish", "Hot-smoked fish"),
        ("oysters", "other", "Low and slow with a wrap"),
    ],
)
def test_what_fits_comes_first_and_none_is_left_out(
    units: Units, name: str, food: FoodClass, first: str
) -> None:
    offered = fitting_first([ItemAdded(name, food)], units)
    assert offered[0].name == first
    assert sorted(s.name for s in offered) == sorted(s.name for s in starters(units))


def test_of_two_foods_both_come_before_the_rest() -> None:
    items = [ItemAdded("trout", "fish"), ItemAdded("wings", "poultry")]
    assert {s.name for s in fitting_first(items)[:2]} == {"Hot-smoked fish", "Poultry pieces"}
