"""A plan that is counted back, in words: what is next and when, each step, and the chance of being late.

How moments are told is in `counted_clock`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from smokejournal.cook.forecast.intervals import MINUTE_S, TimeInterval, rounded, step_s
from smokejournal.cook.log.entries import TimesKept
from smokejournal.cook.plan.prep_progress import LivedStep
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.chance_words import chance_words
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.cook.timetable.clock_words import between, moment, told
from smokejournal.cook.timetable.timetable import Lateness, Timetable, TimetableStep

#: Times that were kept and times computed now count as the same within this [s].
SAME_S = 5 * MINUTE_S
#: From this chance on it is said that it may be ready longer than it can be held (our own judgment).
OVER_HOLD = 0.2


@dataclass(frozen=True, slots=True)
class StepWords:
    """One step in words, each empty where there is nothing to say.

    `start` is one moment, `between` the earliest and the latest. `lasts` is how long and where that
    comes from; `state` what was lived of it; `kept` what was kept of its times and holds no more.
    """

    start: str
    between: str
    name: str
    lasts: str
    source: str
    state: str = ""
    pit: str = ""
    dish: str = ""
    kept: str = ""
    note: str = ""

    @property
    def length(self) -> str:
        """ "Takes 9 h 30 min (7 h 40 min – 12 h), estimated for a piece of this size." """
        if not self.lasts or not self.source:
            found = self.lasts or self.source
        else:
            # A rule is a sentence of its own.
            between = ". " if self.source.endswith(".") else ", "
            found = f"{self.lasts}{between}{self.source}"
        found = found[:1].upper() + found[1:]
        return found if not found or found.endswith(".") else f"{found}."

    @property
    def text(self) -> str:
        """Everything in one line, for a reader of screens."""
        when = q.interval(self.start, *self.between.split(" – ")) if self.between else self.start
        first = " ".join(part for part in (when, self.name, self.dish) if part)
        parts = (first, self.state, self.length, self.pit, self.kept, self.note)
        return ". ".join(part.rstrip(".") for part in parts if part) + "."


# -- one step --------------------------------------------------------------------------------------


def lasts_words(step: TimetableStep) -> str:
    """ "Takes 9 h 30 min (7 h 40 min – 12 h)"; of a step under way what is left."""
    span = step.lasts
    if span is None or not span.known or step.state in ("over", "skipped"):
        return ""
    going = step.state == "under_way"
    if not math.isfinite(span.mid):
        form = (
            translate("Timetable", "At least {low} left")
            if going
            else translate("Timetable", "Takes at least {low}")
        )
        return form.format(low=q.duration(rounded(span, 0.0).low))
    form = (
        translate("Timetable", "{time} left") if going else translate("Timetable", "Takes {time}")
    )
    return form.format(time=span_words(span))


def span_words(span: TimeInterval) -> str:
    """ "9 h 30 min (7 h 40 min – 12 h)", or "8 h" where nothing of it is uncertain."""
    if span.high - span.low < MINUTE_S:
        return q.duration(round(span.mid / MINUTE_S) * MINUTE_S)
    shown = rounded(span, 0.0)
    high = (
        q.duration(shown.high)
        if math.isfinite(shown.high)
        else translate("Timetable", "longer than the forecast looks")
    )
    return q.interval(q.duration(shown.mid), q.duration(shown.low), high)


def source_words(step: TimetableStep) -> str:
    """Where the duration comes from, in plain words; a rule and what isn't known with the reason."""
    if step.state in ("over", "skipped") or step.kind == "serve":
        return ""
    match step.source:
        case "said":
            return translate("Timetable", "you said so")
        case "lived":
            return translate("Timetable", "as it happened")
        case "earlier":
            if step.cooks == 1:
                return translate("Timetable", "from one of your cooks")
            return translate("Timetable", "from {n} of your cooks").format(n=step.cooks)
        case "physics":
            return translate("Timetable", "estimated for a piece of this size")
        case "rule":
            return step.why or translate("Timetable", "by a rule")
        case _:
            return (
                translate("Timetable", "How long isn’t known. {why}").format(why=step.why).strip()
            )


