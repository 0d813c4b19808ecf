"""Stand-ins made by hand, for what a test must be able to hold still."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from smokejournal.journal import Change, Journal
from smokejournal.journal.problems import no_room


class FixedClock:
    """A clock that stands until it is set."""

    def __init__(self, now_s: float = 1_780_000_000.0) -> None:
        self.at_s = now_s

    def now_s(self) -> float:
        """The moment that was set."""
        return self.at_s

    def forward(self, by_s: float) -> None:
        """Let time pass."""
        self.at_s += by_s


@contextmanager
def slow_disk(journal: Journal) -> Iterator[None]:
    """Nothing is written while this lasts; afterwards everything that was asked for, in order."""
    go = threading.Event()

    def wait(_: object) -> tuple[None, Change]:
        go.wait(30.0)
        return None, Change()

    assert journal._writer is not None
    journal._writer.submit(wait)
    try:
        yield
    finally:
        go.set()


@contextmanager
def dead_disk(journal: Journal) -> Iterator[None]:
    """Every write fails while this lasts."""
    writer = journal._writer
    assert writer is not None
    settle = writer._on_savepoint, writer._commit_alone

    def fail(*_: object) -> Exception:
        return no_room(writer._path)

    writer._on_savepoint = fail  # type: ignore[method-assign, assignment]
    writer._commit_alone = fail  # type: ignore[method-assign, assignment]
    try:
        yield
    finally:
        writer._on_savepoint, writer._commit_alone = settle  # type: ignore[method-assign]
