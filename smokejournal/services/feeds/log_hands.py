"""What the cook was doing to a simulated pit at a moment, read off the log."""

from __future__ import annotations

import threading
import time
from bisect import bisect_right
from collections.abc import Sequence
from typing import TypeVar

from smokejournal.cook.log.entries import Entry, Lid, WeatherObserved, Wrap
from smokejournal.cook.log.schedule import Stage
from smokejournal.cook.log.stage_meaning import warms_up
from smokejournal.cook.progress.standing import StageRun
from smokejournal.inputs.pit import Hands, Outside, Where
from smokejournal.services.program.live import LiveCook

T = TypeVar("T")

_FRESH_S = 0.1


class LogHands:
    """Answers for any moment up to now. Asks the log again at most every tenth of a second.

    Before the first stage with a pit target the meat lies aside, and so it does while a first stage
    waits for the pit to be hot; after the last one, and in a later stage without one, it rests beside
    the pit and the fire is out.
    """

    def __init__(self, live: LiveCook, outside: Outside) -> None:
        self._live = live
        self._outside = outside
        self._lock = threading.Lock()
        self._asked = float("-inf")
        self._runs: tuple[StageRun, ...] = ()
        self._lids: list[tuple[float, bool]] = []
        self._wraps: list[tuple[float, str]] = []
        self._weather: list[tuple[float, Outside]] = []

    def __call__(self, at_s: float) -> Hands:
        """What the hands were doing at `at_s`."""
        with self._lock:
            if time.monotonic() - self._asked > _FRESH_S:
                self._ask()
                self._asked = time.monotonic()
            target, where = self._stage(at_s)
            return Hands(
                target_c=target,
                lid_open=_latest(self._lids, at_s, False),
                wrap=_latest(self._wraps, at_s, "none"),
                where=where,
                outside=_latest(self._weather, at_s, self._outside),
            )

    def _ask(self) -> None:
        log = self._live.log()
        self._runs = self._live.standing().runs
        holding = log.holding()
        self._lids = [(e.at_s, e.what.open) for e in holding if isinstance(e.what, Lid)]
        self._wraps = [(e.at_s, e.what.material) for e in holding if isinstance(e.what, Wrap)]
        self._weather = [(e.at_s, self._seen(e)) for e in holding if _has_air(e)]

    def _seen(self, entry: Entry) -> Outside:
        seen = entry.what
        assert isinstance(seen, WeatherObserved)
        usual = self._outside
        return Outside(
            usual.air_c if seen.air_c is None else seen.air_c,
            usual.wind_m_s if seen.wind_m_s is None else seen.wind_m_s,
            usual.humidity_pct if seen.humidity_pct is None else seen.humidity_pct,
        )

    def _stage(self, at_s: float) -> tuple[float | None, Where]:
        runs = [run for run in self._runs if run.began_at_s <= at_s]
        before = [run.stage for run in runs[:-1]]
        if not runs:
            return None, "aside"
        last = runs[-1]
        if last.ended_at_s is not None and at_s >= last.ended_at_s:
            return place_of(None, [*before, last.stage])
        return place_of(last.stage, before)


def place_of(stage: Stage | None, before: Sequence[Stage]) -> tuple[float | None, Where]:
    """The pit's target in `stage` after the stages `before` it, and where the meat is then."""
    cooked = any(earlier.pit_target_c is not None and not warms_up(earlier) for earlier in before)
    if stage is None or stage.pit_target_c is None:
        return None, "rest" if cooked else "aside"
    return stage.pit_target_c, "aside" if warms_up(stage) and not cooked else "grate"


def _has_air(entry: Entry) -> bool:
    return isinstance(entry.what, WeatherObserved)


def _latest(pairs: Sequence[tuple[float, T]], at_s: float, before: T) -> T:
    place = bisect_right(pairs, at_s, key=lambda pair: pair[0])
    return pairs[place - 1][1] if place else before
