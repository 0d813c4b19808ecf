"""Entries: what was said in a cook's log. Written once, never altered.

Each kind is a frozen dataclass with a `kind` that names it in the journal file. What a field may hold
is said on it (`text.strict`); what several fields must be to each other, and the written form, are in
`codec.entries`; which entries still hold after strikes is in `cook_log`.
Masses are kg, lengths m, temperatures °C, speeds m/s, pressures hPa, times UTC seconds.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any, ClassVar, Literal, TypeAlias

from smokejournal.cook.log.brine_request import BrineAsked
from smokejournal.cook.log.ranges import (
    LAST_S,
    Chance,
    Duration,
    DurationAbove0,
    KeptId,
    Mass,
    MassOrNoneLeft,
    Moment,
    Money,
    Percent,
    Thickness,
)
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import IN_FULL, EachOnce, Filled, Name, Range, Zone
from smokejournal.cook.text.translate import translate
from smokejournal.science.forecast.values import Cut
from smokejournal.science.safety.lethality import D_RANGE_S, TEMPERATURE_RANGE_C, Z_RANGE_K

WareSort = Literal["salt", "wood", "rub"]

FoodClass = Literal["red_meat", "poultry", "ground", "fish", "ham", "other"]
MassStage = Literal["raw", "prepared", "cooked", "served"]
FuelMeasure = Literal["mass", "bags", "fraction"]
Sky = Literal["clear", "few", "scattered", "broken", "overcast", "fog"]
Precipitation = Literal["none", "drizzle", "rain", "snow", "sleet", "hail"]
Exposure = Literal["sun", "shade", "dark"]
WrapMaterial = Literal["foil", "paper", "leaves", "pan", "none"]
PrepSort = Literal["", "thaw", "brine", "dry_salt", "rinse", "dry", "rub", "other"]
ForecastStanding = Literal["forecast", "may_not_reach", "reached"]
TimePartName = Literal[
    "start", "size", "pit", "lids", "set_point", "wrap", "held", "baseline", "unexplained"
]
SafetyTable = Literal["", "meat_6.5", "meat_7", "chicken", "turkey", "poultry", "fish", "own"]

#: A probe that may be further off than this is no probe to go by.
MAX_UNCERTAINTY_C = 20.0
MAX_TARGET_LOG = 20.0

_Cooking: TypeAlias = Annotated[float, Range(-60, 500, "°C")]
_Air: TypeAlias = Annotated[float, Range(-90, 65, "°C")]
_Lethal: TypeAlias = Annotated[float, Range(*TEMPERATURE_RANGE_C, "°C")]


def _hash(value: str) -> str:
    if not re.fullmatch("[0-9a-f]{64}", value):
        raise SchemaProblem(
            "", translate("EntryCodec", "Give a hash of 64 small hexadecimal digits.")
        )
    return value


def _suffix(value: str) -> str:
    if not re.fullmatch(r"\.[a-z0-9]{1,8}", value):
        raise SchemaProblem(
            "", translate("EntryCodec", "Give the ending of a file's name, as in .jpg.")
        )
    return value


@dataclass(frozen=True, slots=True)
class CookOpened:
    """A cook was begun on paper. Its first entry; `simulated` marks practice and demo for ever.

    `again_of` is the cook of this journal that it was planned from.
    """

    kind: ClassVar[str] = "cook_opened"
    title: Name
    zone: Zone
    simulated: bool = False
    place: str = ""
    hopper_kg: Mass | None = None
    ready_at_s: Moment | None = None
    again_of: KeptId | None = None


@dataclass(frozen=True, slots=True)
class CookRenamed:
    """The cook's title, or when it is wanted at the table, is now this.

    `place` None leaves the place as it was, `margin_s` None the cook's own margin: how long before it
    is wanted everything is to be ready.
    """

    kind: ClassVar[str] = "cook_renamed"
    title: Name
    ready_at_s: Moment | None = None
    place: str | None = None
    margin_s: Duration | None = None


@dataclass(frozen=True, slots=True)
class ItemAdded:
    """One piece or batch on the grate; `mass_kg` is of all its pieces together.

    What is said of it as a dish of its own, each None where nothing is: `channel` is the probe in it,
    `target_c` what that is to reach, `pit_c` what the pit is to be at, `takes_s` how long it is on the
    pit, `rest_s` how long it rests then, `hold_s` how long it can be held hot after that, and
    `ready_at_s` when it is wanted (None: when all is). `key` stays the same through every edit ("":
    `item_key`).
    """

    kind: ClassVar[str] = "item"
    name: Name
    food: FoodClass = "other"
    label: str = ""
    mass_kg: Mass | None = None
    thickness_m: Thickness | None = None
    pieces: Annotated[int, Range(1, 100_000)] = 1
    bought_at: str = ""
    price: Money | None = None
    currency: str = ""
    channel: str = ""
    target_c: _Cooking | None = None
    pit_c: _Cooking | None = None
    takes_s: DurationAbove0 | None = None
    rest_s: Duration | None = None
    hold_s: Duration | None = None
    ready_at_s: Moment | None = None
    key: str = ""


@dataclass(frozen=True, slots=True)
class PrepStep:
    """Something done before the fire: brine, rinse, dry, rub. `duration_s` where it is known.

    `brine` is what was asked of a brine or cure that was worked out, so that it can be opened again.
    `key` stays the same through every edit and names the step in the log ("": `plan.step_key`). `sort`
    "" is nothing said, `item` the name of the food that it is for ("": all), `longest_s` how long it
    may last without harm.
    """

    kind: ClassVar[str] = "prep_step"
    step: Name
    text: str = ""
    duration_s: Duration | None = None
    brine: BrineAsked | None = None
    key: str = ""
    sort: PrepSort = ""
    item: str = ""
    longest_s: DurationAbove0 | None = None


@dataclass(frozen=True, slots=True)
class StepBegun:
    """The cook began this step of the prep."""

    kind: ClassVar[str] = "step_begun"
    step: Filled


@dataclass(frozen=True, slots=True)
class StepEnded:
    """This step of the prep is over. One that was never begun is taken as done at this moment."""

    kind: ClassVar[str] = "step_ended"
    step: Filled


@dataclass(frozen=True, slots=True)
class StepExtended:
    """This step of the prep gets `by_s` more."""

    kind: ClassVar[str] = "step_extended"
    step: Filled
    by_s: DurationAbove0


@dataclass(frozen=True, slots=True)
class StepSkipped:
    """The cook passes over this step of the prep."""

    kind: ClassVar[str] = "step_skipped"
    step: Filled


@dataclass(frozen=True, slots=True)
class TimesKept:
    """When the cook means to begin what (UTC seconds by key, `counted.py`); the latest holds.

    `late` is the chance (0 to 1) of being late that was told then; None: none could be.
    """

    kind: ClassVar[str] = "times_kept"
    starts: Mapping[str, Moment]
    ready_at_s: Moment
    late: Chance | None = None


@dataclass(frozen=True, slots=True)
class ChannelSet:
    """A channel is there, or is described again (name, place, correction)."""

    kind: ClassVar[str] = "channel"
    channel: Channel


@dataclass(frozen=True, slots=True)
class LeadSet:
    """Which channel leads the schedule, and which one checks it."""

    kind: ClassVar[str] = "lead"
    lead: Filled
    check: Filled | None = None


@dataclass(frozen=True, slots=True)
class ScheduleSet:
    """The schedule from now on. Stages keep their keys, so what is over stays over."""

    kind: ClassVar[str] = "schedule"
    schedule: Annotated[Schedule, IN_FULL]


@dataclass(frozen=True, slots=True)
class ScheduleStarted:
    """The first stage begins."""

    kind: ClassVar[str] = "started"


@dataclass(frozen=True, slots=True)
class StageConfirmed:
    """The cook says that this stage is over."""

    kind: ClassVar[str] = "stage_confirmed"
    stage: Filled


@dataclass(frozen=True, slots=True)
class StageSkipped:
    """The cook passes over this stage."""

    kind: ClassVar[str] = "stage_skipped"
    stage: Filled


@dataclass(frozen=True, slots=True)
class StageExtended:
    """This stage gets `by_s` more."""

    kind: ClassVar[str] = "stage_extended"
    stage: Filled
    by_s: DurationAbove0


@dataclass(frozen=True, slots=True)
class StagePutBack:
    """Back to this stage. It runs afresh and then ends only on the cook's word."""

    kind: ClassVar[str] = "stage_put_back"
    stage: Filled


