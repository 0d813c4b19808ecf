"""What every source of readings is: it starts, it stops, it says how it is doing.

A source runs in a thread of its own, comes back by itself after trouble, and hands over what it got
in batches. It is told the time by a function: stamps follow the program's clock, while waiting for a
port follows real time.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Literal, Protocol, TypeAlias

from smokejournal.cook.log.readings import Reading

Now: TypeAlias = Callable[[], float]
"""UTC seconds by the program's clock."""

State = Literal["waiting", "open", "lost", "stopped"]


@dataclass(frozen=True, slots=True)
class Value:
    """A temperature read from a line. `text` is the number as it stands there, `source` its column;
    `channel` is empty while the column is not mapped to one."""

    channel: str
    source: str
    text: str
    value_c: float


@dataclass(frozen=True, slots=True)
class RefusedLine:
    """A line, or one column of it, that gave no reading, and why. `source` is empty for a whole line."""

    reason: str
    text: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class ReceivedLine:
    """One line as it came, and what was made of it. `number` counts the lines of a file from 1.

    `whole` is false for what was no line of text at all, so that no other format could read it.
    """

    at_s: float
    raw: str
    values: tuple[Value, ...] = ()
    refused: tuple[RefusedLine, ...] = ()
    number: int | None = None
    whole: bool = True


@dataclass(frozen=True, slots=True)
class RefusedCount:
    """How often something was refused for one reason, and the last example of it."""

    reason: str
    count: int
    example: str
    at_s: float


@dataclass(frozen=True, slots=True)
class SourceStatus:
    """How a source is doing. `since_s`: since when in this state. `text` says it to people.

    `lines_good` gave at least one value; `lines_refused` gave none. `refused` counts refused lines
    and single columns by reason, most frequent first. `missed` counts what a replay passed over
    because the program was not running then.
    """

    state: State
    since_s: float
    text: str
    lines_good: int = 0
    lines_refused: int = 0
    readings: int = 0
    missed: int = 0
    refused: tuple[RefusedCount, ...] = field(default=())
    last_line_s: float | None = None


class Sink(Protocol):
    """Takes what a source got. Called on the source's thread; must not block for long."""

    def take(self, readings: Sequence[Reading]) -> None:
        """Readings of mapped columns, in the order in which they came."""
        ...

    def received(self, lines: Sequence[ReceivedLine]) -> None:
        """Every line, good or refused, also those whose readings `take` got."""
        ...


class Source(Protocol):
    """Where readings come from."""

    def start(self, sink: Sink) -> None:
        """Begin in a thread of its own. A source is started once."""
        ...

    def stop(self) -> None:
        """End, and come back when nothing more will be handed over. Stopping twice does no harm."""
        ...

    def status(self) -> SourceStatus:
        """How it is doing, from any thread."""
        ...
