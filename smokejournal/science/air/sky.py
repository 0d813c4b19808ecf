"""How much of the sky is covered: in eighths, in tenths, and in the few words of a weather report.

Source: WMO-No. 306, Manual on Codes, volume I.1: code table 0501 (tenths to eighths) and regulation
15.9.1.1 (FEW, SCT, BKN, OVC).
"""

from __future__ import annotations

from typing import Literal

from smokejournal.science.numbers.refusals import between, refuses

Cover = Literal["clear", "few", "scattered", "broken", "overcast"]

#: Eighths that each word stands for. A trace counts as "few", a small opening as "broken".
EIGHTHS: dict[Cover, tuple[int, int]] = {
    "clear": (0, 0),
    "few": (1, 2),
    "scattered": (3, 4),
    "broken": (5, 7),
    "overcast": (8, 8),
}
_EIGHTHS_OF_TENTHS = (0, 1, 2, 2, 3, 4, 5, 6, 6, 7, 8)


@refuses(tenths=between("sky cover", 0, 10, "tenths"))
def eighths_of_tenths(tenths: int) -> int:
    """Eighths of the sky from tenths of it, 0 to 10; OutOfRange outside."""
    return _EIGHTHS_OF_TENTHS[tenths]


@refuses(eighths=between("sky cover", 0, 8, "eighths"))
def cover_of_eighths(eighths: int) -> Cover:
    """The word for so many eighths of the sky, 0 to 8; OutOfRange outside."""
    return next(word for word, (_, high) in EIGHTHS.items() if eighths <= high)
