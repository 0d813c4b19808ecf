"""The log as lines to read: when, what, and whether it still holds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from smokejournal.cook.log.cook_log import CookLog, struck_ids
from smokejournal.cook.log.entries import (
    ChannelSet,
    CookOpened,
    Foreseen,
    ReadingsStruck,
    Strike,
    Unread,
)
from smokejournal.cook.log.entry_words import entry_words, names_of
from smokejournal.cook.text.quantities import Units, clock_time, date, temperature
from smokejournal.cook.text.translate import translate


@dataclass(frozen=True, slots=True)
class LogLine:
    """One line. `entry_id` is None for a reading taken by hand, which `channel` and `at_s` name.

    `struck_by` is the entry that crossed it out, None while it holds. `fixed` ones cannot be struck.
    """

    at_s: float
    text: str
    zone: str
    units: Units
    entry_id: int | None = None
    channel: str | None = None
    struck_by: int | None = None
    fixed: bool = False

    # Written out only for the lines that are looked at: a long log has many that are not.

    @property
    def time(self) -> str:
        """When, on the clock where the cook is."""
        return clock_time(self.at_s, self.zone, self.units)

    @property
    def day(self) -> str:
        """The date."""
        return date(self.at_s, self.zone, self.units)

    @property
    def key(self) -> tuple[int | None, str | None, float]:
        """What makes this line the same one after the log has grown."""
        return (self.entry_id, self.channel, self.at_s)


def log_lines(
    log: CookLog,
    units: Units,
    by_hand: Iterable[tuple[str, float]] = (),
    *,
    forecasts: bool = False,
) -> tuple[LogLine, ...]:
    """Lines of a log, the latest first: every entry but strikes, and readings taken by hand.

    `by_hand` names further readings (channel, moment) that were taken by hand on a channel that
    otherwise reads itself. Forecasts, which the program writes by itself all the time, only if asked.
    """
    unseen = Strike if forecasts else Strike | Foreseen
    names = names_of(log.entries)
    struck = struck_ids(log.entries)
    strikers = {
        entry.what.entry_id: entry.id
        for entry in log.entries
        if isinstance(entry.what, Strike) and entry.id not in struck
    }
    lines = [
        LogLine(
            at_s=entry.at_s,
            text=entry_words(entry.what, units, names),
            zone=names.zone,
            units=units,
            entry_id=entry.id,
            struck_by=strikers.get(entry.id),
            fixed=isinstance(entry.what, CookOpened | Unread),
        )
        for entry in log.entries
        if not isinstance(entry.what, unseen)
    ]
    held = [entry for entry in log.entries if entry.id not in struck]
    strikes = [(e.id, e.what) for e in held if isinstance(e.what, ReadingsStruck)]
    channels = {
        e.what.channel.key
        for e in held
        if isinstance(e.what, ChannelSet) and e.what.channel.by_hand
    }
    for channel, at_s, value_c in _hand_readings(log, channels, by_hand):
        lines.append(
            LogLine(
                at_s=at_s,
                zone=names.zone,
                units=units,
                text=translate("Entry", "{channel} read: {temperature}").format(
                    channel=names.channel(channel), temperature=temperature(value_c, units, 1)
                ),
                channel=channel,
                struck_by=_struck_by(strikes, channel, at_s),
            )
        )
    lines.sort(key=lambda line: (line.at_s, line.entry_id or 0), reverse=True)
    return tuple(lines)


def _hand_readings(
    log: CookLog, channels: set[str], by_hand: Iterable[tuple[str, float]]
) -> list[tuple[str, float, float]]:
    """Channel, moment and raw value of the readings that a hand wrote."""
    found: list[tuple[str, float, float]] = []
    for key in sorted(channels):
        trace = log.traces.get(key)
        if trace is not None:
            found += [
                (key, float(t), float(v)) for t, v in zip(trace.at_s, trace.value_c, strict=True)
            ]
    for key, at_s in by_hand:
        trace = log.traces.get(key)
        if key in channels or trace is None:
            continue
        where = int(trace.at_s.searchsorted(at_s))
        if where < len(trace) and trace.at_s[where] == at_s:
            found.append((key, at_s, float(trace.value_c[where])))
    return found


def _struck_by(strikes: list[tuple[int, ReadingsStruck]], channel: str, at_s: float) -> int | None:
    for entry_id, what in reversed(strikes):
        if what.channel == channel and what.from_s <= at_s <= what.to_s:
            return entry_id
    return None
