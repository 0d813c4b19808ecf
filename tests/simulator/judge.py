"""Marks a forecaster against the simulated cooks, beside two simple ones.

A forecaster is any function from `CookSoFar` to `Forecast`; it must be defined at a module's top level,
so that other processes can call it. An answer without a finite median counts: as a miss of the
interval and as an error without bound.
"""

from __future__ import annotations

import math
import multiprocessing
import time
import traceback
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from smokejournal.science.forecast.meat_record import clean
from smokejournal.science.forecast.values import SHARES, CookSoFar, Forecast
from tests.simulator.cooks import SimulatedCook

Array = NDArray[np.float64]
Forecaster = Callable[[CookSoFar], Forecast]

MOMENTS = (0.25, 0.5, 0.75, 0.9)
MIDDLE, LOW, HIGH = 9, 1, 17  # of SHARES: 0.5, 0.1, 0.9
HORIZON_S = 30 * 3600.0
STRAIGHT_S, NEWTON_S = 20 * 60.0, 30 * 60.0

NOTICE = """\
A simulator that shares the forecaster's assumptions flatters it. Where this one differs: heat and water
move in two directions, water by pressure through its own mobility and not by a lag, proteins change by
rates of their own, fat melts, water goes by an isotherm and not by a film, bones and cavities, walls
that radiate at a temperature of their own, a fire that is fed in turns, stems that lead heat, lids and
dead fires. Where it resembles: evaporation by the Lewis relation, a wrap as two resistances, noise and
offset of the probe, and the same hand wrote both. Its recipes were tuned until times and plateaus
came out as they do in practice, the sealed part included; no forecaster was run on the sealed part for
any choice. Simulated cooks are no proof for real ones."""


def _answer(cook: CookSoFar, remaining_s: float | None) -> Forecast:
    """A time without an interval: all of its quantiles are the same."""
    if remaining_s is None or not math.isfinite(remaining_s):
        return Forecast("may_not_reach", cook.now_s)
    return Forecast("forecast", cook.now_s, np.full(len(SHARES), max(remaining_s, 0.0)))


def _recent(cook: CookSoFar, for_s: float) -> tuple[Array, Array] | None:
    """Ages (0 now, rising backwards is negative) and readings, cleaned as the forecast's own are."""
    record = clean(cook)
    if record is None:
        return None
    late = record.time_s > cook.now_s - for_s
    if np.count_nonzero(late) < 4:
        return None
    return record.time_s[late] - cook.now_s, record.probe_c[late]


def straight_line(cook: CookSoFar) -> Forecast:
    """A line through the last 20 minutes, on to the target."""
    found = _recent(cook, STRAIGHT_S)
    if found is None:
        return _answer(cook, None)
    slope, now_c = np.polyfit(*found, 1)
    return _answer(cook, None if slope <= 1e-6 else float((cook.target_c - now_c) / slope))


def newton(cook: CookSoFar) -> Forecast:
    """Newton's law through the last 30 minutes: the difference to the pit dies away as exp(-k t)."""
    found = _recent(cook, NEWTON_S)
    with np.errstate(invalid="ignore"):
        pit = cook.pit_c[(cook.time_s > cook.now_s - NEWTON_S) & np.isfinite(cook.pit_c)]
    if found is None or not len(pit):
        return _answer(cook, None)
    pit_c = float(pit.mean())
    short = pit_c - found[1]
    if (short <= 1.0).any() or cook.target_c >= pit_c:
        return _answer(cook, None)
    slope, now_log = np.polyfit(found[0], np.log(short), 1)
    if slope >= -1e-8:
        return _answer(cook, None)
    return _answer(cook, float((math.log(pit_c - cook.target_c) - now_log) / slope))


@dataclass(frozen=True)
class Answer:
    """What was said of one cook at one moment, and what came."""

    index: int
    cut: str
    share: float
    came_s: float
    standing: str
    remaining_s: Array | None
    took_s: float
    problem: str = ""

    @property
    def has_time(self) -> bool:
        return self.remaining_s is not None and bool(np.isfinite(self.remaining_s[MIDDLE]))


def judge_one(
    forecaster: Forecaster, cook: SimulatedCook, share: float, both: bool = False
) -> tuple[Answer, Forecast | None]:
    """Ask once, at a moment of a cook; with the forecast itself, None where it raised. `both`: the check
    probe's readings are told as well."""
    now_s = cook.moment(share)
    told = cook.so_far(now_s, both)
    began = time.perf_counter()
    problem, standing, remaining, said = "", "raised", None, None
    try:
        said = forecaster(told)
        standing, remaining = said.standing, said.remaining_s
    except Exception:  # noqa: BLE001 - told in the table; one cook must not end the run
        problem = traceback.format_exc()
    took = time.perf_counter() - began
    spec = cook.spec
    answer = Answer(
        spec.index, spec.cut, share, cook.truth_s - now_s, standing, remaining, took, problem
    )
    return answer, said


