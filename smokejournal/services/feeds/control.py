"""Feeds: an input wired to the cook whose readings it brings."""

from __future__ import annotations

import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from smokejournal.cook.log.entries import ChannelSet, CookClosed, LeadSet, Payload
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import renamed
from smokejournal.cook.text.translate import translate
from smokejournal.inputs.configs import Config, channels_of, config_from_json
from smokejournal.inputs.pit import Hands
from smokejournal.inputs.replay import ReplaySource
from smokejournal.inputs.replay_config import ReplayConfig
from smokejournal.inputs.serial_line import Opener, SerialConfig, SerialSource, open_port
from smokejournal.inputs.simulated import SimulatedConfig, SimulatedSource
from smokejournal.inputs.source import SourceStatus
from smokejournal.journal import Change, JournalProblem
from smokejournal.services.feeds.log_hands import LogHands
from smokejournal.services.feeds.preview import LinePreview
from smokejournal.services.feeds.recorder import Recorder
from smokejournal.services.program.live import LiveCook
from smokejournal.services.program.program import Program

Running = SerialSource | ReplaySource | SimulatedSource

_CURRENT = "feed.current"


def _key(cook_id: int) -> str:
    return f"feed.{cook_id}"


@dataclass(frozen=True, slots=True)
class FeedStatus:
    """How the feed is doing. `unwritten` readings came but could not be recorded yet; `trouble` says
    why, or why the feed could not be taken up again, `cure` what to do. Without a feed `source` is
    None."""

    cook_id: int | None = None
    kind: str = ""
    simulated: bool = False
    source: SourceStatus | None = None
    unwritten: int = 0
    trouble: str = ""
    cure: str = ""


