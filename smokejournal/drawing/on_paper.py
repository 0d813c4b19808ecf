"""The score on paper: vector, and as clear in black and white as in color."""

from __future__ import annotations

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter

from smokejournal.cook.score.score import Score
from smokejournal.cook.text.quantities import Units
from smokejournal.drawing.frame import Dash, Ink, Type, picture_end_s
from smokejournal.drawing.picture import ScorePicture, TimeMode

#: Height of the picture as a share of its width, when nothing else asks for another.
SHAPE = 0.64
#: Type height as a share of the width: 7.6 points on a line of 170 mm.
_EM = 1 / 63
#: Columns into which a long trace is thinned; each keeps its lowest and highest reading.
_COLUMNS = 1000

_DASHES: tuple[Dash, ...] = (
    (),
    (8, 3),
    (2.5, 2),
    (8, 2, 2, 2),
    (1, 2),
    (14, 4),
    (8, 2, 2, 2, 2, 2),
    (4, 2, 4, 6),
)
# The dark ones of Paul Tol's 'muted' scheme (SRON/EPS/TN/09-002, issue 3.2, 2021).
_COLORS = ("#882255", "#332288", "#117733", "#aa4499", "#7a6a00", "#007788", "#cc6677", "#555555")
_GREYS = ("#000000", "#000000", "#555555", "#333333", "#000000", "#555555", "#333333", "#777777")


def print_ink(em: float, *, color: bool = True) -> Ink:
    """Ink on white paper, for type of height `em`."""
    traces = tuple(
        (QColor(shade), dash)
        for shade, dash in zip(_COLORS if color else _GREYS, _DASHES, strict=True)
    )
    return Ink(
        paper=QColor("#ffffff"),
        raised=QColor("#ffffff"),
        ink=QColor("#000000"),
        faint=QColor("#4a4a4a"),
        line=QColor("#b0b0b0"),
        grid=QColor("#d2d2d2"),
        fill=QColor("#e2e2e2"),
        accent=QColor("#9a3412" if color else "#000000"),
        traces=traces,
        stroke=0.11 * em,
        hair=0.055 * em,
    )


def draw_score(
    painter: QPainter,
    rect: QRectF,
    score: Score,
    units: Units,
    *,
    color: bool = True,
    mode: TimeMode = "clock",
    em: float | None = None,
    outlines: bool = False,
) -> None:
    """Draw the score into `rect`, in whatever units the painter has. Nothing is drawn outside it.

    Type is `em` high, or sized to the width of `rect` (7.6 points on 170 mm), so it reads the same at
    every resolution; with `outlines` letters are drawn as shapes. With `color` off traces are black and gray; dashes and end labels tell them apart
    in either case. A height of about `SHAPE` times the width suits.
    """
    em = rect.width() * _EM if em is None else em
    type_ = Type(painter.font().family(), em, outlines=outlines)
    ink = print_ink(em, color=color)
    end_s = picture_end_s(score)
    picture = ScorePicture(score, rect, units, ink, type_, score.from_s, end_s, mode=mode)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setClipRect(rect)
    picture.paint_under(painter)
    picture.paint_traces(painter, picture.frame.traces.width() / _COLUMNS)
    picture.paint_over(painter)
    painter.restore()
