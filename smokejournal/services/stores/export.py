"""What leaves the program: the summary of a cook as text, as data, as a PDF, and to be shown to others."""

from __future__ import annotations

import dataclasses
import json
import math
import textwrap
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Literal

from smokejournal.cook.log.entries import Photo
from smokejournal.cook.summary.sheet import Block, Marks, Paragraph, Table, units_kept
from smokejournal.cook.summary.sheet_sections import mark_words, sheet_of
from smokejournal.cook.summary.summary import Summary
from smokejournal.cook.text.printable import printable
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.cook.text.translate import translate
from smokejournal.journal import PHOTO_SUFFIXES, Journal
from smokejournal.services.program.live import LiveCook
from smokejournal.services.stores.csv_tables import entries_csv, readings_csv
from smokejournal.services.stores.markdown import sheet_markdown

TEXT_WIDTH = 96


def summary_to_pdf(
    live: LiveCook, path: Path, page: Literal["A4", "Letter"] = "A4", units: Units = METRIC
) -> int:
    """Write the summary of a cook to a PDF and return its number of pages.

    Needs no screen. Raises OSError where the file can't be written; one that is there stays then.
    """
    # Only what draws on paper needs Qt, which takes a while to load.
    from smokejournal.paper.summary_pdf import summary_pdf

    return summary_pdf(live.summary(), live.score(), units, path, page)


def booklet_to_pdf(
    cooks: Sequence[LiveCook],
    path: Path,
    page: Literal["A4", "Letter"] = "A4",
    units: Units = METRIC,
) -> int:
    """Write the summaries of several cooks to one PDF with contents; its number of pages.

    Needs no screen. Raises OSError where the file can't be written; one that is there stays then.
    """
    from smokejournal.paper.summary_pdf import booklet_pdf

    sheets = [(sheet_of(live.summary(), units), live.score()) for live in cooks]
    title = translate("Booklet", "{count} cooks").format(count=len(sheets))
    if len(sheets) == 1:
        title = sheets[0][0].title
    return booklet_pdf(title, sheets, units, path, page)


def summary_to_page(live: LiveCook, journal: Journal, units: Units = METRIC) -> bytes:
    """The summary of a cook as one web page, its photos included. Needs no screen."""
    from smokejournal.paper.web_page import SheetPhoto, web_page

    photos = [
        SheetPhoto(
            photo.caption or translate("Export", "Photo {number}").format(number=number),
            journal.photo_path(photo.sha256, photo.suffix),
        )
        for number, (_, photo) in enumerate(live.log().of(Photo), start=1)
    ]
    sheet = sheet_of(live.summary(), units)
    return web_page(sheet, live.score(), units, photos, PHOTO_SUFFIXES)


def score_to_picture(
    live: LiveCook,
    kind: Literal["png", "svg"],
    shape: Literal["wide", "square"] = "wide",
    units: Units = METRIC,
) -> bytes:
    """The score of a cook as a picture with its title and date. Needs no screen."""
    from smokejournal.paper.score_picture import score_picture

    return score_picture(sheet_of(live.summary(), units), live.score(), units, kind, shape)


def summary_to_markdown(live: LiveCook, units: Units = METRIC) -> bytes:
    """The summary of a cook as Markdown."""
    return sheet_markdown(sheet_of(live.summary(), units)).encode("utf-8", "replace")


def readings_to_csv(live: LiveCook) -> bytes:
    """Every reading of a cook as a table."""
    return readings_csv(live.log(), live.standing().started_at_s)


def entries_to_csv(live: LiveCook, units: Units = METRIC) -> bytes:
    """Every entry of a cook as a table."""
    return entries_csv(live.log(), live.standing().started_at_s, units)


def summary_json(summary: Summary) -> dict[str, Any]:
    """Everything in the summary as plain data: SI with °C, moments in UTC seconds.

    Each value that is one of several kinds says which in `kind`. What isn't known is null.
    """
    data = _plain(summary)
    data["marks"] = {
        key: {"mean": mean, "tastings": count} for key, (mean, count) in summary.marks().items()
    }
    data["cautions"] = [_plain(caution) for caution in summary.cautions()]
    assert isinstance(data, dict)
    json.dumps(data, allow_nan=False)
    return data


def _plain(value: Any) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        data = {
            field.name: _plain(getattr(value, field.name)) for field in dataclasses.fields(value)
        }
        kind = getattr(value, "kind", None)
        return data if kind is None or "kind" in data else {"kind": kind, **data}
    if isinstance(value, Mapping):
        return {str(key): _plain(part) for key, part in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [_plain(part) for part in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def summary_text(summary: Summary, units: Units = METRIC, width: int = TEXT_WIDTH) -> str:
    """The cook's sheet as plain text, no line of its own longer than `width` characters."""
    sheet = sheet_of(summary, units)
    lines = [*_wrapped(sheet.title, width), *_wrapped(" · ".join(sheet.lines), width)]
    if sheet.notice:
        lines += ["", *_wrapped(sheet.notice, width)]
    for section in sheet.sections:
        lines += ["", section.title, "-" * len(section.title)]
        for n, block in enumerate(section.blocks):
            if n and isinstance(block, Table):
                lines.append("")
            lines += _block(block, width)
    lines += ["", sheet.made]
    return "\n".join(line.rstrip() for line in lines)


def _block(block: Block, width: int) -> list[str]:
    if isinstance(block, Paragraph):
        return _wrapped(block.text, width)
    if isinstance(block, Marks):
        return [_mark(mark_words(mark), mark.name, mark.low, mark.high) for mark in block.marks]
    return _table(block, width)


def _mark(said: str, name: str, low: str, high: str) -> str:
    ends = f"  ({low} … {high})" if low or high else ""
    return f"{name}: {said}{ends}"


def _wrapped(text: str, width: int) -> list[str]:
    lines: list[str] = []
    for line in printable(text).split("\n"):
        wrapped = textwrap.wrap(units_kept(line), max(1, width)) or [""]
        lines += [part.replace("\u00a0", " ") for part in wrapped]
    return lines


def _table(table: Table, width: int) -> list[str]:
    rows = [tuple(column.head for column in table.columns)] if table.headed else []
    rows += list(table.rows)
    room = _room(table, rows, width)
    lines: list[str] = []
    for row in rows:
        cells = [_wrapped(cell, room[n]) for n, cell in enumerate(row)]
        for k in range(max(len(cell) for cell in cells)):
            parts = []
            for n, column in enumerate(table.columns):
                part = cells[n][k] if k < len(cells[n]) else ""
                parts.append(
                    part.rjust(room[n]) if column.align == "right" else part.ljust(room[n])
                )
            lines.append("  ".join(parts))
    return lines


def _room(table: Table, rows: list[tuple[str, ...]], width: int) -> list[int]:
    """The width of each column: its share, less what it does not need, which goes to the others."""
    needed = [
        max((len(line) for row in rows for line in row[n].split("\n")), default=1) or 1
        for n in range(len(table.columns))
    ]
    shares = sum(column.share for column in table.columns)
    room = [
        min(need, max(4, int(width * column.share / shares) - 2))
        for need, column in zip(needed, table.columns, strict=True)
    ]
    spare = width - sum(room) - 2 * (len(room) - 1)
    for n in sorted(range(len(room)), key=lambda n: needed[n] - room[n]):
        more = max(0, min(spare, needed[n] - room[n]))
        room[n] += more
        spare -= more
    return room
