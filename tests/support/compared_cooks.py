"""Cooks to compare, for tests: facts in a few words, and small logs that are known by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from smokejournal.cook.comparing.facts import CookFacts, Fact, FactKey, FactName
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    CookClosed,
    CookOpened,
    Entry,
    FuelAdded,
    FuelLevel,
    ItemAdded,
    Lid,
    Payload,
    Tasted,
    WeatherObserved,
    Weighed,
    Wrap,
)
from smokejournal.cook.log.schedule import Stage, UntilSaid, UntilTemperature
from tests.support.logs import T0, cook_log, ramp

HOUR = 3600.0
#: Named otherwise than what they are for, so that only the purpose can match them.
WARM = Stage(
    "w",
    "Fire",
    (UntilTemperature(105.0, prove_s=0.0, channel="pit"),),
    pit_target_c=107.0,
    purpose="warm_up",
)
COOK = Stage(
    "c", "Smoke", (UntilTemperature(74.0, prove_s=0.0),), pit_target_c=107.0, purpose="cook"
)
REST = Stage("r", "Table", (UntilSaid(),), purpose="rest")


def facts(
    cook_id: int,
    values: Mapping[FactName | FactKey, float],
    *,
    simulated: bool = False,
    finished: bool = True,
    pit_hot_c: float | None = None,
) -> CookFacts:
    """A cook of which only these numbers are known."""
    return CookFacts(
        cook_id,
        f"Cook {cook_id}",
        "UTC",
        T0 + cook_id * 86400.0,
        simulated,
        finished,
        {
            key if isinstance(key, FactKey) else FactKey(key): Fact(float(value))
            for key, value in values.items()
        },
        pit_hot_c,
    )


def known_log(
    cook_id: int = 1,
    *,
    mass_kg: float = 3.0,
    air_c: float = 12.0,
    cook_h: float = 4.0,
    pit_c: float = 105.0,
    cook_name: str = "Smoke",
    said: Sequence[tuple[float, Payload]] = (),
    simulated: bool = False,
) -> CookLog:
    """Half an hour to warm up, `cook_h` from 4 to 74 °C on a line, an hour of rest, then closed.

    The check probe reads 2 °C lower throughout; the hopper goes from 5 to 5 - 0.5 kg an hour.
    """
    start, end = 1800.0, 1800.0 + cook_h * HOUR
    stages = (WARM, replace(COOK, name=cook_name), REST)
    entries: list[tuple[float, Payload]] = [
        (-300.0, ItemAdded("pork shoulder", "red_meat", mass_kg=mass_kg, thickness_m=0.1)),
        (0.0, FuelAdded("Oak", 10.0, 0.01)),
        (1.0, FuelLevel(5.0, 0.05)),
        (60.0, WeatherObserved(air_c=air_c - 1.0, wind_m_s=2.0)),
        (7200.0, WeatherObserved(air_c=air_c + 1.0)),
        *said,
        (end + 1.0, FuelLevel(5.0 - 0.5 * end / HOUR, 0.05)),
        (end + HOUR, CookClosed()),
        (end + HOUR + 60.0, Weighed("cooked", 0.6 * mass_kg)),
        (end + HOUR + 90.0, Tasted("", {"overall": 4})),
    ]
    readings = (
        ramp("pit", 0.0, start, 20.0, 107.0, 30.0)
        + ramp("pit", start + 30.0, end, pit_c, pit_c, 30.0)
        + ramp("meat", start, end, 4.0, 74.0, 30.0)
        + ramp("other", start, end, 2.0, 72.0, 30.0)
    )
    log = cook_log(stages, sorted(entries, key=lambda e: e[0]), readings)
    first = log.entries[0]
    opened = Entry(
        first.id, first.at_s, first.at_s, CookOpened(f"Cook {cook_id}", "UTC", simulated=simulated)
    )
    return CookLog(cook_id, (opened, *log.entries[1:]), log.traces)


LID = (
    (3600.0, Lid(open=True)),
    (3690.0, Lid(open=False)),
)
WRAPPED = ((3.0 * HOUR, Wrap("foil")),)
