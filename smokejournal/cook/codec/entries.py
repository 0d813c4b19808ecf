"""The written form of entries, and what each of their fields may hold.

An entry is written as the name of its kind and a JSON object of its fields. The rules of the form:

- A field that holds its default is not written. So a default, once released, never changes, and a
  field that is added later stays unseen by older versions until it says something.
- A field that is missing and has no default, a field that isn't known, a value out of its range or a
  kind that isn't known makes the whole entry `Unread`: half an entry could mean something else than
  the whole. It is kept and shown with the reason, and nothing follows from it.
- Reading never raises for what it finds in a file. `validate` raises `SchemaProblem` for what is
  about to be written, with the same checks.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import MISSING, Field, fields
from typing import Any, TypeAlias, cast, get_args
from zoneinfo import ZoneInfo

from smokejournal.cook.codec.schedules import schedule_to_json
from smokejournal.cook.log import entries as kinds
from smokejournal.cook.log.brine_request import (
    BrineAsked,
    CuredProduct,
    CureMethod,
    Flesh,
    Grain,
    ScaleBy,
    Shape,
)
from smokejournal.cook.log.entries import Payload, Unread, WareSort
from smokejournal.cook.log.readings import Channel, ChannelRole
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.safety.tables import OWN, WrongTable, chosen_table
from smokejournal.cook.stores.wares import CUP_G
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.strict import read
from smokejournal.cook.text.translate import translate
from smokejournal.science.forecast.values import Cut
from smokejournal.science.safety.lethality import D_RANGE_S, TEMPERATURE_RANGE_C, Z_RANGE_K

Check: TypeAlias = Callable[[object, str], object]
"""Takes a value as JSON gives it and the path of its field; gives the value or raises."""

LONGEST_TEXT = 100_000
#: The last second of the year 9999: the last moment that a calendar date can be made of.
LAST_S = 253_402_300_799.0
MAX_MASS_KG = 5_000.0
MAX_DURATION_S = 366 * 86_400.0
#: A probe that may be further off than this is no probe to go by.
MAX_UNCERTAINTY_C = 20.0
MAX_TARGET_LOG = 20.0


def _number(
    low: float, high: float, unit: str = "", *, above: bool = False, whole: bool = False
) -> Check:
    """A finite number from `low` (above it, with `above`) to `high`."""

    def check(value: object, where: str) -> object:
        known = isinstance(value, int if whole else (int, float)) and not isinstance(value, bool)
        if not known:
            text = (
                translate("EntryCodec", "Give a whole number.")
                if whole
                else translate("EntryCodec", "Give a number.")
            )
            raise SchemaProblem(where, text)
        try:
            number = float(cast(float, value))
        except OverflowError:
            number = math.inf
        if not math.isfinite(number) or number > high or number < low or (above and number <= low):
            text = (
                translate("EntryCodec", "Give a number above {low} and up to {high}.")
                if above
                else translate("EntryCodec", "Give a number from {low} to {high}.")
            )
            ends = [f"{end:,.10g} {unit}".replace(",", " ").strip() for end in (low, high)]
            raise SchemaProblem(where, text.format(low=ends[0], high=ends[1]))
        return int(cast(int, value)) if whole else number

    return check


def _text(*, needed: bool = False) -> Check:
    """Text that can be written; not blank where it is needed."""

    def check(value: object, where: str) -> object:
        if not isinstance(value, str):
            raise SchemaProblem(where, translate("EntryCodec", "Give a text."))
        if needed and not value.strip():
            raise SchemaProblem(where, translate("EntryCodec", "Write something here."))
        if len(value) > LONGEST_TEXT:
            raise SchemaProblem(
                where,
                translate("EntryCodec", "Shorten this to {count} characters.").format(
                    count=LONGEST_TEXT
                ),
            )
        # A NUL would cut the text short in the database, half a surrogate pair can't be written.
        if "\0" in value or any("\ud800" <= letter <= "\udfff" for letter in value):
            raise SchemaProblem(
                where, translate("EntryCodec", "Take out the characters that can't be written.")
            )
        return value

    return check


def _hash(value: object, where: str) -> object:
    if not isinstance(value, str) or not re.fullmatch("[0-9a-f]{64}", value):
        raise SchemaProblem(
            where, translate("EntryCodec", "Give a hash of 64 small hexadecimal digits.")
        )
    return value


def _suffix(value: object, where: str) -> object:
    if not isinstance(value, str) or not re.fullmatch(r"\.[a-z0-9]{1,8}", value):
        raise SchemaProblem(
            where, translate("EntryCodec", "Give the ending of a file's name, as in .jpg.")
        )
    return value


def _one_of(literal: object) -> Check:
    words = get_args(literal)

    def check(value: object, where: str) -> object:
        if not isinstance(value, str) or value not in words:
            raise SchemaProblem(
                where,
                translate("EntryCodec", "Choose one of: {words}.").format(words=", ".join(words)),
            )
        return value

    return check


def _yes_no(value: object, where: str) -> object:
    if not isinstance(value, bool):
        raise SchemaProblem(where, translate("EntryCodec", "Give yes or no."))
    return value


def _zone(value: object, where: str) -> object:
    try:
        ZoneInfo(value if isinstance(value, str) else "")
    # A name that is a folder of the zone files, or leads out of them, fails in these ways.
    except (ValueError, KeyError, OSError) as problem:
        raise SchemaProblem(
            where, translate("EntryCodec", "Choose a time zone by its name, as in Europe/Paris.")
        ) from problem
    return value


def _maybe(check: Check) -> Check:
    return lambda value, where: None if value is None else check(value, where)


def _marks(value: object, where: str) -> object:
    if not isinstance(value, Mapping):
        raise SchemaProblem(where, translate("EntryCodec", "Give a mark for each scale."))
    scale, mark = _text(needed=True), _number(1, 5, whole=True)
    return {
        cast(str, scale(key, where)): cast(int, mark(item, f"{where}.{key}"))
        for key, item in value.items()
    }


def _by_name(number: Check) -> Check:
    """A number for each name."""

    def check(value: object, where: str) -> object:
        if not isinstance(value, Mapping):
            raise SchemaProblem(where, translate("EntryCodec", "Give a set of named fields."))
        return {_NEEDED(key, where): number(item, f"{where}.{key}") for key, item in value.items()}

    return check


def _keys(value: object, where: str) -> object:
    """Several keys, each once. JSON knows no tuples: a list will do."""
    if not isinstance(value, list | tuple):
        raise SchemaProblem(where, translate("EntryCodec", "Give a list."))
    keys = tuple(_NEEDED(key, f"{where}[{n}]") for n, key in enumerate(value))
    if len(set(keys)) < len(keys):
        raise SchemaProblem(where, translate("EntryCodec", "Name each only once."))
    return keys


def _channel(value: object, where: str) -> object:
    return _read(Channel, _CHANNEL, value, where)


def _brine(value: object, where: str) -> object:
    return _read(BrineAsked, _BRINE, value, where)


_ANY_TEXT = _text()
_NEEDED = _text(needed=True)
_MASS = _number(0, MAX_MASS_KG, "kg", above=True)
_MASS_OR_NONE_LEFT = _number(0, MAX_MASS_KG, "kg")
_MONEY = _number(0, 1e9)
_MOMENT = _number(0, LAST_S, "s")
_DURATION = _number(0, MAX_DURATION_S, "s")
_DURATION_ABOVE_0 = _number(0, MAX_DURATION_S, "s", above=True)
_WEATHER_C = _number(-90, 65, "°C")
_PERCENT = _number(0, 100, "%")
_LETHAL_C = _maybe(_number(*TEMPERATURE_RANGE_C, "°C"))

_CHANNEL: dict[str, Check] = {
    "key": _NEEDED,
    "name": _NEEDED,
    "role": _one_of(ChannelRole),
    "probe": _ANY_TEXT,
    "place": _ANY_TEXT,
    "offset_c": _number(-100, 100, "K"),
    "slope": _number(0.5, 2),
    "probe_id": _maybe(_number(1, 2**53, whole=True)),
    "calibrated_at_s": _maybe(_MOMENT),
    "uncertainty_c": _maybe(_number(0, 100, "K")),
    "gap_s": _number(0, 7 * 86_400.0, "s", above=True),
    "by_hand": _yes_no,
    "simulated": _yes_no,
}

_BRINE: dict[str, Check] = {
    "line": _ANY_TEXT,
    "grain": _one_of(Grain),
    "flesh": _one_of(Flesh),
    "food_kg": _maybe(_MASS),
    "thickness_m": _maybe(_number(0, 2, "m", above=True)),
    "shape": _one_of(Shape),
    "one_face": _yes_no,
    "soak_s": _maybe(_DURATION),
    "target_pct": _maybe(_PERCENT),
    "finished_pct": _maybe(_number(0, 200, "%", above=True)),
    "scale_by": _one_of(ScaleBy),
    "scale_to": _maybe(_number(0, 10_000, above=True)),
    "product": _one_of(CuredProduct),
    "method": _one_of(CureMethod),
    "nitrite_pct": _maybe(_PERCENT),
    "pickup_pct": _maybe(_PERCENT),
    "rind_on": _yes_no,
    "salt": _ANY_TEXT,
    "cup_g": _maybe(_number(*CUP_G, "g")),
}

_STAGE: dict[str, Check] = {"stage": _NEEDED}
_STEP: dict[str, Check] = {"step": _NEEDED}

_CHECKS: dict[type, dict[str, Check]] = {
    kinds.CookOpened: {
        "title": _NEEDED,
        "zone": _zone,
        "simulated": _yes_no,
        "place": _ANY_TEXT,
        "hopper_kg": _maybe(_MASS),
        "ready_at_s": _maybe(_MOMENT),
        "again_of": _maybe(_number(1, 2**53, whole=True)),
    },
    kinds.CookRenamed: {
        "title": _NEEDED,
        "ready_at_s": _maybe(_MOMENT),
        "place": _maybe(_ANY_TEXT),
        "margin_s": _maybe(_DURATION),
    },
    kinds.ItemAdded: {
        "name": _NEEDED,
        "food": _one_of(kinds.FoodClass),
        "label": _ANY_TEXT,
        "mass_kg": _maybe(_MASS),
        "thickness_m": _maybe(_number(0, 2, "m", above=True)),
        "pieces": _number(1, 100_000, whole=True),
        "bought_at": _ANY_TEXT,
        "price": _maybe(_MONEY),
        "currency": _ANY_TEXT,
        "channel": _ANY_TEXT,
        **dict.fromkeys(("target_c", "pit_c"), _maybe(_number(-60, 500, "°C"))),
        "takes_s": _maybe(_DURATION_ABOVE_0),
        **dict.fromkeys(("rest_s", "hold_s"), _maybe(_DURATION)),
        "ready_at_s": _maybe(_MOMENT),
        "key": _ANY_TEXT,
    },
    kinds.PrepStep: {
        "step": _NEEDED,
        "text": _ANY_TEXT,
        "duration_s": _maybe(_DURATION),
        "brine": _maybe(_brine),
        "key": _ANY_TEXT,
        "sort": _one_of(kinds.PrepSort),
        "item": _ANY_TEXT,
        "longest_s": _maybe(_DURATION_ABOVE_0),
    },
    kinds.StepBegun: _STEP,
    kinds.StepEnded: _STEP,
    kinds.StepExtended: {"step": _NEEDED, "by_s": _DURATION_ABOVE_0},
    kinds.StepSkipped: _STEP,
    kinds.TimesKept: {
        "starts": _by_name(_MOMENT),
        "ready_at_s": _MOMENT,
        "late": _maybe(_number(0, 1)),
    },
    kinds.ChannelSet: {"channel": _channel},
    kinds.LeadSet: {"lead": _NEEDED, "check": _maybe(_NEEDED)},
    kinds.ScheduleSet: {"schedule": lambda value, where: read(Schedule, value, where)},
    kinds.ScheduleStarted: {},
    kinds.StageConfirmed: _STAGE,
    kinds.StageSkipped: _STAGE,
    kinds.StageExtended: {"stage": _NEEDED, "by_s": _DURATION_ABOVE_0},
    kinds.StagePutBack: _STAGE,
    kinds.Lid: {"open": _yes_no},
    kinds.Wrap: {"material": _one_of(kinds.WrapMaterial), "item": _ANY_TEXT},
    kinds.Spritz: {"liquid": _ANY_TEXT},
    kinds.ProbeMoved: {"channel": _NEEDED, "place": _ANY_TEXT},
    kinds.Refrigerator: {"out": _yes_no, "item": _ANY_TEXT},
    kinds.SafetySet: {
        "food": _one_of(kinds.FoodClass),
        "table": _one_of(kinds.SafetyTable),
        "fat_pct": _maybe(_PERCENT),
        "probes": _keys,
        "uncertainty_c": _maybe(_number(0, MAX_UNCERTAINTY_C, "K")),
        "d_s": _maybe(_number(*D_RANGE_S, "s")),
        "z_k": _maybe(_number(*Z_RANGE_K, "K")),
        **dict.fromkeys(("reference_c", "from_c", "to_c"), _LETHAL_C),
        "target_log": _maybe(_number(0, MAX_TARGET_LOG, above=True)),
    },
    kinds.FuelAdded: {
        "lot": _ANY_TEXT,
        "mass_kg": _MASS,
        "mass_sd_kg": _MASS_OR_NONE_LEFT,
        "measured": _one_of(kinds.FuelMeasure),
        "price_per_kg": _maybe(_MONEY),
        "currency": _ANY_TEXT,
    },
    kinds.FuelLevel: {
        "mass_kg": _MASS_OR_NONE_LEFT,
        "mass_sd_kg": _MASS_OR_NONE_LEFT,
        "as_percent": _maybe(_PERCENT),
    },
    kinds.StoreUsed: {
        "sort": _one_of(WareSort),
        "name": _NEEDED,
        "mass_kg": _maybe(_MASS),
        "count": _maybe(_number(0, 100_000, above=True)),
    },
    kinds.WeatherObserved: {
        "sky": _maybe(_one_of(kinds.Sky)),
        "air_c": _maybe(_WEATHER_C),
        "humidity_pct": _maybe(_PERCENT),
        "wind_m_s": _maybe(_number(0, 120, "m/s")),
        "gust_m_s": _maybe(_number(0, 150, "m/s")),
        "pressure_hpa": _maybe(_number(450, 1100, "hPa")),
        "precipitation": _maybe(_one_of(kinds.Precipitation)),
        "exposure": _maybe(_one_of(kinds.Exposure)),
        "high_c": _maybe(_WEATHER_C),
        "sea_level_hpa": _maybe(_number(850, 1100, "hPa")),
        "report": _ANY_TEXT,
    },
    kinds.Note: {"text": _NEEDED},
    kinds.Photo: {
        "sha256": _hash,
        "suffix": _suffix,
        "caption": _ANY_TEXT,
    },
    kinds.AlarmRaised: {"key": _NEEDED, "text": _NEEDED},
    kinds.AlarmAcknowledged: {"key": _NEEDED, "snooze_s": _maybe(_DURATION_ABOVE_0)},
    kinds.Tasted: {"text": _ANY_TEXT, "marks": _marks, "taster": _ANY_TEXT},
    kinds.Weighed: {"stage": _one_of(kinds.MassStage), "mass_kg": _MASS, "item": _ANY_TEXT},
    kinds.NextTime: {"text": _NEEDED},
    kinds.ReadingsStruck: {
        "channel": _NEEDED,
        "from_s": _MOMENT,
        "to_s": _MOMENT,
        "reason": _ANY_TEXT,
    },
    kinds.ForecastMade: {
        "channel": _NEEDED,
        "target_c": _number(-60, 500, "°C"),
        "standing": _one_of(kinds.ForecastStanding),
        **dict.fromkeys(("low_s", "mid_s", "high_s"), _maybe(_MOMENT)),
    },
    kinds.FuelForeseen: {
        **dict.fromkeys(("low_s", "mid_s", "high_s"), _MOMENT),
        "runs_out": _maybe(_number(0, 1)),
        "off_s": _maybe(_MOMENT),
    },
    kinds.PieceFound: {
        "model": _number(1, 1_000_000, whole=True),
        "channel": _ANY_TEXT,
        "cut": _one_of(Cut),
        "mean": _by_name(_number(-1e6, 1e6)),
        "sd": _by_name(_number(0, 1e6, above=True)),
        "noticed": _keys,
        "why": _ANY_TEXT,
        "asked": _yes_no,
    },
    kinds.CookClosed: {"ended_s": _maybe(_MOMENT)},
    kinds.Strike: {"entry_id": _number(1, 2**53, whole=True), "reason": _ANY_TEXT},
}

#: Every kind that can be written, by the name it is written under.
ENTRY_KINDS: dict[str, type] = {str(getattr(kind, "kind")): kind for kind in _CHECKS}  # noqa: B009


def encode(payload: Payload) -> tuple[str, dict[str, Any]]:
    """The kind of a payload and its fields as JSON holds them. What is unread goes as it came."""
    if isinstance(payload, Unread):
        return payload.written_kind, dict(payload.data)
    return payload.kind, _written(payload)


def decode(kind: str, data: object) -> Payload:
    """The payload that was written so, or `Unread` with the reason. Never raises."""
    known = ENTRY_KINDS.get(kind) if isinstance(kind, str) else None
    try:
        if known is None:
            raise SchemaProblem(
                "", translate("EntryCodec", "This version doesn't know this kind of entry.")
            )
        payload = cast(Payload, _read(known, _CHECKS[known], data, ""))
        _check_together(payload)
    except SchemaProblem as problem:
        kept = dict(data) if isinstance(data, Mapping) else {"value": data}
        return Unread(written_kind=str(kind), data=kept, why=str(problem))
    return payload


def read_payload(kind: str, data: object, where: str) -> Payload:
    """The payload of this known kind that stands at `where` within something larger.

    SchemaProblem says what is wrong and where.
    """
    known = ENTRY_KINDS[kind]
    payload = cast(Payload, _read(known, _CHECKS[known], data, where))
    try:
        _check_together(payload)
    except SchemaProblem as problem:
        field = ".".join(part for part in (where, problem.where) if part)
        raise SchemaProblem(field, problem.message) from problem
    return payload


def checked(payload: Payload) -> Payload:
    """The payload as it will be read back (5 becomes 5.0 where a length is meant).

    Raises SchemaProblem where a field is out of its range, and for what is unread.
    """
    if isinstance(payload, Unread):
        raise SchemaProblem(
            "", translate("EntryCodec", "An entry that can't be read can't be written again.")
        )
    same = cast(Payload, _read(type(payload), _CHECKS[type(payload)], _written(payload), ""))
    _check_together(same)
    return same


def validate(payload: Payload) -> None:
    """Raises SchemaProblem where the payload can't be written as it is."""
    checked(payload)


