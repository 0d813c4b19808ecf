"""What made finished cooks last: worked out when asked for, and kept in the log of each.

It takes seconds, so it is done neither for every sheet nor at every closing; what is kept stays as it was
said, whatever later cooks make of the usual.
"""

from __future__ import annotations

import threading

from smokejournal.cook.learning.lasted import (
    NEWEST,
    Lived,
    WhyNotLasted,
    lived,
    planned,
    usual,
    what_made_it_last,
)
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import CookClosed, Payload, Strike, TimeExplained
from smokejournal.cook.plan.plan import plan_of
from smokejournal.journal import CookLine
from smokejournal.services.forecast.timetables import cuts_of
from smokejournal.services.program.program import Program

#: So many earlier cooks are looked through for those of the like, the newest first.
LOOKED_THROUGH = 4 * NEWEST


class TimesExplained:
    """See the module. May be used from any thread; one cook is worked out at a time."""

    def __init__(self, program: Program) -> None:
        self._program = program
        self._lock = threading.Lock()
        self._lived: dict[int, tuple[int, Lived | WhyNotLasted]] = {}

    def work_out(self, cook_id: int) -> tuple[TimeExplained, ...] | WhyNotLasted:
        """Against the plan and against the usual, where there are those, in place of what is kept; or why
        not. Slow. Raises JournalProblem where the journal can't be read or written."""
        with self._lock:
            log = self._program.journal.log(cook_id)
            one = lived(log)
            if isinstance(one, str):
                return one
            meant = [planned(log, one), usual(one, self._earlier(log, one))]
            found = [what_made_it_last(one, each) for each in meant if each is not None]
            told = tuple(each for each in found if isinstance(each, TimeExplained))
            if not told:
                return next((each for each in found if isinstance(each, str)), "no_reference")
            self._keep(log, told)
            return told

    def _keep(self, log: CookLog, told: tuple[TimeExplained, ...]) -> None:
        """Written at the moment when the cook was closed: it belongs to nothing later."""
        before = [(entry.id, entry.what) for entry in log.holding()]
        kept = [what for _, what in before if isinstance(what, TimeExplained)]
        if kept == list(told):
            return
        now_s = self._program.clock.now_s()
        closed_s = [e.at_s for e in log.holding() if isinstance(e.what, CookClosed)][-1]
        items: list[tuple[float, Payload]] = [
            (now_s, Strike(entry_id, "worked out again"))
            for entry_id, what in before
            if isinstance(what, TimeExplained)
        ]
        items += [(closed_s, each) for each in told]
        self._program.journal.append_many(log.cook_id, items, now_s).result()

    def _earlier(self, log: CookLog, one: Lived) -> list[Lived]:
        """Those that were over before this one began, the newest first."""
        plan = plan_of(log)
        alike = [
            line
            for line in self._program.cooks()
            if line.id != log.cook_id
            and line.over_s is not None
            and line.over_s <= one.cook.now_s - one.took_s
            and line.simulated == plan.simulated
            and one.cook.cut in cuts_of(line)
        ][:LOOKED_THROUGH]
        found = [self._of_cook(line) for line in alike]
        return [each for each in found if isinstance(each, Lived)]

    def _of_cook(self, line: CookLine) -> Lived | WhyNotLasted:
        newest = max((entry.id for entry in self._program.journal.entries(line.id)), default=0)
        known = self._lived.get(line.id)
        if known is None or known[0] != newest:
            known = self._lived[line.id] = newest, lived(self._program.journal.log(line.id))
        return known[1]
