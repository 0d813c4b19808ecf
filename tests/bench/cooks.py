"""Invented cooks of a size that can be chosen."""

from __future__ import annotations

import math

import numpy as np

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    ChannelSet,
    CookOpened,
    Entry,
    FuelAdded,
    FuelLevel,
    ItemAdded,
    LeadSet,
    Lid,
    Note,
    Payload,
    ScheduleSet,
    ScheduleStarted,
    WeatherObserved,
    Wrap,
)
from smokejournal.cook.log.readings import Channel, Trace
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature

FROM_S = 1_780_000_000.0
DAY_S = 86_400.0
CHANNELS = 8


def channels() -> tuple[Channel, ...]:
    """One pit probe and seven in the meat. Wide gaps: sparse readings are to make one line too."""
    pit = Channel("pit", "Pit", role="pit", gap_s=900.0)
    meat = [Channel(f"meat{n}", f"Probe {n}", gap_s=900.0) for n in range(1, CHANNELS)]
    return (pit, *meat)


def schedule() -> Schedule:
    return Schedule(
        "All day",
        (
            Stage("smoke", "Smoke", rules=(UntilTemperature(74.0),), pit_target_c=107.0),
            Stage("hold", "Hold", rules=(ForTime(1800.0, at_least_c=74.0),), pit_target_c=107.0),
        ),
    )


def traces(readings: int) -> dict[str, Trace]:
    """A day of every channel in that many readings each."""
    at_s = FROM_S + np.linspace(0.0, DAY_S, readings, endpoint=False)
    t = (at_s - FROM_S) / DAY_S
    noise = np.random.default_rng(7)
    found = {"pit": Trace(at_s, 107.0 + 6.0 * np.sin(60 * t) + noise.normal(0, 0.5, readings))}
    for number in range(1, CHANNELS):
        toward = 107.0 - 90.0 * np.exp(-t * (1.2 + 0.15 * number))
        found[f"meat{number}"] = Trace(at_s, toward + noise.normal(0, 0.1, readings))
    return found


def said() -> list[tuple[float, Payload]]:
    """What was written over the day, in seconds after its beginning."""
    entries: list[tuple[float, Payload]] = [
        (-600.0, CookOpened("All day", "Europe/Berlin", simulated=True, hopper_kg=9.0)),
        (-600.0, ItemAdded("shoulder", food="red_meat", mass_kg=3.2)),
        *((-600.0, ChannelSet(channel)) for channel in channels()),
        (-600.0, LeadSet("meat1", "meat2")),
        (-500.0, ScheduleSet(schedule())),
        (-400.0, FuelAdded("oak", 8.0, 0.1)),
        (0.0, ScheduleStarted()),
    ]
    for hour in range(1, 24):
        entries.append((hour * 3600.0, Lid(True)))
        entries.append((hour * 3600.0 + 40.0, Lid(False)))
    for hour in range(0, 24, 6):
        seen = WeatherObserved(sky="few", air_c=8.0 + hour / 3, wind_m_s=3.0)
        entries.append((hour * 3600.0, seen))
    entries.append((6.5 * 3600.0, Wrap("paper")))
    entries.append((9.2 * 3600.0, FuelLevel(4.0, 0.3)))
    entries.append((12.1 * 3600.0, Note("Turned round")))
    return sorted(entries, key=lambda entry: entry[0])


def day_log(readings: int) -> CookLog:
    """A day's cook with that many readings on each of the eight channels."""
    entries = tuple(
        Entry(number, FROM_S + at_s, FROM_S + at_s, what)
        for number, (at_s, what) in enumerate(said(), start=1)
    )
    return CookLog(1, entries, traces(readings))


def small_cook(number: int) -> list[Payload]:
    """What opens and describes one cook of many, after its `CookOpened`."""
    return [
        ItemAdded(f"shoulder {number}", food="red_meat", mass_kg=2.0 + math.sin(number)),
        ChannelSet(Channel("pit", "Pit", role="pit")),
        Note(f"Wind from the west, day {number}"),
    ]
