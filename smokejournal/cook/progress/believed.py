"""What a channel said that can be believed: corrected, plausible, and not while the probe was out.

The same judgment as `trust` makes reading by reading, for a whole trace at once. The slow walk is
only taken where some reading leaps or a probe was moved.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.correction import corrected, in_force, sane
from smokejournal.cook.log.entries import ChannelSet, Entry, ProbeMoved
from smokejournal.cook.log.readings import Channel, FloatArray
from smokejournal.cook.progress.trust import JUMP_C, JUMP_C_PER_S, JUMP_WINDOW_S, ChannelTrust

BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class BelievedTrace:
    """One channel over the whole cook.

    `at_s` and `value_c` (corrected), both of shape (n,), hold the believed readings; `unbroken`, of
    shape (n,), is True where a reading follows the one before it with neither a gap nor a reading
    that is not believed between them. `all_at_s` are the moments of all readings that are not struck.
    """

    channel: Channel
    at_s: FloatArray
    value_c: FloatArray
    unbroken: BoolArray
    all_at_s: FloatArray
    absurd: int = 0
    jumped: int = 0

    def __len__(self) -> int:
        return int(self.at_s.size)

    def within(self, from_s: float, to_s: float) -> BelievedTrace:
        """Only what was said from `from_s` to `to_s`, both included."""
        kept = (self.at_s >= from_s) & (self.at_s <= to_s)
        return BelievedTrace(
            self.channel,
            self.at_s[kept],
            self.value_c[kept],
            self.unbroken[kept],
            self.all_at_s[(self.all_at_s >= from_s) & (self.all_at_s <= to_s)],
            self.absurd,
            self.jumped,
        )


def believed(
    log: CookLog, channel: Channel, entries: Sequence[Entry], until_s: float
) -> BelievedTrace:
    """What `channel` said up to `until_s`. `entries` are those that hold, in order of time."""
    trace = log.trace(channel.key)
    upto = int(np.searchsorted(trace.at_s, until_s, side="right"))
    at_s, raw_c = trace.at_s[:upto], trace.value_c[:upto]
    value_c = corrected(at_s, raw_c, channel, entries)
    can_be = sane(raw_c, value_c, channel)
    believed = can_be
    if channel.role == "meat" and not channel.by_hand:
        moved = any(
            isinstance(e.what, ProbeMoved) and e.what.channel == channel.key for e in entries
        )
        # Differences grow with the slope, of which the steepest is taken: the walk decides then.
        steepest = max(then.slope for _, _, then in in_force(channel, entries))
        if moved or _leaps(at_s[can_be], raw_c[can_be] * steepest):
            believed = _walk(at_s, raw_c, channel, entries)
    kept = np.flatnonzero(believed)
    unbroken = np.zeros(kept.size, dtype=np.bool_)
    unbroken[1:] = (np.diff(kept) == 1) & (np.diff(at_s[kept]) <= channel.gap_s)
    absurd = int(at_s.size - np.count_nonzero(can_be))
    # Nearly always all are believed, and a night of eight channels need not be held twice.
    every = kept.size == at_s.size
    return BelievedTrace(
        channel,
        at_s if every else at_s[kept],
        value_c if every else value_c[kept],
        unbroken,
        at_s,
        absurd,
        int(at_s.size - kept.size - absurd),
    )


def _leaps(at_s: FloatArray, raw_c: FloatArray) -> bool:
    """Whether any reading leapt from where the probe was when the window of `trust` begins.

    While none does, `trust` forgets nothing, so this is the very comparison that it makes. Raw values:
    a new correction moves what is remembered along with what is read.
    """
    if at_s.size < 2:
        return False
    here = np.arange(1, at_s.size)
    before = np.minimum(np.searchsorted(at_s, at_s[1:] - JUMP_WINDOW_S, side="left"), here - 1)
    allowed_c = JUMP_C + JUMP_C_PER_S * (at_s[1:] - at_s[before])
    return bool(np.any(np.abs(raw_c[1:] - raw_c[before]) > allowed_c))


def _walk(
    at_s: FloatArray, raw_c: FloatArray, channel: Channel, entries: Sequence[Entry]
) -> BoolArray:
    told = [
        (e.at_s, e.what)
        for e in entries
        if (isinstance(e.what, ChannelSet) and e.what.channel.key == channel.key)
        or (isinstance(e.what, ProbeMoved) and e.what.channel == channel.key)
    ]
    first = next((what.channel for _, what in told if isinstance(what, ChannelSet)), channel)
    trust = ChannelTrust(first)
    believed = np.zeros(at_s.size, dtype=np.bool_)
    n = 0
    for index, (moment, value) in enumerate(zip(at_s.tolist(), raw_c.tolist(), strict=True)):
        while n < len(told) and told[n][0] <= moment:
            what = told[n][1]
            if isinstance(what, ChannelSet):
                trust.describe(what.channel)
            else:
                trust.believe()
            n += 1
        trust.take(moment, value)
        believed[index] = trust.trusted
    return believed
