"""The one way in which a command prints, and the ways in which one is refused."""

from __future__ import annotations

import sys

from smokejournal.cook.text.printable import printable

#: There is no such cook or copy, or a file can't be written or taken in.
EXIT_WRONG = 3
#: What to do about a file that can't be written.
NEW_FILE = "Name a new file, in a folder that you may write to, on a disk with room."


def say(text: str, *, wrong: bool = False) -> None:
    """Print the text, or say what is wrong on the error output, with nothing that steers the terminal."""
    print(printable(text), file=sys.stderr if wrong else sys.stdout)


def refuse(*lines: str, code: int = EXIT_WRONG) -> int:
    """Say what is wrong and what to do; returns the exit code."""
    say("\n".join(line for line in lines if line), wrong=True)
    return code


def not_written(path: object, error: OSError, cure: str) -> int:
    """The same of a file that can't be written."""
    return refuse(f"{path} could not be written: {error.strerror or error}.", cure)


def no_cook(name: str) -> str:
    """What is said where the journal has no such cook."""
    return f"There is no cook {name} in this journal. 'smokejournal cooks' lists them."
