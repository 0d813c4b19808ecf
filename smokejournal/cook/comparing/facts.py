"""What one cook puts into a comparison: its numbers, read off its summary and nowhere else.

Everything is SI. What isn't known is None with the reason, and never 0.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from smokejournal.cook.log.entries import Wrap
from smokejournal.cook.log.schedule import Purpose
from smokejournal.cook.log.stage_meaning import purpose_of
from smokejournal.cook.plan.schedule_words import PURPOSES
from smokejournal.cook.progress.hopper import LotUse, WhyUnknown
from smokejournal.cook.summary.stage_lines import StageLine
from smokejournal.cook.summary.summary import Summary
from smokejournal.cook.summary.tasting import SCALES
from smokejournal.cook.summary.yields import STEPS

FactName = Literal[
    "air_c",
    "wind_m_s",
    "mass_kg",
    "thickness_m",
    "pit_held_c",
    "pit_target_c",
    "rate_kg_h",
    "stage_s",
    "probes_k",
    "mark",
    "wrap",
    "wrapped_after_s",
    "lid_s",
    "yield_pct",
]

WhyNoFact = Literal[
    "", "not_said", "no_stage", "not_begun", "not_over", "not_started", "not_wrapped", "no_pair"
]


@dataclass(frozen=True, slots=True)
class FactKey:
    """What is told, in the unit at the end of its name; `of` is the purpose of the stages, the scale
    or the step of the way to the plate that it is told of."""

    name: FactName
    of: str = ""


@dataclass(frozen=True, slots=True)
class Fact:
    """A number, or for "wrap" the materials in order; neither: not known, and why.

    `sd` is its standard deviation where the fact has one of its own. `why_fuel` is the hopper's reason.
    """

    value: float | None = None
    sd: float | None = None
    said: tuple[str, ...] = ()
    why: WhyNoFact = ""
    why_fuel: WhyUnknown = ""

    @property
    def known(self) -> bool:
        """Whether there is anything to compare."""
        return self.value is not None or bool(self.said)


@dataclass(frozen=True, slots=True)
class CookFacts:
    """One cook. `pit_hot_c` is the mean of the pit's believed readings over all stages with a pit
    target. `guessed` are the purposes that no stage says and that were guessed from its words."""

    cook_id: int
    title: str
    zone: str
    day_s: float | None
    simulated: bool
    finished: bool
    facts: Mapping[FactKey, Fact]
    pit_hot_c: float | None = None
    lots: tuple[LotUse, ...] = ()
    guessed: tuple[Purpose, ...] = ()

    def value(self, name: FactName, of: str = "") -> float | None:
        """The number of one fact, or None."""
        fact = self.facts.get(FactKey(name, of))
        return None if fact is None else fact.value


def fact_keys() -> tuple[FactKey, ...]:
    """All that is compared, in the order of a sheet."""
    # While it comes up the pit holds nothing, and a rest is off the pit.
    hot = [purpose for purpose in PURPOSES if purpose not in ("warm_up", "rest")]
    return (
        FactKey("mass_kg"),
        FactKey("thickness_m"),
        FactKey("air_c"),
        FactKey("wind_m_s"),
        *(FactKey("pit_target_c", purpose) for purpose in hot),
        *(FactKey("pit_held_c", purpose) for purpose in hot),
        FactKey("rate_kg_h"),
        *(FactKey("stage_s", purpose) for purpose in PURPOSES),
        FactKey("wrap"),
        FactKey("wrapped_after_s"),
        FactKey("lid_s"),
        FactKey("probes_k"),
        *(FactKey("yield_pct", step) for step in STEPS if step != "raw"),
        *(FactKey("mark", scale.key) for scale in (SCALES[-1], *SCALES[:-1])),
    )


def facts_of(summary: Summary) -> CookFacts:
    """What this cook tells."""
    facts: dict[FactKey, Fact] = {
        FactKey("air_c"): _number(_weather(summary, "air_c")),
        FactKey("wind_m_s"): _number(_weather(summary, "wind_m_s")),
        FactKey("mass_kg"): _number(summary.yields.whole.steps[0].mass_kg),
        FactKey("thickness_m"): _number(_thickest(summary)),
        FactKey("rate_kg_h"): _rate(summary),
        FactKey("probes_k"): _probes(summary),
        FactKey("lid_s"): _number(summary.lid.open_s if summary.lid.count else None),
        **_wrap(summary),
    }
    by_purpose: dict[str, list[StageLine]] = {}
    guessed: dict[Purpose, None] = {}
    for line in summary.stages:
        purpose, guess = purpose_of(line.stage)
        by_purpose.setdefault(purpose, []).append(line)
        if guess and purpose and line.began_s is not None:
            guessed[purpose] = None
    for purpose in PURPOSES:
        lines = by_purpose.get(purpose, [])
        facts[FactKey("stage_s", purpose)] = _length(lines)
        facts[FactKey("pit_held_c", purpose)] = _pit(lines, _held(lines))
        facts[FactKey("pit_target_c", purpose)] = _pit(lines, _target(lines))
    for yielded in summary.yields.whole.steps[1:]:
        facts[FactKey("yield_pct", yielded.step)] = _number(yielded.share_pct)
    marks = summary.marks()
    for scale in SCALES:
        mean = marks.get(scale.key)
        facts[FactKey("mark", scale.key)] = _number(None if mean is None else mean[0])
    return CookFacts(
        summary.cook_id,
        summary.title,
        summary.zone,
        summary.started_s,
        summary.simulated,
        summary.phase == "closed",
        facts,
        _held([line for line in summary.stages if line.stage.pit_target_c is not None]),
        summary.fuel.by_lot,
        tuple(guessed),
    )


def _number(value: float | None) -> Fact:
    return Fact(why="not_said") if value is None else Fact(value)


def _weather(summary: Summary, field: Literal["air_c", "wind_m_s"]) -> float | None:
    """The mean of what was seen while it cooked; where nothing was, what was seen last before."""
    seen = [(fact.at_s, getattr(fact.seen, field)) for fact in summary.weather]
    known = [(at_s, float(value)) for at_s, value in seen if value is not None]
    if summary.started_s is None:
        return known[-1][1] if known else None
    end_s = summary.made_at_s if summary.ended_s is None else summary.ended_s
    during = [value for at_s, value in known if summary.started_s <= at_s <= end_s]
    if during:
        return sum(during) / len(during)
    before = [value for at_s, value in known if at_s < summary.started_s]
    return before[-1] if before else None


def _thickest(summary: Summary) -> float | None:
    """The thickest piece; None where one isn't known, which might be thicker."""
    known = [item.thickness_m for item in summary.items]
    return max((t for t in known if t is not None), default=None) if all(known) else None


