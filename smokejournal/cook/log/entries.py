"""Entries: what was said in a cook's log. Written once, never altered.

Each kind is a frozen dataclass with a `kind` that names it in the journal file. Validation and the
written form are in `entry_codec`; which entries still hold after strikes is in `log`.
Masses are kg, lengths m, temperatures °C, speeds m/s, pressures hPa, times UTC seconds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, ClassVar, Literal, TypeAlias

from smokejournal.cook.log.brine_request import BrineAsked
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import Schedule
from smokejournal.science.forecast.values import Cut

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
SafetyTable = Literal["", "meat_6.5", "meat_7", "chicken", "turkey", "poultry", "fish", "own"]


@dataclass(frozen=True, slots=True)
class CookOpened:
    """A cook was begun on paper. Its first entry; `simulated` marks practice and demo for ever.

    `again_of` is the cook of this journal that it was planned from.
    """

    kind: ClassVar[str] = "cook_opened"
    title: str
    zone: str
    simulated: bool = False
    place: str = ""
    hopper_kg: float | None = None
    ready_at_s: float | None = None
    again_of: int | None = None


@dataclass(frozen=True, slots=True)
class CookRenamed:
    """The cook's title, or when it is wanted at the table, is now this.

    `place` None leaves the place as it was, `margin_s` None the cook's own margin: how long before it
    is wanted everything is to be ready.
    """

    kind: ClassVar[str] = "cook_renamed"
    title: str
    ready_at_s: float | None = None
    place: str | None = None
    margin_s: float | None = None


@dataclass(frozen=True, slots=True)
class ItemAdded:
    """One piece or batch on the grate.

    What is said of it as a dish of its own, each None where nothing is: `channel` is the probe in it,
    `target_c` what that is to reach, `pit_c` what the pit is to be at, `takes_s` how long it is on the
    pit, `rest_s` how long it rests then, `hold_s` how long it can be held hot after that, and
    `ready_at_s` when it is wanted (None: when all is). `key` stays the same through every edit ("":
    `item_key`).
    """

    kind: ClassVar[str] = "item"
    name: str
    food: FoodClass = "other"
    label: str = ""
    mass_kg: float | None = None
    thickness_m: float | None = None
    pieces: int = 1
    bought_at: str = ""
    price: float | None = None
    currency: str = ""
    channel: str = ""
    target_c: float | None = None
    pit_c: float | None = None
    takes_s: float | None = None
    rest_s: float | None = None
    hold_s: float | None = None
    ready_at_s: float | None = None
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
    step: str
    text: str = ""
    duration_s: float | None = None
    brine: BrineAsked | None = None
    key: str = ""
    sort: PrepSort = ""
    item: str = ""
    longest_s: float | None = None


@dataclass(frozen=True, slots=True)
class StepBegun:
    """The cook began this step of the prep."""

    kind: ClassVar[str] = "step_begun"
    step: str


@dataclass(frozen=True, slots=True)
class StepEnded:
    """This step of the prep is over. One that was never begun is taken as done at this moment."""

    kind: ClassVar[str] = "step_ended"
    step: str


@dataclass(frozen=True, slots=True)
class StepExtended:
    """This step of the prep gets `by_s` more."""

    kind: ClassVar[str] = "step_extended"
    step: str
    by_s: float


@dataclass(frozen=True, slots=True)
class StepSkipped:
    """The cook passes over this step of the prep."""

    kind: ClassVar[str] = "step_skipped"
    step: str


@dataclass(frozen=True, slots=True)
class TimesKept:
    """When the cook means to begin what (UTC seconds by key, `counted.py`); the latest holds.

    `late` is the chance (0 to 1) of being late that was told then; None: none could be.
    """

    kind: ClassVar[str] = "times_kept"
    starts: Mapping[str, float]
    ready_at_s: float
    late: float | None = None


@dataclass(frozen=True, slots=True)
class ChannelSet:
    """A channel is there, or is described again (name, place, correction)."""

    kind: ClassVar[str] = "channel"
    channel: Channel


@dataclass(frozen=True, slots=True)
class LeadSet:
    """Which channel leads the schedule, and which one checks it."""

    kind: ClassVar[str] = "lead"
    lead: str
    check: str | None = None


@dataclass(frozen=True, slots=True)
class ScheduleSet:
    """The schedule from now on. Stages keep their keys, so what is over stays over."""

    kind: ClassVar[str] = "schedule"
    schedule: Schedule


@dataclass(frozen=True, slots=True)
class ScheduleStarted:
    """The first stage begins."""

    kind: ClassVar[str] = "started"


@dataclass(frozen=True, slots=True)
class StageConfirmed:
    """The cook says that this stage is over."""

    kind: ClassVar[str] = "stage_confirmed"
    stage: str


@dataclass(frozen=True, slots=True)
class StageSkipped:
    """The cook passes over this stage."""

    kind: ClassVar[str] = "stage_skipped"
    stage: str


@dataclass(frozen=True, slots=True)
class StageExtended:
    """This stage gets `by_s` more."""

    kind: ClassVar[str] = "stage_extended"
    stage: str
    by_s: float


@dataclass(frozen=True, slots=True)
class StagePutBack:
    """Back to this stage. It runs afresh and then ends only on the cook's word."""

    kind: ClassVar[str] = "stage_put_back"
    stage: str


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
    channel: str
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
    fat_pct: float | None = None
    probes: tuple[str, ...] = ()
    uncertainty_c: float | None = None
    d_s: float | None = None
    z_k: float | None = None
    reference_c: float | None = None
    from_c: float | None = None
    to_c: float | None = None
    target_log: float | None = None


