"""The cook's sheet as one web page that carries everything with it: score, photos and style.

It has no script and loads nothing. What people wrote is escaped by the template; none of it is ever
read as markup.
"""

from __future__ import annotations

import base64
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from markupsafe import Markup

from smokejournal.cook.score.score import Score
from smokejournal.cook.summary.sheet import Sheet
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.drawing.on_paper import print_ink
from smokejournal.paper.photos import sent_photo
from smokejournal.paper.score_picture import inline_svg
from smokejournal.paper.sheet_flow import is_drawn
from smokejournal.paper.summary_document import sheet_environment

#: The photos stand before the first of these sections that there is, else at the end.
_PHOTOS_BEFORE = ("missing", "cautions")
#: What each ink of the printed score becomes on a dark ground; the traces in the order they are drawn.
_DARK = ("#181512", "#f1ece4", "#b5aca0", "#5e574e", "#3a352f", "#332e29", "#f0945c")
_DARK_TRACES = ("#e58ab0", "#a9a0f0", "#6ccf86", "#dd92dd", "#cdbb4e", "#58c4d6", "#f0a0a8", "#b8b0a6")  # fmt: skip


@dataclass(frozen=True, slots=True)
class SheetPhoto:
    """A photo to go along: what stands below it, and its file."""

    caption: str
    path: Path


@dataclass(frozen=True, slots=True)
class _Figure:
    caption: str
    data: str


def web_page(
    sheet: Sheet,
    score: Score | None,
    units: Units,
    photos: Sequence[SheetPhoto] = (),
    suffixes: Collection[str] = (),
) -> bytes:
    """The page, as UTF-8. Photos are of the kinds in `suffixes`; one that can't be read is named.

    Each is scaled and carries no word on where, when or with what it was taken (`sent_photo`).
    """
    keys = [section.key for section in sheet.sections]
    figures = []
    for photo in photos:
        data = base64.b64encode(sent_photo(photo.path, suffixes)).decode("ascii")
        caption = photo.caption
        if not data:
            text = translate("WebPage", "{caption}: the picture can't be read")
            caption = text.format(caption=caption)
        figures.append(_Figure(caption, data))
    source = files(__package__).joinpath("web_page.html").read_text(encoding="utf-8")
    page = (
        sheet_environment()
        .from_string(source)
        .render(
            sheet=sheet,
            svg=Markup(inline_svg(score, units)) if is_drawn(score) else None,
            score_before=next(iter(keys), None),
            figures=figures,
            photos_before=next((key for key in _PHOTOS_BEFORE if key in keys), None),
            photos_title=translate("WebPage", "Photos"),
            score_title=translate("Score", "The score of the cook"),
            inks=_dark_inks(),
        )
    )
    # Half of a surrogate pair can't be written.
    return page.encode("utf-8", "replace")


def _dark_inks() -> list[tuple[str, str]]:
    """Each color of the printed score with the one that it becomes on a dark ground."""
    ink = print_ink(1.0)
    plain = (ink.paper, ink.ink, ink.faint, ink.line, ink.grid, ink.fill, ink.accent)
    pairs = list(zip(plain, _DARK, strict=True))
    pairs += [(color, dark) for (color, _), dark in zip(ink.traces, _DARK_TRACES, strict=True)]
    return [(color.name(), dark) for color, dark in pairs]