def _rate(summary: Summary) -> Fact:
    rate = summary.fuel.rate_kg_per_h
    if rate.value is None:
        return Fact(why="not_said", why_fuel=rate.why)
    return Fact(rate.value, rate.sd)


def _probes(summary: Summary) -> Fact:
    """The check probe minus the lead; without those the one pair there is."""
    found = [d for d in summary.differences if d.first == summary.lead]
    pair = next((d for d in found if d.second == summary.check), None)
    if pair is None and len(summary.differences) == 1:
        pair = summary.differences[0]
    return Fact(why="no_pair") if pair is None else Fact(pair.mean_k, pair.sd_k)


def _wrap(summary: Summary) -> dict[FactKey, Fact]:
    said = [(e.at_s, e.what.material) for e in summary.told if isinstance(e.what, Wrap)]
    put_on = [(at_s, material) for at_s, material in said if material != "none"]
    materials = tuple(dict.fromkeys(material for _, material in put_on or said))
    first = Fact(why="not_wrapped" if said and not put_on else "not_said")
    if put_on:
        start_s = summary.started_s
        first = Fact(why="not_started") if start_s is None else Fact(put_on[0][0] - start_s)
    known = Fact(said=materials) if materials else Fact(why="not_said")
    return {FactKey("wrap"): known, FactKey("wrapped_after_s"): first}


def _length(lines: Sequence[StageLine]) -> Fact:
    """All runs of such stages together."""
    if not lines:
        return Fact(why="no_stage")
    lengths = [line.length_s for line in lines if line.length_s is not None]
    if any(line.state == "under_way" for line in lines):
        return Fact(why="not_over")
    if not lengths:
        return Fact(why="not_begun")
    if any(line.state == "to_come" for line in lines):
        return Fact(why="not_over")
    return Fact(sum(lengths))


def _pit(lines: Sequence[StageLine], value: float | None) -> Fact:
    if value is not None:
        return Fact(value)
    if not lines:
        return Fact(why="no_stage")
    begun = any(line.began_s is not None for line in lines)
    return Fact(why="not_said" if begun else "not_begun")


def _held(lines: Sequence[StageLine]) -> float | None:
    """The mean of all believed readings of the pit in these stages [°C]."""
    told = [line.pit for line in lines if line.pit is not None]
    count = sum(fact.n for fact in told)
    return sum(fact.mean_c * fact.n for fact in told) / count if count else None


def _target(lines: Sequence[StageLine]) -> float | None:
    """What the pit was set to [°C], each stage counting as long as it lasted."""
    told = [
        (line.stage.pit_target_c, line.length_s)
        for line in lines
        if line.stage.pit_target_c is not None and line.length_s
    ]
    total_s = sum(length_s for _, length_s in told)
    return sum(c * length_s for c, length_s in told) / total_s if total_s else None
