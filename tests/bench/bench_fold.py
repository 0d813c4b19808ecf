"""Where a cook stands when time goes back: four probes of a day at one reading a second.

Against the bare fold of the same log from the beginning.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from itertools import count

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import Entry, Lid, Payload, Strike
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.progress.kept_fold import KeptFold
from smokejournal.cook.progress.progress import fold
from tests.bench.cooks import DAY_S, FROM_S, day_log
from tests.bench.measure import Result, in_turn, milliseconds

READINGS = 86_400
PROBES = ("pit", "meat1", "meat2", "meat3")
NOW_S = FROM_S + DAY_S
HOUR_S = 3600.0


def measure(quick: bool) -> list[Result]:
    whole = day_log(READINGS)
    log = replace(whole, traces={key: whole.traces[key] for key in PROBES})
    kept = KeptFold()
    kept.read(log)
    seconds = count(1)

    def forward() -> float:
        now_s = NOW_S + next(seconds)
        return milliseconds(lambda: kept.standing(log, now_s))

    def past(hours: float) -> float:
        at_s = NOW_S - hours * HOUR_S + next(seconds)
        return milliseconds(lambda: kept.standing(log, at_s))

    def late(hours: float) -> float:
        """An entry back-dated so far, then its strike: what undo does."""
        entries = log.entries
        last = entries[-1].id
        said: list[tuple[float, Payload]] = [(NOW_S - hours * HOUR_S, Lid(True))]
        said.append((NOW_S, Strike(last + 1)))
        found_ms = []
        for number, (at_s, what) in enumerate(said, start=last + 1):
            entry = Entry(number, at_s, NOW_S, what)
            longer = CookLog(1, (*entries, entry), log.traces)
            found_ms.append(milliseconds(partial(_written, kept, longer, entries, entry)))
            entries = longer.entries
        return max(found_ms)

    def set_back() -> float:
        """A tick that hears each probe and asks three times, as alarms and pages do."""
        again = KeptFold()
        again.read(log)
        at_s = NOW_S - HOUR_S + 0.5

        def tick() -> None:
            again.changed(log.entries, [], [Reading(at_s, key, 80.0) for key in PROBES])
            for _ in range(3):
                again.standing(log, at_s)

        return milliseconds(tick)

    acts = (
        partial(milliseconds, partial(fold, log, NOW_S)),
        forward,
        partial(past, 1.0),
        partial(past, 12.0),
        partial(late, 1.0),
        partial(late, 2.0),
        set_back,
    )
    whole_ms, *ms = in_turn(3 if quick else 9, *acts)
    names = (
        "where a cook stands a second later",
        "where it stood an hour ago",
        "where it stood twelve hours ago",
        "an entry back-dated by an hour, and its strike",
        "an entry back-dated by two hours, and its strike",
        "the first tick after the clock was set back by an hour",
    )
    than = f"ms, of a fold of {len(PROBES)} x {READINGS:,}"
    return [
        Result(name, "ms", took_ms, whole_ms, than, "under 0.1")
        for name, took_ms in zip(names, ms, strict=True)
    ]


def _written(kept: KeptFold, log: CookLog, before: tuple[Entry, ...], entry: Entry) -> None:
    kept.changed(before, [entry], [])
    kept.standing(log, NOW_S)
