"""A forecast in words: when, between when and when, what comes after, and what it rests on.

No time stands without its interval, none lies before now, and none is told more finely than its
interval allows. What lies beyond the horizon is 'later than …'.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from smokejournal.cook.forecast.basis_words import assumed_words, noticed_words, rests_on
from smokejournal.cook.forecast.clock_words import ForecastClock
from smokejournal.cook.forecast.cook_so_far import ForecastInput, WhyNot
from smokejournal.cook.forecast.intervals import (
    MINUTE_S,
    TimeInterval,
    leg_span,
    reach_span,
    rounded,
    span_of,
)
from smokejournal.cook.forecast.serving import (
    ready_span,
    ready_words,
    serving,
    serving_words,
    to_do,
)
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.forecast.values import Forecast, Wrapping


@dataclass(frozen=True, slots=True)
class ForecastWords:
    """All that is said. `line` stands alone; the others are empty where there is nothing to say.

    `headline` answers the first question of all: when it can be eaten, or what is known in its place
    (then it is `line`).     `after`: hold, rest and to the table. `wanted`: that against when it is wanted, and `to_do` what can
    be done about it. `noticed`: what the cook should look at. `rests_on` and
    `assumed`: what it is made from.
    """

    line: str
    headline: str = ""
    after: tuple[str, ...] = ()
    peak: str = ""
    wanted: str = ""
    to_do: tuple[str, ...] = ()
    noticed: tuple[str, ...] = ()
    rests_on: str = ""
    assumed: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """Everything, for a reader of screens."""
        parts = (
            *dict.fromkeys((self.headline, self.line)), *self.after, self.peak, self.wanted, *self.to_do, *self.noticed, self.rests_on,
            *self.assumed
        )  # fmt: skip
        return " ".join(part for part in parts if part)


def why_words(why: WhyNot) -> str:
    """Why there is no forecast, and what to do for one."""
    return {
        "not_begun": translate("Forecast", "No forecast yet: the cook has not begun."),
        "warming_up": translate(
            "Forecast", "No forecast yet: it begins when the pit is up and the meat is on."
        ),
        "over": translate("Forecast", "No forecast: the stages are over."),
        "past": translate(
            "Forecast",
            "No forecast: the last temperature in the schedule has been reached.",
        ),
        "no_lead": translate("Forecast", "No forecast: no probe leads. Choose one on Plan."),
        "no_pit": translate(
            "Forecast", "No forecast: nothing reads the pit. Add a channel for it on Plan."
        ),
        "no_target": translate(
            "Forecast",
            "No forecast: no stage waits for the lead probe. Give one a temperature on Plan.",
        ),
    }[why]


def forecast_words(
    forecast: Forecast,
    record: ForecastInput,
    units: Units,
    zone: str,
    wanted_s: float | None = None,
) -> ForecastWords:
    """The forecast in words. `wanted_s`: when the cook wants it at the table (UTC seconds)."""
    clock = ForecastClock.of(forecast, units, zone)
    target = q.temperature(record.cook.target_c, units)
    line = _line(forecast, clock, target)
    shown = forecast.standing in ("forecast", "may_not_reach", "reached")
    # A wrap that nobody told of is asked about, with answers beside it (`wrap_question`).
    noticed = [code for code in forecast.noticed if code != "wrap_untold"]
    ready = _ready(forecast, record, clock)
    plan = serving(forecast, record, wanted_s) if shown and wanted_s is not None else None
    return ForecastWords(
        line=line,
        headline=(ready or line) if shown else "",
        after=_after(forecast, record, clock, table=not ready) if shown else (),
        peak=_peak(forecast, units) if shown else "",
        wanted="" if plan is None else serving_words(plan, clock),
        to_do=() if plan is None else to_do(plan, forecast, record, units),
        noticed=tuple(noticed_words(code) for code in noticed),
        rests_on=rests_on(record, forecast, units, zone),
        assumed=assumed_words(record.assumed),
    )


def reach_words(forecast: Forecast, record: ForecastInput, units: Units, zone: str) -> str:
    """ "93 °C about 18:40", for the end of a fan that shows the interval; empty where not foreseen."""
    span = reach_span(forecast)
    if span is None or not math.isfinite(span.mid):
        return ""
    told = rounded(span, math.ceil(forecast.now_s / MINUTE_S) * MINUTE_S)
    return translate("Forecast", "{target} about {time}").format(
        target=q.temperature(record.cook.target_c, units),
        time=ForecastClock.of(forecast, units, zone).at(told.mid),
    )


# -- the line --------------------------------------------------------------------------------


def _line(forecast: Forecast, clock: ForecastClock, target: str) -> str:
    span = reach_span(forecast)
    if forecast.standing == "forecast" and span is not None:
        if not math.isfinite(span.mid):
            return translate("Forecast", "Reaches {target} {when}.").format(
                target=target, when=clock.span(span)
            )
        return translate("Forecast", "Reaches {target} at {when}.").format(
            target=target, when=clock.span(span)
        )
    if forecast.standing == "may_not_reach":
        text = translate("Forecast", "May not reach {target} at this pit temperature.")
        return f"{text.format(target=target)} {_if_at_all(clock, span)}".strip()
    if forecast.standing == "reached":
        return translate("Forecast", "The probe is at {target}.").format(target=target)
    if forecast.standing == "no_readings":
        return translate(
            "Forecast",
            "No recent readings, so no forecast. Check the meat probe and the pit probe.",
        )
    if forecast.standing == "in_air":
        return translate(
            "Forecast",
            "The probe seems to be in the air. Put it into the thickest part, then say that it was "
            "moved.",
        )
    return translate("Forecast", "Too early to tell when it reaches {target}.").format(
        target=target
    )


def _if_at_all(clock: ForecastClock, span: TimeInterval | None) -> str:
    if span is None or not span.known:
        return ""
    if math.isfinite(span.mid):
        return translate("Forecast", "If it does, at {when}.").format(when=clock.span(span))
    return translate("Forecast", "If it does, {when}.").format(when=clock.span(span))


def _ready(forecast: Forecast, record: ForecastInput, clock: ForecastClock) -> str:
    """Empty where a stage that nobody knows the length of comes before it, or it may never be."""
    if forecast.standing not in ("forecast", "reached"):
        return ""
    if any(assumed.code == "open_end" for assumed in record.assumed):
        return ""
    ready = ready_span(forecast, record)
    return "" if ready is None else ready_words(ready, clock)


def _after(
    forecast: Forecast, record: ForecastInput, clock: ForecastClock, *, table: bool
) -> tuple[str, ...]:
    """When each stage after the target ends; the last one is when it goes to the table.

    Without `table` the last one is left out: the headline says it.
    """
    told: list[str] = []
    legs = record.legs
    last = len(legs) - 1
    for n in range(record.target + 1, len(legs)):
        if n == last and not table:
            continue
        if n < last and legs[n + 1].stage == legs[n].stage:
            continue
        span = leg_span(forecast, n)
        if span is None or legs[n].kind not in ("hold", "rest"):
            continue
        at = math.isfinite(span.mid)
        open_end = any(assumed.code == "open_end" for assumed in record.assumed)
        if n == last and not open_end:
            text = (
                translate("Forecast", "{stage} is over and it can go to the table at {when}.")
                if at
                else translate("Forecast", "{stage} is over and it can go to the table {when}.")
            )
        else:
            text = (
                translate("Forecast", "{stage} is over at {when}.")
                if at
                else translate("Forecast", "{stage} is over {when}.")
            )
        told.append(text.format(stage=legs[n].stage, when=clock.span(span)))
    return tuple(told)


def _peak(forecast: Forecast, units: Units) -> str:
    if forecast.peak_c is None or not forecast.peak_c.size:
        return ""
    span = span_of(forecast.peak_c)
    if not math.isfinite(span.high):
        return ""
    return translate("Forecast", "Taken off then, it goes on to {peak}.").format(
        peak=q.interval(
            translate("Forecast", "about {temperature}").format(
                temperature=q.temperature(span.mid, units)
            ),
            q.temperature(span.low, units),
            q.temperature(span.high, units),
        )
    )


# -- what if ---------------------------------------------------------------------------------


def wrap_title(material: Wrapping) -> str:
    """What the change is: wrapped now."""
    return {
        "foil": translate("Forecast", "Wrapped in foil now"),
        "paper": translate("Forecast", "Wrapped in paper now"),
    }[material]


def pit_title(pit_c: float, units: Units) -> str:
    """What the change is: the pit set otherwise."""
    return translate("Forecast", "Pit at {temperature} from now on").format(
        temperature=q.temperature(pit_c, units)
    )


def probe_title(name: str) -> str:
    """What the change is: another probe followed."""
    return translate("Forecast", "Going by {probe}").format(probe=name)
