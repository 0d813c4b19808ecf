"""What changes between two schedules of one cook, in words: a line for each stage that differs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.plan.schedule_words import NO_CHANNELS, stage_words
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate


def change_lines(
    before: Schedule,
    after: Schedule,
    units: Units,
    channels: Mapping[str, Channel] = NO_CHANNELS,
    zone: str = "UTC",
) -> tuple[str, ...]:
    """One line for each stage that is new, gone or other than it was, then one for another order.

    Empty where both say the same.
    """
    lines: list[str] = []
    for stage in after.stages:
        old = before.stage(stage.key)
        if old == stage:
            continue
        name = stage.name or translate("ScheduleChanges", "(no name)")
        now = stage_words(stage, units, channels, zone)
        if old is None:
            text = translate("ScheduleChanges", "{stage} is new: {now}.")
            lines.append(text.format(stage=name, now=now))
            continue
        was = stage_words(old, units, channels, zone)
        if was != now:
            text = translate("ScheduleChanges", "{stage}: {now}. Before: {was}.")
        elif replace(old, name=stage.name) == stage:
            text = translate("ScheduleChanges", "{stage} was called {old}.")
        else:
            text = translate(
                "ScheduleChanges", "{stage}: another instruction, alert or longest time."
            )
        lines.append(text.format(stage=name, now=now, was=was, old=old.name))
    for stage in before.stages:
        if after.stage(stage.key) is None:
            text = translate("ScheduleChanges", "{stage} is left out.")
            lines.append(text.format(stage=stage.name))
    shared = [s.key for s in before.stages if after.stage(s.key) is not None]
    if shared != [s.key for s in after.stages if before.stage(s.key) is not None]:
        text = translate("ScheduleChanges", "The order is now: {stages}.")
        lines.append(text.format(stages=", ".join(s.name for s in after.stages)))
    return tuple(lines)
