"""What would have been otherwise, in sentences."""

from __future__ import annotations

from collections.abc import Mapping

from smokejournal.cook.hindsight.hindsight import Hindsight, KillThen, ProbeThen, StageThen
from smokejournal.cook.plan.words import food_words
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate

#: Closer together than this is the same moment [s].
SAME_S = 60.0


def hindsight_words(
    found: Hindsight, names: Mapping[str, str], units: Units, zone: str
) -> tuple[str, ...]:
    """Sentences, the most important first. `names` are what channels are called."""
    lead = names.get(found.lead, found.lead)
    said = [_when(found, lead, units, zone)]
    said += [_stage(stage, units, zone) for stage in found.stages[:-1] if _moved(stage)]
    said += [_probe(probe, units) for probe in found.probes if _is_known(probe)]
    if found.over_c_min is not None and found.over_c_min >= 1 and found.target_c is not None:
        said.append(
            translate(
                "Hindsight",
                "{lead} had {amount} past {target} by the time the food came off.",
            ).format(
                lead=lead,
                amount=_degree_minutes(found.over_c_min, units),
                target=q.temperature(found.target_c, units),
            )
        )
    said += [_kill(kill, found) for kill in found.kills]
    said = [text for text in said if text]
    said.append(
        translate(
            "Hindsight",
            "The pit, the wrap and the lid are taken as they were; only the moments of the schedule "
            "are counted again. None of this says that food is safe.",
        )
    )
    return tuple(said)


def _when(found: Hindsight, lead: str, units: Units, zone: str) -> str:
    was = q.clock_time(found.was_s, zone, units)
    if found.later_s is not None and found.would_s is not None:
        if abs(found.later_s) < SAME_S:
            text = translate("Hindsight", "The food would have come off when it did, {was}.")
            return text.format(was=was)
        text = translate(
            "Hindsight",
            "The food would have come off at {would}: {by} sooner than it did ({was}).",
        )
        return text.format(
            would=q.clock_time(found.would_s, zone, units),
            by=q.duration(_minutes(-found.later_s)),
            was=was,
        )
    if found.left_s is not None:
        text = translate(
            "Hindsight",
            "The food would have stayed on at least {left} longer than it did ({was}), to the end of "
            "a time that was being counted.",
        )
        return text.format(left=q.duration(_minutes(found.left_s)), was=was)
    if found.short_c is None or found.target_c is None:
        text = translate(
            "Hindsight",
            "The schedule would not have come to its end by {was}, when the food came off. How much "
            "longer it would have taken can't be told.",
        )
        return text.format(was=was)
    short = q.temperature_step(found.short_c, units, 1)
    target = q.temperature(found.target_c, units)
    if found.more_s is None:
        text = translate(
            "Hindsight",
            "When the food came off ({was}), {lead} was {short} short of {target}, and rose too "
            "slowly to tell how much longer it would have taken.",
        )
        return text.format(was=was, lead=lead, short=short, target=target)
    low, high = (q.duration(_minutes(s)) for s in found.more_s)
    if low == high:
        text = translate(
            "Hindsight",
            "When the food came off ({was}), {lead} was {short} short of {target}: about {low} more, "
            "at its pace before that. A straight line, no promise.",
        )
    else:
        text = translate(
            "Hindsight",
            "When the food came off ({was}), {lead} was {short} short of {target}: {low} to {high} "
            "more, at its paces of the last quarter of an hour to hour. Straight lines, no promise.",
        )
    return text.format(was=was, lead=lead, short=short, target=target, low=low, high=high)


def _is_known(probe: ProbeThen) -> bool:
    return probe.was_c is not None or probe.would_c is not None


def _probe(probe: ProbeThen, units: Units) -> str:
    unknown = translate("Hindsight", "unknown")
    was = unknown if probe.was_c is None else q.temperature(probe.was_c, units, 1)
    if probe.would_c is None:
        return translate("Hindsight", "{probe}: {was} when the food came off.").format(
            probe=probe.name, was=was
        )
    return translate(
        "Hindsight", "{probe}: {would} by then, instead of {was} when the food came off."
    ).format(probe=probe.name, would=q.temperature(probe.would_c, units, 1), was=was)


def _kill(kill: KillThen, found: Hindsight) -> str:
    if kill.target_log is None or kill.was_log is None:
        return ""
    then = kill.was_log if found.would_s is None else kill.would_log
    if then is None:
        return ""
    food, target = food_words(kill.food), fmt(kill.target_log, 1)
    if then >= kill.target_log:
        text = translate(
            "Hindsight", "The safe-time count of {food} ({target} log10) is full by then."
        )
        return text.format(food=food, target=target)
    text = translate(
        "Hindsight",
        "The safe-time count of {food} is {then} of {target} log10 by then. Careful: it isn't full.",
    )
    return text.format(food=food, then=fmt(then, 1), target=target)


def _moved(stage: StageThen) -> bool:
    return (
        stage.was_s is not None
        and stage.would_s is not None
        and abs(stage.would_s - stage.was_s) >= SAME_S
    )


def _stage(stage: StageThen, units: Units, zone: str) -> str:
    assert stage.was_s is not None
    assert stage.would_s is not None
    later_s = stage.would_s - stage.was_s
    text = (
        translate("Hindsight", "“{stage}” would have ended at {would}, {by} later than it did.")
        if later_s > 0
        else translate(
            "Hindsight", "“{stage}” would have ended at {would}, {by} sooner than it did."
        )
    )
    return text.format(
        stage=stage.name,
        would=q.clock_time(stage.would_s, zone, units),
        by=q.duration(_minutes(abs(later_s))),
    )


def _minutes(duration_s: float) -> float:
    """Whole minutes, at least one [s]: no more is known."""
    return 60.0 * max(1, round(duration_s / 60.0))


def _degree_minutes(c_min: float, units: Units) -> str:
    value = c_min if units.temperature == "C" else c_min * 1.8
    unit = q.temperature_unit(units)
    return translate("Hindsight", "{number} {unit} min").format(number=fmt(value, 0), unit=unit)
