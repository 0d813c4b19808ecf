"""What earlier cooks do for a forecast: pits that cook twelve times, without and with what they taught.

It goes the way of the program: a cook that is over leaves a finding and how its forecasts came out, and
the next one begins from those. Figures of an earlier run stand in tests/simulator/learning.md.
"""

from __future__ import annotations

import math
import multiprocessing
import sys
from dataclasses import replace

from smokejournal.science.forecast.forecast import forecast
from smokejournal.science.forecast.heating_learned import learned_prior, spread_of
from smokejournal.science.forecast.recalibration import score_of
from smokejournal.science.forecast.values import Fell, Finding, Forecast, PitPrior, Recalibration
from tests.bench.measure import Result
from tests.simulator import cooks, memory
from tests.simulator.judge import MOMENTS, NOTICE, Answer, judge_one, marks, rows, table

#: Cooks of a pit, by how many went before.
GROUPS = {"cook 1": (0, 0), "cooks 2-4": (1, 3), "cooks 5-8": (4, 7), "cooks 9-12": (8, 11)}
_AIMS = {0.25: "13 %", 0.5: "12 %", 0.75: "10 %", 0.9: "9 %"}

#: By how many cooks went before: without and with what they taught.
Told = list[tuple[int, Answer, Answer]]


def one_pit(pit: int) -> Told:
    """All of a pit's cooks in order."""
    told: Told = []
    findings: list[Finding] = []
    fell: list[tuple[Fell, ...]] = []
    for n, cook in enumerate(cooks.cooks(memory.history(pit))):
        if not math.isfinite(cook.truth_s):
            continue
        whole = replace(cook.so_far(cook.truth_s), legs=())
        prior = learned_prior(whole.cut, findings, (), spread_of(whole))
        taught = replace(prior or PitPrior(), fell=tuple(fell))
        out = []
        for share in MOMENTS:
            plain, _ = judge_one(forecast, cook, share)
            own, said = judge_one(lambda c, by=taught: forecast(replace(c, prior=by)), cook, share)
            told.append((n, plain, own))
            score = _score(said, own.came_s)
            if score is not None:
                out.append(Fell(whole.cut, share, score))
        said = forecast(whole)
        if said.found is not None and "far_from_any_prior" not in said.noticed:
            findings.append(said.found)
            fell.append(tuple(out))
    return told


def _score(said: Forecast | None, came_s: float) -> float | None:
    """As the members had it, before it was corrected."""
    if said is None or said.remaining_s is None:
        return None
    score = score_of(said.remaining_s, came_s)
    by = said.recalibration or Recalibration()
    return None if score is None else by.bias + by.scale * score


def measure(quick: bool, part: str | None = None, jobs: int = 1) -> list[Result]:
    """Prints the whole table; what is handed back are its main figures."""
    part = part or ("quick" if quick else "open")
    numbers = memory.pits(part)
    print(f"the {len(numbers)} pits of the {part} part", file=sys.stderr, flush=True)
    if jobs <= 1:
        all_told = [one_pit(n) for n in numbers]
    else:
        with multiprocessing.get_context("spawn").Pool(jobs) as pool:
            all_told = pool.map(one_pit, numbers, chunksize=1)
    told = [one for pit in all_told for one in pit]
    print(f"\n{len(told) // len(MOMENTS)} cooks on {len(numbers)} pits of the {part} part")
    lines = []
    for name, (low, high) in GROUPS.items():
        here = [one for one in told if low <= one[0] <= high]
        lines += rows(f"{name}, nothing learned", [plain for _, plain, _ in here])
        lines += rows(f"{name}, learned", [own for _, _, own in here])
    print(table(lines))
    for answer in (one for _, *both in told for one in both):
        if answer.problem:
            print(f"cook {answer.index} at {answer.share:.0%} raised:\n{answer.problem}")
    print(f"\n{NOTICE}\n")
    late = [one for one in told if one[0] >= 4]
    results = []
    for share in MOMENTS:
        plain = marks([a for _, a, _ in late if a.share == share])
        own = marks([a for _, _, a in late if a.share == share])
        at = f"at {share:.0%} of the way"
        results += [
            Result(
                f"learned, from the fifth cook on: median error {at}",
                "%",
                100 * own.error,
                100 * plain.error,
                "nothing learned",
                _AIMS[share],
            ),
            Result(f"its 80 % interval held {at}", "%", 100 * own.held, aim="77 to 84"),
            Result(f"its width {at}", "%", 100 * own.width, 100 * plain.width, "nothing learned"),
        ]
    return results
