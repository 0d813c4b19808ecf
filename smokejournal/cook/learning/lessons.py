"""What a finished cook teaches the forecast: from where in its log, what was found, and whether it holds."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from smokejournal.cook.forecast.cook_so_far import Answer, NoForecast, record_of
from smokejournal.cook.learning.outcomes import reached_s
from smokejournal.cook.log.cook_log import CookLog, struck_ids
from smokejournal.cook.log.entries import (
    AlarmAcknowledged,
    AlarmRaised,
    ClockSet,
    CookClosed,
    CookPutAway,
    CookRenamed,
    Entry,
    ForecastMade,
    FuelAdded,
    FuelLevel,
    NextTime,
    Note,
    Photo,
    PieceFound,
    PrepStep,
    SafetySet,
    Served,
    StepBegun,
    StepEnded,
    StepExtended,
    StepSkipped,
    Strike,
    Tasted,
    TimesKept,
    WeatherObserved,
    Weighed,
)
from smokejournal.cook.log.stage_meaning import targets
from smokejournal.cook.progress.believed import believed
from smokejournal.cook.progress.progress import fold
from smokejournal.science.forecast.heating_learned import MODEL, Finding
from smokejournal.science.forecast.heating_prior import OF_THE_CUT, OF_THE_PIT
from smokejournal.science.forecast.values import Forecast

#: Shorter, a record says too little of the pit to be worth keeping [s]. Our own judgment.
SHORTEST_S: Final = 1200.0
#: The code with which a forecast says that it knows no such cook.
FAR: Final = "far_from_any_prior"

#: Entries that say nothing of the record that a finding was made from.
_BESIDE = (
    AlarmAcknowledged, AlarmRaised, ClockSet, CookPutAway, CookRenamed, ForecastMade, FuelAdded, FuelLevel, NextTime, Note,
    Photo, PieceFound, PrepStep, SafetySet, Served, StepBegun, StepEnded, StepExtended, StepSkipped, Tasted,
    TimesKept, WeatherObserved, Weighed,
)  # fmt: skip

Learning = Literal[
    "unread",  # nothing was looked for yet, or not since the log changed, or by another model
    "learned",  # it teaches
    "far",  # found, but so unlike all others that it counts only if asked
    "left_out",  # what was found is struck
    "nothing",  # nothing can be found in it
]


@dataclass(frozen=True, slots=True)
class Lesson:
    """Where the learning from one cook stands. `entry` is the finding that is meant, if any."""

    state: Learning
    entry: Entry | None = None

    @property
    def what(self) -> PieceFound | None:
        """What was found, whether it counts or not."""
        found = None if self.entry is None else self.entry.what
        return found if isinstance(found, PieceFound) else None

    @property
    def finding(self) -> Finding | None:
        """What counts of it; None unless it teaches."""
        what = self.what
        if self.state != "learned" or what is None:
            return None
        return Finding(what.cut, what.mean, what.sd)


def lesson_of(entries: Sequence[Entry]) -> Lesson:
    """Where the learning from a cook stands, by its entries in the order of writing."""
    last = max((e for e in entries if isinstance(e.what, PieceFound)), key=_id, default=None)
    if last is None or not isinstance(last.what, PieceFound):
        return Lesson("unread")
    if last.id in struck_ids(entries):
        # What the cook said outlives the model that it was said of.
        return Lesson("left_out", last)
    if last.what.model != MODEL or _changed_since(entries, last.id):
        return Lesson("unread", last)
    if last.what.why:
        return Lesson("nothing", last)
    return Lesson("far" if FAR in last.what.noticed and not last.what.asked else "learned", last)


def _id(entry: Entry) -> int:
    return entry.id


def _changed_since(entries: Sequence[Entry], entry_id: int) -> bool:
    """Whether something was written after this entry that changes the record."""
    known = {entry.id: entry for entry in entries}
    for entry in entries:
        what = entry.what
        if entry.id <= entry_id:
            continue
        while isinstance(what, Strike) and what.entry_id in known:
            what = known[what.entry_id].what
        if not isinstance(what, _BESIDE):
            return True
    return False


def look_back(log: CookLog) -> Answer:
    """The record of a finished cook up to when its lead probe had reached its last target, or else up
    to the end of the stage that waited for it. No plan and no prior: only what was.
    """
    entries = log.holding()
    closed_s = [e.at_s for e in entries if isinstance(e.what, CookClosed)]
    if not closed_s:
        return NoForecast("not_begun")
    standing = fold(log, closed_s[-1])
    lead = standing.lead
    if lead is None or lead not in standing.channels:
        return NoForecast("no_lead")
    runs = [run for run in standing.runs if targets(run.stage, lead)]
    if not runs:
        return NoForecast("no_target" if standing.runs else "not_begun")
    run = runs[-1]
    end_s = closed_s[-1] if run.ended_at_s is None else run.ended_at_s
    said = believed(log, standing.channels[lead].channel, entries, end_s)
    there_s = reached_s(said, max(targets(run.stage, lead)))
    there_s = there_s[there_s >= run.began_at_s]
    # At the very end the stage is over already.
    now_s = max(run.began_at_s, min([end_s - 1.0, *there_s[:1].tolist()]))
    answer = record_of(log, fold(log, now_s), now_s, lead=lead)
    if isinstance(answer, NoForecast):
        return answer
    return replace(answer, cook=replace(answer.cook, legs=(), prior=None))


def too_short(answer: Answer) -> bool:
    """Whether a record is too short for anything to be found in it."""
    if isinstance(answer, NoForecast):
        return False
    return answer.first_s is None or answer.cook.now_s - answer.first_s < SHORTEST_S


def found_of(answer: Answer, forecast: Forecast | None, *, asked: bool = False) -> PieceFound:
    """The entry that keeps what was found. `forecast` is that of the record, None where it has none.

    A piece that is of no known kind teaches only of the pit.
    """
    if isinstance(answer, NoForecast):
        return PieceFound(MODEL, why=answer.why)
    key, cut = answer.lead.key, answer.cook.cut
    if forecast is None or forecast.standing == "too_early":
        return PieceFound(MODEL, key, cut, why="too_early")
    if forecast.found is None or forecast.standing in ("in_air", "no_readings"):
        return PieceFound(MODEL, key, cut, noticed=forecast.noticed, why=forecast.standing)
    of_it = (*OF_THE_PIT, *(() if cut == "other" else OF_THE_CUT))
    mean, sd = forecast.found.mean, forecast.found.sd
    names = [
        name
        for name in of_it
        if math.isfinite(mean.get(name, math.nan)) and 0.0 < sd.get(name, 0.0) < math.inf
    ]
    return PieceFound(
        MODEL,
        key,
        cut,
        {name: mean[name] for name in names},
        {name: sd[name] for name in names},
        noticed=forecast.noticed,
        why="" if names else "no_readings",
        asked=asked,
    )
