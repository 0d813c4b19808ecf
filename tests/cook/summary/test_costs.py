"""What a cook cost. The sums are worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from smokejournal.cook.log.entries import ItemAdded, Served
from smokejournal.cook.progress.hopper import Amount, HopperStory, hopper
from smokejournal.cook.summary.costs import costs
from smokejournal.cook.summary.sheet_sections import cost_lines

NONE = hopper((), 0.0, (None, None))


def fuel(*paid: tuple[str, Amount], unpriced: tuple[str, ...] = ()) -> HopperStory:
    return replace(NONE, costs=paid, unpriced=unpriced)


def test_food_pellets_and_the_rest_for_each_serving() -> None:
    items = [
        ItemAdded("ribs", price=30.0, currency="EUR"),
        ItemAdded("corn", price=6.0, currency="EUR"),
    ]
    found = costs(items, fuel(("EUR", Amount(2.4, 0.3))), Served(6, 3.6, "EUR"))
    assert found is not None
    assert (found.food, found.pellets, found.rest) == (36.0, 2.4, 3.6)
    assert found.total == pytest.approx(42.0)
    assert found.per_serving == pytest.approx(7.0)
    assert cost_lines(found) == [
        "Cost: food 36.00 EUR, pellets 2.40 ± 0.30 EUR, the rest 3.60 EUR; 42.00 ± 0.30 EUR in all. "
        "7.00 ± 0.05 EUR for each of 6 servings."
    ]


def test_without_a_price_nothing_is_said_and_one_that_lacks_is_named() -> None:
    assert costs([ItemAdded("ribs")], NONE, Served(4)) is None
    assert cost_lines(None) == []
    found = costs(
        [ItemAdded("ribs", price=20.0, currency="USD"), ItemAdded("corn")],
        fuel(unpriced=("Oak, bag B",)),
        None,
    )
    assert found is not None
    assert found.unpriced == ("corn", "Oak, bag B")
    assert found.per_serving is None
    assert cost_lines(found)[1] == "Without “corn”, “Oak, bag B”, for which no price was noted."


def test_currencies_are_never_added_up() -> None:
    found = costs(
        [ItemAdded("ribs", price=20.0, currency="USD")], fuel(("EUR", Amount(3.0))), Served(1)
    )
    assert found is not None
    assert (found.currency, found.total, found.other_currencies) == ("USD", 20.0, ("EUR",))
    assert "left out: what was paid in EUR" in cost_lines(found)[-1]
    assert "20.00 USD for the one serving." in cost_lines(found)[0]
