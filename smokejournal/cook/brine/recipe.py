"""One line of a recipe as it is typed: "2 qt water, 1 1/4 cups coarse salt, ½ cup white sugar".

Every part of the line is either understood, which takes an amount, a unit and an ingredient, or it is
marked with its place and the reason. Nothing is guessed: an unknown word beside "salt" makes it
something that isn't salt, "1,250 g" is asked back, a heaped cup isn't a cup.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace

from smokejournal.cook.brine.ingredients import Ingredient, find_ingredient, words_of
from smokejournal.cook.brine.measures import PIECES, UNIT_PATTERN, Unit, unit_of
from smokejournal.cook.text.translate import translate

#: Longer than any recipe; a slip with the clipboard isn't read.
LONGEST = 2000
MOST_KG = 2000.0


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """A part of the line, text[start:end], that wasn't understood, and why."""

    start: int
    end: int
    text: str
    why: str


@dataclass(frozen=True, slots=True)
class RecipeItem:
    """One ingredient with its amount, from `low` to `high` of `unit`.

    `ingredient` None: the name isn't known, and the item counts only when it was weighed.
    """

    start: int
    end: int
    low: float
    high: float
    unit: Unit
    name: str
    ingredient: Ingredient | None


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """What was understood, in order, and what wasn't."""

    text: str
    items: tuple[RecipeItem, ...] = ()
    marks: tuple[NotUnderstood, ...] = ()


@dataclass(frozen=True, slots=True)
class _Amount:
    start: int
    end: int
    low: float
    high: float
    unit: Unit | None
    why: str = ""


_VULGAR = "[¼½¾⅐-⅞]"
_FRACTION = r"[0-9]+\s*[/⁄]\s*[0-9]+"
_DECIMAL = r"[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+"
_NUMBER = rf"(?:[0-9]+(?:\s+|-)?(?:{_FRACTION}|{_VULGAR})|{_FRACTION}|{_VULGAR}|{_DECIMAL})"
_SPOKEN = {
    **dict.fromkeys(("a", "an", "one"), 1.0),
    **dict.fromkeys(("half", "half a", "a half", "one half", "half an"), 0.5),
    **dict.fromkeys(("quarter", "a quarter", "one quarter", "quarter of a"), 0.25),
    "two": 2.0,
    "three": 3.0,
    "four": 4.0,
    "five": 5.0,
    "six": 6.0,
    "eight": 8.0,
    "ten": 10.0,
    "twelve": 12.0,
}
_SPOKEN_PATTERN = "|".join(sorted(map(re.escape, _SPOKEN), key=len, reverse=True))
_AMOUNT = re.compile(
    rf"(?<![^\W_])(?P<sign>[-−]\s*)?(?P<low>{_NUMBER})"
    rf"(?:\s*(?:-|–|—|\bto\b|\bor\b)\s*(?P<high>{_NUMBER}))?"
    rf"(?:\s*(?P<unit>{UNIT_PATTERN})|\s*(?P<wrong>%|°\s*[CF]?\b))?"
    rf"|\b(?P<spoken>{_SPOKEN_PATTERN})\s+(?P<spoken_unit>{UNIT_PATTERN})",
    re.IGNORECASE,
)
_BREAK = re.compile(r"[;\n\r•|]|,(?![0-9])|(?<![0-9]),")
_BRACKET = re.compile(r"\([^()]*\)?|\[[^\[\]]*\]?")
_NUMBERED_CURE = re.compile(r"\bcure\s*(?:#|no\.?|number|nr\.?)?\s*[12]\b", re.IGNORECASE)
_TIMES = re.compile(r"[0-9]\s*[x×*]\s*[0-9]", re.IGNORECASE)
_JOIN = re.compile(r"\s*(?:\+|&|\bplus\b|\band\b)?\s*", re.IGNORECASE)
_LEADING = frozenset(("about", "approximately", "approx", "circa", "ca", "and", "plus", "with"))
_FRACTION_PARTS = re.compile(rf"(?:([0-9]+)(\s+|-)?)?(?:([0-9]+)\s*[/⁄]\s*([0-9]+)|({_VULGAR}))")
_NUMBER_WORDS = frozenset(
    ("half", "quarter", "dozen", "couple", "few", "some", "seven", "nine", "eleven", "x", "×")
) | (frozenset(_SPOKEN) - {"a", "an"})
_EDGES = " \t,.;:&+*·-–—"


class _Unclear(ValueError):
    """Why a number can't be read."""


