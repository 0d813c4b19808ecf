"""Where a cook stands, read off its log.

`fold` answers for a whole log; `Progress` does the same piece by piece, for a cook under way. Both
see entries and readings in the order in which they happened, so the answer does not depend on when
it is asked or on how the log is cut. The same log gives the same answer, live or years later.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from smokejournal.cook.log.cook_log import CookLog, holding
from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    Entry,
    LeadSet,
    Lid,
    ProbeMoved,
    ScheduleSet,
    ScheduleStarted,
    StageConfirmed,
    StageExtended,
    StagePutBack,
    StageSkipped,
    Wrap,
)
from smokejournal.cook.log.readings import EMPTY_TRACE, Channel, FloatArray, Reading, Trace
from smokejournal.cook.log.schedule import CHECK, LEAD, PIT, Schedule, Stage
from smokejournal.cook.progress.pair_watch import PairWatch
from smokejournal.cook.progress.pit_watch import PitWatch
from smokejournal.cook.progress.rule_progress import RuleProgress
from smokejournal.cook.progress.stage_progress import StageProgress
from smokejournal.cook.progress.standing import Phase, StageEnd, StageRun, Standing
from smokejournal.cook.progress.trust import ChannelTrust

Key: TypeAlias = tuple[float, int, str, int]
"""What orders a log: the moment, entries before readings, then channel and number."""


#: The entries that tell where a cook stands. Whatever else is written, the stages go on as they did.
TELLING = (
    ChannelSet,
    CookClosed,
    LeadSet,
    Lid,
    ProbeMoved,
    ScheduleSet,
    ScheduleStarted,
    StageConfirmed,
    StageExtended,
    StagePutBack,
    StageSkipped,
    Wrap,
)

STEP = 2048
"""After so many readings at most a walk lets its caller look in."""


def entry_key(entry: Entry) -> Key:
    """Where an entry stands in the order of the log."""
    return (entry.at_s, 0, "", entry.id)


def reading_key(reading: Reading) -> Key:
    """Where a reading stands in the order of the log."""
    return (reading.at_s, 1, reading.channel, 0)


def fold(log: CookLog, now_s: float) -> Standing:
    """Where the cook stands at `now_s`, from what happened up to then."""
    progress = Progress()
    progress.walk(log, until_s=now_s)
    return progress.standing(now_s)


class Progress:
    """The state of a cook after the events so far. Feed it in the order of the log."""

    def __init__(self) -> None:
        self.at_s = float("-inf")
        #: Every event of the log up to this one, and none after it, was fed.
        self.last: Key = (float("-inf"), 0, "", 0)
        self.readings = 0
        self._phase: Phase = "planned"
        self._schedule = Schedule()
        self._started_s: float | None = None
        self._ended_s: float | None = None
        self._over: tuple[StageRun, ...] = ()
        self._run: StageProgress | None = None
        self._skipped: frozenset[str] = frozenset()
        self._trust: dict[str, ChannelTrust] = {}
        self._lead: str | None = None
        self._check: str | None = None
        self._lid_open_s: float | None = None
        self._pit = PitWatch()
        self._pair = PairWatch()
        # Kept only to be fast: found again after every entry and at the start of every stage.
        self._followers: dict[str, list[RuleProgress]] | None = None
        self._watched: set[str | None] = set()
        self._wake_s: float | None = None

    def walk(
        self,
        log: CookLog,
        until_s: float = float("inf"),
        look_in: Callable[[Progress], None] | None = None,
    ) -> None:
        """Feed what a log has after the last event, up to a moment.

        It does what feeding `events_of` does, many times faster. `look_in` is called after `STEP`
        readings or fewer, with this state, which goes on changing.
        """
        names = sorted(log.traces)
        traces = [self._still_to_come(name, log.trace(name), until_s) for name in names]
        at = np.concatenate([EMPTY_TRACE.at_s, *(trace.at_s for trace in traces)])
        value = np.concatenate([EMPTY_TRACE.value_c, *(trace.value_c for trace in traces)])
        which = np.repeat(np.arange(len(names)), [len(trace) for trace in traces])
        order = np.lexsort((which, at))
        at, value, which = at[order], value[order], which[order]

        def feed_readings(begin: int, end: int) -> None:
            for cut in range(begin, end, STEP):
                piece = slice(cut, min(end, cut + STEP))
                self._feed_readings(names, at[piece], which[piece], value[piece])
                if look_in is not None:
                    look_in(self)

        begin = 0
        for entry in holding(log.entries):
            if entry.at_s > until_s:
                break
            if entry_key(entry) <= self.last or not isinstance(entry.what, TELLING):
                continue
            end = int(np.searchsorted(at, entry.at_s, side="left"))
            feed_readings(begin, end)
            begin = end
            self.feed(entry)
        feed_readings(begin, at.size)

    def _still_to_come(self, name: str, trace: Trace, until_s: float) -> Trace:
        """The readings of a trace after the last event, up to a moment."""
        at_s, kind, channel, _ = self.last
        fed = kind == 1 and name <= channel
        begin = np.searchsorted(trace.at_s, at_s, side="right" if fed else "left")
        end = np.searchsorted(trace.at_s, until_s, side="right")
        return Trace(trace.at_s[begin:end], trace.value_c[begin:end])

    def _feed_readings(
        self, names: list[str], at: FloatArray, which: NDArray[np.int64], value: FloatArray
    ) -> None:
        for at_s, number, value_c in zip(at.tolist(), which.tolist(), value.tolist(), strict=True):
            self._advance(at_s)
            self._take_reading(at_s, names[number], value_c)
        self.last = (float(at[-1]), 1, names[int(which[-1])], 0)
        self.readings += at.size

    def copy(self) -> Progress:
        """An independent twin."""
        twin = Progress()
        twin.__dict__.update(self.__dict__)
        twin._followers = twin._wake_s = None
        twin._run = None if self._run is None else self._run.copy()
        twin._pit, twin._pair = self._pit.copy(), self._pair.copy()
        twin._trust = {key: trust.copy() for key, trust in self._trust.items()}
        return twin

    def feed(self, event: Entry | Reading) -> None:
        """Take in the next event. Raises ValueError when it is earlier than the last one."""
        key = entry_key(event) if isinstance(event, Entry) else reading_key(event)
        if key < self.last:
            raise ValueError(f"event at {event.at_s} comes before {self.last[0]}")
        self.last = key
        self._advance(event.at_s)
        if isinstance(event, Reading):
            self.readings += 1
            self._take_reading(event.at_s, event.channel, event.value_c)
        else:
            self._take_entry(event)

    def standing(self, now_s: float) -> Standing:
        """Where the cook stands at `now_s` (not before the last event), if nothing more happens."""
        twin = self.copy()
        twin._advance(now_s)
        return twin._snapshot(now_s)

    # -- time --------------------------------------------------------------------------------

    def _advance(self, to_s: float) -> None:
        """Let time pass: stages whose rules need nothing but time end at their exact moment."""
        while self._phase == "running" and self._run is not None:
            if self._wake_s is None:
                self._wake_s = self._run.wake_s
            if to_s < self._wake_s:
                break
            self._wake_s = None
            end_s = self._run.end_by_time(to_s)
            if end_s is None:
                break
            self._end_run(end_s, "rule")
        if to_s > self.at_s:
            self.at_s = to_s

    # -- readings ----------------------------------------------------------------------------

    def _take_reading(self, at_s: float, channel: str, value_c: float) -> None:
        trust = self._trust.get(channel)
        if trust is None:
            trust = self._trust[channel] = ChannelTrust(Channel(channel, channel, role="other"))
        trust.take(at_s, value_c)
        run = self._run
        if run is None or self._phase != "running":
            return
        if self._followers is None:
            self._followers = self._find_followers(run)
            self._watched = {self._lead, self._check, self._resolve(PIT)}
        if channel in self._watched:
            self._watch(trust, run)
        following = self._followers.get(channel)
        if following is None:
            return
        self._wake_s = None
        for rule in following:
            rule.take(trust)
        if run.over_at(at_s):
            self._end_run(at_s, "rule")

    def _watch(self, trust: ChannelTrust, run: StageProgress) -> None:
        """What only alarms look at: no stage follows it."""
        if not trust.trusted or trust.at_s is None or trust.value_c is None:
            return
        channel = trust.channel
        if channel.role != "pit":
            self._pair.take(trust.at_s, trust.value_c, channel.key, channel.gap_s)
        elif run.stage.pit_target_c is None:
            self._pit.forget()
        else:
            target_c = run.stage.pit_target_c
            self._pit.take(trust.at_s, trust.value_c, target_c, channel.key, channel.gap_s)

    def _find_followers(self, run: StageProgress) -> dict[str, list[RuleProgress]]:
        """The rules of the stage by the channel whose readings they follow now."""
        found: dict[str, list[RuleProgress]] = {}
        for rule in run.rules:
            channel = None if rule.channel is None else self._resolve(rule.channel)
            if channel is not None:
                found.setdefault(channel, []).append(rule)
        return found

    def _resolve(self, channel: str) -> str | None:
        if channel == LEAD:
            return self._lead
        if channel == CHECK:
            return self._check
        if channel == PIT:
            return next((k for k, t in self._trust.items() if t.channel.role == "pit"), None)
        return channel

    # -- entries -----------------------------------------------------------------------------

    def _take_entry(self, entry: Entry) -> None:
        at_s, what = entry.at_s, entry.what
        self._followers = self._wake_s = None
        match what:
            case ScheduleStarted():
                self._start(at_s)
            case ScheduleSet():
                self._set_schedule(what.schedule, at_s)
            case StageConfirmed() if self._is_current(what.stage):
                self._end_run(at_s, "confirmed")
            case StageSkipped() if self._is_current(what.stage):
                self._end_run(at_s, "skipped")
            case StageSkipped():
                self._skipped |= {what.stage}
            case StageExtended() if self._is_current(what.stage):
                assert self._run is not None
                self._run.extend(at_s, what.by_s)
            case StagePutBack():
                self._put_back(what.stage, at_s)
            case ChannelSet():
                self._set_channel(what.channel)
            case LeadSet():
                self._set_lead(what)
            case ProbeMoved() if what.channel in self._trust:
                self._trust[what.channel].believe()
                self._pair.moved(what.channel)
            case Lid():
                self._pit.lid(at_s, is_open=what.open)
                if not what.open:
                    self._lid_open_s = None
                elif self._lid_open_s is None:
                    self._lid_open_s = at_s
            case CookClosed():
                self._close(at_s)

    def _start(self, at_s: float) -> None:
        if self._phase != "planned":
            return
        self._phase = "running"
        self._started_s = at_s
        self._begin_next(None, at_s)

    def _set_schedule(self, schedule: Schedule, at_s: float) -> None:
        before = self._schedule
        self._schedule = schedule
        if self._run is None:
            last = self._last_key(before)
            if self._phase in ("running", "done") and self._next_stage(last) is not None:
                # Stages were added after the last one: the cook goes on with them.
                self._phase, self._ended_s = "running", None
                self._begin_next(last, at_s)
        else:
            stage = schedule.stage(self._run.stage.key)
            if stage is not None:
                self._run.change(stage, at_s)
            else:
                self._end_run(at_s, "skipped")

    def _set_channel(self, channel: Channel) -> None:
        trust = self._trust.get(channel.key)
        if trust is None:
            self._trust[channel.key] = ChannelTrust(channel)
        else:
            trust.describe(channel)
            self._pair.moved(channel.key)

    def _set_lead(self, what: LeadSet) -> None:
        changed = {
            role for role, old, new in (
                (LEAD, self._lead, what.lead),
                (CHECK, self._check, what.check),
            ) if old != new
        }  # fmt: skip
        self._lead, self._check = what.lead, what.check
        if changed:
            self._pair.restart(what.lead, what.check)
        if self._run is not None:
            for rule in self._run.rules:
                if rule.channel in changed:
                    rule.interrupt()

    def _put_back(self, key: str, at_s: float) -> None:
        stage = self._schedule.stage(key)
        if stage is None or self._phase not in ("running", "done"):
            return
        if self._run is not None:
            self._over += (self._run.finished(at_s, "put_back"),)
        self._phase, self._ended_s = "running", None
        index = self._schedule.index(key) or 0
        later = {s.key for s in self._schedule.stages[index:]}
        self._skipped -= later
        self._run = StageProgress(stage, at_s, wants_word=True)

    def _close(self, at_s: float) -> None:
        if self._run is not None:
            self._over += (self._run.finished(at_s, "closed"),)
            self._run = None
        self._phase = "closed"
        # A cook may be closed on the next morning: it was over when its last stage was.
        if self._ended_s is None or not self._over:
            self._ended_s = at_s

    # -- stages ------------------------------------------------------------------------------

    def _is_current(self, key: str) -> bool:
        return self._run is not None and self._run.stage.key == key

    def _last_key(self, schedule: Schedule) -> str | None:
        known = {stage.key for stage in schedule.stages}
        return next((r.stage.key for r in reversed(self._over) if r.stage.key in known), None)

    def _end_run(self, at_s: float, how: StageEnd) -> None:
        assert self._run is not None
        key = self._run.stage.key
        self._over += (self._run.finished(at_s, how),)
        self._run = None
        self._followers = self._wake_s = None
        self._begin_next(key, at_s)

    def _begin_next(self, after: str | None, at_s: float) -> None:
        stage = self._next_stage(after)
        if stage is not None:
            self._run = StageProgress(stage, at_s)
        elif self._schedule.stages:
            self._phase, self._ended_s = "done", at_s
        # Without any stages a cook runs until it is closed: a log needs no schedule.

    def _next_stage(self, after: str | None) -> Stage | None:
        following = self._following(after)
        return following[0] if following else None

    def _following(self, after: str | None) -> tuple[Stage, ...]:
        """The stages still to come after the one with this key."""
        stages = self._schedule.stages
        index = None if after is None else self._schedule.index(after)
        if after is None:
            rest = stages
        elif index is not None:
            rest = stages[index + 1 :]
        else:
            # The stage was taken out of the schedule: go on with what has not been yet.
            been = {run.stage.key for run in self._over}
            rest = tuple(stage for stage in stages if stage.key not in been)
        return tuple(stage for stage in rest if stage.key not in self._skipped)

    def _snapshot(self, now_s: float) -> Standing:
        runs = self._over
        upcoming: tuple[Stage, ...] = ()
        if self._run is not None:
            runs += (self._run.state(now_s),)
            upcoming = self._following(self._run.stage.key)
        elif self._phase == "planned":
            upcoming = self._following(None)
        return Standing(
            at_s=now_s,
            phase=self._phase,
            schedule=self._schedule,
            started_at_s=self._started_s,
            ended_at_s=self._ended_s,
            runs=runs,
            upcoming=upcoming,
            channels={key: trust.state(now_s) for key, trust in self._trust.items()},
            lead=self._lead,
            check=self._check,
            lid_open_since_s=self._lid_open_s,
            pit=self._pit.seen(),
            pair=self._pair.seen(),
        )