@dataclass(frozen=True, slots=True)
class Lid:
    """The lid went up or down."""

    kind: ClassVar[str] = "lid"
    open: bool


@dataclass(frozen=True, slots=True)
class Wrap:
    """Wrapped in something, or not wrapped ("none"): taken out of it, or never in it."""

    kind: ClassVar[str] = "wrap"
    material: WrapMaterial = "foil"
    item: str = ""


@dataclass(frozen=True, slots=True)
class Spritz:
    """Sprayed or mopped."""

    kind: ClassVar[str] = "spritz"
    liquid: str = ""


@dataclass(frozen=True, slots=True)
class ProbeMoved:
    """A probe was moved or put back; what it says from now on is to be trusted again."""

    kind: ClassVar[str] = "probe_moved"
    channel: Filled
    place: str = ""


@dataclass(frozen=True, slots=True)
class Refrigerator:
    """Food came out of the refrigerator, or was put into it. `item` empty: all of it."""

    kind: ClassVar[str] = "refrigerator"
    out: bool
    item: str = ""


@dataclass(frozen=True, slots=True)
class SafetySet:
    """What one kind of food is set against from the beginning of the cook. The latest holds.

    `table` "" is the one that holds for this food without a choice; "own" goes by D [s] at
    `reference_c`, z [K], from where to where they hold and how many log10 reductions are wanted.
    `probes` are the channels in this food (none: all in meat), `uncertainty_c` how far they may be off
    where none is known of them (None: not known either).
    """

    kind: ClassVar[str] = "safety"
    food: FoodClass
    table: SafetyTable = ""
    fat_pct: Percent | None = None
    probes: Annotated[tuple[Filled, ...], EachOnce()] = ()
    uncertainty_c: Annotated[float, Range(0, MAX_UNCERTAINTY_C, "K")] | None = None
    d_s: Annotated[float, Range(*D_RANGE_S, "s")] | None = None
    z_k: Annotated[float, Range(*Z_RANGE_K, "K")] | None = None
    reference_c: _Lethal | None = None
    from_c: _Lethal | None = None
    to_c: _Lethal | None = None
    target_log: Annotated[float, Range(0, MAX_TARGET_LOG, above=True)] | None = None