def read_line(text: str) -> RecipeLine:
    """Read a line. Never raises; what can't be read is in `marks`."""
    if len(text) > LONGEST:
        why = translate("Recipe", "This is longer than {count} characters. Type one recipe.")
        return RecipeLine(
            text, (), (NotUnderstood(0, len(text), text[:40], why.format(count=LONGEST)),)
        )
    reader = _Reader(text)
    reader.read()
    items, marks = reader.items, reader.marks
    return RecipeLine(
        text,
        tuple(sorted(items, key=lambda item: item.start)),
        tuple(sorted(marks, key=lambda mark: mark.start)),
    )


class _Reader:
    """Goes through the line piece by piece."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.items: list[RecipeItem] = []
        self.marks: list[NotUnderstood] = []
        self._aside = [match.span() for match in _BRACKET.finditer(text)]
        self._names = [match.span() for match in _NUMBERED_CURE.finditer(text)]

    def read(self) -> None:
        """Read all of it."""
        for start, end in self._aside:
            self._mark(start, end, translate("Recipe", "What is in brackets isn't counted."))
        start = 0
        for match in _BREAK.finditer(self.text):
            if not _inside(match.start(), self._aside):
                self._piece(start, match.start())
                start = match.end()
        self._piece(start, len(self.text))

    def _piece(self, start: int, end: int) -> None:
        if _TIMES.search(self.text, start, end):
            where = self._clean(start, end)
            self._mark(where[0], where[1], translate("Recipe", "Type how much that is in all."))
            return
        groups = self._amounts(start, end)
        if not groups:
            self._without_amount(start, end)
            return
        before = self._clean(start, groups[0].start)
        # "salt: 250 g", the amount behind the name.
        if len(groups) == 1 and before[2] and not self._clean(groups[0].end, end)[2]:
            self._item(groups[0], *before)
            return
        left = [word for word in words_of(before[2]) if word not in _LEADING]
        if _NUMBER_WORDS & set(left):
            # "Two and a half cups": what stands before may belong to the amount.
            self._mark(before[0], end, translate("Recipe", "Type the amount in figures."))
            return
        if left:
            self._mark(before[0], before[1], _not_understood())
        for index, group in enumerate(groups):
            until = groups[index + 1].start if index + 1 < len(groups) else end
            self._item(group, *self._clean(group.end, until))

    def _amounts(self, start: int, end: int) -> list[_Amount]:
        """Amounts of a piece; "1 cup plus 2 tbsp" and "2 lb 3 oz" are one each."""
        found: list[_Amount] = []
        for match in _AMOUNT.finditer(self.text, start, end):
            if _inside(match.start(), self._aside) or _inside(match.start(), self._names):
                continue
            amount = _amount_of(match)
            last = found[-1] if found else None
            if last is not None and _adds_up(last, amount, self.text[last.end : amount.start]):
                found[-1] = _added(last, amount)
            else:
                found.append(amount)
        return found

    def _clean(self, start: int, end: int) -> tuple[int, int, str]:
        """text[start:end] without its edges and without what stands in brackets."""
        shown = list(self.text[start:end])
        for open_, close in self._aside:
            for at in range(max(open_, start), min(close, end)):
                shown[at - start] = " "
        whole = "".join(shown)
        # Words that join pieces belong to neither of them.
        tail = re.search(r"(?:\+|&|\bplus|\band)\s*$", whole, re.IGNORECASE)
        if tail is not None:
            whole = whole[: tail.start()]
        inner = whole.strip(_EDGES)
        if not inner:
            return start, start, ""
        at = start + whole.index(inner)
        return at, at + len(inner), inner

    def _item(self, amount: _Amount, start: int, end: int, name: str) -> None:
        where = min(amount.start, start) if name else amount.start, max(amount.end, end)
        if amount.why:
            self._mark(*where, amount.why)
            return
        unit = amount.unit or PIECES
        words = words_of(name)
        if not words and unit.dimension == "count" and unit is not PIECES:
            words, name = words_of(unit.key), unit.key
            unit = PIECES
        if not words:
            self._mark(
                *where, translate("Recipe", "Of what? Type the ingredient behind the amount.")
            )
            return
        item = RecipeItem(*where, amount.low, amount.high, unit, name, find_ingredient(words))
        problem = _problem_of(item)
        if problem:
            self._mark(*where, problem)
            return
        self.items.append(item)
        if item.ingredient is None:
            self._mark(start, end, _unknown(words))

    def _without_amount(self, start: int, end: int) -> None:
        """ "packed" behind "brown sugar" goes with it; else it isn't known how much."""
        start, end, text = self._clean(start, end)
        words = words_of(text)
        if not words:
            if text:
                self._mark(start, end, _not_understood())
            return
        last = self.items[-1] if self.items else None
        if last is not None:
            joined = find_ingredient((*words_of(last.name), *words)) or find_ingredient(
                (*words, *words_of(last.name))
            )
            between = self.text[last.end : start]
            if joined is not None and not between.strip(_EDGES):
                name = f"{last.name}, {text}"
                self.items[-1] = replace(last, end=end, name=name, ingredient=joined)
                self.marks = [m for m in self.marks if not last.start <= m.start < last.end]
                return
        why = (
            translate("Recipe", "No amount is given, so it isn't counted.")
            if find_ingredient(words)
            else _not_understood()
        )
        self._mark(start, end, why)

    def _mark(self, start: int, end: int, why: str) -> None:
        self.marks.append(NotUnderstood(start, end, self.text[start:end], why))


