"""How long the steps of a plan last, as draws, each with what it is taken from.

In this order: what the cook says, the cook's own earlier cooks of the like, the forecast's physics, a
stated rule. A rule that rests on a publication names it; the others are common practice, no source, and
say so beside the step.
"""

from __future__ import annotations

import math
import re
import zlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

import numpy as np

from smokejournal.cook.forecast.intervals import TimeInterval, span_of
from smokejournal.cook.fuel.course import WARM_UP_S
from smokejournal.cook.log.entries import ItemAdded, PrepSort, PrepStep
from smokejournal.cook.log.readings import FloatArray
from smokejournal.cook.log.schedule import ForTime, Stage, UntilClock, UntilSaid
from smokejournal.cook.log.stage_meaning import warms_up
from smokejournal.cook.plan.plan import piece_kg
from smokejournal.cook.plan.schedule_sketch import known_length_s
from smokejournal.cook.text.translate import translate
from smokejournal.cook.timetable.timetable import Source, StepKind
from smokejournal.science.numbers.units import KG_PER_LB

#: So many courses are drawn where the forecast brings none of its own.
DRAWS: Final = 200
#: Where more of the courses than this never end as far as the forecast looks, it tells no duration.
MOST_BEYOND: Final = 0.2
MIN_S: Final = 60.0
HOUR_S: Final = 3600.0
DAY_S: Final = 86400.0
#: With 10, 50 and 90 %: common practice, no source.
WARM_UP: Final = TimeInterval(20 * MIN_S, WARM_UP_S, 45 * MIN_S)
RINSE: Final = TimeInterval(5 * MIN_S, 10 * MIN_S, 15 * MIN_S)
RUB: Final = TimeInterval(10 * MIN_S, 15 * MIN_S, 25 * MIN_S)
#: As the cook likes, between the outer two: common practice, no source.
DRY: Final = TimeInterval(4 * HOUR_S, 8 * HOUR_S, 24 * HOUR_S)
DRY_SALT: Final = TimeInterval(8 * HOUR_S, 12 * HOUR_S, 24 * HOUR_S)
#: USDA FSIS, "The Big Thaw – Safe Defrosting Methods": at least 24 hours in the refrigerator for every
#: 5 lb of a large piece, a full day for a small one. 4 lb is what the turkey pages of FSIS say as well
#: ("24 hours for every 4 to 5 pounds").
THAW_S_PER_KG: Final = (DAY_S / (5 * KG_PER_LB), DAY_S / (4 * KG_PER_LB))
#: From the same: thawed in the refrigerator, ground meat, poultry and fish keep "an additional day or
#: two", cuts of red meat 3 to 5 days. The shorter of each.
KEEPS_S: Final = DAY_S
RED_MEAT_KEEPS_S: Final = 3 * DAY_S

_SORTS: Final[tuple[tuple[PrepSort, str], ...]] = (
    ("thaw", r"thaw(?:s|ed|ing)?|defrost(?:s|ed|ing)?"),
    ("dry_salt", r"dry[ -]?(?:brin\w*|salt\w*)|salted|salting"),
    ("rinse", r"rins\w*"),
    ("dry", r"dry|dries|drying|air[ -]?dry|pellicle"),
    ("brine", r"brin\w*|cures?|cured|curing"),
    ("rub", r"rub(?:s|bed)?|season(?:s|ed|ing)?"),
)
_Z90: Final = 1.2815515655446004


@dataclass(frozen=True, slots=True)
class Duration:
    """How long one step lasts: `draws_s` shape (m,), None where that isn't known (`why` in words).

    Between `least_s` and `longest_s`, where they are given, the cook may choose; `draws_s` is then what
    is planned. `cooks` is how many earlier cooks speak.
    """

    draws_s: FloatArray | None = None
    source: Source = "unknown"
    cooks: int = 0
    why: str = ""
    least_s: float | None = None
    longest_s: float | None = None

    def after(self, gone_s: float) -> Duration:
        """What is left of it once so much is gone."""
        if self.draws_s is None:
            return self
        longest_s = None if self.longest_s is None else max(0.0, self.longest_s - gone_s)
        left_s = np.maximum(self.draws_s - gone_s, 0.0)
        return replace(self, draws_s=left_s, least_s=None, longest_s=longest_s)

    @property
    def span(self) -> TimeInterval | None:
        """With 10, 50 and 90 %; of a free choice its ends and what is planned."""
        if self.draws_s is None:
            return None
        span = span_of(self.draws_s)
        if self.source != "rule":
            return span
        low = span.low if self.least_s is None else min(span.low, self.least_s)
        high = span.high if self.longest_s is None else max(span.high, self.longest_s)
        return TimeInterval(low, span.mid, high) if self.least_s is not None else span


@dataclass(frozen=True, slots=True)
class LengthAsked:
    """What earlier cooks are asked: the length of a step of this kind, for this piece and these
    temperatures [°C]. `name` and `sort` are the step's own; `item` None: for all of them."""

    kind: StepKind
    name: str
    sort: PrepSort = ""
    item: ItemAdded | None = None
    pit_c: float | None = None
    target_c: float | None = None


