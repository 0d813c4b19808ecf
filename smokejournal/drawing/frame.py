"""How the score is laid out on a page or a screen, and with what ink.

Everything is measured in `em`, the height of the type, so the same picture fits a laptop and a
printed page. Lanes and traces share one left and one right edge: reading down a moment works.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen

from smokejournal.cook.score.score import Score

Dash = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Ink:
    """Colors and strokes. `fill` is inside the bars of stages. `traces` are (color, dash) pairs, a dash in stroke widths.

    `stroke` and `hair` are the widths of a trace and of a thin line in picture units.
    """

    paper: QColor
    raised: QColor
    ink: QColor
    faint: QColor
    line: QColor
    grid: QColor
    fill: QColor
    accent: QColor
    traces: tuple[tuple[QColor, Dash], ...]
    stroke: float
    hair: float

    def trace(self, place: int) -> tuple[QColor, Dash]:
        """Color and dash of the trace at this place; after the last one they come again."""
        return self.traces[place % len(self.traces)]

    def pen(self, color: QColor, width: float | None = None, dash: Dash = ()) -> QPen:
        """A pen with butt ends; the hair's width unless told otherwise."""
        pen = QPen(color, self.hair if width is None else width)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        if dash:
            pen.setDashPattern([float(part) for part in dash])
        return pen


class Type:
    """The two sizes of type in the picture, with their metrics.

    `outlines`: letters are drawn as shapes, which look the same where this machine's faces are missing.
    """

    def __init__(self, family: str, em: float, *, outlines: bool = False) -> None:
        self.em = em
        self._outlines = outlines
        self.plain = self._font(family, em)
        self.small = self._font(family, 0.88 * em)
        self.bold = self._font(family, em)
        self.bold.setWeight(QFont.Weight.DemiBold)
        self._metrics = {
            id(font): QFontMetricsF(font) for font in (self.plain, self.small, self.bold)
        }
        self._drop = {
            key: (metrics.ascent() - metrics.descent()) / 2
            for key, metrics in self._metrics.items()
        }

    @staticmethod
    def _font(family: str, size: float) -> QFont:
        font = QFont(family) if family else QFont()
        font.setPixelSize(max(1, round(size)))
        # A search for "finish" in a printed file must find it, whatever face this machine has.
        font.setFeature(QFont.Tag("liga"), 0)
        return font

    def width(self, text: str, font: QFont) -> float:
        """How wide a text is."""
        return float(self._metrics[id(font)].horizontalAdvance(text))

    def elided(self, text: str, font: QFont, width: float) -> str:
        """The text, cut with an ellipsis where it is too wide."""
        return self._metrics[id(font)].elidedText(text, Qt.TextElideMode.ElideRight, width)

    def write(
        self,
        painter: QPainter,
        at: QPointF,
        text: str,
        font: QFont,
        color: QColor,
        align: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft,
    ) -> None:
        """Write one line, its vertical middle at `at`, its left, right or middle there too."""
        metrics = self._metrics[id(font)]
        x = at.x()
        if align != Qt.AlignmentFlag.AlignLeft:
            width = metrics.horizontalAdvance(text)
            x -= width if align == Qt.AlignmentFlag.AlignRight else width / 2
        feet = QPointF(x, at.y() + self._drop[id(font)])
        if self._outlines:
            letters = QPainterPath()
            letters.addText(feet, font, text)
            painter.fillPath(letters, color)
            return
        painter.setFont(font)
        painter.setPen(color)
        painter.drawText(feet, text)

    def note(
        self,
        painter: QPainter,
        x: float,
        y: float,
        text: str,
        color: QColor,
        align: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft,
    ) -> None:
        """Write one line in the small type."""
        self.write(painter, QPointF(x, y), text, self.small, color, align)


@dataclass(frozen=True, slots=True)
class ScoreFrame:
    """Where everything is. All rectangles of lanes share `left` and `right`; one that is folded away in
    a low picture is empty.
    """

    whole: QRectF
    top: QRectF
    traces: QRectF
    plan: QRectF
    stages: QRectF
    marks: QRectF
    fuel: QRectF
    weather: QRectF
    axis: QRectF

    @property
    def left(self) -> float:
        """Where the shared time axis begins."""
        return self.traces.left()

    @property
    def right(self) -> float:
        """Where it ends."""
        return self.traces.right()

    @property
    def lanes(self) -> tuple[QRectF, ...]:
        """The lanes, from the top."""
        return (self.plan, self.stages, self.marks, self.fuel, self.weather)

    @property
    def time_area(self) -> QRectF:
        """Everything that shares the time axis."""
        return QRectF(self.traces.topLeft(), QPointF(self.right, self.axis.top()))