def encode_text(payload: Payload) -> tuple[str, str]:
    """The kind of a payload and its fields as JSON text."""
    kind, data = encode(payload)
    return kind, json.dumps(data, ensure_ascii=False, separators=(",", ":"))


def decode_text(kind: str, text: str) -> Payload:
    """The payload that was written as this JSON text, or `Unread`. Never raises."""
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as problem:
        return Unread(written_kind=kind, data={"text": text}, why=str(problem))
    return decode(kind, data)


def _check_together(payload: Payload) -> None:
    """What several fields must be to each other."""
    match payload:
        case kinds.LeadSet(lead=lead, check=check) if check == lead:
            raise SchemaProblem(
                "check", translate("EntryCodec", "Choose another probe to check the lead probe.")
            )
        case kinds.WeatherObserved(report=report) if payload == kinds.WeatherObserved(
            report=report
        ):
            raise SchemaProblem("", translate("EntryCodec", "Give at least one thing observed."))
        case kinds.WeatherObserved(wind_m_s=float(wind), gust_m_s=float(gust)) if gust < wind:
            raise SchemaProblem(
                "gust_m_s", translate("EntryCodec", "Gusts can't be slower than the wind.")
            )
        case kinds.SafetySet():
            _check_safety(payload)
        case kinds.Tasted(text=text, marks=marks) if not marks and not text.strip():
            raise SchemaProblem("text", translate("EntryCodec", "Write a word or give a mark."))
        case kinds.ForecastMade(low_s=low_s, mid_s=mid_s, high_s=high_s):
            # What lies beyond the horizon is later than everything within it.
            moments = [math.inf if s is None else s for s in (low_s, mid_s, high_s)]
            if moments != sorted(moments):
                raise SchemaProblem(
                    "mid_s", translate("EntryCodec", "Give moments in order of time.")
                )
        case kinds.FuelForeseen(low_s=low_s, mid_s=mid_s, high_s=high_s) if not (
            low_s <= mid_s <= high_s
        ):
            raise SchemaProblem("mid_s", translate("EntryCodec", "Give moments in order of time."))
        case kinds.PieceFound(mean=mean, sd=sd, why=why):
            if set(mean) != set(sd):
                raise SchemaProblem(
                    "sd", translate("EntryCodec", "Give a spread for each mean, and no other.")
                )
            if bool(mean) == bool(why):
                raise SchemaProblem(
                    "why",
                    translate("EntryCodec", "Say why nothing was found, and only then."),
                )
        case kinds.ReadingsStruck(from_s=from_s, to_s=to_s) if to_s < from_s:
            raise SchemaProblem(
                "to_s", translate("EntryCodec", "Give an end that is not before the beginning.")
            )
        case _:
            pass


