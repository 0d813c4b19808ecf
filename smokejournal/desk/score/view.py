"""The score on screen: live, to be zoomed, panned and read out.

Here is what is in sight and what a key or the pointer does; `canvas.py` draws it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Literal

from PySide6.QtCore import QEvent, QKeyCombination, Qt, Signal, Slot
from PySide6.QtGui import QFocusEvent, QFontInfo, QKeyEvent, QKeySequence, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QWidget

from smokejournal.cook.score.score import Score
from smokejournal.cook.score.thinning import FlatTrace, line_of
from smokejournal.cook.score.ticks import temperature_range
from smokejournal.cook.score.words import score_words
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.theme import Ground
from smokejournal.desk.base.widgets import new_button, new_column
from smokejournal.desk.score.canvas import Scene, ScoreCanvas
from smokejournal.desk.score.read_out import ReadOut
from smokejournal.desk.score.time_window import TimeWindow
from smokejournal.drawing.picture import TimeMode

_ZOOM = 1.4
_DESCRIBE_EVERY_S = 60.0


_NOTHING = Qt.KeyboardModifier.NoModifier
_SHIFT, _CTRL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier
_ARROWS = (Qt.Key.Key_Left, Qt.Key.Key_Right)


@dataclass(frozen=True)
class _KeyRow:
    """Keys of one kind: what each does, and the words for all of them."""

    acts: Mapping[Qt.Key, Callable[[], object]]
    words: str
    held: Qt.KeyboardModifier = _NOTHING


class ScoreView(QWidget):
    """The score of one cook. `set_score` may be called several times a second.

    What its keys do is in `_key_rows`, for the keys themselves and for the list of keys.
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
        self._dirty = True
        self._described_s: float | None = None

        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Score of the cook"))
        self.setMinimumSize(360, 260)
        self.canvas = ScoreCanvas(self)
        self.canvas.clicked.connect(self.mark_chosen)
        self.canvas.dragged.connect(self.pan)
        self.canvas.wheeled.connect(self._zoom)
        self.read_out = ReadOut(self._window, self.canvas, self)
        self.read_out.moved.connect(self.moment_hovered)
        self.canvas.hovered.connect(self.read_out.put)
        self._key_rows = self._rows_of_keys()
        new_column(self, self.canvas, margins=0)
        self._follow_button = new_button(
            self,
            self.tr("Follow now"),
            self.follow_now,
            name="follow_now",
            hears=self.tr("Follow now"),
            tip=self.tr("Go back to now and stay there (End)"),
        )
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

    def set_score(self, score: Score | None) -> None:
        """Show this score. The view stays where the person put it, or goes on following now."""
        self._score = score
        self.read_out.take(score)
        self._lines = [] if score is None else [line_of(trace) for trace in score.traces]
        if score is not None:
            self._temperatures = temperature_range(score, self._units)
        self._window.take(score)
        self._describe()
        if self._dirty or self.canvas.looks_new(self._scene()):
            self._redraw()

    def set_units(self, units: Units) -> None:
        """Write temperatures, masses and hours like this from now on."""
        self._units = self.read_out.units = units
        if self._score is not None:
            self._temperatures = temperature_range(self._score, units)
        self._described_s = None
        self._describe()
        self._redraw()

    def set_ground(self, ground: Ground) -> None:
        """Draw on this ground from now on."""
        self.canvas.set_ground(ground)
        self._redraw()

    def set_time_mode(self, mode: Literal["clock", "since_start"]) -> None:
        """Local clock time, or hours and minutes since the start."""
        self._mode = mode
        self._redraw()

    def accessible_text(self) -> str:
        """The score in words: every trace, stage and mark."""
        return "" if self._score is None else score_words(self._score, self._units)

    # -- moving about ------------------------------------------------------------------------

    @Slot()
    def zoom_in(self) -> None:
        """Closer, around the reading-out line, or now, or the middle."""
        self._zoom(1.0, self._window.anchor_s(self.read_out.at_s))

    @Slot()
    def zoom_out(self) -> None:
        """Further away."""
        self._zoom(-1.0, self._window.anchor_s(self.read_out.at_s))

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

    @Slot(float, float)
    def _zoom(self, turns: float, at_s: float) -> None:
        self._window.zoom(_ZOOM**-turns, at_s)
        self._redraw()

    @Slot(float)
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

    def _read_out_by_key(self, at_s: float | None) -> None:
        """Take the reading-out line there, bringing it into sight, and say what it reads."""
        if at_s is None:
            return
        if not self._window.contains(at_s):
            half_s = self._window.span_s / 2
            self._window.look_at(at_s - half_s, at_s + half_s)
            self._redraw()
        self.read_out.put(at_s)
        self.setAccessibleDescription(self.read_out.text())

    def _choose_mark(self) -> None:
        mark = self.read_out.mark()
        if mark is not None:
            self.mark_chosen.emit(mark.entry_id)

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
        self.canvas.draw(self._scene(), self.font().family(), QFontInfo(self.font()).pixelSize())
        self.read_out.show()
        picture = self.canvas.picture
        if picture is not None:
            button, frame = self._follow_button, picture.frame
            button.adjustSize()
            x = frame.whole.right() - button.width()
            y = frame.traces.bottom() - button.height()
            button.move(round(x), round(max(0.0, y)))
            button.raise_()

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
        if event.type() == QEvent.Type.FontChange and hasattr(self, "canvas"):
            self._redraw()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show where the keys go, and tell what there is to read."""
        super().focusInEvent(event)
        self.canvas.set_framed(
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
        self.canvas.set_framed(False)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Do what the key's row says; other keys are the page's."""
        key = Qt.Key(event.key())
        # A plus is typed with Shift on many keyboards: only the arrows ask what is held.
        held = event.modifiers() & (_SHIFT | _CTRL) if key in _ARROWS else _NOTHING
        if held == _SHIFT | _CTRL:
            held = _SHIFT
        row = next((r for r in self._key_rows if r.held == held and key in r.acts), None)
        if row is None or (key == Qt.Key.Key_Escape and self.read_out.at_s is None):
            super().keyPressEvent(event)
        else:
            row.acts[key]()

    def key_words(self) -> tuple[tuple[str, str], ...]:
        """For the list of keys."""
        native = QKeySequence.SequenceFormat.NativeText
        return tuple(
            (
                ", ".join(
                    QKeySequence(QKeyCombination(row.held, key)).toString(native)
                    for key in row.acts
                ),
                row.words,
            )
            for row in self._key_rows
        )

    def _rows_of_keys(self) -> tuple[_KeyRow, ...]:
        read_out = self.read_out

        def beside(direction: int) -> None:
            self._read_out_by_key(read_out.beside_s(direction))

        def mark(direction: int) -> None:
            self._read_out_by_key(read_out.next_mark_s(direction))

        key = Qt.Key
        return (
            _KeyRow(
                {key.Key_Left: lambda: self.pan(-0.1), key.Key_Right: lambda: self.pan(0.1)},
                self.tr("Earlier, later"),
            ),
            _KeyRow(
                {key.Key_Plus: self.zoom_in, key.Key_Equal: self.zoom_in}, self.tr("Look closer")
            ),
            _KeyRow({key.Key_Minus: self.zoom_out}, self.tr("Look from further away")),
            _KeyRow({key.Key_Home: self.show_all}, self.tr("Show the whole cook")),
            _KeyRow({key.Key_End: self.follow_now}, self.tr("Follow now")),
            _KeyRow(
                {key.Key_Left: partial(beside, -1), key.Key_Right: partial(beside, 1)},
                self.tr("Read the values at a moment: line to the left, to the right"),
                _SHIFT,
            ),
            _KeyRow(
                {key.Key_Left: partial(mark, -1), key.Key_Right: partial(mark, 1)},
                self.tr("Line to the mark before, to the next mark"),
                _CTRL,
            ),
            _KeyRow(
                {key.Key_Return: self._choose_mark, key.Key_Enter: self._choose_mark},
                self.tr("Show the mark's line in the log"),
            ),
            _KeyRow({key.Key_Escape: lambda: read_out.put(None)}, self.tr("Take the line away")),
        )
