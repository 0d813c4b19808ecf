"""The shopping list against sums laid out by hand, and against what the stores hold."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.fuel.rate import Estimate
from smokejournal.cook.log.brine_request import BrineAsked
from smokejournal.cook.log.entries import ItemAdded, PrepStep
from smokejournal.cook.plan.prep_progress import LivedStep
from smokejournal.cook.stores.shopping import ToBuy, shopping_list, shopping_text
from smokejournal.cook.stores.stock import StockLine
from smokejournal.cook.text.quantities import METRIC

LOAF = ItemAdded("meat loaf", "ground", mass_kg=1.2)
BRINE = PrepStep("brine", brine=BrineAsked("2 L water, 120 g salt, 60 g sugar", salt="sea salt"))
RUB = PrepStep("rub", "20 g salt, 8 g black pepper, a little luck")


def lived(*steps: PrepStep, state: str = "to_come") -> list[LivedStep]:
    return [LivedStep(f"p{n}", n, step, state) for n, step in enumerate(steps)]  # type: ignore[arg-type]


def by_name(lines: tuple[ToBuy, ...]) -> dict[str, ToBuy]:
    return {line.name: line for line in lines}


def test_what_is_needed_by_hand() -> None:
    lines = by_name(
        shopping_list(
            [LOAF, ItemAdded("corn", pieces=4, bought_at="market")],
            lived(BRINE, RUB),
            Estimate(2.0, 2.4, 3.0),
            [
                # 120 g are needed of this salt, 50 g are surely there: 70 g are to be bought.
                StockLine("salt", "Sea salt", 0.05, 0.06, 0.07, "kg"),
                # 3.0 kg at most, 1.5 kg surely there in two lots: 1.5 kg.
                StockLine("pellets", "beech", 1.0, 1.2, 1.4, "kg"),
                StockLine("pellets", "oak", 0.5, 0.5, 0.5, "kg"),
            ],
        )
    )
    assert lines["meat loaf"].buy_kg == 1.2
    assert not lines["4 × corn"].wanted
    assert lines["sea salt"].buy_kg == pytest.approx(0.07)
    assert lines["sugar"].buy_kg == pytest.approx(0.06)
    assert "water" not in lines
    assert lines["pellets"].buy_kg == pytest.approx(1.5)
    assert (lines["pellets"].left_low_kg, lines["pellets"].left_high_kg) == (
        1.5,
        pytest.approx(1.9),
    )


def test_the_same_thing_twice_is_one_line() -> None:
    lines = [
        line for line in shopping_list([], lived(RUB, RUB), None, []) if line.name == "black pepper"
    ]
    assert [line.buy_kg for line in lines] == [pytest.approx(0.016)]


def test_what_is_over_needs_nothing_more() -> None:
    for state in ("over", "under_way", "skipped"):
        names = by_name(shopping_list([], lived(BRINE, state=state), None, []))
        assert set(names) == {"pellets"}


def test_enough_is_said_to_be_enough() -> None:
    stock = [StockLine("pellets", "beech", 8.0, 9.0, 10.0, "kg")]
    (pellets,) = shopping_list([], [], Estimate(2.0, 2.4, 3.0), stock)
    assert not pellets.wanted
    assert "nothing, enough is there" in shopping_text("Loaf", [pellets], METRIC)


def test_what_isnt_known_is_told_and_never_taken_for_nothing() -> None:
    stock = [StockLine("pellets", "beech", None, None, None, "kg", why="bags not weighed")]
    (pellets,) = shopping_list([], [], None, stock, fuel_why="how long can't be known beforehand")
    assert pellets.wanted
    text = shopping_text("Loaf", [pellets], METRIC)
    assert "not known: look into the stores" in text
    assert "how long can't be known beforehand" in text
    assert "what is left of 1 lots isn't known" in text
    # More was written down as burned than as bought: that is no debt.
    overdrawn = [
        StockLine("pellets", "a", -2.0, -1.0, -0.5, "kg"),
        StockLine("pellets", "b", 1.0, 1.0, 1.0, "kg"),
    ]
    (pellets,) = shopping_list([], [], Estimate(2.0, 2.0, 2.0), overdrawn)
    assert pellets.buy_kg == 1.0


def test_food_without_a_mass_is_still_on_the_list() -> None:
    (food, _) = shopping_list([ItemAdded("ribs", label="two racks")], [], None, [])
    assert food.wanted
    assert "[ ] ribs: buy two racks" in shopping_text("Ribs", [food], METRIC)


def test_the_list_in_words_goes_by_groups_what_is_to_be_bought_first() -> None:
    lines = shopping_list(
        [ItemAdded("corn", price=2.0), LOAF],
        lived(BRINE, RUB, PrepStep("cure", "5 g cure #1")),
        None,
        [StockLine("salt", "Sea salt", 1.0, 1.0, 1.0, "kg")],
        fuel_why="no stage sets a pit temperature",
    )
    assert shopping_text("Loaf", lines, METRIC).split("\n\n") == [
        "Loaf",
        "Food\n[ ] meat loaf: buy 1.2 kg; needed: 1.2 kg\n[x] corn: bought",
        "Salt and cure, for brine and rub\n"
        "[ ] salt: buy 20 g; needed: 20 g\n"
        "[ ] cure #1: buy 5 g; needed: 5 g\n"
        "[x] sea salt: nothing, enough is there; needed: 120 g; in the stores: 1 kg",
        "Sugar, spices and the rest, for brine and rub\n"
        "[ ] sugar: buy 60 g; needed: 60 g\n"
        "[ ] black pepper: buy 8 g; needed: 8 g\n"
        "[ ] little luck: buy 1; needed: 1",
        "Fuel\n[ ] pellets: not known: look into the stores; no stage sets a pit temperature\n",
    ]
    # Nothing that is needed is lost in the grouping.
    assert shopping_text("", lines, METRIC).count("[") == len(lines)


@given(
    st.floats(0, 20),
    st.floats(0, 20),
    st.lists(st.floats(-5, 30), max_size=4),
)
def test_what_is_bought_and_left_is_enough_and_no_more_than_needed(
    low: float, more: float, left: list[float]
) -> None:
    need = Estimate(low, low + more / 2, low + more)
    stock = [StockLine("pellets", f"lot {n}", kg, kg, kg, "kg") for n, kg in enumerate(left)]
    (line,) = shopping_list([], [], need, stock)
    there = sum(max(0.0, kg) for kg in left)
    assert line.buy_kg is not None
    assert line.buy_kg + there >= need.high - 1e-9
    assert 0.0 <= line.buy_kg <= need.high
