"""Thousands of spoilt records put to the forecast; every fault with the least readings that show it."""

from __future__ import annotations

import multiprocessing
import time

from smokejournal.science.forecast.forecast import forecast
from tests.bench.measure import Result
from tests.simulator.mutations import faults, mutated, shorter

COUNT, QUICK = 5000, 300
_SHOWN = 20


def _try(seed: int) -> tuple[int, list[str], float]:
    case = mutated(seed)
    began = time.perf_counter()
    return seed, faults(case, forecast), time.perf_counter() - began


def measure(quick: bool, part: str | None = None, jobs: int = 1) -> list[Result]:
    count = QUICK if quick else COUNT
    if jobs > 1:
        with multiprocessing.get_context("spawn").Pool(jobs) as pool:
            found = pool.map(_try, range(count), chunksize=8)
    else:
        found = [_try(seed) for seed in range(count)]
    wrong = [(seed, what) for seed, what, _ in found if what]
    for seed, what in wrong[:_SHOWN]:
        least = shorter(mutated(seed), forecast)
        print(f"{seed} ({', '.join(least.how)}): {'; '.join(what)}\n{least.cook}")
    slowest = max(found, key=lambda one: one[2])
    print(f"the slowest is record {slowest[0]} ({', '.join(mutated(slowest[0]).how)})")
    return [
        Result(f"faults in {count:,} spoilt records", "", len(wrong), aim="0"),
        Result("a spoilt record, the slowest", "s", slowest[2]),
    ]