@dataclass(frozen=True, slots=True)
class FromEarlier:
    """What they answer: draws [s], shape (count,), and how many cooks speak."""

    draws_s: FloatArray
    cooks: int

    @property
    def duration(self) -> Duration:
        """The duration of a step that goes by them."""
        return Duration(as_many(self.draws_s), "earlier", self.cooks)


#: Asked with what physics says (shape (m,), None: nothing) and how many draws are wanted; None where
#: earlier cooks tell nothing.
AskEarlier: TypeAlias = Callable[[LengthAsked, FloatArray | None, int], FromEarlier | None]


def nothing_earlier(
    asked: LengthAsked,  # noqa: ARG001 - stands for one that reads them
    physics_s: FloatArray | None,  # noqa: ARG001
    count: int,  # noqa: ARG001
) -> FromEarlier | None:
    """Where there are no earlier cooks."""
    return None


def constant(length_s: float) -> FloatArray:
    """Draws of what doesn't vary."""
    return np.full(DRAWS, float(length_s))


def said(length_s: float, longest_s: float | None = None) -> Duration:
    """What the cook said [s]; `longest_s` is how long it may last without harm."""
    longer = longest_s if longest_s is not None and longest_s > length_s else None
    return Duration(constant(length_s), "said", longest_s=longer)


def unknown(why: str) -> Duration:
    """Not known, for this reason."""
    return Duration(why=why)


def between(span: TimeInterval, key: str) -> FloatArray:
    """Draws whose 10, 50 and 90 % are those of `span`: normal in the logarithm on either side.

    Evenly spread over the distribution and shuffled by the key, so that the same step is drawn the
    same way every time and two steps independently of each other.
    """
    from statistics import NormalDist

    z = np.array([NormalDist().inv_cdf((n + 0.5) / DRAWS) for n in range(DRAWS)])
    low, mid, high = (math.log(value) for value in (span.low, span.mid, span.high))
    draws: FloatArray = np.exp(mid + z * np.where(z < 0.0, mid - low, high - mid) / _Z90)
    return np.random.default_rng(zlib.crc32(key.encode())).permutation(draws)


def within(draws_s: FloatArray) -> FloatArray | None:
    """Draws whose few that never end count as the longest that does; None where they are many."""
    finite = np.isfinite(draws_s)
    if not finite.any() or float(np.mean(~finite)) > MOST_BEYOND:
        return None
    found: FloatArray = np.where(finite, draws_s, np.max(draws_s[finite]))
    return np.maximum(found, 0.0)


def as_many(draws_s: FloatArray) -> FloatArray:
    """As many draws as all have, evenly out of these."""
    if draws_s.size == DRAWS:
        return draws_s
    at = np.arange(DRAWS) * draws_s.size // DRAWS if draws_s.size > DRAWS else np.arange(DRAWS)
    found: FloatArray = draws_s[at % draws_s.size]
    return found


# -- prep ----------------------------------------------------------------------------------------


def sort_of(step: PrepStep) -> PrepSort:
    """What sort of step it is: as it was said, else by its name."""
    if step.sort:
        return step.sort
    name = step.step.casefold()
    for sort, words in _SORTS:
        if re.search(rf"\b(?:{words})\b", name):
            return sort
    return ""


def prep_duration(
    step: PrepStep,
    intended_s: float | None,
    item: ItemAdded | None,
    key: str,
    earlier: AskEarlier = nothing_earlier,
) -> Duration:
    """How long a step of the prep lasts. `item` is the heaviest piece that it is for.

    `intended_s` is what was said, with what it was given on top.
    """
    if intended_s is None and step.brine is not None:
        intended_s = step.brine.soak_s
    if intended_s is not None:
        return said(intended_s, step.longest_s)
    sort = sort_of(step)
    told = earlier(LengthAsked("prep", step.step, sort, item), None, DRAWS)
    if told is not None:
        return replace(told.duration, longest_s=_longer(told, step.longest_s))
    no_source = translate(
        "Durations", "A rule: common practice, no source. Say how long if you know."
    )
    match sort:
        case "rinse" | "rub":
            span = RINSE if sort == "rinse" else RUB
            return Duration(between(span, key), "rule", why=no_source)
        case "dry" | "dry_salt":
            span = DRY if sort == "dry" else DRY_SALT
            longest_s = span.high if step.longest_s is None else step.longest_s
            planned_s = min(span.mid, longest_s)
            return Duration(
                constant(planned_s),
                "rule",
                why=no_source,
                least_s=min(span.low, planned_s),
                longest_s=longest_s,
            )
        case "thaw":
            return _thaw(step, item, key)
        case "brine":
            return unknown(
                translate(
                    "Durations", "Nobody said how long it brines. Work it out, or give it a time."
                )
            )
        case _:
            return unknown(translate("Durations", "Nobody said how long it takes. Give it a time."))


