"""The front door: the window, or a command without a screen. Qt is imported only for the first."""

from __future__ import annotations

import sys
from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the program and return its exit code."""
    from smokejournal.cli import parse, run_command

    asked = parse(sys.argv[1:] if arguments is None else arguments)
    if asked.command is not None:
        return run_command(asked)
    from smokejournal.app import run_window

    return run_window(asked)


if __name__ == "__main__":
    sys.exit(main())
