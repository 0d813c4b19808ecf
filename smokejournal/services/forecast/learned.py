"""What the finished cooks of a journal teach the forecast, kept in the log of each and revocable.

A finding is computed from one cook's readings with the generic prior and written into its log once
(`PieceFound`); what is taught is read off those entries. Striking one revokes it. Simulated cooks teach
simulated ones only, real ones real ones; of the pit only those count that began after the cooker was
changed, as the fuel forecast has it.
"""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import dataclass, field, replace
from typing import Any

from smokejournal.cook.forecast.cook_so_far import ForecastInput, NoForecast
from smokejournal.cook.fuel.cooker import CookerFacts, facts_from_json
from smokejournal.cook.learning.lessons import (
    Lesson,
    came_s,
    found_of,
    lesson_of,
    look_back,
    on_the_way,
    outcome_of,
    too_short,
)
from smokejournal.cook.log.cook_log import CookLog, holding, struck_ids
from smokejournal.cook.log.entries import (
    CookClosed,
    Entry,
    ForecastOutcome,
    Payload,
    PieceFound,
    Strike,
)
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.journal import Change, CookLine
from smokejournal.science.forecast.heating_learned import (
    Learned,
    learned,
    learned_prior,
    spread_of,
)
from smokejournal.science.forecast.recalibration import HALF_WAY, TOLD_SCORE, recalibration
from smokejournal.science.forecast.values import Cut, Fell, Finding, PitPrior, Recalibration
from smokejournal.services.forecast.finish import Forecaster, default_forecast
from smokejournal.services.forecast.fuel import KEY as COOKER_KEY
from smokejournal.services.forecast.fuel import NEWEST
from smokejournal.services.program.program import Program

#: The setting that says since when cooks count.
KEY = "forecast_learned"

#: A cook that was closed so long ago is read only when asked for [s].
JUST_S = 3 * 86_400.0


@dataclass(frozen=True, slots=True)
class LessonCook:
    """A finished cook and where the learning from it stands. `on_this_pit`: it teaches of the pit."""

    line: CookLine
    lesson: Lesson
    on_this_pit: bool = True


@dataclass(frozen=True, slots=True)
class RangeRecord:
    """How forecasts of `cooks` cooks of one kind came out: at `held` of `moments` what came lay within
    the range as it was before it was corrected. `recalibration` is what corrects the next one, half way."""

    cooks: int
    moments: int
    held: int
    recalibration: Recalibration


@dataclass(frozen=True, slots=True)
class Lessons:
    """What was learned, and from which cooks (newest first).

    `pit` and each of `meat` by the name of the parameter; only what some cook told of. `pit_cooks` and
    `meat_cooks` count the cooks, `courses` those of which it counts how they went on. Cooks that began before `since_s` are not among them.
    """

    simulated: bool = False
    lesson_cooks: tuple[LessonCook, ...] = ()
    pit: dict[str, Learned] = field(default_factory=dict)
    meat: dict[Cut, dict[str, Learned]] = field(default_factory=dict)
    pit_cooks: int = 0
    meat_cooks: dict[Cut, int] = field(default_factory=dict)
    courses: dict[Cut, int] = field(default_factory=dict)
    ranges: dict[Cut, RangeRecord] = field(default_factory=dict)
    since_s: float | None = None
    other_kind: bool = False

    @property
    def unread(self) -> tuple[int, ...]:
        """Cooks that nothing was looked for in yet, oldest first: how forecasts of one come out rests on
        what those before it taught."""
        return tuple(t.line.id for t in reversed(self.lesson_cooks) if t.lesson.state == "unread")


