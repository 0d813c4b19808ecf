"""The score on screen: live, to be zoomed, panned and read out. The only module that uses pyqtgraph.

What is drawn is `ScorePicture`, the same as in print; only the traces between are pyqtgraph's curves,
which draw many short thick lines fast. The view thins them itself, to the columns of the picture.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import pyqtgraph as pg
from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal, Slot
from PySide6.QtGui import (
    QColor,
    QEnterEvent,
    QFocusEvent,
    QFontInfo,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPen,
    QResizeEvent,
    QShowEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import (
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from smokejournal.cook.score.from_log import nearest_mark
from smokejournal.cook.score.score import Score, ScoreMark
from smokejournal.cook.score.thinning import FlatTrace, Stroke, line_of
from smokejournal.cook.score.ticks import temperature_range
from smokejournal.cook.score.words import MomentLine, moment_lines, score_words
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.theme import GROUNDS, Ground
from smokejournal.desk.score.fan import paint_fan_words, paint_fans
from smokejournal.desk.score.layers import KeptSheet, PictureLayer, ReadingBox, ink_of
from smokejournal.desk.score.look import Look, line_moved, look_of
from smokejournal.desk.score.time_window import TimeWindow
from smokejournal.drawing.frame import Type
from smokejournal.drawing.picture import ScorePicture, TimeMode

_ZOOM = 1.4
_DRAG_PX = 5
_DESCRIBE_EVERY_S = 60.0


def _pen(colour: QColor, width: float) -> QPen:
    """A curve's pen. Square ends close the joints between its many short lines."""
    pen = QPen(colour, width)
    pen.setCosmetic(True)
    pen.setCapStyle(Qt.PenCapStyle.SquareCap)
    return pen


