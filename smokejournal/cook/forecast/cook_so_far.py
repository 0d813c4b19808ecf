"""What a forecast of a cook is made from, read off its log: a `CookSoFar`, or why there is none."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np

from smokejournal.cook.forecast.cut import cut_of_item
from smokejournal.cook.forecast.legs import Assumed, LegsAhead, PlannedLeg, ahead
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import Entry, ItemAdded, ScheduleSet, Wrap, WrapMaterial
from smokejournal.cook.log.readings import Channel, FloatArray
from smokejournal.cook.log.schedule import PIT, Schedule
from smokejournal.cook.log.stage_meaning import targets, warms_up, wrap_material, wraps_at
from smokejournal.cook.plan.plan import in_one_piece, item_of_probe, piece_kg
from smokejournal.cook.progress.believed import believed
from smokejournal.cook.progress.standing import StageRun, Standing, channel_for
from smokejournal.science.forecast.values import (
    CookSoFar,
    Leg,
    PitPrior,
    SetPoint,
    Wrapped,
    Wrapping,
)

WhyNot = Literal[
    "not_begun",  # the cook has not begun
    "warming_up",  # the pit is coming up, the meat isn't on
    "over",  # all stages are over, or the cook is closed
    "past",  # the last stage that waits for the probe is over
    "no_lead",  # no lead probe is chosen
    "no_pit",  # no channel reads the pit
    "no_target",  # no stage waits for the lead probe
]

_TAKEN_AS: dict[WrapMaterial, Wrapping | None] = {
    "foil": "foil",
    "paper": "paper",
    "leaves": "paper",
    "pan": "foil",
    "none": None,
}


@dataclass(frozen=True, slots=True)
class NoForecast:
    """There is no forecast, and why."""

    why: WhyNot


@dataclass(frozen=True, slots=True)
class ForecastInput:
    """What a forecast is made from, and what it belongs to in the log.

    `legs` stand beside `cook.legs` one by one; `target` is the one that ends at the target. `item` is
    what the lead probe is taken to be in. `readings` counts those of the lead probe that can be used.
    `check` is another probe in the same single piece, whose readings are in `cook.check_c`.
    """

    cook: CookSoFar
    lead: Channel
    pit: Channel
    legs: tuple[PlannedLeg, ...]
    target: int
    readings: int
    first_s: float | None = None
    item: ItemAdded | None = None
    assumed: tuple[Assumed, ...] = ()
    check: Channel | None = None


Answer: TypeAlias = ForecastInput | NoForecast


def record_of(
    log: CookLog,
    standing: Standing,
    now_s: float,
    *,
    lead: str | None = None,
    prior: PitPrior | None = None,
) -> Answer:
    """What is known at `now_s` (UTC seconds). `lead` follows another probe than the one that leads.

    `standing` is where the cook stands at `now_s`. Nothing that came later is used.
    """
    why = _no_cook(standing)
    key = standing.lead
    if why is not None:
        return NoForecast(why)
    if key is None or key not in standing.channels:
        return NoForecast("no_lead")
    pit = channel_for(standing, PIT)
    if pit is None:
        return NoForecast("no_pit")
    run = standing.current
    if run is not None and warms_up(run.stage):
        return NoForecast("warming_up")
    entries = tuple(e for e in log.holding() if e.at_s <= now_s)
    wraps, assumed = _wraps(entries, standing)
    plan = ahead(standing, key, wrapped=bool(wraps) and wraps[-1].material is not None)
    target_c = _target_c(plan)
    if plan.target is None or target_c is None:
        ended = any(targets(run.stage, key) for run in standing.runs)
        return NoForecast("past" if ended else "no_target")
    followed = standing.channels.get(lead) if lead is not None else standing.channels[key]
    if followed is None:
        return NoForecast("no_lead")
    items = items_in(entries)
    found, unsure = item_of_probe(items, followed.channel)
    item = None if found is None else found[1]
    if unsure:
        assumed.append(Assumed("one_item"))
    check = _check(standing, items, followed.channel)
    read = [pit.channel, followed.channel, *([] if check is None else [check])]
    time_s, (pit_c, probe_c, *more) = _readings(log, entries, read, now_s)
    heard_s = time_s[np.isfinite(probe_c)]
    cook = CookSoFar(
        time_s=time_s,
        pit_c=pit_c,
        probe_c=probe_c,
        now_s=now_s,
        target_c=target_c,
        cut=cut_of_item(item) if item is not None else "other",
        mass_kg=piece_kg(item) if item is not None else None,
        thickness_m=item.thickness_m if item is not None else None,
        start_s=meat_in_s(standing),
        set_points=_set_points(entries, standing),
        wraps=tuple(wraps),
        legs=tuple(planned.leg for planned in plan.legs),
        prior=prior,
        check_c=more[0] if more else None,
    )
    return ForecastInput(
        cook=cook,
        lead=followed.channel,
        pit=pit.channel,
        legs=plan.legs,
        target=plan.target,
        readings=int(heard_s.size),
        first_s=float(heard_s[0]) if heard_s.size else None,
        item=item,
        assumed=tuple(dict.fromkeys((*assumed, *plan.assumed))),
        check=check,
    )


def items_in(entries: Sequence[Entry]) -> list[tuple[int, ItemAdded]]:
    """What is on the pit by these entries, each with its entry's number."""
    return [(e.id, e.what) for e in entries if isinstance(e.what, ItemAdded)]


