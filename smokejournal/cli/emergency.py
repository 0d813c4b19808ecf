"""The option `--emergency`: a cook as plain text, whatever state the journal is in."""

from __future__ import annotations

from pathlib import Path

from smokejournal.cli.say import say
from smokejournal.cook.text.strict import one_line
from smokejournal.services.stores.emergency import write_cook

EXIT_WRONG = 3


def emergency(folder: Path, file: Path, cook: str) -> int:
    """Writes the cook with the number `cook` ("" for the one under way, or else the newest; "last" is
    the same) to `file` and returns the exit code. JournalProblem where nothing can be read."""
    if cook not in ("", "last") and not cook.isdecimal():
        say(f"There is no cook {cook}. Give the number of a cook, or leave out --cook.", wrong=True)
        return EXIT_WRONG
    try:
        written = write_cook(folder, file, int(cook) if cook.isdecimal() else None)
    except OSError as error:
        say(f"{file} could not be written: {error.strerror or error}.", wrong=True)
        say("Name a new file, in a folder that you may write to, on a disk with room.", wrong=True)
        return EXIT_WRONG
    if written is None:
        say(
            "There is no such cook in this journal." if cook else "No cook is in this journal.",
            wrong=True,
        )
        return EXIT_WRONG
    say(
        f"Written to {file}: cook {written.cook_id}, {one_line(written.title) or 'without a title'}."
    )
    for sentence in written.missing:
        say(sentence, wrong=True)
    return 0
