"""One line of a recipe as it is typed: "2 qt water, 1 1/4 cups coarse salt, ½ cup white sugar".

Every part of the line is either understood, which takes an amount, a unit and an ingredient, or it is
marked with its place and the reason. Nothing is guessed: an unknown word beside "salt" makes it
something that isn't salt, "1,250 g" is asked back, a heaped cup isn't a cup.

The line is cut into tokens (`tokens.py`), these at commas and line ends into clauses. A clause is

    clause = [lead] amount name {[joiner] amount name}  or  name amount  or  name
    amount = number [("-" | "to" | "or") number] [unit], read by `amounts.py`

Parts without a joiner between them are understood all or not at all: "1 cup less 2 tbsp salt" and
"1 cup or 288 g salt" have a number too many, and either of them could be the wrong one.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from smokejournal.cook.brine.amounts import RecipeAmount, amounts_in
from smokejournal.cook.brine.ingredients import Ingredient, Kind, find_ingredient, words_of
from smokejournal.cook.brine.measures import PIECES, Unit
from smokejournal.cook.brine.tokens import ASIDE, HEDGES, Token, tokens_of
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

    @property
    def kind(self) -> Kind | None:
        """What its ingredient is; None where that isn't known."""
        return None if self.ingredient is None else self.ingredient.kind

    @property
    def is_liquid(self) -> bool:
        """True where its ingredient is known to be one."""
        return self.ingredient is not None and self.ingredient.is_liquid


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """What was understood, in order, and what wasn't."""

    text: str
    items: tuple[RecipeItem, ...] = ()
    marks: tuple[NotUnderstood, ...] = ()


@dataclass(frozen=True, slots=True)
class _Part:
    """An amount and the name behind it, text[start:end]."""

    amount: RecipeAmount
    start: int
    end: int
    name: str


