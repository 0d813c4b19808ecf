"""What a cook's log tells of its fuel against what physics expects: what burned, at which pit, in which
weather; what is left; what a plan will take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Literal

from smokejournal.cook.fuel.rate import (
    Belief,
    Burned,
    Estimate,
    Outdoors,
    expected_kg_h,
    given_sd,
)
from smokejournal.cook.log.entries import Entry, WeatherObserved
from smokejournal.cook.log.schedule import Schedule, Stage
from smokejournal.cook.log.stage_meaning import warms_up
from smokejournal.cook.plan.schedule_sketch import known_length_s
from smokejournal.cook.progress.hopper import Amount, HopperStory, WhyUnknown, hopper
from smokejournal.cook.progress.standing import Standing
from smokejournal.cook.weather.words import pressure_here_hpa
from smokejournal.science.air.boiling import standard_pressure_hpa
from smokejournal.science.forecast.fuel_margin import Store
from smokejournal.science.heat.heat_loss import Cooker
from smokejournal.science.numbers.ranges import OutOfRange

WhyNot = Literal["", "no_pit_target", "not_hot", "beyond", "too_little", "not_started"]

#: Below this a pit is no warmer than a warm day and burns nothing that could be told from nothing [°C].
HOT_C = 40.0
#: Less than this, or known worse than this share of itself, tells nothing of a rate [kg].
LEAST_KG = 0.2
LEAST_SHARE = 0.5
#: How long a pit takes to come up, where a stage waits for that [s]: common practice, no source.
WARM_UP_S = 1800.0


@dataclass(frozen=True, slots=True)
class Expected:
    """What physics expects for a stretch of a cook [kg], and how far the weather that was not read may
    put it off (ln). `why` where nothing is expected."""

    mass_kg: float = 0.0
    given_sd: float = 0.0
    why: WhyNot = ""


@dataclass(frozen=True, slots=True)
class FuelEvidence:
    """What a cook tells: `burned`, or why it tells nothing."""

    burned: Burned | None = None
    why_fuel: WhyUnknown = ""
    why_not: WhyNot = ""


def fire_of(standing: Standing) -> tuple[float | None, float | None]:
    """When something burned: from the start to the end of the last stage that asked for heat.

    A stage without a pit target may still burn; a level read after the last one that has a target
    is taken as read at the end.
    """
    hot = [run for run in standing.runs if run.stage.pit_target_c is not None]
    if any(stage.pit_target_c is not None for stage in standing.upcoming):
        return standing.started_at_s, None
    return standing.started_at_s, hot[-1].ended_at_s if hot else standing.ended_at_s


def outdoors_at(entries: Sequence[Entry], at_s: float, altitude_m: float | None = None) -> Outdoors:
    """The weather as last read before a moment; the first reading of each kind for what came before.

    `entries` are those that hold, in order of time. The pressure is that of the place: as read there,
    or taken up from the sea to its altitude [m]; where neither can be, that of the standard
    atmosphere (ICAO Doc 7488) at its altitude.
    """
    air: float | None = None
    wind: float | None = None
    pressure: float | None = None
    for entry in entries:
        if not isinstance(entry.what, WeatherObserved):
            continue
        late = entry.at_s > at_s
        if entry.what.air_c is not None and (air is None or not late):
            air = entry.what.air_c
        if entry.what.wind_m_s is not None and (wind is None or not late):
            wind = entry.what.wind_m_s
        here = pressure_here_hpa(entry.what, altitude_m)
        if here is not None and (pressure is None or not late):
            pressure = here
    if pressure is None and altitude_m is not None:
        pressure = standard_pressure_hpa(altitude_m)
    return Outdoors(air, wind, pressure)


def expected_between(
    cooker: Cooker,
    standing: Standing,
    entries: Sequence[Entry],
    from_s: float,
    to_s: float,
    altitude_m: float | None = None,
) -> Expected:
    """What physics expects to burn between two moments [UTC s], stage by stage as they ran.

    `altitude_m` is how high the cooker stands; None where that isn't known.

    A stage is cut where the weather was read again. The temperature is what was set, as it is for a
    plan; what a pit really holds over that is part of what its cooks teach.
    """
    mass = spread = 0.0
    read_s = [e.at_s for e in entries if isinstance(e.what, WeatherObserved)]
    targets = 0
    for run in standing.runs:
        pit_c = run.stage.pit_target_c
        if pit_c is None:
            continue
        targets += 1
        begin_s = max(from_s, run.began_at_s)
        end_s = min(to_s, standing.at_s if run.ended_at_s is None else run.ended_at_s)
        cuts = [begin_s, *(at for at in read_s if begin_s < at < end_s), end_s]
        for left_s, right_s in pairwise(cuts):
            if right_s <= left_s or pit_c < HOT_C:
                continue
            out = outdoors_at(entries, left_s, altitude_m)
            try:
                rate = expected_kg_h(cooker, pit_c, out)
                unsure = given_sd(cooker, pit_c, out)
            except (OutOfRange, ValueError):
                return Expected(why="beyond")
            length_h = (right_s - left_s) / 3600.0
            mass += rate * length_h
            spread += unsure * rate * length_h
    if mass <= 0.0:
        return Expected(why="not_hot" if targets else "no_pit_target")
    return Expected(mass, spread / mass)


def told_by(
    cooker: Cooker,
    cook_id: int,
    standing: Standing,
    entries: Sequence[Entry],
    story: HopperStory,
    altitude_m: float | None = None,
) -> FuelEvidence:
    """What one cook tells of the rate, from its first reading of the level to its last."""
    amount = story.between_kg
    if amount.value is None or story.between_s is None:
        return FuelEvidence(why_fuel=amount.why or "never_read")
    begin_s, end_s = fire_of(standing)
    if begin_s is None:
        return FuelEvidence(why_not="not_started")
    from_s = max(begin_s, story.between_s[0])
    to_s = story.between_s[1] if end_s is None else min(end_s, story.between_s[1])
    expected = expected_between(cooker, standing, entries, from_s, to_s, altitude_m)
    if expected.why:
        return FuelEvidence(why_not=expected.why)
    sd_kg = amount.sd or 0.0
    if amount.value < LEAST_KG or sd_kg > LEAST_SHARE * amount.value or expected.mass_kg < 0.02:
        return FuelEvidence(why_not="too_little")
    return FuelEvidence(Burned(cook_id, amount.value, sd_kg, expected.mass_kg, expected.given_sd))


# -- a plan --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class StageFuel:
    """One stage with fire: its rate [kg/h], and [kg] where its length [h] is known or was said."""

    name: str
    pit_c: float
    rate_kg_h: Estimate | None
    hours: float | None
    mass_kg: Estimate | None
    why: WhyNot = ""


@dataclass(frozen=True, slots=True)
class PlanFuel:
    """What a plan will take. `total_kg` None: the length of `open_stages` isn't known beforehand.

    `known_kg` is for the stages whose length is. `warms_up`: a stage waits for the pit, and was taken
    to last `WARM_UP_S`; `waits`: one waits for the cook's word, which was taken to come at once.
    """

    stages: tuple[StageFuel, ...]
    known_kg: Estimate | None
    total_kg: Estimate | None
    open_stages: tuple[str, ...]
    out: Outdoors
    cooks: int
    few: bool
    why: WhyNot = ""
    warms_up: bool = False
    waits: bool = False


def plan_fuel(
    schedule: Schedule,
    cooker: Cooker,
    belief: Belief,
    out: Outdoors,
    fire_h: float | None = None,
) -> PlanFuel:
    """What a schedule will take in this weather.

    `fire_h` is how long the person expects the fire to burn in all; what the stages of known length
    leave of it goes to the open ones, in equal parts.
    """
    hot = [s for s in schedule.stages if s.pit_target_c is not None and s.pit_target_c >= HOT_C]
    lengths = {s.key: _length_s(s) for s in hot}
    known_h = sum(length for length in lengths.values() if length is not None) / 3600.0
    opened = [s for s in hot if lengths[s.key] is None]
    rest_h = None if fire_h is None else max(0.0, fire_h - known_h) / max(1, len(opened))
    stages: list[StageFuel] = []
    for stage in hot:
        assert stage.pit_target_c is not None
        length_s = lengths[stage.key]
        hours = rest_h if length_s is None else length_s / 3600.0
        try:
            rate = expected_kg_h(cooker, stage.pit_target_c, out)
            factor = belief.factor(given_sd(cooker, stage.pit_target_c, out))
        except (OutOfRange, ValueError):
            stages.append(
                StageFuel(stage.name, stage.pit_target_c, None, hours, None, why="beyond")
            )
            continue
        mass = None if hours is None else factor.times(rate * hours)
        stages.append(StageFuel(stage.name, stage.pit_target_c, factor.times(rate), hours, mass))
    result = [s.mass_kg for s in stages if s.mass_kg is not None]
    known = _sum(result) if result else None
    whole = bool(stages) and len(result) == len(stages)
    open_names = tuple(s.name for s in stages if s.hours is None)
    return PlanFuel(
        stages=tuple(stages),
        known_kg=known,
        total_kg=known if whole else None,
        open_stages=open_names,
        out=out,
        cooks=belief.count,
        few=belief.few,
        why="" if stages else "no_pit_target",
        warms_up=any(warms_up(s) for s in hot),
        waits=any(_length_s(s) is not None and s.ending == "waits" for s in hot),
    )


def _length_s(stage: Stage) -> float | None:
    """How long a stage is taken to burn [s]: the cook's word, where it waits for that, comes at once."""
    return WARM_UP_S if warms_up(stage) else known_length_s(replace(stage, ending="by_itself"))


