"""What all finished cooks say together: how long stages take and how fast pellets burn, and with what.

Ordinary least squares (`science.numbers.regression`). That two things go together in a journal is no
proof that one does the other. Simulated cooks and real ones are never in one answer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from smokejournal.cook.comparing.facts import CookFacts
from smokejournal.cook.log.schedule import Purpose
from smokejournal.science.numbers.regression import LineFit, inflation, least_squares, predicted
from smokejournal.science.numbers.student import Interval95

#: So many cooks more than coefficients, or nothing is told.
MORE_COOKS: Final = 4
#: Regressors that the others inflate by more than this can't be told apart: common practice among
#: statisticians (Draper and Smith, 3rd ed., section 16.4, call 10 large).
MOST_INFLATION: Final = 10.0
#: So many of the best and of the worst are named.
NAMED: Final = 3

Outcome = Literal["stage_s", "rate_kg_h"]
Regressor = Literal["mass_kg", "pit_over_air_k", "wind_m_s"]
WhyNoAnswer = Literal["", "too_few", "alike", "collinear"]


@dataclass(frozen=True, slots=True)
class Question:
    """What goes with what. `purpose` is that of the stages whose time is asked about."""

    outcome: Outcome
    regressors: tuple[Regressor, ...]
    purpose: Purpose = ""

    @property
    def needed(self) -> int:
        """So many cooks must know all of it."""
        return len(self.regressors) + 1 + MORE_COOKS


QUESTIONS: Final = (
    Question("stage_s", ("mass_kg", "pit_over_air_k", "wind_m_s"), "cook"),
    Question("stage_s", ("mass_kg", "pit_over_air_k", "wind_m_s"), "wrap"),
    Question("rate_kg_h", ("pit_over_air_k", "wind_m_s")),
)


@dataclass(frozen=True, slots=True)
class Answer:
    """`fit` from `cooks` cooks, or why there is none and which regressors are in the way.

    `lacking`: so many more cooks know the outcome but not all that it is set against. `next_one` is
    where one more cook with the `fit.means` would lie, 19 times in 20.
    """

    question: Question
    cooks: int
    lacking: int = 0
    why: WhyNoAnswer = ""
    in_the_way: tuple[Regressor, ...] = ()
    fit: LineFit | None = None
    next_one: Interval95 | None = None


@dataclass(frozen=True, slots=True)
class LotTotal:
    """What burned of one lot [kg] over `cooks` cooks; `unknown` more used it, nobody knows how much."""

    lot: str
    used_kg: float
    sd_kg: float
    cooks: int
    unknown: int = 0


@dataclass(frozen=True, slots=True)
class Rated:
    """A cook and its overall mark, 1 to 5, the mean over its tasters."""

    cook: CookFacts
    mark: float


@dataclass(frozen=True, slots=True)
class AcrossCooks:
    """What `cooks` finished cooks of one kind say. `best` first the highest, `worst` first the lowest,
    each of them below every one of the best. `unrated` have no overall mark."""

    simulated: bool
    cooks: int
    answers: tuple[Answer, ...]
    lots: tuple[LotTotal, ...]
    best: tuple[Rated, ...]
    worst: tuple[Rated, ...]
    unrated: int


def across(every: Sequence[CookFacts], *, simulated: bool) -> AcrossCooks:
    """What the finished cooks among `every` say: the simulated ones, or the real ones."""
    cooks = [cook for cook in every if cook.finished and cook.simulated == simulated]
    rated = [
        Rated(cook, mark) for cook in cooks if (mark := cook.value("mark", "overall")) is not None
    ]
    rated.sort(key=lambda each: (-each.mark, each.cook.day_s or 0.0, each.cook.cook_id))
    best = rated[: min(NAMED, (len(rated) + 1) // 2)]
    # One with the mark of one of the best is none of the worst.
    below = [each for each in rated if each.mark < best[-1].mark]
    return AcrossCooks(
        simulated,
        len(cooks),
        tuple(answer(question, cooks) for question in QUESTIONS),
        _lots(cooks),
        tuple(best),
        tuple(reversed(below[-NAMED:])),
        len(cooks) - len(rated),
    )


def answer(question: Question, cooks: Sequence[CookFacts]) -> Answer:
    """The answer of cooks of one kind."""
    outcomes, rows, lacking = [], [], 0
    for cook in cooks:
        outcome = cook.value(question.outcome, question.purpose)
        if outcome is None:
            continue
        row = [_regressor(cook, name, question) for name in question.regressors]
        known = [value for value in row if value is not None]
        if len(known) < len(row):
            lacking += 1
            continue
        outcomes.append(outcome)
        rows.append(known)
    n = len(outcomes)
    if n < question.needed:
        return Answer(question, n, lacking, "too_few")
    table = np.array(rows, dtype=np.float64)
    alike = [bool(np.ptp(column) == 0.0) for column in table.T]
    if any(alike):
        return Answer(question, n, lacking, "alike", _which(question, alike))
    tangled = [factor > MOST_INFLATION for factor in inflation(table)]
    if any(tangled):
        return Answer(question, n, lacking, "collinear", _which(question, tangled))
    fit = least_squares(table, np.array(outcomes, dtype=np.float64))
    return Answer(
        question,
        n,
        lacking,
        fit=fit,
        next_one=predicted(fit, np.array(fit.means, dtype=np.float64)),
    )


def _which(question: Question, marked: Sequence[bool]) -> tuple[Regressor, ...]:
    return tuple(name for name, is_it in zip(question.regressors, marked, strict=True) if is_it)


def _regressor(cook: CookFacts, name: Regressor, question: Question) -> float | None:
    if name != "pit_over_air_k":
        return cook.value(name)
    # A stage's time is foreseen by what the pit is set to; pellets burn for what it held.
    if question.outcome == "stage_s":
        pit_c = cook.value("pit_target_c", question.purpose)
    else:
        pit_c = cook.pit_hot_c
    air_c = cook.value("air_c")
    return None if pit_c is None or air_c is None else pit_c - air_c


def _lots(cooks: Sequence[CookFacts]) -> tuple[LotTotal, ...]:
    """Each lot that burned, the most used first. Cooks are taken as independent of each other."""
    found: dict[str, list[tuple[float, float] | None]] = {}
    for cook in cooks:
        # One lot that was bought in two currencies is one lot here.
        for lot in dict.fromkeys(use.lot for use in cook.lots):
            uses = [use.used_kg for use in cook.lots if use.lot == lot]
            known = [(use.value, use.sd or 0.0) for use in uses if use.value is not None]
            if len(known) < len(uses):
                found.setdefault(lot, []).append(None)
                continue
            kg, sd = sum(kg for kg, _ in known), math.hypot(*(sd for _, sd in known))
            if kg or sd:
                found.setdefault(lot, []).append((kg, sd))
    totals = []
    for lot, burned in found.items():
        told = [each for each in burned if each is not None]
        kg, sd = sum(kg for kg, _ in told), math.hypot(*(sd for _, sd in told))
        totals.append(LotTotal(lot, kg, sd, len(told), len(burned) - len(told)))
    return tuple(sorted(totals, key=lambda total: (-total.used_kg, total.lot)))
