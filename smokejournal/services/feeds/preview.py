"""A look at what an input sends, before it is trusted. Nothing of it is recorded."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Mapping, Sequence

from smokejournal.cook.log.readings import Reading
from smokejournal.inputs.line_format import LineFormat
from smokejournal.inputs.line_guess import guess_format, hints
from smokejournal.inputs.source import ReceivedLine, SourceStatus

KEPT = 200


class LinePreview:
    """The last lines as they came, and what a format makes of them.

    With `form` the lines are read by it and not as the source does, and read again when it changes,
    so that a format can be tried out on what has come already. `stop` gives the port back.
    """

    def __init__(
        self,
        status: Callable[[], SourceStatus],
        stop: Callable[[], None],
        form: LineFormat | None = None,
    ) -> None:
        self._status = status
        self._stop = stop
        self._form = form
        self._lock = threading.Lock()
        self._lines: deque[ReceivedLine] = deque(maxlen=KEPT)

    def take(self, readings: Sequence[Reading]) -> None:
        """Readings are only looked at, as lines."""

    def received(self, lines: Sequence[ReceivedLine]) -> None:
        """Keep these lines."""
        with self._lock:
            self._lines.extend(self._read(line) for line in lines[-KEPT:])

    def lines(self) -> tuple[ReceivedLine, ...]:
        """The last lines, oldest first."""
        with self._lock:
            return tuple(self._lines)

    def status(self) -> SourceStatus:
        """How the source is doing, with all it counted since it began."""
        return self._status()

    def set_format(self, form: LineFormat) -> None:
        """Read by this from now on, and what is kept as well."""
        with self._lock:
            self._form = form
            self._lines = deque((self._read(line) for line in self._lines), maxlen=KEPT)

    def guess(self) -> LineFormat:
        """A proposal for how to read what has come."""
        return guess_format([line.raw for line in self.lines() if line.whole])

    def hints(self, form: LineFormat, roles: Mapping[str, str]) -> tuple[str, ...]:
        """What looks odd about what has come under `form`. `roles` by channel key."""
        return hints(form, [line.raw for line in self.lines() if line.whole], roles)

    def stop(self) -> None:
        """No more of it."""
        self._stop()

    def _read(self, line: ReceivedLine) -> ReceivedLine:
        if self._form is None or not line.whole:
            return line
        parsed = self._form.parse(line.raw)
        return ReceivedLine(line.at_s, line.raw, parsed.values, parsed.refused, line.number)
