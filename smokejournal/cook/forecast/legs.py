"""What a schedule plans from now on, as the legs of a forecast.

A schedule is free: stages may wait for a word, a clock or the pit, and a wrap is only spoken of in a
name or an instruction. What is read into it here, because nothing says it outright, is listed in
`assumed`, so that it can be shown beside the forecast.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from smokejournal.cook.log.schedule import (
    LEAD,
    PIT,
    ForTime,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.progress.standing import StageRun, Standing
from smokejournal.science.forecast.outlook_types import Leg, Wrapping

LegKind = Literal["reach", "hold", "rest", "other"]
AssumedCode = Literal[
    "wrap_planned",  # a wrap read out of a stage's name or instruction
    "wrap_done",  # a stage that speaks of a wrap ran, and no wrap was written down
    "wrap_material",  # what it is wrapped in isn't known; foil is taken
    "wrap_like",  # leaves or a pan, taken as the nearer of paper and foil
    "word_at_once",  # a stage that waits for the cook is taken to end at once
    "rest_by_name",  # a stage without a pit target after the target is taken as off the pit
    "rule_left_out",  # a finish rule that a forecast can't follow
    "open_end",  # nothing can be told of this stage's end, nor of what follows it
    "one_item",  # which of several items the lead probe is in isn't written down
]

_WRAP: Final = re.compile(r"\b(?:re)?wrap(?:s|ped|ping)?\b")
_NO_WRAP: Final = re.compile(r"\b(?:not|no|never|without|don.t|before(?: the)?|un)[\s-]+wrap")
_FOIL: Final = re.compile(r"\b(?:foil|alumin(?:i)?um)\b")
_PAPER: Final = re.compile(r"\b(?:paper|parchment)\b")
_REST: Final = re.compile(r"\brest(?:s|ed|ing)?\b|\boff the (?:heat|fire|pit)\b|\bcool(?:s|ing)?\b")
_BOX: Final = re.compile(r"\b(?:cooler|cool box|box|insulated|towels?)\b")


@dataclass(frozen=True, slots=True)
class Assumed:
    """Something that was read into the log. `stage` is the name of the stage it is about."""

    code: AssumedCode
    stage: str = ""
    material: Wrapping | None = None


@dataclass(frozen=True, slots=True)
class PlannedLeg:
    """A leg and the stage that it comes from."""

    stage: str
    kind: LegKind
    leg: Leg


@dataclass(frozen=True, slots=True)
class Ahead:
    """The legs from now on; `target` is which of them ends at the target (None: none does)."""

    legs: tuple[PlannedLeg, ...] = ()
    target: int | None = None
    assumed: tuple[Assumed, ...] = ()


def speaks_of_wrap(text: str) -> bool:
    """Whether a name or an instruction says that the meat is, or is to be, wrapped."""
    plain = text.casefold()
    return _WRAP.search(plain) is not None and _NO_WRAP.search(plain) is None


def wrap_material(stage: Stage) -> Wrapping | None:
    """Foil or paper, where a stage's name or instruction says which."""
    text = f"{stage.name} {stage.instruction}".casefold()
    if _PAPER.search(text):
        return "paper"
    return "foil" if _FOIL.search(text) else None


def is_rest(stage: Stage) -> bool:
    """Whether a stage speaks of a rest. One that sets the pit is none."""
    text = f"{stage.name} {stage.instruction}".casefold()
    return stage.pit_target_c is None and _REST.search(text) is not None


def warms_up(stage: Stage) -> bool:
    """Whether a stage only waits for the pit: the meat isn't on."""
    waited = [rule for rule in stage.rules if not isinstance(rule, UntilSaid)]
    return bool(waited) and all(
        isinstance(rule, UntilTemperature) and rule.channel == PIT for rule in waited
    )


def wraps_at(stage: Stage) -> Literal["begin", "end"] | None:
    """When the meat is wrapped in a stage, by its words alone.

    A name that speaks of it ("Wrap", "Finish in the wrap") means from the beginning. In an
    instruction it is the beginning where it comes first ("Wrap tightly …"), else what is to be done
    when the stage is over ("When the bark is set, wrap it").
    """
    if stage.pit_target_c is None and is_rest(stage):
        return None
    if speaks_of_wrap(stage.name):
        return "begin"
    if not speaks_of_wrap(stage.instruction):
        return None
    first = stage.instruction.casefold().split(maxsplit=1)[0]
    return "begin" if _WRAP.match(first) else "end"


