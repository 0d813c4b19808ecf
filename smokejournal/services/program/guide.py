"""The user guide: its pages as they come with the program, and all of them as one web page.

The pages use a small part of Markdown: headings, paragraphs, lists, quotes (which are cautions), bold
for a text that the program shows, and code for keys and commands. A test holds what is made of it
equal to what a full reader of Markdown makes.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from smokejournal.host.resources import resource_path


@dataclass(frozen=True, slots=True)
class GuidePage:
    """A page of the guide: its file's name without number and ending, its heading, and all its Markdown."""

    name: str
    title: str
    text: str


#: The page that belongs to each page of the program.
PAGE_FOR = {
    "journal": "what-is-kept-where",
    "plan": "first-cook",
    "tend": "forecast",
    "taste": "printing-and-sharing",
    "stores": "brine",
    "bench": "serial-probe",
}


def guide_pages() -> tuple[GuidePage, ...]:
    """All pages in their order. Raises ResourceMissing where they did not come with the program."""
    pages = []
    for path in sorted(resource_path("guide").glob("*.md")):
        text = path.read_text(encoding="utf-8")
        title = text.partition("\n")[0].removeprefix("# ")
        pages.append(GuidePage(path.stem.partition("-")[2], title, text))
    return tuple(pages)


def guide_html() -> str:
    """The whole guide as one web page that needs nothing else."""
    pages = guide_pages()
    contents = "".join(
        f'<li><a href="#{page.name}">{html.escape(page.title)}</a></li>\n' for page in pages
    )
    sections = "".join(
        f'<section id="{page.name}">\n{html_of(page.text)}</section>\n' for page in pages
    )
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>smokejournal guide</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        f"<nav><ul>\n{contents}</ul></nav>\n{sections}</body>\n</html>\n"
    )


_STYLE = (
    "body{font:16px/1.5 sans-serif;max-width:42em;margin:2em auto;padding:0 1em;"
    "color:#23201b;background:#fffdf8}section{border-top:1px solid #d5cbb8;margin-top:2em}"
    "blockquote{margin:1em 0;padding:.1em 1em;border-left:4px solid #b0431a}"
    "code{background:#f0eadc;padding:0 .3em}a{color:#b0431a}"
)


def html_of(text: str) -> str:
    """A page's Markdown as HTML."""
    return "".join(part for block in re.split(r"\n{2,}", text.strip()) for part in _block(block))


def _block(block: str) -> Iterator[str]:
    for kind, group in groupby(block.splitlines(), _kind):
        lines = [line.removeprefix(re.match(_MARKS[kind], line)[0]) for line in group]  # type: ignore[index]
        if kind in ("ul", "ol"):
            items = "".join(f"<li>{_inline(line)}</li>\n" for line in lines)
            yield f"<{kind}>\n{items}</{kind}>\n"
        elif kind == "blockquote":
            yield f"<blockquote>\n<p>{_inline(' '.join(lines))}</p>\n</blockquote>\n"
        elif kind == "p":
            yield f"<p>{_inline(' '.join(lines))}</p>\n"
        else:
            yield from (f"<{kind}>{_inline(line)}</{kind}>\n" for line in lines)


#: How a line of each kind begins; the last one fits every line.
_MARKS = {"h2": "## ", "h1": "# ", "blockquote": "> ", "ul": "- ", "ol": r"\d+\. ", "p": ""}


def _kind(line: str) -> str:
    return next(kind for kind, mark in _MARKS.items() if re.match(mark, line))


def _inline(text: str) -> str:
    text = html.escape(text, quote=False)
    text = re.sub(r"\*\*(.+?)\*\*", r"<strong>\1</strong>", text)
    return re.sub(r"`(.+?)`", r"<code>\1</code>", text)
