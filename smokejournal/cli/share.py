"""Writes a cook to files: PDF, web page, Markdown, CSV, picture."""

from __future__ import annotations

import errno
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Literal, NamedTuple

from smokejournal.cook.text.quantities import Units
from smokejournal.journal import Journal
from smokejournal.services.program.live import LiveCook
from smokejournal.services.stores import export
from smokejournal.services.stores.files import write_new


class Layout(NamedTuple):
    """How it is to look."""

    units: Units
    page: Literal["A4", "Letter"]
    shape: Literal["wide", "square"]


def write_files(
    wanted: Mapping[str, Path], live: LiveCook, journal: Journal, layout: Layout
) -> list[Path]:
    """Write what was asked for, by the name of its option; gives the files.

    No file but the PDF is written over. Raises FileExistsError before anything is written where one is
    there already, and OSError where one can't be written; `filename` is set in both.
    """
    for option, path in wanted.items():
        files = [path] if option != "csv" else [path / name for name in _TABLES]
        for file in files if option != "pdf" else []:
            if file.exists():
                raise FileExistsError(errno.EEXIST, "a file or a folder has this name", str(file))
    written: list[Path] = []
    for option, path in wanted.items():
        if option == "csv":
            path.mkdir(parents=True, exist_ok=True)
            written += [write_new(_TABLES[name](live, layout), path / name) for name in _TABLES]
        elif option == "pdf":
            export.summary_to_pdf(live, path, layout.page, layout.units)
            written.append(path)
        else:
            written.append(write_new(_content(option, path, live, journal, layout), path))
    return written


_TABLES: dict[str, Callable[[LiveCook, Layout], bytes]] = {
    "readings.csv": lambda live, _: export.readings_to_csv(live),
    "entries.csv": lambda live, layout: export.entries_to_csv(live, layout.units),
}


def _content(option: str, path: Path, live: LiveCook, journal: Journal, layout: Layout) -> bytes:
    if option == "html":
        return export.summary_to_page(live, journal, layout.units)
    if option == "markdown":
        return export.summary_to_markdown(live, layout.units)
    kind: Literal["png", "svg"] = "svg" if path.suffix.lower() == ".svg" else "png"
    return export.score_to_picture(live, kind, layout.shape, layout.units)
