"""A flow of items down numbered pages, cut only where a cut does no harm.

An item is a column of strips, each of which stays whole: a line of text, a line of a table's row, a
picture. The rules: an item that would leave one line alone on either side moves; a heading stays with
what follows; a table's head comes again on each page; a section that goes on says so in the margin.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from PySide6.QtGui import QPainter

Paint = Callable[[QPainter, float, float], None]


@dataclass(frozen=True, slots=True)
class Strip:
    """Something that is never cut: its height, and how to paint it with its top left at (x, y)."""

    height: float
    paint: Paint


@dataclass(slots=True)
class StripGroup:
    """Strips that belong together, `x` from the left edge of the page's text.

    `label` is painted in the margin beside the first strip; `again` where the item (or one after it
    in its section) begins a page. `head` comes again above the item where it begins a page. `whole`
    items are only cut when they are higher than a page. An item of one strip may be `squeeze`d into
    what is left of a page, down to a height of `squeezed`, so that it leaves no great hole there.
    A `new_page` begins with the item, wherever it would stand.
    """

    strips: list[Strip]
    x: float = 0.0
    space: float = 0.0
    keep_next: bool = False
    whole: bool = False
    label: Strip | None = None
    again: Strip | None = None
    rule: Strip | None = None
    head: Sequence[Strip] = field(default=())
    squeeze: Callable[[float], Strip] | None = None
    squeezed: float = 0.0
    new_page: bool = False

    @property
    def height(self) -> float:
        """All strips together."""
        return sum(strip.height for strip in self.strips)

    @property
    def least(self) -> float:
        """What must fit for the item to begin on a page."""
        if self.whole or len(self.strips) <= 3:
            return self.height
        return sum(strip.height for strip in self.strips[:2])


@dataclass(frozen=True, slots=True)
class Placed:
    """A strip with its place on the page."""

    x: float
    y: float
    strip: Strip


class Pages:
    """Puts items onto pages of a given height. `pages` are lists of placed strips."""

    def __init__(self, height: float) -> None:
        self.height = height
        self.pages: list[list[Placed]] = [[]]
        self._y = 0.0
        #: Down to where the margin is taken by a label.
        self._margin_y = 0.0

    def place_all(self, items: Sequence[StripGroup]) -> list[list[Placed]]:
        """Place every item in order; returns the pages."""
        for n, item in enumerate(items):
            self._place(item, self._company(items, n))
        return self.pages

    def _company(self, items: Sequence[StripGroup], n: int) -> float:
        """The height that what follows needs beside item n for it not to stand alone."""
        needed = 0.0
        while items[n].keep_next and n + 1 < len(items):
            n += 1
            needed += items[n].space + items[n].least
        return needed

    def _place(self, item: StripGroup, company: float) -> None:
        fresh = not self.pages[-1]
        space = 0.0 if fresh else item.space
        if item.label is not None and not fresh:
            # A label may reach further down than the few lines beside it; the next one stays clear.
            space = max(space, self._margin_y + item.space - self._y)
        room = self.height - self._y - space
        if item.squeeze is not None and item.squeezed <= room < item.height:
            item.strips = [item.squeeze(room)]
        whole = item.least + company
        if not fresh and (item.new_page or self._y + space + min(whole, self.height) > self.height):
            self._turn(item)
            space = 0.0
        elif not fresh and item.rule is not None:
            self._put(0.0, self._y + space / 2, item.rule)
        self._y += space
        if item.label is not None:
            self._put_label(item.label)
        rest = item.strips
        while rest:
            count = self._fitting(rest)
            if count == 0:
                self._turn(item)
                count = max(1, self._fitting(rest))
            for strip in rest[:count]:
                self._put(item.x, self._y, strip)
                self._y += strip.height
            rest = rest[count:]
            if rest:
                self._turn(item)

    def _fitting(self, strips: Sequence[Strip]) -> int:
        """How many of these go onto the page without leaving one alone; 0: begin a new page."""
        y, count = self._y, 0
        for strip in strips:
            y += strip.height
            if y > self.height + 1e-6:
                break
            count += 1
        if count == len(strips):
            return count
        if len(strips) - count == 1 and count > 2:
            count -= 1
        if count < 2 and self._y > 0:
            return 0
        return count

    def _turn(self, item: StripGroup) -> None:
        if self.pages[-1]:
            self.pages.append([])
        self._y = self._margin_y = 0.0
        if item.label is None and item.again is not None:
            self._put_label(item.again)
        for strip in item.head:
            self._put(item.x, self._y, strip)
            self._y += strip.height

    def _put_label(self, label: Strip) -> None:
        self._put(0.0, self._y, label)
        self._margin_y = self._y + label.height

    def _put(self, x: float, y: float, strip: Strip) -> None:
        self.pages[-1].append(Placed(x, y, strip))
