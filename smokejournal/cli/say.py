"""The one way in which a command prints."""

from __future__ import annotations

import sys

from smokejournal.cook.text.printable import printable


def say(text: str, *, wrong: bool = False) -> None:
    """Print the text, or say what is wrong on the error output, with nothing that steers the terminal."""
    print(printable(text), file=sys.stderr if wrong else sys.stdout)