_HEIGHTS = {"plan": 1.35, "stages": 1.6, "marks": 3.6, "fuel": 2.6, "weather": 1.4}
_GAPS = {"plan": 0.8, "stages": 0.2, "marks": 0.6, "fuel": 0.5, "weather": 0.5}
# Where the picture is low the traces come first: the lanes keep one row of words each.
_LOW_HEIGHTS = {"plan": 1.15, "stages": 1.4, "marks": 2.4, "fuel": 1.4, "weather": 1.15}
_LOW_GAPS = {"plan": 0.4, "stages": 0.1, "marks": 0.3, "fuel": 0.3, "weather": 0.3}
_LOW_EM = 34
#: Lanes that fold away, the first one first, until the traces have this share of a very low picture.
_FOLDING = ("weather", "plan", "fuel")
_LEAST_TRACES = 1 / 3


def frame_of(whole: QRectF, type_: Type, names: list[str], labels: list[str]) -> ScoreFrame:
    """Lay the picture out in `whole`. `names` stand in the left gutter, `labels` at the right."""
    em = type_.em
    gutter = max([type_.width(n, type_.small) for n in names] + [3 * em]) + 1.1 * em
    ends = max([type_.width(t, type_.bold) for t in labels] + [2 * em]) + 3.8 * em
    ends = min(ends, 0.24 * whole.width())
    left, width = whole.left() + gutter, max(1.0, whole.width() - gutter - ends)
    low = whole.height() < _LOW_EM * em
    heights, gaps = (dict(_LOW_HEIGHTS), dict(_LOW_GAPS)) if low else (dict(_HEIGHTS), dict(_GAPS))
    top_h, axis_h = 1.9 * em, 2.7 * em

    def left_for_traces() -> float:
        lanes_h = em * (sum(heights.values()) + sum(gaps.values()))
        return whole.height() - top_h - axis_h - lanes_h - 0.4 * em

    for name in _FOLDING if low else ():
        if left_for_traces() < _LEAST_TRACES * whole.height():
            heights[name] = gaps[name] = 0.0
    traces_h = max(4 * em, left_for_traces())
    y = whole.top()
    rects = {"top": QRectF(left, y, width + ends, top_h)}
    y += top_h
    rects["traces"] = QRectF(left, y, width, traces_h)
    y += traces_h
    for name, height in heights.items():
        y += gaps[name] * em
        rects[name] = QRectF(left, y, width, height * em)
        y += height * em
    rects["axis"] = QRectF(left, y + 0.4 * em, width, axis_h)
    return ScoreFrame(whole=whole, **rects)


@dataclass(frozen=True, slots=True)
class ScoreAxes:
    """The shared time axis, and the temperature axis: from data to the picture."""

    from_s: float
    to_s: float
    low_c: float
    high_c: float
    area: QRectF

    def x(self, at_s: float) -> float:
        """Where a moment stands."""
        share = (at_s - self.from_s) / (self.to_s - self.from_s)
        return self.area.left() + share * self.area.width()

    def y(self, value_c: float) -> float:
        """Where a temperature stands."""
        share = (value_c - self.low_c) / (self.high_c - self.low_c)
        return self.area.bottom() - share * self.area.height()

    def at_s(self, x: float) -> float:
        """The moment at a place."""
        share = (x - self.area.left()) / self.area.width()
        return self.from_s + share * (self.to_s - self.from_s)

    def clipped_x(self, at_s: float) -> float:
        """Where a moment stands, or the edge beyond which it lies."""
        return min(self.area.right(), max(self.area.left(), self.x(at_s)))


def picture_end_s(score: Score) -> float:
    """The last moment there is to see: the late end of what is forecast included."""
    fans = [float(fan.at_s[-1]) for fan in score.fans if fan.at_s.size]
    ends = [
        end_s for each in score.ahead for end_s in (each.to_s, each.high_s) if end_s is not None
    ]
    return max([score.to_s, *fans, *ends])
