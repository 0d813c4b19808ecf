"""What speaks against a schedule, in words.

Three weights: "broken" can't work as it is written, "doubt" is probably not what was meant,
"caution" is about food or fire. The checks look only at the schedule and at what the cook has; they
forbid nothing.

Where a number here has no source it is common practice at the pit and says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import (
    CHECK,
    LEAD,
    PIT,
    ForTime,
    Schedule,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.plan.schedule_words import channel_words
from smokejournal.cook.plan.stage_settings import Course, Setting, least_s
from smokejournal.cook.text import quantities
from smokejournal.cook.text.translate import translate

Weight = Literal["broken", "doubt", "caution"]

#: Meat nears the pit's temperature ever more slowly; the last few degrees take as long as the rest.
#: Common practice, no source.
NARROW_C: Final = 5.0
#: Above this, dripping fat may catch fire in most wood-fired cookers. Common practice, no source.
HOT_PIT_C: Final = 260.0
#: Hotter than cookers for this purpose run. Common practice, no source.
ABSURD_PIT_C: Final = 350.0

__all__ = ["Setting", "Warning_", "check", "least_s"]


@dataclass(frozen=True, slots=True)
class Warning_:  # noqa: N801 - `Warning` is Python's own
    """One thing that speaks against the schedule. `stage_key` None: it is about the whole.

    `wants_probe`: a probe that the plan doesn't have yet would settle it.
    """

    stage_key: str | None
    text: str
    weight: Weight = "broken"
    wants_probe: bool = False


def check(
    schedule: Schedule, channels: Mapping[str, Channel], setting: Setting | None = None
) -> tuple[Warning_, ...]:
    """Everything that speaks against `schedule`, in the order of its stages."""
    return _Check(schedule, channels, setting or Setting()).run()


class _Check:
    def __init__(
        self, schedule: Schedule, channels: Mapping[str, Channel], setting: Setting
    ) -> None:
        self.schedule = schedule
        self.channels = channels
        self.setting = setting
        self.stage_key: str | None = None
        self.found: list[Warning_] = []
        self.course = Course(channels, setting)

    def run(self) -> tuple[Warning_, ...]:
        if not self.schedule.stages:
            self.say(translate("ScheduleCheck", "There are no stages yet. Add one."))
        for stage in self.schedule.stages:
            self.stage_key = stage.key
            if stage.key not in self.setting.done:
                self.check_stage(stage)
            self.course.follow(stage)
        return tuple(dict.fromkeys(self.found))

    def say(
        self,
        text: str,
        weight: Weight = "broken",
        *,
        wants_probe: bool = False,
        **named: str | float,
    ) -> None:
        """Says `text` of the stage that is looked at; what is `named` in it as a number is a temperature."""
        setting = self.setting
        words = {
            name: said if isinstance(said, str) else quantities.temperature(said, setting.units)
            for name, said in named.items()
        }
        self.found.append(Warning_(self.stage_key, text.format(**words), weight, wants_probe))

    # -- one stage --------------------------------------------------------------------------

    def check_stage(self, stage: Stage) -> None:
        if not stage.name.strip():
            self.say(
                translate("ScheduleCheck", "This stage has no name. Give it one."),
                "doubt",
            )
        self.check_pit(stage.pit_target_c)
        self.check_end(stage)
        for rule in stage.rules:
            if isinstance(rule, UntilTemperature):
                self.check_channel(rule.channel)
                if rule.direction == "rising":
                    self.check_rising(stage.pit_target_c, rule)
                else:
                    self.check_falling(stage.pit_target_c, rule)
            elif isinstance(rule, ForTime) and rule.at_least_c is not None:
                self.check_channel(rule.channel)
                self.check_hold(stage.pit_target_c, rule, rule.at_least_c)
            elif isinstance(rule, UntilClock):
                self.check_clock(rule)

    def check_pit(self, pit_c: float | None) -> None:
        if pit_c is None:
            return
        if pit_c > ABSURD_PIT_C:
            self.say(
                translate(
                    "ScheduleCheck",
                    "A pit at {pit} is hotter than smokers run. Check the number and its unit.",
                ),
                pit=pit_c,
            )
        elif pit_c > HOT_PIT_C:
            self.say(
                translate(
                    "ScheduleCheck",
                    "A pit above {limit} can set dripping fat alight. Keep to what the cooker's "
                    "maker allows, and stay beside it.",
                ),
                "caution",
                limit=HOT_PIT_C,
            )

    def check_end(self, stage: Stage) -> None:
        if not stage.rules:
            self.say(translate("ScheduleCheck", "This stage has no end. Give it a finish rule."))
            return
        word = any(isinstance(rule, UntilSaid) for rule in stage.rules)
        if word and stage.combine == "all" and len(stage.rules) > 1 and stage.ending == "by_itself":
            self.say(
                translate(
                    "ScheduleCheck",
                    "This stage should end by itself, but one of its rules waits for you to "
                    "confirm. It will wait.",
                ),
                "doubt",
            )
        if (
            all(isinstance(rule, UntilSaid) for rule in stage.rules)
            and stage.pit_target_c is not None
            and stage.guard_s is None
        ):
            self.say(
                translate(
                    "ScheduleCheck",
                    "Nothing calls you in this stage: it ends only when you confirm, and it has no "
                    "longest time. Give it one if you might forget.",
                ),
                "doubt",
            )
        needed_s = least_s(stage)
        if stage.guard_s is not None and stage.guard_s <= needed_s:
            self.say(
                translate(
                    "ScheduleCheck",
                    "The longest time of {guard} is no longer than the {needed} this stage needs. "
                    "You would be called every time.",
                ),
                guard=quantities.duration(stage.guard_s),
                needed=quantities.duration(needed_s),
            )

    # -- rules ------------------------------------------------------------------------------

    def check_channel(self, channel: str) -> None:
        if self.course.resolve(channel) is not None:
            return
        if channel == LEAD:
            text = translate(
                "ScheduleCheck", "This watches the lead probe, but no lead probe is chosen."
            )
        elif channel == CHECK:
            text = translate(
                "ScheduleCheck", "This watches the check probe, but no check probe is chosen."
            )
        elif channel == PIT:
            text = translate(
                "ScheduleCheck", "This watches the pit, but the cook has no pit probe."
            )
        else:
            text = translate(
                "ScheduleCheck", "This watches {probe}, which this cook does not have."
            )
        self.say(text, wants_probe=True, probe=channel_words(channel, self.channels))

    def check_rising(self, pit_c: float | None, rule: UntilTemperature) -> None:
        probe = channel_words(rule.channel, self.channels)
        if pit_c is None:
            if not self.course.pit_known:
                self.say_unheated(probe)
        elif not self.course.in_pit_air(rule.channel):
            self.check_meat_against_pit(rule.target_c, pit_c, probe)
        elif rule.target_c > pit_c:
            self.say(
                translate(
                    "ScheduleCheck",
                    "{probe} should rise to {target}, but the pit is set to {pit}.",
                ),
                probe=_capital(probe),
                target=rule.target_c,
                pit=pit_c,
            )
        reached_c = self.course.reached.get(self.course.same(rule.channel))
        if reached_c is not None and rule.target_c <= reached_c:
            self.say(
                translate(
                    "ScheduleCheck",
                    "{probe} was at {reached} in an earlier stage, so this one ends at once. Set a "
                    "higher target, or “falls to” if it should cool.",
                ),
                "doubt",
                probe=_capital(probe),
                reached=reached_c,
            )

    def say_unheated(self, probe: str) -> None:
        self.say(
            translate(
                "ScheduleCheck",
                "No pit target so far, so nothing says what heats {probe}. Set one if the fire "
                "is lit.",
            ),
            "doubt",
            probe=probe,
        )

    def check_meat_against_pit(self, target_c: float, pit_c: float, probe: str) -> None:
        if target_c >= pit_c:
            self.say(
                translate(
                    "ScheduleCheck",
                    "{probe} should rise to {target}, but the pit is set to {pit}. Meat never gets "
                    "hotter than the pit.",
                ),
                probe=_capital(probe),
                target=target_c,
                pit=pit_c,
            )
        elif target_c > pit_c - NARROW_C:
            self.say(
                translate(
                    "ScheduleCheck",
                    "{target} is just below the pit's {pit}. The last few degrees take very long.",
                ),
                "doubt",
                target=target_c,
                pit=pit_c,
            )

    def check_falling(self, pit_c: float | None, rule: UntilTemperature) -> None:
        probe, target_c = _capital(channel_words(rule.channel, self.channels)), rule.target_c
        if pit_c is not None and (
            pit_c > target_c or (pit_c == target_c and not self.course.in_pit_air(rule.channel))
        ):
            self.say(
                translate(
                    "ScheduleCheck",
                    "{probe} should fall to {target}, but the pit is set to {pit}. Clear the pit "
                    "target, or set it lower.",
                ),
                probe=probe,
                target=target_c,
                pit=pit_c,
            )
        reached_c = self.course.reached.get(self.course.same(rule.channel))
        if reached_c is None:
            self.say(
                translate(
                    "ScheduleCheck",
                    "{probe} should fall to {target}, but no stage before heats it above that. This "
                    "stage may end at once.",
                ),
                "doubt",
                probe=probe,
                target=target_c,
            )
        elif target_c >= reached_c:
            self.say(
                translate(
                    "ScheduleCheck",
                    "{probe} should fall to {target}, but the stage before leaves it at {reached}. "
                    "Set the target below that.",
                ),
                probe=probe,
                target=target_c,
                reached=reached_c,
            )

    def check_hold(self, pit_c: float | None, rule: ForTime, at_least_c: float) -> None:
        probe = channel_words(rule.channel, self.channels)
        if pit_c is None:
            if not self.course.pit_known and not self.course.reached:
                self.say_unheated(probe)
            return
        in_air = self.course.in_pit_air(rule.channel)
        if at_least_c > pit_c or (at_least_c == pit_c and not in_air):
            text = (
                translate(
                    "ScheduleCheck",
                    "The time counts only with {probe} at or above {hold}, but the pit is set "
                    "to {pit}.",
                )
                if in_air
                else translate(
                    "ScheduleCheck",
                    "The time counts only with {probe} at or above {hold}, but the pit is "
                    "set to {pit}: it never counts.",
                )
            )
            self.say(text, probe=probe, hold=at_least_c, pit=pit_c)
        elif in_air and at_least_c == pit_c and rule.dip_c == 0:
            self.say(
                translate(
                    "ScheduleCheck",
                    "A pit swings about its target, so at {hold} the time would stop again and "
                    "again. Set it lower, or forgive a dip.",
                ),
                "doubt",
                hold=at_least_c,
            )

    def check_clock(self, rule: UntilClock) -> None:
        course, now_s = self.course, self.setting.now_s
        if now_s is not None and rule.at_s <= now_s:
            self.say(
                translate("ScheduleCheck", "{clock} is past. Set a time still to come."),
                clock=self.at(rule.at_s),
            )
        elif course.clock_s is not None and rule.at_s <= course.clock_s:
            self.say(
                translate(
                    "ScheduleCheck",
                    "{clock} is not after {before}, when “{stage}” ends at the earliest.",
                ),
                clock=self.at(rule.at_s),
                before=self.at(course.clock_s),
                stage=course.clock_stage,
            )
        elif course.earliest_s is not None and rule.at_s < course.earliest_s:
            self.say(
                translate(
                    "ScheduleCheck",
                    "{clock} is too early: the stages before need until {earliest} at least, "
                    "started now.",
                ),
                clock=self.at(rule.at_s),
                earliest=self.at(course.earliest_s),
            )

    def at(self, at_s: float) -> str:
        return quantities.date_time(at_s, self.setting.zone, self.setting.units)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
