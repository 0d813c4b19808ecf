"""The cook's sheet as HTML, in the subset that Qt's documents show: for the screen and the clipboard.

Everything that people wrote is escaped by the template; none of it is ever read as markup.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from jinja2 import Environment, StrictUndefined, Template
from markupsafe import Markup, escape

from smokejournal.cook.summary.sheet import Block, TastingMark, units_kept
from smokejournal.cook.summary.sheet_sections import mark_words, sheet_of
from smokejournal.cook.summary.summary import Summary
from smokejournal.cook.summary.tasting import dots
from smokejournal.cook.text.printable import printable
from smokejournal.cook.text.quantities import Units


@dataclass(frozen=True, slots=True)
class SheetColors:
    """Colors of the ground that the sheet is shown on, as #rrggbb."""

    faint: str = "#454545"
    accent: str = "#9a3412"


def summary_html(summary: Summary, units: Units, colors: SheetColors | None = None) -> str:
    """The whole sheet but for the picture of the score. Each section begins with an anchor, its key."""
    return _template().render(sheet=sheet_of(summary, units), colors=colors or SheetColors())


@cache
def sheet_environment() -> Environment:
    """What templates of a sheet are read with: everything put in is escaped."""
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    environment.filters.update(
        kind=_kind, lines=_lines, plain=printable, kept=units_kept, dots=_dots, said=mark_words
    )
    return environment


@cache
def _template() -> Template:
    source = files(__package__).joinpath("sheet.html").read_text(encoding="utf-8")
    return sheet_environment().from_string(source)


def _kind(block: Block) -> str:
    return type(block).__name__


def _lines(text: str) -> Markup:
    """The text escaped, its line breaks kept."""
    return Markup("<br>").join(escape(line) for line in printable(text).split("\n"))


def _dots(mark: TastingMark) -> str:
    return dots(mark.value)
