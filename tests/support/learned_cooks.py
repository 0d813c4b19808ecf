"""Finished cooks in a journal, and a forecast that finds what it is told to."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    ItemAdded,
    LeadSet,
    ScheduleSet,
    ScheduleStarted,
)
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import Schedule, Stage, UntilTemperature
from smokejournal.science.forecast.heating_learned import generic_sd
from smokejournal.science.forecast.values import (
    SHARES,
    CookSoFar,
    Finding,
    Forecast,
    ProbeCourse,
    Standing,
)
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock

PIT_C, TARGET_C, LASTS_S = 105.0, 60.0, 3600.0
STAGES = (Stage("s", "Smoke", (UntilTemperature(TARGET_C),), pit_target_c=PIT_C),)
TROUT = ItemAdded("trout sides", "fish", thickness_m=0.03)
BRISKET = ItemAdded("brisket flat", "red_meat", mass_kg=2.4)


@dataclass
class FakeFinder:
    """Finds that every parameter is `shift` of its sds off, known to half of one."""

    shift: float = 0.5
    standing: Standing = "forecast"
    noticed: tuple[str, ...] = ()
    asked: list[CookSoFar] = field(default_factory=list)

    def __call__(self, cook: CookSoFar) -> Forecast:
        self.asked.append(cook)
        sd = generic_sd(cook.cut)
        found = None
        if cook.prior is None or not cook.prior.names:
            found = Finding(
                cook.cut,
                tuple({name: 2.0 / spread} for name, spread in sd.items()),
                (2.0 * self.shift,) * len(sd),
                sd,
                ProbeCourse(cook.cut, (2.0, 60.0), (0.0, 3600.0), 110.0),
            )
        # Half of the time to come is still ahead where the middle of this says it ends.
        remaining_s = np.asarray(1800.0 * (0.5 + SHARES))
        return Forecast(self.standing, cook.now_s, remaining_s, found=found, noticed=self.noticed)


def finished_cook(
    program: Program,
    clock: FixedClock,
    item: ItemAdded = TROUT,
    *,
    title: str = "Trout",
    simulated: bool = False,
    lead: bool = True,
    close: bool = True,
) -> int:
    """A cook of an hour and a half that comes near its pit's temperature; closed an hour later."""
    cook_id = program.new_cook(title, "UTC", simulated=simulated)
    live = program.live(cook_id)
    start_s = clock.at_s
    live.record_many(
        [
            (start_s, item),
            (start_s, ChannelSet(Channel("pit", "Pit", role="pit", simulated=simulated))),
            (start_s, ChannelSet(Channel("meat", "Thick end", simulated=simulated))),
            *([(start_s, LeadSet("meat"))] if lead else []),
            (start_s, ScheduleSet(Schedule("", STAGES))),
            (start_s, ScheduleStarted()),
        ]
    ).result()
    readings = []
    for minute in range(90):
        at_s = start_s + 60.0 * minute
        meat_c = PIT_C - (PIT_C - 6.0) * math.exp(-60.0 * minute / 3900.0)
        readings += [Reading(at_s, "pit", PIT_C), Reading(at_s, "meat", meat_c)]
    live.record_readings(readings).result()
    clock.forward(90 * 60.0 + 3600.0)
    if close:
        live.record(CookClosed()).result()
        program.journal.flush()
    clock.forward(86_400.0)
    return cook_id