@dataclass(frozen=True, slots=True)
class FuelAdded:
    """Fuel went on top of what lies in the hopper. `mass_sd_kg` is how sure the mass is."""

    kind: ClassVar[str] = "fuel_added"
    lot: str
    mass_kg: Mass
    mass_sd_kg: MassOrNoneLeft
    measured: FuelMeasure = "mass"
    price_per_kg: Money | None = None
    currency: str = ""


@dataclass(frozen=True, slots=True)
class FuelLevel:
    """What lies in the hopper, as read. Exactly nothing (no uncertainty either) is 'emptied'."""

    kind: ClassVar[str] = "fuel_level"
    mass_kg: MassOrNoneLeft
    mass_sd_kg: MassOrNoneLeft
    as_percent: Percent | None = None

    @property
    def emptied(self) -> bool:
        """Whether the cook took the rest out; a level near nothing that was read is no such thing."""
        return self.mass_kg == 0.0 and self.mass_sd_kg == 0.0


@dataclass(frozen=True, slots=True)
class StoreUsed:
    """Something of the stores was used: a salt, a wood or a rub, by its name there.

    By mass or by pieces; neither: some, nobody knows how much.
    """

    kind: ClassVar[str] = "store_used"
    sort: WareSort
    name: Filled
    mass_kg: Mass | None = None
    count: Annotated[float, Range(0, 100_000, above=True)] | None = None


