"""The forecast on the score: a light band with its middle, to the right of now."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPolygonF

from smokejournal.cook.log.readings import FloatArray
from smokejournal.cook.score.score import ScoreFan
from smokejournal.drawing.picture import ScorePicture

_BAND, _EDGE = 0.16, 0.45


def paint_fans(painter: QPainter, picture: ScorePicture) -> None:
    """Bands, middles and what is to be reached. Under the traces, so that what was read covers it."""
    painter.save()
    painter.setClipRect(picture.frame.traces)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for fan, color in _seen(picture):
        low, high = _points(picture, fan, fan.low_c), _points(picture, fan, fan.high_c)
        band, edge = QColor(color), QColor(color)
        band.setAlphaF(_BAND)
        edge.setAlphaF(_EDGE)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(band)
        painter.drawPolygon(QPolygonF(high + low[::-1]))
        if fan.target_c is not None:
            y = picture.span.y(fan.target_c)
            painter.setPen(picture.ink.pen(edge, 1.0, (1.5, 3.0)))
            painter.drawLine(QPointF(low[0].x(), y), QPointF(low[-1].x(), y))
        # A hair line: nothing was read here, and wide dashed curves are slow.
        painter.setPen(picture.ink.pen(color, 1.0, (6.0, 4.0)))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(_points(picture, fan, fan.middle_c))
    painter.restore()


def paint_fan_words(painter: QPainter, picture: ScorePicture) -> None:
    """What is reached and about when, above that place."""
    type_, area = picture.type, picture.frame.traces
    for fan, _ in _seen(picture):
        if not fan.label or fan.target_c is None or fan.reach_s is None:
            continue
        width = type_.width(fan.label, type_.small)
        x = picture.span.x(fan.reach_s) - width / 2
        first = picture.span.clipped_x(float(fan.at_s[0])) + 0.4 * type_.em
        x = max(first, min(x, area.right() - width - 0.2 * type_.em))
        y = picture.span.y(fan.target_c) - 0.85 * type_.em
        rect = QRectF(x, y - 0.6 * type_.em, width, 1.2 * type_.em)
        if area.contains(rect):
            type_.write(painter, QPointF(x, y), fan.label, type_.small, picture.ink.ink)


def _seen(picture: ScorePicture) -> Iterator[tuple[ScoreFan, QColor]]:
    """Fans in sight, each in the color of its trace."""
    span, keys = picture.span, [trace.key for trace in picture.score.traces]
    for fan in picture.score.fans:
        if fan.key not in keys or fan.at_s.size < 2:
            continue
        if fan.at_s[0] < span.to_s and fan.at_s[-1] > span.from_s:
            yield fan, picture.ink.trace(picture.score.ink(keys.index(fan.key)))[0]


def _points(picture: ScorePicture, fan: ScoreFan, value_c: FloatArray) -> list[QPointF]:
    span = picture.span
    return [
        QPointF(span.x(at_s), span.y(c))
        for at_s, c in zip(fan.at_s.tolist(), value_c.tolist(), strict=True)
    ]
