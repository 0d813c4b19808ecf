"""The score as a picture by itself: for a web page, and with a title in the sizes that posts have."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from typing import Literal

from PySide6.QtCore import QBuffer, QIODevice, QRectF, QSize, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtSvg import QSvgGenerator

from smokejournal.cook.score.score import Score
from smokejournal.cook.summary.sheet import Sheet
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.drawing.frame import Type
from smokejournal.drawing.on_paper import SHAPE, draw_score, print_ink
from smokejournal.paper.faces import SANS, load_faces
from smokejournal.paper.summary_pdf import ensure_application

Shape = Literal["wide", "square"]
Kind = Literal["png", "svg"]

#: Width and height of a post's picture [pixels].
SIZES: dict[Shape, tuple[int, int]] = {"wide": (1200, 675), "square": (1080, 1080)}
#: Height of its type [pixels]: a phone shows it a third as large.
_EM: dict[Shape, float] = {"wide": 23.0, "square": 25.0}
_EDGE = 32.0
#: Width of the picture in a page, in its own units.
_PAGE_WIDTH = 960
_SVG = "http://www.w3.org/2000/svg"
#: What Qt writes into each group although nothing here needs it.
_IDLE = {
    "transform": "matrix(1,0,0,1,0,0)",
    "vector-effect": "none",
    "fill-opacity": "1",
    "stroke-opacity": "1",
}
_FINE = re.compile(r"(\.\d\d)\d+")


def inline_svg(score: Score, units: Units) -> str:
    """The score as an `svg` element for an HTML page: shapes only, no text, no style, no link.

    Its colors are those of `print_ink`, as attributes, so that a style sheet can change each.
    """
    size = QSize(_PAGE_WIDTH, round(_PAGE_WIDTH * SHAPE))

    def paint(painter: QPainter) -> None:
        draw_score(painter, QRectF(0, 0, size.width(), size.height()), score, units, outlines=True)

    root = _drawn(size, paint)
    root.set("role", "img")
    root.set("aria-label", translate("Score", "The score of the cook"))
    return ET.tostring(root, encoding="unicode")


def score_picture(
    sheet: Sheet, score: Score, units: Units, kind: Kind, shape: Shape = "wide"
) -> bytes:
    """The score under the cook's title and date, as a PNG or an SVG of `SIZES[shape]` pixels."""
    ensure_application()
    size = QSize(*SIZES[shape])

    def paint(painter: QPainter) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        _paint(painter, size, sheet, score, units, _EM[shape])

    if kind == "svg":
        root = _drawn(size, paint)
        root.set("xmlns", _SVG)
        # A file is opened by itself, where a width of its own is wanted.
        root.set("width", str(size.width()))
        root.set("height", str(size.height()))
        text = ET.tostring(root, encoding="unicode")
        return f'<?xml version="1.0" encoding="utf-8"?>\n{text}\n'.encode()
    image = QImage(size, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    paint(painter)
    painter.end()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(buffer, "PNG")  # type: ignore[call-overload]
    return bytes(buffer.data().data())


def _paint(
    painter: QPainter, size: QSize, sheet: Sheet, score: Score, units: Units, em: float
) -> None:
    ink = print_ink(em)
    width, height = size.width() - 2 * _EDGE, size.height() - 2 * _EDGE
    load_faces()
    title, text = Type(SANS, 1.6 * em, outlines=True), Type(SANS, em, outlines=True)
    painter.setFont(text.plain)
    painter.fillRect(QRectF(0, 0, size.width(), size.height()), ink.paper)
    at = QRectF(_EDGE, _EDGE, width, 1.9 * em)
    middle = at.center()
    middle.setX(_EDGE)
    flat = " ".join(sheet.title.split())
    title.write(painter, middle, title.elided(flat, title.bold, width), title.bold, ink.ink)
    middle.setY(at.bottom() + 0.7 * em)
    when = sheet.lines[0] if sheet.lines else ""
    text.write(painter, middle, text.elided(when, text.plain, width), text.plain, ink.faint)
    top = at.bottom() + 1.9 * em
    painter.fillRect(QRectF(_EDGE, top - 0.3 * em, width, 2.0), ink.accent)
    rect = QRectF(_EDGE, top, width, _EDGE + height - top)
    draw_score(painter, rect, score, units, em=em, outlines=True)


class _SvgPainter(QPainter):
    """Says again how far may be painted when a narrower clip is over: what writes SVG hears of a new
    clip, and not that an old one is back."""

    def restore(self) -> None:
        """As ever, and set the clip that holds now. All clips of the score are rectangles."""
        super().restore()
        if self.hasClipping():
            self.setClipRect(self.clipBoundingRect())


def _drawn(size: QSize, paint: Callable[[QPainter], None]) -> ET.Element:
    """What is painted, as an `svg` element without a namespace and without Qt's own title."""
    ensure_application()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    generator = QSvgGenerator(QSvgGenerator.SvgVersion.Svg11)
    generator.setOutputDevice(buffer)
    generator.setSize(size)
    generator.setViewBox(QRectF(0, 0, size.width(), size.height()))
    painter = _SvgPainter(generator)
    painter.setPen(Qt.PenStyle.NoPen)
    paint(painter)
    painter.end()
    written = ET.fromstring(bytes(buffer.data().data()))
    root = ET.Element("svg", {"viewBox": f"0 0 {size.width()} {size.height()}"})
    root.extend(
        _lean(child)
        for child in written
        if child.tag not in (f"{{{_SVG}}}title", f"{{{_SVG}}}desc")
    )
    return root


def _lean(drawn: ET.Element) -> ET.Element:
    """The same with a tenth of its words: without groups of nothing, and to a hundredth of a pixel."""
    lean = ET.Element(drawn.tag.removeprefix(f"{{{_SVG}}}"))
    for name, value in drawn.attrib.items():
        if _IDLE.get(name) != value and not name.startswith("font-"):
            lean.set(name, _FINE.sub(r"\1", value) if name in ("d", "points") else value)
    lean.extend(_lean(child) for child in drawn if len(child) or not child.tag.endswith("}g"))
    return lean
