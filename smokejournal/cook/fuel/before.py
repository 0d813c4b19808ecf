"""What fuel a plan will take whose stages wait for the meat, before anything of it was read.

How long the fire burns then comes from the forecast with nothing but its prior: a generic piece of this
cut and size, put on a pit that is up. That is wide, as it should be.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from smokejournal.cook.forecast.cut import cut_of_item
from smokejournal.cook.forecast.intervals import TimeInterval, span_of
from smokejournal.cook.forecast.legs import PlannedLeg, ahead
from smokejournal.cook.fuel.course import WARM_UP_S
from smokejournal.cook.fuel.rate import Belief, Estimate, Outdoors, given_sd
from smokejournal.cook.fuel.until import fire_until_off, needed_of, on_the_pit
from smokejournal.cook.log.entries import ItemAdded
from smokejournal.cook.log.readings import FloatArray
from smokejournal.cook.log.schedule import LEAD, Schedule, UntilSaid
from smokejournal.cook.log.stage_meaning import warms_up
from smokejournal.cook.plan.plan import piece_kg
from smokejournal.cook.progress.standing import Standing
from smokejournal.science.forecast.fuel_margin import Store, margin
from smokejournal.science.forecast.values import CookSoFar, Forecast, SetPoint
from smokejournal.science.heat.heat_loss import Cooker
from smokejournal.science.numbers.ranges import OutOfRange

#: Meat from the refrigerator [°C]: common practice, no source.
START_C = 5.0
#: Two readings a minute apart tell of no course, so that the prior alone speaks.
_APART_S = 60.0


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan as a forecast takes it: `cook` with a meat that has just gone on, at moment 0.

    `pit_c` is what the pit is set to first, `warm_up_s` how long it comes up before that, `item` what
    the time was taken from (None: nothing was said of the food).
    """

    cook: CookSoFar
    legs: tuple[PlannedLeg, ...]
    pit_c: float
    warm_up_s: float
    item: ItemAdded | None


@dataclass(frozen=True, slots=True)
class FuelBefore:
    """What a plan will take. `fire_s`: how long its fire burns, warming up included (high may be inf).

    Where `more`, the upper end of `total_kg` is only what burns as far as the forecast looks.
    """

    total_kg: Estimate
    more: bool
    fire_s: TimeInterval
    item: ItemAdded | None = None


def planned(schedule: Schedule, lead: str | None, item: ItemAdded | None) -> Planned | None:
    """What the forecast is to be asked of `item` (`plan.lead_item`); None where no stage with fire waits for the meat, or where a
    stage on the pit ends nobody knows when."""
    standing = Standing(0.0, schedule=schedule, upcoming=schedule.stages)
    plan = ahead(standing, lead or LEAD, wrapped=False)
    hot = [s.pit_target_c for s in schedule.stages if s.pit_target_c is not None]
    if plan.target is None or not hot or not on_the_pit(plan.legs):
        return None
    unknown = {a.stage for a in plan.assumed if a.code == "open_end"}
    for stage in schedule.stages:
        if warms_up(stage):
            continue  # it is over before the meat goes on
        said = all(isinstance(rule, UntilSaid) for rule in stage.rules)
        if stage.pit_target_c is not None and (said or stage.name in unknown):
            return None
    target_c = plan.legs[plan.target].leg.until_probe_c
    assert target_c is not None
    warming = [s for s in schedule.stages if warms_up(s)]
    time_s = np.array([0.0, _APART_S])
    cook = CookSoFar(
        time_s=time_s,
        pit_c=np.full(2, hot[0]),
        probe_c=np.full(2, START_C),
        now_s=_APART_S,
        target_c=target_c,
        cut=cut_of_item(item) if item is not None else "other",
        mass_kg=piece_kg(item) if item is not None else None,
        thickness_m=item.thickness_m if item is not None else None,
        start_s=0.0,
        set_points=(SetPoint(0.0, hot[0]),),
        legs=tuple(leg.leg for leg in plan.legs),
    )
    return Planned(cook, plan.legs, hot[0], WARM_UP_S * len(warming[:1]), item)


def fuel_before(
    plan: Planned, forecast: Forecast, cooker: Cooker, belief: Belief, out: Outdoors
) -> FuelBefore | None:
    """The fuel of a plan, from the forecast of `plan.cook`; None where it can't be estimated."""
    if forecast.legs_end_s is None:
        return None
    ends_s: FloatArray = forecast.legs_end_s + plan.warm_up_s
    fire = fire_until_off(ends_s, plan.legs, 0.0, plan.pit_c, cooker, out)
    if fire is None:
        return None
    try:
        spread = given_sd(cooker, plan.pit_c, out)
    except (OutOfRange, ValueError):
        return None
    factor = belief.predicted(spread)
    store = Store(factor.grid, factor.weights)
    total, more = needed_of(margin(store, fire), store, fire)
    return FuelBefore(total, more, span_of(fire.ends_s[-1]), plan.item)