def _check_safety(said: kinds.SafetySet) -> None:
    """A table of another food is never written, and D and z never by halves."""
    try:
        table = chosen_table(said)
    except WrongTable as problem:
        raise SchemaProblem(
            "table",
            translate(
                "EntryCodec",
                "This table was made for another food and falls short here. Choose one for this food.",
            ),
        ) from problem
    if table == OWN:
        for name in ("d_s", "z_k", "reference_c", "from_c", "to_c", "target_log"):
            if getattr(said, name) is None:
                raise SchemaProblem(name, translate("EntryCodec", "This field is missing."))
    if said.from_c is not None and said.to_c is not None and said.to_c <= said.from_c:
        raise SchemaProblem(
            "to_c", translate("EntryCodec", "Give an end that is above the beginning.")
        )


def _default(field: Field[Any]) -> object:
    """The default of a field; MISSING where it has none."""
    return field.default if field.default_factory is MISSING else field.default_factory()


def _written(value: Any) -> dict[str, Any]:
    """The fields of a dataclass that don't hold their defaults."""
    written: dict[str, Any] = {}
    for field in fields(value):
        part = getattr(value, field.name)
        default = _default(field)
        # 1 equals True and 1.0: compare kinds too, lest a wrong one passes for a default.
        if type(part) is type(default) and part == default:
            continue
        if isinstance(part, Schedule):
            part = schedule_to_json(part)
        elif isinstance(part, Channel | BrineAsked):
            part = _written(part)
        elif isinstance(part, Mapping):
            part = dict(part)
        elif isinstance(part, tuple):
            part = list(part)
        written[field.name] = part
    return written


def _read(kind: type, checks: Mapping[str, Check], data: object, where: str) -> object:
    """An instance of the dataclass `kind` from what JSON holds."""
    if not isinstance(data, Mapping):
        raise SchemaProblem(where, translate("EntryCodec", "Give a set of named fields."))
    prefix = f"{where}." if where else ""
    for name in data:
        if name not in checks:
            raise SchemaProblem(
                f"{prefix}{name}", translate("EntryCodec", "This version doesn't know this field.")
            )
    values: dict[str, object] = {}
    for field in fields(kind):
        if field.name in data:
            values[field.name] = checks[field.name](data[field.name], prefix + field.name)
        elif _default(field) is MISSING:
            raise SchemaProblem(
                prefix + field.name, translate("EntryCodec", "This field is missing.")
            )
    return kind(**values)
