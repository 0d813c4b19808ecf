"""A refused cure stays refused, whatever is added to its line or misspelled in it."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from smokejournal.cook.brine.ingredients import INGREDIENTS, may_be_cure
from smokejournal.cook.brine.sums import BrineSums, brine_sums
from smokejournal.cook.brine.words import groups, step_of
from smokejournal.cook.log.brine_request import BrineAsked
from smokejournal.cook.text.quantities import METRIC

#: 20 g at 6.25 % in 1.08 kg of pickle, a tenth of it pumped in: 114 ppm. Method Two on 1 kg: 601 ppm.
PUMPED = BrineAsked(
    "1 L water, 60 g salt, 20 g cure #1",
    food_kg=1.0,
    product="whole",
    method="pumped",
    nitrite_pct=6.25,
    pickup_pct=10.0,
)
OVER = replace(PUMPED, line="1 L water, 60 g salt, 60 g cure #1")
FOODS = (
    "5 kg pork belly",
    "11 lb brisket",
    "3 kg chicken thighs",
    "2 kg onions",
    "4 lb lemons",
    "3 kg garlic",
    "10 kg stock cubes",
    "2 kg peppercorns",
)


def stops(sums: BrineSums) -> str:
    return " ".join(w.text for w in sums.warnings if w.weight == "stop")


def looks(sums: BrineSums) -> str:
    return " ".join(w.text for w in sums.warnings if w.weight == "look")


@pytest.mark.parametrize("food", FOODS)
@pytest.mark.parametrize("method", ["pumped", "immersion_one", "immersion_two"])
def test_food_in_the_line_is_no_pickle(food: str, method) -> None:
    asked = replace(OVER, method=method)
    assert "Too much nitrite" in stops(brine_sums(asked))
    for joined in (", ", " ", "\n", " and "):
        with_food = brine_sums(replace(asked, line=f"{asked.line}{joined}{food}"))
        assert with_food.is_refused
        assert with_food.pickle_kg.high <= brine_sums(asked).pickle_kg.high


def test_what_is_no_part_of_the_pickle_is_asked_about() -> None:
    assert not brine_sums(PUMPED).is_refused
    sums = brine_sums(replace(PUMPED, line=f"{PUMPED.line}, 1 kg pork belly"))
    assert sums.cure is None
    assert "“pork belly” isn't understood, so no limit counts as met" in stops(sums)
    # Spices are no pickle either, but they are understood.
    spiced = brine_sums(replace(PUMPED, line=f"{PUMPED.line}, 1 kg garlic, 3 bay leaves"))
    assert spiced.cure == brine_sums(PUMPED).cure


def test_pumped_salt_is_not_thinned_by_food() -> None:
    """Salt pumped in is that of the pickle, not of pickle and food."""
    line = "1 L water, 100 g salt"
    plain, more = (
        brine_sums(BrineAsked(text, food_kg=1.0, method="pumped", pickup_pct=10.0))
        for text in (line, f"{line}, 5 kg pork belly")
    )
    assert more.even == plain.even
    assert more.total_kg == plain.total_kg
    shown = [row.value for group in groups(more, METRIC) for row in group.rows]
    assert "5 kg, not in these sums" in shown
    assert "not understood: “pork belly”" in step_of(more, METRIC).text


@pytest.mark.parametrize(
    "name",
    [
        "curing salt #2",
        "curing salt # 2",
        "curing salt no. 2",
        "curing salt 2",
        "curing salt two",
        "curing salt number two",
        "curing salt type 2",
        "curing salt II",
        "pink salt #2",
        "pink salt no. 2",
        "pink salt no 2",
        "pink salt 2",
        "pink salt two",
        "pink curing salt 2",
        "cure #2",
        "cure 2",
        "cure2",
        "cure-2",
        "Cure No.2",
        "cure nr. 2",
        "cure number 2",
        "cure two",
        "cure (#2)",
        "cure, #2",
        "No 2 cure",
        "no. 2 curing salt",
        "#2 cure",
        "#2 pink salt",
        "number two cure",
        "second cure",
        "cure № 2",
        "CURE #２",
        "nitrate cure",
        "curing salt with nitrate",
        "saltpetre",
    ],
)
@pytest.mark.parametrize(
    "line", ["40 g salt, 2.4 g {}", "{} 2.4 g, salt 40 g", "2.4 g {} 40 g salt"]
)
@pytest.mark.parametrize("product", ["bacon", ""])
def test_the_second_kind_is_refused_however_it_is_written(name: str, line: str, product) -> None:
    asked = BrineAsked(
        line.format(name), food_kg=2.0, product=product, method="dry", nitrite_pct=6.25
    )
    sums = brine_sums(asked)
    assert sums.is_refused
    assert sums.cure is None
    if product == "":
        assert "nitrate" in stops(sums) or "may hold nitrite" in stops(sums)


@pytest.mark.parametrize(
    "name",
    [
        "cure",
        "cure #3",
        "cure #",
        "curing salt #",
        "curing mix",
        "sugar cure",
        "pink salt",
        "curing salt x",
    ],
)
def test_an_unknown_cure_gives_no_figure(name: str) -> None:
    sums = brine_sums(
        BrineAsked(
            f"40 g salt, 2.4 g {name}", food_kg=2.0, product="bacon", method="dry", nitrite_pct=6.25
        )
    )
    assert sums.is_refused
    assert sums.cure is None


def test_an_unnumbered_cure_is_to_be_looked_at() -> None:
    """Both kinds are sold with the same share of nitrite (common practice, no source)."""
    asked = replace(PUMPED, line="1 L water, 60 g salt, 20 g curing salt")
    assert "“curing salt” has no number" in looks(brine_sums(asked))
    assert "has no number" not in looks(brine_sums(PUMPED))


@pytest.mark.parametrize(
    "part",
    [
        "about 2 g pepper",
        "2 g pepper (ground)",
        "1,250 g sugar",
        "love",
        "1 cup ice",
        "6 % sugar",
        "sugar",
    ],
)
def test_no_limit_is_met_where_a_part_is_not_understood(part: str) -> None:
    sums = brine_sums(replace(PUMPED, line=f"{PUMPED.line}, {part}"))
    assert sums.is_refused
    assert sums.cure is None


def test_a_marked_cure_is_not_overlooked() -> None:
    """It was marked and left out, and the line went into the plan as a plain brine."""
    for part in ("1,250 g curing salt", "5 % curing salt", "a pinch of cure #2", "5 g curng salt"):
        assert "may hold nitrite" in stops(brine_sums(BrineAsked(f"1 L water, 60 g salt, {part}")))


def test_what_does_not_dissolve_thins_nothing() -> None:
    assert "dissolves" in stops(brine_sums(replace(OVER, line=f"{OVER.line}, 5 kg salt")))
    assert "dissolves" in stops(brine_sums(replace(OVER, line=f"{OVER.line}, 5 kg sugar")))


def test_ice_counts_as_water_once_it_is_weighed() -> None:
    half = brine_sums(BrineAsked("500 g water, 500 g ice, 60 g salt"))
    assert half.water_kg.mid == pytest.approx(1.0)
    cups = brine_sums(BrineAsked("2 cups ice, 60 g salt", food_kg=1.0))
    assert cups.is_wet
    assert cups.strength_pct is None
    assert cups.even is None
    assert "Weigh “ice”" in looks(cups)


def test_no_known_name_is_taken_for_a_cure() -> None:
    for item in INGREDIENTS:
        told = {may_be_cure(name) for name in item.names}
        assert told == {item.kind in ("cure", "refused")}
    for name in (
        "celery salt",
        "pure cane syrup",
        "curry powder",
        "ice cubes",
        "lemon curd",
        "sugar",
    ):
        assert not may_be_cure(name)


REFUSED = st.sampled_from(
    [
        OVER,
        replace(OVER, method="immersion_one"),
        replace(OVER, method="immersion_two"),
        replace(OVER, product="bacon", line="1 qt water 2 oz salt 1 oz curing salt"),
        replace(OVER, method="dry", line="40 g salt, 60 g curing salt"),
        replace(OVER, method="dry"),
        replace(OVER, product="sausage", method="comminuted", line="20 g salt, 5 g cure #1"),
        replace(PUMPED, line="1 L water, 60 g salt, 2 g cure #2"),
        replace(PUMPED, line="1 L water, 60 g salt, 2 g pink salt two"),
        replace(PUMPED, line="1 L water, 60 g salt, 2 g pink salt"),
        replace(PUMPED, line="1 L water, 60 g salt, 1 tsp curing salt"),
        replace(PUMPED, line="1 L water, 60 g salt, 2 g sodium nitrite"),
        replace(PUMPED, line="1 L water, 60 g salt, 2 g saltpeter"),
        replace(PUMPED, line="1 L water, 60 g salt, 20 g cure #1", pickup_pct=None),
        BrineAsked("60 g salt, 2 g curing salt"),
        BrineAsked("60 g salt, 2 g pink salt no. 2"),
        BrineAsked("60 g salt, 2 g saltpetre"),
    ]
)
ADDED = st.sampled_from(
    [
        *FOODS,
        "salt",
        "5 kg",
        "pork",
        "5 L",
        "1,000 L water",
        "about 1 L water",
        "10 L watr",
        "3 bay leaves",
        "2 tsp pepper",
        "20 g cure #1",
        "20 g curing salt",
        "5 g cure #2",
        "for 5 kg of meat",
        "(5 kg ham)",
        "1 cup ice",
        "half a pig",
        "overnight",
        "6 %",
        "x 3",
    ]
)


@given(REFUSED, ADDED, st.sampled_from([", ", " ", "\n", " and ", "; ", ". "]), st.booleans())
def test_adding_never_makes_a_refusal_an_acceptance(
    asked: BrineAsked, added: str, joined: str, first: bool
) -> None:
    """Water, salt and sugar are left out here: more of them does make a weaker pickle."""
    assert brine_sums(asked).is_refused
    parts = (added, asked.line) if first else (asked.line, added)
    assert brine_sums(replace(asked, line=joined.join(parts))).is_refused


@given(REFUSED, st.data())
def test_misspelling_never_makes_a_refusal_an_acceptance(asked: BrineAsked, data) -> None:
    """One letter left out, doubled, swapped with the next or struck wrong, or a gap too many."""
    names = [m.span() for m in re.finditer(r"[a-z]{3,}", asked.line) if m[0] != "tsp"]
    start, end = data.draw(st.sampled_from(names))
    at = data.draw(st.integers(start, end - 1))
    letter = asked.line[at]
    slip = data.draw(st.sampled_from(["drop", "double", "swap", "wrong", "gap"]))
    if slip == "drop":
        new = asked.line[:at] + asked.line[at + 1 :]
    elif slip == "double":
        new = asked.line[:at] + letter + asked.line[at:]
    elif slip == "gap":
        new = f"{asked.line[:at]} {asked.line[at:]}"
    elif slip == "swap":
        assume(at + 1 < end)
        new = asked.line[:at] + asked.line[at + 1] + letter + asked.line[at + 2 :]
    else:
        new = (
            asked.line[:at]
            + data.draw(st.sampled_from("abcdeiklmnoprstuvy"))
            + asked.line[at + 1 :]
        )
    assert brine_sums(replace(asked, line=new)).is_refused
