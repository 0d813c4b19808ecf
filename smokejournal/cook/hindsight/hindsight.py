"""What would have been otherwise: when the food would have come off, and what it would have had by then.

Temperatures °C, times s, UTC seconds. Compared are the cook as it was and as it would have run; the pit,
the wrap and the lid are taken as they were.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from smokejournal.cook.hindsight.otherwise import Otherwise, corrected_log, run_again
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import ChannelSet, FoodClass
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import LEAD, ForTime, UntilTemperature
from smokejournal.cook.log.stage_meaning import is_rest
from smokejournal.cook.progress.believed import BelievedTrace, believed
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.progress.standing import StageRun, Standing, off_s
from smokejournal.cook.safety.assessment import assess

#: The paces from which it is judged how much longer it would have taken [s].
PACES_S = (900.0, 1800.0, 3600.0)
#: A pace below this says nothing [°C/s]: half a degree an hour.
LEAST_PACE = 0.5 / 3600.0


@dataclass(frozen=True, slots=True)
class ProbeThen:
    """What a probe in the food said when it came off, `was_c`, and would have, `would_c`.

    None where it said nothing that can be believed around then.
    """

    channel: str
    name: str
    was_c: float | None
    would_c: float | None


@dataclass(frozen=True, slots=True)
class StageThen:
    """A stage as it ran and as it would have; ends None where it would not have ended by then."""

    key: str
    name: str
    was_s: float | None
    would_s: float | None


@dataclass(frozen=True, slots=True)
class KillThen:
    """Log10 reductions by the table that was chosen for a food, in its coldest part; None: unknown."""

    food: FoodClass
    was_log: float | None
    would_log: float | None
    target_log: float | None


@dataclass(frozen=True, slots=True)
class Hindsight:
    """`was_s` is when the food came off, `would_s` when it would have; None: not by then.

    Then `short_c` is what the leading probe lacked when it did come off, and `more_s` from how much to
    how much longer, by its pace over the last quarter of an hour, half hour and hour (None: too slow to
    say); `left_s` is what a stage that counts time still had to count. `over_c_min` are the degree-minutes that this probe was over its last target when the food
    came off (None: no such target, or not reached).
    """

    lead: str
    was_s: float
    would_s: float | None
    target_c: float | None = None
    short_c: float | None = None
    more_s: tuple[float, float] | None = None
    left_s: float | None = None
    over_c_min: float | None = None
    stages: tuple[StageThen, ...] = ()
    probes: tuple[ProbeThen, ...] = ()
    kills: tuple[KillThen, ...] = ()

    @property
    def later_s(self) -> float | None:
        """How much later it would have come off; negative: sooner. None where that isn't known."""
        return None if self.would_s is None else self.would_s - self.was_s


def hindsight(log: CookLog, otherwise: Otherwise) -> Hindsight | None:
    """What would have been; None where the food never came off, or no probe leads."""
    last_s = max((float(t.at_s[-1]) for t in log.traces.values() if len(t)), default=-math.inf)
    standing = fold(log, max([last_s, *(e.at_s for e in log.entries)], default=last_s))
    was_s = off_s(standing.runs)
    lead = otherwise.lead or standing.lead
    if was_s is None or lead is None:
        return None
    runs = run_again(log, standing, otherwise, was_s)
    wanted = {run.stage.key for run in standing.runs if not is_rest(run.stage)}
    would_s = off_s(runs) if wanted <= {r.stage.key for r in runs if r.ended_at_s} else None
    supposed = corrected_log(log, otherwise)
    sounds = _believed(supposed, was_s)
    last = last_target(standing)
    target_c = None if last is None else otherwise.targets_c.get(*last)
    leading = sounds.get(lead)
    short_c, more_s, over = None, None, None
    left_s = None if would_s is not None else _left_s(runs)
    if leading is not None and target_c is not None:
        over = _over_c_min(leading, target_c, was_s)
        if would_s is None and left_s is None:
            now_c = _value_at(leading, was_s)
            if now_c is not None and now_c < target_c:
                short_c, more_s = target_c - now_c, _more_s(leading, target_c - now_c, was_s)
    at_s = was_s if would_s is None else would_s
    return Hindsight(
        lead,
        was_s,
        would_s,
        target_c,
        short_c,
        more_s,
        left_s,
        over,
        _stages(standing.runs, runs),
        tuple(
            ProbeThen(
                key,
                probe.channel.name or key,
                _value_at(probe, was_s),
                None if would_s is None else _value_at(probe, at_s),
            )
            for key, probe in sounds.items()
        ),
        _kills(supposed, was_s, would_s),
    )


