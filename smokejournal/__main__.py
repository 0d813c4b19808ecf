"""The front door: the window, or a command without a screen. Qt is imported only for the first."""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the program and return its exit code."""
    from smokejournal.cli.commands import has_screen, parse, run_command, say_no_screen

    asked = parse(sys.argv[1:] if arguments is None else arguments)
    if asked.command is not None:
        return run_command(asked)
    if not has_screen():
        return say_no_screen()
    from smokejournal.host.free_memory import keep_one_heap

    keep_one_heap()
    # Importing makes a hundred thousand objects that all stay: looking through them for garbage
    # again and again costs a sixth of the start. The window's own sweeping takes over later.
    gc.disable()
    _import_what_needs_no_qt()
    from smokejournal.app import run_window

    return run_window(asked)


def _import_what_needs_no_qt() -> None:
    # PySide looks through the source of every module that is imported after it. The three hundred
    # that have nothing to do with Qt come before: a fifth of the start.
    import smokejournal.services.feeds.control
    import smokejournal.services.program.machine_watch
    import smokejournal.services.program.weather_keeper  # noqa: F401


if __name__ == "__main__":
    sys.exit(main())
