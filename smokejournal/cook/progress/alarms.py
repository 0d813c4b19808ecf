"""What the cook must be called for, read off where the cook stands; and which calls still sound.

Each alarm has a key that stays the same while its cause lasts ("stage:s2:met:1732550000"), so that a
cause is raised once, answered once, and raised again only when it comes back or its snooze is over.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated, Final, Literal

from smokejournal.cook.log.entries import (
    AlarmAcknowledged,
    AlarmRaised,
    Entry,
    FuelAdded,
    FuelForeseen,
    FuelLevel,
)
from smokejournal.cook.log.schedule import CHECK, LEAD, PIT, ForTime, UntilTemperature
from smokejournal.cook.progress.pair_watch import apart_k
from smokejournal.cook.progress.pit_watch import WIDEST_K, PitSeen
from smokejournal.cook.progress.standing import ChannelState, StageRun, Standing, channel_for
from smokejournal.cook.text.chance_words import chance_words
from smokejournal.cook.text.quantities import (
    METRIC,
    Units,
    clock_time,
    temperature,
    temperature_step,
)
from smokejournal.cook.text.strict import Range
from smokejournal.cook.text.translate import translate

Level = Literal["chime", "insistent"]

#: The cook is called for fuel, while there is time to add some, where it runs out before the food is
#: off the pit in this many courses of 10 or more (our own judgment, no source).
RUNS_OUT = 0.3
#: Below this it need not be called for at all: the intervals leave as much outside at that end.
HARDLY = 0.1
#: The hopper is to be looked into this long before 1 hopper in 10 would be empty, and pressingly before
#: every other one would be [s]: time enough to fetch a bag (common practice, no source).
LOOK_S = 1800.0
#: What was foreseen of the food so long ago says nothing any more [s].
OLD_S = 3 * 3600.0


#: A band may be so narrow and wide [K], an alarm wait so short and long [s].
BAND_K: Final = (5.0, WIDEST_K)
WAIT_S: Final = (300.0, 3 * 3600.0)
#: Two spots of one piece may be so much further apart than the probes' calibration says [K].
SPOTS_K: Final = (0.0, 40.0)


@dataclass(frozen=True, slots=True)
class AlarmTuning:
    """Which of the alarms that watch pit, probes and this machine call, and when. The defaults are common
    practice, no source.

    `band_k` either side of the set point, left for `band_s`; `spots_k` by which lead and check probe may
    differ beyond what their calibration allows, because they are in two spots, exceeded for `apart_s`;
    `nearly_s` before it should be ready the cook is called.
    """

    band: bool = True
    band_k: Annotated[float, Range(*BAND_K, "K")] = 15.0
    band_s: Annotated[float, Range(*WAIT_S, "s")] = 900.0
    fire_out: bool = True
    grease_fire: bool = True
    apart: bool = True
    spots_k: Annotated[float, Range(*SPOTS_K, "K")] = 10.0
    apart_s: Annotated[float, Range(*WAIT_S, "s")] = 600.0
    nearly: bool = True
    nearly_s: Annotated[float, Range(*WAIT_S, "s")] = 1200.0
    battery: bool = True
    disk: bool = True


@dataclass(frozen=True, slots=True)
class Called:
    """How a person wants to be called: which alarms, in which units, by the clock of which zone."""

    tuning: AlarmTuning = AlarmTuning()
    units: Units = METRIC
    zone: str = "UTC"


AS_USUAL = Called()


@dataclass(frozen=True, slots=True)
class Alarm:
    """One call. A "chime" sounds once, an "insistent" one until it is answered."""

    key: str
    level: Level
    text: str


def due(
    standing: Standing, entries: Sequence[Entry] = (), called: Called = AS_USUAL
) -> tuple[Alarm, ...]:
    """The alarms whose cause holds at this moment, most pressing first.

    `entries` hold and are in order of time. They tell of the fuel, which the standing doesn't.
    """
    if standing.phase not in ("running", "done"):
        return ()
    found = _found(standing, entries, called)
    return tuple(sorted(found, key=lambda alarm: alarm.level == "chime"))


def _found(standing: Standing, entries: Sequence[Entry], called: Called) -> Iterable[Alarm]:
    run = standing.current
    if run is not None:
        yield from _probe_alarms(standing, run)
        if run.guard_at_s is not None and standing.at_s >= run.guard_at_s and not standing.waiting:
            text = translate(
                "Alarms", "{stage} has taken longer than you allowed. Look at it and decide."
            )
            key = f"guard:{run.stage.key}:{run.guard_at_s:.0f}"
            yield Alarm(key, "insistent", text.format(stage=run.stage.name))
        yield from _pit_alarms(standing, run, called)
        yield from _pair_alarms(standing, run, called)
        yield from _fuel_alarms(standing, run, entries)
    yield from _stage_alarms(standing)


def _fuel_alarms(standing: Standing, run: StageRun, entries: Sequence[Entry]) -> Iterable[Alarm]:
    """By what was foreseen last. Fuel that was added or read since then makes it void."""
    if run.stage.pit_target_c is None:
        return
    said = next((e for e in reversed(entries) if isinstance(e.what, FuelAdded | FuelLevel)), None)
    foreseen = next((e for e in reversed(entries) if isinstance(e.what, FuelForeseen)), None)
    if said is None or foreseen is None or said.at_s > foreseen.at_s:
        return
    what = foreseen.what
    assert isinstance(what, FuelForeseen)
    fresh = standing.at_s - foreseen.at_s <= OLD_S
    runs_out = what.runs_out if fresh else None
    if runs_out is not None and runs_out < HARDLY:
        return
    if standing.at_s >= what.mid_s - LOOK_S:
        text = translate(
            "Alarms",
            "The hopper is probably almost empty. Look now, add pellets, and write down the level.",
        )
        yield Alarm(f"fuel_empty:{said.id}", "insistent", text)
    elif standing.at_s >= what.low_s - LOOK_S:
        text = translate(
            "Alarms",
            "The hopper may soon be empty. Look, add pellets, and write down the level.",
        )
        yield Alarm(f"fuel_low:{said.id}", "chime", text)
    elif runs_out is not None and runs_out >= RUNS_OUT:
        text = translate(
            "Alarms",
            "The fuel may run out before the food is off the pit (chance {chance}). Add pellets and "
            "write it down.",
        )
        yield Alarm(f"fuel_short:{said.id}", "chime", text.format(chance=chance_words(runs_out)))


def _pit_alarms(standing: Standing, run: StageRun, called: Called) -> Iterable[Alarm]:
    """One cause, one call: a fire that runs away is no pit too hot, one that is out no pit too cold."""
    seen, tuning = standing.pit, called.tuning
    if seen is None or run.stage.pit_target_c is None:
        return
    if tuning.band or tuning.fire_out or tuning.grease_fire:
        yield from _unwatched(standing, run, seen)
    if seen.target_c != run.stage.pit_target_c:
        return
    if seen.blaze_since_s is not None and tuning.grease_fire:
        # What fire services commonly tell the public of grease on fire (from memory, no source).
        cause, since_s = "blaze", seen.blaze_since_s
        text = translate(
            "Alarms",
            "Fire? The pit has been far above {target} since {time}. Keep the lid closed. Cut the power if "
            "that is safe. No water. If flames come out or it grows, get away from it and call the fire "
            "service. Follow the maker's manual.",
        )
    elif seen.dying_since_s is not None and tuning.fire_out:
        # Common practice, no source.
        cause, since_s = "fire_out", seen.dying_since_s
        text = translate(
            "Alarms",
            "The fire may be out: the pit should be at {target} and has been falling since {time}. Look at "
            "the hopper. Open the lid slowly and stand back. Restart it as the maker's manual says. Never "
            "add pellets to a hot fire pot: let it cool and clear it first.",
        )
    else:
        if tuning.band:
            yield from _band_alarms(standing, seen, called)
        return
    target = temperature(seen.target_c, called.units)
    time = clock_time(since_s, called.zone, called.units)
    key = f"{cause}:{seen.channel}:{since_s:.0f}"
    yield Alarm(key, "insistent", text.format(target=target, time=time))


def _unwatched(standing: Standing, run: StageRun, seen: PitSeen) -> Iterable[Alarm]:
    """A pit probe that failed: where a rule waits for it, that is called for already."""
    state = standing.channels.get(seen.channel)
    if state is None or state.channel.by_hand or seen.channel in _followed(standing, run):
        return
    if state.status not in ("silent", "absurd"):
        return
    text = (
        translate("Alarms", "{probe} is silent, so nothing watches the fire. Look at both.")
        if state.status == "silent"
        else translate(
            "Alarms",
            "{probe} shows an impossible temperature, so nothing watches the fire. Look at both.",
        )
    )
    key = f"unwatched:{seen.channel}:{state.since_s or 0.0:.0f}"
    yield Alarm(key, "chime", text.format(probe=state.channel.name))


def _band_alarms(standing: Standing, seen: PitSeen, called: Called) -> Iterable[Alarm]:
    tuning, state = called.tuning, standing.channels.get(seen.channel)
    found = seen.outside(tuning.band_k)
    if found is None or state is None or state.status != "good":
        return
    side, since_s = found
    if standing.at_s - since_s <= tuning.band_s:
        return
    text = (
        translate(
            "Alarms",
            "The pit has been more than {band} below {target} since {time}. Check the lid, the hopper and "
            "what the pit is set to.",
        )
        if side == "low"
        else translate(
            "Alarms",
            "The pit has been more than {band} above {target} since {time}. Check what it is set to, and "
            "stay with it: grease that gets too hot can catch fire.",
        )
    )
    yield Alarm(
        f"pit_{side}:{seen.channel}:{since_s:.0f}",
        "insistent",
        text.format(
            band=temperature_step(tuning.band_k, called.units, 0),
            target=temperature(seen.target_c, called.units),
            time=clock_time(since_s, called.zone, called.units),
        ),
    )


def _pair_alarms(standing: Standing, run: StageRun, called: Called) -> Iterable[Alarm]:
    """Only while the stage follows the lead probe: before that it may not be in the food yet."""
    seen, tuning = standing.pair, called.tuning
    if seen is None or not tuning.apart or seen.lead not in _followed(standing, run):
        return
    lead, check = channel_for(standing, LEAD), channel_for(standing, CHECK)
    if lead is None or check is None or (lead.status, check.status) != ("good", "good"):
        return
    limit_k = apart_k(lead.channel, check.channel) + tuning.spots_k
    apart_s = seen.apart_since_s(limit_k)
    if apart_s is None:
        return
    since_s = max(apart_s, run.began_at_s)
    if standing.at_s - since_s <= tuning.apart_s:
        return
    text = translate(
        "Alarms",
        "{lead} and {check} have been more than {limit} apart since {time}. Two good probes in one piece rarely "
        "are. See that both are in the food and where they should be. If one was moved, log it.",
    )
    yield Alarm(
        f"apart:{seen.lead}:{seen.check}:{since_s:.0f}",
        "chime",
        text.format(
            lead=lead.channel.name,
            check=check.channel.name,
            limit=temperature_step(limit_k, called.units, 0),
            time=clock_time(since_s, called.zone, called.units),
        ),
    )


def _stage_alarms(standing: Standing) -> Iterable[Alarm]:
    run = standing.current
    if run is not None and run.met_at_s is not None and run.stage.alert != "none":
        text = translate("Alarms", "{stage} is done and waits for you.")
        key = f"waits:{run.stage.key}:{run.met_at_s:.0f}"
        yield Alarm(key, _level(run), text.format(stage=run.stage.name))
    over = standing.runs[:-1] if run is not None else standing.runs
    if not over or over[-1].how != "rule" or over[-1].stage.alert == "none":
        return
    last = over[-1]
    key = f"ended:{last.stage.key}:{last.ended_at_s:.0f}"
    if run is None:
        text = translate("Alarms", "{stage} is over. The schedule is done.")
        yield Alarm(key, _level(last), text.format(stage=last.stage.name))
        return
    text = translate("Alarms", "{stage} is over. Now: {next}.")
    said = text.format(stage=last.stage.name, next=run.stage.name)
    if run.stage.instruction:
        said += " " + run.stage.instruction
    yield Alarm(key, _level(last), said)


def _probe_alarms(standing: Standing, run: StageRun) -> Iterable[Alarm]:
    for channel in sorted(_followed(standing, run)):
        state = standing.channels.get(channel)
        if state is None or state.status == "none":
            since_s = run.began_at_s
            name = state.channel.name if state is not None else channel
            if standing.at_s - since_s > (state.channel.gap_s if state is not None else 120.0):
                text = translate(
                    "Alarms", "{probe} has sent nothing yet, and this stage waits for it. Check it."
                )
                yield Alarm(f"silent:{channel}:{since_s:.0f}", "insistent", text.format(probe=name))
        elif state.status != "good":
            key = f"{state.status}:{channel}:{state.since_s or 0.0:.0f}"
            yield Alarm(key, "insistent", _probe_text(state, standing))


def _probe_text(state: ChannelState, standing: Standing) -> str:
    said = {
        "silent": translate(
            "Alarms", "{probe} is silent. The stage can't end by it. Check the cable."
        ),
        "held": translate(
            "Alarms",
            "Readings of {probe} arrive but can't be written, so the stage can't end by "
            "them. See the top of the window.",
        ),
        "absurd": translate(
            "Alarms", "{probe} shows an impossible temperature. The stage can't end by it."
        ),
        "jumped": translate(
            "Alarms", "{probe} jumped, as if it was pulled out. Log 'probe moved' once it is back."
        ),
    }[state.status].format(probe=state.channel.name)
    check = standing.channels.get(standing.check) if standing.check is not None else None
    if check is not None and check.channel.key != state.channel.key and check.status == "good":
        more = translate("Alarms", "{check} can lead instead.")
        said += " " + more.format(check=check.channel.name)
    return said


def _followed(standing: Standing, run: StageRun) -> set[str]:
    """Channels that a rule of this stage still waits for."""
    if run.met_at_s is not None:
        return set()
    pit = next((key for key, s in standing.channels.items() if s.channel.role == "pit"), None)
    keys = {LEAD: standing.lead, CHECK: standing.check, PIT: pit}
    return {
        keys.get(rule.channel) or rule.channel
        for rule in (state.rule for state in run.rules if state.met_at_s is None)
        if isinstance(rule, UntilTemperature)
        or (isinstance(rule, ForTime) and rule.at_least_c is not None)
    }


def _level(run: StageRun) -> Level:
    return "insistent" if run.stage.alert == "insistent" else "chime"


class AlarmBook:
    """Which alarms were raised and answered, from the log and from what is on its way to it."""

    def __init__(self) -> None:
        self._on_their_way: set[str] = set()
        #: When the snooze of an answer is over that may not be in the log yet; inf: it is for good.
        self._answered: dict[str, float] = {}

    def answered(self, key: str, until_s: float) -> None:
        """Whoever answers hears nothing more until `until_s`, whether that can be written or not."""
        self._answered[key] = until_s

    def written(self, alarm: Alarm) -> None:
        """The entry of this alarm is on its way to the log."""
        self._on_their_way.add(alarm.key)

    def landed(self, key: str) -> None:
        """The entry of the alarm with this key is in the log."""
        self._on_their_way.discard(key)

    def fresh(
        self,
        standing: Standing,
        entries: Sequence[Entry],
        also: Sequence[Alarm] = (),
        called: Called = AS_USUAL,
    ) -> tuple[Alarm, ...]:
        """Alarms that hold and are to be raised: never raised, or their cause or snooze came back.

        `also` are calls that hold beside those of the cook's standing.
        """
        return tuple(
            alarm
            for alarm in (*due(standing, entries, called), *also)
            if alarm.key not in self._on_their_way
            and _to_be_raised(alarm.key, entries, standing.at_s)
        )

    def sounding(
        self,
        standing: Standing,
        entries: Sequence[Entry],
        now_s: float,
        also: Sequence[Alarm] = (),
        called: Called = AS_USUAL,
    ) -> tuple[Alarm, ...]:
        """Alarms that hold and that nobody has answered, or whose snooze is over."""
        return tuple(
            alarm
            for alarm in (*due(standing, entries, called), *also)
            if not _answered(alarm.key, entries, now_s)
            and now_s >= self._answered.get(alarm.key, -math.inf)
        )


def _answered(key: str, entries: Sequence[Entry], now_s: float) -> bool:
    for entry in reversed(entries):
        what = entry.what
        if isinstance(what, AlarmAcknowledged) and what.key == key:
            return what.snooze_s is None or now_s < entry.at_s + what.snooze_s
    return False


def _to_be_raised(key: str, entries: Sequence[Entry], now_s: float) -> bool:
    for entry in reversed(entries):
        what = entry.what
        if isinstance(what, AlarmRaised) and what.key == key:
            return False
        if isinstance(what, AlarmAcknowledged) and what.key == key:
            return what.snooze_s is not None and now_s >= entry.at_s + what.snooze_s
    return True
