"""What differed between a few cooks, the largest difference first.

How large a difference is depends on what is usual. So each is measured in units of its own usual
spread: the largest less the smallest of the cooks that are compared, over the standard deviation (n - 1)
of the same fact over all finished cooks of the journal:

    size = (max - min) / sd of all finished cooks

Where fewer than `ENOUGH` finished cooks know the fact, where all of them are equal, or where simulated
and real cooks are compared with each other, there is no usual spread. Then it is the relative
difference, (max - min) over the mean of the absolute values; temperatures, whose zero is a matter of
scale, are set against 100 K, and marks against the four steps of their scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, stdev
from typing import Final, Literal

from smokejournal.cook.comparing.facts import CookFacts, Fact, FactKey, fact_keys
from smokejournal.cook.summary.tasting import HIGHEST, LOWEST

#: With fewer cooks than this a spread says next to nothing.
ENOUGH: Final = 4
TEMPERATURES_K: Final = 100.0

Measure = Literal["spread", "relative", "words", "same", "one"]
_ORDER: Final[tuple[Measure, ...]] = ("spread", "relative", "words", "same", "one")


@dataclass(frozen=True, slots=True)
class FactRow:
    """One fact of each cook. `size` in units of `spread` (by "spread") or as a share (by "relative");
    None where there is nothing to measure: "words" differ, all are the "same", or only "one" is known.

    `spread` is in the fact's unit and comes from `cooks` finished cooks.
    """

    key: FactKey
    facts: tuple[Fact, ...]
    measure: Measure
    size: float | None = None
    spread: float | None = None
    cooks: int = 0


@dataclass(frozen=True, slots=True)
class FactTable:
    """Rows, largest difference first; `unknown` are the facts that no cook knows.

    `mixed`: simulated and real cooks stand beside each other.
    """

    rows: tuple[FactRow, ...]
    unknown: tuple[FactKey, ...]
    mixed: bool


def differences(cooks: Sequence[CookFacts], every: Sequence[CookFacts]) -> FactTable:
    """The table for `cooks`; `every` are all finished cooks of the journal, of both kinds."""
    mixed = len({cook.simulated for cook in cooks}) > 1
    usual = [
        cook
        for cook in every
        if cook.finished and not mixed and cook.simulated == cooks[0].simulated
    ]
    rows, unknown = [], []
    for key in fact_keys():
        facts = tuple(cook.facts.get(key, Fact(why="not_said")) for cook in cooks)
        if any(fact.known for fact in facts):
            rows.append(_row(key, facts, [cook.value(key.name, key.of) for cook in usual]))
        elif not all(fact.why == "no_stage" for fact in facts):
            unknown.append(key)
    rows.sort(key=lambda row: (_ORDER.index(row.measure), -(row.size or 0.0)))
    return FactTable(tuple(rows), tuple(unknown), mixed)


def _row(key: FactKey, facts: tuple[Fact, ...], every: Sequence[float | None]) -> FactRow:
    if sum(fact.known for fact in facts) < 2:
        return FactRow(key, facts, "one")
    if key.name == "wrap":
        said = {fact.said for fact in facts if fact.known}
        return FactRow(key, facts, "words" if len(said) > 1 else "same")
    values = [fact.value for fact in facts if fact.value is not None]
    apart = max(values) - min(values)
    if apart == 0.0:
        return FactRow(key, facts, "same")
    known = [value for value in every if value is not None]
    if len(known) >= ENOUGH:
        spread = stdev(known)
        if spread > 0.0:
            return FactRow(key, facts, "spread", apart / spread, spread, len(known))
    return FactRow(key, facts, "relative", apart / _whole(key, values), cooks=len(known))


def _whole(key: FactKey, values: Sequence[float]) -> float:
    """What a difference is set against without a usual spread; above 0 where values differ."""
    if key.name in ("air_c", "pit_held_c", "pit_target_c", "probes_k"):
        return TEMPERATURES_K
    if key.name == "mark":
        return float(HIGHEST - LOWEST)
    return fmean(abs(value) for value in values)
