"""What made a finished cook last: against its plan as it stood when it began, and against earlier cooks.

Times are from when the meat went in to when it came off. What the plan or the earlier cooks don't say is
not compared: a plan names no temperature of the raw meat, and it has no lids.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import Final, Literal

from smokejournal.cook.forecast.cook_so_far import NoForecast, WhyNot
from smokejournal.cook.forecast.cut import cut_of_item
from smokejournal.cook.forecast.legs import LegsAhead, ahead
from smokejournal.cook.learning.lessons import came_s, look_back, too_short
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    CookClosed,
    ItemAdded,
    ScheduleStarted,
    TimeExplained,
    TimePartFound,
    TimePartName,
    TimesKept,
    Weighed,
)
from smokejournal.cook.log.schedule import UntilTemperature
from smokejournal.cook.log.stage_meaning import targets, warms_up
from smokejournal.cook.plan.plan import item_of_probe, piece_kg, plan_of
from smokejournal.cook.progress.lids import lid_spans
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.progress.standing import StageRun, Standing, off_s
from smokejournal.science.forecast.explanation import (
    Conditions,
    PitChange,
    WhyUnexplained,
    WrapChange,
    conditions_of,
    explain,
)
from smokejournal.science.forecast.heating_prior import radius_of
from smokejournal.science.forecast.meat_record import clean
from smokejournal.science.forecast.values import CookSoFar

#: So many earlier cooks make a usual; of more the newest.
FEWEST, NEWEST = 2, 6
#: Targets that are no further apart [K] are the same one.
SAME_TARGET_K: Final = 4.0

WhyNotLasted = Literal[
    WhyNot,
    WhyUnexplained,
    "not_reached",  # the lead probe never came to its target
    "too_short",  # the readings are too short
    "no_reference",  # neither a plan nor earlier cooks to compare with
]


@dataclass(frozen=True, slots=True)
class Lived:
    """A finished cook up to its target, `took_s` from when the meat went in, and for how long it stayed on after
    that (`held_s`; None: not known). `set_c` is the mean of its set point."""

    cook: CookSoFar
    lids: tuple[tuple[float, float], ...]
    conditions: Conditions
    took_s: float
    held_s: float | None = None
    set_c: float | None = None


@dataclass(frozen=True, slots=True)
class Meant:
    """What it is compared with. `expected_s` up to the target; None: the model says it."""

    against: Literal["plan", "usual"]
    conditions: Conditions
    expected_s: float | None = None
    held_s: float | None = None
    set_c: float | None = None
    cooks: int = 0


def lived(log: CookLog) -> Lived | WhyNotLasted:
    """How a finished cook went, or why that can't be told."""
    answer = look_back(log)
    if isinstance(answer, NoForecast):
        return answer.why
    if too_short(answer):
        return "too_short"
    if came_s(log, answer) is None:
        return "not_reached"
    entries = log.holding()
    cook = answer.cook
    if answer.item is not None:
        cook = replace(cook, mass_kg=_raw_kg(log, answer.item) or cook.mass_kg)
    lids = tuple(
        (span.from_s, cook.now_s if span.to_s is None else span.to_s)
        for span in lid_spans(entries)
        if span.from_s < cook.now_s
    )
    conditions, record = conditions_of(cook, lids), clean(cook)
    if conditions is None or record is None:
        return "no_readings"
    closed_s = [e.at_s for e in entries if isinstance(e.what, CookClosed)][-1]
    standing = fold(log, closed_s)
    came_off_s = off_s(standing.runs)
    return Lived(
        cook,
        lids,
        replace(conditions, sets=_by_probe(conditions.sets, cook, standing)),
        cook.now_s - record.start_s,
        None if came_off_s is None else max(0.0, came_off_s - cook.now_s),
        _mean_set_c(cook, record.start_s),
    )


def planned(log: CookLog, one: Lived) -> Meant | None:
    """The plan as it stood when the schedule was started; None where it waits for no probe."""
    started = next((e for e in log.holding() if isinstance(e.what, ScheduleStarted)), None)
    if started is None:
        return None
    # What was changed later was struck later.
    before = CookLog(log.cook_id, tuple(e for e in log.entries if e.id <= started.id))
    standing = fold(before, started.at_s)
    lead = standing.lead
    if lead is None:
        return None
    plan = ahead(standing, lead, wrapped=False)
    if plan.target is None:
        return None
    sets, wraps = _courses(plan, standing)
    return Meant(
        "plan",
        Conditions(
            radius_m=_planned_radius_m(before, standing, one),
            pit_k=0.0,
            lid_k=0.0,
            sets=sets,
            wraps=wraps,
        ),
        _kept_s(before, plan),
        _planned_hold_s(plan, standing),
        sets[0].pit_c if sets and len({each.pit_c for each in sets}) == 1 else None,
    )


