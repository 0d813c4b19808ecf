"""Finished cooks with forecasts, for tests: small, and known by hand."""

from __future__ import annotations

from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    ForecastMade,
    LeadSet,
    Payload,
    ScheduleSet,
    ScheduleStarted,
)
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import Schedule, Stage, UntilTemperature
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock

H = 3600.0
SCHEDULE = Schedule("", (Stage("s1", "Cook", (UntilTemperature(74.0),), pit_target_c=107.0),))


def finished(
    program: Program,
    clock: FixedClock,
    held: bool = True,
    simulated: bool = False,
    said: bool = True,
) -> int:
    """A cook on a straight line, 6 °C at the start and 74 °C after four hours, read once a minute.

    Two forecasts: after one hour and after two, half an hour too late each; the interval reaches an
    hour to both sides, or a quarter where it is not to hold. An hour after it was closed is now.
    """
    cook_id = program.new_cook("Shoulder", "UTC", simulated=simulated)
    start_s = clock.now_s()
    half = H if held else H / 4
    items: list[tuple[float, Payload]] = [
        (start_s, ChannelSet(Channel("pit", "Pit", role="pit"))),
        (start_s, ChannelSet(Channel("meat", "Shoulder"))),
        (start_s, LeadSet("meat")),
        (start_s, ScheduleSet(SCHEDULE)),
        (start_s, ScheduleStarted()),
    ]
    mid_s = start_s + 4.5 * H
    made = ForecastMade("meat", 74.0, "forecast", mid_s - half, mid_s, mid_s + half)
    if said:
        items += [(start_s + H, made), (start_s + 2 * H, made)]
    items.append((start_s + 5 * H, CookClosed()))
    readings = [
        Reading(start_s + 60.0 * n, key, value)
        for n in range(300)
        for key, value in (("pit", 107.0), ("meat", 6.0 + 17.0 * n / 60.0))
    ]
    program.journal.append_many(cook_id, items, start_s).result()
    program.journal.append_readings(cook_id, readings).result()
    clock.forward(6 * H)
    return cook_id
