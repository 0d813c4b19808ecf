"""The web page, read by a parser that knows nothing of the program."""

from __future__ import annotations

import base64
import re
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtGui import QColor, QImage

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.summary.sheet import Paragraph, Section, Sheet, SheetColumn, Table
from smokejournal.cook.summary.sheet_sections import sheet_of
from smokejournal.cook.text.quantities import METRIC
from smokejournal.paper import web_page as module
from smokejournal.paper.web_page import SheetPhoto, web_page
from tests.support import sheets
from tests.support.contrast import GRAPHICS, TEXT, contrast

pytestmark = pytest.mark.usefixtures("qapp")

KINDS = {".jpeg", ".jpg", ".png"}
NASTY = (
    "<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "]]>", "-->", "`", "|", "</style>", "<!--",
    "' onload='x", "&amp;", "&#60;b&#62;", "{{ 7*7 }}", "{% raw %}", "https://evil.example/", "javascript:x",
    "\\", "\u202e", "\x00", "<", ">", '"', "'", "=", " ", "x",
)  # fmt: skip
ELEMENTS = {
    "html", "head", "meta", "title", "style", "body", "header", "main", "footer", "section", "h1", "h2", "p", "br",
    "div", "table", "colgroup", "col", "thead", "tr", "th", "td", "figure", "figcaption", "img",
    "svg", "defs", "clippath", "g", "path", "polyline", "polygon", "rect", "ellipse", "circle",
}  # fmt: skip
ATTRIBUTES = {
    "lang", "charset", "http-equiv", "content", "name", "class", "id", "aria-label", "aria-hidden", "tabindex",
    "role", "scope", "style", "src", "alt", "viewbox", "d", "points", "fill", "fill-opacity", "fill-rule", "stroke",
    "stroke-width", "stroke-linecap", "stroke-linejoin", "stroke-opacity", "stroke-dasharray",
    "stroke-dashoffset", "stroke-miterlimit", "transform", "clip-path", "x", "y", "width", "height", "cx", "cy",
    "r", "rx", "ry",
}  # fmt: skip


class Seen(HTMLParser):
    """Every element with its attributes, and the text that is shown."""

    def __init__(self, page: bytes) -> None:
        super().__init__()
        self.elements: list[tuple[str, tuple[tuple[str, str | None], ...]]] = []
        self.said: list[str] = []
        self.comments = 0
        self.feed(page.decode("utf-8"))
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, tuple(attrs)))

    def handle_data(self, data: str) -> None:
        self.said.append(data)

    def handle_comment(self, data: str) -> None:
        self.comments += 1

    @property
    def text(self) -> str:
        return "".join(self.said)


def page_of(log: CookLog, photos: tuple[SheetPhoto, ...] = ()) -> bytes:
    summary, score = sheets.summed(log)
    return web_page(sheet_of(summary, METRIC), score, METRIC, photos, KINDS)


@cache
def hostile_page() -> bytes:
    nasty = SheetPhoto('"><img src=x onerror=alert(1)>', Path("none.jpg"))
    return page_of(sheets.hostile(), (nasty,))


def test_only_what_we_wrote_is_markup() -> None:
    seen = Seen(hostile_page())
    assert {tag for tag, _ in seen.elements} <= ELEMENTS
    attributes = [(name, value or "") for _, found in seen.elements for name, value in found]
    assert {name for name, _ in attributes} <= ATTRIBUTES
    assert seen.comments == 0
    for name, value in attributes:
        if name == "style":
            assert re.fullmatch(r"width: \d+%", value)
        if name == "src":
            assert value.startswith("data:image/jpeg;base64,")
    assert "<script>alert(1)</script>" in seen.text
    assert '"><img src=x onerror=alert(1)>' in seen.text


def test_nothing_is_loaded_and_nothing_runs() -> None:
    page = hostile_page().decode()
    assert not re.search(r"(?i)https?:", page)
    assert "url(" not in re.sub(r'clip-path="url\(#\w+\)"', "", page)
    assert "@import" not in page
    assert "default-src 'none'" in page


def nasty_sheet(text: str) -> Sheet:
    columns = (SheetColumn(text, 0.5), SheetColumn("", 0.5, "right"))
    blocks = (Paragraph(text), Table(columns, ((text, text),)))
    return Sheet(text, (text, text), text, "made", (Section("items", "On the grate", blocks),))


@given(st.lists(st.sampled_from(NASTY), min_size=1, max_size=12).map("".join))
def test_no_text_changes_what_the_page_is_made_of(text: str) -> None:
    # A heading of blanks is one all the same.
    plain, found = (Seen(web_page(nasty_sheet(words), None, METRIC)) for words in ("x", f"x{text}"))
    assert found.elements == plain.elements
    assert found.comments == 0


def test_the_same_sections_in_the_same_order_as_on_paper() -> None:
    for log in (sheets.full(), sheets.hostile(), sheets.empty()):
        sheet = sheet_of(sheets.summed(log)[0], METRIC)
        ids = [value for tag, found in Seen(page_of(log)).elements for name, value in found if tag == "section" and name == "id"]  # fmt: skip
        assert [key for key in ids if key != "score"] == [section.key for section in sheet.sections]
        if log is sheets.full():
            assert ids.index("score") == ids.index("taste") - 1 == 0


def test_numbers_and_words_are_those_of_the_sheet() -> None:
    text = Seen(page_of(sheets.full())).text.replace("\u00a0", " ")
    assert "3.40 ± 0.19 kg" in text
    assert "read 2.2 °C lower than Shoulder on average" in text
    assert "Local codes" in text
    assert "SIMULATED" not in text
    assert "SIMULATED" in Seen(page_of(sheets.full(simulated=True))).text


def test_photos_are_in_the_page(tmp_path: Path) -> None:
    image = QImage(3000, 1500, QImage.Format.Format_RGB32)
    image.fill(QColor("#803010"))
    assert image.save(str(tmp_path / "bark.jpg"))
    photos = (
        SheetPhoto("The bark", tmp_path / "bark.jpg"),
        SheetPhoto("Gone", tmp_path / "none.jpg"),
    )
    seen = Seen(page_of(sheets.full(), photos))
    (found,) = [dict(attributes) for tag, attributes in seen.elements if tag == "img"]
    assert found["alt"] == "The bark"
    data = base64.b64decode((found["src"] or "").partition(",")[2])
    shown = QImage.fromData(data)
    assert (shown.width(), shown.height()) == (1600, 800)
    assert "Gone: the picture can't be read" in seen.text


def test_the_dark_score_can_be_read() -> None:
    inks = module._dark_inks()
    assert len({color for color, _ in inks}) == len(inks)
    dark = dict(inks)
    ground = dark["#ffffff"]
    for words in ("#000000", "#4a4a4a", "#9a3412"):
        assert contrast(dark[words], ground) >= TEXT
    for _, trace in inks[7:]:
        assert contrast(trace, ground) >= GRAPHICS
    page = page_of(sheets.full()).decode()
    assert "prefers-color-scheme: dark" in page
    for color, shade in inks:
        assert f'svg [stroke="{color}"] {{ stroke: {shade}; }}' in page


def test_a_sheet_without_sections_still_has_its_score() -> None:
    summary, score = sheets.summed(sheets.full())
    bare = replace(sheet_of(summary, METRIC), sections=())
    assert b"<svg" in web_page(bare, score, METRIC)
