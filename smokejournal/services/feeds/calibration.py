"""Calibrating a probe from the screen: what the probes say now, and keeping what was found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.probes.probe import Calibration, Probe
from smokejournal.cook.probes.steady_reading import WINDOW_S, Steady, steady
from smokejournal.inputs.source import ReceivedLine
from smokejournal.journal import Journal


@dataclass(frozen=True, slots=True)
class RawReading:
    """What one probe says now, raw. `key` is its channel's or, of an input that feeds no channel yet,
    the name of its column."""

    key: str
    name: str
    now: Steady


def readings_in_log(log: CookLog, names: Mapping[str, str], now_s: float) -> tuple[RawReading, ...]:
    """The channels of a cook that spoke within the last half minute."""
    found = []
    for key, trace in log.traces.items():
        last = trace.at_s >= now_s - WINDOW_S
        pairs = list(zip(trace.at_s[last].tolist(), trace.value_c[last].tolist(), strict=True))
        now = steady(pairs, now_s)
        if now is not None:
            found.append(RawReading(key, names.get(key, key), now))
    return tuple(found)


def readings_in_lines(
    lines: Sequence[ReceivedLine], names: Mapping[str, str]
) -> tuple[RawReading, ...]:
    """The columns of the lines that an input sent last."""
    said: dict[str, list[tuple[float, float]]] = {}
    for line in lines:
        for value in line.values:
            said.setdefault(value.channel or value.source, []).append((line.at_s, value.value_c))
    if not lines:
        return ()
    now_s = lines[-1].at_s
    found = []
    for key, pairs in said.items():
        now = steady(pairs, now_s)
        if now is not None:
            found.append(RawReading(key, names.get(key, key), now))
    return tuple(found)


def keep(journal: Journal, probe: Probe, calibration: Calibration) -> tuple[Probe, Calibration]:
    """Keeps a probe, new or altered, and a calibration of it. Waits until both are on disk."""
    kept = journal.stores.save_probe(probe).result()
    return kept, journal.stores.add_calibration(replace(calibration, probe_id=kept.id)).result()
