"""The thread that a source runs in, its book of what it got, and batches on their way to the sink."""

from __future__ import annotations

import threading
import time
from collections.abc import Sequence

from smokejournal.cook.log.readings import Reading
from smokejournal.cook.text.quantities import ago
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.source import (
    Now,
    ReceivedLine,
    RefusedCount,
    RefusedLine,
    Sink,
    SourceStatus,
    State,
)

#: Readings are handed over this often at most [s, real time]; a lone one goes at once.
BATCH_S = 0.1

#: An open source that says nothing for this long [s] is called silent in its text.
SILENT_S = 30.0


class Worker:
    """Base of all sources: subclasses write `work`, which runs until `stopping`.

    `say` sets the state; `hand_over` counts lines and passes them on in batches. Both are for the
    source's own thread; `status` is for any.
    """

    def __init__(self, now: Now, batch_s: float = BATCH_S) -> None:
        self.now = now
        self._batch_s = batch_s
        self._sink: Sink | None = None
        self._thread: threading.Thread | None = None
        self._stop = threading.Event()
        self._lock = threading.Lock()
        self._state: State = "waiting"
        self._since_s = now()
        self._text = ""
        self._good = self._refused_lines = self._readings = self._missed = 0
        self._last_line_s: float | None = None
        self._counts: dict[str, RefusedCount] = {}
        self._held: list[ReceivedLine] = []
        self._handed_at = float("-inf")

    def start(self, sink: Sink) -> None:
        """Begin. A source is started once."""
        if self._thread is not None:
            raise RuntimeError("this source was started before")
        self._sink = sink
        self._thread = threading.Thread(target=self._run, name=type(self).__name__, daemon=True)
        self._thread.start()

    def ask_to_stop(self) -> None:
        """End soon; does not wait for it."""
        self._stop.set()

    def stop(self) -> None:
        """End, and come back when nothing more will be handed over."""
        self._stop.set()
        thread = self._thread
        if thread is not None and thread is not threading.current_thread():
            thread.join()
        if thread is None:
            self.say("stopped", translate("Inputs", "Stopped."))

    def status(self) -> SourceStatus:
        """How it is doing."""
        with self._lock:
            counts = sorted(self._counts.values(), key=lambda c: (-c.count, c.reason))
            return SourceStatus(
                state=self._state,
                since_s=self._since_s,
                text=self._words(),
                lines_good=self._good,
                lines_refused=self._refused_lines,
                readings=self._readings,
                missed=self._missed,
                refused=tuple(counts),
                last_line_s=self._last_line_s,
            )

    def work(self) -> None:
        """The source's own loop. It returns when `stopping` is true or when there is no more."""
        raise NotImplementedError

    @property
    def stopping(self) -> bool:
        """True once somebody wants it to end."""
        return self._stop.is_set()

    def pause(self, real_s: float) -> bool:
        """Wait, in real time; True when it was asked to stop meanwhile."""
        return self._stop.wait(real_s)

    def say(self, state: State, text: str) -> None:
        """This is how it stands now."""
        with self._lock:
            if state != self._state:
                self._since_s = self.now()
            self._state, self._text = state, text

    def count_missed(self, rows: int) -> None:
        """Rows were passed over because the program was not running when they were due."""
        with self._lock:
            self._missed += rows

    def hand_over(self, lines: Sequence[ReceivedLine]) -> None:
        """Count these lines, and pass them on now or with the next batch."""
        if not lines:
            return
        with self._lock:
            for line in lines:
                self._count(line)
        self._held.extend(lines)
        self.pass_on()

    def pass_on(self, everything: bool = False) -> None:
        """Pass on what is held, unless the last batch went only a moment ago."""
        moment = time.monotonic()
        if not self._held or not (everything or moment - self._handed_at >= self._batch_s):
            return
        lines, self._held = self._held, []
        self._handed_at = moment
        readings = [
            Reading(line.at_s, value.channel, value.value_c)
            for line in lines
            for value in line.values
            if value.channel
        ]
        with self._lock:
            self._readings += len(readings)
        assert self._sink is not None
        if readings:
            self._sink.take(readings)
        self._sink.received(lines)

    def _count(self, line: ReceivedLine) -> None:
        if line.values:
            self._good += 1
        else:
            self._refused_lines += 1
        self._last_line_s = line.at_s
        for refused in line.refused:
            before = self._counts.get(refused.reason)
            self._counts[refused.reason] = RefusedCount(
                refused.reason,
                1 + (before.count if before else 0),
                example_of(line, refused),
                line.at_s,
            )

    def _run(self) -> None:
        try:
            self.work()
            self.pass_on(everything=True)
        except BaseException:
            # A bug here must not look like a quiet port: the state tells, and the thread's own
            # exception goes on to the hook that shows it.
            self.say("lost", translate("Inputs", "This input stopped on an error in the program."))
            raise
        with self._lock:
            stopped_by_itself = self._state == "stopped"
        if not stopped_by_itself:
            self.say("stopped", translate("Inputs", "Stopped."))

    def _words(self) -> str:
        if self._state != "open" or self.stopping:
            return self._text
        now = self.now()
        received = self._last_line_s
        if received is None:
            return self._text + " " + translate("Inputs", "Nothing has come yet.")
        if now - received > SILENT_S:
            return (
                self._text
                + " "
                + translate("Inputs", "Silent; the last line came {ago}.").format(
                    ago=ago(now - received)
                )
            )
        return self._text


def example_of(line: ReceivedLine, refused: RefusedLine) -> str:
    """What was refused, short enough for one row of a table."""
    number = f"{line.number}: " if line.number is not None else ""
    column = f"{refused.source}: " if refused.source else ""
    text = refused.text if refused.source else line.raw
    shown = "".join(c if c.isprintable() else "·" for c in text)
    return number + column + (shown if len(shown) <= 80 else shown[:79] + "…")
