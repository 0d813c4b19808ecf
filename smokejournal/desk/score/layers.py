"""Layers of the score on screen: plain ones, one that is kept as a picture, and the reading-out box."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPixmap
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from smokejournal.cook.score.words import MomentLine
from smokejournal.desk.base.theme import Ground
from smokejournal.drawing.frame import Ink
from smokejournal.drawing.picture import ScorePicture

#: Height of a line in the reading-out box, and room for the sample of a trace, in heights of type.
_ROW, _SWATCH = 1.4, 2.2


def ink_of(ground: Ground) -> Ink:
    """The picture's ink on one of the grounds."""
    grid, fill = QColor(ground.line), QColor(ground.line)
    # In bright sun lines are strong; behind traces and words they must give way all the same.
    grid.setAlphaF(0.3 if ground.name == "sun" else 0.6)
    fill.setAlphaF(0.2 if ground.name == "sun" else 0.55)
    return Ink(
        paper=QColor(ground.paper),
        raised=QColor(ground.raised),
        ink=QColor(ground.ink),
        faint=QColor(ground.faint),
        line=QColor(ground.line),
        grid=grid,
        fill=fill,
        accent=QColor(ground.ember),
        traces=tuple((QColor(color), dash) for color, dash in ground.traces),
        stroke=ground.stroke_px,
        hair=1.5 if ground.name == "sun" else 1.0,
    )


class ReadingBox:
    """The reading-out line at one moment, with its box of values."""

    def __init__(self, picture: ScorePicture, at_s: float, lines: list[MomentLine]) -> None:
        type_, em, whole = picture.type, picture.type.em, picture.frame.whole
        self._picture = picture
        self._lines = lines
        self._x = picture.span.x(at_s)
        self._head = picture.moment_words(at_s)
        most = 0.45 * whole.width()
        self._texts = [type_.elided(line.text, type_.plain, most) for line in lines]
        widths = [type_.width(text, type_.plain) + _SWATCH * em for text in self._texts]
        width = max([type_.width(self._head, type_.bold), *widths]) + 1.2 * em
        height = (_ROW * (len(lines) + 1) + 0.8) * em
        # Right of the line, or left of it where there is no room.
        left = self._x + 0.8 * em
        if left + width > whole.right():
            left = max(whole.left(), self._x - 0.8 * em - width)
        top = picture.frame.traces.top() + 0.4 * em
        self._box = QRectF(left, top, width, height)

    @property
    def rect(self) -> QRectF:
        """What it covers."""
        area = self._picture.frame.time_area
        line = QRectF(self._x - 2, area.top(), 4, area.height())
        return line.united(self._box.adjusted(-2, -2, 2, 2))

    def paint(self, painter: QPainter, ink: Ink) -> None:
        """Draw line and box."""
        type_, em, area = self._picture.type, self._picture.type.em, self._picture.frame.time_area
        painter.setPen(ink.pen(ink.faint))
        painter.drawLine(QPointF(self._x, area.top()), QPointF(self._x, area.bottom()))
        painter.setPen(ink.pen(ink.line))
        painter.setBrush(ink.raised)
        painter.drawRoundedRect(self._box, 4, 4)
        start = self._box.topLeft() + QPointF(0.6 * em, (0.4 + _ROW / 2) * em)
        type_.write(painter, start, self._head, type_.bold, ink.ink)
        for line, text in zip(self._lines, self._texts, strict=True):
            start += QPointF(0, _ROW * em)
            if line.trace is not None:
                color, dash = ink.trace(self._picture.score.ink(line.trace))
                painter.setPen(ink.pen(color, ink.stroke, dash))
                painter.drawLine(start, start + QPointF((_SWATCH - 0.5) * em, 0))
            at = start + QPointF(_SWATCH * em, 0)
            type_.write(painter, at, text, type_.plain, ink.ink)


class PictureLayer(QGraphicsItem):
    """A layer of the picture as large as the surface."""

    def __init__(self, paint: Callable[[QPainter], None], z: float) -> None:
        super().__init__()
        self._rect = QRectF()
        self._paint = paint
        self.setZValue(z)
        self.setAcceptedMouseButtons(Qt.MouseButton.NoButton)

    def fit(self, rect: QRectF) -> None:
        """Take this size."""
        if rect != self._rect:
            self.prepareGeometryChange()
            self._rect = QRectF(rect)

    def boundingRect(self) -> QRectF:
        """All of the surface."""
        return self._rect

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionGraphicsItem,  # noqa: ARG002
        widget: QWidget | None = None,  # noqa: ARG002
    ) -> None:
        """Have the view draw it."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint(painter)


class KeptSheet(PictureLayer):
    """The lowest layer, kept as an opaque picture until it is told to forget it."""

    def __init__(self, paint: Callable[[QPainter], None], z: float) -> None:
        super().__init__(paint, z)
        self._kept: QPixmap | None = None

    def forget(self) -> None:
        """Draw afresh next time."""
        self._kept = None
        self.update()

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionGraphicsItem,  # noqa: ARG002
        widget: QWidget | None = None,
    ) -> None:
        """Copy the picture, drawn for this kind of screen."""
        ratio = 1.0 if widget is None else widget.devicePixelRatioF()
        size = (self._rect.size() * ratio).toSize()
        if self._kept is None or self._kept.size() != size:
            image = QImage(size, QImage.Format.Format_RGB32)
            image.setDevicePixelRatio(ratio)
            inner = QPainter(image)
            try:
                inner.setRenderHints(painter.renderHints())
                self._paint(inner)
            finally:
                # A painter that outlives what it paints on takes the process with it.
                inner.end()
            self._kept = QPixmap.fromImage(image)
            self._kept.setDevicePixelRatio(ratio)
        painter.drawPixmap(self._rect.topLeft(), self._kept)