class ScoreView(QWidget):
    """The score of one cook. `set_score` may be called several times a second.

    Keys: arrows pan, + and - zoom, Home shows all, End follows now. Shift with an arrow moves the
    reading-out line, Ctrl with an arrow takes it from mark to mark, Enter chooses the mark there,
    Escape takes the line away.
    """

    following_changed = Signal(bool)
    moment_hovered = Signal(object)
    mark_chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._score: Score | None = None
        self._lines: list[FlatTrace] = []
        self._temperatures = (0.0, 100.0)
        self._units: Units = METRIC
        self._ground: Ground = GROUNDS["day"]
        self._ink = ink_of(self._ground)
        self._type: Type | None = None
        self._mode: TimeMode = "clock"
        self._window = TimeWindow(self._follows)
        self._told_following = False
        self._moment_s: float | None = None
        self._dirty = True
        self._described_s: float | None = None
        self._keyed = False
        self._picture: ScorePicture | None = None
        self._dots: list[Stroke] = []
        self._look: Look | None = None
        self._hair_rect = QRectF()

        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Score of the cook"))
        self.setMinimumSize(360, 260)
        self._canvas = _Canvas(self)
        self._canvas.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._canvas.setBackground(None)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._canvas)
        self._follow_button = QPushButton(self.tr("Follow now"), self)
        self._follow_button.setObjectName("follow_now")
        self._follow_button.setAccessibleName(self.tr("Follow now"))
        self._follow_button.setToolTip(self.tr("Go back to now and stay there (End)"))
        self._follow_button.clicked.connect(self.follow_now)
        self._follow_button.hide()

        scene = self._canvas.scene()
        # Grid and lanes are kept as a picture: moving the reading-out line redraws none of them.
        self._under = KeptSheet(self._paint_under, -10)
        self._over = PictureLayer(self._paint_over, 10)
        self._hair = PictureLayer(self._paint_hair, 20)
        for sheet in (self._under, self._over, self._hair):
            scene.addItem(sheet)
        self._box = pg.ViewBox(enableMenu=False, enableMouse=False, defaultPadding=0)
        self._box.setZValue(0)
        scene.addItem(self._box)
        self._curves: list[pg.PlotCurveItem] = []

    # -- what it shows -----------------------------------------------------------------------

    @property
    def score(self) -> Score | None:
        """What is shown."""
        return self._score

    @property
    def following(self) -> bool:
        """True while the picture moves on with now."""
        return self._window.following

    @property
    def span(self) -> tuple[float, float]:
        """First and last moment in sight, UTC seconds."""
        return self._window.from_s, self._window.to_s

    @property
    def moment_s(self) -> float | None:
        """Where the reading-out line stands, or None."""
        return self._moment_s

    def set_score(self, score: Score | None) -> None:
        """Show this score. The view stays where the person put it, or goes on following now."""
        self._score = score
        if score is None:
            self._lines, self._picture = [], None
            self._set_moment(None)
        else:
            self._lines = [line_of(trace) for trace in score.traces]
            self._temperatures = temperature_range(score, self._units)
        self._window.take(score)
        self._describe()
        if self._dirty or self._picture is None or self._looks_new():
            self._redraw()

    def set_units(self, units: Units) -> None:
        """Write temperatures, masses and hours like this from now on."""
        self._units = units
        if self._score is not None:
            self._temperatures = temperature_range(self._score, units)
        self._described_s = None
        self._describe()
        self._redraw()

    def set_ground(self, ground: Ground) -> None:
        """Draw on this ground from now on."""
        self._ground = ground
        self._ink = ink_of(ground)
        self._under.forget()
        self._redraw()

    def set_time_mode(self, mode: Literal["clock", "since_start"]) -> None:
        """Local clock time, or hours and minutes since the start."""
        self._mode = mode
        self._redraw()

    def accessible_text(self) -> str:
        """The score in words: every trace, stage and mark."""
        return "" if self._score is None else score_words(self._score, self._units)

    def moment_text(self) -> str:
        """What the reading-out line says, in one line; empty without one."""
        if self._score is None or self._moment_s is None or self._picture is None:
            return ""
        parts = [self._picture.moment_words(self._moment_s)]
        parts += [line.text for line in self._moment_lines()]
        return "; ".join(parts)

    # -- moving about ------------------------------------------------------------------------

    @Slot()
    def zoom_in(self) -> None:
        """Closer, around the reading-out line, or now, or the middle."""
        self._window.zoom(1 / _ZOOM, self._window.anchor_s(self._moment_s))
        self._redraw()

    @Slot()
    def zoom_out(self) -> None:
        """Further away."""
        self._window.zoom(_ZOOM, self._window.anchor_s(self._moment_s))
        self._redraw()

    @Slot()
    def show_all(self) -> None:
        """The whole cook; it grows with what comes."""
        self._window.show_all()
        self._redraw()

    @Slot()
    def follow_now(self) -> None:
        """Keep the span but go to now, and stay there."""
        if self._window.follow_now():
            self._redraw()

    def pan(self, share: float) -> None:
        """Move by a share of the span, to the right when positive."""
        self._window.pan(share)
        self._redraw()

    def _follows(self, following: bool) -> None:
        live = self._score is not None and self._score.now_s is not None
        self._follow_button.setVisible(live and not following)
        if following != self._told_following:
            self._told_following = following
            self.following_changed.emit(following)

    # -- reading out -------------------------------------------------------------------------

    def _set_moment(self, at_s: float | None) -> None:
        if at_s != self._moment_s:
            self._moment_s = at_s
            self._update_hair()
            self.moment_hovered.emit(at_s)

    def _step_moment(self, direction: int) -> None:
        """Move the reading-out line by keyboard, bringing it in first."""
        span_s = self._window.span_s
        start_s = self._moment_s
        if start_s is None or not self._window.contains(start_s):
            now_s = self._score.now_s if self._score is not None else None
            start_s = self._window.to_s
            if now_s is not None and self._window.contains(now_s):
                start_s = now_s
        at_s = start_s + direction * span_s / 120
        self._set_moment(min(max(at_s, self._window.from_s), self._window.to_s))
        self.setAccessibleDescription(self.moment_text())

    def _step_mark(self, direction: int) -> None:
        """Take the reading-out line to the next mark on this side, moving the view if it must."""
        if self._score is None:
            return
        here_s = self._moment_s
        if here_s is None:
            here_s = self._window.from_s if direction > 0 else self._window.to_s
        times = sorted({mark.at_s for mark in self._score.marks})
        ahead = [at_s for at_s in times if (at_s - here_s) * direction > 0.5]
        if not ahead:
            return
        at_s = ahead[0] if direction > 0 else ahead[-1]
        if not self._window.contains(at_s):
            half_s = self._window.span_s / 2
            self._window.look_at(at_s - half_s, at_s + half_s)
            self._redraw()
        self._set_moment(at_s)
        self.setAccessibleDescription(self.moment_text())

    def _choose_mark(self) -> None:
        if self._score is not None and self._moment_s is not None:
            mark = nearest_mark(self._score, self._moment_s, self._near_s())
            if mark is not None:
                self.mark_chosen.emit(mark.entry_id)

    def _near_s(self) -> float:
        """Half the width of a mark's shape, as time."""
        if self._picture is None:
            return 0.0
        width = max(1.0, self._picture.frame.traces.width())
        return 6.0 * self._window.span_s / width

    def _moment_lines(self) -> list[MomentLine]:
        assert self._score is not None
        assert self._moment_s is not None
        return moment_lines(self._score, self._moment_s, self._units, self._near_s())

    def _describe(self) -> None:
        """Tell assistive technology what there is, but not every second."""
        if self._score is None:
            self._described_s = None
            self.setAccessibleDescription(self.tr("Nothing to show yet."))
            return
        at_s = self._score.to_s
        old = self._described_s
        if old is None or abs(at_s - old) >= _DESCRIBE_EVERY_S:
            self._described_s = at_s
            self.setAccessibleDescription(self.accessible_text())

    # -- drawing -----------------------------------------------------------------------------

    def _looks_new(self) -> bool:
        """Whether anything to be seen has changed since the picture was drawn."""
        drawn = self._picture
        if drawn is None or self._score is None:
            return True
        if look_of(self._score, drawn, self._view_key()) != self._look:
            return True
        return any(
            line_moved(old, new, drawn.span)
            for old, new in zip(drawn.lines, self._lines, strict=True)
        )

    def _view_key(self) -> object:
        window = self._window
        return (
            (window.from_s, window.to_s, self._temperatures),
            (self._mode, self._units, self._ground),
        )

    def _redraw(self) -> None:
        """Draw afresh, now or when the view is seen next."""
        self._dirty = True
        if self.isVisible():
            self._draw()

    def _draw(self) -> None:
        self._dirty = False
        whole = QRectF(self._canvas.viewport().rect())
        # A large picture is looked at from further away; in a low one the traces need the room.
        size = float(max(9, QFontInfo(self.font()).pixelSize()))
        size = max(0.8 * size, min(1.3 * size, whole.height() / 32))
        self._type = Type(self.font().family(), size)
        for sheet in (self._under, self._over, self._hair):
            sheet.fit(whole)
        self._over.update()
        if self._score is None or whole.width() < 50:
            self._under.forget()
            self._picture = None
            for curve in self._curves:
                curve.setVisible(False)
            return
        margin = 0.5 * self._type.em
        before = self._picture
        picture = self._picture = ScorePicture(
            self._score,
            whole.adjusted(margin, margin, -margin, -margin),
            self._units,
            self._ink,
            self._type,
            self._window.from_s,
            self._window.to_s,
            mode=self._mode,
            lines=self._lines,
            temperatures=self._temperatures,
            crisp=True,
        )
        look = look_of(self._score, picture, self._view_key())
        # The running stage and what lasts reach to now, so the lanes move with it.
        if look != self._look or before is None:
            self._under.forget()
        else:
            picture.mark_places = before.mark_places
            picture.target_places = before.target_places
        self._look = look
        self._draw_curves(picture)
        self._place_button(picture)

    def _draw_curves(self, picture: ScorePicture) -> None:
        area = picture.frame.traces
        if self._box.geometry() != area:
            self._box.setGeometry(area)
            self._box.setRange(xRange=(0.0, area.width()), yRange=(0.0, area.height()), padding=0)
        assert self._score is not None
        while len(self._curves) < len(self._score.traces):
            curve = pg.PlotCurveItem(antialias=True, skipFiniteCheck=True)
            # Thick smooth lines are drawn piece by piece: joined they are ten times slower.
            curve.setSegmentedLineMode("on")
            self._box.addItem(curve, ignoreBounds=True)
            self._curves.append(curve)
        column = max(1.0, 0.75 * self._ink.stroke)
        self._dots = []
        for place, curve in enumerate(self._curves):
            if place >= len(self._score.traces):
                curve.setVisible(False)
                continue
            stroke, dots = picture.stroke(place, column, square_ends=True)
            self._dots.append(dots)
            colour, _ = self._ink.trace(place)
            width = picture.trace_width(self._score.traces[place])
            curve.setVisible(True)
            curve.setData(
                x=stroke.x - area.left(),
                y=area.bottom() - stroke.y,
                connect=stroke.joined,
                pen=_pen(colour, width),
                skipFiniteCheck=True,
            )

    def _place_button(self, picture: ScorePicture) -> None:
        button = self._follow_button
        button.adjustSize()
        frame = picture.frame
        x = frame.whole.right() - button.width()
        y = frame.traces.bottom() - button.height()
        button.move(round(x), round(max(0.0, y)))
        button.raise_()

    def _paint_under(self, painter: QPainter) -> None:
        painter.fillRect(self._under.boundingRect(), QColor(self._ground.paper))
        if self._picture is not None:
            self._picture.paint_under(painter)
            paint_fans(painter, self._picture)

    def _paint_over(self, painter: QPainter) -> None:
        picture = self._picture
        if picture is None:
            if self._score is None and self._type is not None:
                at = self._over.boundingRect().center()
                text = self.tr("No readings and no entries yet.")
                centre = Qt.AlignmentFlag.AlignHCenter
                self._type.write(painter, at, text, self._type.plain, self._ink.faint, centre)
            return
        for place, dots in enumerate(self._dots):
            picture.paint_dots(painter, place, dots)
        picture.paint_over(painter)
        paint_fan_words(painter, picture)
        if self._keyed and self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(self._ink.pen(self._ink.accent, 2.0))
            painter.drawRect(self._over.boundingRect().adjusted(1, 1, -1, -1))

    def _readout(self) -> ReadingBox | None:
        picture, at_s = self._picture, self._moment_s
        if picture is None or at_s is None or not self._window.contains(at_s):
            return None
        return ReadingBox(picture, at_s, self._moment_lines())

    def _update_hair(self) -> None:
        """Redraw where the reading-out line was and where it is, and nothing else."""
        self._hair.update(self._hair_rect)
        readout = self._readout()
        self._hair_rect = QRectF() if readout is None else readout.rect
        self._hair.update(self._hair_rect)

    def _paint_hair(self, painter: QPainter) -> None:
        readout = self._readout()
        if readout is not None:
            readout.paint(painter, self._ink)

    # -- events ------------------------------------------------------------------------------

    def showEvent(self, event: QShowEvent) -> None:
        """Draw what came while nobody looked."""
        super().showEvent(event)
        if self._dirty:
            self._draw()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Lay out afresh."""
        super().resizeEvent(event)
        self._redraw()

    def changeEvent(self, event: QEvent) -> None:
        """Another font is another layout."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange and hasattr(self, "_canvas"):
            self._redraw()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show where the keys go, and tell what there is to read."""
        super().focusInEvent(event)
        self._keyed = event.reason() in (
            Qt.FocusReason.TabFocusReason,
            Qt.FocusReason.BacktabFocusReason,
            Qt.FocusReason.ShortcutFocusReason,
        )
        self._described_s = None
        self._describe()
        self._over.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Take the focus frame away."""
        super().focusOutEvent(event)
        self._over.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """See the class."""
        key, modifiers = event.key(), event.modifiers()
        arrows = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}
        if key in arrows:
            direction = arrows[Qt.Key(key)]
            if modifiers & Qt.KeyboardModifier.ShiftModifier:
                self._step_moment(direction)
            elif modifiers & Qt.KeyboardModifier.ControlModifier:
                self._step_mark(direction)
            else:
                self.pan(0.1 * direction)
            return
        action: Callable[[], None] | None = {
            Qt.Key.Key_Plus: self.zoom_in,
            Qt.Key.Key_Equal: self.zoom_in,
            Qt.Key.Key_Minus: self.zoom_out,
            Qt.Key.Key_Home: self.show_all,
            Qt.Key.Key_End: self.follow_now,
            Qt.Key.Key_Return: self._choose_mark,
            Qt.Key.Key_Enter: self._choose_mark,
        }.get(Qt.Key(key))
        if action is not None:
            action()
        elif key == Qt.Key.Key_Escape and self._moment_s is not None:
            self._set_moment(None)
        else:
            super().keyPressEvent(event)

    def time_area(self) -> QRectF:
        """Where the shared time axis reigns, in the view's pixels."""
        return QRectF() if self._picture is None else self._picture.frame.time_area

    def place_of_mark(self, entry_id: int) -> QPointF | None:
        """Where a mark's shape stands, in the view's pixels; None when it is out of sight."""
        if self._picture is None:
            return None
        for rect, mark in self._picture.mark_places:
            if mark.entry_id == entry_id:
                x = min(max(self._picture.span.x(mark.at_s), rect.left()), rect.right())
                return QPointF(x, rect.top() + 0.65 * self._picture.type.em)
        return None

    def hover(self, at: QPointF | None) -> None:
        """The pointer is here, or has left."""
        if at is None or self._picture is None or not self.time_area().contains(at):
            self._set_moment(None)
        else:
            self._set_moment(self._picture.span.at_s(at.x()))

    def press(self, at: QPointF) -> None:
        """The pointer was pressed and let go at one place."""
        mark = self._mark_at(at)
        if mark is not None:
            self.mark_chosen.emit(mark.entry_id)

    def _mark_at(self, at: QPointF) -> ScoreMark | None:
        if self._picture is None:
            return None
        near = [
            (abs(self._picture.span.x(mark.at_s) - at.x()), mark)
            for rect, mark in self._picture.mark_places
            if rect.contains(at)
        ]
        return min(near, key=lambda pair: pair[0])[1] if near else None

    def drag(self, by_px: float) -> None:
        """The picture was drawn along by so many pixels."""
        if self._picture is not None:
            self.pan(-by_px / max(1.0, self._picture.frame.traces.width()))

    def wheel(self, at: QPointF, turns: float, sideways: float) -> None:
        """Zoom around the pointer, or pan where the wheel goes sideways."""
        if self._picture is None:
            return
        if sideways:
            self.pan(-0.1 * sideways)
        if turns:
            x = min(max(at.x(), self._picture.frame.left), self._picture.frame.right)
            self._window.zoom(_ZOOM**-turns, self._picture.span.at_s(x))
            self._redraw()