def _inside(at: int, spans: Sequence[tuple[int, int]]) -> bool:
    return any(start <= at < end for start, end in spans)


def _amount_of(match: re.Match[str]) -> _Amount:
    start, end = match.span()
    if match["spoken"]:
        value = _SPOKEN[" ".join(match["spoken"].lower().split())]
        return _Amount(start, end, value, value, unit_of(match["spoken_unit"]))
    unit = unit_of(match["unit"]) if match["unit"] else None
    why = ""
    low = high = 0.0
    try:
        low = _number(match["low"])
        high = low if match["high"] is None else _number(match["high"])
    except _Unclear as unclear:
        why = str(unclear)
    else:
        if match["sign"]:
            why = translate("Recipe", "An amount can't be below zero.")
        elif high < low:
            why = translate("Recipe", "A range goes from less to more, as in 1-2.")
        elif low <= 0:
            why = translate("Recipe", "An amount must be above zero.")
    if match["wrong"] and not why:
        why = (
            translate("Recipe", "A percentage is no amount. Type the mass.")
            if "%" in match["wrong"]
            else translate("Recipe", "A temperature is no amount.")
        )
    return _Amount(start, end, low, high, unit, why)


def _number(text: str) -> float:
    parts = _FRACTION_PARTS.fullmatch(text)
    if parts is not None:
        whole, _, above, below, vulgar = parts.groups()
        if vulgar:
            share = unicodedata.numeric(vulgar)
        elif int(below) == 0:
            raise _Unclear(translate("Recipe", "A fraction can't have a zero below."))
        else:
            share = int(above) / int(below)
        if whole and share >= 1:
            raise _Unclear(translate("Recipe", "Type this as 1 1/2 or as 1.5."))
        return (float(whole) if whole else 0.0) + share
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", text):
        why = translate("Recipe", "The comma could mean {joined} or {point}: type one of them.")
        raise _Unclear(why.format(joined=text.replace(",", ""), point=text.replace(",", ".")))
    if len(re.findall("[.,]", text)) > 1:
        raise _Unclear(translate("Recipe", "Type the number with one point or comma."))
    return float(text.replace(",", "."))


def _adds_up(first: _Amount, second: _Amount, between: str) -> bool:
    one, two = first.unit, second.unit
    return (
        _JOIN.fullmatch(between) is not None
        and one is not None
        and two is not None
        and not (first.why or second.why)
        and one.dimension == two.dimension
        and one.dimension in ("volume", "mass")
        and two.size < one.size
    )


def _added(first: _Amount, second: _Amount) -> _Amount:
    assert first.unit is not None
    assert second.unit is not None
    share = second.unit.size / first.unit.size
    return _Amount(
        first.start,
        second.end,
        first.low + second.low * share,
        first.high + second.high * share,
        first.unit,
    )


def _problem_of(item: RecipeItem) -> str:
    """Why an item can't stand, or ""."""
    if item.unit.dimension == "loose":
        return translate("Recipe", "This can't be weighed. Type it in spoons or grams.")
    if item.unit.dimension == "count" and item.ingredient is not None:
        if item.ingredient.kind != "spice":
            return translate("Recipe", "The unit is missing, as in 2 cups or 300 g.")
    elif item.high * item.unit.size > MOST_KG:
        why = translate("Recipe", "Type an amount up to {most} kg or L.")
        return why.format(most=f"{MOST_KG:g}")
    return ""


def _unknown(words: Sequence[str]) -> str:
    if any("salt" in word or "brine" in word for word in words):
        return translate(
            "Recipe", "This isn't known, and there may be salt in it that isn't counted."
        )
    return translate("Recipe", "This ingredient isn't known. Its salt and sugar aren't counted.")


def _not_understood() -> str:
    return translate("Recipe", "Not understood.")
