"""The forecast against simulated cooks, beside a straight line and an exponential."""

from __future__ import annotations

import sys
from collections import Counter

from smokejournal.science.forecast.forecast import forecast
from tests.bench.measure import Result
from tests.simulator import cooks, recipes
from tests.simulator.judge import MOMENTS, NOTICE, judge, marks, newton, rows, straight_line, table

_AIMS = {0.25: "15 %", 0.5: "14 %", 0.75: "12 %", 0.9: "11 %"}


def measure(quick: bool, part: str | None = None, jobs: int = 1) -> list[Result]:
    """Prints the whole table; what is handed back are its main figures."""
    part = part or ("quick" if quick else "open")
    print(f"the cooks of the {part} part", file=sys.stderr, flush=True)
    ran = cooks.cooks(recipes.part(part))
    ours = judge(forecast, ran, jobs)
    both = judge(forecast, ran, jobs, both=True)
    line, exponential = judge(straight_line, ran), judge(newton, ran)
    never = sum(cook.truth_s != cook.truth_s for cook in ran)
    print(
        f"\n{len(ran)} cooks of the {part} part; {never} never came to the target and are left out."
    )
    lines = rows("forecast", ours)
    lines += rows("with a check probe", both)
    lines += rows("straight line, 20 min", line, points=True)
    lines += rows("exponential, 30 min", exponential, points=True)
    print(table(lines))
    print(
        "Errors and widths are of the time that remained. An answer without a time counts as an\n"
        "error without bound and as a miss of the interval; CRPS is over the others.\n"
    )
    for cut in recipes.CUTS:
        mine = [answer for answer in ours if answer.cut == cut]
        if mine:
            m = marks(mine)
            print(
                f"{cut:15} n {m.count:3}  median {m.error:5.0%}  bias {m.bias:+5.0%}  held {m.held:.0%}"
            )
    print("standings:", dict(Counter(answer.standing for answer in ours)))
    for answer in (*ours, *both):
        if answer.problem:
            print(f"cook {answer.index} at {answer.share:.0%} raised:\n{answer.problem}")
    print(f"\n{NOTICE}\n")
    return _results(ours, line)


def _results(ours, line) -> list[Result]:
    results = []
    for share in MOMENTS:
        here = marks([a for a in ours if a.share == share])
        other = marks([a for a in line if a.share == share])
        results += [
            Result(
                f"forecast, median error at {share:.0%} of the way",
                "%",
                100 * here.error,
                100 * other.error,
                "straight line",
                _AIMS[share],
            ),
            Result(
                f"forecast, 80 % interval held at {share:.0%}", "%", 100 * here.held, aim="75 to 85"
            ),
        ]
    return [*results, Result("forecast, an update", "s", marks(ours).took_s, aim="under 1.5 s")]
