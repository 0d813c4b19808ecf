"""The score as a picture: the size that was asked for, all of it in sight, its words as shapes."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import replace

import pytest
from PySide6.QtGui import QImage

from smokejournal.cook.summary.sheet_sections import sheet_of
from smokejournal.cook.text.quantities import METRIC
from smokejournal.drawing.on_paper import print_ink
from smokejournal.paper.score_picture import SIZES, Kind, Shape, inline_svg, score_picture
from tests.support import sheets
from tests.support.score_examples import shoulder

pytestmark = pytest.mark.usefixtures("qapp")
SVG = "{http://www.w3.org/2000/svg}"
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def picture(kind: Kind, shape: Shape = "wide", title: str = "Pork shoulder") -> bytes:
    sheet = replace(sheet_of(sheets.summed(sheets.full())[0], METRIC), title=title)
    return score_picture(sheet, shoulder(every_s=60.0), METRIC, kind, shape)


def dark_rows(image: QImage) -> list[int]:
    """How many dark pixels each row has."""
    return [
        sum(image.pixelColor(x, y).lightness() < 100 for x in range(0, image.width(), 2))
        for y in range(image.height())
    ]


@pytest.mark.parametrize("shape", ["wide", "square"])
def test_a_png_of_the_size_of_a_post(shape: Shape) -> None:
    image = QImage.fromData(picture("png", shape))
    assert (image.width(), image.height()) == SIZES[shape]
    bare = QImage.fromData(picture("png", shape, title=" "))
    title, none = dark_rows(image)[:70], dark_rows(bare)[:70]
    # Letters of the title are taller than 18 pixels: six on a phone that shows a third of them.
    assert sum(a > b for a, b in zip(title, none, strict=True)) > 18


@pytest.mark.parametrize("shape", ["wide", "square"])
def test_an_svg_of_the_size_of_a_post(shape: Shape) -> None:
    root = ET.fromstring(picture("svg", shape))
    assert root.tag == f"{SVG}svg"
    assert (int(root.attrib["width"]), int(root.attrib["height"])) == SIZES[shape]
    # Shapes, so that it looks the same wherever it is opened, and says nothing that could be markup.
    assert not list(root.iter(f"{SVG}text"))
    assert "".join(root.itertext()) == ""
    image = QImage.fromData(picture("svg", shape), "SVG")  # type: ignore[call-overload]
    assert (image.width(), image.height()) == SIZES[shape]


def test_a_long_title_and_an_odd_one_stay_in_the_picture() -> None:
    image = QImage.fromData(picture("png", title="W" * 400 + "\n<b>\x00"))
    edge = [image.pixelColor(image.width() - 8, y).lightness() for y in range(image.height())]
    assert min(edge) > 250


def drawn(
    element: ET.Element, clips: tuple[str, ...] = ()
) -> Iterator[tuple[list[float], tuple[str, ...]]]:
    """The box of each shape, and the clips that it stands within."""
    own = element.get("clip-path")
    clips = (*clips, own[5:-1]) if own else clips
    if element.tag in ("path", "polyline"):
        numbers = [
            float(n) for n in NUMBER.findall(element.get("d") or element.get("points") or "")
        ]
        if numbers:
            xs, ys = numbers[::2], numbers[1::2]
            yield [min(xs), min(ys), max(xs), max(ys)], clips
    if element.tag != "clipPath":
        for child in element:
            yield from drawn(child, clips)


def test_no_shape_is_cut_away_whole() -> None:
    root = ET.fromstring(inline_svg(shoulder(every_s=60.0, simulated=True), METRIC))
    rects = {}
    for clip in root.iter("clipPath"):
        numbers = [float(n) for n in NUMBER.findall(clip[0].get("d") or "")]
        rects[clip.get("id")] = (
            min(numbers[::2]),
            min(numbers[1::2]),
            max(numbers[::2]),
            max(numbers[1::2]),
        )
    shapes = list(drawn(root))
    assert len(shapes) > 50
    assert len(rects) > 1
    for (left, top, right, bottom), clips in shapes:
        for clip in clips:
            x, y, x_end, y_end = rects[clip]
            assert left <= x_end
            assert right >= x
            assert top <= y_end
            assert bottom >= y


def test_its_colors_are_attributes_that_a_style_sheet_can_change() -> None:
    svg = inline_svg(shoulder(every_s=60.0), METRIC)
    ink = print_ink(1.0)
    known = {color.name() for color, _ in ink.traces} | {
        color.name() for color in (ink.paper, ink.ink, ink.faint, ink.line, ink.grid, ink.fill, ink.accent)
    }  # fmt: skip
    found = set(re.findall(r'(?:fill|stroke)="([^"]+)"', svg)) - {"none", "black"}
    assert found
    assert found <= known
    assert "http" not in svg
    assert "style=" not in svg
