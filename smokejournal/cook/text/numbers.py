"""Numbers as people type them: decimal comma, fractions, a unit behind.

The comma is a decimal comma. A comma before exactly three digits could be one that groups
thousands, so it is refused rather than guessed: "1,250 g" is a thousand times "1,250 kg". So is a
point before three digits where the unit is one that nobody weighs to a thousandth: "1.250 g".
"""

from __future__ import annotations

import math
import re
import unicodedata

from smokejournal.cook.text.translate import translate


class QuantityError(ValueError):
    """What was typed is no such quantity. `message` is ready to be shown beside the field."""

    def __init__(self, field: str, wanted: str, why: str = "") -> None:
        self.field = field
        said = translate("Quantities", "Type {wanted}.").format(wanted=wanted)
        lead = f"{field}: " if field else ""
        self.message = f"{lead}{said} {why}".strip()
        super().__init__(self.message)


# A fraction first, so that "1 1/4" is one number; then a plain number with at most one separator.
_NUMBER = r"[+-]?(?:[0-9]+ +[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+[.,]?[0-9]*|[.,][0-9]+)"
_UNIT = r"[^\W\d_]+(?: ?/ ?[^\W\d_]+)?|°[^\W\d_]?|[%#\"”″]"
_PART = re.compile(rf"\s*({_NUMBER})\s*({_UNIT})?\s*")
_GROUPED = re.compile(r"[+-]?[1-9][0-9]{0,2}([.,])[0-9]{3}")
#: A thousandth of these is nothing that a kitchen measures.
_SMALL = frozenset({"g", "gr", "gram", "grams", "ml", "mm"})


def fmt(value: float, digits: int, trim: bool = False) -> str:
    """A number with a true minus sign, no minus zero; `trim` drops zeros behind the point."""
    if not math.isfinite(value):
        return translate("Quantities", "unknown")
    text = f"{value:.{digits}f}"
    if trim and "." in text:
        text = text.rstrip("0").rstrip(".")
    if text.startswith("-"):
        text = text[1:] if not text.strip("-0.") else "−" + text[1:]
    return text


def plain(text: str) -> str:
    """The same text with plain digits, spaces, minus and fractions: "1½" is "1 1/2"."""
    out: list[str] = []
    for ch in text:
        if ch.isdecimal():
            out.append(str(unicodedata.decimal(ch)))
        elif ch.isspace():
            out.append(" ")
        elif ch in "−–—‐‑":
            out.append("-")
        elif ch == "⁄":
            out.append("/")
        elif ch in "℃℉":
            out.append("°C" if ch == "℃" else "°F")
        elif (whole := unicodedata.normalize("NFKC", ch)) != ch and "⁄" in whole:
            out.append(" " + whole.replace("⁄", "/"))
        else:
            out.append(ch)
    return "".join(out).strip()


def _value(number: str, unit: str, field: str, wanted: str) -> float:
    grouped = _GROUPED.fullmatch(number)
    if grouped is not None and (grouped[1] == "," or unit.lower() in _SMALL):
        joined, point = re.sub("[.,]", "", number), float(number.replace(",", "."))
        if grouped[1] == ",":
            why = translate(
                "Quantities", "The comma could mean {joined} or {point}: type one of them."
            )
        else:
            why = translate(
                "Quantities", "The point could mean {joined} or {point}: type one of them."
            )
        # Without zeros at its end, so that what is advised isn't asked back again.
        raise QuantityError(field, wanted, why.format(joined=joined, point=f"{point:g}"))
    if "/" in number:
        sign = -1.0 if number.startswith("-") else 1.0
        whole, _, fraction = number.lstrip("+-").rpartition(" ")
        above, below = fraction.split("/")
        if int(below) == 0:
            raise QuantityError(field, wanted)
        return sign * ((int(whole) if whole.strip() else 0) + int(above) / int(below))
    return float(number.replace(",", "."))


def parts(text: str, field: str, wanted: str) -> list[tuple[float, str]]:
    """Numbers with their units in "2 lb 3 oz". Only the first may be negative.

    Raises QuantityError where any of the text is left over.
    """
    rest = plain(text)
    found: list[tuple[float, str]] = []
    while rest:
        match = _PART.match(rest)
        if match is None:
            raise QuantityError(field, wanted)
        if found and (match[1][0] in "+-" or not found[-1][1]):
            raise QuantityError(field, wanted)
        found.append((_value(match[1], match[2] or "", field, wanted), match[2] or ""))
        rest = rest[match.end() :]
    if not found or not all(math.isfinite(number) for number, _ in found):
        raise QuantityError(field, wanted)
    return found


def number_and_unit(text: str, field: str, wanted: str) -> tuple[float, str]:
    """One number and the unit behind it ("" where there is none)."""
    found = parts(text, field, wanted)
    if len(found) != 1:
        raise QuantityError(field, wanted)
    return found[0]


def read_number(text: str, field: str, wanted: str) -> float:
    """One number with nothing behind it."""
    value, unit = number_and_unit(text, field, wanted)
    if unit:
        raise QuantityError(field, wanted)
    return value