@dataclass(frozen=True, slots=True)
class WeatherObserved:
    """The weather at the pit. What was not seen is None.

    `pressure_hpa` is that of the air where the pit stands, `sea_level_hpa` what a weather report
    reduces to the sea. `report` is the text of the report that it was read from, where it was;
    `fetched_from` the machine that the program fetched it from by itself, empty where a person gave it.
    """

    kind: ClassVar[str] = "weather"
    sky: Sky | None = None
    air_c: _Air | None = None
    humidity_pct: Percent | None = None
    wind_m_s: Annotated[float, Range(0, 120, "m/s")] | None = None
    gust_m_s: Annotated[float, Range(0, 150, "m/s")] | None = None
    pressure_hpa: Annotated[float, Range(450, 1100, "hPa")] | None = None
    precipitation: Precipitation | None = None
    exposure: Exposure | None = None
    high_c: _Air | None = None
    sea_level_hpa: Annotated[float, Range(850, 1100, "hPa")] | None = None
    report: str = ""
    fetched_from: str = ""


@dataclass(frozen=True, slots=True)
class Note:
    """Anything worth writing down."""

    kind: ClassVar[str] = "note"
    text: Filled


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture, kept in the journal's folder under its hash."""

    kind: ClassVar[str] = "photo"
    sha256: Annotated[str, _hash]
    suffix: Annotated[str, _suffix]
    caption: str = ""


@dataclass(frozen=True, slots=True)
class AlarmRaised:
    """The program called the cook. `key` is what it is about; `text` is what it said."""

    kind: ClassVar[str] = "alarm_raised"
    key: Filled
    text: Filled


@dataclass(frozen=True, slots=True)
class AlarmAcknowledged:
    """The cook answered. With `snooze_s` the call comes again after that, if it still holds."""

    kind: ClassVar[str] = "alarm_acknowledged"
    key: Filled
    snooze_s: DurationAbove0 | None = None


@dataclass(frozen=True, slots=True)
class ClockSet:
    """The machine's clock was set, and is now `ahead_s` ahead of the log's times (below 0: behind).

    The log's times are never bent by it: they go on as they began.
    """

    kind: ClassVar[str] = "clock_set"
    ahead_s: Annotated[float, Range(-LAST_S, LAST_S, "s")]


@dataclass(frozen=True, slots=True)
class Tasted:
    """How it tasted: free text and marks 1 to 5 on scales of our own (`tasting.SCALES`).

    `faults` are keys of `summary.faults`; one that this version doesn't know is kept.
    """

    kind: ClassVar[str] = "tasted"
    text: str = ""
    marks: Mapping[str, Annotated[int, Range(1, 5)]] = field(default_factory=dict)
    taster: str = ""
    faults: tuple[Filled, ...] = ()


@dataclass(frozen=True, slots=True)
class Weighed:
    """A mass at one stage of the way from shop to plate."""

    kind: ClassVar[str] = "weighed"
    stage: MassStage
    mass_kg: Mass
    item: str = ""


@dataclass(frozen=True, slots=True)
class Served:
    """For how many it was, and what all but food and pellets cost; a later one replaces it."""

    kind: ClassVar[str] = "served"
    servings: Annotated[int, Range(1, 10_000)]
    rest_cost: Money | None = None
    currency: str = ""


@dataclass(frozen=True, slots=True)
class NextTime:
    """What to do otherwise next time."""

    kind: ClassVar[str] = "next_time"
    text: Filled


@dataclass(frozen=True, slots=True)
class ReadingsStruck:
    """Readings of a channel from `from_s` to `to_s` (both included) do not count."""

    kind: ClassVar[str] = "readings_struck"
    channel: Filled
    from_s: Moment
    to_s: Moment
    reason: str = ""


