"""Whether a channel's readings can be trusted, and how it is moving.

Fed reading by reading in time order; no clock, no look ahead. A reading that is not trusted is still
shown, but no finish rule follows it. The limits below are our own judgment (common practice, no
source) of what meat can do: its core follows the pit slowly, a probe pulled out of it does not.
"""

from __future__ import annotations

from collections import deque

from smokejournal.cook.log.readings import Channel, plausible
from smokejournal.cook.progress.standing import ChannelState, ChannelStatus

JUMP_C = 6.0
JUMP_C_PER_S = 0.1
"""A meat probe has jumped when it leaves where it was less than `JUMP_WINDOW_S` ago by more than this."""
JUMP_WINDOW_S = 30.0
RETURN_C_PER_S = 0.5 / 60
RETURN_MAX_C = 9.0
"""It is believed again once it is back within JUMP_C plus a slow drift, capped at this."""
SETTLING_S = 1800.0
"""In its first half hour a probe is being put in: a fall then is no jump."""

TREND_WINDOW_S = 600.0
TREND_STEP_S = 10.0
TREND_MIN_SPAN_S = 120.0


class ChannelTrust:
    """What is known of one channel after the readings so far."""

    __slots__ = (
        "_first_s",
        "_jump_from_c",
        "_jump_from_s",
        "_recent",
        "_trend",
        "at_s",
        "channel",
        "previous_c",
        "previous_ok",
        "previous_s",
        "raw_c",
        "since_s",
        "status",
        "value_c",
    )

    def __init__(self, channel: Channel) -> None:
        self.channel = channel
        self.status: ChannelStatus = "none"
        self.since_s: float | None = None
        self.at_s: float | None = None
        self.raw_c: float | None = None
        self.value_c: float | None = None
        self.previous_s: float | None = None
        self.previous_c: float | None = None
        self.previous_ok = False
        self._first_s: float | None = None
        self._jump_from_s = 0.0
        self._jump_from_c = 0.0
        self._recent: deque[tuple[float, float]] = deque()
        self._trend: deque[tuple[float, float]] = deque()

    def copy(self) -> ChannelTrust:
        """An independent twin."""
        twin = ChannelTrust(self.channel)
        for name in self.__slots__:
            setattr(twin, name, getattr(self, name))
        twin._recent = self._recent.copy()
        twin._trend = self._trend.copy()
        return twin

    @property
    def trusted(self) -> bool:
        """True when the last reading can be followed."""
        return self.status == "good"

    @property
    def unbroken(self) -> bool:
        """True when the last two readings are both trusted and no gap lies between them."""
        return (
            self.trusted
            and self.previous_ok
            and self.previous_s is not None
            and self.at_s is not None
            and self.at_s - self.previous_s <= self.channel.gap_s
        )

    def describe(self, channel: Channel) -> None:
        """The channel is described again. A new correction shifts what is remembered with it."""
        before = self.channel
        self.channel = channel
        if (before.slope, before.offset_c) != (channel.slope, channel.offset_c):

            def shifted(value_c: float) -> float:
                return channel.corrected(before.raw(value_c))

            self._recent = deque((t, shifted(v)) for t, v in self._recent)
            self._trend = deque((t, shifted(v)) for t, v in self._trend)
            self._jump_from_c = shifted(self._jump_from_c)
            if self.raw_c is not None:
                self.value_c = channel.corrected(self.raw_c)

    def believe(self) -> None:
        """The cook moved the probe: what it says from now on is to be trusted again."""
        self._recent.clear()
        self._trend.clear()
        self._first_s = None
        if self.status != "absurd":
            # Not "good": what it said before the move is no neighbor of what it says after it.
            self.status = "none"

    def take(self, at_s: float, raw_c: float) -> None:
        """Take in one raw reading [°C], not earlier than the last."""
        self.previous_s, self.previous_c = self.at_s, self.value_c
        self.previous_ok = self.status == "good"
        value_c = self.channel.corrected(raw_c)
        self.at_s, self.raw_c, self.value_c = at_s, raw_c, value_c
        if not plausible(self.channel.role, raw_c, value_c):
            if self.status != "jumped":
                self._become("absurd", at_s)
            return
        if self.status == "jumped" and not self._returned(at_s, value_c):
            return
        if self._leapt(at_s, value_c):
            self._become("jumped", at_s)
            self._jump_from_s, self._jump_from_c = self._recent[0]
            self._trend.clear()
            return
        if self._first_s is None:
            self._first_s = at_s
        if self.status != "good":
            self._become("good", at_s)
        self._recent.append((at_s, value_c))
        if not self._trend or at_s - self._trend[-1][0] >= TREND_STEP_S:
            self._trend.append((at_s, value_c))
            while at_s - self._trend[0][0] > TREND_WINDOW_S:
                self._trend.popleft()

    def state(self, now_s: float) -> ChannelState:
        """How the channel looks at `now_s`."""
        status, since_s = self.status, self.since_s
        if self.at_s is None:
            status = "none"
        elif now_s - self.at_s > self.channel.gap_s:
            status, since_s = "silent", self.at_s
        elif status == "none":
            status = "good"
        trend = self._slope_c_per_h(now_s) if status == "good" else None
        return ChannelState(
            self.channel, status, self.at_s, self.value_c, self.raw_c, trend, since_s
        )

    def _become(self, status: ChannelStatus, at_s: float) -> None:
        if status != self.status:
            self.status, self.since_s = status, at_s

    def _leapt(self, at_s: float, value_c: float) -> bool:
        recent = self._recent
        if self.channel.role != "meat" or self.channel.by_hand:
            recent.clear()
            return False
        while len(recent) > 1 and at_s - recent[0][0] > JUMP_WINDOW_S:
            recent.popleft()
        if not recent:
            return False
        from_s, from_c = recent[0]
        step_c = value_c - from_c
        if abs(step_c) <= JUMP_C + JUMP_C_PER_S * (at_s - from_s):
            return False
        settling = self._first_s is not None and at_s - self._first_s < SETTLING_S
        if step_c < 0 and settling:
            recent.clear()
            return False
        return True

    def _returned(self, at_s: float, value_c: float) -> bool:
        away_s = at_s - self._jump_from_s
        allowed_c = JUMP_C + min(RETURN_MAX_C, RETURN_C_PER_S * away_s)
        if abs(value_c - self._jump_from_c) > allowed_c:
            return False
        self._recent.clear()
        return True

    def _slope_c_per_h(self, now_s: float) -> float | None:
        points = [(t, v) for t, v in self._trend if now_s - t <= TREND_WINDOW_S]
        if len(points) < 3 or points[-1][0] - points[0][0] < TREND_MIN_SPAN_S:
            return None
        mean_t = sum(t for t, _ in points) / len(points)
        mean_v = sum(v for _, v in points) / len(points)
        spread = sum((t - mean_t) ** 2 for t, _ in points)
        return 3600.0 * sum((t - mean_t) * (v - mean_v) for t, v in points) / spread
