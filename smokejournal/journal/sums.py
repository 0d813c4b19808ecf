"""Checksums of what was written: one for each entry, one for each minute of a channel's readings.

SQLite notices a page that is none. That a digit on it is another one than was written, it can't know.

The sum of a minute is the sum of its readings' hashes, so one that is back-dated is added like any
other. Nothing that is there is summed a second time: damage would then pass for what was written.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from smokejournal.cook.log.ranges import LAST_S
from smokejournal.cook.log.readings import FloatArray, Trace

#: What one sum covers. Leaving out a minute is no gap to most channels, and a sum a minute takes a
#: thirtieth of the room that readings at one a second take.
MINUTE_MS = 60_000
#: Sums are kept to 32 bits, as a CRC is.
MASK = 0xFFFFFFFF

Integers = NDArray[np.int64]
#: Which minute since 1970, how many readings, their sum.
MinuteSum = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class SpoiltReadings:
    """Readings of a channel that are left out because they aren't what was written: about `count` of
    them, between `from_s` and `to_s` (UTC seconds, whole minutes)."""

    channel: str
    count: int
    from_s: float
    to_s: float


def entry_sum(
    cook_id: int, at_ms: int, recorded_ms: int, kind: bytes, payload: bytes, version: int
) -> int:
    """The checksum that is kept with an entry, over all that its row says."""
    head = f"{cook_id} {at_ms} {recorded_ms} {version} {len(kind)} ".encode()
    return zlib.crc32(payload, zlib.crc32(kind, zlib.crc32(head)))


def minute_sums(cook_id: int, channel: str, t_ms: Integers, value_c: FloatArray) -> list[MinuteSum]:
    """The sums of these readings of a channel, in time order at `t_ms` (n,), as they came (n,)."""
    if not t_ms.size:
        return []
    minute = t_ms // MINUTE_MS
    first = np.flatnonzero(np.diff(minute, prepend=minute[0] - 1))
    count = np.diff(first, append=t_ms.size)
    hashes = reading_hashes(t_ms, value_c, np.uint64(channel_seed(cook_id, channel)))
    total = np.add.reduceat(hashes, first) & np.uint64(MASK)
    return list(zip(minute[first].tolist(), count.tolist(), total.tolist(), strict=True))


def channel_seed(cook_id: int, channel: str) -> int:
    """What the hashes of a channel's readings begin with: under another name they are other readings."""
    return zlib.crc32(f"{cook_id} {channel}".encode("utf-8", "replace"))


def reading_hashes(
    t_ms: Integers, value_c: FloatArray, seed: NDArray[np.uint64] | np.uint64
) -> NDArray[np.uint64]:
    """What each reading adds to the sum of its minute (n,); `seed` is that of its channel."""
    # SQLite keeps no -0.0.
    value = _mixed((value_c + 0.0).view(np.uint64) ^ seed)
    return _mixed(value + t_ms.view(np.uint64)) >> np.uint64(32)


def reading_hash(t_ms: int, value_c: float, seed: int) -> int:
    """The same of one reading: for the few of a commit quicker than arrays."""
    (bits,) = _BITS.unpack(_DOUBLE.pack(value_c + 0.0))
    return _mixed_word((_mixed_word(bits ^ seed) + t_ms) & _WORD) >> 32


_DOUBLE, _BITS, _WORD = struct.Struct("<d"), struct.Struct("<Q"), 0xFFFFFFFFFFFFFFFF


def _mixed_word(word: int) -> int:
    word = ((word ^ (word >> 30)) * 0xBF58476D1CE4E5B9) & _WORD
    word = ((word ^ (word >> 27)) * 0x94D049BB133111EB) & _WORD
    return word ^ (word >> 31)


# Made once: the writer mixes a few words at each commit.
_27, _30, _31 = np.uint64(27), np.uint64(30), np.uint64(31)
_FIRST, _SECOND = np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB)


def _mixed(words: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """Each word with its bits mixed, no two to the same one: the last steps of SplitMix64 (Steele, Lea
    and Flood, 'Fast splittable pseudorandom number generators', OOPSLA 2014, variant 13 by Stafford;
    constants from memory)."""
    words = (words ^ (words >> _30)) * _FIRST
    words = (words ^ (words >> _27)) * _SECOND
    return words ^ (words >> _31)


def in_order(t_ms: FloatArray, value_c: FloatArray) -> tuple[Integers, FloatArray]:
    """Readings as found at `t_ms` (n,), in time order; those at no moment at all are left out."""
    usable = (t_ms >= 0) & (t_ms <= LAST_S * 1000)
    if not usable.all():
        t_ms, value_c = t_ms[usable], value_c[usable]
    at_ms = t_ms.astype(np.int64)
    if (np.diff(at_ms) <= 0).any():
        # A damaged key stands where it doesn't belong.
        order = np.argsort(at_ms, kind="stable")
        at_ms, value_c = at_ms[order], value_c[order]
    return at_ms, value_c


def sound_trace(
    cook_id: int,
    channel: str,
    t_ms: Integers,
    value_c: FloatArray,
    kept: Sequence[MinuteSum],
) -> tuple[Trace, SpoiltReadings | None]:
    """The readings of a channel that are as they were written, and what is known of the rest.

    `t_ms` (n,), ascending, and `value_c` (n,) are as found, and `kept` are the sums as found.
    """
    found = minute_sums(cook_id, channel, t_ms, value_c)
    if found == kept:
        return Trace(t_ms / 1000, value_c), None
    wanted = {minute: (count, total) for minute, count, total in kept}
    good = {minute for minute, count, total in found if wanted.get(minute) == (count, total)}
    # A number of readings, or a minute, that can't be is itself what was damaged.
    counts = {
        minute: min(max(count, 1), MINUTE_MS)
        for minute, (count, _) in wanted.items()
        if minute not in good and 0 <= minute <= LAST_S // 60
    }
    where = sorted(counts)
    counts |= {minute: count for minute, count, _ in found if minute not in good}
    where = where or sorted(counts)
    sound = np.isin(t_ms // MINUTE_MS, sorted(good))
    trace = Trace(t_ms[sound] / 1000, value_c[sound])
    if not where:
        return trace, None
    return trace, SpoiltReadings(
        channel, sum(counts.values()), where[0] * 60.0, where[-1] * 60.0 + 60.0
    )