def ahead(standing: Standing, lead: str, *, wrapped: bool) -> Ahead:
    """The legs of what is still to come of a cook under way. `wrapped`: it is already."""
    builder = _Builder(standing, lead, wrapped)
    run = standing.current
    if run is not None:
        builder.under_way(run)
    for stage in standing.upcoming:
        if builder.open_end:
            break
        builder.stage(stage, stage.rules, {})
    return builder.done()


def targets(stage: Stage, lead: str) -> list[float]:
    """What the lead probe has to reach in this stage [°C], in the order of its rules."""
    return [
        rule.target_c
        for rule in stage.rules
        if isinstance(rule, UntilTemperature)
        and rule.direction == "rising"
        and rule.channel in (LEAD, lead)
    ]


class _Builder:
    def __init__(self, standing: Standing, lead: str, wrapped: bool) -> None:
        self.standing = standing
        self.lead = lead
        self.wrapped = wrapped
        self.wrap_next: Wrapping | None = None
        self.legs: list[PlannedLeg] = []
        self.assumed: list[Assumed] = []
        self.open_end = False
        stages = [*([standing.current.stage] if standing.current else []), *standing.upcoming]
        #: Key of the last stage with a target: what comes after it without a pit is off the pit.
        self.last_target = next((s.key for s in reversed(stages) if targets(s, lead)), None)
        if self.last_target is None:
            held = (s for s in reversed(stages) if self._held_c(s) is not None)
            self.last_target = next((s.key for s in held), None)
        self.past_target = False
        self.target: int | None = None

    def under_way(self, run: StageRun) -> None:
        """The stage that runs, with what is left of its times."""
        left: dict[int, float] = {}
        open_rules = []
        for state in run.rules:
            rule = state.rule
            if isinstance(rule, ForTime):
                needed_s = rule.duration_s if state.needed_s is None else state.needed_s
                left[id(rule)] = max(0.0, needed_s - state.counted_s)
            elif isinstance(rule, UntilClock):
                left[id(rule)] = max(0.0, rule.at_s + run.extended_s - self.standing.at_s)
            if state.met_at_s is None:
                open_rules.append(rule)
        if run.met_at_s is not None:
            # It only waits for the cook's word, which is taken as given.
            target = self._target(run.stage)
            if target is not None:
                self._add(run.stage, "reach", Leg(run.stage.pit_target_c, target))
                self._mark_target(run.stage)
            self._say("word_at_once", run.stage)
            self._after(run.stage)
            return
        self.stage(run.stage, tuple(open_rules) or run.stage.rules, left)

    def stage(
        self,
        stage: Stage,
        rules: Sequence[object],
        left_s: dict[int, float],
    ) -> None:
        """Add the legs of one stage of which these rules are still open."""
        wrap = self._wrap_at_begin(stage)
        until_c: float | None = None
        for_s: float | None = None
        hold: list[Leg] = []
        known = False
        for rule in rules:
            if isinstance(rule, UntilTemperature):
                if rule.direction == "rising" and rule.channel in (LEAD, self.lead):
                    pick = min if stage.combine == "any" else max
                    until_c = rule.target_c if until_c is None else pick(until_c, rule.target_c)
                    known = True
                elif not warms_up(stage):
                    self._say("rule_left_out", stage)
            elif isinstance(rule, ForTime):
                time_s = left_s.get(id(rule), rule.duration_s)
                known = True
                if rule.at_least_c is not None and rule.channel in (LEAD, self.lead):
                    hold = [Leg(until_probe_c=rule.at_least_c), Leg(for_s=time_s)]
                else:
                    pick = min if stage.combine == "any" else max
                    for_s = time_s if for_s is None else pick(for_s, time_s)
            elif isinstance(rule, UntilClock):
                if id(rule) in left_s:
                    known = True
                    time_s = left_s[id(rule)]
                    for_s = time_s if for_s is None else min(for_s, time_s)
                else:
                    self._say("rule_left_out", stage)
        if until_c is not None and for_s is not None and stage.combine == "all":
            # Both: the later of the two can't be told as one leg, and the probe is what it is about.
            self._say("rule_left_out", stage)
            for_s = None
        if hold and (until_c is not None or for_s is not None) and stage.combine == "any":
            # Whichever comes first of two that start at different times: no leg says that.
            self._say("rule_left_out", stage)
            hold = []
        resting = self._resting(stage)
        if not known and self.past_target:
            self._say("open_end", stage)
            self.open_end = True
            return
        base = Leg(
            pit_c=None if resting else stage.pit_target_c,
            wrap=wrap,
            resting=resting,
            boxed=resting
            and _BOX.search(f"{stage.name} {stage.instruction}".casefold()) is not None,
        )
        kind: LegKind = "rest" if resting else "hold" if self.past_target else "other"
        if until_c is not None or (for_s is not None and not hold):
            kind = "reach" if until_c is not None and not resting else kind
            self._add(stage, kind, replace(base, until_probe_c=until_c, for_s=for_s))
            if until_c is not None:
                self._mark_target(stage)
        elif not hold:
            if not warms_up(stage):
                self._say("word_at_once", stage)
            self._add(stage, "other", base)
        if hold:
            reach = replace(base, until_probe_c=hold[0].until_probe_c)
            if until_c is None:
                self._add(stage, "reach", reach)
                self._mark_target(stage)
            self._add(stage, "hold", replace(base, for_s=hold[1].for_s, wrap=None))
        self._after(stage)

    def done(self) -> Ahead:
        """What was gathered."""
        return Ahead(tuple(self.legs), self.target, tuple(dict.fromkeys(self.assumed)))

    # -- parts -------------------------------------------------------------------------------

    def _held_c(self, stage: Stage) -> float | None:
        held = [
            rule.at_least_c
            for rule in stage.rules
            if isinstance(rule, ForTime)
            and rule.at_least_c is not None
            and rule.channel in (LEAD, self.lead)
        ]
        return max((h for h in held if h is not None), default=None)

    def _target(self, stage: Stage) -> float | None:
        found = targets(stage, self.lead)
        if not found:
            return None
        return min(found) if stage.combine == "any" else max(found)

    def _add(self, stage: Stage, kind: LegKind, leg: Leg) -> None:
        self.legs.append(PlannedLeg(stage.name, kind, leg))

    def _mark_target(self, stage: Stage) -> None:
        if stage.key == self.last_target:
            self.target = len(self.legs) - 1

    def _say(self, code: AssumedCode, stage: Stage, material: Wrapping | None = None) -> None:
        self.assumed.append(Assumed(code, stage.name, material))

    def _resting(self, stage: Stage) -> bool:
        if not self.past_target or stage.pit_target_c is not None:
            return False
        if not is_rest(stage):
            self._say("rest_by_name", stage)
        return True

    def _wrap_at_begin(self, stage: Stage) -> Wrapping | None:
        wrap, self.wrap_next = self.wrap_next, None
        if self.wrapped:
            return None
        if wrap is None and wraps_at(stage) == "begin":
            wrap = self._material(stage)
        if wrap is not None:
            self.wrapped = True
            self._say("wrap_planned", stage, wrap)
        return wrap

    def _after(self, stage: Stage) -> None:
        """What the end of a stage brings."""
        if not self.wrapped and wraps_at(stage) == "end":
            self.wrap_next = self._material(stage)
        if stage.ending == "waits" and not all(isinstance(r, UntilSaid) for r in stage.rules):
            self._say("word_at_once", stage)
        if stage.key == self.last_target:
            self.past_target = True

    def _material(self, stage: Stage) -> Wrapping:
        material = wrap_material(stage)
        if material is None:
            # The next stage may say it.
            stages = [*self.standing.schedule.stages]
            named = (wrap_material(s) for s in stages if speaks_of_wrap(s.name))
            material = next((m for m in named if m is not None), None)
        if material is None:
            self._say("wrap_material", stage, "foil")
            return "foil"
        return material
