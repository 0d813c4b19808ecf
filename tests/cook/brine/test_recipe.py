"""One recipe line: what is understood, and that nothing is guessed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.brine.measures import UNITS
from smokejournal.cook.brine.recipe import read_line


def read(text: str) -> list[tuple[float, float, str, str | None]]:
    return [
        (i.low, i.high, i.unit.key, i.ingredient.key if i.ingredient else None)
        for i in read_line(text).items
    ]


def one(text: str) -> tuple[float, float, str, str | None]:
    (item,) = read(text)
    assert read_line(text).marks == ()
    return item


def test_a_line_as_it_is_written() -> None:
    text = "2 qt water, 1 1/4 cups coarse salt, ½ cup white sugar, 2 tsp cracked pepper"
    assert read(text) == [
        (2.0, 2.0, "qt", "water"),
        (1.25, 1.25, "cup", "salt_coarse"),
        (0.5, 0.5, "cup", "white_sugar"),
        (2.0, 2.0, "tsp", "pepper"),
    ]
    assert read_line(text).marks == ()


@pytest.mark.parametrize(
    ("amount", "value"),
    [
        ("2", 2.0),
        ("2.5", 2.5),
        ("2,5", 2.5),
        (".5", 0.5),
        ("1/2", 0.5),
        ("1 1/2", 1.5),
        ("1-1/2", 1.5),
        ("1½", 1.5),
        ("1 ½", 1.5),
        ("¾", 0.75),
        ("⅓", 1 / 3),
        ("2⅞", 2.875),
        ("1⁄4", 0.25),
        ("a", 1.0),
        ("half a", 0.5),
        ("a quarter", 0.25),
        ("three", 3.0),
    ],
)
def test_numbers(amount: str, value: float) -> None:
    assert one(f"{amount} cup water") == (
        pytest.approx(value),
        pytest.approx(value),
        "cup",
        "water",
    )


@pytest.mark.parametrize(
    "text", ["1-2 cups salt", "1 to 2 cups salt", "1 – 2 cups salt", "1 or 2 cups salt"]
)
def test_ranges(text: str) -> None:
    assert one(text) == (1.0, 2.0, "cup", "salt_")


def test_ranges_of_fractions() -> None:
    assert one("1/2-3/4 cup salt")[:2] == (0.5, 0.75)
    assert one("1-1 1/2 cups salt")[:2] == (1.0, 1.5)
    assert one("½–1 cup salt")[:2] == (0.5, 1.0)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1 Tbsp. table salt", (1.0, 1.0, "tbsp", "salt_fine")),
        ("2 T table salt", (2.0, 2.0, "tbsp", "salt_fine")),
        ("2 t table salt", (2.0, 2.0, "tsp", "salt_fine")),
        ("250g salt", (250.0, 250.0, "g", "salt_")),
        ("2L cold water", (2.0, 2.0, "L", "water")),
        ("8 fl oz water", (8.0, 8.0, "fl oz", "water")),
        ("salt: 250 g", (250.0, 250.0, "g", "salt_")),
        ("salt 250 g", (250.0, 250.0, "g", "salt_")),
        ("two and a half cups of water", (2.5, 2.5, "cup", "water")),
        ("half a dozen bay leaves", (6.0, 6.0, "", "other_spice")),
        ("2 lb 3 oz salt", (2.1875, 2.1875, "lb", "salt_")),
        ("1 cup plus 2 tbsp salt", (1.125, 1.125, "cup", "salt_")),
        ("1 cup brown sugar, packed", (1.0, 1.0, "cup", "brown_sugar_packed")),
        ("1 cup salt, coarse", (1.0, 1.0, "cup", "salt_coarse")),
        ("3 bay leaves", (3.0, 3.0, "", "other_spice")),
        ("3 cloves garlic", (3.0, 3.0, "clove", "other_spice")),
        ("10 whole cloves", (10.0, 10.0, "", "other_spice")),
        ("6 cloves", (6.0, 6.0, "", "other_spice")),
        ("25 g cure #1", (25.0, 25.0, "g", "cure")),
    ],
)
def test_ways_to_write(text: str, expected: tuple[float, float, str, str]) -> None:
    assert one(text) == (pytest.approx(expected[0]), pytest.approx(expected[1]), *expected[2:])


@pytest.mark.parametrize(
    "text",
    [
        "1.5 L water; 90 g salt",
        "1,5 L water, 90 g salt",
        "1.5 L water,90 g salt",
        "1.5 L water\n90 g salt",
        "1.5 L water and 90 g salt",
        "1.5 L water + 90 g salt",
        "1.5 L water 90 g salt",
        "• 1.5 L water\n• 90 g salt",
    ],
)
def test_ways_to_part(text: str) -> None:
    assert read(text) == [(1.5, 1.5, "L", "water"), (90.0, 90.0, "g", "salt_")]
    assert read_line(text).marks == ()


@pytest.mark.parametrize(
    ("text", "marked", "why"),
    [
        ("2 qt water, 1,250 g salt", "1,250 g salt", "could mean 1250 or 1.25:"),
        ("2 qt water, 1.000 g salt", "1.000 g salt", "could mean 1000 or 1:"),
        ("2 qt water, 1.234 kg salt", "1.234 kg salt", "could mean 1234 or 1.2340:"),
        ("2 qt water, 11/4 cups salt", "11/4 cups salt", "may lack a space"),
        ("2 qt water, 500 g 2 cups salt", "500 g 2 cups salt", "one amount for one thing"),
        ("2 qt water, up to 2 cups salt", "up to 2 cups salt", "Not understood"),
        (
            "2 qt water. Per gallon: 1 cup salt, 1 lb sugar",
            "Per gallon: 1 cup salt, 1 lb sugar",
            "in all",
        ),
        ("2 qt water, twenty-five g salt", "twenty-five g salt", "Not understood"),
        ("2 qt water, 1.250,5 g salt", "1.250,5 g salt", "one point or comma"),
        ("2 qt water, 5-1 cups salt", "5-1 cups salt", "from less to more"),
        ("2 qt water, 1/0 cup salt", "1/0 cup salt", "zero below"),
        ("2 qt water, 0 cups salt", "0 cups salt", "above zero"),
        ("2 qt water, -1 cup salt", "-1 cup salt", "below zero"),
        ("2 qt water, 2 % salt", "2 % salt", "percentage"),
        ("2 qt water, salt to taste", "salt to taste", "Not understood"),
        ("2 qt water, salt", "salt", "No amount"),
        ("2 qt water, 3 salt", "3 salt", "unit is missing"),
        ("2 qt water, 2 cups", "2 cups", "Of what"),
        ("2 qt water, a pinch of salt", "a pinch of salt", "can't be weighed"),
        ("2 qt water, 1 heaping cup salt", "heaping cup salt", "there may be salt"),
        ("2 qt water, 1 cup celery salt", "celery salt", "there may be salt"),
        ("2 qt water, 1 cup stock cubes", "stock cubes", "isn't known"),
        ("2 qt water, 3 x 500 g salt", "3 x 500 g salt", "in all"),
        ("2 qt water (cold at 4 °C)", "(cold at 4 °C)", "brackets"),
        ("2 qt water, 9999 gal salt", "9999 gal salt", "up to 2000"),
    ],
)
def test_what_is_not_understood_is_marked_with_its_place(text: str, marked: str, why: str) -> None:
    found = read_line(text)
    (mark,) = found.marks
    assert mark.text == marked
    assert text[mark.start : mark.end] == marked
    assert why in mark.why
    assert found.items[0].ingredient is not None
    assert found.items[0].ingredient.key == "water"
    # Whatever was marked isn't taken for salt.
    assert not any(i.ingredient and i.ingredient.kind == "salt" for i in found.items)


def test_a_known_mass_of_something_unknown_is_kept() -> None:
    ((low, _, unit, key),) = read("30 g stock cubes")
    assert (low, unit, key) == (30.0, "g", None)


@pytest.mark.parametrize("text", ["Brine: 2 L water", "soak in 2 L water", "add about 2 L water"])
def test_what_leads_is_marked_alone(text: str) -> None:
    """A step of the plan says what is done; the shopping list needs its amounts."""
    found = read_line(text)
    assert len(found.marks) == 1
    assert [(i.low, i.unit.key) for i in found.items] == ([] if "about" in text else [(2.0, "L")])


def test_about_is_marked_and_its_amount_taken() -> None:
    found = read_line("about 2 cups of water")
    assert [(i.low, i.unit.key) for i in found.items] == [(2.0, "cup")]
    assert [mark.text for mark in found.marks] == ["about 2 cups"]


@pytest.mark.parametrize("text", ["", "   ", ",;,", "\n\n"])
def test_nothing(text: str) -> None:
    assert read_line(text).items == ()


def test_a_whole_book_is_refused() -> None:
    (mark,) = read_line("1 cup salt, " * 400).marks
    assert "longer than" in mark.why


@given(st.text(max_size=120))
def test_any_text_is_read_without_trouble(text: str) -> None:
    found = read_line(text)
    for part in (*found.items, *found.marks):
        assert 0 <= part.start <= part.end <= len(text)
    for mark in found.marks:
        assert text[mark.start : mark.end] == mark.text or len(text) > 2000


bits = st.sampled_from(
    [
        "1",
        "2",
        "½",
        "1/2",
        "1,5",
        "cup",
        "cups",
        "g",
        "kg",
        "tsp",
        "T",
        ".",
        ",",
        ";",
        "-",
        "–",
        "(",
        ")",
        "water",
        "salt",
        "curing",
        "sugar",
        "brown",
        "and",
        "plus",
        "to",
        "%",
        "°C",
        "no",
        "#",
        "x",
        "pink",
    ]
)


JOINERS = ("and", "plus", "with", "then", "in", "into", "to")


@given(st.lists(bits, max_size=14))
def test_no_word_is_dropped_without_a_mark(words: list[str]) -> None:
    """Every letter and figure belongs to an item or to a mark, but for the words that join them."""
    text = " ".join(words)
    found = read_line(text)
    covered = [False] * len(text)
    for part in (*found.items, *found.marks):
        covered[part.start : part.end] = [True] * (part.end - part.start)
    left = "".join(" " if seen else ch for seen, ch in zip(covered, text, strict=True))
    assert [w for w in left.split() if any(c.isalnum() for c in w) and w not in JOINERS] == []


@given(
    st.floats(0.01, 99).map(lambda x: round(x, 2)),
    st.sampled_from([u for u in UNITS if u.dimension in ("volume", "mass")]),
)
def test_an_amount_and_back(amount: float, unit) -> None:
    for name in unit.names:
        ((low, high, key, ingredient),) = read(f"{amount} {name} water")
        assert (low, high, key, ingredient) == (amount, amount, unit.key, "water")