@dataclass(frozen=True, slots=True)
class ForecastMade:
    """When `channel` was expected to be at `target_c`, from what was known at the entry's moment.

    `low_s`, `mid_s` and `high_s` are the moments by which it was to be there with a chance of 10, 50
    and 90 %. None: later than the forecast looked. Kept so that it can be set against what came.
    """

    kind: ClassVar[str] = "forecast_made"
    channel: Filled
    target_c: _Cooking
    standing: ForecastStanding = "forecast"
    low_s: Moment | None = None
    mid_s: Moment | None = None
    high_s: Moment | None = None


@dataclass(frozen=True, slots=True)
class FuelForeseen:
    """Until when the fuel was expected to last, from what was known at the entry's moment.

    `low_s`, `mid_s` and `high_s` are the moments by which the hopper is empty with a chance of 10, 50
    and 90 %. `runs_out` is the chance (0 to 1) that this comes before the food is off the pit, and
    `off_s` when that is with a chance of 50 %; None: not known, or later than the forecast looked.
    """

    kind: ClassVar[str] = "fuel_foreseen"
    low_s: Moment
    mid_s: Moment
    high_s: Moment
    runs_out: Chance | None = None
    off_s: Moment | None = None


@dataclass(frozen=True, slots=True)
class ForecastOutcome:
    """Where what came fell in a forecast made when `way` of the way was behind: `score` is the normal
    score of the share of that forecast that lay before it (`science.forecast.recalibration`)."""

    way: Chance
    score: Annotated[float, Range(-1e4, 1e4)]


@dataclass(frozen=True, slots=True)
class SeenDirection:
    """A combination of parameters that readings determined: the sum of `weights` times how far each
    lay from what is usual was `value`, to within 1 (`science.forecast.heating_learned`)."""

    weights: Mapping[str, Annotated[float, Range(-1e9, 1e9)]]
    value: Annotated[float, Range(-1e9, 1e9)]


@dataclass(frozen=True, slots=True)
class SeenCourse:
    """How the lead probe rose: it was first at each of `probe_c` when `since_s` had passed since the meat
    went in. `pit_c`: the pit's mean; `wrap`: what it was wrapped in at the end ("": nothing); `mass_kg` and
    `thickness_m` of one piece, where they were told."""

    probe_c: tuple[_Cooking, ...]
    since_s: tuple[Annotated[float, Range(0, 1e7, "s")], ...]
    pit_c: _Cooking
    wrap: Literal["", "foil", "paper"] = ""
    mass_kg: Mass | None = None
    thickness_m: Thickness | None = None


@dataclass(frozen=True, slots=True)
class PieceFound:
    """What the readings of `channel`, in a piece of `cut`, told of the pit and of such a piece.

    `directions` are what was seen of the parameters, as found by the forecast's `model` with its generic
    prior, whose spreads by parameter are `sd`; both empty where nothing could be found, and `why` says why.
    `outcomes`: how forecasts of this cook came out. `noticed` are codes of a forecast. `asked`: the cook
    said that it counts although it runs unlike all others. `mean` is of model 1, which is not used any
    more. `course`: how the probe rose, from model 4 on.
    """

    kind: ClassVar[str] = "piece_found"
    model: Annotated[int, Range(1, 1_000_000)]
    channel: str = ""
    cut: Cut = "other"
    mean: Mapping[str, Annotated[float, Range(-1e6, 1e6)]] = field(default_factory=dict)
    sd: Mapping[str, Annotated[float, Range(0, 1e6, above=True)]] = field(default_factory=dict)
    noticed: Annotated[tuple[Filled, ...], EachOnce()] = ()
    why: str = ""
    asked: bool = False
    directions: tuple[SeenDirection, ...] = ()
    outcomes: tuple[ForecastOutcome, ...] = ()
    course: SeenCourse | None = None


_Amount: TypeAlias = Annotated[float, Range(-1e9, 1e9)]