def _thaw(step: PrepStep, item: ItemAdded | None, key: str) -> Duration:
    mass_kg = None if item is None else piece_kg(item)
    if item is None or mass_kg is None:
        return unknown(
            translate("Durations", "How long it thaws depends on its mass. Write down the mass.")
        )
    low_s, high_s = (max(DAY_S, rate * mass_kg) for rate in THAW_S_PER_KG)
    keeps_s = RED_MEAT_KEEPS_S if item.food == "red_meat" else KEEPS_S
    draws_s = between(TimeInterval(low_s, math.sqrt(low_s * high_s), high_s), key)
    return Duration(
        draws_s,
        "rule",
        why=translate(
            "Durations",
            "A rule: in the refrigerator, 24 hours for every 4 to 5 lb, a day at least (USDA FSIS).",
        ),
        longest_s=high_s + keeps_s if step.longest_s is None else step.longest_s,
    )


def _longer(told: FromEarlier, longest_s: float | None) -> float | None:
    if longest_s is None or not told.draws_s.size:
        return None
    return longest_s if longest_s > float(np.max(told.draws_s)) else None


# -- stages --------------------------------------------------------------------------------------


def warm_up_duration(
    stage_name: str, pit_c: float | None, earlier: AskEarlier = nothing_earlier
) -> Duration:
    """How long the pit takes to come up."""
    told = earlier(LengthAsked("warm_up", stage_name, pit_c=pit_c), None, DRAWS)
    if told is not None:
        return told.duration
    why = translate("Durations", "A rule: common practice, no source.")
    return Duration(between(WARM_UP, "warm"), "rule", why=why)


def stage_duration(
    stage: Stage,
    physics_s: FloatArray | None,
    asked: LengthAsked,
    earlier: AskEarlier = nothing_earlier,
    rest_s: float | None = None,
) -> Duration:
    """How long a stage of the schedule lasts, the meat on or resting.

    `physics_s` are the forecast's draws of it; `rest_s` is what was said of the rest of this dish,
    which counts where the stage itself ends only on a word.
    """
    if warms_up(stage):
        return warm_up_duration(stage.name, stage.pit_target_c, earlier)
    known_s = known_length_s(replace(stage, ending="by_itself"))
    if known_s is not None:
        return said(known_s)
    if all(isinstance(rule, UntilSaid) for rule in stage.rules):
        return _by_word(stage, asked, earlier, rest_s)
    if all(isinstance(rule, UntilClock) for rule in stage.rules):
        return Duration(constant(0.0), "said")
    if physics_s is not None:
        physics_s = within(as_many(physics_s))
        if physics_s is not None and np.ptp(physics_s) < 1.0 and _timed(stage):
            return said(float(physics_s[0]))
    told = earlier(asked, physics_s, DRAWS)
    if told is not None:
        return told.duration
    if physics_s is not None:
        return Duration(physics_s, "physics")
    return _longest(stage) or unknown(
        translate("Durations", "Nothing says how long “{stage}” takes. Give it a time.").format(
            stage=stage.name
        )
    )


def _timed(stage: Stage) -> bool:
    return any(isinstance(rule, ForTime) and rule.at_least_c is None for rule in stage.rules)


def _by_word(
    stage: Stage, asked: LengthAsked, earlier: AskEarlier, rest_s: float | None
) -> Duration:
    if asked.kind == "rest" and rest_s is not None:
        return said(rest_s)
    told = earlier(asked, None, DRAWS)
    if told is not None:
        return told.duration
    if stage.pit_target_c is None and asked.kind != "rest":
        return Duration(
            constant(0.0),
            "rule",
            why=translate("Durations", "It ends when you confirm; assumed right away."),
        )
    return _longest(stage) or unknown(
        translate("Durations", "“{stage}” ends when you confirm. Give it a longest time.").format(
            stage=stage.name
        )
    )


def _longest(stage: Stage) -> Duration | None:
    if stage.guard_s is None:
        return None
    why = translate("Durations", "Its longest time is used, since nothing else says when it ends.")
    return Duration(constant(stage.guard_s), "rule", why=why)


# -- dishes --------------------------------------------------------------------------------------


def dish_duration(
    item: ItemAdded,
    pit_c: float | None,
    physics_s: FloatArray | None,
    earlier: AskEarlier = nothing_earlier,
) -> Duration:
    """How long a dish is on the pit that no schedule follows."""
    if item.takes_s is not None:
        return said(item.takes_s)
    beyond = False
    if physics_s is not None:
        physics_s = within(as_many(physics_s))
        beyond = physics_s is None
    asked = LengthAsked("dish", item.name, "", item, pit_c, item.target_c)
    told = earlier(asked, physics_s, DRAWS)
    if told is not None:
        return told.duration
    if physics_s is not None:
        return Duration(physics_s, "physics")
    if beyond:
        return unknown(
            translate("Durations", "It may never get to its target at this pit. Set it hotter.")
        )
    if item.target_c is not None:
        return unknown(
            translate(
                "Durations", "It has no pit temperature yet. Give one, or say how long it takes."
            )
        )
    return unknown(
        translate("Durations", "Nobody said how long it takes. Give it a time or a target.")
    )
