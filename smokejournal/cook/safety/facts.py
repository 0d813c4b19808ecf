"""Facts of food safety: what they may be, and the published figures that they stand beside.

Temperatures °C, times s. Of several probes the one counts that is furthest from what is asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal

from smokejournal.cook.log.entries import SafetyTable
from smokejournal.cook.safety.cautions import SafeMinimum
from smokejournal.cook.safety.probes import FoodProbe, OffBy
from smokejournal.science.numbers.units import c_from_f

State = Literal["met", "not_yet", "over", "unknown", "idle"]
Why = Literal[
    "",
    "not_begun",
    "which_probes",
    "no_probe",
    "no_table",
    "began_warm",
    "began_above",
    "gaps",
    "no_minimum",
    "not_out",
    "not_away",
    "not_measured",
]
#: States, the worst first.
ORDER: tuple[State, ...] = ("over", "unknown", "not_yet", "met", "idle")

COME_UP_C = (c_from_f(50.0), c_from_f(130.0))
"""FSIS-GD-2021-14, page 24: no more than six hours between these while it heats."""
COME_UP_S = 6 * 3600.0

ZONE_C = (c_from_f(40.0), c_from_f(140.0))
"""USDA FSIS, Danger Zone: no more than 2 h out of refrigeration, 1 h where the air is above 90 °F."""
OUT_S = 2 * 3600.0
OUT_HOT_S = 3600.0

HOT_HOLD_C = c_from_f(145.0)
"""Hot-smoked fish: throughout, for half an hour. Code of Maine Rules ch. 359, 2.C (state rules carry
the figures of the US fish guidance)."""
HOT_HOLD_S = 1800.0

COOLING_C = (c_from_f(135.0), c_from_f(70.0), c_from_f(41.0))
"""FDA Food Code 3-501.14(A), from 2005 on: 135 to 70 °F within 2 h, to 41 °F within 6 h in all."""
COOLING_S = (2 * 3600.0, 6 * 3600.0)


@dataclass(frozen=True, slots=True)
class CookTimes:
    """Now, and when the cook was begun and closed. `hot`: the air was seen above 90 °F; `assigned`: it

    is known which probes are in the food.
    """

    now_s: float
    started_s: float | None
    closed_s: float | None
    hot: bool = False
    assigned: bool = True


@dataclass(frozen=True, slots=True)
class Lethality:
    """Log10 reductions in the coldest part against `target_log`.

    `channel` is the probe with the fewest, `by_channel` what each has. `off_c` is how far that probe
    may be off, which was taken off, and `off_by` how it is known. `gaps` and `gap_s` count what was
    not credited for it.
    """

    state: State
    why: Why = ""
    table: SafetyTable = ""
    target_log: float | None = None
    log: float | None = None
    lowest_c: float | None = None
    highest_c: float | None = None
    reached_at_s: float | None = None
    channel: str = ""
    by_channel: tuple[tuple[str, float], ...] = ()
    off_c: float = 0.0
    off_by: OffBy = "assumed"
    gaps: int = 0
    gap_s: float = 0.0
    moved_s: float | None = None
    by_hand: bool = False
    reached_s: tuple[tuple[str, float], ...] = field(default=(), repr=False)


@dataclass(frozen=True, slots=True)
class ComeUp:
    """How long the slowest probe took between 10 and 54.4 °C: `used_s` as measured, `at_most_s` with
    what was not measured (None: no bound is known)."""

    state: State
    why: Why = ""
    used_s: float | None = None
    at_most_s: float | None = None
    through_at_s: float | None = None
    channel: str = ""


@dataclass(frozen=True, slots=True)
class Zone:
    """Time from 4.4 to 60 °C since the refrigerator, in three parts.

    `before_s` before the fire, `heating_s` until the coldest probe was above, `after_s` since it was
    below again, until it was put away. None: not known. `all_above`: all of it was above once.
    """

    state: State
    why: Why = ""
    limit_s: float = OUT_S
    out_at_s: float | None = None
    before_s: float | None = None
    heating_s: float | None = None
    after_s: float | None = None
    away_at_s: float | None = None
    all_above: bool = False


@dataclass(frozen=True, slots=True)
class HotHold:
    """The longest unbroken time at 62.8 °C of the probe that has the shortest."""

    state: State
    why: Why = ""
    longest_s: float = 0.0
    running_s: float = 0.0
    reached_at_s: float | None = None
    channel: str = ""
    probes: int = 0


@dataclass(frozen=True, slots=True)
class Minimum:
    """The published least temperature inside and the rest after it."""

    state: State
    why: Why = ""
    least: SafeMinimum | None = None
    reached_at_s: float | None = None
    held_s: float = 0.0
    highest_c: float | None = None
    channel: str = ""
    probes: int = 0


@dataclass(frozen=True, slots=True)
class Cooling:
    """Leftovers: from 57 to 21 °C, `first_s` long, and to 5 °C, `second_s` from the beginning.

    `began_s` is when it fell below 57 °C; `last_c` and `last_s` the last reading.
    """

    state: State
    why: Why = ""
    began_s: float | None = None
    first_s: float | None = None
    second_s: float | None = None
    first: State = "idle"
    second: State = "idle"
    last_c: float | None = None
    last_s: float | None = None
    channel: str = ""


def missing(probes: Sequence[FoodProbe], clock: CookTimes) -> Why:
    """Why nothing can be said at all; "" where something can."""
    if clock.started_s is None:
        return "not_begun"
    if not clock.assigned:
        return "which_probes"
    return "" if probes else "no_probe"


def worst(found: Iterable[tuple[State, float, int]]) -> int:
    """The number of the worst of (state, badness, number)."""
    return min(found, key=lambda f: (ORDER.index(f[0]), -f[1], f[2]))[2]
