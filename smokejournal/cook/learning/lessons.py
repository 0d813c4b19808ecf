"""What a finished cook teaches the forecast: from where in its log, what was found, and whether it holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from smokejournal.cook.forecast.cook_so_far import Answer, ForecastInput, NoForecast, record_of
from smokejournal.cook.learning.outcomes import MEDIAN_S, reached_s
from smokejournal.cook.learning.track_record import MOMENTS
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
    ForecastOutcome,
    FuelAdded,
    FuelLevel,
    NextTime,
    Note,
    Photo,
    PieceFound,
    PrepStep,
    SafetySet,
    SeenCourse,
    SeenDirection,
    Served,
    StepBegun,
    StepEnded,
    StepExtended,
    StepSkipped,
    Strike,
    Tasted,
    TimeExplained,
    TimesKept,
    WeatherObserved,
    Weighed,
)
from smokejournal.cook.log.stage_meaning import targets
from smokejournal.cook.progress.believed import believed
from smokejournal.cook.progress.progress import fold
from smokejournal.science.forecast.heating_learned import MODEL
from smokejournal.science.forecast.recalibration import score_of
from smokejournal.science.forecast.values import Fell, Finding, Forecast, ProbeCourse, Recalibration

#: Shorter, a record says too little of the pit to be worth keeping [s]. Our own judgment.
SHORTEST_S: Final = 1200.0
#: The code with which a forecast says that it knows no such cook.
FAR: Final = "far_from_any_prior"

#: Entries that say nothing of the record that a finding was made from.
_BESIDE = (
    AlarmAcknowledged, AlarmRaised, ClockSet, CookPutAway, CookRenamed, ForecastMade, FuelAdded, FuelLevel, NextTime, Note,
    Photo, PieceFound, PrepStep, SafetySet, Served, StepBegun, StepEnded, StepExtended, StepSkipped, Tasted,
    TimeExplained, TimesKept, WeatherObserved, Weighed,
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
        return Finding(
            what.cut,
            tuple(one.weights for one in what.directions),
            tuple(one.value for one in what.directions),
            what.sd,
            None
            if what.course is None
            else ProbeCourse(
                what.cut,
                what.course.probe_c,
                what.course.since_s,
                what.course.pit_c,
                what.course.wrap or None,
                what.course.mass_kg,
                what.course.thickness_m,
            ),
        )

    @property
    def fell(self) -> tuple[Fell, ...]:
        """How forecasts of it came out; none unless it teaches."""
        what = self.what
        if self.state != "learned" or what is None:
            return ()
        return tuple(Fell(what.cut, one.way, one.score) for one in what.outcomes)


def lesson_of(entries: Sequence[Entry]) -> Lesson:
    """Where the learning from a cook stands, by its entries in the order of writing."""
    found = (e for e in entries if isinstance(e.what, PieceFound))
    last = max(found, key=lambda entry: entry.id, default=None)
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


def came_s(log: CookLog, answer: ForecastInput) -> float | None:
    """When the lead probe was at its target, of what `look_back` found of a finished cook; None: never."""
    now_s = answer.cook.now_s
    there_s = reached_s(
        believed(log, answer.lead, log.holding(), now_s + 1.0), answer.cook.target_c
    )
    return now_s if there_s.size and there_s[-1] >= now_s - MEDIAN_S else None


def on_the_way(log: CookLog, answer: ForecastInput) -> list[tuple[float, ForecastInput]]:
    """What was known at each of MOMENTS of the way of a finished cook, with the share of the way.

    Only where the same probe was to come to the same target, and it did.
    """
    end_s = came_s(log, answer)
    start_s = answer.first_s
    if answer.cook.start_s is not None and start_s is not None:
        start_s = max(start_s, answer.cook.start_s)
    if end_s is None or start_s is None or end_s - start_s < SHORTEST_S:
        return []
    found = []
    for way in MOMENTS:
        at_s = start_s + way * (end_s - start_s)
        record = record_of(log, fold(log, at_s), at_s)
        if (
            isinstance(record, ForecastInput)
            and record.lead.key == answer.lead.key
            and record.cook.target_c == answer.cook.target_c
        ):
            found.append((way, record))
    return found


def outcome_of(way: float, forecast: Forecast, came_s: float) -> ForecastOutcome | None:
    """How a forecast came out that was made when `way` of the way was behind: its score as the members
    had it, before anything was corrected. None where it told no time."""
    if forecast.remaining_s is None or forecast.standing not in ("forecast", "may_not_reach"):
        return None
    score = score_of(forecast.remaining_s, came_s - forecast.now_s)
    if score is None:
        return None
    by = forecast.recalibration or Recalibration()
    return ForecastOutcome(way, round(by.bias + by.scale * score, 4))


def found_of(
    answer: Answer,
    forecast: Forecast | None,
    outcomes: Sequence[ForecastOutcome] = (),
    *,
    asked: bool = False,
) -> PieceFound:
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
    found = forecast.found
    directions = tuple(
        SeenDirection({name: _short(weight) for name, weight in weights.items()}, _short(value))
        for weights, value in zip(found.directions, found.values, strict=True)
    )
    return PieceFound(
        MODEL,
        key,
        cut,
        sd={name: _short(sd) for name, sd in found.sd.items()} if directions else {},
        noticed=forecast.noticed,
        why="" if directions else "no_readings",
        asked=asked,
        directions=directions,
        outcomes=tuple(outcomes) if directions else (),
        course=_course(found.course) if directions else None,
    )


def _course(found: ProbeCourse | None) -> SeenCourse | None:
    if found is None:
        return None
    return SeenCourse(
        tuple(round(probe_c, 2) for probe_c in found.probe_c),
        tuple(round(since_s) for since_s in found.since_s),
        round(found.pit_c, 1),
        found.wrap or "",
        found.mass_kg,
        found.thickness_m,
    )


def _short(value: float) -> float:
    """As exact as a finding can be: more digits would only make the log longer."""
    return float(f"{value:.5g}")
