"""A cook of 100,000 readings assessed for food safety anew, as it comes and with a probe that was moved."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import Entry, ProbeMoved
from smokejournal.cook.log.readings import Trace
from smokejournal.cook.safety.assessment import assess
from tests.bench.cooks import CHANNELS, DAY_S, FROM_S, day_log
from tests.bench.measure import Result, in_turn, milliseconds

READINGS = 100_000
NOW_S = FROM_S + DAY_S


def measure(quick: bool) -> list[Result]:
    times = 3 if quick else 9
    spread = day_log(READINGS // CHANNELS)
    one = day_log(READINGS)
    single = replace(one, traces={key: one.traces[key] for key in ("pit", "meat1")})
    moved = _moved(single)
    whole = day_log(86_400)
    logs = (spread, single, moved, whole)
    ms = in_turn(times, *(partial(milliseconds, partial(assess, log, NOW_S)) for log in logs))
    aim = "under 1000 ms"
    return [
        Result(f"food safety of {READINGS:,} readings, {CHANNELS} channels", "ms", ms[0], aim=aim),
        Result(f"the same, {READINGS:,} of one probe", "ms", ms[1], aim=aim),
        Result("the same, its probe moved and its readings leaping", "ms", ms[2], aim=aim),
        Result(f"food safety of {CHANNELS} x 86,400 readings", "ms", ms[3]),
    ]


def _moved(log: CookLog) -> CookLog:
    """What makes every reading be judged one by one."""
    trace = log.traces["meat1"]
    value_c = trace.value_c.copy()
    value_c[5000::10_000] += 30.0
    last = log.entries[-1]
    at_s = FROM_S + DAY_S / 2
    entries = (*log.entries, Entry(last.id + 1, at_s, at_s, ProbeMoved("meat1")))
    return replace(log, entries=entries, traces={**log.traces, "meat1": Trace(trace.at_s, value_c)})
