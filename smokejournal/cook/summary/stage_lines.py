"""The schedule as it was lived, line by line beside what was planned."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from smokejournal.cook.log.entries import Entry, StagePutBack, StageSkipped
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage
from smokejournal.cook.plan.schedule_sketch import planned_end_s
from smokejournal.cook.probes.facts import PitFact, pit_fact
from smokejournal.cook.progress.believed import BelievedTrace
from smokejournal.cook.progress.standing import StageEnd, StageRun, Standing

LineState = Literal["over", "under_way", "to_come", "skipped", "not_reached"]


@dataclass(frozen=True, slots=True)
class StageLine:
    """One run of a stage, planned and lived; or a stage that never ran.

    `planned_begin_s` and `planned_s` (its length) are None where the plan leaves them open.
    `credited_s` of `needed_s`: what was counted toward a time at or above a temperature.
    """

    stage: Stage
    state: LineState
    planned_begin_s: float | None = None
    planned_s: float | None = None
    began_s: float | None = None
    ended_s: float | None = None
    length_s: float | None = None
    how: StageEnd | None = None
    extended_s: float = 0.0
    credited_s: float | None = None
    needed_s: float | None = None
    restarts: int = 0
    pit: PitFact | None = None


def stage_lines(
    standing: Standing, entries: Sequence[Entry], pit: BelievedTrace | None, now_s: float
) -> tuple[StageLine, ...]:
    """Every run of a stage in order of time, and the stages that never ran in their places."""
    back_s = max((e.at_s for e in entries if isinstance(e.what, StagePutBack)), default=-math.inf)
    # Going back takes back what was passed over before.
    skipped = {
        e.what.stage for e in entries if isinstance(e.what, StageSkipped) and e.at_s > back_s
    }
    upcoming = {stage.key for stage in standing.upcoming}
    runs: dict[str, list[StageRun]] = {}
    for run in standing.runs:
        runs.setdefault(run.stage.key, []).append(run)
    planned = _planned(standing.schedule, runs, standing.started_at_s)
    lines = [
        _stage_line(run, *planned.get(run.stage.key, (None, None)), pit, now_s)
        for run in standing.runs
    ]
    for place, stage in enumerate(standing.schedule.stages):
        if stage.key in runs:
            continue
        state: LineState = "not_reached"
        if stage.key in upcoming:
            state = "to_come"
        elif stage.key in skipped:
            state = "skipped"
        before = {earlier.key for earlier in standing.schedule.stages[:place]}
        after = max((n for n, line in enumerate(lines) if line.stage.key in before), default=-1)
        lines.insert(after + 1, StageLine(stage, state, *planned[stage.key]))
    return tuple(lines)


def _planned(
    schedule: Schedule, runs: Mapping[str, Sequence[StageRun]], start_s: float | None
) -> dict[str, tuple[float | None, float | None]]:
    """When each stage was to begin and how long it was to take, as far as the plan says.

    After a stage of open length the plan goes on from when the next one truly began.
    """
    found: dict[str, tuple[float | None, float | None]] = {}
    cursor = start_s
    for stage in schedule.stages:
        begun = runs.get(stage.key)
        begin_s = cursor if cursor is not None else begun[0].began_at_s if begun else None
        end_s = planned_end_s(stage, begin_s if begin_s is not None else 0.0)
        if begin_s is None and any(not isinstance(rule, ForTime) for rule in stage.rules):
            end_s = None
        length_s = None if end_s is None else end_s - (begin_s or 0.0)
        found[stage.key] = (cursor, length_s)
        cursor = end_s if begin_s is not None else None
    return found


def _stage_line(
    run: StageRun,
    planned_begin_s: float | None,
    planned_s: float | None,
    pit: BelievedTrace | None,
    now_s: float,
) -> StageLine:
    held = [
        state
        for state in run.rules
        if isinstance(state.rule, ForTime) and state.rule.at_least_c is not None
    ]
    end_s = run.ended_at_s if run.ended_at_s is not None else now_s
    return StageLine(
        stage=run.stage,
        state="over" if run.ended_at_s is not None else "under_way",
        planned_begin_s=planned_begin_s,
        planned_s=planned_s,
        began_s=run.began_at_s,
        ended_s=run.ended_at_s,
        length_s=end_s - run.began_at_s,
        how=run.how,
        extended_s=run.extended_s,
        credited_s=max((s.counted_s for s in held), default=None),
        needed_s=max((s.needed_s or 0.0 for s in held), default=None),
        restarts=sum(s.restarts for s in held),
        pit=pit_fact(pit, run.began_at_s, end_s, run.stage.pit_target_c),
    )