def usual(one: Lived, earlier: Sequence[Lived]) -> Meant | None:
    """The median of earlier cooks (the newest first) of the same cut to the same target; None where they are too few."""
    alike = [
        each
        for each in earlier
        if each.cook.cut == one.cook.cut
        and abs(each.cook.target_c - one.cook.target_c) <= SAME_TARGET_K
    ][:NEWEST]
    if len(alike) < FEWEST:
        return None
    set_c = _median([each.set_c for each in alike])
    sets = None
    if one.conditions.sets is not None and set_c is not None and one.set_c is not None:
        # The same steps, in the mean as hot as usual.
        by_k = set_c - one.set_c
        sets = tuple(replace(each, pit_c=each.pit_c + by_k) for each in one.conditions.sets)
    return Meant(
        "usual",
        Conditions(
            _median([each.conditions.start_c for each in alike]),
            _median([each.conditions.radius_m for each in alike]),
            _median([each.conditions.pit_k for each in alike]),
            _median([each.conditions.lid_k for each in alike]),
            sets,
            _usual_wrap([each.conditions.wraps for each in alike]),
        ),
        median(each.took_s for each in alike),
        _median([each.held_s for each in alike]),
        set_c,
        len(alike),
    )


def what_made_it_last(one: Lived, meant: Meant) -> TimeExplained | WhyNotLasted:
    """The parts, each cause with what it was and was meant to be. Slow: a second or two."""
    found = explain(
        one.cook, meant.conditions, one.lids, was=one.conditions, expected_s=meant.expected_s
    )
    if isinstance(found, str):
        return found
    parts = [
        _part(part.name, (part.mean_s, part.low_s, part.high_s), one, found.was, meant)
        for part in found.parts
    ]
    took_s, expected_s = found.took_s, found.expected_s
    if one.held_s is not None and meant.held_s is not None:
        longer_s = one.held_s - meant.held_s
        parts.append(_part("held", (longer_s, longer_s, longer_s), one, found.was, meant))
        took_s, expected_s = took_s + one.held_s, expected_s + meant.held_s
    return TimeExplained(
        meant.against,
        round(took_s, 1),
        round(expected_s, 1),
        tuple(sorted(parts, key=lambda part: -abs(part.mean_s))),
        meant.cooks,
        meant.expected_s is not None,
    )


def _part(
    name: TimePartName,
    time_s: tuple[float, float, float],
    one: Lived,
    was: Conditions,
    meant: Meant,
) -> TimePartFound:
    of = meant.conditions
    pairs: dict[TimePartName, tuple[float | None, float | None]] = {
        "start": (was.start_c, of.start_c),
        "size": (was.radius_m, of.radius_m),
        "pit": (was.pit_k, of.pit_k),
        "lids": (was.lid_k, of.lid_k),
        "set_point": (one.set_c, meant.set_c),
        "held": (one.held_s, meant.held_s),
    }
    mean_s, low_s, high_s = (round(value, 1) for value in time_s)
    if name == "wrap":
        first, other = _first_wrap(was.wraps), _first_wrap(of.wraps)
        return TimePartFound(
            "wrap",
            mean_s,
            low_s,
            high_s,
            None if first is None else first.at_probe_c,
            None if other is None else other.at_probe_c,
            _material(first),
            _material(other),
        )
    a, b = pairs.get(name, (None, None))
    return TimePartFound(name, mean_s, low_s, high_s, _short(a), _short(b))


def _short(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.5g}")


def _first_wrap(wraps: Sequence[WrapChange] | None) -> WrapChange | None:
    return next((one for one in wraps or () if one.material is not None), None)


def _material(wrap: WrapChange | None) -> Literal["none", "foil", "paper"]:
    return "none" if wrap is None or wrap.material is None else wrap.material


# -- as it was -------------------------------------------------------------------------------


def _raw_kg(log: CookLog, item: ItemAdded) -> float | None:
    """What one piece weighed raw, where it was weighed and it is plain which."""
    items = [what for _, what in log.of(ItemAdded)]
    weighed = [what for _, what in log.of(Weighed) if what.stage == "raw"]
    of_it = [w for w in weighed if w.item == item.name or (not w.item and len(items) == 1)]
    return of_it[-1].mass_kg / item.pieces if of_it else None


def _by_probe(
    sets: tuple[PitChange, ...] | None, cook: CookSoFar, standing: Standing
) -> tuple[PitChange, ...] | None:
    """The set points as they were changed: with a stage that ended by the probe, or by the clock."""
    if not sets or standing.lead is None:
        return sets
    after = sorted(cook.set_points, key=lambda p: p.time_s)[-(len(sets) - 1) :]
    ended: dict[float, StageRun] = {
        run.began_at_s: before
        for before, run in zip(standing.runs, standing.runs[1:], strict=False)
    }
    found = [sets[0]]
    for one, point in zip(sets[1:], after, strict=False):
        before = ended.get(point.time_s)
        aims = targets(before.stage, standing.lead) if before is not None else []
        by_probe = before is not None and before.how in ("rule", "confirmed") and aims
        found.append(PitChange(one.pit_c, None, max(aims)) if by_probe else one)
    return tuple(found)


