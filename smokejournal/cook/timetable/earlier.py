"""How long steps lasted in the cook's own earlier cooks, and what that tells of the next one.

A length of another mass is scaled by the mass to the power 2/3: in a body of the same shape heat takes
as long as the square of its thickness (Fourier number; Carslaw and Jaeger, Conduction of Heat in
Solids, 1959). What counts as alike, and how far a single cook is trusted, is our own judgment.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from smokejournal.cook.forecast.cut import cut_of_item
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import ItemAdded, PrepSort
from smokejournal.cook.log.readings import FloatArray
from smokejournal.cook.log.schedule import LEAD
from smokejournal.cook.log.stage_meaning import is_rest, targets, warms_up
from smokejournal.cook.plan.plan import lead_item, piece_kg, plan_of
from smokejournal.cook.plan.prep_progress import prep_progress
from smokejournal.cook.progress.standing import Standing
from smokejournal.cook.timetable.durations import FromEarlier, LengthAsked, sort_of
from smokejournal.cook.timetable.timetable import StepKind
from smokejournal.science.forecast.values import Cut

#: Pits and targets that are no further apart than this [K] are alike.
SAME_PIT_K: Final = 12.0
SAME_TARGET_K: Final = 4.0
#: A piece up to so many times as heavy or as light tells something.
MASS_FACTOR: Final = 2.0
#: The spread of the logarithm that is expected before any cook has spoken, and for how many it counts.
USUAL_SD: Final = 0.25
USUAL_COUNTS: Final = 4.0
#: Physics that knows the piece at hand gives way only to so many cooks.
AGAINST_PHYSICS: Final = 2
_SAMPLE: Final = 20_000


@dataclass(frozen=True, slots=True)
class LivedLength:
    """How long one step of a finished cook lasted [s], and what it was about."""

    kind: StepKind
    name: str
    length_s: float
    sort: PrepSort = ""
    cut: Cut | None = None
    mass_kg: float | None = None
    pit_c: float | None = None
    target_c: float | None = None


def lived_lengths(log: CookLog, standing: Standing) -> tuple[LivedLength, ...]:
    """Every step of a cook of which both ends are known. `standing` is where it stands, over."""
    plan = plan_of(log)
    led = lead_item(plan)
    item = None if led is None else led[1]
    by_name = {one.name: one for _, one in plan.items}
    found = []
    for step in prep_progress(log.holding()):
        if step.took_s:
            about = by_name.get(step.step.item, item)
            found.append(
                _about(LivedLength("prep", step.step.step, step.took_s, sort_of(step.step)), about)
            )
    for run in standing.runs:
        if run.ended_at_s is None or run.how not in ("rule", "confirmed"):
            continue
        stage = run.stage
        kind: StepKind = "warm_up" if warms_up(stage) else "rest" if is_rest(stage) else "stage"
        wanted = targets(stage, plan.lead or LEAD)
        length = LivedLength(
            kind,
            stage.name,
            run.ended_at_s - run.began_at_s,
            pit_c=stage.pit_target_c,
            target_c=wanted[-1] if wanted else None,
        )
        found.append(length if kind == "warm_up" else _about(length, item))
    return tuple(one for one in found if one.length_s > 0.0)


def _about(length: LivedLength, item: ItemAdded | None) -> LivedLength:
    if item is None:
        return length
    return replace(length, cut=cut_of_item(item), mass_kg=piece_kg(item))


class EarlierCooks:
    """Answers how long a step lasted in these cooks (`durations.AskEarlier`)."""

    def __init__(self, cooks: Sequence[Sequence[LivedLength]]) -> None:
        self._cooks = tuple(tuple(lengths) for lengths in cooks)

    def __call__(
        self, asked: LengthAsked, physics_s: FloatArray | None, count: int
    ) -> FromEarlier | None:
        """Draws of the length, shape (count,); None where too few cooks were alike."""
        logs: list[float] = []
        for lengths in self._cooks:
            # Of several alike in one cook the first: another one is the same stage put back.
            told = next((found for one in lengths if (found := _told_by(one, asked))), None)
            if told is not None:
                logs.append(math.log(told))
        if len(logs) < (1 if physics_s is None else AGAINST_PHYSICS):
            return None
        return FromEarlier(predicted(logs, count, f"{asked.kind}{asked.name}"), len(logs))


def predicted(logs: Sequence[float], count: int, key: str) -> FloatArray:
    """Draws [s], shape (count,), of the next length after these (natural logarithms of seconds).

    Student's t with the usual spread counted as some cooks of its own (normal model with a conjugate
    prior on the variance: Gelman et al., Bayesian Data Analysis, 3rd ed., section 3.3).
    """
    values = np.asarray(logs, dtype=np.float64)
    n = values.size
    freedom = USUAL_COUNTS + n - 1
    squares = USUAL_COUNTS * USUAL_SD**2 + float(np.sum((values - values.mean()) ** 2))
    scale = math.sqrt(squares / freedom * (1.0 + 1.0 / n))
    seed = zlib.crc32(key.encode())
    sample = np.sort(np.random.default_rng(seed).standard_t(freedom, _SAMPLE))
    share = ((np.arange(count) + 0.5) / count * _SAMPLE).astype(np.int64)
    draws: FloatArray = np.exp(float(values.mean()) + scale * sample[share])
    return np.random.default_rng(seed).permutation(draws)


def _told_by(lived: LivedLength, asked: LengthAsked) -> float | None:
    """How long it would have lasted for the piece that is asked about; None where it isn't alike."""
    if lived.kind != asked.kind and {lived.kind, asked.kind} != {"stage", "dish"}:
        return None
    if asked.kind == "warm_up":
        return lived.length_s if _near(lived.pit_c, asked.pit_c, SAME_PIT_K) else None
    if asked.kind == "prep":
        alike = (
            lived.sort == asked.sort
            if asked.sort
            else lived.name.casefold() == asked.name.casefold()
        )
        return lived.length_s if alike else None
    if asked.item is None or lived.cut != cut_of_item(asked.item):
        return None
    if asked.kind == "rest" or asked.target_c is None:
        alike = lived.name.casefold() == asked.name.casefold()
        return lived.length_s if alike else None
    if not _near(lived.target_c, asked.target_c, SAME_TARGET_K):
        return None
    if not _near(lived.pit_c, asked.pit_c, SAME_PIT_K):
        return None
    mass_kg = piece_kg(asked.item)
    if lived.mass_kg is None or mass_kg is None:
        return lived.length_s
    ratio = mass_kg / lived.mass_kg
    if not 1.0 / MASS_FACTOR <= ratio <= MASS_FACTOR:
        return None
    return float(lived.length_s * ratio ** (2.0 / 3.0))


def _near(one: float | None, other: float | None, within: float) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) <= within
