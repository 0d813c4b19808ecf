"""A chance in words: in tenths, since more would say too much."""

from __future__ import annotations

from smokejournal.cook.text.translate import translate


def chance_words(chance: float) -> str:
    """ "about 7 in 10"; never "0 in 10" nor "10 in 10", which would be promises."""
    tenths = round(10.0 * chance)
    if tenths <= 0:
        return translate("Chance", "less than 1 in 10")
    if tenths >= 10:
        return translate("Chance", "more than 9 in 10")
    return translate("Chance", "about {n} in 10").format(n=tenths)
