"""Where a cook stands: the answer that `progress` reads off a log. Values only.

Every temperature here is corrected (raw plus the channel's offset) and in °C; every time is UTC
seconds; every duration seconds.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import CHECK, LEAD, PIT, Rule, Schedule, Stage
from smokejournal.cook.log.stage_meaning import is_rest
from smokejournal.cook.progress.pair_watch import PairSeen
from smokejournal.cook.progress.pit_watch import PitSeen

Phase = Literal["planned", "running", "done", "closed"]
StageEnd = Literal["rule", "confirmed", "skipped", "put_back", "closed"]
ChannelStatus = Literal["none", "good", "silent", "absurd", "jumped", "held"]


@dataclass(frozen=True, slots=True)
class RuleState:
    """How far one finish rule is.

    `since_s`: since when it has been proving (until a temperature) or counting without a break (for
    a time); None while it is not. `counted_s`: what has been counted toward a time so far.
    `needed_s`: the time to count, extensions included. `met_at_s`: when it was fulfilled, for good.
    `first_at_s`: the first reading at or past the threshold in this run of the stage, proven or not.
    `restarts`: how often a dip set the count back to nothing.
    """

    rule: Rule
    met_at_s: float | None = None
    since_s: float | None = None
    counted_s: float = 0.0
    needed_s: float | None = None
    first_at_s: float | None = None
    restarts: int = 0


@dataclass(frozen=True, slots=True)
class StageRun:
    """One run of a stage. `ended_at_s` and `how` are None while it runs.

    `met_at_s`: when its finish rules were fulfilled together; a stage that waits for the cook runs
    on after that. `wants_word`: it ends only when the cook says so (its own wish, or put back).
    """

    stage: Stage
    began_at_s: float
    rules: tuple[RuleState, ...] = ()
    met_at_s: float | None = None
    ended_at_s: float | None = None
    how: StageEnd | None = None
    extended_s: float = 0.0
    wants_word: bool = False
    guard_at_s: float | None = None


@dataclass(frozen=True, slots=True)
class ChannelState:
    """A channel as last heard.

    `value_c` corrected, `raw_c` as it came, both of the last reading that came, trusted or not;
    `trend_c_per_h` over the last minutes of trusted readings, None where there are too few. `status`
    is "silent" when the last reading is older than the channel's gap, "held" when that is so only
    because readings come and can't be written, "absurd" when it can be no
    temperature of this kind, "jumped" when it leapt as a probe does that was pulled out; `since_s`
    is when that began.
    """

    channel: Channel
    status: ChannelStatus = "none"
    at_s: float | None = None
    value_c: float | None = None
    raw_c: float | None = None
    trend_c_per_h: float | None = None
    since_s: float | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the cook stands at `at_s`.

    `runs` in order of time; the last one is under way while its `ended_at_s` is None. `upcoming` are
    the stages still to come. `lead` and `check` are channel keys. `ended_at_s` is when the last stage
    was over, or without stages when the cook was closed; None before. `pit` is what the pit does against
    the set point, `pair` what the lead and the check probe do to each other; None where neither is known.
    """

    at_s: float
    phase: Phase = "planned"
    schedule: Schedule = field(default_factory=Schedule)
    started_at_s: float | None = None
    ended_at_s: float | None = None
    runs: tuple[StageRun, ...] = ()
    upcoming: tuple[Stage, ...] = ()
    channels: Mapping[str, ChannelState] = field(default_factory=dict)
    lead: str | None = None
    check: str | None = None
    lid_open_since_s: float | None = None
    pit: PitSeen | None = None
    pair: PairSeen | None = None

    @property
    def current(self) -> StageRun | None:
        """The stage under way, or None."""
        if self.runs and self.runs[-1].ended_at_s is None:
            return self.runs[-1]
        return None

    @property
    def waiting(self) -> bool:
        """True while the stage's rules are fulfilled and it waits for the cook's word."""
        run = self.current
        return run is not None and run.met_at_s is not None


def channel_for(standing: Standing, role: str) -> ChannelState | None:
    """The channel that a rule means by "lead", "check", "pit" or a channel's key; None without one."""
    if role == LEAD:
        return standing.channels.get(standing.lead) if standing.lead else None
    if role == CHECK:
        return standing.channels.get(standing.check) if standing.check else None
    if role == PIT and PIT not in standing.channels:
        return next((s for s in standing.channels.values() if s.channel.role == "pit"), None)
    return standing.channels.get(role)


def off_s(runs: Sequence[StageRun]) -> float | None:
    """When the food came off the pit: the end of the last stage that isn't a rest."""
    cooked = [run for run in runs if not is_rest(run.stage)]
    return cooked[-1].ended_at_s if cooked else None


def over_and_running(standing: Standing) -> tuple[frozenset[str], str]:
    """Keys of the stages that are over for good, and the key of the one under way (or "")."""
    running = standing.current.stage.key if standing.current is not None else ""
    to_come = {stage.key for stage in standing.upcoming} | {running}
    ran = {run.stage.key for run in standing.runs}
    return frozenset(ran - to_come), running


def with_held(standing: Standing, held: Mapping[str, float]) -> Standing:
    """The standing where readings that came lately wait to be written: those probes are not silent.

    `held` is the moment of the newest such reading by channel key (UTC seconds). Nothing that isn't in
    the log ends a stage.
    """
    channels = {
        key: replace(state, status="held")
        if state.status in ("silent", "none")
        and abs(standing.at_s - held.get(key, -math.inf)) <= state.channel.gap_s
        else state
        for key, state in standing.channels.items()
    }
    return replace(standing, channels=channels)
