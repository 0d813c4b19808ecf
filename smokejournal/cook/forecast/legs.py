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
    ForTime,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.log.stage_meaning import (
    is_rest,
    speaks_of_wrap,
    targets,
    warms_up,
    wrap_material,
    wraps_at,
)
from smokejournal.cook.progress.standing import StageRun, Standing
from smokejournal.science.forecast.values import Leg, Wrapping

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

_BOX: Final = re.compile(r"\b(?:cooler|cool box|box|insulated|towels?)\b")


@dataclass(frozen=True, slots=True)
class Assumed:
    """Something that was read into the log. `stage` is the name of the stage it is about."""

    code: AssumedCode
    stage: str = ""
    material: Wrapping | None = None


@dataclass(frozen=True, slots=True)
class PlannedLeg:
    """A leg and the stage that it comes from, by its name and its key."""

    stage: str
    kind: LegKind
    leg: Leg
    key: str = ""


@dataclass(frozen=True, slots=True)
class LegsAhead:
    """The legs from now on; `target` is which of them ends at the target (None: none does)."""

    legs: tuple[PlannedLeg, ...] = ()
    target: int | None = None
    assumed: tuple[Assumed, ...] = ()


def ahead(standing: Standing, lead: str, *, wrapped: bool) -> LegsAhead:
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

    def done(self) -> LegsAhead:
        """What was gathered."""
        return LegsAhead(tuple(self.legs), self.target, tuple(dict.fromkeys(self.assumed)))

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
        self.legs.append(PlannedLeg(stage.name, kind, leg, stage.key))

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