_JOINERS = re.compile(r"(?:[+&]|\b(?:and|plus|with|then)|(?P<into>\b(?:in|into|to)))\s*$", re.I)
_LEADING = frozenset(("and", "plus", "with", "in", "to", "into", "then"))
#: What is done with what follows says nothing about how much of it there is: "soak in 2 L water".
_DOING = frozenset(
    [
        "add",
        "use",
        "take",
        "mix",
        "stir",
        "dissolve",
        "rub",
        "soak",
        "brine",
        "combine",
        "whisk",
        "heat",
        "boil",
        "pour",
        "cover",
        "sprinkle",
    ]
)
_EACH = re.compile(r"\W*(?:(?:for|to)\s+)?(?:per|each|every)\b", re.I)
_ODD = re.compile(r"[^\w\s.'’‐-―-]|_")
_LABEL_SIGN = re.compile(r"#\s*(?=[0-9])|№")
_EDGES = " \t,.;&+*·-–—"


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
    """Goes through the line clause by clause."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.items: list[RecipeItem] = []
        self.marks: list[NotUnderstood] = []
        self._aside = [match.span() for match in ASIDE.finditer(text)]

    def read(self) -> None:
        """Read all of it."""
        for start, end in self._aside:
            self._mark(start, end, translate("Recipe", "What is in brackets isn't counted."))
        clause: list[Token] = []
        for token in (*tokens_of(self.text), None):
            if token is not None and token.kind != "break":
                clause.append(token)
            elif clause:
                if _EACH.match(self.text, clause[0].start):
                    # What follows is by the measure as well, commas or not.
                    why = translate("Recipe", "Type how much that is in all.")
                    self._mark(clause[0].start, len(self.text.rstrip(_EDGES)), why)
                    return
                self._clause(clause)
                clause = []

    def _clause(self, tokens: Sequence[Token]) -> None:
        start, end = tokens[0].start, tokens[-1].end
        amounts = self._added_up(amounts_in(tokens))
        if not amounts:
            self._without_amount(start, end)
            return
        colon = self.text[start : amounts[0].start].rstrip(_EDGES).endswith(":")
        lead = self._clean(start, amounts[0].start)
        if colon:
            lead = self._clean(start, self.text.rindex(":", start, amounts[0].start))
        said = [word for word in words_of(lead[2]) if word not in _LEADING]
        if lead[2] and all(word in HEDGES for word in said):
            if said or not words_of(lead[2]):
                why = translate("Recipe", "Used as typed. How far off it may be isn't known.")
                self._mark(lead[0], amounts[0].end, why)
        elif lead[2] and len(amounts) == 1 and not self._clean(amounts[0].end, end)[2]:
            # "salt: 250 g", the amount behind the name.
            self._item(_Part(amounts[0], *lead))
            return
        elif lead[2]:
            is_heading = colon and not find_ingredient(words_of(lead[2]))
            if not is_heading and not set(said) <= _DOING:
                self._mark(lead[0], self._clean(start, end)[1], _not_understood())
                return
            self._mark(lead[0], lead[1], _not_understood())
        for group in self._groups(amounts, end):
            if len(group) == 1 or all(self._is_whole(part) for part in group):
                for part in group:
                    self._item(part)
            else:
                self._mark(group[0].amount.start, group[-1].end, self._why_of(group))

    def _added_up(self, amounts: Sequence[RecipeAmount]) -> list[RecipeAmount]:
        """ "1 cup plus 2 tbsp" and "2 lb 3 oz" are one amount each."""
        found: list[RecipeAmount] = []
        for amount in amounts:
            last = found[-1] if found else None
            if last is not None and _adds_up(last, amount, self.text[last.end : amount.start]):
                found[-1] = _added(last, amount)
            else:
                found.append(amount)
        return found

    def _groups(self, amounts: Sequence[RecipeAmount], end: int) -> list[list[_Part]]:
        """Amounts with their names; a joiner ("and", "in … water") starts a new group."""
        groups: list[list[_Part]] = []
        for amount in reversed(amounts):
            start, stop, name = self._clean(amount.end, end)
            following = groups[0][0] if groups else None
            joiner = _JOINERS.search(name) if following is not None else None
            if following is not None and joiner is not None and joiner["into"]:
                # "To" is no joiner before just anything: "2 tbsp to 3 tbsp salt" is a range.
                known = find_ingredient(words_of(following.name))
                joiner = joiner if known is not None and known.is_liquid else None
            if joiner is not None:
                start, stop, name = self._clean(start, start + joiner.start())
            part = _Part(amount, start, max(stop, amount.end), name)
            if following is None or (joiner is not None and name):
                groups.insert(0, [part])
            else:
                groups[0].insert(0, part)
            end = amount.start
        return groups

    def _why_of(self, group: Sequence[_Part]) -> str:
        for part in group:
            if part.amount.why:
                return part.amount.why
        if any(part.name.lower() in ("x", "×", "*") for part in group[:-1]):
            return translate("Recipe", "Type how much that is in all.")
        return translate(
            "Recipe", "Type one amount for one thing, and a comma between two of them."
        )

    def _clean(self, start: int, end: int) -> tuple[int, int, str]:
        """text[start:end] without its edges and without what stands in brackets."""
        shown = list(self.text[start:end])
        for open_, close in self._aside:
            for at in range(max(open_, start), min(close, end)):
                shown[at - start] = " "
        whole = "".join(shown)
        inner = whole.strip(_EDGES)
        if not inner:
            return start, start, ""
        at = start + whole.index(inner)
        return at, at + len(inner), inner

    def _read_part(self, part: _Part) -> tuple[RecipeItem | None, str]:
        """The item, or why there is none."""
        amount, name = part.amount, part.name
        where = (min(amount.start, part.start), max(amount.end, part.end)) if name else None
        start, end = where or (amount.start, amount.end)
        if amount.why:
            return None, amount.why
        unit = amount.unit or PIECES
        words = words_of(name)
        if not words and unit.dimension == "count" and unit is not PIECES:
            words, name = words_of(unit.key), unit.key
            unit = PIECES
        if not words:
            return None, translate("Recipe", "Of what? Type the ingredient behind the amount.")
        # A sign that means nothing here may mean something to who typed it: "curing salt #".
        odd = _ODD.search(_LABEL_SIGN.sub("", name))
        known = None if odd else find_ingredient(words)
        item = RecipeItem(start, end, amount.low, amount.high, unit, name, known)
        return item, _problem_of(item)

    def _is_whole(self, part: _Part) -> bool:
        item, why = self._read_part(part)
        return item is not None and item.ingredient is not None and not why

    def _item(self, part: _Part) -> None:
        item, why = self._read_part(part)
        if item is None or why:
            start = min(part.amount.start, part.start) if part.name else part.amount.start
            self._mark(start, max(part.amount.end, part.end), why)
            return
        self.items.append(item)
        if item.ingredient is None:
            self._mark(part.start, part.end, _unknown(words_of(item.name)))

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


_PLUS = re.compile(r"\s*(?:\+|&|\bplus\b|\band\b)?\s*", re.I)


def _adds_up(first: RecipeAmount, second: RecipeAmount, between: str) -> bool:
    one, two = first.unit, second.unit
    return (
        _PLUS.fullmatch(between) is not None
        and one is not None
        and two is not None
        and not (first.why or second.why)
        and one.dimension == two.dimension
        and one.dimension in ("volume", "mass")
        and one.is_metric == two.is_metric
        # "1 cup 16 tbsp" says the same twice.
        and second.high * two.size < one.size
    )


def _added(first: RecipeAmount, second: RecipeAmount) -> RecipeAmount:
    assert first.unit is not None
    assert second.unit is not None
    share = second.unit.size / first.unit.size
    return RecipeAmount(
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
