"""A whole cook at a glance: everything that the printed page, the screen and the command line tell.

Numbers only, in SI; how they are worded is `summary_words` and `paper`. What can't be known is None
and carries its reason.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from smokejournal.cook.fuel.course import fire_of
from smokejournal.cook.learning.outcomes import ForecastFact, forecast_facts
from smokejournal.cook.log.cook_log import CookLog, struck_ids
from smokejournal.cook.log.entries import (
    AlarmRaised,
    ClockSet,
    Entry,
    FuelAdded,
    FuelLevel,
    ItemAdded,
    Lid,
    NextTime,
    Note,
    Photo,
    PrepStep,
    ProbeMoved,
    ReadingsStruck,
    Refrigerator,
    Served,
    Spritz,
    StageConfirmed,
    StageExtended,
    StagePutBack,
    StageSkipped,
    StoreUsed,
    Strike,
    Tasted,
    TimeExplained,
    Unread,
    WeatherObserved,
    Wrap,
)
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import PIT, Schedule
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.probes.facts import (
    Apart,
    Difference,
    Extremes,
    Gaps,
    Target,
    TargetReached,
    apart,
    difference,
    extremes,
    gaps,
    reach,
    targets_of,
)
from smokejournal.cook.progress.believed import BelievedTrace, believed
from smokejournal.cook.progress.hopper import HopperStory, hopper
from smokejournal.cook.progress.lids import lid_spans
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.progress.standing import Phase, Standing
from smokejournal.cook.safety.assessment import Safety, assess
from smokejournal.cook.safety.cautions import Caution, cautions_for
from smokejournal.cook.summary.costs import Costs, costs
from smokejournal.cook.summary.stage_lines import StageLine, stage_lines
from smokejournal.cook.summary.yields import Yields, yields
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.science.air.air import FeelsLike, dew_point_c, feels_like

#: Kinds that the sheet tells one by one, as they came.
TOLD = (
    Lid, Wrap, Spritz, ProbeMoved, Refrigerator, FuelAdded, FuelLevel, StoreUsed, Note, AlarmRaised, ClockSet,
    StageConfirmed, StageSkipped, StageExtended, StagePutBack, ReadingsStruck, Photo, Unread,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class WeatherFact:
    """The weather as it was seen, with what it felt like and the dew point [°C]."""

    at_s: float
    seen: WeatherObserved
    feels: FeelsLike
    dew_point_c: float | None


@dataclass(frozen=True, slots=True)
class LidFact:
    """How often the lid was opened and for how long in all; `open_now`: it still is."""

    count: int
    open_s: float
    longest_s: float
    open_now: bool


@dataclass(frozen=True, slots=True)
class Summary:
    """All of it. Times are UTC seconds.

    The cook goes from `started_s` to `ended_s`, when its last stage was over (None: not yet); gaps and
    differences are told for that time. `told` are entries worth a line, in order of time.
    """

    cook_id: int
    title: str
    zone: str
    place: str
    simulated: bool
    phase: Phase
    made_at_s: float
    ready_at_s: float | None
    started_s: float | None
    ended_s: float | None
    length_s: float | None
    schedule: Schedule
    channels: Mapping[str, Channel]
    lead: str | None
    check: str | None
    items: tuple[ItemAdded, ...] = ()
    prep: tuple[tuple[float, PrepStep], ...] = ()
    weather: tuple[WeatherFact, ...] = ()
    stages: tuple[StageLine, ...] = ()
    targets: tuple[Target, ...] = ()
    reaches: tuple[TargetReached, ...] = ()
    apart: tuple[Apart, ...] = ()
    differences: tuple[Difference, ...] = ()
    extremes: tuple[Extremes, ...] = ()
    gaps: tuple[Gaps, ...] = ()
    lid: LidFact = LidFact(0, 0.0, 0.0, False)
    fuel: HopperStory = field(default_factory=lambda: hopper((), 0.0))
    yields: Yields = field(default_factory=lambda: yields(()))
    costs: Costs | None = None
    tasted: tuple[tuple[float, Tasted], ...] = ()
    next_time: tuple[tuple[float, str], ...] = ()
    told: tuple[Entry, ...] = ()
    alarms: int = 0
    struck: int = 0
    unread: int = 0
    safety: Safety | None = None
    forecasts: tuple[ForecastFact, ...] = ()
    explained: tuple[TimeExplained, ...] = ()

    def cautions(self, units: Units = METRIC) -> tuple[Caution, ...]:
        """The cautions that belong on this cook's page."""
        airs = [c for fact in self.weather for c in (fact.seen.air_c, fact.seen.high_c)]
        hottest_c = max((c for c in airs if c is not None), default=None)
        steps = [step for _, step in self.prep]
        return cautions_for(self.items, "print", units, air_c=hottest_c, preps=steps)

    def marks(self) -> dict[str, tuple[float, int]]:
        """The mean mark on each scale, and by how many tastings."""
        given: dict[str, list[int]] = {}
        for _, tasted in self.tasted:
            for key, mark in tasted.marks.items():
                given.setdefault(key, []).append(mark)
        return {key: (sum(marks) / len(marks), len(marks)) for key, marks in given.items()}

    def channel_name(self, key: str) -> str:
        """What the cook calls a channel."""
        channel = self.channels.get(key)
        return channel.name if channel is not None and channel.name else key


