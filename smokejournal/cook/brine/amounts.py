"""Amounts among the tokens of a clause: "1 1/2 to 2 cups", "half a dozen", "three quarters of a cup"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from smokejournal.cook.brine.measures import Unit
from smokejournal.cook.brine.tokens import Token
from smokejournal.cook.text.translate import translate


@dataclass(frozen=True, slots=True)
class RecipeAmount:
    """text[start:end], from `low` to `high` of `unit`, or why it can't be taken."""

    start: int
    end: int
    low: float
    high: float
    unit: Unit | None
    why: str = ""


@dataclass(frozen=True, slots=True)
class _Number:
    """A number, why it can't be taken, and the place of the next token."""

    value: float
    after: int
    why: str = ""


_SHARES = {
    "half": 1 / 2,
    "halves": 1 / 2,
    "third": 1 / 3,
    "thirds": 1 / 3,
    "quarter": 1 / 4,
    "quarters": 1 / 4,
}
_ONE = frozenset(("a", "an"))
_AND = frozenset(("and", "&", "+"))
_NONE = Token("break", -1, -1, "")


def amounts_in(tokens: Sequence[Token]) -> list[RecipeAmount]:
    """The amounts of a clause, in order."""
    found: list[RecipeAmount] = []
    at = 0
    while at < len(tokens):
        amount, after = _amount(tokens, at)
        if amount is None:
            at += 1
            continue
        sign = _at(tokens, at - 1)
        if sign.kind == "dash" and (found or sign.end == amount.start):
            below = translate("Recipe", "An amount can't be below zero.")
            amount = replace(amount, start=sign.start, why=amount.why or below)
        found.append(amount)
        at = after
    return found


def _at(tokens: Sequence[Token], at: int) -> Token:
    return tokens[at] if 0 <= at < len(tokens) else _NONE


def _amount(tokens: Sequence[Token], at: int) -> tuple[RecipeAmount | None, int]:
    low = _number(tokens, at)
    if low is None:
        return None, at
    high = low
    link = _at(tokens, low.after)
    if link.kind == "dash" or link.text in ("to", "or"):
        high = _number(tokens, low.after + 1) or low
    after = high.after
    if _is_tight(tokens, after) and _at(tokens, after + 1).kind == "unit":
        after += 1
    unit = _at(tokens, after)
    why = low.why or high.why
    if not why and high.value < low.value:
        why = translate("Recipe", "A range goes from less to more, as in 1-2.")
    elif not why and low.value <= 0:
        why = translate("Recipe", "An amount must be above zero.")
    if unit.kind == "wrong" and not why:
        why = (
            translate("Recipe", "A percentage is not an amount. Type the mass.")
            if unit.text == "%"
            else translate("Recipe", "A temperature is not an amount.")
        )
    if unit.kind in ("unit", "wrong"):
        after += 1
    start, end = tokens[at].start, tokens[after - 1].end
    return RecipeAmount(start, end, low.value, high.value, unit.unit, why), after


def _is_tight(tokens: Sequence[Token], at: int) -> bool:
    """True for a dash without gaps: "1-1/2", "8-oz"."""
    before, dash, after = (_at(tokens, at + step) for step in (-1, 0, 1))
    return dash.kind == "dash" and before.end == dash.start and dash.end == after.start


def _number(tokens: Sequence[Token], at: int) -> _Number | None:
    token = _at(tokens, at)
    one = token.text in _ONE
    if token.kind == "number":
        found = _Number(token.value, at + 1, token.why)
    elif one or token.count:
        found = _Number(token.count or 1.0, at + 1)
    else:
        share = _share(tokens, at)
        return None if share is None else _dozens(tokens, _of_a(tokens, share))
    if not (one or token.is_whole or token.count):
        # Nothing is added to 1.5 or to 3/4.
        return _dozens(tokens, _of_a(tokens, found))
    share = _share(tokens, at)
    if share is not None:
        return _dozens(tokens, _of_a(tokens, share))
    if one:
        # "A" is a number before a measure, and where a clause starts: "a lemon".
        following = _at(tokens, found.after)
        if following.kind != "unit" and following.text != "dozen" and at > 0:
            return None
        return _dozens(tokens, found)
    return _dozens(tokens, _mixed(tokens, found))


def _share(tokens: Sequence[Token], at: int) -> _Number | None:
    """ "Half", "a half", "one-half", "three quarters"."""
    count, name = 1.0, at
    token = _at(tokens, at)
    if token.text in _ONE or token.count or token.is_whole:
        count = token.count or token.value or 1.0
        name = at + 2 if _is_tight(tokens, at + 1) else at + 1
    share = _SHARES.get(_at(tokens, name).text)
    if share is None:
        return None
    why = "" if count * share < 1 else translate("Recipe", "Type the amount in figures.")
    return _Number(count * share, name + 1, why)


def _mixed(tokens: Sequence[Token], whole: _Number) -> _Number:
    """ "1 1/2", "1-1/2", "1½", "1 and 1/2", "one and a half"."""
    at = whole.after
    joined = _at(tokens, at).text in _AND
    if joined or (_is_tight(tokens, at) and _at(tokens, at + 1).is_fraction):
        at += 1
    part = _at(tokens, at)
    if part.is_fraction:
        why = whole.why or part.why
        if part.value >= 1 and not why:
            why = translate("Recipe", "Type this as 1 1/2 or as 1.5.")
        return _Number(whole.value + part.value, at + 1, why)
    share = _share(tokens, at) if joined else None
    if share is not None:
        return _Number(whole.value + share.value, share.after, whole.why or share.why)
    return whole


def _of_a(tokens: Sequence[Token], part: _Number) -> _Number:
    """ "Half a cup", "1/2 of a cup"."""
    after = part.after + (_at(tokens, part.after).text == "of")
    if part.value < 1 and _at(tokens, after).text in _ONE:
        following = _at(tokens, after + 1)
        if following.kind == "unit" or following.text == "dozen":
            return replace(part, after=after + 1)
    return part


def _dozens(tokens: Sequence[Token], number: _Number) -> _Number:
    if _at(tokens, number.after).text == "dozen":
        return replace(number, value=12 * number.value, after=number.after + 1)
    return number
