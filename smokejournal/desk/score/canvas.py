"""The surface that the score is drawn on. The only module that uses pyqtgraph.

What is drawn is `ScorePicture`, the same as in print; only the traces between are pyqtgraph's curves,
which draw many short thick lines fast.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QEnterEvent, QMouseEvent, QPainter, QPen, QWheelEvent
from PySide6.QtWidgets import QWidget

from smokejournal.cook.score.score import Score, ScoreMark
from smokejournal.cook.score.thinning import FlatTrace, Stroke
from smokejournal.cook.score.words import MomentLine
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.theme import GROUNDS, Ground
from smokejournal.desk.score.fan import paint_fan_words, paint_fans
from smokejournal.desk.score.layers import KeptSheet, PictureLayer, ReadingBox, ink_of
from smokejournal.desk.score.look import Look, line_moved, look_of
from smokejournal.drawing.frame import Type
from smokejournal.drawing.picture import ScorePicture, TimeMode

_DRAG_PX = 5


@dataclass(frozen=True, slots=True)
class Scene:
    """What is to be drawn: a score (None: nothing yet), its lines, and what is in sight of it.

    `temperatures` are the ends of the axis [°C], `from_s` and `to_s` those of the time (UTC seconds).
    """

    score: Score | None
    lines: tuple[FlatTrace, ...]
    temperatures: tuple[float, float]
    from_s: float
    to_s: float
    mode: TimeMode
    units: Units

    @property
    def view_key(self) -> object:
        """What decides how the same score looks, but for the ground."""
        return (self.from_s, self.to_s, self.temperatures, self.mode, self.units)


def _pen(color: QColor, width: float) -> QPen:
    """A curve's pen. Square ends close the joints between its many short lines."""
    pen = QPen(color, width)
    pen.setCosmetic(True)
    pen.setCapStyle(Qt.PenCapStyle.SquareCap)
    return pen


