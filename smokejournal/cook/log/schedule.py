"""What a cook intends: a schedule of stages, each with its finish rules.

Plain values; how they are lived is `progress`, what speaks against them is `schedule_check`. A stage
has an optional pit target, rules that say when it is over (any or all of them), an instruction for
the cook and an alert. All times are durations in seconds unless the name ends in `at_s` (UTC
seconds); all temperatures are °C.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Annotated, ClassVar, Final, Literal, TypeAlias

from smokejournal.cook.text.strict import AtMost, EachOnce, Range, TextSize

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

#: No pit, meat or threshold is meant to be outside these.
TEMPERATURE_C: Final = (-40.0, 500.0)
#: A week: longer than any stage, short enough that a slip of the keyboard shows.
DURATION_S: Final = (1.0, 7 * 86400.0)
PROVE_S: Final = (0.0, 86400.0)
DIP_C: Final = (0.0, 100.0)
#: From 1990 to 2200, in UTC seconds.
CLOCK_S: Final = (631152000.0, 7258118400.0)

_Temperature: TypeAlias = Annotated[float, Range(*TEMPERATURE_C, "°C")]
_Duration: TypeAlias = Annotated[float, Range(*DURATION_S, "s")]
_Prove: TypeAlias = Annotated[float, Range(*PROVE_S, "s")]
# Schedules with a NUL in a name were kept, and stay readable.
_Key: TypeAlias = Annotated[str, TextSize(1, 200, nul=True)]
_Name: TypeAlias = Annotated[str, TextSize(0, 200, nul=True, name=True)]


@dataclass(frozen=True, slots=True)
class UntilTemperature:
    """Over when `channel` has stayed at or past `target_c` for `prove_s` without a gap.

    `channel` is a role ("lead", "check", "pit") or the key of one channel.
    """

    kind: ClassVar[str] = "until_temperature"
    target_c: _Temperature
    direction: Direction = "rising"
    prove_s: _Prove = 60.0
    channel: _Key = LEAD


@dataclass(frozen=True, slots=True)
class ForTime:
    """Over when `duration_s` have been counted.

    With `at_least_c` only the time counts during which `channel` is at or above it; a reading may dip
    by `dip_c` below without harm once counting has begun. A deeper dip pauses the count, or, with
    `dip_mode` "start_over" and once it has lasted longer than `dip_s`, sets it back to nothing.
    """

    kind: ClassVar[str] = "for_time"
    duration_s: _Duration
    at_least_c: _Temperature | None = None
    channel: _Key = LEAD
    dip_c: Annotated[float, Range(*DIP_C, "K")] = 0.0
    dip_mode: DipMode = "pause"
    dip_s: _Prove = 0.0


@dataclass(frozen=True, slots=True)
class UntilClock:
    """Over at one moment, `at_s` in UTC seconds."""

    kind: ClassVar[str] = "until_clock"
    at_s: Annotated[float, Range(*CLOCK_S, "s")]


@dataclass(frozen=True, slots=True)
class UntilSaid:
    """Over when the cook says so."""

    kind: ClassVar[str] = "until_said"


Rule: TypeAlias = UntilTemperature | ForTime | UntilClock | UntilSaid


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage. `key` stays the same through every edit and names the stage in the log.

    `purpose` is what it is for; "" where nobody said (`log.stage_meaning` guesses then).
    """

    key: _Key
    name: _Name
    rules: Annotated[tuple[Rule, ...], AtMost(20)] = (UntilSaid(),)
    combine: Combine = "any"
    pit_target_c: _Temperature | None = None
    instruction: Annotated[str, TextSize(0, 4000, nul=True)] = ""
    alert: Alert = "chime"
    ending: Ending = "by_itself"
    guard_s: _Duration | None = None
    """A longest time: past it the cook is called. It never ends the stage."""
    purpose: Purpose = ""


@dataclass(frozen=True, slots=True)
class Schedule:
    """Stages in order. `name` is the one it is saved and used again by."""

    name: _Name = ""
    stages: Annotated[tuple[Stage, ...], AtMost(200), EachOnce("key")] = field(default=())

    def stage(self, key: str) -> Stage | None:
        """The stage with this key, or None."""
        return next((stage for stage in self.stages if stage.key == key), None)

    def index(self, key: str) -> int | None:
        """Where the stage with this key stands, or None."""
        return next((n for n, stage in enumerate(self.stages) if stage.key == key), None)

    def with_stages(self, stages: tuple[Stage, ...]) -> Schedule:
        """The same schedule with other stages."""
        return replace(self, stages=stages)
