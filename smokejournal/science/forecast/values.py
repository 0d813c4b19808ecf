"""What a forecast is made from and what it says, as plain numbers.

Times are seconds on one scale (UTC, or since the first reading); temperatures in °C. A forecast is a
pure function of what is given: the same record gives the same numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from smokejournal.science.numbers.refusals import PARTS, Parts, refuses

FloatArray = NDArray[np.float64]

#: What the prior beliefs about size, water and skin go by.
Cut = Literal[
    "fish", "poultry_pieces", "poultry_whole", "ribs", "loaf", "shoulder", "brisket", "other"
]
Wrapping = Literal["foil", "paper"]
Standing = Literal[
    "forecast",  # the distribution is in `reach_s`
    "too_early",  # nothing of the meat's course is to be seen yet
    "may_not_reach",  # a good part of the members never gets there at this pit temperature
    "reached",  # the probe is there
    "no_readings",  # the probe or the pit has no recent readings
    "in_air",  # the probe follows the pit: it is not in the meat
]
#: The shares at which remaining times are reported.
SHARES: FloatArray = np.round(np.arange(1, 20) * 0.05, 2)
#: Places in SHARES of the ends of the interval that is told, and of the middle.
LOW, MIDDLE, HIGH = 1, 9, 17
#: A lid that is opened again this soon after the cook said that the meat isn't wrapped is no new reason
#: to ask [s]. It also covers how far the found moment wanders as readings come. Our own judgment.
WRAP_ANSWER_HOLDS_S = 900.0


@dataclass(frozen=True, slots=True)
class SetPoint:
    """The pit was, or will be, set to `pit_c` at `time_s`."""

    time_s: float
    pit_c: float


@dataclass(frozen=True, slots=True)
class Wrapped:
    """Told: wrapped in `material` at `time_s`; None: not wrapped from then on, be it that it was
    unwrapped or that the cook was asked and said so."""

    time_s: float
    material: Wrapping | None


@dataclass(frozen=True, slots=True)
class Leg:
    """What is planned from now on, in order; the first one is under way.

    It is over once the probe is at `until_probe_c`, once `for_s` have passed since it began, or (both
    None) at once. `pit_c`: what the pit is set to (None: as before). `wrap`: wrapped as it begins.
    `resting`: off the pit, in the air of the kitchen, or (`boxed`) in an insulated box.
    """

    pit_c: float | None = None
    until_probe_c: float | None = None
    for_s: float | None = None
    wrap: Wrapping | None = None
    resting: bool = False
    boxed: bool = False


@dataclass(frozen=True, slots=True)
class ProbeCourse:
    """How the lead probe rose in an earlier cook of `cut`: it was first at each of `probe_c` [°C] when
    `since_s` had passed since the meat went in; both rise, (n,). `pit_c`: the pit's mean; `wrap`: what it
    was wrapped in at the end; `mass_kg` and `thickness_m` of one piece, where they were told."""

    cut: Cut
    probe_c: tuple[float, ...]
    since_s: tuple[float, ...]
    pit_c: float
    wrap: Wrapping | None = None
    mass_kg: float | None = None
    thickness_m: float | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """What the readings of one finished cook of `cut` determined, beside the generic prior.

    Each of `directions` is a combination of parameters (`science.forecast.heating_prior`): the sum of its
    weights times how far the cook's parameters lay from the means of its generic prior was the value of
    the same place in `values`, with a standard deviation of 1. `sd`: that prior's spreads, by parameter.
    `course`: how its probe rose.
    """

    cut: Cut
    directions: tuple[Mapping[str, float], ...] = ()
    values: tuple[float, ...] = ()
    sd: Mapping[str, float] = field(default_factory=dict)
    course: ProbeCourse | None = None


@dataclass(frozen=True, slots=True, order=True)
class Fell:
    """Where what came fell in a forecast of an earlier cook of `cut`, made when `way` (0 to 1) was
    behind: `score` is the normal score of the share of the forecast that lay before it."""

    cut: Cut
    way: float
    score: float


@dataclass(frozen=True, slots=True)
class PitPrior:
    """What earlier cooks taught about this pit and cut.

    `shift` (of the generic prior's means) and `covariance`, both in the parameters' own (logarithmic)
    units and in the order of `names`, take the place of the generic ones. `cooks` is how many on this pit
    they rest on, `of_the_cut` how many of this kind of cut. `fell`: how earlier forecasts came out, one
    sequence for each cook. `courses`: how probes rose in earlier cooks of the cut on this pit.
    """

    names: tuple[str, ...] = ()
    shift: tuple[float, ...] = ()
    covariance: tuple[tuple[float, ...], ...] = ()
    cooks: int = 0
    of_the_cut: int = 0
    fell: tuple[tuple[Fell, ...], ...] = ()
    courses: tuple[ProbeCourse, ...] = ()


@dataclass(frozen=True, slots=True)
class CookSoFar:
    """The readings up to `now_s` and what is known beside them.

    `time_s`, `pit_c`, `probe_c`: shape (n,), NaN where a reading is missing; times may be unordered.
    `target_c` is what the lead probe has to reach. `start_s`: when the meat went in (None: found from
    the readings). `legs` may be empty: then the pit stays as set until the target. `check_c`: of another
    probe that is in the same piece for certain, (n,), NaN where missing; None where there is none.
    """

    time_s: FloatArray
    pit_c: FloatArray
    probe_c: FloatArray
    now_s: float
    target_c: float
    cut: Cut = "other"
    mass_kg: float | None = None
    thickness_m: float | None = None
    start_s: float | None = None
    set_points: tuple[SetPoint, ...] = ()
    wraps: tuple[Wrapped, ...] = ()
    legs: tuple[Leg, ...] = ()
    prior: PitPrior | None = None
    check_c: FloatArray | None = None


#: What a cook must be to be forecast. Readings may be missing, out of order and beyond what can be:
#: `meat_record.clean` leaves such out and counts them.
COOK = Parts("time_s pit_c probe_c check_c", time_s=None, pit_c=None, probe_c=None, check_c=None)


@refuses(wraps=PARTS)
def last_told_wrap(wraps: tuple[Wrapped, ...]) -> Wrapped | None:
    """The latest of what was told about wrapping; None where nothing was."""
    return max(wraps, key=lambda wrap: wrap.time_s, default=None)


@dataclass(frozen=True, slots=True)
class Fan:
    """The course to come: `time_s` shape (k,), `probe_c` shape (len(shares), k)."""

    time_s: FloatArray
    probe_c: FloatArray
    shares: tuple[float, ...] = (0.1, 0.25, 0.5, 0.75, 0.9)


@dataclass(frozen=True, slots=True)
class Recalibration:
    """How a forecast is corrected by what came of earlier ones: its normal scores are moved by `bias` and
    spread by `scale`. `cooks`: how many earlier cooks it rests on."""

    bias: float = 0.0
    scale: float = 1.0
    cooks: int = 0


@dataclass(frozen=True, slots=True)
class Forecast:
    """What is to be expected. `remaining_s` has shape (19,), from `now_s` at `SHARES`; inf stands for
    'not within the horizon'. The member arrays have shape (m,), in absolute seconds, and belong
    together: member i reaches, holds and rests in one course.
    """

    standing: Standing
    now_s: float
    remaining_s: FloatArray | None = None
    reach_s: FloatArray | None = None  #: when the target is reached, (m,)
    legs_end_s: FloatArray | None = None  #: when each leg ends, (legs, m)
    peak_c: FloatArray | None = None  #: the highest that the probe comes to after it is taken off
    fan: Fan | None = None
    #: Codes of what was noticed: "moved", "wrap_untold", "offset", "far_from_any_prior", "check_unused", …
    noticed: tuple[str, ...] = ()
    #: When it seems to have been wrapped without a word ("wrap_untold"); what is forecast rests on it.
    untold_wrap_s: float | None = None
    #: What the readings determined; None where the prior was not the generic one.
    found: Finding | None = None
    #: How long earlier cooks took from where this one is now, toward which it was drawn: shortest first, (k,).
    courses_s: tuple[float, ...] = ()
    #: What earlier forecasts changed of this one.
    recalibration: Recalibration | None = None
    #: How well the fitted course follows the lead probe's readings, root mean square, K.
    residual_k: float | None = None
    #: Whether the check probe's readings were used as well.
    check_used: bool = False