@dataclass(frozen=True, slots=True)
class FuelAdded:
    """Fuel went on top of what lies in the hopper. `mass_sd_kg` is how sure the mass is."""

    kind: ClassVar[str] = "fuel_added"
    lot: str
    mass_kg: float
    mass_sd_kg: float
    measured: FuelMeasure = "mass"
    price_per_kg: float | None = None
    currency: str = ""


@dataclass(frozen=True, slots=True)
class FuelLevel:
    """What lies in the hopper, as read. Exactly nothing (no uncertainty either) is 'emptied'."""

    kind: ClassVar[str] = "fuel_level"
    mass_kg: float
    mass_sd_kg: float
    as_percent: float | None = None

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
    name: str
    mass_kg: float | None = None
    count: float | None = None


@dataclass(frozen=True, slots=True)
class WeatherObserved:
    """The weather at the pit. What was not seen is None.

    `pressure_hpa` is that of the air where the pit stands, `sea_level_hpa` what a weather report
    reduces to the sea. `report` is the text of the report that it was read from, where it was.
    """

    kind: ClassVar[str] = "weather"
    sky: Sky | None = None
    air_c: float | None = None
    humidity_pct: float | None = None
    wind_m_s: float | None = None
    gust_m_s: float | None = None
    pressure_hpa: float | None = None
    precipitation: Precipitation | None = None
    exposure: Exposure | None = None
    high_c: float | None = None
    sea_level_hpa: float | None = None
    report: str = ""


@dataclass(frozen=True, slots=True)
class Note:
    """Anything worth writing down."""

    kind: ClassVar[str] = "note"
    text: str


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture, kept in the journal's folder under its hash."""

    kind: ClassVar[str] = "photo"
    sha256: str
    suffix: str
    caption: str = ""


@dataclass(frozen=True, slots=True)
class AlarmRaised:
    """The program called the cook. `key` is what it is about; `text` is what it said."""

    kind: ClassVar[str] = "alarm_raised"
    key: str
    text: str


@dataclass(frozen=True, slots=True)
class AlarmAcknowledged:
    """The cook answered. With `snooze_s` the call comes again after that, if it still holds."""

    kind: ClassVar[str] = "alarm_acknowledged"
    key: str
    snooze_s: float | None = None


