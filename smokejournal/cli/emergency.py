"""The option `--emergency`: a cook as plain text, whatever state the journal is in."""

from __future__ import annotations

from pathlib import Path

from smokejournal.cli.say import NEW_FILE, not_written, refuse, say
from smokejournal.cook.text.strict import one_line
from smokejournal.services.stores.emergency import write_cook


def emergency(folder: Path, file: Path, cook: str) -> int:
    """Writes the cook with the number `cook` ("" for the one under way, or else the newest; "last" is
    the same) to `file` and returns the exit code. JournalProblem where nothing can be read."""
    if cook not in ("", "last") and not cook.isdecimal():
        return refuse(f"There is no cook {cook}. Give the number of a cook, or leave out --cook.")
    try:
        written = write_cook(folder, file, int(cook) if cook.isdecimal() else None)
    except OSError as error:
        return not_written(file, error, NEW_FILE)
    if written is None:
        none, no_such = "No cook is in this journal.", "There is no such cook in this journal."
        return refuse(no_such if cook else none)
    say(
        f"Written to {file}: cook {written.cook_id}, {one_line(written.title) or 'without a title'}."
    )
    for sentence in written.missing:
        say(sentence, wrong=True)
    return 0
