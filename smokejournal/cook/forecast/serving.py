"""When it can be served, against when it is wanted: early, in time or late, and what to do about it.

Ready is when the last stage that the forecast can follow is over, the rest included.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from smokejournal.cook.forecast.clock_words import ForecastClock
from smokejournal.cook.forecast.cook_so_far import ForecastInput
from smokejournal.cook.forecast.intervals import TimeInterval, chance_by, span_of
from smokejournal.cook.forecast.legs import ahead
from smokejournal.cook.progress.standing import Standing
from smokejournal.cook.safety.cautions import keep_hot
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.chance_words import chance_words
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.forecast.values import FloatArray, Forecast

Verdict = Literal["late", "even", "in_time", "early"]

#: From this chance on something is called likely (our own judgment, no source).
LIKELY = 0.65
#: Done so much before it is wanted, food needs a plan for the time between [s]: longer than most rests
#: are stretched without thought (common practice, no source).
EARLY_S = 2700.0


@dataclass(frozen=True, slots=True)
class Serving:
    """When it is ready (UTC seconds, inf: later than was looked at) and the chance (0 to 1) that this
    is later than `wanted_s`."""

    wanted_s: float
    ready: TimeInterval
    late: float
    verdict: Verdict


def serving(forecast: Forecast, record: ForecastInput, wanted_s: float) -> Serving | None:
    """The forecast against the wanted time; None where the forecast tells none."""
    members, ready = ready_s(forecast, record), ready_span(forecast, record)
    if members is None or ready is None:
        return None
    late = 1.0 - chance_by(members, wanted_s)
    verdict: Verdict
    if late >= LIKELY:
        verdict = "late"
    elif late > 1.0 - LIKELY:
        verdict = "even"
    else:
        verdict = "early" if wanted_s - ready.mid >= EARLY_S else "in_time"
    return Serving(wanted_s, ready, late, verdict)


def ready_span(forecast: Forecast, record: ForecastInput) -> TimeInterval | None:
    """Between when and when it is ready [UTC seconds]; None where the forecast tells none."""
    members = ready_s(forecast, record)
    return None if members is None else span_of(np.maximum(members, forecast.now_s))


def ready_s(forecast: Forecast, record: ForecastInput) -> FloatArray | None:
    """When each member is ready, shape (m,); None where there are none."""
    ends_s = forecast.legs_end_s
    members = forecast.reach_s
    if ends_s is not None and len(record.legs) and ends_s.shape[0] == len(record.legs):
        members = ends_s[-1]
    if members is None or not members.size:
        return None
    return np.where(np.isnan(members), math.inf, members)


def ready_by_the_clock(standing: Standing) -> float | None:
    """When it is ready where only times are left to run [UTC seconds].

    None where anything else is still waited for, or where nothing is under way.
    """
    if standing.current is None:
        return None
    plan = ahead(standing, standing.lead or "", wrapped=True)
    left_s = [planned.leg.for_s for planned in plan.legs if planned.leg.until_probe_c is None]
    if (
        not left_s
        or len(left_s) < len(plan.legs)
        or any(a.code == "open_end" for a in plan.assumed)
    ):
        return None
    return standing.at_s + math.fsum(s or 0.0 for s in left_s)


def clock_only_words(ready_s: float, clock: ForecastClock) -> str:
    """ "Ready at 18:40." """
    minute_s = math.ceil(ready_s / 60.0) * 60.0
    return translate("Serving", "Ready at {time}.").format(time=clock.at(minute_s))


def ready_words(ready: TimeInterval, clock: ForecastClock) -> str:
    """ "Ready about 18:40 (17:50 – 20:10)" """
    return translate("Serving", "Ready {when}").format(when=clock.span(ready))


def serving_words(plan: Serving, clock: ForecastClock) -> str:
    """ "Wanted at 18:00: likely late (chance about 7 in 10)." """
    if plan.verdict == "early":
        verdict = translate("Serving", "likely early, by about {time}").format(
            time=q.duration(round((plan.wanted_s - plan.ready.mid) / 900.0) * 900.0)
        )
        chance = translate("Serving", "late: {chance}").format(chance=chance_words(plan.late))
    elif plan.verdict == "in_time":
        verdict = translate("Serving", "likely in time")
        chance = translate("Serving", "chance {chance}").format(
            chance=chance_words(1.0 - plan.late)
        )
    else:
        verdict = (
            translate("Serving", "likely late")
            if plan.verdict == "late"
            else translate("Serving", "it may be late")
        )
        chance = translate("Serving", "chance {chance}").format(chance=chance_words(plan.late))
    return translate("Serving", "Wanted at {time}: {verdict} ({chance}).").format(
        time=clock.at(plan.wanted_s), verdict=verdict, chance=chance
    )


def to_do(
    plan: Serving, forecast: Forecast, record: ForecastInput, units: Units
) -> tuple[str, ...]:
    """What the cook can do about it; nothing where it is in time."""
    if plan.verdict == "early":
        return (
            translate(
                "Serving",
                "To fill the time, rest it longer, wrapped, in an insulated box, or keep it hot.",
            ),
            keep_hot(units).in_full,
        )
    if plan.verdict == "in_time":
        return ()
    legs = record.legs
    resting = bool(legs) and legs[0].leg.resting
    told = []
    if forecast.standing in ("forecast", "may_not_reach") and not resting:
        wrapped = bool(record.cook.wraps) and record.cook.wraps[-1].material is not None
        told.append(
            translate("Serving", "To be done sooner, set the pit hotter. Below is by how much.")
            if wrapped
            else translate(
                "Serving",
                "To be done sooner, wrap it now or set the pit hotter. Below is by how much.",
            )
        )
    if any(planned.leg.resting for planned in legs):
        told.append(translate("Serving", "A shorter rest would save time too."))
    told.append(translate("Serving", "Don’t serve it before it is done: let the table wait."))
    return tuple(told)


def late_words(after: Forecast, record: ForecastInput, wanted_s: float) -> str:
    """What a change would do to the chance of being late; empty where that can't be told."""
    plan = serving(after, record, wanted_s)
    if plan is None or after.standing not in ("forecast", "may_not_reach", "reached"):
        return ""
    return translate("Serving", "Late then: {chance}.").format(chance=chance_words(plan.late))
