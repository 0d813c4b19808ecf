"""Small programs of the machine, started and left to themselves."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Protocol


class Child(Protocol):
    """What is needed of a program that was started."""

    def poll(self) -> int | None:
        """Its exit code, or None while it runs. Asking also buries it."""
        ...

    def terminate(self) -> None:
        """Ask it to end."""
        ...


class BoundChild(Protocol):
    """A program that says back what it is told and lives no longer than we do."""

    def poll(self) -> int | None:
        """Its exit code, or None while it runs. Asking also buries it."""
        ...

    def answered(self) -> bool:
        """Whether it has said anything yet. Never waits."""
        ...

    def let_go(self) -> None:
        """Let it end."""
        ...


Launch = Callable[[Sequence[str]], Child]
BoundLaunch = Callable[[Sequence[str]], BoundChild]


def launch(command: Sequence[str]) -> Child:
    """Start `command` without a shell and without waiting. Raises OSError where it cannot be started."""
    return subprocess.Popen(
        list(command),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        close_fds=True,
    )


def launch_bound(command: Sequence[str]) -> BoundChild:
    """Start `command`, which is to echo what it reads and end with it, without a shell and without
    waiting. Raises OSError where it cannot be started."""
    return _Piped(command)


class _Piped:
    """Bound by a pipe of which we alone hold the end: however we end, it reads to its end then."""

    def __init__(self, command: Sequence[str]) -> None:
        self._process = subprocess.Popen(
            list(command),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            close_fds=True,
            bufsize=0,
        )
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._to, self._from = self._process.stdin, self._process.stdout
        os.set_blocking(self._from.fileno(), False)
        with suppress(OSError):  # it has ended already, which poll() says
            self._to.write(b"\n")

    def poll(self) -> int | None:
        return self._process.poll()

    def answered(self) -> bool:
        return bool(self._from.read())

    def let_go(self) -> None:
        self._to.close()
        self._from.close()
        # The lock is given back at once, and not when the pipe was noticed. Buried by poll().
        self._process.terminate()
