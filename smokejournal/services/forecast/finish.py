"""When a cook under way will be done: computed away from the painting thread, once a minute.

`look` is slow (a second or so) and is called on a thread of the caller's choice; `last` costs nothing.
Every ten minutes what was forecast is written into the log, to be set against what came.
"""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeAlias

from smokejournal.cook.forecast.cook_so_far import (
    ForecastInput,
    NoForecast,
    if_followed,
    if_pit,
    if_wrapped,
    record_of,
)
from smokejournal.cook.forecast.intervals import reach_span
from smokejournal.cook.forecast.probe_difference import PairShift, pair_of
from smokejournal.cook.log.entries import Computed, Entry, ForecastMade
from smokejournal.science.forecast.finish_shift import finish_shift, offsets_for
from smokejournal.science.forecast.values import (
    CookSoFar,
    FloatArray,
    Forecast,
    PitPrior,
    Wrapping,
)
from smokejournal.services.program.program import Program

Forecaster: TypeAlias = Callable[[CookSoFar], Forecast]
#: When the members of a forecast are at the target and beside it (`science.forecast.crossings`).
Crossings: TypeAlias = Callable[[CookSoFar, FloatArray], FloatArray | None]
#: What earlier cooks taught about the pit and cut of this cook's record; None: nothing.
Taught: TypeAlias = Callable[[int, ForecastInput], PitPrior | None]

#: A new forecast is made at most this often [s of the cook].
EVERY_S = 60.0
#: However fast the practice clock runs, computing takes no more than this share of a core.
LARGEST_SHARE = 0.2
#: What was forecast is written down at most this often [s of the cook].
KEPT_EVERY_S = 600.0


@dataclass(frozen=True, slots=True)
class WrapNow:
    """What if it were wrapped now?"""

    material: Wrapping


@dataclass(frozen=True, slots=True)
class PitAt:
    """What if the pit were set to `pit_c` now?"""

    pit_c: float


@dataclass(frozen=True, slots=True)
class OtherProbe:
    """What if the probe on `channel` led?"""

    channel: str


WhatIf: TypeAlias = WrapNow | PitAt | OtherProbe
#: A forecast; of another probe in the same piece, what the difference of the two means for the finish.
Answer: TypeAlias = Forecast | PairShift


@dataclass(frozen=True, slots=True)
class ForecastResult:
    """What was computed for a cook at `now_s`: the forecast and what it was made from, or why none.

    `what_ifs` beside what they answer. `took_s` is how long the forecast alone took.
    """

    cook_id: int
    now_s: float
    record: ForecastInput | None = None
    forecast: Forecast | None = None
    why: NoForecast | None = None
    what_ifs: tuple[tuple[WhatIf, Answer], ...] = ()
    took_s: float = 0.0


def default_forecast(cook: CookSoFar) -> Forecast:
    """The forecast of this program. Loaded when first asked for: the window needs none to open."""
    from smokejournal.science.forecast.forecast import forecast

    return forecast(cook)


def default_crossings(cook: CookSoFar, offsets_k: FloatArray) -> FloatArray | None:
    """Those of this program's forecast."""
    from smokejournal.science.forecast.forecast import crossings

    return crossings(cook, offsets_k)


def _untaught(cook_id: int, record: ForecastInput) -> PitPrior | None:  # noqa: ARG001 - stands for one that reads them
    return None


