"""What an input brings, on its way into the log of a cook."""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Sequence
from concurrent.futures import Future
from dataclasses import dataclass

from smokejournal.cook.log.readings import Reading
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.source import ReceivedLine
from smokejournal.journal import JournalProblem
from smokejournal.services.feeds.preview import LinePreview
from smokejournal.services.program.live import LiveCook

#: After a write that failed the next one waits no longer than this [s].
LONGEST_WAIT_S = 30.0

#: A write that takes longer than this is trouble [s].
SLOW_S = 5.0


@dataclass(frozen=True, slots=True)
class WritingTrouble:
    """Why so many readings are not on disk, and what to do."""

    unwritten: int
    message: str
    cure: str


class Recorder:
    """Takes what a source got into the cook's log. What could not be written is tried again.

    One write is under way at a time: what comes meanwhile goes with the next.
    """

    def __init__(self, live: LiveCook) -> None:
        self._live = live
        self.cook_id = live.cook_id
        self._lock = threading.Lock()
        self._kept: list[Reading] = []
        self._flying: dict[int, tuple[float, list[Reading]]] = {}
        self._flights = 0
        self._failed = 0
        self._again: threading.Timer | None = None
        self._ended = False
        self._watchers: list[LinePreview] = []
        self._trouble = self._cure = ""

    def take(self, readings: Sequence[Reading]) -> None:
        """Record these, after any that wait."""
        with self._lock:
            self._kept += readings
            if self._again is not None or self._flying:
                return
        self.try_again()

    def end(self) -> None:
        """Try once more what waits, and then never again."""
        with self._lock:
            self._ended = True
        self.try_again()

    def received(self, lines: Sequence[ReceivedLine]) -> None:
        """Show these to whoever looks on."""
        for watcher in tuple(self._watchers):
            watcher.received(lines)

    def watch(self, preview: LinePreview) -> None:
        """Let this one look on."""
        self._watchers.append(preview)

    def unwatch(self, preview: LinePreview) -> None:
        """No more."""
        if preview in self._watchers:
            self._watchers.remove(preview)

    def waiting(self) -> list[Reading]:
        """The readings that came and are not on disk, in the order they came."""
        with self._lock:
            flying = [each for _, batch in self._flying.values() for each in batch]
            return flying + self._kept

    def newest(self) -> dict[str, float]:
        """The moment of the newest reading of each channel that is not on disk yet."""
        return {reading.channel: reading.at_s for reading in self.waiting()}

    def trouble(self) -> WritingTrouble | None:
        """What is wrong with writing; None where nothing is."""
        with self._lock:
            count = len(self._kept) + sum(len(batch) for _, batch in self._flying.values())
            since_s = min((at_s for at_s, _ in self._flying.values()), default=math.inf)
            if self._trouble:
                return WritingTrouble(count, self._trouble, self._cure)
        if time.monotonic() - since_s <= SLOW_S:
            return None
        return WritingTrouble(
            count,
            translate("Feeds", "The disk is slow to write them."),
            translate("Feeds", "Check that nothing else keeps it busy."),
        )

    def try_again(self) -> None:
        """Write now what waits."""
        with self._lock:
            if self._again is not None:
                self._again.cancel()
            batch, self._kept, self._again = self._kept, [], None
            if not batch:
                return
            self._flights += 1
            flight = self._flights
            self._flying[flight] = time.monotonic(), batch
        try:
            future = self._live.record_readings(batch)
        except (JournalProblem, SchemaProblem) as problem:
            self._failed_to_write(flight, problem)
            return
        future.add_done_callback(lambda done: self._landed(flight, done))

    def _landed(self, flight: int, done: Future[tuple[Reading, ...]]) -> None:
        problem = done.exception()
        if problem is not None:
            self._failed_to_write(flight, problem)
            return
        with self._lock:
            del self._flying[flight]
            self._trouble = self._cure = ""
            self._failed = 0
        self.try_again()

    def _failed_to_write(self, flight: int, problem: BaseException) -> None:
        with self._lock:
            _, batch = self._flying.pop(flight)
            self._kept = [*batch, *self._kept]
            self._failed += 1
            self._trouble = getattr(problem, "message", "") or str(problem)
            self._cure = getattr(problem, "cure", "")
            if self._ended or self._again is not None:
                return
            wait_s = min(LONGEST_WAIT_S, 2.0 ** min(self._failed, 10))
            self._again = threading.Timer(wait_s, self.try_again)
            self._again.daemon = True
            self._again.start()
