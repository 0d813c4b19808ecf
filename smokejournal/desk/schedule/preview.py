"""The plan as a small picture: pit targets as steps, stages as blocks below.

Blocks of known length have full edges; where the length is not known the block is open to the right
and its width says nothing. Numbers come ready from `cook.schedule_sketch`.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from smokejournal.cook.plan.schedule_sketch import Block
from smokejournal.cook.text import quantities
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.theme import GROUNDS, SMALL_PX

BLOCK_HEIGHT = 40.0
#: Share of the width of a stage whose length is not known, in hours of one that is.
OPEN_HOURS = 2.0
LEAST_HOURS = 1.0
MOST_HOURS = 5.0


class SchedulePreview(QWidget):
    """`stage_asked(key)` when a block is clicked."""

    stage_asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("schedulePreview")
        self.setAccessibleName(self.tr("Preview of the plan"))
        self.setToolTip(
            self.tr(
                "A torn edge: when this stage ends can't be known beforehand. Click to go there."
            )
        )
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(116)
        self._blocks: tuple[Block, ...] = ()
        self._units = METRIC
        self._ground = GROUNDS["day"]
        self._chosen = ""
        self._warned: frozenset[str] = frozenset()
        self._past: frozenset[str] = frozenset()
        self._places: list[tuple[str, QRectF]] = []

    def sizeHint(self) -> QSize:
        return QSize(500, 116)

    def show_plan(
        self,
        blocks: Sequence[Block],
        units: Units,
        *,
        chosen: str = "",
        warned: Collection[str] = (),
        past: Collection[str] = (),
    ) -> None:
        """Draw these blocks; `past` are over, `warned` have something that speaks against them."""
        self._blocks = tuple(blocks)
        self._units = units
        self._chosen = chosen
        self._warned = frozenset(warned)
        self._past = frozenset(past)
        self.setAccessibleDescription("; ".join(f"{b.name}: {b.ends}" for b in self._blocks))
        self.update()

    def set_ground(self, name: str) -> None:
        """Draw on this ground."""
        self._ground = GROUNDS[name]
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        for key, place in self._places:
            if place.contains(event.position()):
                self.stage_asked.emit(key)
                return

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        font = QFont(self.font())
        font.setPixelSize(SMALL_PX)
        painter.setFont(font)
        if not self._blocks:
            painter.setPen(QColor(self._ground.faint))
            painter.drawText(
                self.rect(), Qt.AlignmentFlag.AlignCenter, self.tr("The plan is drawn here.")
            )
            painter.end()
            return
        self._place()
        self._paint_pit(painter, QFontMetricsF(font))
        for block, (_key, place) in zip(self._blocks, self._places, strict=True):
            self._paint_block(painter, font, block, place)
        painter.end()

    def _place(self) -> None:
        shares = [
            OPEN_HOURS
            if b.length_s is None
            else min(MOST_HOURS, max(LEAST_HOURS, b.length_s / 3600.0))
            for b in self._blocks
        ]
        top = self.height() - BLOCK_HEIGHT - 2.0
        room = self.width() - 2.0 - 4.0 * (len(shares) - 1)
        at = 1.0
        self._places = []
        for block, share in zip(self._blocks, shares, strict=True):
            width = room * share / sum(shares)
            self._places.append((block.key, QRectF(at, top, width, BLOCK_HEIGHT)))
            at += width + 4.0

    def _paint_pit(self, painter: QPainter, metrics: QFontMetricsF) -> None:
        known = [b.pit_c for b in self._blocks if b.pit_c is not None]
        if not known:
            return
        top, bottom = metrics.height() + 4.0, self.height() - BLOCK_HEIGHT - 12.0
        low, high = (
            min([*known, *(b.meat_c for b in self._blocks if b.meat_c is not None)]),
            max(known),
        )
        span = max(high - low, 1.0)
        pit_color, dash = self._ground.traces[0]
        pen = QPen(QColor(pit_color), 2.0)
        if dash:
            pen.setDashPattern(list(dash))
        last: QPointF | None = None
        last_text = ""
        for block, (_key, place) in zip(self._blocks, self._places, strict=True):
            if block.meat_c is not None:
                y = bottom - (bottom - top) * min(1.0, max(0.0, (block.meat_c - low) / span))
                meat = QPen(QColor(self._ground.traces[1][0]), 1.5, Qt.PenStyle.DashLine)
                painter.setPen(meat)
                painter.drawLine(QPointF(place.left(), y), QPointF(place.right(), y))
            if block.pit_c is None:
                last = None
                last_text = ""
                continue
            y = bottom - (bottom - top) * (block.pit_c - low) / span
            begin, end = QPointF(place.left(), y), QPointF(place.right(), y)
            painter.setPen(pen)
            if last is not None:
                painter.drawLine(last, QPointF(begin.x(), last.y()))
                painter.drawLine(QPointF(begin.x(), last.y()), begin)
            painter.drawLine(begin, end)
            last = end
            text = quantities.temperature(block.pit_c, self._units)
            if text != last_text:
                painter.setPen(QColor(self._ground.ink))
                painter.drawText(QPointF(place.left() + 3.0, y - 5.0), text)
                last_text = text

    def _paint_block(self, painter: QPainter, font: QFont, block: Block, place: QRectF) -> None:
        ground = self._ground
        past = block.key in self._past
        chosen = block.key == self._chosen
        edge = QColor(ground.ember if chosen else ground.line)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(ground.paper if past else ground.raised))
        painter.drawRect(place)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(edge, 2.0 if chosen else 1.0))
        left, right = place.left(), place.right()
        painter.drawLine(place.topLeft(), place.bottomLeft())
        painter.drawLine(place.topLeft(), place.topRight())
        painter.drawLine(place.bottomLeft(), place.bottomRight())
        if block.length_s is not None:
            painter.drawLine(place.topRight(), place.bottomRight())
        else:
            # An open end: the edge is torn, since nobody knows yet where it will be.
            step = place.height() / 6
            for n in range(6):
                a = place.top() + n * step
                painter.drawLine(
                    QPointF(right - (3.0 if n % 2 else 0.0), a),
                    QPointF(right - (0.0 if n % 2 else 3.0), a + step),
                )
        if block.key in self._warned:
            painter.fillRect(QRectF(left, place.top(), 4.0, place.height()), QColor(ground.ember))
        inner = place.adjusted(8.0, 3.0, -6.0, -3.0)
        bold = QFont(font)
        bold.setBold(True)
        self._line(painter, bold, block.name, ground.faint if past else ground.ink, inner, 0)
        self._line(painter, font, block.ends, ground.faint, inner, 1)

    @staticmethod
    def _line(
        painter: QPainter, font: QFont, text: str, color: str, place: QRectF, row: int
    ) -> None:
        painter.setFont(font)
        painter.setPen(QColor(color))
        metrics = QFontMetricsF(font)
        shown = metrics.elidedText(text, Qt.TextElideMode.ElideRight, place.width())
        painter.drawText(
            QPointF(place.left(), place.top() + metrics.ascent() + row * (metrics.height() + 1.0)),
            shown,
        )
