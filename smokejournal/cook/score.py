"""The score: one shared time axis, traces above, aligned lanes below. Values only.

The live picture, the one on Taste and the printed one all draw this. `score_of` makes it from a log.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from smokejournal.cook.readings import Trace

Actual = Literal["planned", "actual", "running"]


@dataclass(frozen=True, slots=True)
class ScoreTrace:
    """One channel's corrected readings. `breaks`: pieces between which nothing is drawn."""

    key: str
    label: str
    role: str
    pieces: tuple[Trace, ...]
    simulated: bool = False


@dataclass(frozen=True, slots=True)
class ScoreTarget:
    """A stage's target temperature over the time in which it held (end None: still does)."""

    from_s: float
    to_s: float | None
    value_c: float
    what: Literal["pit", "meat"]


@dataclass(frozen=True, slots=True)
class ScoreBar:
    """A stage in the stages lane."""

    from_s: float
    to_s: float | None
    label: str
    row: Actual


@dataclass(frozen=True, slots=True)
class ScoreMark:
    """One entry in the marks lane. `symbol` is one of the few shapes that every drawing knows."""

    at_s: float
    to_s: float | None
    symbol: Literal["lid", "wrap", "spritz", "fuel", "probe", "note", "photo", "alarm", "stage"]
    text: str
    entry_id: int


@dataclass(frozen=True, slots=True)
class ScoreLevel:
    """Fuel left in the hopper [kg] with its standard deviation, at one moment."""

    at_s: float
    mass_kg: float
    sd_kg: float


@dataclass(frozen=True, slots=True)
class ScoreWeather:
    """What the weather lane says at one moment."""

    at_s: float
    air_c: float | None
    wind_m_s: float | None
    text: str


@dataclass(frozen=True, slots=True)
class Score:
    """All of it. `from_s` to `to_s` is what there is to see; `now_s` None when the cook is over."""

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
