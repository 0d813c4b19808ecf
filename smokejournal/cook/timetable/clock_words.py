"""Moments of a plan that is counted back, on the clock where the cook is.

None is told more finely than its interval allows, and each at the earlier end of that, so that whoever
goes by the clock is rather early. A moment comes with its day where it isn't the one spoken of.
"""

from __future__ import annotations

import math

from smokejournal.cook.forecast.intervals import MINUTE_S, step_s
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.times import local
from smokejournal.cook.text.translate import translate
from smokejournal.cook.timetable.timetable import When

#: A weekday's name alone is clear so far from now [s].
WEEK_S = 6 * 86400.0


def weekday(at_s: float, zone: str) -> str:
    """ "Sat", where the cook is."""
    when = local(at_s, zone)
    if when is None:
        return ""
    return (
        translate("Quantities", "Mon"),
        translate("Quantities", "Tue"),
        translate("Quantities", "Wed"),
        translate("Quantities", "Thu"),
        translate("Quantities", "Fri"),
        translate("Quantities", "Sat"),
        translate("Quantities", "Sun"),
    )[when.weekday()]


def day_words(at_s: float, zone: str, units: Units) -> str:
    """ "Sat 28 Nov"."""
    return translate("Timetable", "{weekday} {day}").format(
        weekday=weekday(at_s, zone), day=q.day(at_s, zone, units)
    )


def moment(at_s: float, beside_s: float, zone: str, units: Units) -> str:
    """ "06:40", or "Sat 06:40" where that is another day than `beside_s`, or "28 Nov, 06:40"."""
    clock = q.clock_time(at_s, zone, units)
    here, there = local(at_s, zone), local(beside_s, zone)
    if here is None or there is None or here.date() == there.date():
        return clock
    if abs(at_s - beside_s) <= WEEK_S:
        return f"{weekday(at_s, zone)} {clock}"
    return translate("Forecast", "{day}, {clock}").format(day=q.day(at_s, zone, units), clock=clock)


def told(when: When) -> When:
    """Moments as finely as they may be told, each at the earlier end [UTC seconds]."""
    step = step_s(when.latest_s - when.earliest_s)

    def down(at_s: float) -> float:
        # A sum of seconds may end a hair before the minute that is meant.
        return math.floor(at_s / step + 1e-6) * step

    return When(down(when.earliest_s), down(when.planned_s), down(when.latest_s))


def between(when: When, zone: str, units: Units) -> str:
    """ "05:30 – 07:10", with days where they aren't that of the planned moment; empty for one moment."""
    shown = told(when)
    if shown.latest_s - shown.earliest_s < MINUTE_S:
        return ""
    low = moment(shown.earliest_s, shown.planned_s, zone, units)
    high = moment(shown.latest_s, shown.planned_s, zone, units)
    return f"{low} – {high}"
