"""How good forecasts were over many cooks: at four moments of each, against what came.

The way of a cook goes from when the meat was in to when its probe was first at the target. For each
moment the forecast that was made nearest to it is judged; beside it stands what a straight line through
the last readings would have said at that very time.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final, Literal

import numpy as np

from smokejournal.cook.forecast.cook_so_far import meat_in_s
from smokejournal.cook.learning.came_in import TENTHS, share_before, tenths
from smokejournal.cook.learning.outcomes import ForecastFact, forecast_facts
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    ChannelSet,
    CookOpened,
    Entry,
    ForecastMade,
    ScheduleSet,
    ScheduleStarted,
)
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.stage_meaning import warms_up
from smokejournal.cook.progress.believed import BelievedTrace, believed
from smokejournal.cook.progress.progress import fold
from smokejournal.science.numbers.proportion import score_interval

#: The moments, as shares of the way.
MOMENTS: Final = (0.25, 0.5, 0.75, 0.9)
#: So often the interval of a forecast is meant to hold.
MEANT: Final = 0.8
#: A forecast stands for a moment that is no further off than this [s]: forecasts are written every ten
#: minutes and may be a minute late, so one lies within it unless they paused.
NEAR_S: Final = 360.0
#: Nor further than this share of the way: half of what lies between the last two moments, so that on a
#: short way no forecast stands for two.
NEAR_SHARE: Final = 0.075
#: The straight line goes through the readings of so long [s].
LINE_S: Final = 1200.0
#: With fewer readings than this, or readings over less time [s], there is no line.
LINE_READINGS: Final = 4
LINE_SPAN_S: Final = 600.0
#: A line that takes longer than this [s] tells no time; no forecast looks further either.
LINE_AHEAD_S: Final = 30 * 3600.0

WhyNot = Literal[
    "no_forecast",  # none was made that told a time
    "never_came",  # the probe was never at the target after one
    "not_heard",  # there are no readings of the probe that was forecast
]


@dataclass(frozen=True, slots=True)
class Way:
    """From when the meat was in to when `channel` was first at `target_c` after a forecast of it."""

    channel: str
    target_c: float
    began_s: float
    came_s: float

    @property
    def length_s(self) -> float:
        """How long it took [s]; above 0."""
        return self.came_s - self.began_s


@dataclass(frozen=True, slots=True)
class JudgedForecast:
    """One forecast that stands for a moment of the way, made at `made_s`.

    `left_s` is what then remained in truth (above 0). `off_s`: how much later than it came it was
    expected (negative: earlier); None where no time was told. `line_off_s`: the same of the straight
    line. `held`: whether what came lay within the interval. `before`: the share of the forecast that
    lay before it (`came_in`), None where it can't be told.
    """

    share: float
    made_s: float
    left_s: float
    held: bool
    off_s: float | None = None
    line_off_s: float | None = None
    before: float | None = None


@dataclass(frozen=True, slots=True)
class CookMarks:
    """What one finished cook tells. `marks` stand beside MOMENTS, None where no forecast was made then.

    Without a way nothing can be judged, and `why` says so.
    """

    cook_id: int
    simulated: bool
    way: Way | None = None
    why: WhyNot | None = None
    marks: tuple[JudgedForecast | None, ...] = (None,) * len(MOMENTS)


@dataclass(frozen=True, slots=True)
class Off:
    """Half of the answers were off by `share` of what then remained, or less; and by `seconds`.

    Both at least 0, infinite where that half includes some that told no time, of which there are
    `told_none`.
    """

    share: float
    seconds: float
    told_none: int = 0


@dataclass(frozen=True, slots=True)
class Lean:
    """The middle of how much too late (positive) or too early times were told, of those told."""

    share: float
    seconds: float


@dataclass(frozen=True, slots=True)
class MomentRecord:
    """All forecasts at one moment. `low` and `high` (0 to 1): where the true share of those that hold
    lies, 19 times in 20. None of the figures is there while `judged` is 0."""

    share: float
    judged: int = 0
    held: int = 0
    none_made: int = 0
    low: float | None = None
    high: float | None = None
    off: Off | None = None
    lean: Lean | None = None
    line: Off | None = None


@dataclass(frozen=True, slots=True)
class Record:
    """What all cooks of one kind tell: `cooks` of them have a way; the others are counted by why not.

    `tenths`: in how many forecasts what came fell in each tenth, of all moments together.
    """

    moments: tuple[MomentRecord, ...]
    cooks: int = 0
    no_forecast: int = 0
    never_came: int = 0
    not_heard: int = 0
    tenths: tuple[int, ...] = (0,) * TENTHS

    @property
    def finished(self) -> int:
        """All cooks that were looked at."""
        return self.cooks + self.no_forecast + self.never_came + self.not_heard


# -- one cook --------------------------------------------------------------------------------


def needed(entries: Sequence[Entry]) -> tuple[str, ...]:
    """The channels whose readings `marks_of` asks for; none where no forecast told a time.

    `entries` hold.
    """
    made = (e.what for e in entries if isinstance(e.what, ForecastMade))
    keys = [what.channel for what in made if what.standing != "reached"]
    if keys and _warmed_up(entries):
        channels = (e.what.channel for e in entries if isinstance(e.what, ChannelSet))
        keys += [channel.key for channel in channels if channel.role == "pit"]
    return tuple(dict.fromkeys(keys))


def marks_of(log: CookLog) -> CookMarks:
    """What a finished cook tells. Of the traces only those of `needed` are read.

    Where the probe or the target was changed on the way, what was forecast last and came is what
    counts; forecasts of anything else are not judged.
    """
    entries = log.holding()
    sounds = {
        key: believed(log, _channel(entries, key), entries, math.inf)
        for key in needed(entries)
        if key in log.traces
    }
    facts = forecast_facts(entries, sounds)
    if not facts:
        return CookMarks(log.cook_id, _simulated(entries), why="no_forecast")
    simulated = _simulated(entries, facts[-1].made.channel)
    for last in reversed(facts):
        channel, target_c = last.made.channel, last.made.target_c
        own = [f for f in facts if (f.made.channel, f.made.target_c) == (channel, target_c)]
        came_s = own[0].came_s
        if came_s is None:
            continue
        began_s = _began_s(log, entries, sounds[channel], came_s)
        if began_s >= came_s:
            continue
        way = Way(channel, target_c, began_s, came_s)
        marks = tuple(_mark(share, way, own, sounds[channel]) for share in MOMENTS)
        return CookMarks(log.cook_id, _simulated(entries, channel), way, None, marks)
    silent = all(not len(sounds.get(fact.made.channel, ())) for fact in facts)
    why: WhyNot = "not_heard" if silent else "never_came"
    return CookMarks(log.cook_id, simulated, why=why)


def straight_line_s(sound: BelievedTrace, now_s: float, target_c: float) -> float | None:
    """When (UTC seconds) a straight line through the last 20 minutes up to `now_s` is at the target.

    Least squares. Now where it is there already; None where it doesn't rise, takes longer than a
    forecast looks, or has too few readings.
    """
    kept = (sound.at_s > now_s - LINE_S) & (sound.at_s <= now_s)
    at_s, value_c = sound.at_s[kept] - now_s, sound.value_c[kept]
    if at_s.size < LINE_READINGS or at_s[-1] - at_s[0] < LINE_SPAN_S:
        return None
    middle_s, middle_c = float(np.mean(at_s)), float(np.mean(value_c))
    past_s = at_s - middle_s
    slope = float(np.sum(past_s * (value_c - middle_c)) / np.sum(past_s**2))
    short_c = target_c - (middle_c - slope * middle_s)
    if short_c <= 0.0:
        return now_s
    if slope * LINE_AHEAD_S < short_c:
        return None
    return now_s + short_c / slope


def _mark(
    share: float, way: Way, facts: Sequence[ForecastFact], sound: BelievedTrace
) -> JudgedForecast | None:
    """The forecast nearest to a moment of the way; of two as near, the earlier one."""
    at_s = way.began_s + share * way.length_s
    near_s = min(NEAR_S, NEAR_SHARE * way.length_s)
    there = [f for f in facts if f.made_s < way.came_s and abs(f.made_s - at_s) <= near_s]
    if not there:
        return None
    fact = min(there, key=lambda f: (abs(f.made_s - at_s), f.made_s))
    line_s = straight_line_s(sound, fact.made_s, way.target_c)
    return JudgedForecast(
        share,
        fact.made_s,
        way.came_s - fact.made_s,
        fact.held is True,
        fact.off_s,
        None if line_s is None else line_s - way.came_s,
        share_before(fact.made_s, fact.made, way.came_s),
    )


def _began_s(log: CookLog, entries: Sequence[Entry], sound: BelievedTrace, came_s: float) -> float:
    """When the meat was in: after the stage that warmed up the pit, else when the schedule was started.

    Where neither is known, when its probe was first heard.
    """
    if _warmed_up(entries):
        in_s = meat_in_s(fold(log, came_s))
        if in_s is not None:
            return in_s
    started = (e.at_s for e in entries if isinstance(e.what, ScheduleStarted))
    return next(started, float(sound.at_s[0]))


def _warmed_up(entries: Sequence[Entry]) -> bool:
    schedules = (e.what.schedule for e in entries if isinstance(e.what, ScheduleSet))
    return any(warms_up(stage) for schedule in schedules for stage in schedule.stages)


def _channel(entries: Sequence[Entry], key: str) -> Channel:
    said = (e.what.channel for e in reversed(entries) if isinstance(e.what, ChannelSet))
    return next((channel for channel in said if channel.key == key), Channel(key, key))


def _simulated(entries: Sequence[Entry], key: str | None = None) -> bool:
    """Whether the cook is for practice, or the probe that was forecast a simulated one."""
    if any(isinstance(e.what, CookOpened) and e.what.simulated for e in entries):
        return True
    said = [e.what.channel for e in entries if isinstance(e.what, ChannelSet)]
    return any(channel.simulated for channel in said if key is None or channel.key == key)


# -- many ------------------------------------------------------------------------------------


def gather(cooks: Iterable[CookMarks]) -> Record:
    """What these cooks tell together. Their order makes no difference."""
    known = list(cooks)
    with_way = [cook for cook in known if cook.way is not None]
    judged = [mark for cook in with_way for mark in cook.marks if mark is not None]

    def without(why: WhyNot) -> int:
        return sum(cook.why == why for cook in known)

    return Record(
        moments=tuple(_moment(n, with_way) for n in range(len(MOMENTS))),
        cooks=len(with_way),
        no_forecast=without("no_forecast"),
        never_came=without("never_came"),
        not_heard=without("not_heard"),
        tenths=tenths([mark.before for mark in judged if mark.before is not None]),
    )


def _moment(n: int, cooks: Sequence[CookMarks]) -> MomentRecord:
    found = [cook.marks[n] for cook in cooks]
    marks = [mark for mark in found if mark is not None]
    if not marks:
        return MomentRecord(MOMENTS[n], none_made=len(found))
    held = sum(mark.held for mark in marks)
    low, high = score_interval(held, len(marks))
    told = [(mark.off_s, mark.left_s) for mark in marks if mark.off_s is not None]
    lean = None
    if told:
        lean = Lean(median(off / left for off, left in told), median(off for off, _ in told))
    return MomentRecord(
        MOMENTS[n],
        len(marks),
        held,
        len(found) - len(marks),
        low,
        high,
        _off([(mark.off_s, mark.left_s) for mark in marks]),
        lean,
        _off([(mark.line_off_s, mark.left_s) for mark in marks]),
    )


def _off(answers: Sequence[tuple[float | None, float]]) -> Off:
    """One that told no time counts as further off than any, so that silence gains nothing."""
    off_s = [math.inf if off is None else abs(off) for off, _ in answers]
    shares = [off / left for off, (_, left) in zip(off_s, answers, strict=True)]
    return Off(median(shares), median(off_s), sum(off is None for off, _ in answers))