# -- what if ---------------------------------------------------------------------------------


def if_wrapped(cook: CookSoFar, material: Wrapping) -> CookSoFar:
    """The same cook, wrapped now instead of whenever it was planned.

    Only what is to come differs, so that both are forecast by the same members.
    """
    first, *rest = _legs(cook)
    return replace(
        cook, legs=(replace(first, wrap=material), *(replace(leg, wrap=None) for leg in rest))
    )


def if_pit(cook: CookSoFar, pit_c: float) -> CookSoFar:
    """The same cook with the pit set to `pit_c` [°C] now.

    A stage to come that is to run hotter (or, where the pit is lowered, any that names its own
    temperature) still sets it so; what comes after the target stays as it was planned.
    """
    past = tuple(point for point in cook.set_points if point.time_s <= cook.now_s)
    raised = not past or pit_c >= max(past, key=lambda point: point.time_s).pit_c
    legs: list[Leg] = []
    on_the_way = True
    for n, leg in enumerate(_legs(cook)):
        changed = leg
        if on_the_way and not leg.resting:
            if n == 0:
                changed = replace(leg, pit_c=pit_c)
            elif leg.pit_c is not None and raised:
                changed = replace(leg, pit_c=max(leg.pit_c, pit_c))
        legs.append(changed)
        if leg.until_probe_c is not None and leg.until_probe_c >= cook.target_c:
            on_the_way = False
    return replace(cook, set_points=past, legs=tuple(legs))


def _legs(cook: CookSoFar) -> tuple[Leg, ...]:
    """What is planned; without any plan the way to the target."""
    return cook.legs or (Leg(until_probe_c=cook.target_c),)


def if_followed(record: ForecastInput, other: ForecastInput) -> CookSoFar:
    """The same cook, led by the probe of `other` (`record_of` with `lead`).

    In one piece the two change places: what was followed checks the other then.
    """
    return replace(
        record.cook,
        time_s=other.cook.time_s,
        pit_c=other.cook.pit_c,
        probe_c=other.cook.probe_c,
        check_c=other.cook.check_c,
    )


# -- parts -----------------------------------------------------------------------------------


def _no_cook(standing: Standing) -> WhyNot | None:
    if standing.phase == "planned":
        return "not_begun"
    if standing.phase == "closed":
        return "over"
    if standing.phase == "done" and standing.schedule.stages:
        return "over"
    return None


def _target_c(plan: LegsAhead) -> float | None:
    return None if plan.target is None else plan.legs[plan.target].leg.until_probe_c


def meat_in_s(standing: Standing) -> float | None:
    """When the meat went in (UTC seconds), where a stage that warmed up the pit tells it."""
    warmed = False
    for run in standing.runs:
        if warms_up(run.stage):
            warmed = True
        elif warmed:
            return run.began_at_s
    return None