def state_words(
    step: TimetableStep, timetable: Timetable, units: Units, lived: LivedStep | None
) -> str:
    """ "Under way since 20:10, until about 06:10", "Done 10:20, 2 h over", "Skipped"; empty before."""

    def at(at_s: float) -> str:
        return moment(at_s, timetable.now_s, timetable.zone, units)

    if step.state == "skipped":
        return translate("Timetable", "Skipped")
    if step.state == "under_way":
        since = (
            translate("Timetable", "Under way since {time}").format(time=at(step.began_s))
            if step.began_s is not None
            else translate("Timetable", "Under way")
        )
        due_s = None if lived is None else lived.due_end_s
        if due_s is None:
            return since
        if timetable.now_s - due_s >= MINUTE_S:
            return translate("Timetable", "{since}, {over} over its time").format(
                since=since, over=_minutes(timetable.now_s - due_s)
            )
        return translate("Timetable", "{since}, until {time}").format(since=since, time=at(due_s))
    if step.state == "over":
        return _over_words(step, at(step.ended_s) if step.ended_s is not None else "", lived)
    return ""


def _over_words(step: TimetableStep, ended: str, lived: LivedStep | None) -> str:
    parts = [
        translate("Timetable", "Done {time}").format(time=ended)
        if ended
        else translate("Timetable", "Done")
    ]
    if step.began_s is not None and step.ended_s is not None:
        took_s = max(0.0, step.ended_s - step.began_s)
        parts.append(translate("Timetable", "took {time}").format(time=_minutes(took_s)))
        intended_s = None if lived is None else lived.intended_s
        if intended_s is not None and abs(took_s - intended_s) >= MINUTE_S:
            form = (
                translate("Timetable", "{time} over")
                if took_s > intended_s
                else translate("Timetable", "{time} short")
            )
            parts.append(form.format(time=_minutes(abs(took_s - intended_s))))
    return ", ".join(parts)


def _minutes(duration_s: float) -> str:
    return q.duration(duration_s if duration_s < 120 else round(duration_s / MINUTE_S) * MINUTE_S)


def step_words(
    step: TimetableStep,
    timetable: Timetable,
    units: Units,
    lived: LivedStep | None = None,
    kept: TimesKept | None = None,
) -> StepWords:
    """One step. `lived` is what the log says of it, `kept` the times that the cook kept last."""
    start, around = "", ""
    if step.start is not None:
        start = q.clock_time(told(step.start).planned_s, timetable.zone, units)
        around = between(step.start, timetable.zone, units) if step.state == "to_come" else ""
    pit = ""
    if step.pit_c is not None and step.state in ("to_come", "under_way"):
        pit = translate("Timetable", "Pit at {temperature}").format(
            temperature=q.temperature(step.pit_c, units)
        )
    return StepWords(
        start=start,
        between=around,
        name=step.name,
        lasts=lasts_words(step),
        source=source_words(step),
        state=state_words(step, timetable, units, lived),
        pit=pit,
        dish="" if step.item == step.name else step.item,
        kept=kept_words(step, timetable, units, kept),
        note=step.text if step.state in ("to_come", "under_way") else "",
    )


# -- times that were kept --------------------------------------------------------------------------


def times_to_keep(timetable: Timetable) -> TimesKept | None:
    """The planned starts of all that is to come, as they are told; None where there are none."""
    starts = {
        step.key: told(step.start).planned_s
        for step in timetable.steps
        if step.state == "to_come" and step.kind != "serve" and step.start is not None
    }
    if timetable.wanted_s is None or not starts:
        return None
    late = None if timetable.lateness is None else timetable.lateness.late
    return TimesKept(starts, timetable.wanted_s, late)


def kept_words(
    step: TimetableStep, timetable: Timetable, units: Units, kept: TimesKept | None
) -> str:
    """ "Kept: start 06:40; now estimated 07:20"; empty where both are the same or none was kept."""
    if kept is None or step.state != "to_come" or step.start is None or step.key not in kept.starts:
        return ""
    before_s, now_s = kept.starts[step.key], told(step.start).planned_s
    # What is computed again wanders within the steps in which it is told.
    same_s = max(SAME_S, step_s(step.start.latest_s - step.start.earliest_s))
    if abs(before_s - now_s) <= same_s:
        return ""
    return translate("Timetable", "Saved: start {before}; now estimated {now}").format(
        before=moment(before_s, timetable.now_s, timetable.zone, units),
        now=moment(now_s, timetable.now_s, timetable.zone, units),
    )


