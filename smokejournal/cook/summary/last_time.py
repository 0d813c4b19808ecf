"""What an earlier cook has to say to the plan that was made from it, and what can be taken over."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from smokejournal.cook.learning.lasted_words import part_lines, whole_words
from smokejournal.cook.log.entries import (
    Entry,
    Note,
    Payload,
    PrepStep,
    ScheduleSet,
    Strike,
    step_key,
)
from smokejournal.cook.log.schedule import ForTime
from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.plan.prep_progress import LivedStep
from smokejournal.cook.summary.open_points import OpenPoint, let_go, taken_over
from smokejournal.cook.summary.sheet_fuel import mass_words
from smokejournal.cook.summary.sheet_probes import how_words
from smokejournal.cook.summary.sheet_sections import weather_words
from smokejournal.cook.summary.stage_lines import StageLine
from smokejournal.cook.summary.summary import Summary
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate

#: Lengths that differ by no more than this are the same [s].
SAME_S = 60.0
#: So many parts of what made it last are told; all are in the sheet.
LARGEST = 2


@dataclass(frozen=True, slots=True)
class LastTimeLine:
    """One fact of the earlier cook. `more` says what it means for the plan, `payloads` what is written
    when it is taken over; without any there is nothing to take over. `let_go` is written when it no
    longer holds.
    """

    key: str
    text: str
    more: str = ""
    payloads: tuple[Payload, ...] = ()
    let_go: tuple[Payload, ...] = ()


@dataclass(frozen=True, slots=True)
class LastTimePart:
    """Facts of one kind."""

    title: str
    lines: tuple[LastTimeLine, ...]


def last_time(
    before: Summary,
    prep: Sequence[LivedStep],
    plan: Plan,
    now: Sequence[Entry],
    units: Units,
    points: Sequence[OpenPoint] = (),
) -> tuple[LastTimePart, ...]:
    """What `before`, and the steps before its fire, say to this plan. `now` are the plan's entries
    that hold, `points` what is still open from earlier cooks of the like. Parts without a line are
    left out.
    """
    own = {text for _, text in before.next_time}
    others = [point for point in points if point.text not in own]
    parts = (
        LastTimePart(translate("LastTime", "You wrote for next time"), _wishes(before, now)),
        LastTimePart(
            translate("LastTime", "Still open from other cooks of the like"),
            _open(others, plan, now, units),
        ),
        LastTimePart(translate("LastTime", "Before the fire"), tuple(_prep(prep, plan))),
        LastTimePart(translate("LastTime", "Stages"), tuple(_stages(before, plan))),
        LastTimePart(translate("LastTime", "What made it last"), _lasted(before, units)),
        LastTimePart(translate("LastTime", "Fuel and weather"), tuple(_around(before, units))),
    )
    return tuple(part for part in parts if part.lines)


def _wishes(before: Summary, now: Sequence[Entry]) -> tuple[LastTimeLine, ...]:
    return tuple(
        _wish(f"wish{place}", text, "", now) for place, (_, text) in enumerate(before.next_time)
    )


def _open(
    points: Sequence[OpenPoint], plan: Plan, now: Sequence[Entry], units: Units
) -> tuple[LastTimeLine, ...]:
    return tuple(
        _wish(
            f"point{place}",
            point.text,
            translate("LastTime", "{title}, {day}").format(
                title=point.title, day=q.date(point.at_s, plan.zone, units)
            ),
            now,
        )
        for place, point in enumerate(points)
    )


def _wish(key: str, text: str, more: str, now: Sequence[Entry]) -> LastTimeLine:
    noted = {entry.what.text for entry in now if isinstance(entry.what, Note)}
    over, gone = taken_over(text), let_go(text)
    if over.text in noted:
        return LastTimeLine(key, text, translate("LastTime", "Noted in the log of this cook."))
    if gone.text in noted:
        return LastTimeLine(key, text, translate("LastTime", "No longer wanted."))
    return LastTimeLine(key, text, more, (over,), (gone,))


def _prep(prep: Sequence[LivedStep], plan: Plan) -> Iterator[LastTimeLine]:
    for lived in prep:
        step = lived.step
        if lived.state == "skipped":
            yield LastTimeLine(
                f"prep{lived.key}",
                translate("LastTime", "{step}: skipped.").format(step=step.step),
            )
            continue
        took_s = lived.took_s
        if took_s is None:
            continue
        text = translate("LastTime", "{step}: took {time}.").format(
            step=step.step, time=q.duration(took_s)
        )
        yield LastTimeLine(f"prep{lived.key}", text, *_step_now(step, took_s, plan))


def _step_now(step: PrepStep, took_s: float, plan: Plan) -> tuple[str, tuple[Payload, ...]]:
    alike = [
        (entry_id, one)
        for entry_id, one in plan.prep
        if one.step.casefold() == step.step.casefold() and one.item == step.item
    ]
    if len(alike) != 1:
        return translate("LastTime", "It is not on this plan."), ()
    entry_id, planned = alike[0]
    if planned.duration_s is None:
        more = translate("LastTime", "This plan gives no time.")
    elif abs(planned.duration_s - took_s) <= SAME_S:
        return translate("LastTime", "So it is on this plan."), ()
    else:
        more = translate("LastTime", "This plan says {time}.").format(
            time=q.duration(planned.duration_s)
        )
    longer = replace(planned, key=step_key(entry_id, planned), duration_s=_to_minutes(took_s))
    return more, (Strike(entry_id, translate("LastTime", "taken over from last time")), longer)


def _stages(before: Summary, plan: Plan) -> Iterator[LastTimeLine]:
    for place, line in enumerate(before.stages):
        if line.length_s is None or line.state != "over":
            continue
        text = translate("LastTime", "{stage}: took {time} ({how}).").format(
            stage=line.stage.name, time=q.duration(line.length_s), how=how_words(line)
        )
        yield LastTimeLine(f"stage{place}", text, *_stage_now(line, plan))


def _stage_now(line: StageLine, plan: Plan) -> tuple[str, tuple[Payload, ...]]:
    stages = plan.schedule.stages
    place = next((n for n, stage in enumerate(stages) if stage.key == line.stage.key), None)
    if place is None:
        return translate("LastTime", "It is not on this plan."), ()
    stage = stages[place]
    length_s = line.length_s
    if line.how not in ("rule", "confirmed"):
        return translate("LastTime", "That doesn't say how long it takes."), ()
    if length_s is None or len(stage.rules) != 1 or not isinstance(stage.rules[0], ForTime):
        return translate("LastTime", "Times takes this into account."), ()
    rule = stage.rules[0]
    if abs(rule.duration_s - length_s) <= SAME_S:
        return translate("LastTime", "So it is on this plan."), ()
    more = translate("LastTime", "This plan says {time}.").format(time=q.duration(rule.duration_s))
    if rule.at_least_c is not None or plan.started:
        # A time at or above a temperature is there for a reason.
        return more, ()
    lived = replace(stage, rules=(replace(rule, duration_s=_to_minutes(length_s)),))
    schedule = replace(plan.schedule, stages=(*stages[:place], lived, *stages[place + 1 :]))
    return more, (ScheduleSet(schedule),)


def _lasted(before: Summary, units: Units) -> tuple[LastTimeLine, ...]:
    """The whole and its largest parts, where that was worked out on Taste. The usual, where there is
    one, comes last and says more than the plan."""
    if not before.explained:
        return ()
    found = before.explained[-1]
    said = (whole_words(found), *part_lines(found, units)[:LARGEST])
    return tuple(LastTimeLine(f"lasted{place}", text) for place, text in enumerate(said))


def _around(before: Summary, units: Units) -> Iterator[LastTimeLine]:
    if before.fuel.used_kg.value is not None:
        yield LastTimeLine(
            "fuel",
            translate("LastTime", "Burned in total: {mass}.").format(
                mass=mass_words(before.fuel.used_kg, units)
            ),
            translate("LastTime", "The estimate below takes this into account."),
        )
    for place, fact in enumerate(before.weather):
        words = translate("LastTime", "{time}: {weather}.").format(
            time=q.clock_time(fact.at_s, before.zone, units), weather=weather_words(fact, units)
        )
        yield LastTimeLine(f"weather{place}", words)


def _to_minutes(length_s: float) -> float:
    return max(60.0, 60.0 * round(length_s / 60.0))
