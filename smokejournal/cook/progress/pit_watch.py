"""What the pit does against its set point: out of its band, a fire that dies, a fire that runs away.

Fed reading by reading in time order, with what each costs the same however long the cook is. How wide the
band is and for how long it may be left are asked only when the answer is read, so the person may change
them under way. The limits here are common practice, no source. They were moved
once, on the practice pit, the demo and the `quick` part of the simulated cooks: after a lid a full fire pot
carried the pit 43 K past its set point, and a lid that nobody logged looked like a fire that was out.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import deque
from dataclasses import dataclass
from typing import Literal

Side = Literal["low", "high"]

#: A pit this near its set point is there [K].
THERE_K = 5.0
#: To get there it has this long [s], and besides what a slow cooker takes for the way: it warms and cools
#: by so much [K/s].
SETTLE_S, WARMS_K_S, COOLS_K_S = 1200.0, 3.0 / 60, 0.75 / 60
#: After the lid came down the pit has at least and at most so long to recover [s]; a lid of which nobody
#: says that it came down is taken to be down after this.
RECOVERS_S, FORGOTTEN_S = (300.0, 1200.0), 900.0
#: A fire may be out where the pit is so far below its set point [K] and has fallen by as much, for so long
#: [s], without rising by more than `RISES_K`; has been so far below for `UNDER_S`, which an open lid isn't;
#: and has still fallen by `STILL_K` in that time.
DYING_K, DYING_S = 15.0, 720.0
RISES_K, STILL_K, UNDER_S = 3.0, 3.0, 360.0
#: It burns again once the pit is so far above its lowest, or so near its set point [K].
AGAIN_K, BURNS_K = 8.0, 10.0
#: A fire runs away where the pit is this far over its set point, or this far and rising so fast [K, K,
#: K/s], for so long that it is no slip of one reading [s]; it is over below `TAMED_K`.
BLAZE_K, FAST_K, FAST_K_S = 55.0, 35.0, 5.0 / 60
BLAZE_S, TAMED_K = 10.0, 20.0

#: Readings that follow each other faster tell an alarm nothing more, and are passed over [s].
OFTEN_S = 5.0
#: The last readings are remembered one a minute, for this long [s].
_APART_S, _BACK_S = 60.0, 540.0
_GRAIN_K = 0.5
_LEVEL_K = 2.0
#: No band is wider [K].
WIDEST_K = 60.0


class LastWithin:
    """When something was last within a limit, for every limit up to `WIDEST_K` [K, in steps of 0.5]."""

    __slots__ = ("_levels",)

    def __init__(self, levels: tuple[tuple[float, float], ...] = ()) -> None:
        # A later moment at which it was nearer makes an earlier one needless, so that both rise.
        self._levels = list(levels)

    def push(self, at_s: float, off_k: float) -> None:
        """At this moment, not before the last one, it was off by so much (below 0 counts as 0)."""
        level = max(0.0, off_k // _GRAIN_K * _GRAIN_K)
        levels = self._levels
        while levels and levels[-1][0] >= level:
            levels.pop()
        if level <= WIDEST_K:
            levels.append((level, at_s))

    def levels(self) -> tuple[tuple[float, float], ...]:
        """Pairs (how far off [K], when last [UTC s]), both rising."""
        return tuple(self._levels)


def last_within(levels: tuple[tuple[float, float], ...], limit_k: float) -> float | None:
    """When it was last within the limit by `LastWithin.levels`; None: never."""
    place = bisect_right(levels, limit_k, key=lambda level: level[0])
    return levels[place - 1][1] if place else None


@dataclass(frozen=True, slots=True)
class PitSeen:
    """What the pit `channel` did against the set point `target_c`, up to its last believed reading `at_s`.

    `below` and `above`: when it was last no further off than so much, see `LastWithin`. `dying_since_s`:
    since when it has been falling as if the fire were out; `blaze_since_s`: since when it has been so far
    over as if something burned that shouldn't. None: it isn't so.
    """

    channel: str
    target_c: float
    at_s: float
    below: tuple[tuple[float, float], ...]
    above: tuple[tuple[float, float], ...]
    dying_since_s: float | None = None
    blaze_since_s: float | None = None

    def outside(self, band_k: float) -> tuple[Side, float] | None:
        """On which side of the band it is, and since when; None where it is within."""
        sides: tuple[tuple[Side, tuple[tuple[float, float], ...]], ...] = (
            ("low", self.below),
            ("high", self.above),
        )
        for side, levels in sides:
            since_s = last_within(levels, band_k)
            if since_s is not None and since_s < self.at_s:
                return side, since_s
        return None


class PitWatch:
    """See the module. One pit channel."""

    def __init__(self) -> None:
        self._channel = ""
        self._target_c: float | None = None
        self._lid_from_s: float | None = None
        self._lid_to_s: float | None = None
        self._settled_s = 0.0
        self._at_s = self._last_c = self._held_c = 0.0
        self._restart(0.0, 0.0)

    def copy(self) -> PitWatch:
        """An independent twin."""
        twin = PitWatch.__new__(PitWatch)
        twin.__dict__.update(self.__dict__)
        twin._below = LastWithin(self._below.levels())
        twin._above = LastWithin(self._above.levels())
        twin._minutes = self._minutes.copy()
        return twin

    def lid(self, at_s: float, *, is_open: bool) -> None:
        """The lid went up or down."""
        if not is_open:
            if self._lid_from_s is not None and self._lid_to_s is None:
                self._lid_to_s = at_s
        elif self._lid_from_s is None:
            self._lid_from_s, self._lid_to_s = at_s, None
            self._held_c = self._last_c
        else:
            # Opened again before the pit was back: it is held to what it was before the first time.
            self._lid_from_s, self._lid_to_s = at_s, None

    def forget(self) -> None:
        """No set point is given any more, or another channel reads the pit."""
        self._target_c = None

    def take(
        self, at_s: float, value_c: float, target_c: float, channel: str, gap_s: float
    ) -> None:
        """Take in a believed, corrected reading and the set point that is in force.

        `gap_s`: over a longer time without readings nothing is credited.
        """
        if target_c == self._target_c and channel == self._channel and at_s - self._at_s < OFTEN_S:
            return
        if self._target_c is None or channel != self._channel or at_s - self._at_s > gap_s:
            self._channel = channel
            self._restart(at_s, value_c)
            self._aim(at_s, value_c, target_c)
        elif target_c != self._target_c:
            self._aim(at_s, value_c, target_c)
        self._at_s, self._last_c = at_s, value_c
        recovering = self._recovering(at_s, value_c, target_c)
        self._take_band(at_s, value_c, target_c, recovering=recovering)
        self._take_fall(at_s, value_c, target_c, recovering=recovering)
        self._take_blaze(at_s, value_c, target_c)
        if not self._minutes or at_s - self._minutes[-1][0] >= _APART_S:
            self._minutes.append((at_s, value_c))
            while len(self._minutes) > 1 and at_s - self._minutes[1][0] >= _BACK_S:
                self._minutes.popleft()

    def seen(self) -> PitSeen | None:
        """What it comes to; None without a set point."""
        if self._target_c is None:
            return None
        return PitSeen(
            self._channel,
            self._target_c,
            self._at_s,
            self._below.levels(),
            self._above.levels(),
            self._dying_s,
            None if self._blaze_s is None or not self._blazes else self._blaze_s,
        )

    def _restart(self, at_s: float, value_c: float) -> None:
        self._at_s, self._last_c = at_s, value_c
        self._held_c = value_c
        self._below, self._above = LastWithin(), LastWithin()
        self._minutes: deque[tuple[float, float]] = deque()
        self._peak_s, self._peak_c, self._low_c = at_s, value_c, value_c
        self._under_s = at_s
        self._dying_s: float | None = None
        self._lowest_c = value_c
        self._ceiling_c = value_c
        self._blaze_s: float | None = None
        self._blazes = False

    def _aim(self, at_s: float, value_c: float, target_c: float) -> None:
        """A set point is in force from now on."""
        self._target_c = target_c
        way_k = target_c - value_c
        self._settled_s = at_s + SETTLE_S + (way_k / WARMS_K_S if way_k > 0 else -way_k / COOLS_K_S)
        self._ceiling_c = max(target_c, value_c)
        self._dying_s = self._blaze_s = None
        self._blazes = False
        self._held_c = target_c

    def _recovering(self, at_s: float, value_c: float, target_c: float) -> bool:
        """Whether the lid is up, or was lately and the pit isn't back where it was."""
        if self._lid_from_s is None:
            return False
        if self._lid_to_s is None:
            over = at_s >= self._lid_from_s + FORGOTTEN_S + RECOVERS_S[1]
        else:
            least_s, most_s = RECOVERS_S
            back = value_c >= min(self._held_c, target_c) - THERE_K
            since_s = at_s - self._lid_to_s
            over = since_s >= most_s or (back and since_s >= least_s)
        if over:
            self._lid_from_s = self._lid_to_s = None
        return not over

    def _take_band(self, at_s: float, value_c: float, target_c: float, *, recovering: bool) -> None:
        if abs(value_c - target_c) <= THERE_K:
            self._settled_s = min(self._settled_s, at_s)
        if at_s < self._settled_s:
            value_c = target_c
        elif recovering:
            # While the lid is up, and until it has recovered, it counts as being where it was.
            value_c = self._held_c
        self._below.push(at_s, target_c - value_c)
        self._above.push(at_s, value_c - target_c)

    def _take_fall(self, at_s: float, value_c: float, target_c: float, *, recovering: bool) -> None:
        if value_c > self._peak_c or value_c >= self._low_c + RISES_K:
            self._peak_s, self._peak_c, self._low_c = at_s, value_c, value_c
        else:
            self._low_c = min(self._low_c, value_c)
            if value_c >= self._peak_c - _LEVEL_K:
                self._peak_s = at_s  # level so far: the fall has not begun
        if target_c - value_c < DYING_K:
            self._under_s = at_s
        if recovering:
            return
        if self._dying_s is not None:
            self._lowest_c = min(self._lowest_c, value_c)
            if value_c >= self._lowest_c + AGAIN_K or value_c > target_c - BURNS_K:
                self._dying_s = None
            return
        if (
            at_s - self._under_s >= UNDER_S
            and at_s - self._peak_s >= DYING_S
            and self._peak_c - value_c >= DYING_K
            and self._back(at_s, UNDER_S)[1] >= value_c + STILL_K
        ):
            self._dying_s, self._lowest_c = self._peak_s, value_c

    def _take_blaze(self, at_s: float, value_c: float, target_c: float) -> None:
        # After a lower set point the pit comes down in its own time: it is over what it came down to.
        self._ceiling_c = max(target_c, min(self._ceiling_c, value_c))
        over_k = value_c - self._ceiling_c
        if self._blazes:
            self._blazes = value_c - target_c >= TAMED_K
            if not self._blazes:
                self._blaze_s = None
            return
        if over_k < BLAZE_K and not (over_k >= FAST_K and self._rises_fast(at_s, value_c)):
            self._blaze_s = None
            return
        if self._blaze_s is None:
            self._blaze_s = at_s
        self._blazes = at_s - self._blaze_s >= BLAZE_S

    def _rises_fast(self, at_s: float, value_c: float) -> bool:
        before_s, before_c = self._back(at_s, _APART_S / 2)
        if before_s == at_s or value_c - before_c < FAST_K_S * (at_s - before_s):
            return False
        # From far below it comes back after a lid, logged or not, and with a full fire pot past its set
        # point: that is no fire.
        return all(value >= self._ceiling_c - DYING_K for _, value in self._minutes)

    def _back(self, at_s: float, back_s: float) -> tuple[float, float]:
        """The moment and value of the newest remembered reading that is so old; the last where none is."""
        return next(
            (m for m in reversed(self._minutes) if at_s - m[0] >= back_s), (at_s, self._last_c)
        )
