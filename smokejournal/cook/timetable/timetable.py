"""What a plan looks like when it is counted back from the table: every step with its times.

These are the results alone; `count_back` finds them, screen, print and calendar show them. Moments are
UTC seconds, durations seconds.

Keys: "prep:<step key>" for a step before the fire, "warm" for bringing the pit up, "on:<item entry id>"
for a dish on the pit, "stage:<stage key>" for a stage of the schedule, "rest:<item entry id>" for a
rest, "serve" for the moment at the table. They are also what `entries.TimesKept` is written by.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from smokejournal.cook.forecast.intervals import TimeInterval
from smokejournal.cook.plan.prep_progress import StepState

#: Where a duration comes from: said by the cook, lived already, the cook's own earlier cooks of the
#: like, the forecast's physics, a stated rule; or it isn't known.
Source = Literal["said", "lived", "earlier", "physics", "rule", "unknown"]
StepKind = Literal["prep", "warm_up", "dish", "stage", "rest", "serve"]
ClashKind = Literal[
    "two_pits",  # two dishes want the pit at different temperatures at the same time
    "probes",  # more probes are wanted at once than there are
    "rest_too_long",  # a rest is longer than the wait, or a dish is ready long before it can be held
    "past",  # a step would have had to begin before now
    "too_long",  # a step would last longer than it may
    "no_probe",  # a dish has a target and no probe of its own
]


@dataclass(frozen=True, slots=True)
class When:
    """The moments at which something is to begin, or to be over: earliest, planned and latest.

    Never out of order. At `earliest_s` it is in time in nearly every course (19 of 20), at
    `planned_s` in 4 of 5, at `latest_s` in every other one.
    """

    earliest_s: float
    planned_s: float
    latest_s: float


@dataclass(frozen=True, slots=True)
class TimetableStep:
    """One step. `lasts` is None where it isn't known, and then so are the times of all before it.

    `start` and `end` are None where they can't be told. `cooks` is how many earlier cooks speak, `why`
    in words where the duration comes from a rule or is not known. `pit_c` is what the pit is to be at.
    `item` is the name of the dish that it is for ("": all). `began_s` and `ended_s` are what was lived.
    """

    key: str
    name: str
    kind: StepKind
    lasts: TimeInterval | None = None
    source: Source = "unknown"
    start: When | None = None
    end: When | None = None
    state: StepState = "to_come"
    began_s: float | None = None
    ended_s: float | None = None
    cooks: int = 0
    why: str = ""
    pit_c: float | None = None
    item: str = ""
    needs: tuple[str, ...] = ()
    text: str = ""
    sort: str = ""


@dataclass(frozen=True, slots=True)
class Clash:
    """Something that can't be as it is planned, in words, and what could be done about it."""

    kind: ClashKind
    text: str
    cure: str = ""
    keys: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Lateness:
    """The chance (0 to 1) of being ready later than wanted if the steps to come begin as planned, and
    if all of them begin an hour earlier. `early` is how long it then is ready before it is wanted, and
    `hold_s` how long that can be bridged (None: nobody said); `over_hold` the chance that it is longer.
    """

    late: float
    late_hour_earlier: float
    early: TimeInterval
    hold_s: float | None = None
    over_hold: float | None = None


@dataclass(frozen=True, slots=True)
class Timetable:
    """A plan counted back. `steps` are in the order in which they begin.

    `wanted_s` None: nobody said when, and no step has times. `unknown` says in words what keeps the
    times from being told; `order` the dishes in the order in which they go on (as the plan proposes).
    """

    now_s: float
    zone: str
    wanted_s: float | None
    margin_s: float = 0.0
    steps: tuple[TimetableStep, ...] = ()
    lateness: Lateness | None = None
    clashes: tuple[Clash, ...] = ()
    order: tuple[str, ...] = ()
    unknown: tuple[str, ...] = field(default=())

    def step(self, key: str) -> TimetableStep | None:
        """The step with this key, or None."""
        return next((step for step in self.steps if step.key == key), None)

    @property
    def next_step(self) -> TimetableStep | None:
        """The first step that is still to begin, or None."""
        return next((s for s in self.steps if s.state == "to_come" and s.kind != "serve"), None)
