"""The score: one shared time axis, traces above, aligned lanes below. Values only.

The live picture, the one on Taste and the printed one all draw this. `score_of` makes it from a log.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from smokejournal.cook.log.readings import FloatArray, Trace

Actual = Literal["planned", "actual", "running"]
TargetRule = Literal["set", "rising", "falling", "at_least"]
Symbol = Literal["lid", "wrap", "spritz", "fuel", "probe", "note", "photo", "alarm", "stage"]


@dataclass(frozen=True, slots=True)
class ScoreTrace:
    """One channel's corrected readings, in pieces between which nothing is drawn.

    `part` tells the lead and the check probe. `left_out` readings could be no temperature of this
    kind; they break the trace and are counted here, never drawn. `ink` is which of the colors and
    dashes it has for the whole cook, whatever is added or leads (None: by its place).
    """

    key: str
    label: str
    role: str
    pieces: tuple[Trace, ...]
    simulated: bool = False
    part: Literal["", "lead", "check"] = ""
    by_hand: bool = False
    left_out: int = 0
    ink: int | None = None


@dataclass(frozen=True, slots=True)
class ScoreTarget:
    """A stage's target temperature over the time in which it held (end None: still does).

    `rule`: "set" is what the pit is set to; "rising" and "falling" end the stage when they are
    reached; "at_least" is what has to be kept for time to count.
    """

    from_s: float
    to_s: float | None
    value_c: float
    what: Literal["pit", "meat"]
    rule: TargetRule = "set"


@dataclass(frozen=True, slots=True)
class ScoreBar:
    """A stage in the stages lane.

    A planned bar ends at None when no rule of the stage says how long it takes; the next planned
    one then begins where that stage truly ended, or is missing. `stage` is the stage's key.
    """

    from_s: float
    to_s: float | None
    label: str
    row: Actual
    stage: str = ""
    skipped: bool = False


@dataclass(frozen=True, slots=True)
class ScoreMark:
    """One entry in the marks lane. `symbol` is one of the few shapes that every drawing knows.

    `text` is plain words without quantities; a mass that belongs to it is in `mass_kg`, to be
    written in the reader's units. `to_s` where it lasted: a lid until it was shut, an alarm until
    it was answered.
    """

    at_s: float
    to_s: float | None
    symbol: Symbol
    text: str
    entry_id: int
    mass_kg: float | None = None


@dataclass(frozen=True, slots=True)
class ScoreLevel:
    """Fuel left in the hopper [kg] with its standard deviation, at one moment.

    Two at the same moment are a step: fuel was added. `read` where it was read, not computed.
    `joined`: whether what burned since the level before is known, so that a line may join them.
    """

    at_s: float
    mass_kg: float
    sd_kg: float
    read: bool = True
    joined: bool = True


@dataclass(frozen=True, slots=True)
class ScoreWeather:
    """What the weather lane says at one moment."""

    at_s: float
    air_c: float | None
    wind_m_s: float | None
    text: str


@dataclass(frozen=True, slots=True)
class ScoreFan:
    """What a channel is forecast to do [°C]: middle with a band, arrays of shape (n,).

    `target_c` is what it is to reach, and `label` says when (at about `reach_s`, UTC seconds; None
    beyond what is foreseen).
    """

    key: str
    at_s: FloatArray
    low_c: FloatArray
    middle_c: FloatArray
    high_c: FloatArray
    target_c: float | None = None
    reach_s: float | None = None
    label: str = ""


@dataclass(frozen=True, slots=True)
class ScoreAhead:
    """The stage under way or one to come, as forecast: from about `from_s` to about `to_s`.

    With a chance of 80 % it ends between `low_s` and `high_s`. UTC seconds; None beyond what is
    foreseen.
    """

    from_s: float
    low_s: float
    to_s: float | None
    high_s: float | None
    label: str
    stage: str


@dataclass(frozen=True, slots=True)
class Score:
    """All of it. `from_s` to `to_s` is what there is to see; `now_s` None when the cook is over.

    `fans` and `ahead` run on to the right of now: what is forecast, which is not read off the log.
    They are drawn on screen alone.
    """

    zone: str
    from_s: float
    to_s: float
    now_s: float | None
    started_at_s: float | None
    traces: tuple[ScoreTrace, ...] = ()
    targets: tuple[ScoreTarget, ...] = ()
    bars: tuple[ScoreBar, ...] = ()
    marks: tuple[ScoreMark, ...] = ()
    fuel: tuple[ScoreLevel, ...] = ()
    weather: tuple[ScoreWeather, ...] = ()
    fans: tuple[ScoreFan, ...] = ()
    ahead: tuple[ScoreAhead, ...] = ()
    cook_id: int | None = None

    @property
    def simulated(self) -> bool:
        """True when any trace comes from a simulated pit."""
        return any(trace.simulated for trace in self.traces)

    def ink(self, place: int) -> int:
        """Which of the colors and dashes the trace at this place is drawn with."""
        ink = self.traces[place].ink
        return place if ink is None else ink


def value_at(trace: ScoreTrace, at_s: float) -> float | None:
    """The trace [°C] at a moment, between two readings on the line that joins them; None in gaps."""
    for piece in trace.pieces:
        if piece.at_s[0] <= at_s <= piece.at_s[-1]:
            return float(np.interp(at_s, piece.at_s, piece.value_c))
    return None


def fuel_at(score: Score, at_s: float) -> tuple[float, float] | None:
    """Fuel left [kg] and its standard deviation at a moment; None where it isn't known."""
    before = [level for level in score.fuel if level.at_s <= at_s]
    after = [level for level in score.fuel if level.at_s > at_s]
    if not before or not after or not after[0].joined:
        exact = bool(before) and before[-1].at_s == at_s
        return (before[-1].mass_kg, before[-1].sd_kg) if exact else None
    first, last = before[-1], after[0]
    share = (at_s - first.at_s) / (last.at_s - first.at_s)
    return (
        first.mass_kg + share * (last.mass_kg - first.mass_kg),
        first.sd_kg + share * (last.sd_kg - first.sd_kg),
    )


def weather_at(score: Score, at_s: float) -> ScoreWeather | None:
    """The weather that was seen last before a moment; None before the first."""
    return next((seen for seen in reversed(score.weather) if seen.at_s <= at_s), None)
