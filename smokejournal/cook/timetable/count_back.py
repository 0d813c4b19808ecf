"""A plan counted back from the table: when each step is to begin, and the chance of being late.

Every duration is a set of draws, so that what is uncertain adds up as it should. From the moment at
which a dish is wanted, less the cook's own margin, each draw is followed back through what it needs:
that gives, for every step, the moments at which it would just be in time. It is planned to begin so
early that four in five of them are still to come, its latest start leaves every other one, its
earliest nineteen in twenty. (The shares are our own judgment; no source.) A step that may last longer
than it must, such as drying, may begin earlier still.

The chance of being late is found the other way round: the cook begins each step as planned, but not
before now nor before what it needs is over, and the draws run forward to the table.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from smokejournal.cook.forecast.intervals import span_of
from smokejournal.cook.log.readings import FloatArray
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.plan.plan import Plan, lead_item
from smokejournal.cook.plan.prep_progress import LivedStep
from smokejournal.cook.progress.standing import Standing
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.cook.text.translate import translate
from smokejournal.cook.timetable.clashes import clashes_of, order_of
from smokejournal.cook.timetable.durations import DRAWS, AskEarlier, nothing_earlier
from smokejournal.cook.timetable.steps import SERVE, Node, Physics, draws_of, nodes_of
from smokejournal.cook.timetable.timetable import (
    Lateness,
    Timetable,
    TimetableStep,
    When,
)

#: Shares of the draws that are too early to be in time at the earliest, planned and latest start.
EARLIEST, PLANNED, LATEST = 0.05, 0.2, 0.5
HOUR_S = 3600.0


def count_back(
    plan: Plan,
    schedule: Schedule,
    lived: Sequence[LivedStep],
    now_s: float,
    physics: Physics | None = None,
    earlier: AskEarlier = nothing_earlier,
    standing: Standing | None = None,
    units: Units = METRIC,
) -> Timetable:
    """The plan, counted back. `schedule` is the one that is looked at, kept or not.

    `standing` is where the cook stands, for one that is under way or over.
    """
    nodes = nodes_of(plan, schedule, lived, now_s, physics or Physics(), earlier, standing)
    wanted = _wanted(nodes, plan)
    timetable = Timetable(
        now_s,
        plan.zone,
        plan.ready_at_s,
        plan.margin_s,
        steps=tuple(_step(node, None, None) for node in nodes),
        unknown=_unknown(nodes),
    )
    if not wanted:
        return timetable
    late_by = _backward(nodes, wanted, plan.margin_s, longest=False)
    early_by = _backward(nodes, wanted, plan.margin_s, longest=True)
    after = _after(nodes)
    starts = {n.key: _when(early_by.starts[n.key], late_by.starts[n.key]) for n in nodes}
    ends = {n.key: _when(early_by.ends[n.key], late_by.ends[n.key]) for n in nodes}
    steps = [_step(node, starts[node.key], ends[node.key]) for node in nodes]
    lateness = _lateness(plan, nodes, wanted, starts, now_s)
    steps = _in_order(steps, after)
    return replace(
        timetable,
        steps=tuple(steps),
        lateness=lateness,
        clashes=clashes_of(plan, nodes, steps, now_s, lateness, units),
        order=order_of(steps),
    )


# -- back ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Pass:
    """By key, the moments at which a step has to begin and to be over in each draw, shape (DRAWS,);
    NaN where that can't be told."""

    starts: Mapping[str, FloatArray]
    ends: Mapping[str, FloatArray]


def _wanted(nodes: Sequence[Node], plan: Plan) -> dict[str, float]:
    """When what comes out of each last step is wanted, by the step's key."""
    serve = nodes[-1]
    assert serve.kind == SERVE
    by_key = {node.key: node for node in nodes}
    found: dict[str, float] = {}
    lead = lead_item(plan)
    for key in serve.needs:
        node = by_key[key]
        wanted_s = node.wanted_s
        if node.kind != "dish" and wanted_s is None and lead is not None:
            wanted_s = lead[1].ready_at_s
        if wanted_s is None:
            wanted_s = plan.ready_at_s
        if wanted_s is not None:
            found[key] = wanted_s
    return found


