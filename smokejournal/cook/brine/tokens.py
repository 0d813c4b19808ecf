"""A recipe line in tokens: numbers, units, words, labels of a cure, and where it breaks into clauses."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import takewhile
from typing import Literal

from smokejournal.cook.brine.measures import UNIT_PATTERN, Unit, unit_of
from smokejournal.cook.text.translate import translate

Kind = Literal["number", "unit", "word", "label", "dash", "wrong", "break", "other"]


@dataclass(frozen=True, slots=True)
class Token:
    """text[start:end], in small letters. A number that can't be read says so in `why`.

    "label" is the number of a cure, "wrong" a sign of percent or of degrees.
    """

    kind: Kind
    start: int
    end: int
    text: str
    value: float = 0.0
    unit: Unit | None = None
    why: str = ""

    @property
    def count(self) -> float | None:
        """What a whole number in words means."""
        return COUNTS.get(self.text) if self.kind == "word" else None

    @property
    def is_whole(self) -> bool:
        """True for a whole number in figures."""
        return self.kind == "number" and self.text.isdigit() and not self.why

    @property
    def is_fraction(self) -> bool:
        """True for a number below one of the form 1/2 or ½."""
        return self.kind == "number" and ("/" in self.text or not self.text[-1].isdigit())


ASIDE = re.compile(r"\([^()]*\)?|\[[^\[\]]*\]?")
"""What stands in brackets."""
HEDGES = frozenset(
    ("about", "approximately", "approx", "circa", "ca", "roughly", "around", "nearly", "almost")
)
_ABBREVIATED = frozenset(("approx", "ca"))
_RAISED = re.compile(r"[⁰¹²³⁴-⁹]+[/⁄][₀-₉]+")
_UNIT = re.compile(UNIT_PATTERN, re.I)
_FIGURES = re.compile(r"[.,]?[0-9]+(?:(?:[.,'’]+|[ \t]*/[ \t]*)[0-9]+)*")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}")
_FRACTION = re.compile(r"([0-9]+)\s*/\s*([0-9]+)")
#: What kitchens divide by: "100/120 g" is no fraction.
_PARTS = frozenset((1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 32))
_TOKEN = re.compile(
    r"""(?P<gap>[^\S\n\r]+)
    |(?P<bullet>(?:(?<=[\n\r])|\A)[^\S\n\r]*[-*](?=\s))
    |(?P<break>[;\n\r•|])
    |(?P<label>(?:(?<![0-9])\#|\b(?:no|nr|num|number|type)\b\.?[ ]*\#?|№)[ ]*
        (?:[0-9]+|one|two|ii?)(?![^\W_]))
    |(?P<number>[.,]?[0-9]|[¼½¾⅐-⅞])
    |(?P<wrong>%|°[ ]*(?:[CF]\b)?)
    |(?P<dash>-)
    |(?P<point>[.,])
    |(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*[^\W_]*)
    |(?P<other>.)""",
    re.X | re.I | re.S,
)
_ATTACHED = re.compile(r"[^\W\d_¼½¾⅐-⅞][^\W_]*")
_TIMES = re.compile(r"x\s*[0-9]", re.I)
#: Whole numbers in words, as far as cooks write them.
COUNTS = {
    "one": 1.0,
    "two": 2.0,
    "three": 3.0,
    "four": 4.0,
    "five": 5.0,
    "six": 6.0,
    "seven": 7.0,
    "eight": 8.0,
    "nine": 9.0,
    "ten": 10.0,
    "eleven": 11.0,
    "twelve": 12.0,
}


def tokens_of(text: str) -> list[Token]:
    """All tokens of `text` in order, without gaps and brackets. Places are those of `text`."""
    plain = _plain(text)
    found: list[Token] = []
    at = 0
    while at < len(plain):
        match = _TOKEN.match(plain, at)
        assert match is not None
        token = _token(plain, match, found)
        if token is not None:
            found.append(token)
        at = token.end if token is not None else match.end()
    return _labeled(found)


def _plain(text: str) -> str:
    """As long as `text`: plain figures, dashes and strokes, brackets blank."""
    text = ASIDE.sub(lambda match: " " * len(match[0]), text)
    text = _RAISED.sub(lambda m: "".join(unicodedata.normalize("NFKC", ch) for ch in m[0]), text)
    out = []
    for ch in text:
        if ch.isdecimal():
            ch = str(unicodedata.decimal(ch))
        elif ch in "−–—‐‑":
            ch = "-"
        out.append("/" if ch == "⁄" else ch)
    return "".join(out)


def _token(plain: str, match: re.Match[str], before: Sequence[Token]) -> Token | None:
    kind, start, end = match.lastgroup, *match.span()
    if kind == "gap":
        return None
    last = before[-1] if before else None
    if kind == "number" and match[0][0] == "," and plain[start - 1 : start].strip(" \t;,\n"):
        kind, end = "point", start + 1
    if kind == "number":
        return _number(plain, start, last)
    if kind in ("dash", "word", "other"):
        unit = _UNIT.match(plain, start)
        if unit is not None:
            return Token("unit", start, unit.end(), unit[0].lower(), unit=unit_of(unit[0]))
    if kind == "point":
        kind = _point(plain, start, before)
        if kind is None:
            return None
    if kind == "bullet":
        kind = "break"
    return Token(kind, start, end, plain[start:end].lower())  # type: ignore[arg-type]


def _point(plain: str, at: int, before: Sequence[Token]) -> Kind | None:
    """What a comma or a full stop is that belongs to no number."""
    last = before[-1] if before else None
    starts = last is not None and (len(before) == 1 or before[-2].kind == "break")
    if last is not None and starts and last.is_whole and re.match(r".\s+[.,]?[0-9]", plain[at:]):
        return "other"  # "1. 5 L" may be one number.
    if plain[at] == ",":
        return "break"
    if last is not None and last.text in _ABBREVIATED:
        return None
    if not plain[at:].strip(" .\t"):
        return "break"
    # "Max. 4 tbsp": without an amount before it, a full stop shortens a word.
    clause = takewhile(lambda token: token.kind != "break", reversed(before))
    ends = any(token.kind == "number" or token.count for token in clause)
    return "break" if ends and not plain[at + 1 : at + 2].strip() else "other"


def _number(plain: str, start: int, last: Token | None) -> Token:
    if plain[start] in ".," or plain[start].isdigit():
        figures = _FIGURES.match(plain, start)
        assert figures is not None
        end = figures.end()
        value, why = _value(figures[0])
    else:
        end, value, why = start + 1, unicodedata.numeric(plain[start]), ""
    attached = _ATTACHED.match(plain, end)
    if attached and not _UNIT.match(plain, end) and not _TIMES.match(plain, end):
        return Token("word", start, attached.end(), plain[start : attached.end()].lower())
    # A point behind a letter, or a comma behind a gap, may part two things as well.
    unclear = plain[start] == "." and plain[start - 1 : start].isalnum()
    unclear |= plain[start] == "," and last is not None and last.kind != "break"
    if unclear and not why:
        why = translate("Recipe", "This could mean {whole} or 0.{whole}: type one of them.")
        why = why.format(whole=plain[start + 1 : end])
    return Token("number", start, end, plain[start:end], value, why=why)


def _value(text: str) -> tuple[float, str]:
    """A number in figures, and why it can't be taken."""
    fraction = _FRACTION.fullmatch(text)
    if fraction is not None:
        above, below = int(fraction[1]), int(fraction[2])
        if below == 0:
            return 0.0, translate("Recipe", "A fraction can't have a zero below.")
        if above >= below and len(fraction[1]) > 1:
            why = translate("Recipe", "{text} may lack a space. Type it as 1 1/2 or as 1.5.")
            return 0.0, why.format(text=text)
        if below not in _PARTS:
            why = translate("Recipe", "{text} may be a fraction or a choice. Type 0.5 or 1-2.")
            return 0.0, why.format(text=text)
        return above / below, ""
    if _GROUPED.fullmatch(text):
        joined, point = re.sub("[.,]", "", text), text.replace(",", ".")
        why = (
            translate("Recipe", "The comma could mean {joined} or {point}: type one of them.")
            if "," in text
            else translate("Recipe", "The point could mean {joined} or {point}: type one of them.")
        )
        # Neither is asked back again: one zero more or fewer parts no thousands.
        short = point.rstrip("0").rstrip(".")
        return 0.0, why.format(joined=joined, point=short if short != point else f"{point}0")
    if re.fullmatch(r"[0-9]*(?:[.,][0-9]+)?", text):
        return float(text.replace(",", ".")), ""
    return 0.0, translate("Recipe", "Type the number with one point or comma.")


def _labeled(tokens: Sequence[Token]) -> list[Token]:
    """ "Cure 2" and "pink salt two" are names; "cure 2 g" is an amount."""
    found: list[Token] = []
    for index, token in enumerate(tokens):
        after = tokens[index + 1] if index + 1 < len(tokens) else None
        if (
            (token.is_whole or token.count)
            and _names_a_cure(found)
            and not (after is not None and (after.kind in ("unit", "wrong") or after.is_fraction))
            and not (after is not None and after.kind == "dash" and found[-1].kind != "dash")
        ):
            token = replace(token, kind="label")
        found.append(token)
    return found


def _names_a_cure(before: Sequence[Token]) -> bool:
    words: list[str] = []
    for token in reversed(before):
        if token.kind == "dash" and not words:
            continue
        if token.kind != "word":
            break
        words.append(token.text)
    return bool(words) and (
        words[0] in ("cure", "cures")
        or (words[0] == "salt" and bool({"curing", "pink"} & {*words}))
    )