def _mean_set_c(cook: CookSoFar, start_s: float) -> float | None:
    points = sorted(cook.set_points, key=lambda p: p.time_s)
    ends = [*(p.time_s for p in points[1:]), cook.now_s]
    spans = [
        (max(0.0, end - max(p.time_s, start_s)), p.pit_c)
        for p, end in zip(points, ends, strict=True)
    ]
    whole = sum(span for span, _ in spans)
    return sum(span * pit_c for span, pit_c in spans) / whole if whole > 0 else None


# -- as it was planned -----------------------------------------------------------------------


def _courses(
    plan: LegsAhead, standing: Standing
) -> tuple[tuple[PitChange, ...] | None, tuple[WrapChange, ...] | None]:
    """Set points and wraps up to the target; None from where on the plan doesn't say when."""
    assert plan.target is not None
    sets: list[PitChange] | None = []
    wraps: list[WrapChange] | None = []
    after_s, at_c = 0.0, None
    known = True
    for one in plan.legs[: plan.target + 1]:
        stage = standing.schedule.stage(one.key)
        if stage is not None and warms_up(stage):
            continue
        leg = one.leg
        when = (None, at_c) if at_c is not None else (after_s, None)
        if leg.pit_c is not None and (not sets or sets[-1].pit_c != leg.pit_c):
            sets = [*sets, PitChange(leg.pit_c, *when)] if known and sets is not None else None
        if leg.wrap is not None:
            wraps = [*wraps, WrapChange(leg.wrap, *when)] if known and wraps is not None else None
        if leg.until_probe_c is not None:
            known, at_c = True, leg.until_probe_c
        elif leg.for_s is not None and at_c is None:
            after_s += leg.for_s
        elif leg.for_s is not None:
            # So long after a temperature: neither of the two says that.
            known = False
    return (tuple(sets) if sets else None), (None if wraps is None else tuple(wraps))


def _planned_hold_s(plan: LegsAhead, standing: Standing) -> float | None:
    """What is planned on the pit after the target, with what it takes to be proven; None where the plan
    doesn't say how long."""
    assert plan.target is not None
    target = plan.legs[plan.target]
    target_c = target.leg.until_probe_c or -math.inf
    stage = standing.schedule.stage(target.key)
    rules = () if stage is None else stage.rules
    held_s = max((r.prove_s for r in rules if isinstance(r, UntilTemperature)), default=0.0)
    for one in plan.legs[plan.target + 1 :]:
        if one.leg.resting:
            break
        # It is as warm as the hold asks for already.
        if one.leg.until_probe_c is not None and one.leg.until_probe_c <= target_c:
            continue
        if one.leg.for_s is None:
            return None
        held_s += one.leg.for_s
    return held_s


def _kept_s(before: CookLog, plan: LegsAhead) -> float | None:
    """From the first stage on the pit to the end of the one with the target, by the times that were kept."""
    assert plan.target is not None
    kept = [what for _, what in before.of(TimesKept)]
    standing = plan_of(before).schedule
    keys = [one.key for one in plan.legs]
    following = next((k for k in keys[plan.target + 1 :] if k != keys[plan.target]), None)
    # A hold within the same stage can't be taken apart from the way to the target.
    if not kept or following is None or keys.count(keys[plan.target]) > 1:
        return None
    cooked = [
        one.key
        for one in plan.legs[: plan.target + 1]
        if (stage := standing.stage(one.key)) is None or not warms_up(stage)
    ]
    starts = kept[-1].starts
    begin_s, end_s = starts.get(f"stage:{cooked[0]}"), starts.get(f"stage:{following}")
    if begin_s is None or end_s is None or end_s <= begin_s:
        return None
    return end_s - begin_s


def _planned_radius_m(before: CookLog, standing: Standing, one: Lived) -> float | None:
    plan = plan_of(before)
    found, _ = item_of_probe(plan.items, plan.channels.get(standing.lead or ""))
    if found is None:
        return None
    item = found[1]
    mass_kg, thickness_m = piece_kg(item), item.thickness_m
    # Measured in another way, the two would differ by that.
    if (thickness_m is None) != (one.cook.thickness_m is None):
        return None
    if (mass_kg is None and thickness_m is None) or cut_of_item(item) != one.cook.cut:
        return None
    return radius_of(one.cook.cut, mass_kg, thickness_m)[0]


# -- as it is usually ------------------------------------------------------------------------


def _median(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None and math.isfinite(value)]
    return median(known) if len(known) >= FEWEST else None


def _usual_wrap(
    wraps: Sequence[tuple[WrapChange, ...] | None],
) -> tuple[WrapChange, ...] | None:
    """As most of them were; None where there is no most."""
    first = [_first_wrap(each) for each in wraps]
    counts = Counter(_material(each) for each in first)
    most = counts.most_common(2)
    if len(most) > 1 and most[0][1] == most[1][1]:
        return None
    if most[0][0] == "none":
        return ()
    at_c = _median(
        [each.at_probe_c for each in first if each is not None and each.material == most[0][0]]
    )
    return None if at_c is None else (WrapChange(most[0][0], None, at_c),)
