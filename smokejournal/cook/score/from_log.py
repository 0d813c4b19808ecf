"""Reading the score off a log."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.correction import corrected, sane
from smokejournal.cook.log.entries import (
    ChannelSet,
    Computed,
    CookOpened,
    Entry,
    FuelAdded,
    FuelLevel,
    Lid,
    ProbeMoved,
    ReadingsStruck,
    Spritz,
    Wrap,
)
from smokejournal.cook.log.readings import Channel, Trace
from smokejournal.cook.log.schedule import (
    CHECK,
    LEAD,
    PIT,
    ForTime,
    Schedule,
    UntilClock,
    UntilTemperature,
)
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.plan.schedule_sketch import planned_end_s
from smokejournal.cook.progress.standing import StageRun, Standing
from smokejournal.cook.score.lanes import fuel_of, marks_of, weather_of
from smokejournal.cook.score.score import (
    Score,
    ScoreBar,
    ScoreMark,
    ScoreTarget,
    ScoreTrace,
    TargetRule,
)

#: A cook of which nothing was heard for so long is drawn as one that is over.
STALE_S = 24 * 3600.0
#: What was done at the pit up to so long before the start belongs to the picture.
LEAD_IN_S = 6 * 3600.0


def score_of(log: CookLog, standing: Standing, now_s: float) -> Score:
    """The score of a cook as it stands at `now_s` (UTC seconds).

    Readings are corrected by the offset that was in force when they were taken and split wherever
    two are further apart than the channel's gap. A planned bar is as long as the stage's own rules
    say and open where they do not; the plan starts afresh from the true beginning of the stage
    after an open one.
    """
    entries = log.holding()
    opened = next((e for e in entries if isinstance(e.what, CookOpened)), None)
    zone = opened.what.zone if opened is not None and isinstance(opened.what, CookOpened) else "UTC"
    channels = _channels(entries, log.traces, standing)
    traces = _traces(log, entries, channels, standing)
    first_s, last_s = _reach(traces)
    # What the program foresaw by itself is no sign of anybody tending the fire.
    heard_s = [e.at_s for e in entries if e.at_s <= now_s and not isinstance(e.what, Computed)]
    if last_s is not None:
        heard_s.append(last_s)
    over = standing.phase == "closed" or (
        standing.started_at_s is not None and now_s - max(heard_s, default=now_s) > STALE_S
    )
    present_s = None if over else now_s
    marks = marks_of(entries, standing.schedule, channels, standing.started_at_s, present_s)
    bars = _bars(standing, plan_of(log).ready_at_s)
    starts = [s for s in (standing.started_at_s, first_s) if s is not None]
    from_s = min(starts, default=None)
    if from_s is None:
        from_s = min((bar.from_s for bar in bars), default=now_s)
    else:
        near = [e.at_s for e in entries if isinstance(e.what, _AT_THE_PIT)]
        from_s = min([from_s, *(s for s in near if from_s - LEAD_IN_S <= s)])
    ends = [from_s + 60.0, *(bar.from_s for bar in bars)]
    ends += [bar.to_s for bar in bars if bar.to_s is not None]
    ends += [s for s in (last_s, standing.ended_at_s, present_s) if s is not None]
    pit_s = [t.pieces[0].at_s[0] for t in traces if t.role == "pit" and t.pieces]
    burning = [float(s) for s in pit_s] + [s for s in (standing.started_at_s,) if s is not None]
    return Score(
        zone=zone,
        from_s=from_s,
        to_s=max(ends),
        now_s=present_s,
        started_at_s=standing.started_at_s,
        traces=traces,
        targets=_targets(standing, channels),
        bars=bars,
        marks=marks,
        fuel=fuel_of(entries, min(burning, default=None)),
        weather=weather_of(entries),
        cook_id=log.cook_id,
    )


_AT_THE_PIT = (FuelAdded, FuelLevel, Lid, Wrap, Spritz, ProbeMoved)


def _channels(
    entries: Sequence[Entry], traces: Mapping[str, Trace], standing: Standing
) -> dict[str, Channel]:
    """Every channel as it was described last, the described ones first."""
    found = {e.what.channel.key: e.what.channel for e in entries if isinstance(e.what, ChannelSet)}
    for key, state in standing.channels.items():
        found.setdefault(key, state.channel)
    for key in traces:
        found.setdefault(key, Channel(key, key, "other"))
    return found


def _reach(traces: Sequence[ScoreTrace]) -> tuple[float | None, float | None]:
    pieces = [piece for trace in traces for piece in trace.pieces]
    if not pieces:
        return None, None
    return (
        min(float(piece.at_s[0]) for piece in pieces),
        max(float(piece.at_s[-1]) for piece in pieces),
    )


def _traces(
    log: CookLog, entries: Sequence[Entry], channels: Mapping[str, Channel], standing: Standing
) -> tuple[ScoreTrace, ...]:
    """The pit first, then lead, check and the others. Each keeps the ink of its first description."""
    order = {"pit": 0, "meat": 3, "other": 4, "air": 5}
    any_struck = any(isinstance(e.what, ReadingsStruck) for e in entries)
    inks = _inks(log)
    found = []
    for place, (key, channel) in enumerate(channels.items()):
        raw = log.trace(key) if any_struck else log.traces.get(key)
        if raw is None or not len(raw):
            continue
        pieces, left_out = _pieces(raw, channel, entries)
        rank = order[channel.role]
        trace = ScoreTrace(
            key,
            channel.name or key,
            channel.role,
            pieces,
            channel.simulated,
            by_hand=channel.by_hand,
            left_out=left_out,
            ink=inks.get(key),
        )
        if key == standing.lead:
            trace, rank = replace(trace, part="lead"), 1
        elif key == standing.check:
            trace, rank = replace(trace, part="check"), 2
        found.append((rank, place, trace))
    return tuple(trace for _, _, trace in sorted(found, key=lambda item: item[:2]))


def _inks(log: CookLog) -> dict[str, int]:
    """The order in which channels were first spoken of, struck entries included: it never changes."""
    described = [e.what.channel.key for e in log.entries if isinstance(e.what, ChannelSet)]
    return {key: n for n, key in enumerate(dict.fromkeys([*described, *log.traces]))}


def _pieces(
    raw: Trace, channel: Channel, entries: Sequence[Entry]
) -> tuple[tuple[Trace, ...], int]:
    """Corrected readings without a gap in each piece, and how many could be no temperature."""
    at_s, value_c = raw.at_s, corrected(raw.at_s, raw.value_c, channel, entries)
    can_be = sane(raw.value_c, value_c, channel)
    left_out = int(can_be.size - np.count_nonzero(can_be))
    breaks = np.diff(at_s) > channel.gap_s
    if left_out:
        kept = np.flatnonzero(can_be)
        if not kept.size:
            return (), left_out
        # An absurd reading breaks the trace even when good ones stand close on both sides.
        breaks = (np.diff(at_s[kept]) > channel.gap_s) | (np.diff(kept) > 1)
        at_s, value_c = at_s[kept], value_c[kept]
    edges = [0, *(np.flatnonzero(breaks) + 1).tolist(), at_s.size]
    pieces = tuple(Trace(at_s[a:b], value_c[a:b]) for a, b in pairwise(edges))
    return pieces, left_out


def _targets(standing: Standing, channels: Mapping[str, Channel]) -> tuple[ScoreTarget, ...]:
    targets = []
    for run in standing.runs:
        stage = run.stage
        if stage.pit_target_c is not None:
            targets.append(ScoreTarget(run.began_at_s, run.ended_at_s, stage.pit_target_c, "pit"))
        for rule in stage.rules:
            value_c: float | None = None
            kind: TargetRule = "at_least"
            if isinstance(rule, UntilTemperature):
                value_c, kind = rule.target_c, rule.direction
            elif isinstance(rule, ForTime):
                value_c = rule.at_least_c
            if value_c is None:
                continue
            assert isinstance(rule, UntilTemperature | ForTime)
            pit = rule.channel == PIT or (
                rule.channel not in (LEAD, CHECK)
                and rule.channel in channels
                and channels[rule.channel].role == "pit"
            )
            targets.append(
                ScoreTarget(run.began_at_s, run.ended_at_s, value_c, "pit" if pit else "meat", kind)
            )
    return tuple(targets)


def _bars(standing: Standing, ready_at_s: float | None) -> tuple[ScoreBar, ...]:
    planned = _planned(standing, ready_at_s)
    actual = [
        ScoreBar(
            run.began_at_s,
            run.ended_at_s,
            run.stage.name,
            "running" if run.ended_at_s is None else "actual",
            run.stage.key,
            skipped=run.how == "skipped",
        )
        for run in standing.runs
    ]
    return (*planned, *actual)


def _planned(standing: Standing, ready_at_s: float | None) -> list[ScoreBar]:
    first_runs: dict[str, StageRun] = {}
    for run in standing.runs:
        first_runs.setdefault(run.stage.key, run)
    cursor = standing.started_at_s
    if cursor is None and not standing.runs:
        cursor = _begin_for(standing.schedule, ready_at_s)
    bars = []
    for stage in standing.schedule.stages:
        begun = first_runs.get(stage.key)
        begin_s = cursor if cursor is not None else begun.began_at_s if begun is not None else None
        if begin_s is None:
            continue
        cursor = planned_end_s(stage, begin_s)
        bars.append(ScoreBar(begin_s, cursor, stage.name, "planned", stage.key))
    return bars


def _begin_for(schedule: Schedule, ready_at_s: float | None) -> float | None:
    """When to begin so as to be ready in time; None where the plan's length is not known."""
    if ready_at_s is None or not schedule.stages:
        return None
    total_s = 0.0
    for stage in schedule.stages:
        if any(isinstance(rule, UntilClock) for rule in stage.rules):
            return None
        end_s = planned_end_s(stage, 0.0)
        if end_s is None:
            return None
        total_s += end_s
    return ready_at_s - total_s


def nearest_mark(score: Score, at_s: float, within_s: float) -> ScoreMark | None:
    """The mark nearest a moment, or under way at it, no further off than `within_s`.

    Of several the one that began nearest the moment.
    """
    near: list[tuple[float, float, ScoreMark]] = []
    for mark in score.marks:
        end_s = mark.at_s if mark.to_s is None else max(mark.to_s, mark.at_s)
        off_s = max(0.0, mark.at_s - at_s, at_s - end_s)
        if off_s <= within_s:
            near.append((off_s, abs(mark.at_s - at_s), mark))
    return min(near, key=lambda item: item[:2])[2] if near else None
