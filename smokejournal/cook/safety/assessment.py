"""What a cook's log says beside published figures of food safety, and what it can't say.

A pure function of the log. Each fact has a state: "met" (the published figure is reached, or kept so
far as it can be), "not_yet", "over" (a limit was passed), "unknown" with the reason, or "idle" where it
does not apply yet. None of them says that food is safe: words are in `safety_words`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    CookOpened,
    Entry,
    FoodClass,
    ItemAdded,
    SafetySet,
    ScheduleStarted,
    WeatherObserved,
)
from smokejournal.cook.log.items import in_order
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.progress.believed import BelievedTrace, believed
from smokejournal.cook.safety.cautions import HOT_DAY_C
from smokejournal.cook.safety.cold import about, cooling, out_of_cold_s, zone
from smokejournal.cook.safety.facts import (
    ComeUp,
    CookTimes,
    Cooling,
    HotHold,
    Lethality,
    Minimum,
    Zone,
)
from smokejournal.cook.safety.heat import come_up, hot_hold, lethality, minimum
from smokejournal.cook.safety.probes import FoodProbe, probes_in


@dataclass(frozen=True, slots=True)
class FoodSafety:
    """The facts of one kind of food on the plan. `names` are its items.

    `assigned` is False where nobody said which probes are in it. `hot_hold` is of fish only.
    """

    food: FoodClass
    names: tuple[str, ...]
    said: SafetySet
    assigned: bool
    lethality: Lethality
    come_up: ComeUp
    zone: Zone
    minimum: Minimum
    cooling: Cooling
    hot_hold: HotHold | None = None


@dataclass(frozen=True, slots=True)
class Safety:
    """All kinds of food on the plan. `names` are what channels are called."""

    made_at_s: float
    begun: bool
    zone: str
    names: Mapping[str, str]
    foods: tuple[FoodSafety, ...]
    simulated: bool = False


def assess(
    log: CookLog,
    now_s: float,
    zone_name: str = "UTC",
    sounds: Mapping[str, BelievedTrace] | None = None,
) -> Safety:
    """The facts at `now_s` (UTC seconds). `sounds` saves hearing the channels again."""
    entries = [e for e in log.holding() if e.at_s <= now_s]
    channels = {
        e.what.channel.key: e.what.channel for e in entries if isinstance(e.what, ChannelSet)
    }
    if sounds is None:
        sounds = _hear(log, channels, entries, now_s)
    written = in_order(log.entries, entries)
    items = [e.what for e in written if isinstance(e.what, ItemAdded)]
    kinds: dict[FoodClass, list[str]] = {}
    for item in items:
        kinds.setdefault(item.food, []).append(item.name)
    if not kinds:
        kinds["other"] = []
    clock = _clock(entries, now_s)
    return Safety(
        now_s,
        clock.started_s is not None,
        zone_name,
        {key: channel.name or key for key, channel in channels.items()},
        tuple(
            _food(food, tuple(names), len(kinds) == 1, entries, sounds, clock)
            for food, names in kinds.items()
        ),
        any(isinstance(e.what, CookOpened) and e.what.simulated for e in entries)
        or any(channel.simulated for channel in channels.values()),
    )


def said_of(entries: Sequence[Entry], food: FoodClass) -> SafetySet:
    """What this food is set against now. `entries` are those that hold, in order of time."""
    found = SafetySet(food)
    for entry in entries:
        if isinstance(entry.what, SafetySet) and entry.what.food == food:
            found = entry.what
    return found


def _hear(
    log: CookLog, channels: Mapping[str, Channel], entries: Sequence[Entry], now_s: float
) -> dict[str, BelievedTrace]:
    return {
        key: believed(log, channel, entries, now_s)
        for key, channel in channels.items()
        if channel.role in ("meat", "other")
    }


def _clock(entries: Sequence[Entry], now_s: float) -> CookTimes:
    started = [e.at_s for e in entries if isinstance(e.what, ScheduleStarted)]
    closed = [e.at_s for e in entries if isinstance(e.what, CookClosed)]
    airs = [e.what.air_c for e in entries if isinstance(e.what, WeatherObserved)]
    return CookTimes(
        now_s,
        started[0] if started else None,
        closed[-1] if closed else None,
        any(air is not None and air > HOT_DAY_C for air in airs),
    )


def _food(
    food: FoodClass,
    names: tuple[str, ...],
    alone: bool,
    entries: Sequence[Entry],
    sounds: Mapping[str, BelievedTrace],
    clock: CookTimes,
) -> FoodSafety:
    said = said_of(entries, food)
    found: tuple[FoodProbe, ...] | None = ()
    if clock.started_s is not None:
        found = probes_in(sounds, said, entries, clock.started_s, alone)
    elif not alone and not said.probes:
        found = None
    probes = found or ()
    clock = replace(clock, assigned=found is not None)
    mine = about(entries, names)
    kill = lethality(said, probes, clock)
    return FoodSafety(
        food,
        names,
        said,
        found is not None,
        kill,
        come_up(probes, kill, out_of_cold_s(mine, clock), clock),
        zone(probes, mine, clock),
        minimum(food, probes, clock),
        cooling(probes, clock),
        hot_hold(probes, clock) if food == "fish" else None,
    )