def _check(
    standing: Standing, items: Sequence[tuple[int, ItemAdded]], followed: Channel
) -> Channel | None:
    """Another probe that is in the followed one's piece for certain: the check probe, the lead or else
    any other that was heard."""
    for key in dict.fromkeys((standing.check, standing.lead, *standing.channels)):
        state = standing.channels.get(key) if key is not None else None
        if state is None or key == followed.key or state.at_s is None:
            continue
        if state.channel.role == "meat" and in_one_piece(items, followed, state.channel):
            return state.channel
    return None


def _readings(
    log: CookLog, entries: Sequence[Entry], channels: Sequence[Channel], now_s: float
) -> tuple[FloatArray, list[FloatArray]]:
    """What is believed of each up to `now_s`, on one scale of time; NaN where one is missing."""
    traces = []
    for channel in channels:
        said = believed(log, channel, entries, now_s)
        traces.append((said.at_s, said.value_c))
    time_s: FloatArray = np.unique(np.concatenate([at_s for at_s, _ in traces]))
    columns = []
    for at_s, value_c in traces:
        column = np.full(time_s.size, np.nan)
        column[np.searchsorted(time_s, at_s)] = value_c
        columns.append(column)
    return time_s, columns


def _set_points(entries: Sequence[Entry], standing: Standing) -> tuple[SetPoint, ...]:
    """What the pit was set to so far, by the stages that ran and by edits while they did."""
    schedules = [(e.at_s, e.what.schedule) for e in entries if isinstance(e.what, ScheduleSet)]
    points: list[SetPoint] = []

    def say(at_s: float, pit_c: float | None) -> None:
        if pit_c is not None and (not points or points[-1].pit_c != pit_c):
            points.append(SetPoint(at_s, pit_c))

    for run in standing.runs:
        end_s = standing.at_s if run.ended_at_s is None else run.ended_at_s
        before = [schedule for at_s, schedule in schedules if at_s <= run.began_at_s]
        say(run.began_at_s, _pit_c(before[-1] if before else None, run))
        for at_s, schedule in schedules:
            if run.began_at_s < at_s < end_s and schedule.stage(run.stage.key) is not None:
                say(at_s, _pit_c(schedule, run))
    return tuple(points)


def _pit_c(schedule: Schedule | None, run: StageRun) -> float | None:
    stage = schedule.stage(run.stage.key) if schedule is not None else None
    return run.stage.pit_target_c if stage is None else stage.pit_target_c


def _wraps(entries: Sequence[Entry], standing: Standing) -> tuple[list[Wrapped], list[Assumed]]:
    """The wraps that were written down; without any, those that stages which ran speak of.

    That it was not wrapped at some moment speaks of no stage that began later.
    """
    told = [(e.at_s, e.what) for e in entries if isinstance(e.what, Wrap)]
    assumed: list[Assumed] = []
    wraps = [Wrapped(at_s, _TAKEN_AS[what.material]) for at_s, what in told]
    if any(wrap.material is not None for wrap in wraps):
        for _, what in told:
            if what.material in ("leaves", "pan"):
                assumed.append(Assumed("wrap_like", material=_TAKEN_AS[what.material]))
        return wraps, assumed
    bare_s = wraps[-1].time_s if wraps else -math.inf
    previous: StageRun | None = None
    for run in standing.runs:
        at_end = previous is not None and wraps_at(previous.stage) == "end"
        ended_well = previous is not None and previous.how in ("rule", "confirmed")
        if run.how in ("skipped", "put_back") or run.began_at_s <= bare_s:
            previous = run
            continue
        if wraps_at(run.stage) == "begin" or (at_end and ended_well):
            source = (
                run.stage if wraps_at(run.stage) == "begin" or previous is None else previous.stage
            )
            material = wrap_material(run.stage) or wrap_material(source)
            if material is None:
                assumed.append(Assumed("wrap_material", run.stage.name, "foil"))
            wraps.append(Wrapped(run.began_at_s, material or "foil"))
            assumed.append(Assumed("wrap_done", run.stage.name, material or "foil"))
            break
        previous = run
    return wraps, assumed