@dataclass(frozen=True, slots=True)
class Tasted:
    """How it tasted: free text and marks 1 to 5 on scales of our own (`tasting.SCALES`)."""

    kind: ClassVar[str] = "tasted"
    text: str = ""
    marks: Mapping[str, int] = field(default_factory=dict)
    taster: str = ""


@dataclass(frozen=True, slots=True)
class Weighed:
    """A mass at one stage of the way from shop to plate."""

    kind: ClassVar[str] = "weighed"
    stage: MassStage
    mass_kg: float
    item: str = ""


@dataclass(frozen=True, slots=True)
class NextTime:
    """What to do otherwise next time."""

    kind: ClassVar[str] = "next_time"
    text: str


@dataclass(frozen=True, slots=True)
class ReadingsStruck:
    """Readings of a channel from `from_s` to `to_s` (both included) do not count."""

    kind: ClassVar[str] = "readings_struck"
    channel: str
    from_s: float
    to_s: float
    reason: str = ""


@dataclass(frozen=True, slots=True)
class ForecastMade:
    """When `channel` was expected to be at `target_c`, from what was known at the entry's moment.

    `low_s`, `mid_s` and `high_s` are the moments by which it was to be there with a chance of 10, 50
    and 90 %. None: later than the forecast looked. Kept so that it can be set against what came.
    """

    kind: ClassVar[str] = "forecast_made"
    channel: str
    target_c: float
    standing: ForecastStanding = "forecast"
    low_s: float | None = None
    mid_s: float | None = None
    high_s: float | None = None


@dataclass(frozen=True, slots=True)
class FuelForeseen:
    """Until when the fuel was expected to last, from what was known at the entry's moment.

    `low_s`, `mid_s` and `high_s` are the moments by which the hopper is empty with a chance of 10, 50
    and 90 %. `runs_out` is the chance (0 to 1) that this comes before the food is off the pit, and
    `off_s` when that is with a chance of 50 %; None: not known, or later than the forecast looked.
    """

    kind: ClassVar[str] = "fuel_foreseen"
    low_s: float
    mid_s: float
    high_s: float
    runs_out: float | None = None
    off_s: float | None = None


@dataclass(frozen=True, slots=True)
class PieceFound:
    """What the readings of `channel`, in a piece of `cut`, told of the pit and of such a piece.

    `mean` and `sd` by parameter (`science.heating_learned`), as found by the forecast's `model` with
    its generic prior; both empty where nothing could be found, and `why` says why. `noticed` are codes
    of a forecast. `asked`: the cook said that it counts although it runs unlike all others.
    """

    kind: ClassVar[str] = "piece_found"
    model: int
    channel: str = ""
    cut: Cut = "other"
    mean: Mapping[str, float] = field(default_factory=dict)
    sd: Mapping[str, float] = field(default_factory=dict)
    noticed: tuple[str, ...] = ()
    why: str = ""
    asked: bool = False


#: What the program writes by itself about what is to come: no screen shows it as something said.
Foreseen: TypeAlias = ForecastMade | FuelForeseen
#: What it writes by itself and what tells nothing of where the cook stands.
Computed: TypeAlias = Foreseen | PieceFound


@dataclass(frozen=True, slots=True)
class CookClosed:
    """The cook is over. `ended_s` (UTC seconds) is when its last stage was, where that was earlier:

    a cook may be closed on the next morning. None: with this entry.
    """

    kind: ClassVar[str] = "cook_closed"
    ended_s: float | None = None


@dataclass(frozen=True, slots=True)
class Strike:
    """Entry number `entry_id` does not hold. A strike can be struck: that is redo."""

    kind: ClassVar[str] = "strike"
    entry_id: int
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Unread:
    """An entry of a kind or shape that this version does not know. Kept and shown, never folded."""

    kind: ClassVar[str] = "unread"
    written_kind: str
    data: Mapping[str, Any]
    why: str


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
    | Tasted
    | Weighed
    | NextTime
    | ReadingsStruck
    | ForecastMade
    | FuelForeseen
    | PieceFound
    | CookClosed
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