class FinishForecasts:
    """Keeps the last forecast of each cook. It may be used from any thread; one computes at a time."""

    def __init__(
        self,
        program: Program,
        forecaster: Forecaster = default_forecast,
        taught: Taught = _untaught,
        crossings: Crossings = default_crossings,
    ) -> None:
        self._program = program
        self._forecaster = forecaster
        self._crossings = crossings
        self._taught = taught
        self._computing = threading.Lock()
        self._lock = threading.Lock()
        self._last: dict[int, ForecastResult] = {}
        self._entries: dict[int, int] = {}
        self._not_before: dict[int, float] = {}
        self._written: dict[int, tuple[float, ForecastMade]] = {}

    def last(self, cook_id: int) -> ForecastResult | None:
        """What was computed last, however old; None where nothing was yet."""
        with self._lock:
            return self._last.get(cook_id)

    def due(self, cook_id: int) -> bool:
        """Whether `look` would compute again: a minute has passed, or something was said."""
        with self._lock:
            result = self._last.get(cook_id)
            if result is None:
                return True
            if time.monotonic() < self._not_before.get(cook_id, -math.inf):
                return False
            said = self._entries.get(cook_id)
        now_s = self._program.clock.now_s()
        # A clock that was set back is a reason too: what was told lies in the future then.
        return abs(now_s - result.now_s) >= EVERY_S or said != self._said(cook_id)

    def look(self, cook_id: int, what_ifs: tuple[WhatIf, ...] = ()) -> ForecastResult:
        """The forecast as of now; the last one while none is due. Slow.

        `what_ifs` are computed from the same readings, so that they can be set against it; they are
        computed even where no new forecast is due. Raises JournalProblem where the log can't be
        read or what was forecast can't be written; `last` has it then all the same. Never on the
        journal's own thread: it waits for that.
        """
        with self._computing:
            result = self.last(cook_id)
            if result is None or self.due(cook_id):
                result = self._compute(cook_id)
            missing = [what for what in what_ifs if what not in dict(result.what_ifs)]
            if missing and result.record is not None:
                more = tuple(self._what_if(result, what) for what in missing)
                found = tuple(pair for pair in more if pair is not None)
                result = replace(result, what_ifs=result.what_ifs + found)
                with self._lock:
                    self._last[cook_id] = result
            return result

    def forget(self, cook_id: int | None = None) -> None:
        """Compute again at the next look: what earlier cooks taught has changed."""
        with self._lock:
            for known in [cook_id] if cook_id is not None else list(self._last):
                self._last.pop(known, None)
                self._not_before.pop(known, None)

    # -- computing ---------------------------------------------------------------------------

    def _said(self, cook_id: int) -> int:
        """Number of the last entry that says something of the cook."""
        entries = self._program.live(cook_id).log().entries
        return next((e.id for e in reversed(entries) if not isinstance(e.what, Computed)), 0)

    def _compute(self, cook_id: int) -> ForecastResult:
        live = self._program.live(cook_id)
        said = self._said(cook_id)
        standing = live.standing()
        now_s = standing.at_s
        log = live.log()
        answer = record_of(log, standing, now_s)
        if isinstance(answer, NoForecast):
            return self._keep(ForecastResult(cook_id, now_s, why=answer), said, 0.0)
        prior = self._taught(cook_id, answer)
        if prior is not None:
            answer = replace(answer, cook=replace(answer.cook, prior=prior))
        began = time.perf_counter()
        forecast = self._forecaster(answer.cook)
        took_s = time.perf_counter() - began
        result = ForecastResult(cook_id, now_s, answer, forecast, took_s=took_s)
        self._keep(result, said, took_s)
        self._write(result, log.entries)
        return result

    def _keep(self, result: ForecastResult, said: int, took_s: float) -> ForecastResult:
        with self._lock:
            self._last[result.cook_id] = result
            self._entries[result.cook_id] = said
            self._not_before[result.cook_id] = time.monotonic() + took_s * (1 / LARGEST_SHARE - 1)
        return result

    def _what_if(self, result: ForecastResult, what: WhatIf) -> tuple[WhatIf, Answer] | None:
        record = result.record
        assert record is not None
        match what:
            case WrapNow(material=material):
                return what, self._forecaster(if_wrapped(record.cook, material))
            case PitAt(pit_c=pit_c):
                return what, self._forecaster(if_pit(record.cook, pit_c))
            case OtherProbe(channel=channel):
                answer = self._other_probe(result.cook_id, record, channel)
                return None if answer is None else (what, answer)

    def _other_probe(self, cook_id: int, record: ForecastInput, channel: str) -> Answer | None:
        """Of a probe in the same piece what the difference means, so that one question has one answer;
        of another, and of one too far off to sit in the same spot, the forecast by its readings."""
        live, now_s = self._program.live(cook_id), record.cook.now_s
        log = live.log()
        other = record_of(log, live.standing(now_s), now_s, lead=channel)
        if isinstance(other, NoForecast):
            return None
        pair = pair_of(log, record, other)
        if pair is not None:
            offsets_k = offsets_for(pair.higher_k, pair.sd_k)
            crossing_s = self._crossings(record.cook, offsets_k)
            if crossing_s is not None:
                shift = finish_shift(pair.higher_k, pair.sd_k, offsets_k, crossing_s)
                found = PairShift(pair, shift)
                if not pair.apart or shift.span_s is None:
                    return found
                return replace(found, course=self._forecaster(if_followed(record, other)))
        return self._forecaster(if_followed(record, other))

    def _write(self, result: ForecastResult, entries: tuple[Entry, ...]) -> None:
        """Write down what was forecast, unless that was done a short while ago."""
        made = forecast_made(result)
        if made is None or self._program.journal.read_only:
            return
        found = ((e.at_s, e.what) for e in reversed(entries) if isinstance(e.what, ForecastMade))
        before = self._written.get(result.cook_id) or next(found, None)
        if before is not None:
            at_s, last = before
            # It stays reached: once is enough.
            stays = made.standing == last.standing == "reached"
            if stays and (last.channel, last.target_c) == (made.channel, made.target_c):
                return
            if abs(result.now_s - at_s) < KEPT_EVERY_S:
                return
        self._written[result.cook_id] = (result.now_s, made)
        # Waited for, so that whoever asked hears of a journal that can't be written.
        self._program.live(result.cook_id).keep_forecast(made, result.now_s).result()


def forecast_made(result: ForecastResult) -> ForecastMade | None:
    """The entry that keeps what was forecast; None where no time was told."""
    if result.forecast is None or result.record is None:
        return None
    channel, target_c = result.record.lead.key, result.record.cook.target_c
    standing = result.forecast.standing
    if standing == "reached":
        return ForecastMade(channel, target_c, "reached")
    if standing != "forecast" and standing != "may_not_reach":
        return None
    span = reach_span(result.forecast)
    if span is None:
        return ForecastMade(channel, target_c, standing)
    whole: list[float | None] = [
        float(round(moment)) if math.isfinite(moment) else None
        for moment in (span.low, span.mid, span.high)
    ]
    return ForecastMade(channel, target_c, standing, *whole)