def _after(nodes: Sequence[Node]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {node.key: [] for node in nodes}
    for node in nodes:
        for need in node.needs:
            found[need].append(node.key)
    return found


def _backward(
    nodes: Sequence[Node],
    wanted: Mapping[str, float],
    margin_s: float,
    *,
    longest: bool,
) -> _Pass:
    """With `longest` every step is given the time that it may last, else the time that it must."""
    after = _after(nodes)
    starts: dict[str, FloatArray] = {}
    ends: dict[str, FloatArray] = {}
    for node in reversed(nodes):
        if node.key == SERVE:
            at_s = max(wanted.values()) - margin_s
            starts[SERVE] = ends[SERVE] = np.full(DRAWS, at_s)
            continue
        by_s = np.full(DRAWS, wanted[node.key] - margin_s if node.key in wanted else math.inf)
        for key in after[node.key]:
            if key != SERVE:
                by_s = np.minimum(by_s, starts[key])
        by_s = np.where(np.isinf(by_s), np.nan, by_s)
        if node.state in ("over", "skipped"):
            # What is over bounds nothing; what was before it is bound by what comes after.
            starts[node.key] = ends[node.key] = by_s
            continue
        lasts_s = draws_of(node.length)
        if longest and node.length.longest_s is not None:
            lasts_s = np.maximum(lasts_s, node.length.longest_s)
        ends[node.key] = by_s
        starts[node.key] = by_s - lasts_s
    return _Pass(starts, ends)


def _when(early_s: FloatArray, late_s: FloatArray) -> When | None:
    if np.isnan(late_s).any() or np.isnan(early_s).any():
        return None
    earliest = float(np.quantile(early_s, EARLIEST, method="inverted_cdf"))
    planned, latest = np.quantile(late_s, (PLANNED, LATEST), method="inverted_cdf")
    return When(min(earliest, float(planned)), float(planned), float(latest))


# -- forward -------------------------------------------------------------------------------------


def _forward(
    nodes: Sequence[Node], starts: Mapping[str, When | None], now_s: float, sooner_s: float
) -> dict[str, FloatArray]:
    """When each step is over if the cook begins as planned, `sooner_s` earlier; shape (DRAWS,)."""
    ends: dict[str, FloatArray] = {}
    for node in nodes:
        needed = [ends[need] for need in node.needs]
        ready_s = np.max(needed, axis=0) if needed else np.full(DRAWS, -math.inf)
        if node.state in ("over", "skipped"):
            over_s = node.ended_s if node.ended_s is not None else now_s
            ends[node.key] = np.full(DRAWS, min(over_s, now_s))
            continue
        begin_s = np.maximum(ready_s, now_s)
        start = starts[node.key]
        if node.state == "to_come" and node.waits and start is not None:
            begin_s = np.maximum(begin_s, start.planned_s - sooner_s)
        ends[node.key] = begin_s + draws_of(node.length)
    return ends


def _lateness(
    plan: Plan,
    nodes: Sequence[Node],
    wanted: Mapping[str, float],
    starts: Mapping[str, When | None],
    now_s: float,
) -> Lateness | None:
    """None where it can't be told, or where nothing is to come any more."""
    by_key = {node.key: node for node in nodes}
    to_come = {key: at_s for key, at_s in wanted.items() if by_key[key].open}
    if not to_come:
        return None

    def behind(sooner_s: float) -> FloatArray:
        ends = _forward(nodes, starts, now_s, sooner_s)
        late = np.stack([ends[key] - at_s for key, at_s in to_come.items()])
        found: FloatArray = late.max(axis=0)
        return found

    as_planned = behind(0.0)
    if np.isnan(as_planned).any():
        return None
    early_s = np.maximum(-as_planned, 0.0)
    held = [item.hold_s for _, item in plan.items if item.hold_s is not None]
    hold_s = min(held, default=None)
    return Lateness(
        late=float(np.mean(as_planned > 0.0)),
        late_hour_earlier=float(np.mean(behind(HOUR_S) > 0.0)),
        early=span_of(early_s),
        hold_s=hold_s,
        over_hold=None if hold_s is None else float(np.mean(early_s > hold_s)),
    )


# -- what is shown -------------------------------------------------------------------------------


def _step(node: Node, start: When | None, end: When | None) -> TimetableStep:
    lived_start = None if node.began_s is None else When(node.began_s, node.began_s, node.began_s)
    if node.state in ("over", "skipped"):
        over = node.ended_s
        start, end = lived_start, None if over is None else When(over, over, over)
    elif node.state == "under_way":
        start = lived_start
    return TimetableStep(
        node.key,
        node.name,
        node.kind,
        node.length.span if node.kind != SERVE else None,
        node.length.source,
        start,
        end,
        node.state,
        node.began_s,
        node.ended_s,
        node.length.cooks,
        node.length.why,
        node.pit_c,
        node.item,
        node.needs,
        node.text,
        node.sort,
    )


def _in_order(
    steps: Sequence[TimetableStep], after: Mapping[str, Sequence[str]]
) -> list[TimetableStep]:
    """By their starts; one without times stays just before what needs it."""
    moment: dict[str, float] = {}
    for step in reversed(steps):
        later = [moment[key] for key in after[step.key]]
        if step.start is not None:
            moment[step.key] = step.start.planned_s
        else:
            moment[step.key] = min(later, default=math.inf)
    place = {step.key: n for n, step in enumerate(steps)}
    return sorted(steps, key=lambda s: (moment[s.key], place[s.key]))


def _unknown(nodes: Sequence[Node]) -> tuple[str, ...]:
    return tuple(
        translate("CountBack", "{step}: {why}").format(step=node.name, why=node.length.why)
        for node in nodes
        if node.open and node.length.draws_s is None
    )
