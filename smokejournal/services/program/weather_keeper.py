"""Fetches the weather while a cook is under way, where the person switched that on, and logs it hourly.

Everything slow is on a thread of its own, and no cook waits for it. What fails is tried again later, and
is told by `seen`, never by a call.
"""

from __future__ import annotations

import logging
import math
import time
from collections.abc import Callable
from dataclasses import replace

from smokejournal.cook.log.entries import CookOpened, WeatherObserved
from smokejournal.cook.weather.by_network import (
    OLD_S,
    NetworkWeather,
    NoReport,
    WeatherByNetwork,
    newest_report,
)
from smokejournal.cook.weather.report import WeatherReport
from smokejournal.journal import JournalProblem
from smokejournal.services.program.clock_watch import cooks_under_way
from smokejournal.services.program.program import Program
from smokejournal.services.program.side_thread import SideThread

_log = logging.getLogger(__name__)

#: One address is asked no more often than this, and after errors ever later, up to the second [s].
EVERY_S, LATEST_S = 20 * 60.0, 2 * 3600.0
#: Whether there is something to do is looked at this often [s].
LOOK_S = 15.0
#: Reports come about once an hour: one is logged that is this much newer than the last one [s].
HOURLY_S = 50 * 60.0

#: The text at an address. Raises NoReport.
Fetch = Callable[[str], str]


def _from_the_web(address: str) -> str:
    # Loaded when first asked for: a start that fetches nothing needs none of what speaks https.
    from smokejournal.host.web import fetch_text

    return fetch_text(address)


class WeatherKeeper:
    """`want` says what is wanted, `look` is asked each second, `seen` tells what came last."""

    def __init__(
        self,
        program: Program,
        fetch: Fetch = _from_the_web,
        passed_s: Callable[[], float] = time.monotonic,
    ) -> None:
        self._program = program
        self._fetch = fetch
        self._passed_s = passed_s
        self._wanted = WeatherByNetwork()
        self._seen = NetworkWeather()
        self._side = SideThread("weather by network")
        self._looked_s: float | None = None
        #: When an address may be asked again, by a clock that only goes on, and how often it failed.
        self._not_before: dict[str, float] = {}
        self._failed: dict[str, int] = {}
        #: The moment of the newest logged report, by cook.
        self._logged: dict[int, float] = {}

    def want(self, wanted: WeatherByNetwork) -> None:
        """From now on fetch this, or nothing."""
        if wanted != self._wanted:
            self._wanted = wanted
            self._seen = NetworkWeather()
            self._looked_s = None

    @property
    def on(self) -> bool:
        """Whether something is to be fetched."""
        return self._wanted.wanted

    def seen(self) -> NetworkWeather:
        """What came last, or since when nothing does."""
        return self._seen

    def look(self) -> None:
        """Fetch and log soon, if it is time to. Quick. While it is off, nothing begins."""
        if not self._wanted.wanted:
            return
        now_s = self._passed_s()
        due = self._looked_s is None or now_s - self._looked_s >= LOOK_S
        if due and self._side.ask(self._work):
            self._looked_s = now_s

    def report(self, wanted: WeatherByNetwork) -> WeatherReport:
        """Fetch what `wanted` asks for, now. Slow. Raises NoReport."""
        answer = self._fetch(wanted.whole_address)
        return newest_report(answer, wanted.station, self._program.clock.now_s())

    def settle(self) -> None:
        """Wait until what is under way is done."""
        self._side.settle()

    def close(self) -> None:
        """Fetch no more. What is still under way is left to itself."""
        self._wanted = WeatherByNetwork()
        self._side.close()

    def _work(self) -> None:
        wanted = self._wanted
        try:
            cooks = self._cooks() if wanted.wanted else ()
            if not cooks:
                return
            if self._passed_s() >= self._not_before.get(wanted.whole_address, 0.0):
                self._ask(wanted)
            # It may have been switched off, or another station chosen, meanwhile.
            if self._wanted == wanted and self._seen.report is not None:
                for cook_id in cooks:
                    self._log(cook_id, self._seen.report, wanted.host)
        except JournalProblem as problem:  # which whoever shows the cook says
            _log.warning("Weather from the network could not be logged: %s", problem)

    def _cooks(self) -> tuple[int, ...]:
        """Those under way at a real fire."""
        cooks = cooks_under_way(self._program.journal)
        for cook_id in cooks:
            if cook_id not in self._logged:
                self._logged[cook_id] = self._newest_logged(cook_id)
        return tuple(cook_id for cook_id in cooks if self._logged[cook_id] < math.inf)

    def _ask(self, wanted: WeatherByNetwork) -> None:
        address = wanted.whole_address
        try:
            seen = NetworkWeather(self.report(wanted))
            self._failed[address] = 0
        except NoReport as problem:
            _log.info("No weather from the network: %s", problem.message)
            self._failed[address] = self._failed.get(address, 0) + 1
            before = self._seen
            since_s = before.failing_since_s
            if since_s is None:
                since_s = self._program.clock.now_s()
            seen = replace(before, failing_since_s=since_s, why=problem.message)
        wait_s = EVERY_S * 2.0 ** min(10, max(0, self._failed[address] - 1))
        self._not_before[address] = self._passed_s() + min(wait_s, LATEST_S)
        if self._wanted == wanted:
            self._seen = seen

    def _log(self, cook_id: int, report: WeatherReport, host: str) -> None:
        now_s = self._program.clock.now_s()
        if report.at_s is None or now_s - report.at_s > OLD_S:
            return
        if report.at_s - self._logged[cook_id] < HOURLY_S:
            return
        # The person may have pasted it meanwhile.
        self._logged[cook_id] = self._newest_logged(cook_id)
        if report.at_s - self._logged[cook_id] < HOURLY_S:
            return
        seen = replace(report.seen, fetched_from=host)
        at_s = min(report.at_s, now_s)
        self._program.journal.append(cook_id, seen, at_s, now_s).result()
        self._logged[cook_id] = report.at_s

    def _newest_logged(self, cook_id: int) -> float:
        """The moment of the newest report in a log, struck ones too; inf for a cook that takes none."""
        newest_s = -math.inf
        for entry in self._program.journal.entries(cook_id):
            what = entry.what
            if isinstance(what, CookOpened) and what.simulated:
                return math.inf  # the weather there is made up as well
            if isinstance(what, WeatherObserved) and what.report:
                newest_s = max(newest_s, entry.at_s)
        return newest_s