@dataclass(frozen=True, slots=True)
class TimePartFound:
    """One part of what made a cook last: `mean_s` longer (negative: shorter), 8 times in 10 between
    `low_s` and `high_s`.

    `was` and `meant`, where they are known: °C at the start, half the thickness in m, K of the pit over its
    set point, K that lids took off it, the set point's mean in °C, °C of the probe at the wrap, s of the
    hold. `was_in` and `meant_in` are what it was, and was to be, wrapped in ("": nothing is said).
    """

    name: TimePartName
    mean_s: _Amount
    low_s: _Amount
    high_s: _Amount
    was: _Amount | None = None
    meant: _Amount | None = None
    was_in: Literal["", "none", "foil", "paper"] = ""
    meant_in: Literal["", "none", "foil", "paper"] = ""


@dataclass(frozen=True, slots=True)
class TimeExplained:
    """What made a cook last longer, or shorter, than planned ("plan") or than usual ("usual", the median
    of `cooks` earlier ones): it took `took_s` from when the meat went in, and was meant to take
    `expected_s`; the means of `parts` add up to the difference (`science.forecast.explanation`).

    `told`: whether the plan itself, or the earlier cooks, said how long; else the model did.
    """

    kind: ClassVar[str] = "time_explained"
    against: Literal["plan", "usual"]
    took_s: Duration
    expected_s: Duration
    parts: tuple[TimePartFound, ...]
    cooks: Annotated[int, Range(0, 1_000_000)] = 0
    told: bool = False


#: What the program writes by itself about what is to come: no screen shows it as something said.
Foreseen: TypeAlias = ForecastMade | FuelForeseen
#: What it writes by itself and what tells nothing of where the cook stands.
Computed: TypeAlias = Foreseen | PieceFound | TimeExplained


@dataclass(frozen=True, slots=True)
class CookClosed:
    """The cook is over. `ended_s` (UTC seconds) is when its last stage was, where that was earlier:

    a cook may be closed on the next morning. None: with this entry.
    """

    kind: ClassVar[str] = "cook_closed"
    ended_s: Moment | None = None


@dataclass(frozen=True, slots=True)
class CookPutAway:
    """The cook is put away, out of sight in the list of cooks, or (`away` False) taken back."""

    kind: ClassVar[str] = "cook_put_away"
    away: bool


@dataclass(frozen=True, slots=True)
class Strike:
    """Entry number `entry_id` does not hold. A strike can be struck: that is redo."""

    kind: ClassVar[str] = "strike"
    entry_id: KeptId
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Unread:
    """An entry of a kind or shape that this version does not know, or one that is `damaged`: that isn't
    as it was written any more. Kept and shown, never folded."""

    kind: ClassVar[str] = "unread"
    written_kind: str
    data: Mapping[str, Any]
    why: str
    damaged: bool = False


Payload: TypeAlias = (
    CookOpened
    | CookRenamed
    | ItemAdded
    | PrepStep
    | StepBegun
    | StepEnded
    | StepExtended
    | StepSkipped
    | TimesKept
    | ChannelSet
    | LeadSet
    | ScheduleSet
    | ScheduleStarted
    | StageConfirmed
    | StageSkipped
    | StageExtended
    | StagePutBack
    | Lid
    | Wrap
    | Spritz
    | ProbeMoved
    | Refrigerator
    | SafetySet
    | FuelAdded
    | FuelLevel
    | StoreUsed
    | WeatherObserved
    | Note
    | Photo
    | AlarmRaised
    | AlarmAcknowledged
    | ClockSet
    | Tasted
    | Weighed
    | Served
    | NextTime
    | ReadingsStruck
    | ForecastMade
    | FuelForeseen
    | PieceFound
    | TimeExplained
    | CookClosed
    | CookPutAway
    | Strike
    | Unread
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the log.

    `id` is the order of writing within the journal. `at_s` is when it happened (it may be back-dated),
    `recorded_s` when it was written.
    """

    id: int
    at_s: float
    recorded_s: float
    what: Payload


def item_key(entry_id: int, item: ItemAdded) -> str:
    """The key of an item: its own, or that of the entry that it was first written by."""
    return item.key or f"{entry_id}"


def step_key(entry_id: int, step: PrepStep) -> str:
    """The key of a prep step: its own, or that of the entry that it was first written by."""
    return step.key or f"e{entry_id}"
