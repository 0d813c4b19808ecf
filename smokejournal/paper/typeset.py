"""Text on paper: which faces, which sizes, and how a text becomes lines.

Measured in the device's own dots, so that a page is laid out exactly as it is printed.
"""

from __future__ import annotations

import unicodedata
from typing import Literal

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QPaintDevice,
    QPainter,
    QPen,
    QTextLayout,
    QTextOption,
)

from smokejournal.cook.summary.sheet import units_kept
from smokejournal.paper.faces import SANS, SERIF, load_faces
from smokejournal.paper.flow import Paint, Strip

Face = Literal["title", "label", "text", "strong", "faint", "small", "head", "foot"]

_POINTS: dict[Face, float] = {
    "title": 21.0,
    "label": 10.5,
    "text": 9.0,
    "strong": 9.0,
    "faint": 8.0,
    "small": 7.5,
    "head": 7.5,
    "foot": 7.5,
}

INK = QColor("#000000")
FAINT = QColor("#454545")
HAIR = QColor("#bdbdbd")
EMBER = QColor("#9a3412")


class Typeset:
    """Fonts and lines for one device. `leading` below 1 sets the lines closer."""

    def __init__(self, device: QPaintDevice, *, color: bool, leading: float = 1.0) -> None:
        load_faces()
        self.device = device
        self.point = device.logicalDpiY() / 72.0
        self.color = color
        self.leading = leading
        self._fonts = {face: self._font(face) for face in _POINTS}
        self._metrics = {face: QFontMetricsF(font, device) for face, font in self._fonts.items()}

    @property
    def accent(self) -> QColor:
        """Ember, or ink where there is no color."""
        return EMBER if self.color else INK

    def font(self, face: Face) -> QFont:
        """The font of a face."""
        return self._fonts[face]

    def line_height(self, face: Face) -> float:
        """From one line to the next, in dots."""
        return self._metrics[face].height() * 1.12 * self.leading

    def ink(self, face: Face) -> QColor:
        """What color a face is printed in."""
        if face in ("faint", "foot", "head"):
            return FAINT
        return self.accent if face == "label" else INK

    def lines(self, text: str, face: Face, width: float, *, right: bool = False) -> list[Strip]:
        """The lines of a text set to a width, as strips. Words too long for a line are cut."""
        # An empty line of somebody's text still is a line.
        layout = QTextLayout(printable(text), self._fonts[face], self.device)
        option = QTextOption(Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft)
        option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
        layout.setTextOption(option)
        layout.beginLayout()
        count = 0
        while True:
            line = layout.createLine()
            if not line.isValid():
                break
            line.setLineWidth(max(1.0, width))
            count += 1
        layout.endLayout()
        height, ink = self.line_height(face), self.ink(face)
        lift = (height - self._metrics[face].height()) / 2
        return [Strip(height, _line_paint(layout, n, lift, ink)) for n in range(count)]

    def ascent(self, face: Face) -> float:
        """From the top of a line down to its letters' feet."""
        lift = (self.line_height(face) - self._metrics[face].height()) / 2
        return lift + self._metrics[face].ascent()

    def elided(self, text: str, face: Face, width: float) -> str:
        """The text on one line, shortened with an ellipsis where it is too long."""
        flat = printable(text).replace("\u2028", " ")
        return self._metrics[face].elidedText(flat, Qt.TextElideMode.ElideRight, width)

    def width(self, text: str, face: Face) -> float:
        """How wide a text is on one line."""
        return self._metrics[face].horizontalAdvance(text)

    def rule(self, width: float, thickness: float, ink: QColor) -> Strip:
        """A line across."""

        def paint(painter: QPainter, x: float, y: float) -> None:
            painter.fillRect(QRectF(x, y, width, thickness), ink)

        return Strip(0.0, paint)

    def space(self, height: float) -> Strip:
        """Nothing, this high."""
        return Strip(height, lambda painter, x, y: None)  # noqa: ARG005

    def _font(self, face: Face) -> QFont:
        # Qt finds single missing letters in other faces by itself.
        font = QFont(SERIF if face in ("title", "label") else SANS)
        font.setStyleHint(
            QFont.StyleHint.Serif if face in ("title", "label") else QFont.StyleHint.SansSerif
        )
        font.setPixelSize(max(1, round(_POINTS[face] * self.point)))
        font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
        # A search for "first" in the file must find it, whatever the face makes of it.
        font.setFeature(QFont.Tag("liga"), 0)
        font.setFeature(QFont.Tag("tnum"), 1)  # Figures in a column stand under one another.
        if face == "strong":
            font.setWeight(QFont.Weight.Bold)
        if face in ("label",):
            font.setItalic(True)
        return font


def _line_paint(layout: QTextLayout, number: int, lift: float, ink: QColor) -> Paint:
    def paint(painter: QPainter, x: float, y: float) -> None:
        line = layout.lineAt(number)
        painter.setPen(QPen(ink))
        line.draw(painter, QPointF(x, y + lift - line.y()))

    return paint


# Marks that turn the direction of all that follows, our own words too.
_TURNING = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


def printable(text: str) -> str:
    """The text with its line breaks, and a mark in place of what no printer can print.

    A number stays on one line with its unit.
    """
    text = units_kept(text)
    out: list[str] = []
    for ch in text.replace("\r\n", "\n"):
        if ch in "\n\r\v\f\u2028\u2029":
            out.append("\u2028")
        elif ch == "\t":
            out.append("    ")
        elif unicodedata.category(ch) in ("Cc", "Cs") or ch in _TURNING:
            out.append("\ufffd")
        else:
            out.append(ch)
    return "".join(out)
