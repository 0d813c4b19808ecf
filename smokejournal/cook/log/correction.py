"""Which correction was in force when a reading was taken.

A new correction holds from the entry that says it, so that recalibrating a probe  never rewrites
what was read before.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from smokejournal.cook.log.entries import ChannelSet, Entry
from smokejournal.cook.log.readings import PLAUSIBLE_C, Channel, FloatArray
from smokejournal.cook.text.quantities import Units, temperature, temperature_step
from smokejournal.cook.text.translate import translate

#: Where a correction with a slope is told. Between them it lies between what it is at both.
LOW_C, HIGH_C = 0.0, 100.0

BoolArray = NDArray[np.bool_]


def in_force(
    channel: Channel, entries: Sequence[Entry]
) -> tuple[tuple[float, float, Channel], ...]:
    """The descriptions of a channel, each with the time from which and until which [s] it holds.

    `entries` are those that hold, in order of time. The first holds for what came before it as well.
    """
    said = [
        (e.at_s, e.what.channel)
        for e in entries
        if isinstance(e.what, ChannelSet) and e.what.channel.key == channel.key
    ]
    if len({(c.slope, c.offset_c) for _, c in said}) <= 1:
        return ((-np.inf, np.inf, channel),)
    begins = [-np.inf, *(at_s for at_s, _ in said[1:]), np.inf]
    return tuple(
        (from_s, to_s, said[n][1])
        for n, (from_s, to_s) in enumerate(pairwise(begins))
        if to_s > from_s
    )


def corrected(
    at_s: FloatArray, raw_c: FloatArray, channel: Channel, entries: Sequence[Entry]
) -> FloatArray:
    """Raw readings [°C] of shape (n,), corrected as it was in force at each of them: themselves, and no
    copy, where nothing was corrected."""
    stretches = in_force(channel, entries)
    if len(stretches) == 1:
        only = stretches[0][2]
        return only.corrected(raw_c) if only.is_corrected else raw_c
    value_c = np.empty_like(raw_c)
    for from_s, to_s, then in stretches:
        a, b = np.searchsorted(at_s, (from_s, to_s), side="left")
        value_c[a:b] = then.corrected(raw_c[a:b])
    return value_c


def sane(raw_c: FloatArray, value_c: FloatArray, channel: Channel) -> BoolArray:
    """Where readings can be temperatures there, as they came as well as corrected."""
    low, high = PLAUSIBLE_C[channel.role]
    within: BoolArray = (value_c >= low) & (value_c <= high) & (raw_c >= low) & (raw_c <= high)
    return within


def correction_words(channel: Channel, units: Units) -> str:
    """ "+0.4 °C", or with a slope "+0.4 °C at 0 °C, −0.6 °C at 100 °C". Empty without one."""
    if not channel.is_corrected:
        return ""
    if channel.slope == 1.0:
        return temperature_step(channel.offset_c, units, signed=True)
    text = translate("Correction", "{low_step} at {low}, {high_step} at {high}")
    return text.format(
        low_step=temperature_step(channel.correction_c(LOW_C), units, signed=True),
        low=temperature(LOW_C, units),
        high_step=temperature_step(channel.correction_c(HIGH_C), units, signed=True),
        high=temperature(HIGH_C, units),
    )
