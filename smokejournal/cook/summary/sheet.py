"""The cook's sheet: the summary in words, section by section.

The printed page, the page on screen and the command line all show this, so they all say the same.
Text only, as people wrote it; escaping is for whoever puts it into markup.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal, TypeAlias

TextKind = Literal["plain", "strong", "faint", "small"]
Align = Literal["left", "right"]


_UNIT = re.compile(r"(?<=\d) (?=(?:°[CF]|kg|g|lb|oz|cm|in|m/s|km/h|mph|hPa|inHg|h|min|s|d)\b|°|%)")


def units_kept(text: str) -> str:
    """The text with no-break spaces between numbers and their units, for whoever breaks lines."""
    return _UNIT.sub("\u00a0", text)


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text. Line breaks are kept."""

    text: str
    kind: TextKind = "plain"


@dataclass(frozen=True, slots=True)
class SheetColumn:
    """A column of a table; `share` is its part of the width."""

    head: str
    share: float
    align: Align = "left"


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells. Without any heads it is a list with times in its first column.

    `ticked`: on paper each row begins with a box to tick, in its first column, which holds no text.
    """

    columns: tuple[SheetColumn, ...]
    rows: tuple[tuple[str, ...], ...]
    ticked: bool = False

    @property
    def headed(self) -> bool:
        """True when any column has a head."""
        return any(column.head for column in self.columns)


@dataclass(frozen=True, slots=True)
class TastingMark:
    """One scale of the tasting: `value` from 1 to 5, the mean of `count` tastings."""

    name: str
    low: str
    high: str
    value: float
    count: int


@dataclass(frozen=True, slots=True)
class Marks:
    """The scales that were marked."""

    marks: tuple[TastingMark, ...]


Block: TypeAlias = Paragraph | Table | Marks


@dataclass(frozen=True, slots=True)
class Section:
    """One part of the sheet. `key` names it for ever; `title` is what people read."""

    key: str
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """The whole sheet. `notice` must stand wherever its numbers do ("" where there is none).

    The first `first_page` sections make a page of their own with the score (0: no page of its own).
    `remarks` is the title under which what is left of the last page is ruled to write on ("": it isn't).
    """

    title: str
    lines: tuple[str, ...]
    notice: str
    made: str
    sections: tuple[Section, ...]
    remarks: str = ""
    first_page: int = 0

    def section(self, key: str) -> Section | None:
        """The section with this key, or None where there was nothing to tell."""
        return next((section for section in self.sections if section.key == key), None)
