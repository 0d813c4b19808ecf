"""Programs of the machine that are started in name only."""

from __future__ import annotations

from collections.abc import Sequence


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
