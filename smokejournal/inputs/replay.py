"""Readings from a recorded table (CSV), as they came or at any pace. The door to all of replaying."""

from __future__ import annotations

from pathlib import Path

from smokejournal.cook.text.translate import translate
from smokejournal.inputs.recorded.text import TableTrouble
from smokejournal.inputs.replay_config import FASTEST, ReplayConfig, TimeKind
from smokejournal.inputs.source import Now, ReceivedLine
from smokejournal.inputs.table import guess_replay, rows_of
from smokejournal.inputs.worker import BATCH_S, Worker

__all__ = [
    "FASTEST",
    "ReplayConfig",
    "ReplaySource",
    "TableTrouble",
    "TimeKind",
    "guess_replay",
    "rows_of",
]

_POLL_S = 0.05
_CHUNK = 2000


class ReplaySource(Worker):
    """Replays a table. Rows that were due before it was started are passed over and counted.

    `after_s`: with times as written, rows up to this one are in the journal already.
    """

    def __init__(
        self, config: ReplayConfig, now: Now, after_s: float | None = None, batch_s: float = BATCH_S
    ) -> None:
        super().__init__(now, batch_s)
        self.config = config
        self._after_s = after_s

    def work(self) -> None:
        """Row by row, each when it is due."""
        name = Path(self.config.path).name
        self.say("open", translate("Inputs", "Replaying {name}.").format(name=name))
        started_s = self.now()
        try:
            rows = self._replay(started_s)
        except TableTrouble as trouble:
            self.pass_on(everything=True)
            self.say("stopped", str(trouble))
            return
        if not self.stopping:
            self.pass_on(everything=True)
            self.say(
                "stopped",
                translate("Inputs", "{name} was replayed to its end ({rows} rows).").format(
                    name=name, rows=rows
                ),
            )

    def _replay(self, started_s: float) -> int:
        config = self.config
        begun_s = config.begun_at_s if config.begun_at_s is not None else started_s
        first_s: float | None = None
        chunk: list[ReceivedLine] = []
        count = 0
        for row in rows_of(config):
            count += 1
            stamp_s = self.now()
            if row.table_s is not None:
                first_s = row.table_s if first_s is None else first_s
                since_s = row.table_s - first_s
                due_s = begun_s + since_s / config.pace if config.pace is not None else begun_s
                stamp_s = due_s
                if config.stamps == "written":
                    stamp_s = begun_s + since_s if config.time_kind == "seconds" else row.table_s
                    over = self._after_s is not None and stamp_s <= self._after_s
                else:
                    over = due_s < started_s
                if over:
                    self.count_missed(1)
                    continue
                if config.pace is not None and due_s > self.now():
                    self.hand_over(chunk)
                    chunk = []
                    if self._wait(due_s):
                        return count
            chunk.append(ReceivedLine(stamp_s, row.raw, row.values, row.refused, row.number))
            if len(chunk) >= _CHUNK:
                self.hand_over(chunk)
                chunk = []
            if self.stopping:
                return count
        self.hand_over(chunk)
        return count

    def _wait(self, due_s: float) -> bool:
        while self.now() < due_s:
            self.pass_on()
            if self.pause(_POLL_S):
                return True
        return False
