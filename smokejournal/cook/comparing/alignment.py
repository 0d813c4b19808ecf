"""Laying cooks over one another: which moment of each is the common zero.

The start, the beginning of a stage by what it is for (never by its name), or the moment at which the
lead probe first is at a temperature, by believed readings only. A cook that has no such moment says
why and is left out of that alignment.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from smokejournal.cook.comparing.facts import CookFacts, facts_of
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.schedule import LEAD, Purpose
from smokejournal.cook.log.stage_meaning import purpose_of
from smokejournal.cook.plan.schedule_words import PURPOSES
from smokejournal.cook.probes.facts import Target, reach
from smokejournal.cook.progress.believed import BelievedTrace, believed
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.progress.standing import Standing
from smokejournal.cook.score.thinning import FlatTrace
from smokejournal.cook.summary.summary import Summary, summarize

#: So many cooks can be laid over one another.
FEWEST: Final = 2
MOST: Final = 6

AlignKind = Literal["start", "stage", "temperature"]
WhyLeftOut = Literal["", "not_started", "no_stage", "no_lead", "never_there", "there_at_first"]


@dataclass(frozen=True, slots=True)
class Alignment:
    """Where zero is. `purpose` for a stage, `temperature_c` for a temperature of the lead probe."""

    kind: AlignKind = "start"
    purpose: Purpose = ""
    temperature_c: float = 0.0


@dataclass(frozen=True, slots=True)
class ComparedCook:
    """One cook as it is laid over others. Times are UTC seconds, `begins` by purpose of the stage.

    `lead` and `pit` hold believed readings from `from_s` to `to_s`; None where there is no such probe.
    """

    facts: CookFacts
    from_s: float | None
    to_s: float
    begins: Mapping[Purpose, float]
    lead: BelievedTrace | None
    pit: BelievedTrace | None


@dataclass(frozen=True, slots=True)
class ZeroMoment:
    """The moment of a cook that is zero (UTC seconds), or None and why.

    `gap_s` above 0: the temperature was passed while nothing was believed, so zero may be that late.
    """

    zero_s: float | None = None
    why: WhyLeftOut = ""
    gap_s: float = 0.0


def compared(log: CookLog, now_s: float) -> ComparedCook:
    """A cook up to `now_s`, ready to be laid over others. Slow."""
    standing = fold(log, now_s)
    summary = summarize(log, now_s, standing)
    from_s = summary.started_s
    to_s = now_s if summary.ended_s is None else summary.ended_s
    begins: dict[Purpose, float] = {}
    for run in standing.runs:
        purpose, _ = purpose_of(run.stage)
        if purpose:
            begins.setdefault(purpose, run.began_at_s)
    pit = next((key for key, c in summary.channels.items() if c.role == "pit"), None)
    return ComparedCook(
        facts_of(summary),
        from_s,
        to_s,
        begins,
        _trace(log, summary, _lead(standing, summary), to_s),
        _trace(log, summary, pit, to_s),
    )


def _lead(standing: Standing, summary: Summary) -> str | None:
    """The probe that led; where nobody said, the only one in meat."""
    if standing.lead is not None:
        return standing.lead
    meat = [key for key, channel in summary.channels.items() if channel.role == "meat"]
    return meat[0] if len(meat) == 1 else None


def _trace(log: CookLog, summary: Summary, key: str | None, to_s: float) -> BelievedTrace | None:
    channel = summary.channels.get(key) if key is not None else None
    if channel is None:
        return None
    entries = tuple(e for e in log.holding() if e.at_s <= summary.made_at_s)
    from_s = -math.inf if summary.started_s is None else summary.started_s
    found = believed(log, channel, entries, summary.made_at_s).within(from_s, to_s)
    return found if len(found) else None


def place(cook: ComparedCook, alignment: Alignment) -> ZeroMoment:
    """Where zero is in this cook."""
    if cook.from_s is None:
        return ZeroMoment(why="not_started")
    if alignment.kind == "start":
        return ZeroMoment(cook.from_s)
    if alignment.kind == "stage":
        begun_s = cook.begins.get(alignment.purpose)
        return ZeroMoment(why="no_stage") if begun_s is None else ZeroMoment(begun_s)
    return _at_temperature(cook, alignment.temperature_c)


def _at_temperature(cook: ComparedCook, temperature_c: float) -> ZeroMoment:
    lead = cook.lead
    if lead is None:
        return ZeroMoment(why="no_lead")
    target = Target(temperature_c, "rising", LEAD, -math.inf, 0.0)
    first_s = reach(lead, target, cook.from_s).first_at_s
    if first_s is None:
        return ZeroMoment(why="never_there")
    index = int(np.searchsorted(lead.at_s, first_s))
    if index == 0:
        # It was there before anything was read: when it got there nobody knows.
        return ZeroMoment(why="there_at_first")
    gap_s = 0.0 if lead.unbroken[index] else first_s - float(lead.at_s[index - 1])
    return ZeroMoment(first_s, gap_s=gap_s)


def offered_stages(cooks: Sequence[ComparedCook]) -> tuple[Purpose, ...]:
    """What stages are for that at least two of the cooks have, in the order of a cook."""
    return tuple(p for p in PURPOSES if sum(p in cook.begins for cook in cooks) >= FEWEST)


def offered_temperature_c(cooks: Sequence[ComparedCook]) -> float | None:
    """A temperature that the leads of most of the cooks rose through [°C], to a ten; None without one.

    Halfway between the highest first reading and the lowest of what each came to.
    """
    leads = [cook.lead for cook in cooks if cook.lead is not None]
    if len(leads) < FEWEST:
        return None
    low_c = max(float(lead.value_c[0]) for lead in leads)
    high_c = min(float(lead.value_c.max()) for lead in leads)
    return round((low_c + high_c) / 20.0) * 10.0


def line_from_zero(trace: BelievedTrace, zero_s: float) -> FlatTrace:
    """A trace with its times counted from zero [s], whole until something breaks it."""
    return FlatTrace(trace.at_s - zero_s, trace.value_c, np.flatnonzero(~trace.unbroken))
