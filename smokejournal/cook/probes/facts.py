"""What can be told of probes after the fact: when each got where, how far apart two of them were,

how steady the pit was, where nothing was heard.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from smokejournal.cook.log.schedule import Direction, ForTime, Stage, UntilTemperature
from smokejournal.cook.probes.pairs import pairs_of
from smokejournal.cook.progress.believed import BelievedTrace
from smokejournal.cook.progress.standing import Standing


@dataclass(frozen=True, slots=True)
class Target:
    """A temperature [°C] that a stage waits for, looked for from `from_s` on, and whom it is about.

    `channel` is a role or a key, as in the rule. `prove_s` is how long a reading had to stay.
    """

    target_c: float
    direction: Direction
    channel: str
    from_s: float
    prove_s: float


@dataclass(frozen=True, slots=True)
class TargetReached:
    """When one probe got to one target: its first reading there, and when it had proved it."""

    channel: str
    target_c: float
    direction: Direction
    first_at_s: float | None
    proven_at_s: float | None
    minute: float | None


@dataclass(frozen=True, slots=True)
class Apart:
    """How much later probe `second` got to a target than probe `first` did [s]; negative: sooner."""

    first: str
    second: str
    target_c: float
    direction: Direction
    later_s: float


@dataclass(frozen=True, slots=True)
class Difference:
    """Probe `second` minus probe `first` while both were heard: mean, standard deviation [K], n."""

    first: str
    second: str
    mean_k: float
    sd_k: float | None
    n: int


@dataclass(frozen=True, slots=True)
class Extremes:
    """Highest and lowest believed reading of a channel [°C], and how many there were."""

    channel: str
    highest_c: float | None
    highest_at_s: float | None
    lowest_c: float | None
    lowest_at_s: float | None
    readings: int
    absurd: int
    jumped: int


@dataclass(frozen=True, slots=True)
class PitFact:
    """How the pit's readings lay during a stage [°C]: mean and standard deviation of n readings."""

    mean_c: float
    sd_c: float | None
    n: int
    target_c: float | None


@dataclass(frozen=True, slots=True)
class Gaps:
    """Where nothing was heard of a channel for longer than its gap."""

    channel: str
    count: int
    longest_s: float
    total_s: float


def targets_of(standing: Standing) -> tuple[Target, ...]:
    """Every temperature that the stages wait for, each once, in the order of the schedule.

    A rising one is looked for from the start of the cook, so that probes can be compared which got
    there before the stage that asks for it began; a falling one from the beginning of its stage.
    """
    begun: dict[str, float] = {}
    stages: dict[str, Stage] = {stage.key: stage for stage in standing.schedule.stages}
    for run in standing.runs:
        begun.setdefault(run.stage.key, run.began_at_s)
        stages.setdefault(run.stage.key, run.stage)
    start_s = standing.started_at_s if standing.started_at_s is not None else -math.inf
    found: dict[tuple[float, Direction, str], Target] = {}
    for key, stage in stages.items():
        for rule in stage.rules:
            if isinstance(rule, UntilTemperature):
                where: tuple[float, Direction, str] = (rule.target_c, rule.direction, rule.channel)
                from_s = start_s if rule.direction == "rising" else begun.get(key, math.inf)
                prove_s = rule.prove_s
            elif isinstance(rule, ForTime) and rule.at_least_c is not None:
                where, from_s, prove_s = (rule.at_least_c, "rising", rule.channel), start_s, 0.0
            else:
                continue
            before = found.get(where)
            if before is not None:
                from_s, prove_s = min(from_s, before.from_s), max(prove_s, before.prove_s)
            found[where] = Target(where[0], where[1], where[2], from_s, prove_s)
    return tuple(found.values())


