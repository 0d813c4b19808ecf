"""A schedule as a row of blocks: what a small picture of the plan can honestly show.

A stage's length is known only where a plain time ends it; until a temperature, a word or a clock time
that depends on the start, it is not, and is left open.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import (
    ForTime,
    Rule,
    Schedule,
    Stage,
    UntilClock,
    UntilTemperature,
)
from smokejournal.cook.plan.schedule_words import NO_CHANNELS
from smokejournal.cook.plan.stage_settings import Course, Setting, least_s
from smokejournal.cook.text import quantities
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.cook.text.translate import translate


@dataclass(frozen=True, slots=True)
class Block:
    """One stage in the picture.

    `length_s` None: not known beforehand, at least `least_s`. `ends` says in a few words what ends it.
    `meat_c` is the temperature that the meat is taken to in it, `pit_c` the pit target.
    """

    key: str
    name: str
    pit_c: float | None
    meat_c: float | None
    length_s: float | None
    least_s: float
    ends: str


def sketch(
    schedule: Schedule,
    channels: Mapping[str, Channel] = NO_CHANNELS,
    units: Units = METRIC,
    zone: str = "UTC",
) -> tuple[Block, ...]:
    """The blocks of a schedule, in order."""
    course = Course(channels, Setting())
    return tuple(
        Block(
            key=stage.key,
            name=stage.name,
            pit_c=stage.pit_target_c,
            meat_c=_meat(stage, course),
            length_s=known_length_s(stage),
            least_s=least_s(stage),
            ends=_ends(stage, units, zone),
        )
        for stage in schedule.stages
    )


def known_length_s(stage: Stage) -> float | None:
    """How long a stage lasts [s], where its rules alone decide that beforehand; else None."""
    if stage.ending == "waits" or not stage.rules:
        return None
    times: list[float] = []
    for rule in stage.rules:
        if not isinstance(rule, ForTime) or rule.at_least_c is not None:
            return None
        times.append(rule.duration_s)
    return min(times) if stage.combine == "any" else max(times)


def _meat(stage: Stage, course: Course) -> float | None:
    for rule in stage.rules:
        if isinstance(rule, UntilTemperature) and not course.in_pit_air(rule.channel):
            return rule.target_c
        if (
            isinstance(rule, ForTime)
            and rule.at_least_c is not None
            and not course.in_pit_air(rule.channel)
        ):
            return rule.at_least_c
    return None


def _ends(stage: Stage, units: Units, zone: str) -> str:
    joint = translate("Sketch", " or ") if stage.combine == "any" else translate("Sketch", " and ")
    return joint.join(_short(rule, units, zone) for rule in stage.rules)


def _short(rule: Rule, units: Units, zone: str) -> str:
    if isinstance(rule, UntilTemperature):
        text = (
            translate("Sketch", "to {temperature}")
            if rule.direction == "rising"
            else translate("Sketch", "down to {temperature}")
        )
        return text.format(temperature=quantities.temperature(rule.target_c, units))
    if isinstance(rule, ForTime):
        time = quantities.duration(rule.duration_s)
        if rule.at_least_c is None:
            return time
        return translate("Sketch", "{time} from {temperature}").format(
            time=time, temperature=quantities.temperature(rule.at_least_c, units)
        )
    if isinstance(rule, UntilClock):
        return translate("Sketch", "till {clock}").format(
            clock=quantities.clock_time(rule.at_s, zone, units)
        )
    return translate("Sketch", "your word")


def planned_end_s(stage: Stage, begin_s: float) -> float | None:
    """When the stage is over by its own rules if it begins at `begin_s`; None if they don't say."""
    ends: list[float | None] = []
    for rule in stage.rules:
        if isinstance(rule, ForTime):
            ends.append(begin_s + rule.duration_s)
        elif isinstance(rule, UntilClock):
            ends.append(max(begin_s, rule.at_s))
        else:
            ends.append(None)
    known = [end for end in ends if end is not None]
    if not known or len(known) < len(ends):
        return None
    return max(known) if stage.combine == "all" else min(known)
