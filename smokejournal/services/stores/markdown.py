"""The cook's sheet as Markdown: CommonMark with the tables that GitHub's flavor adds.

What people wrote stays text: every sign that could be read as markup stands behind a backslash, which
CommonMark allows before any ASCII punctuation (spec 0.31, 2.4). The score and the photos are left out:
they would be files of their own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from smokejournal.cook.summary.sheet import Block, Marks, Paragraph, Sheet, Table
from smokejournal.cook.summary.sheet_sections import mark_words
from smokejournal.cook.text.printable import printable

#: Signs that can mean something anywhere in a line. "&" begins an entity, "|" ends a cell, "$" is
#: mathematics in some readers, ":" and "@" make links of bare addresses.
_ANYWHERE = re.compile(r"([\\`*_\[\]{}<>&|~#$!@^]|:(?=//))")
#: What makes a heading, a list, a rule or a quotation of a whole line, in what `_ANYWHERE` leaves.
_AT_START = re.compile(r"^([-+=:])|^(\d+)([.)])(?=\s|$)")
_WWW = re.compile(r"(?i)\b(www)\.")


def sheet_markdown(sheet: Sheet) -> str:
    """The whole sheet, section by section, each table as a table."""
    return "\n\n".join(_parts(sheet)) + "\n"


def _parts(sheet: Sheet) -> Iterator[str]:
    yield f"# {_flat(sheet.title)}"
    yield _flat(" · ".join(sheet.lines))
    if sheet.notice:
        yield f"**{_flat(sheet.notice)}**"
    for section in sheet.sections:
        yield f"## {_flat(section.title)}"
        for block in section.blocks:
            text = _block(block)
            if text:
                yield text
    yield _flat(sheet.made)


def _block(block: Block) -> str:
    if isinstance(block, Paragraph):
        paragraphs = re.split(r"\n\s*\n", printable(block.text).strip())
        return "\n\n".join("\\\n".join(_lines(text)) for text in paragraphs)
    if isinstance(block, Marks):
        return "\n".join(
            f"- {_flat(mark.name)}: {_flat(mark_words(mark))}"
            + (f" ({_flat(mark.low)} … {_flat(mark.high)})" if mark.low or mark.high else "")
            for mark in block.marks
        )
    return _table(block)


def _table(table: Table) -> str:
    rule = ("---:" if column.align == "right" else ":---" for column in table.columns)
    rows = [[_cell(column.head) for column in table.columns], list(rule)]
    rows += [[_cell(text) for text in row] for row in table.rows]
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


def _cell(text: str) -> str:
    return "<br>".join(_lines(printable(text).strip()))


def _flat(text: str) -> str:
    """On one line."""
    return _escaped(" ".join(printable(text).split()))


def _lines(text: str) -> list[str]:
    # Four blanks before a line would make code of it.
    return [_escaped(line.strip()) for line in text.split("\n")]


def _escaped(line: str) -> str:
    line = _ANYWHERE.sub(r"\\\1", line)
    line = _WWW.sub(r"\1\\.", line)
    return _AT_START.sub(lambda m: f"\\{m[1]}" if m[1] else f"{m[2]}\\{m[3]}", line)
