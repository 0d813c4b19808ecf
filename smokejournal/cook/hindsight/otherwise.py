"""A log as it would read if another probe had led, a target had been another, or a probe corrected.

Only what the cook said of the schedule is counted again. The pit, the wrap and the lid were what they
were: what is read off such a log holds as far as the recorded readings do, no further.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    Entry,
    LeadSet,
    Payload,
    ScheduleSet,
    StageConfirmed,
)
from smokejournal.cook.log.readings import Channel, Trace
from smokejournal.cook.log.schedule import LEAD, Schedule, Stage, UntilSaid, UntilTemperature
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.progress.standing import StageRun, Standing


@dataclass(frozen=True, slots=True)
class Otherwise:
    """What is supposed. `lead` is a channel's key; `targets_c` are of stages, by key, for the rule that
    follows the lead; `channels` are corrected in another way, by key."""

    lead: str | None = None
    targets_c: Mapping[str, float] = field(default_factory=dict)
    channels: Mapping[str, Channel] = field(default_factory=dict)


def corrected_log(log: CookLog, otherwise: Otherwise) -> CookLog:
    """The log with the channels corrected as supposed, and nothing else changed."""
    entries = tuple(replace(e, what=_recorrected(e.what, otherwise)) for e in log.entries)
    return CookLog(log.cook_id, entries, log.traces)


def run_again(
    log: CookLog, standing: Standing, otherwise: Otherwise, until_s: float
) -> tuple[StageRun, ...]:
    """The runs of the stages up to `until_s` if it had been otherwise; `standing` is how it was.

    A stage that waits for the cook is confirmed as long after it was met as it was then; one that only
    waits for the cook's word lasts as long as it did.
    """
    supposed = [replace(e, what=_supposed(e.what, otherwise)) for e in log.entries]
    confirmed = {
        run.stage.key: run
        for run in standing.runs
        if run.how == "confirmed" and run.ended_at_s is not None
    }
    # Closing the cook ends no stage: whether one was over is what is asked.
    entries = [
        e
        for e in supposed
        if not isinstance(e.what, CookClosed)
        and not (isinstance(e.what, StageConfirmed) and e.what.stage in confirmed)
    ]
    # What comes after is not looked at: it would be another cook.
    cut = {
        key: Trace(trace.at_s[trace.at_s <= until_s], trace.value_c[trace.at_s <= until_s])
        for key, trace in log.traces.items()
    }
    while True:
        runs = fold(CookLog(log.cook_id, tuple(entries), cut), until_s).runs
        # The first that ended by the cook's word then, and runs on here.
        run = next((r for r in runs if r.stage.key in confirmed and r.ended_at_s is None), None)
        if run is None:
            return runs
        at_s = _confirmed_s(run, confirmed.pop(run.stage.key))
        if at_s is None or at_s > until_s:
            return runs
        number = max((e.id for e in entries), default=0) + 1
        word = Entry(number, at_s, at_s, StageConfirmed(run.stage.key))
        entries = sorted([*entries, word], key=lambda e: (e.at_s, e.id))


def _confirmed_s(run: StageRun, then: StageRun) -> float | None:
    """When the cook would have confirmed `run`, who confirmed it so `then`."""
    assert then.ended_at_s is not None
    if all(isinstance(rule, UntilSaid) for rule in run.stage.rules):
        return run.began_at_s + (then.ended_at_s - then.began_at_s)
    if then.met_at_s is None:
        # It was cut short, whatever the probes said.
        return max(run.began_at_s, then.ended_at_s)
    if run.met_at_s is None:
        return None
    return run.met_at_s + (then.ended_at_s - then.met_at_s)


def _recorrected(what: Payload, otherwise: Otherwise) -> Payload:
    if isinstance(what, ChannelSet) and what.channel.key in otherwise.channels:
        like = otherwise.channels[what.channel.key]
        return ChannelSet(
            replace(
                what.channel,
                slope=like.slope,
                offset_c=like.offset_c,
                calibrated_at_s=like.calibrated_at_s,
                uncertainty_c=like.uncertainty_c,
            )
        )
    return what


def _supposed(what: Payload, otherwise: Otherwise) -> Payload:
    if isinstance(what, LeadSet) and otherwise.lead is not None:
        check = what.lead if what.check in (otherwise.lead, None) else what.check
        return LeadSet(otherwise.lead, check if check != otherwise.lead else None)
    if isinstance(what, ScheduleSet) and otherwise.targets_c:
        return ScheduleSet(_retargeted(what.schedule, otherwise.targets_c))
    return _recorrected(what, otherwise)


def _retargeted(schedule: Schedule, targets_c: Mapping[str, float]) -> Schedule:
    def stage(one: Stage) -> Stage:
        target_c = targets_c.get(one.key)
        if target_c is None:
            return one
        rules = tuple(
            replace(rule, target_c=target_c)
            if isinstance(rule, UntilTemperature) and rule.channel == LEAD
            else rule
            for rule in one.rules
        )
        return replace(one, rules=rules)

    return replace(schedule, stages=tuple(stage(one) for one in schedule.stages))
