"""How often the alarms that watch pit and probes call for nothing, and what they miss."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.progress.alarms import AS_USUAL, Called, due
from smokejournal.cook.progress.progress import Progress
from smokejournal.journal import Journal
from smokejournal.services.demo.build import make_demo
from tests.simulator.pit_events import CALLS, HAPPENED, Case, Happened
from tests.support.logs import T0

#: The alarms that are counted, by the first word of their keys. Silence of a made-up channel is none.
WATCHED = ("pit_low", "pit_high", "fire_out", "blaze", "apart", "jumped", "absurd")
LOOK_S = 30.0


def raised(
    log: CookLog, from_s: float, to_s: float, called: Called = AS_USUAL
) -> list[tuple[float, str]]:
    """Each alarm that is watched (UTC seconds, key), when it is first raised."""
    progress = Progress()
    found: dict[str, float] = {}
    at_s = from_s
    while at_s < to_s:
        at_s += LOOK_S
        progress.walk(log, at_s)
        for alarm in due(progress.standing(at_s), (), called):
            if alarm.key.split(":")[0] in WATCHED:
                found.setdefault(alarm.key, at_s)
    return [(at_s, key) for key, at_s in found.items()]


@dataclass
class Counted:
    """Over cooks of one kind: `false` alarms in `hours` of which nothing was wrong; what happened, what
    of it was missed, and how long the others took [s]."""

    hours: float = 0.0
    false: list[str] = field(default_factory=list)
    happened: int = 0
    missed: int = 0
    took_s: list[float] = field(default_factory=list)

    @property
    def per_ten_hours(self) -> float:
        return 10.0 * len(self.false) / self.hours if self.hours else 0.0


def count(cases: Iterable[Case]) -> dict[Happened, Counted]:
    """The table. What is called before it happened, or by another name, is false."""
    table: dict[Happened, Counted] = {kind: Counted() for kind in HAPPENED}
    for case in cases:
        into = table[case.happened]
        calls = raised(case.log, T0, T0 + case.for_s)
        begins_s = T0 + case.for_s if case.from_s is None else T0 + case.from_s
        right = CALLS.get(case.happened, ())
        into.hours += (begins_s - T0) / 3600
        into.false += [key for at_s, key in calls if at_s < begins_s]
        if case.from_s is None:
            continue
        into.happened += 1
        took = [
            at_s - begins_s
            for at_s, key in calls
            if at_s >= begins_s and key.split(":")[0] in right
        ]
        into.missed += not took
        into.took_s += [min(took)] if took else []
    return table


def count_logs(logs: Sequence[tuple[CookLog, float, float]]) -> Counted:
    """Over finished cooks in which nothing was wrong, each with its first and last moment."""
    into = Counted()
    for log, from_s, to_s in logs:
        into.hours += (to_s - from_s) / 3600
        into.false += [key for _, key in raised(log, from_s, to_s)]
    return into


def demo_logs(folder: Path) -> list[tuple[CookLog, float, float]]:
    """The demo's cooks, made in this folder, each from its first to its last pit reading."""
    make_demo(folder, T0)
    with Journal.open(folder) as journal:
        logs = [journal.log(cook.id) for cook in journal.cooks()]
    traces = [(log, log.trace("pit").at_s) for log in logs if "pit" in log.traces]
    return [(log, float(at_s[0]), float(at_s[-1])) for log, at_s in traces]


def line(kind: str, counted: Counted) -> str:
    """A line of the table."""
    took = sorted(counted.took_s)
    minutes = (
        f"called after {took[len(took) // 2] / 60:.0f} min (at most {took[-1] / 60:.0f})"
        if took
        else ""
    )
    return (
        f"{kind:14}{counted.hours:8.0f} h quiet {len(counted.false):5} false "
        f"({counted.per_ten_hours:.2f} in 10 h){counted.happened:6} happened {counted.missed:4} missed  {minutes}"
    )
