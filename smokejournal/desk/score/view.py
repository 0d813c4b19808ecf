"""The score on screen: live, to be zoomed, panned and read out.

Here is what is in sight and what a key or the pointer does; `canvas.py` draws it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal, Slot
from PySide6.QtGui import QFocusEvent, QFontInfo, QKeyEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from smokejournal.cook.score.from_log import nearest_mark
from smokejournal.cook.score.score import Score
from smokejournal.cook.score.thinning import FlatTrace, line_of
from smokejournal.cook.score.ticks import temperature_range
from smokejournal.cook.score.words import MomentLine, moment_lines, score_words
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.theme import Ground
from smokejournal.desk.score.canvas import Scene, ScoreCanvas
from smokejournal.desk.score.time_window import TimeWindow
from smokejournal.drawing.picture import TimeMode

_ZOOM = 1.4
_DESCRIBE_EVERY_S = 60.0


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
        self._mode: TimeMode = "clock"
        self._window = TimeWindow(self._follows)
        self._told_following = False
        self._moment_s: float | None = None
        self._dirty = True
        self._described_s: float | None = None

        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Score of the cook"))
        self.setMinimumSize(360, 260)
        self._canvas = ScoreCanvas(self)
        self._canvas.hovered.connect(self._on_hover)
        self._canvas.clicked.connect(self._on_click)
        self._canvas.dragged.connect(self._on_drag)
        self._canvas.wheeled.connect(self._on_wheel)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._canvas)
        self._follow_button = QPushButton(self.tr("Follow now"), self)
        self._follow_button.setObjectName("follow_now")
        self._follow_button.setAccessibleName(self.tr("Follow now"))
        self._follow_button.setToolTip(self.tr("Go back to now and stay there (End)"))
        self._follow_button.clicked.connect(self.follow_now)
        self._follow_button.hide()

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
            self._lines = []
            self._set_moment(None)
        else:
            self._lines = [line_of(trace) for trace in score.traces]
            self._temperatures = temperature_range(score, self._units)
        self._window.take(score)
        self._describe()
        if self._dirty or self._canvas.looks_new(self._scene()):
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
        self._canvas.set_ground(ground)
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
        if self._score is None or self._moment_s is None or self._canvas.picture is None:
            return ""
        parts = [self._canvas.picture.moment_words(self._moment_s)]
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
            self._show_hair()
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
        if self._canvas.picture is None:
            return 0.0
        width = max(1.0, self._canvas.picture.frame.traces.width())
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

    def _scene(self) -> Scene:
        window = self._window
        return Scene(
            self._score,
            tuple(self._lines),
            self._temperatures,
            window.from_s,
            window.to_s,
            self._mode,
            self._units,
        )

    def _redraw(self) -> None:
        """Draw afresh, now or when the view is seen next."""
        self._dirty = True
        if self.isVisible():
            self._draw()

    def _draw(self) -> None:
        self._dirty = False
        self._canvas.draw(self._scene(), self.font().family(), QFontInfo(self.font()).pixelSize())
        self._show_hair()
        picture = self._canvas.picture
        if picture is not None:
            button, frame = self._follow_button, picture.frame
            button.adjustSize()
            x = frame.whole.right() - button.width()
            y = frame.traces.bottom() - button.height()
            button.move(round(x), round(max(0.0, y)))
            button.raise_()

    def _show_hair(self) -> None:
        """Show the reading-out line where it stands, if that is in sight."""
        at_s = self._moment_s
        shown = self._canvas.picture is not None and at_s is not None and self._score is not None
        self._canvas.set_hair(at_s if shown else None, self._moment_lines() if shown else [])

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
        self._canvas.set_framed(
            event.reason()
            in (
                Qt.FocusReason.TabFocusReason,
                Qt.FocusReason.BacktabFocusReason,
                Qt.FocusReason.ShortcutFocusReason,
            )
        )
        self._described_s = None
        self._describe()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Take the focus frame away."""
        super().focusOutEvent(event)
        self._canvas.set_framed(False)

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

    # -- the pointer -------------------------------------------------------------------------

    def time_area(self) -> QRectF:
        """Where the shared time axis reigns, in the view's pixels."""
        picture = self._canvas.picture
        return QRectF() if picture is None else picture.frame.time_area

    def place_of_mark(self, entry_id: int) -> QPointF | None:
        """Where a mark's shape stands, in the view's pixels; None when it is out of sight."""
        picture = self._canvas.picture
        if picture is None:
            return None
        for rect, mark in picture.mark_places:
            if mark.entry_id == entry_id:
                x = min(max(picture.span.x(mark.at_s), rect.left()), rect.right())
                return QPointF(x, rect.top() + 0.65 * picture.type.em)
        return None

    @Slot(object)
    def _on_hover(self, at: QPointF | None) -> None:
        picture = self._canvas.picture
        if at is None or picture is None or not picture.frame.time_area.contains(at):
            self._set_moment(None)
        else:
            self._set_moment(picture.span.at_s(at.x()))

    @Slot(object)
    def _on_click(self, at: QPointF) -> None:
        mark = self._canvas.mark_at(at)
        if mark is not None:
            self.mark_chosen.emit(mark.entry_id)

    @Slot(float)
    def _on_drag(self, by_px: float) -> None:
        picture = self._canvas.picture
        if picture is not None:
            self.pan(-by_px / max(1.0, picture.frame.traces.width()))

    @Slot(object, float, float)
    def _on_wheel(self, at: QPointF, turns: float, sideways: float) -> None:
        picture = self._canvas.picture
        if picture is None:
            return
        if sideways:
            self.pan(-0.1 * sideways)
        if turns:
            x = min(max(at.x(), picture.frame.left), picture.frame.right)
            self._window.zoom(_ZOOM**-turns, picture.span.at_s(x))
            self._redraw()
