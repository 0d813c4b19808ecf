"""What a cook intends: a schedule of stages, each with its finish rules.

Plain values; how they are lived is `progress`, what speaks against them is `schedule_check`. A stage
has an optional pit target, rules that say when it is over (any or all of them), an instruction for
the cook and an alert. All times are durations in seconds unless the name ends in `at_s` (UTC
seconds); all temperatures are °C.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import ClassVar, Literal, TypeAlias

LEAD = "lead"
CHECK = "check"
PIT = "pit"

Direction = Literal["rising", "falling"]
DipMode = Literal["pause", "start_over"]
Combine = Literal["any", "all"]
Ending = Literal["by_itself", "waits"]
#: Bring the pit up; meat on the pit; meat goes into a wrap as the stage begins; keep it at a
#: temperature; off the pit before it is served.
Purpose = Literal["", "warm_up", "cook", "wrap", "hold", "rest"]
Alert = Literal["none", "chime", "insistent"]


@dataclass(frozen=True, slots=True)
class UntilTemperature:
    """Over when `channel` has stayed at or past `target_c` for `prove_s` without a gap.

    `channel` is a role ("lead", "check", "pit") or the key of one channel.
    """

    kind: ClassVar[str] = "until_temperature"
    target_c: float
    direction: Direction = "rising"
    prove_s: float = 60.0
    channel: str = LEAD


@dataclass(frozen=True, slots=True)
class ForTime:
    """Over when `duration_s` have been counted.

    With `at_least_c` only the time counts during which `channel` is at or above it; a reading may dip
    by `dip_c` below without harm once counting has begun. A deeper dip pauses the count, or, with
    `dip_mode` "start_over" and once it has lasted longer than `dip_s`, sets it back to nothing.
    """

    kind: ClassVar[str] = "for_time"
    duration_s: float
    at_least_c: float | None = None
    channel: str = LEAD
    dip_c: float = 0.0
    dip_mode: DipMode = "pause"
    dip_s: float = 0.0


@dataclass(frozen=True, slots=True)
class UntilClock:
    """Over at one moment, `at_s` in UTC seconds."""

    kind: ClassVar[str] = "until_clock"
    at_s: float


@dataclass(frozen=True, slots=True)
class UntilSaid:
    """Over when the cook says so."""

    kind: ClassVar[str] = "until_said"


Rule: TypeAlias = UntilTemperature | ForTime | UntilClock | UntilSaid


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage. `key` stays the same through every edit and names the stage in the log.

    `purpose` is what it is for; "" where nobody said (`plan.stage_meaning` guesses then).
    """

    key: str
    name: str
    rules: tuple[Rule, ...] = (UntilSaid(),)
    combine: Combine = "any"
    pit_target_c: float | None = None
    instruction: str = ""
    alert: Alert = "chime"
    ending: Ending = "by_itself"
    guard_s: float | None = None
    """A longest time: past it the cook is called. It never ends the stage."""
    purpose: Purpose = ""


@dataclass(frozen=True, slots=True)
class Schedule:
    """Stages in order. `name` is the one it is saved and used again by."""

    name: str = ""
    stages: tuple[Stage, ...] = field(default=())

    def stage(self, key: str) -> Stage | None:
        """The stage with this key, or None."""
        return next((stage for stage in self.stages if stage.key == key), None)

    def index(self, key: str) -> int | None:
        """Where the stage with this key stands, or None."""
        return next((n for n, stage in enumerate(self.stages) if stage.key == key), None)

    def with_stages(self, stages: tuple[Stage, ...]) -> Schedule:
        """The same schedule with other stages."""
        return replace(self, stages=stages)


def new_stage_key(schedule: Schedule) -> str:
    """A key that no stage of the schedule has: s1, s2, …"""
    taken = {stage.key for stage in schedule.stages}
    number = len(schedule.stages) + 1
    while f"s{number}" in taken:
        number += 1
    return f"s{number}"
