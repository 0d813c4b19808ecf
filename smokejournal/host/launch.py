"""Small programs of the machine, started and left to themselves."""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Sequence
from typing import Protocol


class Child(Protocol):
    """What is needed of a program that was started."""

    def poll(self) -> int | None:
        """Its exit code, or None while it runs. Asking also buries it."""
        ...

    def terminate(self) -> None:
        """Ask it to end."""
        ...


Launch = Callable[[Sequence[str]], Child]


def launch(command: Sequence[str]) -> Child:
    """Start `command` without a shell and without waiting. Raises OSError where it cannot be started."""
    return subprocess.Popen(
        list(command),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        close_fds=True,
    )