class ForecastLearned:
    """It may be used from any thread. `read` is slow; `taught` and `lessons` are the first time."""

    def __init__(self, program: Program, forecaster: Forecaster = default_forecast) -> None:
        self._program = program
        self._forecaster = forecaster
        self._lock = threading.Lock()
        self._lessons: dict[int, Lesson] = {}
        self._written = 0
        self._one_at_a_time = threading.Lock()
        self._unsubscribe: Callable[[], None] = program.subscribe(self._on_change)

    def close(self) -> None:
        """Stop hearing the journal."""
        self._unsubscribe()

    # -- what is taught ----------------------------------------------------------------------

    def taught(self, cook_id: int, record: ForecastInput) -> PitPrior | None:
        """The prior for a cook under way; None where nothing was learned. See `FinishForecasts`.

        Only cooks that were over by then count, so that looking back at an old cook is honest.
        """
        simulated = self._program.live(cook_id).simulated
        now_s = record.cook.now_s
        lesson_cooks = [
            t
            for t in self._lesson_cooks(simulated)
            if t.line.id != cook_id and t.line.over_s is not None and t.line.over_s <= now_s
        ]
        return _prior(record, lesson_cooks)

    def lessons(self, simulated: bool = False) -> Lessons:
        """Everything that was learned, with the cooks it comes from."""
        lesson_cooks = self._lesson_cooks(simulated)
        here, elsewhere = _findings(lesson_cooks)
        pit, _ = learned("other", here, elsewhere)
        meat: dict[Cut, dict[str, Learned]] = {}
        counts: dict[Cut, int] = {}
        for cut in sorted({one.cut for one in (*here, *elsewhere)} - {"other"}):
            meat[cut] = learned(cut, here, elsewhere)[1]
            counts[cut] = sum(one.cut == cut for one in (*here, *elsewhere))
        fell = _fell(lesson_cooks)
        return Lessons(
            simulated,
            tuple(lesson_cooks),
            pit,
            meat,
            len(here),
            counts,
            dict(Counter(one.cut for one in here if one.course is not None)),
            {cut: _range_record(cut, fell) for cut in sorted({c[0].cut for c in fell})},
            self.since_s(),
            any(line.simulated != simulated for line in self._finished()),
        )

    def since_s(self) -> float | None:
        """Cooks that began before this moment don't count; None: all do."""
        kept = self._program.journal.setting(KEY, {})
        since_s = kept.get("since_s") if isinstance(kept, dict) else None
        return float(since_s) if isinstance(since_s, int | float) else None

    def count_since(self, since_s: float | None) -> Future[Any]:
        """Start over at `since_s`, or with None let all cooks count again. Nothing is struck."""
        return self._program.journal.set_setting(
            KEY, {} if since_s is None else {"since_s": since_s}
        )

    # -- learning ----------------------------------------------------------------------------

    def read(self, cook_id: int) -> PieceFound | None:
        """Look for what a finished cook teaches and write it down, unless that was done. Slow.

        None where there was nothing to do. Raises JournalProblem where the journal can't be read or
        written. Never on the journal's own thread: it waits for that.
        """
        with self._one_at_a_time:
            entries = self._program.journal.entries(cook_id)
            if not _is_closed(entries) or lesson_of(entries).state != "unread":
                return None
            return self._find(cook_id, asked=False)

    def just_closed(self) -> tuple[int, ...]:
        """Cooks that were closed in the last days and not read: the program may have been closed
        before it came to that. Oldest first."""
        after_s = self._program.clock.now_s() - JUST_S
        closed = [
            line
            for line in self._program.cooks(limit=NEWEST)
            if line.over_s is not None and line.over_s >= after_s
        ]
        return tuple(
            line.id for line in reversed(closed) if self._lesson(line.id).state == "unread"
        )

    def take_in(self, cook_id: int) -> None:
        """Learn from a cook although it was left out, or runs unlike any other. It may be slow.

        Raises JournalProblem as `read` does.
        """
        with self._one_at_a_time:
            self._take_in(cook_id)

    def leave_out(self, cook_id: int) -> None:
        """Learn nothing more from a cook, until it is taken in again. Raises JournalProblem."""
        with self._one_at_a_time:
            entries = self._program.journal.entries(cook_id)
            lesson = lesson_of(entries)
            if lesson.state in ("learned", "far") and lesson.entry is not None:
                self._write(cook_id, entries, [Strike(lesson.entry.id, "left out")])

    def _take_in(self, cook_id: int) -> None:
        entries = self._program.journal.entries(cook_id)
        lesson = lesson_of(entries)
        if not _is_closed(entries) or lesson.state in ("learned", "nothing"):
            return
        said: list[Payload] = []
        if lesson.state == "left_out" and lesson.entry is not None:
            strike = _strike_of(entries, lesson.entry.id)
            lesson = lesson_of([e for e in entries if e.id != strike.id])
            said.append(Strike(strike.id, "taken in again"))
        if lesson.state == "far" and lesson.entry is not None and lesson.what is not None:
            said = [Strike(lesson.entry.id, "asked for")] if not said else []
            said.append(replace(lesson.what, asked=True))
        if lesson.state == "unread":
            self._find(cook_id, asked=lesson.what is not None and lesson.what.asked)
        else:
            self._write(cook_id, entries, said)

    def _find(self, cook_id: int, *, asked: bool) -> PieceFound:
        log = self._program.journal.log(cook_id)
        answer = look_back(log)
        forecast = None
        outcomes: list[ForecastOutcome] = []
        if not isinstance(answer, NoForecast) and not too_short(answer):
            forecast = self._forecaster(answer.cook)
            outcomes = self._outcomes(log, answer)
        found = found_of(answer, forecast, outcomes, asked=asked)
        # What was found before gives way, so that one finding of a cook holds at a time.
        lesson = lesson_of(log.entries)
        before = lesson.entry if lesson.state != "left_out" else None
        strikes = [] if before is None else [Strike(before.id, "read again")]
        self._write(cook_id, log.entries, [*strikes, found])
        return found

    def _outcomes(self, log: CookLog, answer: ForecastInput) -> list[ForecastOutcome]:
        """How the forecasts of a finished cook come out, with what was learned before it."""
        end_s = came_s(log, answer)
        if end_s is None:
            return []
        found = []
        for way, record in on_the_way(log, answer):
            prior = self.taught(log.cook_id, record)
            if prior is not None:
                prior = replace(prior, fell=())
            forecast = self._forecaster(replace(record.cook, prior=prior))
            outcome = outcome_of(way, forecast, end_s)
            if outcome is not None:
                found.append(outcome)
        return found

    def _write(self, cook_id: int, entries: Sequence[Entry], said: Sequence[Payload]) -> None:
        """Written at the moment when the cook was closed: it belongs to nothing later."""
        closed_s = [e.at_s for e in holding(entries) if isinstance(e.what, CookClosed)][-1]
        now_s = self._program.clock.now_s()
        items = [(closed_s if isinstance(what, PieceFound) else now_s, what) for what in said]
        self._program.journal.append_many(cook_id, items, now_s).result()

    # -- the cooks ---------------------------------------------------------------------------

    def _finished(self) -> list[CookLine]:
        since_s = self.since_s()
        return [
            line
            for line in self._program.cooks()
            if line.over_s is not None
            and line.started_s is not None
            and (since_s is None or line.started_s >= since_s)
        ]

    def _lesson_cooks(self, simulated: bool) -> list[LessonCook]:
        """The newest finished cooks of a kind: a pit is not what it was years ago."""
        changed_s = self._cooker().since_s
        lines = [line for line in self._finished() if line.simulated == simulated][:NEWEST]
        return [
            LessonCook(
                line,
                self._lesson(line.id),
                changed_s is None or (line.started_s or 0.0) >= changed_s,
            )
            for line in lines
        ]

    def _cooker(self) -> CookerFacts:
        try:
            return facts_from_json(self._program.journal.setting(COOKER_KEY, {}))
        except SchemaProblem:
            # The dialog about the cooker says so; till then all cooks count.
            return CookerFacts()

    def _lesson(self, cook_id: int) -> Lesson:
        with self._lock:
            found = self._lessons.get(cook_id)
            written = self._written
        if found is None:
            found = lesson_of(self._program.journal.entries(cook_id))
            with self._lock:
                # What was written while this was being read may have changed it.
                if written == self._written:
                    self._lessons[cook_id] = found
        return found

    def _on_change(self, change: Change) -> None:
        if change.cook_id is not None and change.entries:
            with self._lock:
                self._written += 1
                self._lessons.pop(change.cook_id, None)


