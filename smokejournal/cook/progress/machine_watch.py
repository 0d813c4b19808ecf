"""What a cook is called for by the machine that records it: a battery that runs low, a disk that fills up.

What was read comes from outside and is no part of a log, so `MachineSeen` folds it, piece by piece. The
figures at which it calls are our own judgment, no source: a laptop often has an hour left at the first
and a quarter at the second, and a day of eight probes takes some tens of megabytes and each copy of the
journal as much again as the journal.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from smokejournal.cook.progress.alarms import Alarm, Called
from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import clock_time, duration, percent
from smokejournal.cook.text.translate import translate

#: The battery calls at or below these, and pressingly also when the machine gives it so little time.
LOW_PCT, EMPTY_PCT, EMPTY_S = 20.0, 10.0, 15 * 60.0
#: The disk calls below these [bytes].
LOW_BYTES, FULL_BYTES = 1_000_000_000, 200_000_000
#: What calls ends only this far on the other side: so a figure that wavers calls once.
OVER_PCT, OVER_SHARE = 3.0, 0.1
#: What came back within this [s] is the same call, answered if it was: a loose plug calls once.
SAME_S: Final = 300.0
#: What was read holds so long while nothing can be read [s]; then it is unknown and calls nobody.
OLD_S: Final = 600.0


@dataclass(frozen=True, slots=True)
class Battery:
    """What the machine says of its battery; None is unknown.

    `charge_pct` of a full one, `draining` whether it gets emptier (on some chargers it does though it is
    plugged in), `left_s` the machine's own figure of how long it lasts.
    """

    charge_pct: float | None = None
    draining: bool | None = None
    left_s: float | None = None


@dataclass(frozen=True, slots=True)
class MachineRead:
    """One look at the machine. None is unknown or, of a battery, that there is none."""

    battery: Battery | None = None
    free_bytes: int | None = None


@dataclass(frozen=True, slots=True)
class Spell:
    """A time in which something called: since when, and when it last stopped (None: it calls)."""

    since_s: float
    ended_s: float | None = None


@dataclass(frozen=True, slots=True)
class MachineSeen:
    """What was last known, when [UTC s], and the spells by what calls."""

    battery: Battery | None = None
    battery_s: float = 0.0
    free_bytes: int | None = None
    free_s: float = 0.0
    low: Spell | None = None
    empty: Spell | None = None
    scarce: Spell | None = None
    full: Spell | None = None

    def after(self, read: MachineRead, now_s: float) -> MachineSeen:
        """The same after another look at `now_s`."""
        return self._after_battery(read.battery, now_s)._after_disk(read.free_bytes, now_s)

    def _after_battery(self, seen: Battery | None, now_s: float) -> MachineSeen:
        if seen is None or seen.charge_pct is None or seen.draining is None:
            if self.battery is None or now_s - self.battery_s < OLD_S:
                return self
            return replace(
                self,
                battery=None,
                low=_spell(self.low, False, now_s),
                empty=_spell(self.empty, False, now_s),
            )
        pct = seen.charge_pct
        # Only with a low battery: the machine's figure is bold, and wild right after it was unplugged.
        low = seen.draining and pct <= _limit(LOW_PCT, OVER_PCT, self.low)
        short = seen.left_s is not None and seen.left_s <= EMPTY_S
        empty = low and (pct <= _limit(EMPTY_PCT, OVER_PCT, self.empty) or short)
        return replace(
            self,
            battery=seen,
            battery_s=now_s,
            low=_spell(self.low, low, now_s),
            empty=_spell(self.empty, empty, now_s),
        )

    def _after_disk(self, free: int | None, now_s: float) -> MachineSeen:
        if free is None:
            if self.free_bytes is None or now_s - self.free_s < OLD_S:
                return self
            return replace(
                self,
                free_bytes=None,
                scarce=_spell(self.scarce, False, now_s),
                full=_spell(self.full, False, now_s),
            )
        scarce = free < _limit(LOW_BYTES, LOW_BYTES * OVER_SHARE, self.scarce)
        full = free < _limit(FULL_BYTES, FULL_BYTES * OVER_SHARE, self.full)
        return replace(
            self,
            free_bytes=free,
            free_s=now_s,
            scarce=_spell(self.scarce, scarce, now_s),
            full=_spell(self.full, full, now_s),
        )


def _calls(spell: Spell | None) -> bool:
    return spell is not None and spell.ended_s is None


def _limit(limit: float, over: float, spell: Spell | None) -> float:
    return limit + over if _calls(spell) else limit


def _spell(before: Spell | None, calls: bool, now_s: float) -> Spell | None:
    """How a spell goes on: a new one begins only if the last one has been over for a while."""
    if calls:
        if before is None:
            return Spell(now_s)
        if before.ended_s is not None and now_s - before.ended_s >= SAME_S:
            return Spell(now_s)
        return Spell(before.since_s)
    if before is None or before.ended_s is not None:
        return before
    return Spell(before.since_s, now_s)


def machine_alarms(seen: MachineSeen, called: Called) -> tuple[Alarm, ...]:
    """The calls that hold, most pressing first. Times are by the clock of `called.zone`."""
    battery = _battery_alarms(seen, called) if called.tuning.battery else ()
    disk = _disk_alarms(seen, called) if called.tuning.disk else ()
    return tuple(sorted((*battery, *disk), key=lambda alarm: alarm.level == "chime"))


def _battery_alarms(seen: MachineSeen, called: Called) -> Iterable[Alarm]:
    battery, low, empty = seen.battery, seen.low, seen.empty
    if battery is None or battery.charge_pct is None or low is None or not _calls(low):
        return
    charge, since = percent(battery.charge_pct), clock_time(low.since_s, called.zone, called.units)
    if battery.left_s is not None:
        charge = translate("Alarms", "{charge}, {duration} by its own figure").format(
            charge=charge, duration=duration(battery.left_s)
        )
    if empty is not None and _calls(empty):
        text = translate(
            "Alarms",
            "The battery is almost empty ({charge}), not charging, low since {time}. Plug this machine in "
            "now: once it is off, nothing is recorded and nobody is called.",
        )
        key = f"battery_empty:{empty.since_s:.0f}"
        yield Alarm(key, "insistent", text.format(charge=charge, time=since))
        return
    text = translate(
        "Alarms",
        "The battery is low ({charge}) and not charging, since {time}. Plug this machine in. If it is "
        "plugged in, look at the charger.",
    )
    key = f"battery_low:{low.since_s:.0f}"
    yield Alarm(key, "chime", text.format(charge=charge, time=since))


def _disk_alarms(seen: MachineSeen, called: Called) -> Iterable[Alarm]:
    scarce, full = seen.scarce, seen.full
    if seen.free_bytes is None or scarce is None or not _calls(scarce):
        return
    # Down to whole megabytes: what is shown is there. No path: it names a person, and logs are shown
    # to others.
    free = fmt(seen.free_bytes // 1_000_000, 0)
    since = clock_time(scarce.since_s, called.zone, called.units)
    if full is not None and _calls(full):
        text = translate(
            "Alarms",
            "The disk with the journal is almost full: {free} MB are free, low since {time}. Free space on it "
            "now. Once it is full, readings are only in memory; “smokejournal --emergency FILE” writes this "
            "cook as text to another disk.",
        )
        yield Alarm(
            f"disk_full:{full.since_s:.0f}", "insistent", text.format(free=free, time=since)
        )
        return
    text = translate(
        "Alarms",
        "The disk with the journal fills up: {free} MB are free, low since {time}. Free space on it; About "
        "names the folder.",
    )
    yield Alarm(f"disk_low:{scarce.since_s:.0f}", "chime", text.format(free=free, time=since))
