"""The cook's sheet as a flow of items: titles in the margin, what was written beside them."""

from __future__ import annotations

import math
from typing import TypeGuard

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from smokejournal.cook.score.score import Score
from smokejournal.cook.summary.sheet import (
    Block,
    Marks,
    Paragraph,
    Section,
    Sheet,
    Table,
    TastingMark,
)
from smokejournal.cook.summary.sheet_sections import mark_words
from smokejournal.cook.summary.tasting import HIGHEST
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.drawing.on_paper import SHAPE, draw_score
from smokejournal.paper.flow import Placed, Strip, StripGroup
from smokejournal.paper.typeset import HAIR, INK, Face, Typeset, printable

#: The margin in which the sections' titles stand, as a share of the width.
_MARGIN = 0.17
#: From one ruled line to the next [points]; fewer lines than these are not worth ruling.
_RULED, _LEAST_RULED = 23.0, 2


def is_drawn(score: Score | None) -> TypeGuard[Score]:
    """Whether there is anything to see in it."""
    return score is not None and bool(score.traces or score.bars or score.marks)


class SheetFlow:
    """Makes the items of one sheet for a text `width` dots wide and `height` high."""

    def __init__(self, type_: Typeset, width: float, height: float, units: Units) -> None:
        self.type = type_
        self.width = width
        self.height = height
        self.units = units
        self.x = round(width * _MARGIN)
        self.body = width - self.x
        self.pt = type_.point
        self.gap = type_.point * type_.leading**2

    def items(self, sheet: Sheet, score: Score | None) -> list[StripGroup]:
        """Everything, in order."""
        found = self._head(sheet)
        bare = len(found)
        if is_drawn(score):
            found.append(self._score(score))
        for number, section in enumerate(sheet.sections):
            items = self._section(section)
            if items and number == sheet.first_page > 0:
                items[0].new_page = True
            found += items
        if len(found) > bare:
            # The head's own line is enough of a line.
            found[bare].rule, found[bare].space = None, 4 * self.gap
        return found

    def ruled(self, title: str, placed: list[Placed]) -> list[Placed]:
        """Lines to write on, down what `placed` leaves of a page; none where that is too little."""
        top = max((one.y + one.strip.height for one in placed), default=0.0) + 12 * self.gap
        step = _RULED * self.pt
        count = int((self.height - top) / step)
        if not title or count < _LEAST_RULED:
            return []
        label = self._label(title, "", self.x - 8 * self.pt)
        rule = self.type.rule(self.body, 0.5 * self.pt, HAIR)
        return [
            Placed(0.0, top, label),
            *(Placed(self.x, top + n * step, rule) for n in range(1, count + 1)),
        ]

    def _head(self, sheet: Sheet) -> list[StripGroup]:
        title = self.type.lines(sheet.title, "title", self.width)
        if len(title) > 3:
            title = self.type.lines(sheet.title, "strong", self.width)
        items = [StripGroup(title, keep_next=True)]
        items.append(
            StripGroup(
                self.type.lines(" · ".join(sheet.lines), "text", self.width),
                space=2 * self.gap,
                keep_next=True,
            )
        )
        if sheet.notice:
            items.append(
                StripGroup([self._notice(sheet.notice)], space=5 * self.gap, keep_next=True)
            )
        items.append(
            StripGroup(
                [
                    self.type.rule(self.width, 1.6 * self.pt, self.type.accent),
                    self.type.space(3 * self.pt),
                ],
                space=6 * self.gap,
            )
        )
        return items

    def _notice(self, text: str) -> Strip:
        """Framed, so that it is seen in gray as well."""
        pad = 4 * self.pt
        lines = self.type.lines(text, "strong", self.width - 2 * pad)
        height = sum(line.height for line in lines) + 2 * pad

        def paint(painter: QPainter, x: float, y: float) -> None:
            painter.save()
            painter.setPen(QPen(INK, 0.8 * self.pt))
            painter.drawRect(QRectF(x, y, self.width, height))
            painter.restore()
            for n, line in enumerate(lines):
                line.paint(painter, x + pad, y + pad + n * line.height)

        return Strip(height, paint)

    def _score(self, score: Score | None) -> StripGroup:
        assert score is not None
        height = min(self.width * SHAPE, 0.55 * self.height)

        def strip(height: float) -> Strip:
            def paint(painter: QPainter, x: float, y: float) -> None:
                painter.save()
                painter.setFont(self.type.font("text"))
                rect = QRectF(x, y, self.width, height)
                draw_score(painter, rect, score, self.units, color=self.type.color)
                painter.restore()

            return Strip(height, paint)

        return StripGroup(
            [strip(height)],
            space=9 * self.gap,
            rule=self._section_rule(),
            whole=True,
            squeeze=strip,
            squeezed=0.75 * height,
        )

    def _section_rule(self) -> Strip:
        return self.type.rule(self.width, 0.5 * self.pt, HAIR)

    def _section(self, section: Section) -> list[StripGroup]:
        items: list[StripGroup] = []
        for block in section.blocks:
            items += self._block(block)
        if not items:
            return []
        again = self._label(section.title, translate("Sheet", "(continued)"), self.x - 8 * self.pt)
        for item in items:
            item.x = self.x
            item.again = again
        first = items[0]
        first.space, first.rule = 10 * self.gap, self._section_rule()
        first.label = self._label(section.title, "", self.x - 8 * self.pt)
        return items

    def _label(self, title: str, more: str, width: float) -> Strip:
        lines = self.type.lines(title, "label", width)
        if more:
            lines += self.type.lines(more, "foot", width)
        # Its line sits as deep as the smaller one beside it.
        lift = (self.type.line_height("label") - self.type.line_height("text")) / 2

        def paint(painter: QPainter, x: float, y: float) -> None:
            y -= lift
            for line in lines:
                line.paint(painter, x, y)
                y += line.height

        return Strip(sum(line.height for line in lines), paint)

    def _block(self, block: Block) -> list[StripGroup]:
        if isinstance(block, Paragraph):
            face: Face = {"plain": "text", "strong": "strong", "faint": "faint", "small": "small"}[
                block.kind
            ]  # type: ignore[assignment]
            space = (2.5 if block.kind == "small" else 3.5) * self.gap
            return [StripGroup(self.type.lines(block.text, face, self.body), space=space)]
        if isinstance(block, Marks):
            widest = max(self.type.width(mark.name, "text") for mark in block.marks)
            left = max([self.type.width(mark.low, "faint") for mark in block.marks], default=0.0)
            strips = [
                self._mark(mark, min(widest, 0.3 * self.body), min(left, 0.3 * self.body))
                for mark in block.marks
            ]
            return [StripGroup(strips, space=3.5 * self.gap, whole=True)]
        return self._table(block)

    def _table(self, table: Table) -> list[StripGroup]:
        gutter = 7 * self.pt
        widths = self._widths(table, gutter)
        head: list[Strip] = []
        if table.headed:
            cells = [
                self.type.lines(c.head, "head", w - gutter, right=c.align == "right")
                for c, w in zip(table.columns, widths, strict=True)
            ]
            head = self._row(cells, widths, gutter, INK)
        items = []
        for n, row in enumerate(table.rows):
            cells = [
                self.type.lines(text, "text", w - gutter, right=c.align == "right")
                for text, c, w in zip(row, table.columns, widths, strict=True)
            ]
            last = n == len(table.rows) - 1
            under = HAIR if table.headed and not last else None
            strips = self._row(cells, widths, gutter, under)
            if table.ticked:
                strips[0] = self._boxed(strips[0])
            items.append(StripGroup(strips, whole=len(strips) <= 8, head=head))
            if n == 0 and head:
                # The head stands with the first row; on later pages it comes by itself.
                items.insert(
                    0, StripGroup(list(head), space=3.5 * self.gap, keep_next=True, whole=True)
                )
            elif n == 0:
                items[0].space = 3.5 * self.gap
        return items

    def _boxed(self, strip: Strip) -> Strip:
        """With an empty box to tick before what it holds."""
        size = 8.5 * self.pt
        drop = 1.6 * self.gap + self.type.ascent("text") - size + 0.5 * self.pt

        def paint(painter: QPainter, x: float, y: float) -> None:
            strip.paint(painter, x, y)
            painter.save()
            painter.setPen(QPen(INK, 0.8 * self.pt))
            painter.drawRect(QRectF(x + 0.5 * self.pt, y + drop, size, size))
            painter.restore()

        return Strip(strip.height, paint)

    def _widths(self, table: Table, gutter: float) -> list[float]:
        """Each column's share; what one does not need goes to those whose lines would break."""
        shares = sum(column.share for column in table.columns)
        own = [self.body * column.share / shares for column in table.columns]
        if table.ticked:
            # Its days stand one below the other, their columns too.
            return own
        if not table.headed:
            # Times that name their day are longer than most.
            longest = max((self.type.width(row[0], "text") for row in table.rows), default=0.0)
            first = min(max(own[0], longest + gutter + self.pt), 0.3 * self.body)
            return [
                first,
                *(width * (self.body - first) / (self.body - own[0]) for width in own[1:]),
            ]
        needed = []
        for n, column in enumerate(table.columns):
            texts = [line for row in table.rows for line in printable(row[n]).split("\u2028")]
            widest = max((self.type.width(text, "text") for text in texts), default=0.0)
            head = self.type.width(column.head, "head")
            needed.append(max(widest, head) + gutter + self.pt)
        room = [min(need, width) for need, width in zip(needed, own, strict=True)]
        spare = self.body - sum(room)
        for n in sorted(range(len(room)), key=lambda n: needed[n] - room[n]):
            more = max(0.0, min(spare, needed[n] - room[n]))
            room[n] += more
            spare -= more
        return [
            width + spare * column.share / shares
            for width, column in zip(room, table.columns, strict=True)
        ]

    def _row(
        self, cells: list[list[Strip]], widths: list[float], gutter: float, under: QColor | None
    ) -> list[Strip]:
        """A row line by line: strip k holds the k-th line of every cell."""
        count = max((len(lines) for lines in cells), default=0)
        height = max((line.height for lines in cells for line in lines), default=0.0)
        pad = 1.6 * self.gap

        def line_strip(k: int) -> Strip:
            last = k == count - 1

            def paint(painter: QPainter, x: float, y: float) -> None:
                at = x
                for lines, width, column in zip(cells, widths, range(len(cells)), strict=True):
                    if k < len(lines):
                        # The last column ends at the edge; the others keep off their neighbor.
                        shift = gutter if column == len(cells) - 1 else 0.0
                        lines[k].paint(painter, at + shift, y + (pad if k == 0 else 0.0))
                    at += width
                if last and under is not None:
                    line = QRectF(x, y + strip_height - 0.4 * self.pt, self.body, 0.4 * self.pt)
                    painter.fillRect(line, under)

            strip_height = height + (pad if k == 0 else 0.0) + (pad if last else 0.0)
            return Strip(strip_height, paint)

        return [line_strip(k) for k in range(count)]

    def _mark(self, mark: TastingMark, name_width: float, low_width: float) -> Strip:
        height = self.type.line_height("text") + 1.5 * self.pt
        step, radius = 11 * self.pt, 3.4 * self.pt
        gap = 8 * self.pt
        name = self.type.lines(
            self.type.elided(mark.name, "text", name_width + 1), "text", 2 * name_width
        )
        value = mark_words(mark)
        drop = self.type.ascent("text") - self.type.ascent("faint")

        def paint(painter: QPainter, x: float, y: float) -> None:
            name[0].paint(painter, x, y)
            at = x + name_width + gap
            self.type.lines(mark.low, "faint", low_width, right=True)[0].paint(
                painter, at, y + drop
            )
            at += low_width + gap
            middle = y + self.type.line_height("text") / 2
            for n in range(1, HIGHEST + 1):
                self._dot(painter, QPointF(at + radius, middle), radius, mark.value - (n - 1))
                at += step
            at += gap - (step - 2 * radius)
            rest = self.body - (at - x)
            said = f"{mark.high}  ({value})" if mark.high else value
            self.type.lines(said, "faint", rest)[0].paint(painter, at, y + drop)

        return Strip(height, paint)

    def _dot(self, painter: QPainter, middle: QPointF, radius: float, filled: float) -> None:
        """A dot, filled from the left as far as the mark goes."""
        painter.save()
        painter.setPen(QPen(INK, 0.6 * self.pt))
        if filled > 0:
            part = min(1.0, filled)
            box = QRectF(middle.x() - radius, middle.y() - radius, 2 * radius, 2 * radius)
            painter.setBrush(INK)
            if part >= 1.0:
                painter.drawEllipse(box)
            else:
                half = math.degrees(math.acos(1 - 2 * part))
                painter.drawChord(box, round((180 - half) * 16), round(2 * half * 16))
            painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(middle, radius, radius)
        painter.restore()
