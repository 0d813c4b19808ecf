"""The demo journal: a year of invented cooks, played through the simulated pit.

The same moment gives the same journal. Every cook is marked as simulated. Each goes through the same
code as a real one: its stages end by their rules, and what its cook does follows where it stands.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from zoneinfo import ZoneInfo

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
    NextTime,
    Note,
    Payload,
    ScheduleSet,
    ScheduleStarted,
    Spritz,
    StageConfirmed,
    Tasted,
    WeatherObserved,
    Weighed,
    Wrap,
)
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.progress.alarms import due
from smokejournal.cook.progress.progress import Progress, reading_key
from smokejournal.cook.progress.standing import Standing
from smokejournal.inputs.pit import Hands, Outside, SimulatedProbe
from smokejournal.inputs.simulated import SimulatedConfig
from smokejournal.journal import Journal
from smokejournal.services.demo.cooks import FINISHED, PLANNED, UNDER_WAY, UNDER_WAY_S
from smokejournal.services.demo.kinds import (
    CURRENCY,
    HOPPER_KG,
    LOTS,
    PLACE,
    SHOULDER_SCHEDULE,
    TROUT_SCHEDULE,
    USED,
    WARES,
    ZONE,
    Deed,
    DemoCook,
)
from smokejournal.services.feeds.log_hands import place_of

#: The cook's two probes: the second reads 2 °C low, as Bench will find.
PROBES = (
    SimulatedProbe("pit", "pit", noise_c=0.3, lag_s=30.0),
    SimulatedProbe("meat1", "meat", place=0.05),
    SimulatedProbe("meat2", "meat", place=0.1, offset_c=-2.0),
    SimulatedProbe("air", "air", noise_c=0.15),
)
LEAD, CHECK = "meat1", "meat2"

_LOOK_S = 60.0
_LONGEST_S = 30 * 3600.0
#: Entries no further apart than this are written in one go.
_TOGETHER_S = 600.0
_PRICES = {lot.name: lot.price_per_kg for lot in LOTS}


def make_demo(folder: Path, now_s: float) -> None:
    """Build the demo journal in `folder`, as if it were now `now_s`. One with cooks is left as it is.

    JournalProblem where the folder can't be used or holds something else.
    """
    with Journal.open(folder) as journal:
        if journal.count_cooks():
            return
        for lot in LOTS:
            journal.stores.save_lot(lot)
        for ware in WARES:
            journal.stores.save_ware(ware)
        for schedule in (TROUT_SCHEDULE, SHOULDER_SCHEDULE):
            journal.schedules.save(schedule.name, schedule)
        hopper_kg = 0.0
        for number, cook in enumerate(FINISHED, start=1):
            played = _Played(cook, _start_of(cook, now_s), number, hopper_kg)
            played.play(math.inf)
            played.write(journal)
            hopper_kg = played.left_kg
        start_s = math.floor(now_s - UNDER_WAY_S)
        played = _Played(UNDER_WAY, start_s, len(FINISHED) + 1, hopper_kg)
        played.play(now_s)
        cook_id = played.write(journal, now_s)
        # The simulated pit goes on by itself when the demo is opened.
        kept = {"version": 1, "on": True, "config": played.config.to_json()}
        journal.set_setting(f"feed.{cook_id}", kept)
        journal.set_setting("feed.current", cook_id)
        add_sample_plan(journal, now_s)
        journal.flush(60)


def _start_of(cook: DemoCook, now_s: float, zone: str = ZONE) -> float:
    here = ZoneInfo(zone)
    day = datetime.fromtimestamp(now_s, here).date() - timedelta(days=cook.days_ago)
    hour, minute = cook.clock.split(":")
    return datetime(day.year, day.month, day.day, int(hour), int(minute), tzinfo=here).timestamp()


def _air_c(cook: DemoCook, at_s: float) -> float:
    """A mild climate: 0 °C in January, 20 °C in July."""
    day = datetime.fromtimestamp(at_s, ZoneInfo(ZONE)).timetuple().tm_yday
    return round(10.0 - 10.0 * math.cos(2 * math.pi * (day - 20) / 365) + cook.warmer_c, 1)


def _weather(cook: DemoCook, air_c: float) -> WeatherObserved:
    return WeatherObserved(
        sky=cook.sky,
        air_c=air_c,
        humidity_pct=cook.humidity_pct,
        wind_m_s=cook.wind_m_s,
        gust_m_s=round(1.7 * cook.wind_m_s, 1),
        pressure_hpa=cook.pressure_hpa,
        precipitation=cook.precipitation,
        exposure="sun" if cook.sky in ("clear", "few") else "shade",
        high_c=round(air_c + 4.0, 1),
    )


def _channels(config: SimulatedConfig) -> tuple[Channel, ...]:
    probes = {"pit": ("", "grate"), "meat1": ("probe 1", "thickest part")}
    probes |= {"meat2": ("probe 2", "thickest part, other side"), "air": ("", "in the shade")}
    return tuple(
        replace(channel, probe=probes[channel.key][0], place=probes[channel.key][1])
        for channel in config.channels()
    )


def add_sample_plan(journal: Journal, now_s: float, zone: str = "", title: str = "") -> int:
    """Adds an invented plan to look at, due in five days and marked as simulated; its id.

    The zone and the title are the demo's own unless they are given.
    """
    start_s = _start_of(PLANNED, now_s, zone or ZONE)
    opened = CookOpened(
        title or PLANNED.title,
        zone or ZONE,
        True,
        PLACE,
        HOPPER_KG,
        ready_at_s=start_s + 4.5 * 3600,
    )
    at_s = now_s - (0.0 if zone else 86400.0)
    cook_id = journal.new_cook(opened, at_s, at_s).result()
    config = SimulatedConfig((PLANNED.piece,), PROBES)
    items: list[tuple[float, Payload]] = [(at_s, PLANNED.item)]
    items += [(at_s, step) for _, step in PLANNED.prep]
    items += [(at_s, ChannelSet(channel)) for channel in _channels(config)]
    items += [(at_s, LeadSet(LEAD, CHECK)), (at_s, ScheduleSet(PLANNED.schedule))]
    journal.append_many(cook_id, items, at_s).result()
    return cook_id


@dataclass(slots=True)
class _Lid:
    """The lid while it is up, and when it comes down."""

    until_s: float = -math.inf

    def open_at(self, at_s: float) -> bool:
        return at_s < self.until_s


class _Played:
    """One cook while it is played."""

    def __init__(self, cook: DemoCook, start_s: float, dice: int, hopper_kg: float) -> None:
        self.cook = cook
        self.start_s = start_s
        air_c = _air_c(cook, start_s)
        self.outside = Outside(air_c, cook.wind_m_s, cook.humidity_pct)
        self.config = SimulatedConfig(
            (cook.piece,), PROBES, self.outside, dice, cook.interval_s, start_s
        )
        self.pit = self.config.pit(start_s)
        self.left_kg = hopper_kg
        self.readings: list[Reading] = []
        self.entries: list[tuple[float, Payload]] = []
        self._progress = Progress()
        self._lid = _Lid()
        self._wrap = "none"
        self._silent_until_s = -math.inf
        self._left_to_do = list(cook.deeds)
        self._raised: set[str] = set()
        self._open()

    # -- before the fire -----------------------------------------------------------------------

    def _open(self) -> None:
        cook, start_s = self.cook, self.start_s
        earliest = max((before for before, _ in cook.prep), default=1.0)
        self.opened_s = start_s - (earliest + 2.0) * 3600
        self._say(self.opened_s + 60, cook.item)
        for before, step in cook.prep:
            self._say(start_s - before * 3600, step)
        for channel in _channels(self.config):
            self._say(start_s - 900, ChannelSet(channel))
        self._say(start_s - 890, LeadSet(LEAD, CHECK))
        self._say(start_s - 880, ScheduleSet(cook.schedule))
        if cook.item.mass_kg is not None:
            self._say(start_s - 870, Weighed("raw", cook.item.mass_kg))
            if cook.prep_share != 1.0:
                prepared = round(cook.item.mass_kg * cook.prep_share, 3)
                self._say(start_s - 860, Weighed("prepared", prepared))
        for used in USED.get(cook.title, ()):
            self._say(start_s - 650, used)
        if self.left_kg >= 0.05:
            self._say(start_s - 600, FuelLevel(round(self.left_kg, 1), 0.2))
        for lot, mass_kg in cook.fuel:
            self._add_fuel(start_s - 500, lot, mass_kg)
        self._say(start_s - 300, FuelLevel(round(self.left_kg, 1), 0.2))
        self._say(start_s - 200, _weather(cook, self.outside.air_c))
        self._say(start_s, ScheduleStarted())

    def _add_fuel(self, at_s: float, lot: str, mass_kg: float) -> None:
        added = FuelAdded(lot, mass_kg, 0.05, "mass", _PRICES[lot], CURRENCY)
        self._say(at_s, added)
        self.left_kg += mass_kg

    # -- at the fire ---------------------------------------------------------------------------

    def play(self, until_s: float) -> None:
        """Until the schedule is done, or until `until_s`."""
        at_s = self.start_s
        while at_s + _LOOK_S <= until_s:
            at_s += _LOOK_S
            standing = self._progress.standing(at_s - _LOOK_S + 0.5)
            if standing.phase == "done":
                self._finish(at_s)
                return
            if at_s - self.start_s > _LONGEST_S:
                raise RuntimeError(f"the demo cook “{self.cook.title}” never ends")
            self._look(standing, at_s - _LOOK_S + 0.5)
            hands = self._hands(standing)
            readings = self.pit.advance(at_s, partial(self._with_lid, hands))
            readings.sort(key=reading_key)
            for reading in readings:
                self._progress.feed(reading)
            self.readings += readings

    def _hands(self, standing: Standing) -> Hands:
        run = standing.current
        before = [r.stage for r in standing.runs if r.ended_at_s is not None]
        target_c, where = place_of(run.stage if run is not None else None, before)
        return Hands(target_c, False, self._wrap, where)

    def _with_lid(self, hands: Hands, moment_s: float) -> Hands:
        silent = (
            frozenset({"pit", "meat1", "meat2", "air"})
            if moment_s < self._silent_until_s
            else frozenset[str]()
        )
        if not silent and not self._lid.open_at(moment_s):
            return hands
        return replace(hands, lid_open=self._lid.open_at(moment_s), silent=silent)

    def _look(self, standing: Standing, at_s: float) -> None:
        """What the cook does on seeing where things stand."""
        for alarm in due(standing):
            if alarm.key not in self._raised:
                self._raised.add(alarm.key)
                self._say(at_s, AlarmRaised(alarm.key, alarm.text))
                self._note(at_s + 75, AlarmAcknowledged(alarm.key))
        run = standing.current
        if run is None:
            return
        in_stage_min = (at_s - run.began_at_s) / 60
        said_so = not any(rule.rule.kind != "until_said" for rule in run.rules)
        ready = standing.waiting and run.met_at_s is not None and at_s - run.met_at_s >= 120
        if ready or (said_so and in_stage_min >= self.cook.confirm_min):
            self._say(at_s, StageConfirmed(run.stage.key))
            return
        lead = standing.channels[LEAD].value_c
        for deed in tuple(self._left_to_do):
            if deed.stage and deed.stage != run.stage.key:
                continue
            since_min = in_stage_min if deed.stage else (at_s - self.start_s) / 60
            if since_min < deed.after_min or (deed.lead_c or 0.0) > (lead or 0.0):
                continue
            if self._lid.open_at(at_s + 60):
                continue
            self._left_to_do.remove(deed)
            self._do(deed, at_s)
            return

    def _do(self, deed: Deed, at_s: float) -> None:
        if deed.lid_s > 0:
            self._say(at_s, Lid(True))
            self._lid.until_s = at_s + deed.lid_s
            self._note(at_s + deed.lid_s, Lid(False))
        if deed.what == "spritz":
            self._say(at_s, Spritz(deed.text))
        elif deed.what == "wrap":
            self._wrap = deed.wrap
            self._say(at_s, Wrap(deed.wrap))
        elif deed.what == "fuel":
            self._add_fuel(at_s, deed.lot, deed.mass_kg)
        elif deed.what == "gap":
            self._silent_until_s = at_s + deed.gap_min * 60
            self._note(self._silent_until_s, Note(deed.text))
        elif deed.text:
            self._say(at_s, Note(deed.text))

    # -- afterwards ----------------------------------------------------------------------------

    def _finish(self, at_s: float) -> None:
        cook = self.cook
        raw_kg = (cook.item.mass_kg or 0.0) * cook.prep_share
        cooked_kg = raw_kg * (1 - self.pit.lost_share()) * (1 - cook.drip_share)
        self.left_kg = max(0.0, self.left_kg - self.pit.burned_kg)
        self._say(at_s + 120, Weighed("cooked", round(cooked_kg, 2)))
        self._say(at_s + 240, FuelLevel(round(self.left_kg, 1), 0.2))
        # As Tend does it: the exact moment at which the last stage was over.
        self._say(at_s + 300, CookClosed(self._progress.standing(at_s).ended_at_s))
        self._say(at_s + 1800, Weighed("served", round(cooked_kg * cook.served_share, 2)))
        self._say(at_s + 5400, Tasted(cook.tasted, dict(cook.marks)))
        self._say(at_s + 5460, NextTime(cook.next_time))

    def _say(self, at_s: float, what: Payload) -> None:
        """Into the log, and into what follows from it."""
        self._note(at_s, what)
        self._progress.feed(Entry(len(self.entries), at_s, at_s, what))

    def _note(self, at_s: float, what: Payload) -> None:
        """Into the log only: no stage follows it."""
        self.entries.append((at_s, what))

    def write(self, journal: Journal, until_s: float = math.inf) -> int:
        """Into the journal, as it would have been written; the cook's number."""
        opened = CookOpened(self.cook.title, ZONE, True, PLACE, HOPPER_KG)
        cook_id = journal.new_cook(opened, self.opened_s, self.opened_s).result()
        batch: list[tuple[float, Payload]] = []
        for at_s, what in sorted(self.entries, key=lambda entry: entry[0]):
            if at_s > until_s:
                break
            if batch and at_s - batch[-1][0] > _TOGETHER_S:
                journal.append_many(cook_id, batch, batch[-1][0])
                batch = []
            batch.append((at_s, what))
        journal.append_many(cook_id, batch, batch[-1][0])
        for start in range(0, len(self.readings), 20000):
            journal.append_readings(cook_id, self.readings[start : start + 20000])
        return cook_id