_AT_HAND: list[SimulatedCook] = []


def _take(cooks: list[SimulatedCook]) -> None:
    _AT_HAND[:] = cooks


def _task(task: tuple[Forecaster, int, float, bool]) -> Answer:
    forecaster, place, share, both = task
    return judge_one(forecaster, _AT_HAND[place], share, both)[0]


def judge(
    forecaster: Forecaster,
    cooks: Sequence[SimulatedCook],
    jobs: int = 1,
    moments: Sequence[float] = MOMENTS,
    both: bool = False,
) -> list[Answer]:
    """Ask at each moment of each cook that came to its target; the order is that of the cooks."""
    done = [cook for cook in cooks if math.isfinite(cook.truth_s)]
    if jobs <= 1:
        return [judge_one(forecaster, cook, share, both)[0] for cook in done for share in moments]
    tasks = [(forecaster, place, share, both) for place in range(len(done)) for share in moments]
    with multiprocessing.get_context("spawn").Pool(jobs, _take, (done,)) as pool:
        return pool.map(_task, tasks, chunksize=2)


@dataclass(frozen=True)
class Marks:
    """Of all answers at one moment. Shares, not percent; seconds."""

    count: int
    without: int  # without a time
    error: float  # median of the absolute error over what remained
    error_90: float  # its 90th percentile; inf where more than a tenth gave no time
    bias: float
    held: float  # how often the 80 % interval held what came
    width: float  # median of its width over what remained
    crps_s: float  # mean over the answers with a time
    took_s: float
    slowest_s: float


def crps_s(remaining_s: Array, came_s: float) -> float:
    """By the quantiles at SHARES: twice the mean pinball loss. Beyond the horizon counts as at it."""
    off = came_s - np.minimum(remaining_s, HORIZON_S)
    return float(2 * np.mean(np.where(off >= 0, SHARES * off, (SHARES - 1) * off)))


def marks(answers: Sequence[Answer]) -> Marks:
    """Raises ValueError without an answer."""
    if not answers:
        raise ValueError("there is no answer to mark")
    timed = [a for a in answers if a.has_time]
    said = [(a.remaining_s, a.came_s) for a in timed if a.remaining_s is not None]
    off = np.array([(q[MIDDLE] - came) / came for q, came in said])
    errors = np.concatenate([np.abs(off), np.full(len(answers) - len(timed), np.inf)])
    held = sum(bool(q[LOW] <= came <= q[HIGH]) for q, came in said)
    widths = [(min(q[HIGH], HORIZON_S) - q[LOW]) / came for q, came in said]
    took = [a.took_s for a in answers]
    return Marks(
        count=len(answers),
        without=len(answers) - len(timed),
        error=_quantile(errors, 0.5),
        error_90=_quantile(errors, 0.9),
        bias=float(np.median(off)) if len(off) else math.nan,
        held=held / len(answers),
        width=float(np.median(widths)) if widths else math.nan,
        crps_s=float(np.mean([crps_s(q, came) for q, came in said])) if said else math.nan,
        took_s=float(np.mean(took)),
        slowest_s=max(took),
    )


def _quantile(values: Array, share: float) -> float:
    """By order, so that what is infinite stays apart from what is not."""
    return float(np.sort(values)[min(len(values) - 1, math.ceil(share * len(values)) - 1)])


HEADS = (
    "forecaster",
    "way",
    "n",
    "median",
    "p90",
    "bias",
    "80 % held",
    "width",
    "CRPS",
    "no time",
    "s mean",
    "s most",
)


def rows(name: str, answers: Sequence[Answer], points: bool = False) -> list[tuple[str, ...]]:
    """A line for each moment; `points`: it gives no interval, so there is none to mark."""
    out = []
    for share in sorted({a.share for a in answers}):
        m = marks([a for a in answers if a.share == share])
        out.append(
            (
                name,
                f"{share:.0%}",
                str(m.count),
                _percent(m.error),
                _percent(m.error_90),
                _percent(m.bias),
                "none" if points else _percent(m.held),
                "none" if points else _percent(m.width),
                f"{m.crps_s / 60:.1f} min",
                str(m.without),
                f"{m.took_s:.2f}",
                f"{m.slowest_s:.2f}",
            )
        )
    return out


def table(lines: Sequence[tuple[str, ...]]) -> str:
    whole = [HEADS, *lines]
    widths = [max(len(row[k]) for row in whole) for k in range(len(HEADS))]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in whole
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %" if math.isfinite(share) else "none"