def summarize(log: CookLog, now_s: float, standing: Standing | None = None) -> Summary:
    """The summary of a cook at `now_s` (UTC seconds).

    `standing` saves walking the log again where the caller has it for this moment already.
    """
    if standing is None:
        standing = fold(log, now_s)
    plan = plan_of(log)
    entries = tuple(e for e in log.holding() if e.at_s <= now_s)
    channels = _channels(log, plan.channels)
    sounds = {key: believed(log, channel, entries, now_s) for key, channel in channels.items()}
    start_s = standing.started_at_s
    end_s = standing.ended_at_s
    to_s = end_s if end_s is not None else now_s
    pit = next((s for s in sounds.values() if s.channel.role == "pit"), None)
    meat = _in_order([s for s in sounds.values() if s.channel.role == "meat"], standing)
    targets = targets_of(standing)
    reaches = _reaches(targets, sounds, meat, start_s)
    pairs = _pairs(meat, standing.lead)
    from_s = start_s if start_s is not None else -math.inf
    during = {s.channel.key: s.within(from_s, to_s) for s in meat}
    between = [difference(during[first], during[second]) for first, second in pairs]
    broken = [gaps(s, from_s, to_s) for s in sounds.values()]
    struck = struck_ids(log.entries)
    fuel = hopper(entries, now_s, fire_of(standing))
    items = tuple(item for _, item in plan.items)
    served = next((e.what for e in reversed(entries) if isinstance(e.what, Served)), None)
    return Summary(
        cook_id=log.cook_id,
        title=plan.title,
        zone=plan.zone,
        place=plan.place,
        simulated=plan.simulated or any(c.simulated for c in channels.values()),
        phase=standing.phase,
        made_at_s=now_s,
        ready_at_s=plan.ready_at_s,
        started_s=start_s,
        ended_s=end_s,
        length_s=None if start_s is None else to_s - start_s,
        schedule=standing.schedule,
        channels=channels,
        lead=standing.lead,
        check=standing.check,
        items=items,
        prep=tuple((e.at_s, e.what) for e in entries if isinstance(e.what, PrepStep)),
        weather=tuple(
            _weather(e.at_s, e.what) for e in entries if isinstance(e.what, WeatherObserved)
        ),
        stages=stage_lines(standing, entries, pit, now_s),
        targets=targets,
        reaches=reaches,
        apart=apart(reaches, pairs),
        differences=tuple(d for d in between if d is not None),
        extremes=tuple(extremes(s) for s in sounds.values() if s.all_at_s.size),
        gaps=tuple(g for g in broken if g is not None),
        lid=_lid(entries, to_s),
        fuel=fuel,
        yields=yields(entries),
        costs=costs(items, fuel, served),
        tasted=tuple((e.at_s, e.what) for e in entries if isinstance(e.what, Tasted)),
        next_time=tuple((e.at_s, e.what.text) for e in entries if isinstance(e.what, NextTime)),
        told=tuple(e for e in entries if isinstance(e.what, TOLD)),
        alarms=sum(isinstance(e.what, AlarmRaised) for e in entries),
        struck=sum(e.id in struck and not isinstance(e.what, Strike) for e in log.entries),
        unread=sum(isinstance(e.what, Unread) for e in entries),
        safety=assess(log, now_s, plan.zone, sounds),
        forecasts=forecast_facts(entries, sounds),
        explained=tuple(e.what for e in entries if isinstance(e.what, TimeExplained)),
    )


def _channels(log: CookLog, described: Mapping[str, Channel]) -> dict[str, Channel]:
    """Every channel that was described or heard, the described ones first."""
    found = dict(described)
    for key in log.traces:
        found.setdefault(key, Channel(key, key, role="other"))
    return found


def _in_order(probes: list[BelievedTrace], standing: Standing) -> list[BelievedTrace]:
    rank = {standing.lead: 0, standing.check: 1}
    return sorted(probes, key=lambda s: rank.get(s.channel.key, 2))


def _pairs(meat: Sequence[BelievedTrace], lead: str | None) -> list[tuple[str, str]]:
    """Each other probe against the lead; without one, every two."""
    keys = [s.channel.key for s in meat]
    if lead in keys:
        return [(lead, key) for key in keys if key != lead]
    return list(combinations(keys, 2))


def _reaches(
    targets: Sequence[Target],
    sounds: Mapping[str, BelievedTrace],
    meat: Sequence[BelievedTrace],
    start_s: float | None,
) -> tuple[TargetReached, ...]:
    found: dict[tuple[str, float, str], TargetReached] = {}
    for target in targets:
        named = sounds.get(target.channel)
        if target.channel == PIT:
            named = next((s for s in sounds.values() if s.channel.role == "pit"), None)
            probes = [named] if named is not None else []
        elif named is not None and named.channel.role != "meat":
            probes = [named]
        else:
            # Whichever probe the stage follows, the others in the meat are told beside it.
            probes = list(meat)
        for probe in probes:
            if not probe.all_at_s.size:
                continue
            where = (probe.channel.key, target.target_c, target.direction)
            found.setdefault(where, reach(probe, target, start_s))
    return tuple(found.values())


def _weather(at_s: float, seen: WeatherObserved) -> WeatherFact:
    dew_c = None
    if seen.air_c is not None and seen.humidity_pct is not None:
        dew_c = dew_point_c(seen.air_c, seen.humidity_pct)
    felt = feels_like(seen.air_c, seen.wind_m_s, seen.humidity_pct)
    return WeatherFact(at_s, seen, felt, dew_c)


def _lid(entries: Sequence[Entry], to_s: float) -> LidFact:
    spans = lid_spans(entries)
    lengths = [span.length_s(to_s) for span in spans]
    still = bool(spans) and spans[-1].to_s is None
    return LidFact(len(spans), sum(lengths), max(lengths, default=0.0), still)
