"""Programs of the machine: started in name only, or scripts in their place."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

import pytest


class FakeChild:
    def __init__(self, command: Sequence[str]) -> None:
        self.command = tuple(command)
        self.code: int | None = None
        self.terminated = False

    def poll(self) -> int | None:
        return self.code

    def terminate(self) -> None:
        self.terminated = True
        self.code = -15


class Launches:
    """Starts nothing and remembers; programs named in `missing` cannot be started."""

    def __init__(self, missing: tuple[str, ...] = ()) -> None:
        self.missing = missing
        self.children: list[FakeChild] = []

    def __call__(self, command: Sequence[str]) -> FakeChild:
        if command[0] in self.missing:
            raise FileNotFoundError(command[0])
        self.children.append(FakeChild(command))
        return self.children[-1]


class OnPath:
    """Programs of the machine as shell scripts in a folder that is put on PATH. Each writes down how it
    was called."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.folder = folder / "programs"
        self.folder.mkdir()
        self._calls = folder / "calls.txt"
        monkeypatch.setenv("PATH", f"{self.folder}{os.pathsep}{os.environ['PATH']}")

    def put(self, name: str, does: str) -> str:
        """A program that does this, and its path. `does` is shell; `$$` is written beside the call."""
        path = self.folder / name
        head = f'#!/bin/sh\necho "$$ {name} $*" >> "{self._calls}"\n'
        path.write_text(head + does, "utf-8")
        path.chmod(0o755)
        return str(path)

    def calls(self) -> list[str]:
        """How they were called so far, without the process id."""
        return [line.partition(" ")[2] for line in self._lines()]

    def running(self) -> list[int]:
        """Process ids of those that still run."""
        return [pid for line in self._lines() if _runs(pid := int(line.partition(" ")[0]))]

    def _lines(self) -> list[str]:
        return self._calls.read_text("utf-8").splitlines() if self._calls.exists() else []


#: Does as the login manager's own program: runs what stands behind the options.
INHIBIT = 'while [ "${1#--}" != "$1" ]; do shift; done\nexec "$@"\n'


def _runs(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text("utf-8").rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"