def _sum(parts: Sequence[Estimate]) -> Estimate:
    """Of one cook: what puts one stage off puts off all of them, so ends add to ends."""
    return Estimate(
        sum(p.low for p in parts), sum(p.mid for p in parts), sum(p.high for p in parts)
    )


# -- a cook under way ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FuelNow:
    """The fuel of a cook under way.

    `so_far_kg_h` is what its own levels tell, `expected_kg_h` what was expected for the same time.
    `rate_kg_h` is what it burns now by both; `left_kg` and `lasts_h` follow from the last level, and
    are None with `why` where it was never read. `store` is the same as a distribution.
    """

    so_far_kg_h: Amount
    expected_kg_h: Estimate | None = None
    rate_kg_h: Estimate | None = None
    left_kg: Estimate | None = None
    lasts_h: Estimate | None = None
    read_ago_s: float | None = None
    cooks: int = 0
    few: bool = True
    why: WhyUnknown = ""
    why_not: WhyNot = ""
    store: Store | None = field(default=None, compare=False)


def fuel_now(
    cooker: Cooker,
    belief: Belief,
    standing: Standing,
    entries: Sequence[Entry],
    now_s: float,
    altitude_m: float | None = None,
) -> FuelNow:
    """What is known of the fuel at `now_s` (UTC seconds). `entries` are those that hold."""
    story = hopper(entries, now_s, fire_of(standing))
    base = FuelNow(story.rate_kg_per_h, cooks=belief.count, few=belief.few)
    if standing.phase != "running" or standing.started_at_s is None:
        return replace(base, why_not="not_started")
    run = standing.current
    pit_c = run.stage.pit_target_c if run is not None else None
    if pit_c is None or pit_c < HOT_C:
        return replace(base, why_not="no_pit_target")
    out = outdoors_at(entries, now_s, altitude_m)
    try:
        physics = expected_kg_h(cooker, pit_c, out)
        spread = given_sd(cooker, pit_c, out)
    except (OutOfRange, ValueError):
        return replace(base, why_not="beyond")
    result = told_by(cooker, 0, standing, entries, story, altitude_m)
    factor = belief.predicted(spread) if result.burned is None else belief.seen(result.burned)
    expected = belief.factor(spread).times(physics)
    if result.burned is not None and story.rate_kg_per_h.value is not None:
        # For the same stretch as the levels tell, which may have had other stages and weather.
        hours = result.burned.burned_kg / story.rate_kg_per_h.value
        expected = belief.factor(result.burned.given_sd).times(result.burned.expected_kg / hours)
    rate = factor.factor().times(physics)
    base = replace(base, expected_kg_h=expected, rate_kg_h=rate)
    level = story.last_level_kg
    if level.value is None or level.sd is None or story.last_level_at_s is None:
        return replace(base, why=level.why or "never_read")
    since_s = max(story.last_level_at_s, standing.started_at_s)
    gone_kg = expected_between(cooker, standing, entries, since_s, now_s, altitude_m).mass_kg
    gone_h = gone_kg / physics
    lasts = factor.lasts_h(level.value, level.sd, physics)
    off_kg = 1.28 * level.sd
    return replace(
        base,
        left_kg=Estimate(
            max(0.0, level.value - off_kg - rate.high * gone_h),
            max(0.0, level.value - rate.mid * gone_h),
            max(0.0, level.value + off_kg - rate.low * gone_h),
        ),
        lasts_h=Estimate(*(max(0.0, h - gone_h) for h in (lasts.low, lasts.mid, lasts.high))),
        read_ago_s=now_s - story.last_level_at_s,
        store=Store(factor.grid, factor.weights, level.value, level.sd, gone_kg),
    )