class FeedControl:
    """One feed at a time. Its configuration is kept with the cook and taken up again at a start."""

    def __init__(self, program: Program, opener: Opener = open_port) -> None:
        self._program = program
        self._opener = opener
        self._lock = threading.RLock()
        self._cook_id: int | None = None
        self._config: Config | None = None
        self._source: Running | None = None
        self._recorder: Recorder | None = None
        self._behind: list[Recorder] = []
        """Recorders of feeds that ended with readings that are not written yet."""
        self._trouble = ""
        self._unsubscribe = program.subscribe(self._changed)

    def start(
        self,
        cook_id: int,
        config: Config | Mapping[str, object],
        channels: Sequence[Channel] = (),
    ) -> None:
        """Feed this cook from this input, in place of any other feed.

        `channels` describe what the columns feed (name, role, correction); a channel that neither
        they nor the cook's log know is described by its column's name. SchemaProblem, with nothing
        changed, where the configuration can't be or would mix simulated readings with real ones.
        """
        with self._lock:
            ready = config_from_json(config) if isinstance(config, Mapping) else config
            ready = config_from_json(ready.to_json())
            before = self.config(cook_id)
            if isinstance(ready, SimulatedConfig) and isinstance(before, SimulatedConfig):
                # Taken up again, its meat is as far as it would be by now, and not raw once more.
                ready = before
            ready = self._anchored(ready)
            live = self._program.live(cook_id)
            # A reading of the feed before that is still on its way counts as held.
            self._program.journal.flush()
            wanted = self._entries_for(live, ready, channels)
            self._end()
            if wanted:
                now_s = self._program.clock.now_s()
                live.record_many([(now_s, what) for what in wanted]).result()
            journal = self._program.journal
            kept = {"version": 1, "on": True, "config": ready.to_json()}
            journal.set_setting(_key(cook_id), kept).result()
            journal.set_setting(_CURRENT, cook_id).result()
            self._begin(live, ready, None)

    def stop(self) -> None:
        """End the feed. Its configuration stays with the cook; it is not taken up at a start."""
        with self._lock:
            cook_id = self._cook_id
            self._end()
            if cook_id is not None:
                self._switch_off(cook_id)

    def close(self) -> None:
        """The program ends: the feed stops and is taken up again at the next start."""
        with self._lock:
            self._unsubscribe()
            self._end()
            for recorder in self._behind:
                recorder.end()

    def unwritten(self) -> list[tuple[int, list[Reading]]]:
        """The readings that are in memory only, by cook."""
        with self._lock:
            recorders = [*self._behind, *([self._recorder] if self._recorder is not None else [])]
        return [(each.cook_id, waiting) for each in recorders if (waiting := each.waiting())]

    def resume(self) -> bool:
        """Take up the feed that ran when the program ended. True when there was one.

        What can't be taken up is said in `status().trouble`.
        """
        journal = self._program.journal
        cook_id = journal.setting(_CURRENT)
        if not isinstance(cook_id, int):
            return False
        kept = journal.setting(_key(cook_id))
        if not isinstance(kept, dict) or not kept.get("on"):
            return False
        with self._lock:
            try:
                config = config_from_json(kept.get("config"))
                live = self._program.live(cook_id)
                if any(True for _ in live.log().of(CookClosed)):
                    return False
                self._end()
                self._begin(live, config, self._last_s(live, config))
            except (SchemaProblem, JournalProblem) as problem:
                self._trouble = translate(
                    "Feeds", "The input could not be taken up again: {why} Set it up on Bench."
                ).format(why=problem.message)
                return False
        return True

    def config(self, cook_id: int) -> Config | None:
        """The input that this cook had last, also when it is stopped; None without a usable one."""
        kept = self._program.journal.setting(_key(cook_id))
        if not isinstance(kept, dict):
            return None
        try:
            return config_from_json(kept.get("config"))
        except SchemaProblem:
            return None

    def status(self) -> FeedStatus:
        """How it stands. Quick, from any thread."""
        source, recorder, config = self._source, self._recorder, self._config
        recorders = [*self._behind, *([recorder] if recorder is not None else [])]
        troubles = [trouble for each in recorders if (trouble := each.trouble()) is not None]
        status = FeedStatus(
            unwritten=sum(trouble.unwritten for trouble in troubles),
            trouble=troubles[-1].message if troubles else self._trouble,
            cure=troubles[-1].cure if troubles else "",
        )
        if source is None or config is None:
            return status
        return replace(
            status,
            cook_id=self._cook_id,
            kind=config.kind,
            simulated=isinstance(config, SimulatedConfig),
            source=source.status(),
        )

    def preview(self, config: Config | Mapping[str, object]) -> LinePreview:
        """Look at an input without recording. A port that feeds a cook already is looked at there.

        The preview runs until its `stop`. SchemaProblem where the configuration can't be.
        """
        ready = config_from_json(config if isinstance(config, Mapping) else config.to_json())
        form = ready.format if isinstance(ready, SerialConfig) else None
        with self._lock:
            running, recorder = self._config, self._recorder
            if (
                isinstance(ready, SerialConfig)
                and isinstance(running, SerialConfig)
                and recorder is not None
                and self._source is not None
                and running.port == ready.port
            ):
                looking = LinePreview(self._source.status, lambda: recorder.unwatch(looking), form)
                recorder.watch(looking)
                return looking
        source = self._source_for(self._anchored(ready), None, None)
        preview = LinePreview(source.status, source.stop, form)
        source.start(preview)
        return preview

    # ------------------------------------------------------------------------------------------

    def _begin(self, live: LiveCook, config: Config, after_s: float | None) -> None:
        source = self._source_for(config, live, after_s)
        recorder = Recorder(live)
        live.held = recorder.newest
        self._cook_id, self._config = live.cook_id, config
        self._source, self._recorder, self._trouble = source, recorder, ""
        source.start(recorder)

    def _end(self) -> None:
        source, recorder = self._source, self._recorder
        if source is not None:
            source.stop()
        if recorder is not None:
            recorder.try_again()
            self._behind = [each for each in (*self._behind, recorder) if each.waiting()]
        self._source = self._recorder = self._config = self._cook_id = None

    def _source_for(self, config: Config, live: LiveCook | None, after_s: float | None) -> Running:
        now = self._program.clock.now_s
        if isinstance(config, SerialConfig):
            return SerialSource(config, now, self._opener)
        if isinstance(config, ReplayConfig):
            return ReplaySource(config, now, after_s)
        if live is None:
            return SimulatedSource(config, now, practice_hands)
        return SimulatedSource(config, now, LogHands(live, config.outside))

    def _anchored(self, config: Config) -> Config:
        """With the moment at which it began, so that it can be taken up again."""
        now_s = self._program.clock.now_s()
        if isinstance(config, ReplayConfig) and config.begun_at_s is None:
            return replace(config, begun_at_s=now_s)
        if isinstance(config, SimulatedConfig) and config.start_s is None:
            return replace(config, start_s=now_s)
        return config

    def _entries_for(
        self, live: LiveCook, config: Config, described: Sequence[Channel]
    ) -> list[Payload]:
        log = live.log()
        known = {what.channel.key: what.channel for _, what in log.of(ChannelSet)}
        simulated = isinstance(config, SimulatedConfig)
        told = {channel.key: channel for channel in described}
        wanted: list[Payload] = []
        feeding: list[Channel] = []
        for proposed in channels_of(config):
            key = proposed.key
            before = known.get(key)
            channel = told.get(key) or before or proposed
            if before is not None and before.simulated != simulated and len(log.trace(key)):
                raise SchemaProblem(
                    "channels",
                    translate(
                        "Feeds",
                        "“{name}” holds {what} readings already. Feed another channel, so that "
                        "the two are never mixed.",
                    ).format(
                        name=before.name,
                        what=translate("Feeds", "simulated")
                        if before.simulated
                        else translate("Feeds", "real"),
                    ),
                )
            # A device or a table may call a column anything, and so may an old log.
            channel = renamed(replace(channel, simulated=simulated))
            feeding.append(channel)
            if channel != before:
                wanted.append(ChannelSet(channel))
        if not log.of(LeadSet):
            meat = [channel.key for channel in feeding if channel.role == "meat"]
            if meat:
                wanted.append(LeadSet(meat[0], meat[1] if len(meat) > 1 else None))
        return wanted

    def _last_s(self, live: LiveCook, config: Config) -> float | None:
        log = live.log()
        last = [
            float(trace.at_s[-1])
            for trace in (log.traces.get(channel.key) for channel in channels_of(config))
            if trace is not None and len(trace)
        ]
        return max(last) if last else None

    def _switch_off(self, cook_id: int) -> None:
        journal = self._program.journal
        kept = journal.setting(_key(cook_id))
        if isinstance(kept, dict):
            journal.set_setting(_key(cook_id), kept | {"on": False})

    def _changed(self, change: Change) -> None:
        """On the writer's thread: a cook that is closed needs no feed. Nothing here waits."""
        source = self._source
        if source is None or change.cook_id is None or change.cook_id != self._cook_id:
            return
        if any(isinstance(entry.what, CookClosed) for entry in change.entries):
            source.ask_to_stop()
            self._switch_off(change.cook_id)


def practice_hands(_: float) -> Hands:
    """For a look at the simulated pit without a cook: a fire at 107 °C, the meat on the grate."""
    return Hands(target_c=107.0)