def _believed(log: CookLog, until_s: float) -> dict[str, BelievedTrace]:
    """The probes in the food."""
    entries = log.holding()
    channels: dict[str, Channel] = {
        e.what.channel.key: e.what.channel for e in entries if isinstance(e.what, ChannelSet)
    }
    return {
        key: believed(log, channel, entries, until_s)
        for key, channel in channels.items()
        if channel.role == "meat"
    }


def last_target(standing: Standing) -> tuple[str, float] | None:
    """The last stage in which the lead was to rise to a temperature, and to which [°C]."""
    for run in reversed(standing.runs):
        if is_rest(run.stage):
            continue
        for rule in run.stage.rules:
            if (
                isinstance(rule, UntilTemperature)
                and rule.channel == LEAD
                and rule.direction == "rising"
            ):
                return run.stage.key, rule.target_c
    return None


def _left_s(runs: Sequence[StageRun]) -> float | None:
    """What the stage that was under way still had to count; None where it counts no time."""
    if not runs or runs[-1].ended_at_s is not None:
        return None
    left = [
        rule.needed_s - rule.counted_s
        for rule in runs[-1].rules
        if isinstance(rule.rule, ForTime) and rule.met_at_s is None and rule.needed_s is not None
    ]
    return max(left) if left else None


def _value_at(probe: BelievedTrace, at_s: float) -> float | None:
    """The last believed reading at `at_s`, where it isn't older than the channel's gap."""
    index = int(np.searchsorted(probe.at_s, at_s, side="right")) - 1
    if index < 0 or at_s - probe.at_s[index] > probe.channel.gap_s:
        return None
    return float(probe.value_c[index])


def _more_s(probe: BelievedTrace, short_c: float, at_s: float) -> tuple[float, float] | None:
    """From how much to how much longer, by straight lines through its last readings."""
    found = []
    for pace_s in PACES_S:
        part = probe.within(at_s - pace_s, at_s)
        if len(part) < 3 or part.at_s[-1] - part.at_s[0] < 0.5 * pace_s:
            continue
        slope = float(np.polyfit(part.at_s - at_s, part.value_c, 1)[0])
        if slope < LEAST_PACE:
            return None
        found.append(short_c / slope)
    return (min(found), max(found)) if found else None


def _over_c_min(probe: BelievedTrace, target_c: float, until_s: float) -> float | None:
    """Degree-minutes over the target up to `until_s` [°C min]; nothing is credited across a gap."""
    part = probe.within(-math.inf, until_s)
    over = np.maximum(part.value_c - target_c, 0.0)
    if not over.any():
        return None
    step_min = np.diff(part.at_s) / 60.0
    return float(np.sum(np.where(part.unbroken[1:], (over[1:] + over[:-1]) / 2 * step_min, 0.0)))


def _stages(was: Sequence[StageRun], would: Sequence[StageRun]) -> tuple[StageThen, ...]:
    ends: Mapping[str, float | None] = {run.stage.key: run.ended_at_s for run in would}
    return tuple(
        StageThen(run.stage.key, run.stage.name, run.ended_at_s, ends.get(run.stage.key))
        for run in was
        if not is_rest(run.stage)
    )


def _kills(log: CookLog, was_s: float, would_s: float | None) -> tuple[KillThen, ...]:
    was = assess(log, was_s).foods
    would = {} if would_s is None else {food.food: food for food in assess(log, would_s).foods}
    return tuple(
        KillThen(
            food.food,
            food.lethality.log,
            would[food.food].lethality.log if food.food in would else None,
            food.lethality.target_log,
        )
        for food in was
    )
