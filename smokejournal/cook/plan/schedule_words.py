"""Schedules in words: what a finish rule waits for, what a stage does."""

from __future__ import annotations

from collections.abc import Mapping

from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import (
    CHECK,
    LEAD,
    PIT,
    ForTime,
    Purpose,
    Rule,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.text import quantities
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate

NO_CHANNELS: Mapping[str, Channel] = {}

#: Proving times up to this are only there against a noisy reading and are not worth a word.
SILENT_PROVE_S = 120.0


#: What a stage may be for, in the order in which they come in a cook.
PURPOSES: tuple[Purpose, ...] = ("warm_up", "cook", "wrap", "hold", "rest")


def purpose_words(purpose: Purpose) -> str:
    """What a stage is for, as it is chosen from a list; "" where nobody said."""
    return {
        "": "",
        "warm_up": translate("Schedule", "bring the pit up"),
        "cook": translate("Schedule", "cook on the pit"),
        "wrap": translate("Schedule", "wrap it, then cook on"),
        "hold": translate("Schedule", "hold at a temperature"),
        "rest": translate("Schedule", "rest off the pit"),
    }[purpose]


def channel_words(channel: str, channels: Mapping[str, Channel] = NO_CHANNELS) -> str:
    """The channel as it is spoken of: "the lead probe", or its own name."""
    if channel == LEAD:
        return translate("Schedule", "the lead probe")
    if channel == CHECK:
        return translate("Schedule", "the check probe")
    if channel == PIT:
        return translate("Schedule", "the pit")
    known = channels.get(channel)
    return translate("Schedule", "“{name}”").format(
        name=known.name if known is not None and known.name else channel
    )


def rule_words(
    rule: Rule,
    units: Units,
    channels: Mapping[str, Channel] = NO_CHANNELS,
    zone: str = "UTC",
) -> str:
    """One finish rule: "until the lead probe is at 74 °C".

    `channels` gives channels their names, `zone` is where clock times are told.
    """
    if isinstance(rule, UntilTemperature):
        if rule.direction == "rising":
            text = translate("Schedule", "until {probe} is at {temperature}")
        else:
            text = translate("Schedule", "until {probe} is down to {temperature}")
        text = text.format(
            probe=channel_words(rule.channel, channels),
            temperature=quantities.temperature(rule.target_c, units),
        )
        if rule.prove_s > SILENT_PROVE_S:
            text = translate("Schedule", "{rule} and has stayed there for {time}").format(
                rule=text, time=quantities.duration(rule.prove_s)
            )
        return text
    if isinstance(rule, ForTime):
        time = quantities.duration(rule.duration_s)
        if rule.at_least_c is None:
            return translate("Schedule", "for {time}").format(time=time)
        return translate("Schedule", "for {time} with {probe} at or above {temperature}").format(
            time=time,
            probe=channel_words(rule.channel, channels),
            temperature=quantities.temperature(rule.at_least_c, units),
        )
    if isinstance(rule, UntilClock):
        return translate("Schedule", "until {clock} on {date}").format(
            clock=quantities.clock_time(rule.at_s, zone, units),
            date=quantities.date(rule.at_s, zone, units),
        )
    return translate("Schedule", "until you confirm")


def rules_words(
    stage: Stage,
    units: Units,
    channels: Mapping[str, Channel] = NO_CHANNELS,
    zone: str = "UTC",
) -> str:
    """All finish rules of a stage: "until … or for …"."""
    if not stage.rules:
        return translate("Schedule", "without an end")
    joint = (
        translate("Schedule", " or ") if stage.combine == "any" else translate("Schedule", " and ")
    )
    return joint.join(rule_words(rule, units, channels, zone) for rule in stage.rules)


def stage_words(
    stage: Stage,
    units: Units,
    channels: Mapping[str, Channel] = NO_CHANNELS,
    zone: str = "UTC",
) -> str:
    """A stage in one line: "pit at 107 °C until the lead probe is at 74 °C, then waits for you"."""
    text = rules_words(stage, units, channels, zone)
    if stage.pit_target_c is not None:
        text = translate("Schedule", "pit at {temperature} {rules}").format(
            temperature=quantities.temperature(stage.pit_target_c, units), rules=text
        )
    if stage.ending == "waits" and not all(isinstance(rule, UntilSaid) for rule in stage.rules):
        text = translate("Schedule", "{stage}, then waits for you").format(stage=text)
    return text
