"""The reader against lines as cooks type them: what isn't read right is marked, never wrong and silent."""

from __future__ import annotations

from collections import Counter
from typing import Literal

import pytest

from smokejournal.cook.brine.measures import PIECES, unit_of
from smokejournal.cook.brine.recipe import RecipeItem, RecipeLine, read_line
from tests.cook.brine.recipe_lines import AGAIN, FRESH, LINES

Score = Literal["right", "marked", "wrong"]
Part = tuple[str, str, float, float]


def meant(part: str) -> Part:
    """The dimension, the ingredient, and both ends in litres, kilograms or pieces."""
    amount, *unit, key = part.split()
    measure = PIECES if unit == ["ct"] else unit_of(" ".join(unit))
    assert measure is not None
    low, _, high = amount.partition("..")
    ends = (float(low) * measure.size, float(high or low) * measure.size)
    return measure.dimension, key, *(round(end, 5) for end in ends)


def found(item: RecipeItem) -> Part:
    assert item.ingredient is not None
    ends = (round(end * item.unit.size, 5) for end in (item.low, item.high))
    return item.unit.dimension, item.ingredient.key, *ends


def score(line: RecipeLine, meaning: str) -> Score:
    """Right: all of it as meant. Marked: nothing else was read, and what is missing is marked."""
    parts = [part.strip() for part in meaning.split("; ")]
    must = Counter(meant(part) for part in parts if part[0] not in "~!")
    may = Counter(meant(part[1:]) for part in parts if part[0] == "~")
    read = Counter(found(item) for item in line.items if item.ingredient is not None)
    for part in parts:
        if part[0] == "!":
            start = line.text.index(part[1:].strip())
            end = start + len(part[1:].strip())
            if not any(mark.start < end and mark.end > start for mark in line.marks):
                return "wrong"
    marked = bool(line.marks)
    if read - must - may or ((must - read) and not marked):
        return "wrong"
    if not all(
        any(m.start <= at < m.end for m in (*line.marks, *line.items)) for at in _told(line)
    ):
        return "wrong"
    asked = "!" in meaning
    return "right" if not must - read and marked == asked else "marked"


def _told(line: RecipeLine) -> list[int]:
    """Where figures stand: none may be lost."""
    return [at for at, ch in enumerate(line.text) if ch.isnumeric()]


@pytest.mark.parametrize(("text", "meaning"), [*LINES, *FRESH, *AGAIN])
def test_none_is_wrong_and_unmarked(text: str, meaning: str) -> None:
    assert score(read_line(text), meaning) != "wrong"


def test_most_are_read_and_not_only_marked() -> None:
    """Of the lines of old 144 of 223 were right before the reader had a grammar, and 45 wrong."""
    assert len({text for text, _ in LINES}) >= 200
    scores = Counter(score(read_line(text), meaning) for text, meaning in LINES)
    assert scores["right"] >= 0.95 * len(LINES)
