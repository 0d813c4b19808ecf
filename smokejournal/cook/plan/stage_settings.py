"""What can be said about a cook at the beginning of each stage of its schedule, before it is lived."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import (
    CHECK,
    LEAD,
    PIT,
    ForTime,
    Rule,
    Stage,
    UntilClock,
    UntilTemperature,
)
from smokejournal.cook.text.quantities import METRIC, Units


@dataclass(frozen=True, slots=True)
class Setting:
    """What a schedule is checked against besides its channels.

    `lead` and `check` are channel keys. `now_s` None leaves clock times unchecked against now.
    `done` are stages that are over; they are not checked.
    """

    lead: str | None = None
    check: str | None = None
    now_s: float | None = None
    zone: str = "UTC"
    units: Units = METRIC
    done: Collection[str] = ()


def least_s(stage: Stage) -> float:
    """The least time [s] that a stage takes, as far as its rules say (clock times left out)."""
    times = [_least(rule) for rule in stage.rules if not isinstance(rule, UntilClock)]
    if not times or (len(times) < len(stage.rules) and stage.combine == "any"):
        return 0.0
    return min(times) if stage.combine == "any" else max(times)


def _least(rule: Rule) -> float:
    if isinstance(rule, ForTime):
        return rule.duration_s
    return rule.prove_s if isinstance(rule, UntilTemperature) else 0.0


class Course:
    """Follows a schedule stage by stage: the least time gone by, and how hot each probe must have been.

    `reached` [°C] by channel key; `clock_s` the latest clock time at which a stage so far must end.
    """

    def __init__(self, channels: Mapping[str, Channel], setting: Setting) -> None:
        self.channels = channels
        self.setting = setting
        self.earliest_s = setting.now_s
        self.pit_known = False
        self.clock_stage = ""
        self.clock_s: float | None = None
        self.reached: dict[str, float] = {}

    def follow(self, stage: Stage) -> None:
        """Take in what this stage leaves for the next."""
        if stage.pit_target_c is not None:
            self.pit_known = True
        if stage.key not in self.setting.done and self.earliest_s is not None:
            self.earliest_s += least_s(stage)
        # With several rules of which any ends the stage, none of them is known to be met.
        if stage.combine == "any" and len(stage.rules) > 1:
            return
        for rule in stage.rules:
            if isinstance(rule, UntilClock):
                if self.clock_s is None or rule.at_s > self.clock_s:
                    self.clock_s, self.clock_stage = rule.at_s, stage.name
                if self.earliest_s is not None:
                    self.earliest_s = max(self.earliest_s, rule.at_s)
            elif isinstance(rule, UntilTemperature):
                self.reached[self.same(rule.channel)] = rule.target_c
            elif isinstance(rule, ForTime) and rule.at_least_c is not None:
                key = self.same(rule.channel)
                self.reached[key] = max(rule.at_least_c, self.reached.get(key, -273.15))

    def resolve(self, channel: str) -> Channel | None:
        """The channel that a rule means, or None where the cook has none such."""
        if channel == LEAD:
            return self.channels.get(self.setting.lead or "")
        if channel == CHECK:
            return self.channels.get(self.setting.check or "")
        if channel == PIT:
            return next((c for c in self.channels.values() if c.role == "pit"), None)
        return self.channels.get(channel)

    def same(self, channel: str) -> str:
        """One name for a channel however it is called."""
        found = self.resolve(channel)
        return channel if found is None else found.key

    def in_pit_air(self, channel: str) -> bool:
        """True for what hangs in the pit's air and not in the meat."""
        found = self.resolve(channel)
        return channel == PIT if found is None else found.role in ("pit", "other")
