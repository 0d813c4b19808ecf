"""A forecast in words: when, between when and when, what comes after, and what it rests on.

No time stands without its interval, none lies before now, and none is told more finely than its
interval allows. What lies beyond the horizon is 'later than …'.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from smokejournal.cook.forecast.basis_words import assumed_words, noticed_words, rests_on
from smokejournal.cook.forecast.clock_words import OutlookClock
from smokejournal.cook.forecast.cook_so_far import OutlookRecord, WhyNot
from smokejournal.cook.forecast.intervals import (
    MINUTE_S,
    TimeInterval,
    leg_span,
    reach_span,
    rounded,
    span_of,
)
from smokejournal.cook.forecast.serving import serving, serving_words, to_do
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.science.forecast.outlook_types import Outlook, Wrapping


@dataclass(frozen=True, slots=True)
class OutlookWords:
    """All that is said. `line` stands alone; the others are empty where there is nothing to say.

    `after`: hold, rest and to the table. `wanted`: that against when it is wanted, and `to_do` what can
    be done about it. `noticed`: what the cook should look at. `rests_on` and
    `assumed`: what it is made from.
    """

    line: str
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
            self.line, *self.after, self.peak, self.wanted, *self.to_do, *self.noticed, self.rests_on,
            *self.assumed
        )  # fmt: skip
        return " ".join(part for part in parts if part)


def why_words(why: WhyNot) -> str:
    """Why there is no forecast, and what to do for one."""
    return {
        "not_begun": translate("Outlook", "No forecast yet: the cook has not begun."),
        "warming_up": translate(
            "Outlook", "No forecast yet: it begins when the pit is up and the meat is on."
        ),
        "over": translate("Outlook", "No forecast: the stages are over."),
        "past": translate(
            "Outlook",
            "No forecast: the last temperature that the schedule waits for is behind you.",
        ),
        "no_lead": translate("Outlook", "No forecast: no probe leads. Choose one on Plan."),
        "no_pit": translate(
            "Outlook", "No forecast: nothing reads the pit. Add a channel for it on Plan."
        ),
        "no_target": translate(
            "Outlook",
            "No forecast: no stage waits for the lead probe. Give one a temperature on Plan.",
        ),
    }[why]


def outlook_words(
    outlook: Outlook,
    record: OutlookRecord,
    units: Units,
    zone: str,
    wanted_s: float | None = None,
) -> OutlookWords:
    """The forecast in words. `wanted_s`: when the cook wants it at the table (UTC seconds)."""
    clock = OutlookClock.of(outlook, units, zone)
    target = q.temperature(record.cook.target_c, units)
    line = _line(outlook, clock, target)
    shown = outlook.standing in ("forecast", "may_not_reach", "reached")
    # A wrap that nobody told of is asked about, with answers beside it (`wrap_question`).
    noticed = [code for code in outlook.noticed if code != "wrap_untold"]
    plan = serving(outlook, record, wanted_s) if shown and wanted_s is not None else None
    return OutlookWords(
        line=line,
        after=_after(outlook, record, clock, table=plan is None) if shown else (),
        peak=_peak(outlook, units) if shown else "",
        wanted="" if plan is None else serving_words(plan, clock),
        to_do=() if plan is None else to_do(plan, outlook, record, units),
        noticed=tuple(noticed_words(code) for code in noticed),
        rests_on=rests_on(record, units, zone),
        assumed=assumed_words(record.assumed),
    )


def reach_words(outlook: Outlook, record: OutlookRecord, units: Units, zone: str) -> str:
    """ "93 °C about 18:40", for the end of a fan that shows the interval; empty where not foreseen."""
    span = reach_span(outlook)
    if span is None or not math.isfinite(span.mid):
        return ""
    told = rounded(span, math.ceil(outlook.now_s / MINUTE_S) * MINUTE_S)
    return translate("Outlook", "{target} about {time}").format(
        target=q.temperature(record.cook.target_c, units),
        time=OutlookClock.of(outlook, units, zone).at(told.mid),
    )


# -- the line --------------------------------------------------------------------------------


def _line(outlook: Outlook, clock: OutlookClock, target: str) -> str:
    span = reach_span(outlook)
    if outlook.standing == "forecast" and span is not None:
        if not math.isfinite(span.mid):
            return translate("Outlook", "Reaches {target} {when}.").format(
                target=target, when=clock.span(span)
            )
        return translate("Outlook", "Reaches {target} at {when}.").format(
            target=target, when=clock.span(span)
        )
    if outlook.standing == "may_not_reach":
        text = translate("Outlook", "May not reach {target} at this pit temperature.")
        return f"{text.format(target=target)} {_if_at_all(clock, span)}".strip()
    if outlook.standing == "reached":
        return translate("Outlook", "The probe is at {target}.").format(target=target)
    if outlook.standing == "no_readings":
        return translate(
            "Outlook",
            "No recent readings, so no forecast. Look at the probe of the meat and at that of the pit.",
        )
    if outlook.standing == "in_air":
        return translate(
            "Outlook",
            "The probe seems to be in the air. Put it into the thickest part, then say that it was "
            "moved.",
        )
    return translate("Outlook", "Too early to tell when it reaches {target}.").format(target=target)


def _if_at_all(clock: OutlookClock, span: TimeInterval | None) -> str:
    if span is None or not span.known:
        return ""
    if math.isfinite(span.mid):
        return translate("Outlook", "If it does, at {when}.").format(when=clock.span(span))
    return translate("Outlook", "If it does, {when}.").format(when=clock.span(span))


def _after(
    outlook: Outlook, record: OutlookRecord, clock: OutlookClock, *, table: bool
) -> tuple[str, ...]:
    """When each stage after the target ends; the last one is when it goes to the table.

    Without `table` the last one is left out: it is told beside the wanted time.
    """
    told: list[str] = []
    legs = record.legs
    last = len(legs) - 1
    for n in range(record.target + 1, len(legs)):
        if n == last and not table:
            continue
        if n < last and legs[n + 1].stage == legs[n].stage:
            continue
        span = leg_span(outlook, n)
        if span is None or legs[n].kind not in ("hold", "rest"):
            continue
        at = math.isfinite(span.mid)
        open_end = any(assumed.code == "open_end" for assumed in record.assumed)
        if n == last and not open_end:
            text = (
                translate("Outlook", "{stage} is over and it can go to the table at {when}.")
                if at
                else translate("Outlook", "{stage} is over and it can go to the table {when}.")
            )
        else:
            text = (
                translate("Outlook", "{stage} is over at {when}.")
                if at
                else translate("Outlook", "{stage} is over {when}.")
            )
        told.append(text.format(stage=legs[n].stage, when=clock.span(span)))
    return tuple(told)


def _peak(outlook: Outlook, units: Units) -> str:
    if outlook.peak_c is None or not outlook.peak_c.size:
        return ""
    span = span_of(outlook.peak_c)
    if not math.isfinite(span.high):
        return ""
    return translate("Outlook", "Taken off then, it goes on to {peak}.").format(
        peak=q.interval(
            translate("Outlook", "about {temperature}").format(
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
        "foil": translate("Outlook", "Wrapped in foil now"),
        "paper": translate("Outlook", "Wrapped in paper now"),
    }[material]


def pit_title(pit_c: float, units: Units) -> str:
    """What the change is: the pit set otherwise."""
    return translate("Outlook", "Pit at {temperature} from now on").format(
        temperature=q.temperature(pit_c, units)
    )


def probe_title(name: str) -> str:
    """What the change is: another probe followed."""
    return translate("Outlook", "Going by {probe}").format(probe=name)