# -- the whole -------------------------------------------------------------------------------------


def next_words(timetable: Timetable, units: Units) -> str:
    """What is next and when: the sentence for a tired cook. Empty where nothing is to come."""
    step = timetable.next_step
    if step is None:
        return ""
    name = step.name
    if step.item and step.item != name:
        name = translate("Timetable", "{step} ({dish})").format(step=name, dish=step.item)
    if step.start is None:
        return translate("Timetable", "Next: {step}. The time isn’t known yet.").format(step=name)
    at_s = told(step.start).planned_s
    at = moment(at_s, timetable.now_s, timetable.zone, units)
    # A step that begins by itself once another one is over has no hand to wait for.
    if at_s > timetable.now_s:
        return translate("Timetable", "Next: {step} at {time}.").format(step=name, time=at)
    if timetable.now_s - step.start.planned_s < SAME_S:
        return translate("Timetable", "Next: {step}, now.").format(step=name)
    return translate("Timetable", "Next: {step}, now. It was due at {time}.").format(
        step=name, time=at
    )


def wanted_words(timetable: Timetable, units: Units) -> str:
    """ "Wanted at Sun 18:00, with 30 min to spare." Empty where nobody said when."""
    if timetable.wanted_s is None:
        return ""
    at = moment(timetable.wanted_s, timetable.now_s, timetable.zone, units)
    if timetable.margin_s >= MINUTE_S:
        return translate("Timetable", "Wanted at {time}; to be ready {margin} before.").format(
            time=at, margin=_minutes(timetable.margin_s)
        )
    return translate("Timetable", "Wanted at {time}.").format(time=at)


def late_words(lateness: Lateness | None) -> str:
    """The chance of being late, what an hour earlier does to it, and how early it may be."""
    if lateness is None:
        return ""
    parts = [
        translate("Timetable", "Chance of being late: {chance}.").format(
            chance=chance_words(lateness.late)
        )
    ]
    now, sooner = chance_words(lateness.late), chance_words(lateness.late_hour_earlier)
    if now != sooner:
        parts.append(
            translate("Timetable", "Starting an hour earlier: {chance}.").format(chance=sooner)
        )
    elif round(10.0 * lateness.late) > 0:
        parts.append(translate("Timetable", "Starting an hour earlier changes little."))
    parts += _early_words(lateness)
    return " ".join(parts)


def _early_words(lateness: Lateness) -> list[str]:
    early = lateness.early.high
    if not math.isfinite(early) or early < 15 * MINUTE_S:
        return []
    time = q.duration(round(early / (5 * MINUTE_S)) * 5 * MINUTE_S)
    if lateness.hold_s is None:
        form = translate(
            "Timetable",
            "If it goes fast, it is ready {time} early; nobody said how long it can be held hot.",
        )
        return [form.format(time=time)]
    form = translate(
        "Timetable",
        "If it goes fast, it is ready {time} early; you said it can be held hot {hold}.",
    )
    parts = [form.format(time=time, hold=_minutes(lateness.hold_s))]
    if lateness.over_hold is not None and lateness.over_hold > OVER_HOLD:
        parts.append(
            translate("Timetable", "That may be too long to hold: {chance}.").format(
                chance=chance_words(lateness.over_hold)
            )
        )
    return parts


def order_words(timetable: Timetable, units: Units) -> str:
    """ "On the pit: ribs 11:10, chicken 13:40." Empty with less than two dishes."""
    on = []
    for name in timetable.order:
        starts = [
            told(step.start).planned_s
            for step in timetable.steps
            if step.item == name and step.kind in ("dish", "stage") and step.start is not None
        ]
        if starts:
            at = moment(min(starts), timetable.now_s, timetable.zone, units)
            on.append(f"{name} {at}")
    if len(on) < 2:
        return ""
    return translate("Timetable", "On the pit: {dishes}.").format(dishes=", ".join(on))
