"""Writes the user guide as one web page."""

from __future__ import annotations

from pathlib import Path

from smokejournal.cli.say import not_written, say
from smokejournal.services.program.guide import guide_html
from smokejournal.services.stores.files import write_new


def guide(path: Path) -> int:
    """Write it to a file that isn't there yet, and return the exit code."""
    try:
        write_new(guide_html().encode("utf-8"), path)
    except OSError as error:
        return not_written(path, error, "Choose another file.")
    say(f"Written: {path}")
    return 0
