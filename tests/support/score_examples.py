"""An invented cook of fourteen hours for looking at the score and testing it."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    AlarmAcknowledged,
    AlarmRaised,
    ChannelSet,
    CookClosed,
    CookOpened,
    Entry,
    FuelAdded,
    FuelLevel,
    LeadSet,
    Lid,
    Note,
    Payload,
    ProbeMoved,
    ScheduleSet,
    ScheduleStarted,
    Spritz,
    StageConfirmed,
    WeatherObserved,
    Wrap,
)
from smokejournal.cook.log.readings import Channel, Trace
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilSaid, UntilTemperature
from smokejournal.cook.progress.progress import fold
from smokejournal.cook.score.from_log import score_of
from smokejournal.cook.score.score import Score

ZONE = "Europe/Berlin"
START_S = datetime(2026, 5, 16, 4, 40, tzinfo=ZoneInfo(ZONE)).timestamp()
HOUR = 3600.0

PIT = Channel("pit", "Grate", role="pit", gap_s=60)
LEAD = Channel("lead", "Shoulder, thick end", role="meat", offset_c=2.0)
CHECK = Channel("check", "Shoulder, by the bone", role="meat")

SCHEDULE = Schedule(
    "Shoulder, overnight",
    (
        Stage("s1", "Smoke", (UntilTemperature(71.0),), pit_target_c=107.0),
        Stage("s2", "Wrapped", (UntilTemperature(93.0),), pit_target_c=121.0),
        Stage("s3", "Hold", (ForTime(HOUR, at_least_c=88.0),), pit_target_c=93.0),
        Stage("s4", "Rest", (ForTime(0.75 * HOUR), UntilSaid()), combine="all"),
    ),
)


def lids(hours: float) -> list[tuple[float, float]]:
    """When the lid goes up and down, in hours after the start."""
    all_of_them = [(2.5, 2.53), (4.0, 4.04), (5.5, 5.53), (7.05, 7.15), (11.9, 11.96)]
    return [(up, down) for up, down in all_of_them if down < hours]


def traces(hours: float, every_s: float, *, dice: int = 7) -> dict[str, Trace]:
    """Raw readings of three probes. The cable was out for a while at 9.2 h."""
    rng = np.random.default_rng(dice)
    at = np.arange(-0.5 * HOUR, hours * HOUR, every_s)
    h = at / HOUR
    pit_set = np.where(h < 7.1, 107.0, np.where(h < 11.9, 121.0, 93.0))
    pit = 20.0 + (pit_set - 20.0) * (1 - np.exp(-(h + 0.5) / 0.18))
    pit = np.where(h > 0.6, pit_set + 3.0 * np.sin(2 * np.pi * h / 0.45), pit)
    for up, down in lids(hours):
        after = np.clip(h - down, 0, None)
        deep = np.where((h >= up) & (h < down), (h - up) / (down - up), 0.0)
        pit -= 38 * np.where(h >= down, np.exp(-after / 0.12), deep)
    pit += rng.normal(0, 0.6, at.size)
    meat = np.interp(
        h,
        [-0.5, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 11.9, 13, 14],
        [4, 4, 14, 31, 47, 58, 64, 67.2, 70.5, 79, 86, 90.5, 92.6, 94, 91.5, 87],
    )
    lead = np.round(meat - 2.0 + rng.normal(0, 0.06, at.size), 1)
    check = np.round(meat - 3.4 + 1.5 * np.cos(h / 3) + rng.normal(0, 0.06, at.size), 1)
    received = (h < 9.2) | (h > 9.65)
    probed = received & (h > 0)
    return {
        "pit": Trace(at[received] + START_S, pit[received]),
        "lead": Trace(at[probed] + START_S, lead[probed]),
        "check": Trace(at[probed] + START_S, check[probed]),
    }


def shoulder_log(hours: float = 14.0, every_s: float = 10.0, *, simulated: bool = False) -> CookLog:
    """The log of the cook so far, `hours` after its start; closed from 13.9 h on."""
    said: list[tuple[float, Payload]] = [(-2.0, CookOpened("Shoulder", ZONE, simulated))]
    said += [
        (
            -1.9,
            ChannelSet(
                Channel(c.key, c.name, c.role, "", "", c.offset_c, c.gap_s, simulated=simulated)
            ),
        )
        for c in (PIT, LEAD, CHECK)
    ]
    said += [
        (-1.9, LeadSet("lead", "check")),
        (-1.8, ScheduleSet(SCHEDULE)),
        (-0.7, FuelLevel(0.0, 0.0)),
        (-0.68, FuelAdded("Oak, bag 2", 9.0, 0.2)),
        (-0.4, WeatherObserved("clear", 7.0, 80.0, 1.5)),
        (0.0, ScheduleStarted()),
        (4.02, Spritz("cider vinegar and water")),
        (5.51, Spritz("cider vinegar and water")),
        (4.5, WeatherObserved("scattered", 14.0, 60.0, 4.0)),
        (6.2, Note("Flat since five. Bark is dark and dry, leaving it.")),
        (7.1, Wrap("paper")),
        (7.5, FuelLevel(4.1, 0.3)),
        (7.52, FuelAdded("Cherry, bag 1", 4.0, 0.1)),
        (9.22, AlarmRaised("silent.lead", "Lead probe silent since 13:52")),
        (9.6, AlarmAcknowledged("silent.lead")),
        (9.66, ProbeMoved("lead", "thick end")),
        (8.8, WeatherObserved("overcast", 17.0, 70.0, 6.5, precipitation="drizzle")),
        (13.0, FuelLevel(3.4, 0.3)),
        (13.88, StageConfirmed("s4")),
        (13.9, CookClosed()),
    ]
    for up, down in lids(hours):
        said += [(up, Lid(True)), (down, Lid(False))]
    said = [item for item in sorted(said, key=lambda item: item[0]) if item[0] <= hours]
    entries = tuple(
        Entry(number, START_S + h * HOUR, START_S + h * HOUR, what)
        for number, (h, what) in enumerate(said, start=1)
    )
    return CookLog(1, entries, traces(min(hours, 13.9), every_s))


def shoulder(hours: float = 14.0, every_s: float = 10.0, *, simulated: bool = False) -> Score:
    """The score of that cook, `hours` after its start."""
    now_s = START_S + hours * HOUR
    log = shoulder_log(hours, every_s, simulated=simulated)
    return score_of(log, fold(log, now_s), now_s)