def reach(probe: BelievedTrace, target: Target, start_s: float | None) -> TargetReached:
    """When a probe got to a target."""
    there = probe.value_c >= target.target_c
    if target.direction == "falling":
        there = probe.value_c <= target.target_c
    there &= probe.at_s >= target.from_s
    at = np.flatnonzero(there)
    key = probe.channel.key
    if not at.size:
        return TargetReached(key, target.target_c, target.direction, None, None, None)
    first_s = float(probe.at_s[at[0]])
    minute = None if start_s is None else (first_s - start_s) / 60.0
    proven_s = _proven(probe, at, target.prove_s)
    return TargetReached(key, target.target_c, target.direction, first_s, proven_s, minute)


def _proven(probe: BelievedTrace, at: np.ndarray, prove_s: float) -> float | None:
    """The first reading by which the probe had stayed `prove_s` without a break; `at` are indices."""
    starts = np.concatenate([[True], (np.diff(at) > 1) | ~probe.unbroken[at[1:]]])
    began_s = probe.at_s[at[np.flatnonzero(starts)]][np.cumsum(starts) - 1]
    done = np.flatnonzero(probe.at_s[at] - began_s >= prove_s)
    return float(probe.at_s[at[done[0]]]) if done.size else None


def apart(reaches: Sequence[TargetReached], pairs: Iterable[tuple[str, str]]) -> tuple[Apart, ...]:
    """The time between two probes at each target that both got to."""
    by_key = {(r.channel, r.target_c, r.direction): r for r in reaches}
    targets = dict.fromkeys((r.target_c, r.direction) for r in reaches)
    found = []
    for first, second in pairs:
        for target_c, direction in targets:
            a = by_key.get((first, target_c, direction))
            b = by_key.get((second, target_c, direction))
            if a and b and a.first_at_s is not None and b.first_at_s is not None:
                later_s = b.first_at_s - a.first_at_s
                found.append(Apart(first, second, target_c, direction, later_s))
    return tuple(found)


def difference(first: BelievedTrace, second: BelievedTrace) -> Difference | None:
    """How the second probe reads against the first, at the first one's moments.

    The second is taken between its two neighboring readings, where no gap lies between them; None
    where the two were never heard together.
    """
    pairs = pairs_of(first, second)
    n = len(pairs)
    if not n:
        return None
    gaps = pairs.second_c - pairs.first_c
    sd = float(np.std(gaps, ddof=1)) if n > 1 else None
    return Difference(first.channel.key, second.channel.key, float(np.mean(gaps)), sd, n)


def extremes(probe: BelievedTrace) -> Extremes:
    """Highest and lowest; the first of several that are equal."""
    key = probe.channel.key
    if not len(probe):
        return Extremes(key, None, None, None, None, 0, probe.absurd, probe.jumped)
    top, low = int(np.argmax(probe.value_c)), int(np.argmin(probe.value_c))
    return Extremes(
        key,
        float(probe.value_c[top]),
        float(probe.at_s[top]),
        float(probe.value_c[low]),
        float(probe.at_s[low]),
        len(probe),
        probe.absurd,
        probe.jumped,
    )


def pit_fact(
    pit: BelievedTrace | None, from_s: float, to_s: float, target_c: float | None
) -> PitFact | None:
    """Mean and deviation of the pit's readings in a stage; None where there are none."""
    if pit is None:
        return None
    said = pit.within(from_s, to_s).value_c
    if not said.size:
        return None
    sd = float(np.std(said, ddof=1)) if said.size > 1 else None
    return PitFact(float(np.mean(said)), sd, int(said.size), target_c)


def gaps(probe: BelievedTrace, from_s: float, to_s: float) -> Gaps | None:
    """Gaps between readings that touch the time from `from_s` to `to_s`; None where there are none.

    A channel read by hand has no gaps: nobody promised to read it often.
    """
    at = probe.all_at_s
    if probe.channel.by_hand or at.size < 2:
        return None
    lengths = np.diff(at)
    where = np.flatnonzero((lengths > probe.channel.gap_s) & (at[1:] > from_s) & (at[:-1] < to_s))
    if not where.size:
        return None
    return Gaps(
        probe.channel.key,
        int(where.size),
        float(np.max(lengths[where])),
        float(np.sum(lengths[where])),
    )
