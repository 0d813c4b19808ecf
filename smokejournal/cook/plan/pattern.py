"""A pattern: a plan without a day, to begin other cooks from. Food, prep, probes by name, schedule.

What belongs to one cook alone is left out: when and where it was, what was paid and to whom, and
what a probe was corrected by.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from typing import Annotated, Final

from smokejournal.cook.log.entries import (
    ChannelSet,
    CookRenamed,
    ItemAdded,
    LeadSet,
    Payload,
    PrepStep,
    ScheduleSet,
)
from smokejournal.cook.log.ranges import Duration
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.text.strict import AtMost, EachOnce, Name

MOST: Final = 200


@dataclass(frozen=True, slots=True)
class Pattern:
    """`lead` and `check` are keys of `probes`. `margin_s` is the cook's own margin."""

    name: Name
    items: Annotated[tuple[ItemAdded, ...], AtMost(MOST)] = ()
    prep: Annotated[tuple[PrepStep, ...], AtMost(MOST), EachOnce("key")] = ()
    probes: Annotated[tuple[Channel, ...], AtMost(MOST), EachOnce("key")] = ()
    lead: str = ""
    check: str = ""
    margin_s: Duration = 0.0
    schedule: Schedule = field(default_factory=Schedule)

    @property
    def only_schedule(self) -> bool:
        """Whether it holds nothing but a schedule."""
        return bool(self.schedule.stages) and not (self.items or self.prep or self.probes)


def pattern_of(plan: Plan, name: str = "") -> Pattern:
    """The pattern of a plan, by the plan's title where no name is given."""
    probes = tuple(
        Channel(key=c.key, name=c.name, role=c.role, place=c.place) for c in plan.channels.values()
    )
    keys = {probe.key for probe in probes}
    lead = plan.lead if plan.lead in keys else ""
    check = plan.check if lead and plan.check in keys and plan.check != lead else ""
    return Pattern(
        name=name or plan.title,
        items=tuple(
            replace(item, bought_at="", price=None, currency="", ready_at_s=None, key="")
            for _, item in plan.items
        ),
        prep=tuple(
            replace(step, key=_free_of_entries(step.key) or f"p{n}")
            for n, (_, step) in enumerate(plan.prep, 1)
        ),
        probes=probes,
        lead=lead or "",
        check=check or "",
        margin_s=plan.margin_s,
        schedule=plan.schedule,
    )


def _free_of_entries(key: str) -> str:
    """A key, unless it is one that was made of an entry's id: in another log that is another entry."""
    return "" if re.fullmatch(r"e?\d+", key) else key


def schedule_pattern(schedule: Schedule, name: str) -> Pattern:
    """The pattern of a schedule alone."""
    return Pattern(name, schedule=schedule)


def payloads_of(pattern: Pattern) -> list[Payload]:
    """What is to be written into a cook that is begun from it, after its opening."""
    written: list[Payload] = [
        replace(item, key=_free_of_entries(item.key)) for item in pattern.items
    ]
    written += [replace(step, key=_free_of_entries(step.key)) for step in pattern.prep]
    written += [ChannelSet(probe) for probe in pattern.probes]
    if pattern.lead:
        written.append(LeadSet(pattern.lead, pattern.check or None))
    if pattern.schedule.stages:
        written.append(ScheduleSet(pattern.schedule))
    if pattern.margin_s:
        written.append(CookRenamed(pattern.name, margin_s=pattern.margin_s))
    return written