class ScoreCanvas(pg.GraphicsView):  # type: ignore[misc]
    """Draws a `Scene` and says what the pointer does there: `hovered(moment or None)`,
    `clicked(entry of the mark)`, `dragged(share of the span)`, `wheeled(turns, moment)`. Moments are in
    UTC seconds. It has no menu and no buttons of its own.
    """

    hovered = Signal(object)
    clicked = Signal(int)
    dragged = Signal(float)
    wheeled = Signal(float, float)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setBackground(None)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setMouseTracking(True)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.NoContextMenu)
        self.picture: ScorePicture | None = None
        self._scene_drawn: Scene | None = None
        self._ground: Ground = GROUNDS["day"]
        self._ink = ink_of(self._ground)
        self._type: Type | None = None
        self._look: Look | None = None
        self._dots: list[Stroke] = []
        self._framed = False
        self._hair_at: tuple[float, list[MomentLine]] | None = None
        self._hair_rect = QRectF()
        self._pressed: QPointF | None = None
        self._dragging = False
        self._last_x = 0.0
        # Grid and lanes are kept as a picture: moving the reading-out line redraws none of them.
        self._under = KeptSheet(self._paint_under, -10)
        self._over = PictureLayer(self._paint_over, 10)
        self._hair = PictureLayer(self._paint_hair, 20)
        self._box = pg.ViewBox(enableMenu=False, enableMouse=False, defaultPadding=0)
        self._box.setZValue(0)
        self._curves: list[pg.PlotCurveItem] = []
        for item in (self._under, self._over, self._hair, self._box):
            self.scene().addItem(item)

    # -- drawing -----------------------------------------------------------------------------

    def set_ground(self, ground: Ground) -> None:
        """Draw on this ground from the next drawing on."""
        self._ground = ground
        self._ink = ink_of(ground)
        self._under.forget()

    def looks_new(self, scene: Scene) -> bool:
        """Whether anything to be seen of `scene` differs from what was drawn."""
        drawn = self.picture
        if drawn is None or scene.score is None:
            return True
        if look_of(scene.score, drawn, self._key(scene)) != self._look:
            return True
        return any(
            line_moved(old, new, drawn.span)
            for old, new in zip(drawn.lines, scene.lines, strict=True)
        )

    def draw(self, scene: Scene, font_family: str, font_px: int) -> None:
        """Draw it."""
        whole = QRectF(self.viewport().rect())
        # A large picture is looked at from further away; in a low one the traces need the room.
        size = float(max(9, font_px))
        size = max(0.8 * size, min(1.3 * size, whole.height() / 32))
        self._type = Type(font_family, size)
        self._scene_drawn = scene
        for sheet in (self._under, self._over, self._hair):
            sheet.fit(whole)
        self._over.update()
        if scene.score is None or whole.width() < 50:
            self._under.forget()
            self.picture = None
            for curve in self._curves:
                curve.setVisible(False)
            return
        margin = 0.5 * self._type.em
        before = self.picture
        picture = self.picture = ScorePicture(
            scene.score,
            whole.adjusted(margin, margin, -margin, -margin),
            scene.units,
            self._ink,
            self._type,
            scene.from_s,
            scene.to_s,
            mode=scene.mode,
            lines=list(scene.lines),
            temperatures=scene.temperatures,
            crisp=True,
        )
        look = look_of(scene.score, picture, self._key(scene))
        # The running stage and what lasts reach to now, so the lanes move with it.
        if look != self._look or before is None:
            self._under.forget()
        else:
            picture.mark_places = before.mark_places
            picture.target_places = before.target_places
        self._look = look
        self._draw_curves(picture, scene.score)

    def set_framed(self, framed: bool) -> None:
        """Draw a frame: the keys go here."""
        self._framed = framed
        self._over.update()

    def set_hair(self, at_s: float | None, lines: list[MomentLine]) -> None:
        """Where the reading-out line stands and what it says; redraws only what it covered and covers."""
        self._hair_at = None if at_s is None else (at_s, lines)
        self._hair.update(self._hair_rect)
        box = self._reading_box()
        self._hair_rect = QRectF() if box is None else box.rect
        self._hair.update(self._hair_rect)

    def time_area(self) -> QRectF:
        """Where the shared time axis reigns, in pixels."""
        return QRectF() if self.picture is None else self.picture.frame.time_area

    def near_s(self) -> float:
        """Half the width of a mark's shape, as time."""
        if self.picture is None:
            return 0.0
        span = self.picture.span
        return 6.0 * (span.to_s - span.from_s) / max(1.0, span.area.width())

    def _mark_at(self, at: QPointF) -> ScoreMark | None:
        """The mark whose shape is drawn here."""
        picture = self.picture
        if picture is None:
            return None
        here = (mark for rect, mark in picture.mark_places if rect.contains(at))
        return min(here, key=lambda mark: abs(picture.span.x(mark.at_s) - at.x()), default=None)

    def _key(self, scene: Scene) -> object:
        return (scene.view_key, self._ground)

    def _draw_curves(self, picture: ScorePicture, score: Score) -> None:
        area = picture.frame.traces
        if self._box.geometry() != area:
            self._box.setGeometry(area)
            self._box.setRange(xRange=(0.0, area.width()), yRange=(0.0, area.height()), padding=0)
        while len(self._curves) < len(score.traces):
            curve = pg.PlotCurveItem(antialias=True, skipFiniteCheck=True)
            # Thick smooth lines are drawn piece by piece: joined they are ten times slower.
            curve.setSegmentedLineMode("on")
            self._box.addItem(curve, ignoreBounds=True)
            self._curves.append(curve)
        column = max(1.0, 0.75 * self._ink.stroke)
        self._dots = []
        for place, curve in enumerate(self._curves):
            if place >= len(score.traces):
                curve.setVisible(False)
                continue
            stroke, dots = picture.stroke(place, column, square_ends=True)
            self._dots.append(dots)
            color, _ = self._ink.trace(score.ink(place))
            curve.setVisible(True)
            curve.setData(
                x=stroke.x - area.left(),
                y=area.bottom() - stroke.y,
                connect=stroke.joined,
                pen=_pen(color, picture.trace_width(score.traces[place])),
                skipFiniteCheck=True,
            )

    def _paint_under(self, painter: QPainter) -> None:
        painter.fillRect(self._under.boundingRect(), QColor(self._ground.paper))
        if self.picture is not None:
            self.picture.paint_under(painter)
            paint_fans(painter, self.picture)

    def _paint_over(self, painter: QPainter) -> None:
        picture, scene = self.picture, self._scene_drawn
        if picture is None:
            if scene is not None and scene.score is None and self._type is not None:
                at = self._over.boundingRect().center()
                text = self.tr("No readings and no entries yet.")
                center = Qt.AlignmentFlag.AlignHCenter
                self._type.write(painter, at, text, self._type.plain, self._ink.faint, center)
            return
        for place, dots in enumerate(self._dots):
            picture.paint_dots(painter, place, dots)
        picture.paint_over(painter)
        paint_fan_words(painter, picture)
        if self._framed:
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(self._ink.pen(self._ink.accent, 2.0))
            painter.drawRect(self._over.boundingRect().adjusted(1, 1, -1, -1))

    def _reading_box(self) -> ReadingBox | None:
        scene = self._scene_drawn
        if self.picture is None or scene is None or self._hair_at is None:
            return None
        at_s, lines = self._hair_at
        return ReadingBox(self.picture, at_s, lines) if scene.from_s <= at_s <= scene.to_s else None

    def _paint_hair(self, painter: QPainter) -> None:
        box = self._reading_box()
        if box is not None:
            box.paint(painter, self._ink)

    # -- the pointer -------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin a press or a drag."""
        self.parentWidget().setFocus(Qt.FocusReason.MouseFocusReason)
        if event.button() == Qt.MouseButton.LeftButton:
            self._pressed = event.position()
            self._last_x, self._dragging = event.position().x(), False
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Read out, or draw the picture along."""
        at = event.position()
        if self._pressed is None:
            picture = self.picture
            if picture is None or not picture.frame.time_area.contains(at):
                self.hovered.emit(None)
            else:
                self.hovered.emit(picture.span.at_s(at.x()))
            return
        if self._dragging or abs(at.x() - self._pressed.x()) > _DRAG_PX:
            self._dragging = True
            if self.picture is not None:
                width = max(1.0, self.picture.frame.traces.width())
                self.dragged.emit((self._last_x - at.x()) / width)
            self._last_x = at.x()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A press without a drag chooses what is there."""
        if event.button() == Qt.MouseButton.LeftButton and self._pressed is not None:
            mark = None if self._dragging else self._mark_at(event.position())
            if mark is not None:
                self.clicked.emit(mark.entry_id)
            self._pressed = None
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Nothing of its own."""
        self.mousePressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom, or pan sideways."""
        delta, picture = event.angleDelta(), self.picture
        if picture is not None and delta.x():
            self.dragged.emit(-0.1 * delta.x() / 120)
        if picture is not None and delta.y():
            x = min(max(event.position().x(), picture.frame.left), picture.frame.right)
            self.wheeled.emit(delta.y() / 120, picture.span.at_s(x))
        event.accept()

    def enterEvent(self, event: QEnterEvent) -> None:
        """Nothing of pyqtgraph's own."""
        event.accept()

    def leaveEvent(self, event: QEvent) -> Any:
        """The reading-out line goes with the pointer."""
        super().leaveEvent(event)
        self.hovered.emit(None)