class _Canvas(pg.GraphicsView):  # type: ignore[misc]
    """The surface; tells its view what the pointer does. It has no menu and no buttons of its own."""

    def __init__(self, view: ScoreView) -> None:
        super().__init__(view)
        self._view = view
        self._pressed: QPointF | None = None
        self._dragged = False
        self._last_x = 0.0
        self.setMouseTracking(True)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.NoContextMenu)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin a press or a drag."""
        self._view.setFocus(Qt.FocusReason.MouseFocusReason)
        if event.button() == Qt.MouseButton.LeftButton:
            self._pressed = event.position()
            self._last_x, self._dragged = event.position().x(), False
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Read out, or draw the picture along."""
        at = event.position()
        if self._pressed is None:
            self._view.hover(at)
            return
        if self._dragged or abs(at.x() - self._pressed.x()) > _DRAG_PX:
            self._dragged = True
            self._view.drag(at.x() - self._last_x)
            self._last_x = at.x()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A press without a drag chooses what is there."""
        if event.button() == Qt.MouseButton.LeftButton and self._pressed is not None:
            if not self._dragged:
                self._view.press(event.position())
            self._pressed = None
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Nothing of its own."""
        self.mousePressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom, or pan sideways."""
        delta = event.angleDelta()
        self._view.wheel(event.position(), delta.y() / 120, delta.x() / 120)
        event.accept()

    def enterEvent(self, event: QEnterEvent) -> None:
        """Nothing of pyqtgraph's own."""
        event.accept()

    def leaveEvent(self, event: QEvent) -> None:
        """The reading-out line goes with the pointer."""
        super().leaveEvent(event)
        self._view.hover(None)