def _is_closed(entries: Sequence[Entry]) -> bool:
    return any(isinstance(entry.what, CookClosed) for entry in holding(entries))


def _strike_of(entries: Sequence[Entry], entry_id: int) -> Entry:
    """The strike in force that struck an entry."""
    struck = struck_ids(entries)
    return next(
        e
        for e in reversed(entries)
        if isinstance(e.what, Strike) and e.what.entry_id == entry_id and e.id not in struck
    )


def _findings(lesson_cooks: Sequence[LessonCook]) -> tuple[list[Finding], list[Finding]]:
    """What cooks on this cooker taught, and what those on an earlier one did."""
    here: list[Finding] = []
    elsewhere: list[Finding] = []
    for one in lesson_cooks:
        if one.lesson.finding is not None:
            (here if one.on_this_pit else elsewhere).append(one.lesson.finding)
    return here, elsewhere


def _fell(lesson_cooks: Sequence[LessonCook]) -> tuple[tuple[Fell, ...], ...]:
    """How forecasts on this cooker came out, by cook."""
    return tuple(one.lesson.fell for one in lesson_cooks if one.on_this_pit and one.lesson.fell)


def _prior(record: ForecastInput, lesson_cooks: Sequence[LessonCook]) -> PitPrior | None:
    cook = record.cook
    prior = learned_prior(cook.cut, *_findings(lesson_cooks), spread_of(cook))
    fell = _fell(lesson_cooks)
    return replace(prior or PitPrior(), fell=fell) if fell else prior


def _range_record(cut: Cut, fell: Sequence[Sequence[Fell]]) -> RangeRecord:
    own = [cook for cook in fell if cook[0].cut == cut]
    scores = [one.score for cook in own for one in cook]
    by = recalibration(cut, HALF_WAY, fell)
    return RangeRecord(len(own), len(scores), sum(abs(z) <= TOLD_SCORE for z in scores), by)
