"""What stands in the score's lower lanes: marks, fuel left and weather, read off entries."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from smokejournal.cook.log.entries import (
    AlarmAcknowledged,
    AlarmRaised,
    CookClosed,
    Entry,
    FuelAdded,
    FuelLevel,
    LeadSet,
    Lid,
    Note,
    Photo,
    PrepStep,
    ProbeMoved,
    ReadingsStruck,
    ScheduleStarted,
    Spritz,
    StageConfirmed,
    StageExtended,
    StagePutBack,
    StageSkipped,
    Unread,
    WeatherObserved,
    Wrap,
)
from smokejournal.cook.log.entry_words import precipitation_words, sky_words, wrap_words
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.progress.lids import lid_spans
from smokejournal.cook.score.score import ScoreLevel, ScoreMark, ScoreWeather, Symbol
from smokejournal.cook.text.quantities import duration
from smokejournal.cook.text.translate import translate


def marks_of(
    entries: Sequence[Entry],
    schedule: Schedule,
    channels: Mapping[str, Channel],
    started_at_s: float | None,
    now_s: float | None,
) -> tuple[ScoreMark, ...]:
    """Marks of the entries that hold, in order of time.

    Levels read and weather have lanes of their own.

    An open lid and an unanswered alarm last until `now_s`, or have no end once the cook is over.
    """
    lids = {span.opened_id: span for span in lid_spans(entries)}
    ends = {span.closed_id for span in lids.values()}
    marks = []
    for place, entry in enumerate(entries):
        mark = _mark(entry, schedule, channels, started_at_s)
        if mark is None:
            continue
        symbol, text, mass_kg = mark
        to_s = None
        if isinstance(entry.what, Lid):
            span = lids.get(entry.id)
            if span is not None:
                to_s = now_s if span.to_s is None else span.to_s
            elif entry.what.open or entry.id in ends:
                # Open already, or the end of a mark that is there already.
                continue
        elif isinstance(entry.what, AlarmRaised):
            key, later = entry.what.key, entries[place + 1 :]
            answers = (
                e.at_s for e in later if isinstance(e.what, AlarmAcknowledged) and e.what.key == key
            )
            to_s = next(answers, now_s)
        marks.append(ScoreMark(entry.at_s, to_s, symbol, text, entry.id, mass_kg))
    return tuple(marks)


_Told = tuple[Symbol, str, float | None]


def _mark(
    entry: Entry,
    schedule: Schedule,
    channels: Mapping[str, Channel],
    started_at_s: float | None,
) -> _Told | None:
    what = entry.what
    match what:
        case Lid():
            text = translate("Score", "Lid open") if what.open else translate("Score", "Lid shut")
            return "lid", text, None
        case Wrap():
            return "wrap", _and(wrap_words(what.material), what.item), None
        case Spritz():
            return "spritz", _and(translate("Score", "Spritzed"), what.liquid), None
        case FuelAdded():
            return "fuel", _and(translate("Score", "Fuel added"), what.lot), what.mass_kg
        case ProbeMoved():
            text = _and(translate("Score", "Probe moved"), _name(what.channel, channels))
            return "probe", f"{text}, {what.place}" if what.place else text, None
        case LeadSet() if started_at_s is not None and entry.at_s > started_at_s:
            # Which probe leads is part of the plan; only a change under way is worth a mark.
            return "probe", _and(translate("Score", "Leads now"), _name(what.lead, channels)), None
        case ReadingsStruck():
            name = _name(what.channel, channels)
            return "probe", _and(translate("Score", "Readings struck"), name), None
        case AlarmRaised():
            return "alarm", what.text, None
        case ScheduleStarted():
            return "stage", translate("Score", "Started"), None
        case CookClosed():
            return "stage", translate("Score", "Cook closed"), None
        case StageConfirmed() | StageSkipped() | StageExtended() | StagePutBack():
            return "stage", _stage_text(what, schedule), None
        case Note():
            return "note", what.text, None
        case PrepStep():
            return "note", _and(what.step, what.text), None
        case Photo():
            return "photo", what.caption or translate("Score", "Photo"), None
        case Unread():
            damaged = translate("Score", "A damaged entry")
            unknown = translate("Score", "An entry that this version can't read")
            return "note", damaged if what.damaged else unknown, None
    return None


def _stage_text(
    what: StageConfirmed | StageSkipped | StageExtended | StagePutBack, schedule: Schedule
) -> str:
    stage = schedule.stage(what.stage)
    name = stage.name if stage is not None else what.stage
    match what:
        case StageConfirmed():
            return _and(translate("Score", "Confirmed"), name)
        case StageSkipped():
            return _and(translate("Score", "Skipped"), name)
        case StagePutBack():
            return _and(translate("Score", "Put back to"), name)
        case StageExtended():
            return translate("Score", "{stage}: {time} more").format(
                stage=name, time=duration(what.by_s)
            )


def _and(text: str, more: str) -> str:
    return f"{text}: {more}" if more else text


def _name(key: str, channels: Mapping[str, Channel]) -> str:
    channel = channels.get(key)
    return channel.name if channel is not None and channel.name else key


def fuel_of(entries: Sequence[Entry], burning_from_s: float | None) -> tuple[ScoreLevel, ...]:
    """Fuel left wherever the log tells it.

    Between two readings of the level the fuel is taken to have burned evenly, from
    `burning_from_s` on. Before the first reading, and after the last one while something burns,
    the level is not known and nothing is said.
    """
    levels: list[ScoreLevel] = []
    added: list[tuple[float, FuelAdded]] = []
    for entry in entries:
        what = entry.what
        if isinstance(what, FuelAdded) and levels:
            added.append((entry.at_s, what))
        elif isinstance(what, FuelLevel):
            read = ScoreLevel(entry.at_s, what.mass_kg, what.mass_sd_kg)
            if levels:
                levels += _between(levels[-1], added, read, burning_from_s)
            else:
                levels.append(read)
            added = []
    if levels and added:
        levels += _unburned(levels[-1], added, burning_from_s)
    return tuple(levels)


def _between(
    first: ScoreLevel,
    added: list[tuple[float, FuelAdded]],
    last: ScoreLevel,
    burning_from_s: float | None,
) -> list[ScoreLevel]:
    """Levels after `first` up to `last`, with a step for each filling.

    Emptied (exactly nothing) means that the cook took the rest out: what burned before is not known.
    """
    if last.mass_kg == 0.0 and last.sd_kg == 0.0:
        return [ScoreLevel(last.at_s, last.mass_kg, last.sd_kg, joined=False)]
    start_s = first.at_s if burning_from_s is None else max(first.at_s, burning_from_s)
    burning_s = last.at_s - start_s
    used_kg = first.mass_kg + sum(fuel.mass_kg for _, fuel in added) - last.mass_kg
    # More in the hopper than was ever put in, within what the scales can be off: something was not
    # written down, and no line may pretend to know how it got there.
    slack_kg = 2 * math.hypot(first.sd_kg, last.sd_kg, *(fuel.mass_sd_kg for _, fuel in added))
    if used_kg < -slack_kg or burning_s <= 0 < used_kg - slack_kg:
        return [ScoreLevel(last.at_s, last.mass_kg, last.sd_kg, joined=False)]
    steps: list[ScoreLevel] = []
    put_in_kg = 0.0
    before_var = first.sd_kg**2
    after_var = last.sd_kg**2 + sum(fuel.mass_sd_kg**2 for _, fuel in added)

    def level_at(at_s: float) -> ScoreLevel:
        part = min(1.0, max(0.0, (at_s - start_s) / burning_s)) if burning_s > 0 else 0.0
        mass_kg = max(0.0, first.mass_kg + put_in_kg - part * used_kg)
        var = (1 - part) ** 2 * before_var + part**2 * max(0.0, after_var)
        return ScoreLevel(at_s, mass_kg, math.sqrt(var), read=False)

    # Where burning begins the line bends, which takes a point of its own.
    moments: list[tuple[float, FuelAdded | None]] = list(added)
    if first.at_s < start_s < last.at_s:
        moments.append((start_s, None))
    for at_s, fuel in sorted(moments, key=lambda moment: moment[0]):
        steps.append(level_at(at_s))
        if fuel is not None:
            put_in_kg += fuel.mass_kg
            before_var += fuel.mass_sd_kg**2
            after_var -= fuel.mass_sd_kg**2
            steps.append(level_at(at_s))
    return [*steps, last]


def _unburned(
    last: ScoreLevel, added: list[tuple[float, FuelAdded]], burning_from_s: float | None
) -> list[ScoreLevel]:
    """Levels after fillings that came before anything burned."""
    levels: list[ScoreLevel] = []
    for at_s, fuel in added:
        if burning_from_s is not None and at_s > burning_from_s:
            break
        before = levels[-1] if levels else last
        levels.append(ScoreLevel(at_s, before.mass_kg, before.sd_kg, read=False))
        sd_kg = math.hypot(before.sd_kg, fuel.mass_sd_kg)
        levels.append(ScoreLevel(at_s, before.mass_kg + fuel.mass_kg, sd_kg, read=False))
    if levels and burning_from_s is not None and levels[-1].at_s < burning_from_s:
        levels.append(ScoreLevel(burning_from_s, levels[-1].mass_kg, levels[-1].sd_kg, read=False))
    return levels


def weather_of(entries: Sequence[Entry]) -> tuple[ScoreWeather, ...]:
    """What was seen of the weather, in order of time."""
    return tuple(
        ScoreWeather(e.at_s, e.what.air_c, e.what.wind_m_s, weather_words(e.what))
        for e in entries
        if isinstance(e.what, WeatherObserved)
    )


def weather_words(seen: WeatherObserved) -> str:
    """Sky and what falls from it: "overcast, drizzle"."""
    said = [sky_words(seen.sky)] if seen.sky is not None else []
    if seen.precipitation not in (None, "none"):
        said.append(precipitation_words(seen.precipitation))
    return ", ".join(said)
