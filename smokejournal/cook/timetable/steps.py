"""The steps of a plan, what each needs and how long each lasts: the net that is counted back.

Steps of the prep follow one another in the order of the plan; one that is for a single dish waits only
for those that are for the same dish or for all. The pit is brought up meanwhile. The dish with the
lead probe goes through the stages of the schedule; every other dish of which something is said goes on
and comes off by itself, then rests.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from smokejournal.cook.log.entries import ItemAdded, item_key
from smokejournal.cook.log.readings import FloatArray
from smokejournal.cook.log.schedule import LEAD, Schedule
from smokejournal.cook.log.stage_meaning import is_rest, targets, warms_up
from smokejournal.cook.plan.plan import Plan, lead_item, piece_kg
from smokejournal.cook.plan.prep_progress import LivedStep, StepState
from smokejournal.cook.progress.standing import Standing
from smokejournal.cook.text.translate import translate
from smokejournal.cook.timetable.durations import (
    DRAWS,
    AskEarlier,
    Duration,
    LengthAsked,
    constant,
    dish_duration,
    nothing_earlier,
    prep_duration,
    said,
    sort_of,
    stage_duration,
)
from smokejournal.cook.timetable.timetable import StepKind

SERVE = "serve"


@dataclass(frozen=True, slots=True)
class Physics:
    """What the forecast says [s]: of stages by key, of dishes by the id of their entry; shape (m,) each.

    Of the stage that runs it is what is left.
    """

    stages: Mapping[str, FloatArray] = field(default_factory=dict)
    dishes: Mapping[int, FloatArray] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Node:
    """One step of the net. `length` of one under way is what is left of it.

    `waits`: it begins when the cook begins it, and not by itself once what it needs is over.
    `wanted_s` is when what comes out of it is wanted, where nothing comes after it but the table.
    """

    key: str
    name: str
    kind: StepKind
    length: Duration
    needs: tuple[str, ...] = ()
    waits: bool = False
    state: StepState = "to_come"
    began_s: float | None = None
    ended_s: float | None = None
    wanted_s: float | None = None
    pit_c: float | None = None
    item: str = ""
    text: str = ""
    sort: str = ""

    @property
    def open(self) -> bool:
        """Whether something of it is still to come."""
        return self.state in ("to_come", "under_way")


def dishes_of_their_own(plan: Plan, schedule: Schedule) -> list[tuple[int, ItemAdded]]:
    """The items that don't go through the schedule with the lead probe, though something is said of
    them. Without a schedule these are all of which something is said."""
    lead = lead_item(plan)
    found = []
    for key, item in plan.items:
        if schedule.stages and lead is not None and key == lead[0]:
            continue
        if item.target_c is not None or item.takes_s is not None or item.pit_c is not None:
            found.append((key, item))
    return found


def first_pit_c(schedule: Schedule) -> float | None:
    """What the schedule sets the pit to first with the food on [°C]; None where it never does."""
    hot = [s for s in schedule.stages if s.pit_target_c is not None]
    cooking = [s for s in hot if not warms_up(s)]
    return (cooking or hot)[0].pit_target_c if hot else None


def nodes_of(
    plan: Plan,
    schedule: Schedule,
    lived: Sequence[LivedStep],
    now_s: float,
    physics: Physics,
    earlier: AskEarlier = nothing_earlier,
    standing: Standing | None = None,
) -> tuple[Node, ...]:
    """Every step, each after all that it needs. `standing` where the cook is under way or over."""
    dishes = dishes_of_their_own(plan, schedule)
    alone = {item.name for _, item in dishes}
    prep = _prep(plan, lived, now_s, earlier)
    warm, stages = _stages(plan, schedule, now_s, physics, earlier, standing)
    nodes = [*prep, *warm]
    hot = tuple(node.key for node in warm)

    def prep_for(names: set[str] | None, not_names: set[str]) -> tuple[str, ...]:
        return tuple(
            node.key
            for node in prep
            if not node.item or (node.item in names if names else node.item not in not_names)
        )

    before: tuple[str, ...] = (*prep_for(None, alone), *hot)
    for n, node in enumerate(stages):
        nodes.append(replace(node, needs=before, waits=n == 0))
        before = (node.key,)
    ends = list(before) if stages else []
    for key, item in dishes:
        on, off = _dish(key, item, plan, schedule, physics, earlier, standing)
        nodes.append(replace(on, needs=(*prep_for({item.name}, set()), *hot), waits=True))
        nodes += off
        ends.append((off[-1] if off else on).key)
    if not ends:
        ends = [node.key for node in nodes]
    done = standing is not None and standing.phase == "done"
    nodes.append(
        Node(
            SERVE,
            translate("PlanSteps", "At the table"),
            "serve",
            said(0.0),
            tuple(ends),
            state="over" if done else "to_come",
        )
    )
    return tuple(nodes)


# -- prep ----------------------------------------------------------------------------------------


def _prep(plan: Plan, lived: Sequence[LivedStep], now_s: float, earlier: AskEarlier) -> list[Node]:
    by_name = {item.name: item for _, item in plan.items}
    heaviest = max(by_name.values(), key=lambda i: piece_kg(i) or 0.0, default=None)
    nodes: list[Node] = []
    for step in lived:
        what = step.step
        item = by_name.get(what.item) if what.item else heaviest
        key = f"prep:{step.key}"
        length = prep_duration(what, step.intended_s, item, key, earlier)
        if step.state == "under_way" and step.began_s is not None:
            length = length.after(now_s - step.began_s)
        needs = tuple(
            other.key
            for other in nodes
            if not what.item or not other.item or other.item == what.item
        )
        nodes.append(
            Node(
                key,
                what.step,
                "prep",
                length,
                needs,
                waits=True,
                state=step.state,
                began_s=step.began_s,
                ended_s=step.ended_s,
                item=what.item,
                text=what.text,
                sort=sort_of(what),
            )
        )
    return nodes


# -- the schedule --------------------------------------------------------------------------------


def _stages(
    plan: Plan,
    schedule: Schedule,
    now_s: float,
    physics: Physics,
    earlier: AskEarlier,
    standing: Standing | None,
) -> tuple[list[Node], list[Node]]:
    """The stages that bring the pit up, and those that come then."""
    lead = lead_item(plan)
    item = lead[1] if lead is not None else None
    last_target = max(
        (n for n, s in enumerate(schedule.stages) if targets(s, plan.lead or LEAD)), default=-1
    )
    lived = _lived_stages(standing)
    warm: list[Node] = []
    rest: list[Node] = []
    for n, stage in enumerate(schedule.stages):
        first = warms_up(stage) and not rest
        resting = n > last_target and is_rest(stage)
        kind: StepKind = "warm_up" if first else "rest" if resting else "stage"
        state, began_s, ended_s = lived.get(stage.key, ("to_come", None, None))
        found = targets(stage, plan.lead or LEAD)
        asked = LengthAsked(
            kind,
            stage.name,
            item=None if first else item,
            pit_c=stage.pit_target_c,
            target_c=found[-1] if found else None,
        )
        drawn = physics.stages.get(stage.key)
        if state == "under_way" and drawn is not None:
            # The forecast says what is left of it.
            length = Duration(drawn, "physics")
        else:
            rest_s = item.rest_s if item is not None and resting else None
            length = stage_duration(stage, drawn, asked, earlier, rest_s)
            if state == "under_way" and began_s is not None:
                length = length.after(now_s - began_s)
        node = Node(
            "warm" if first and not warm else f"stage:{stage.key}",
            stage.name,
            kind,
            length,
            tuple(w.key for w in warm[-1:]) if first else (),
            waits=first and not warm,
            state=state,
            began_s=began_s,
            ended_s=ended_s,
            pit_c=stage.pit_target_c,
            item="" if first or item is None else item.name,
            text=stage.instruction,
        )
        (warm if first else rest).append(node)
    return warm, rest


def _lived_stages(
    standing: Standing | None,
) -> dict[str, tuple[StepState, float | None, float | None]]:
    """State, beginning and end by stage key, of those that were lived or passed over."""
    if standing is None or standing.phase == "planned":
        return {}
    found: dict[str, tuple[StepState, float | None, float | None]] = {}
    for run in standing.runs:
        skipped = run.how == "skipped"
        state: StepState = (
            "under_way" if run.ended_at_s is None else "skipped" if skipped else "over"
        )
        found[run.stage.key] = (state, run.began_at_s, run.ended_at_s)
    return found


# -- dishes --------------------------------------------------------------------------------------


def _dish(
    key: int,
    item: ItemAdded,
    plan: Plan,
    schedule: Schedule,
    physics: Physics,
    earlier: AskEarlier,
    standing: Standing | None,
) -> tuple[Node, list[Node]]:
    wanted_s = item.ready_at_s if item.ready_at_s is not None else plan.ready_at_s
    pit_c = item.pit_c if item.pit_c is not None else first_pit_c(schedule)
    length = dish_duration(item, pit_c, physics.dishes.get(key), earlier)
    # When another dish went on or came off is not in the log: with the cook closed it is over.
    state: StepState = "over" if standing is not None and standing.phase == "done" else "to_come"
    on = Node(
        f"on:{item_key(key, item)}",
        item.name,
        "dish",
        length,
        state=state,
        wanted_s=wanted_s,
        pit_c=pit_c,
        item=item.name,
    )
    if not item.rest_s:
        return on, []
    rest = Node(
        f"rest:{item_key(key, item)}",
        translate("PlanSteps", "Rest"),
        "rest",
        Duration(constant(item.rest_s), "said"),
        (on.key,),
        state=state,
        wanted_s=wanted_s,
        item=item.name,
    )
    return on, [rest]


def draws_of(length: Duration) -> FloatArray:
    """The draws of a duration, shape (DRAWS,); NaN all through where it isn't known."""
    if length.draws_s is None:
        return np.full(DRAWS, np.nan)
    return length.draws_s
