"""Settings: how the person wants it, kept in the journal one by one.

A value that cannot be used (from another version, or written by hand) is not used and is named, so
that the screen can say so; the setting then stands at its default until it is chosen again.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field, fields, replace
from typing import Annotated, Any, Literal, Protocol, get_args, get_type_hints

from smokejournal.cook.progress.alarms import AlarmTuning
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import METRIC, US, Units
from smokejournal.cook.text.strict import Range, TextSize, readers, zone_name
from smokejournal.cook.text.translate import translate
from smokejournal.cook.weather.by_network import WeatherByNetwork

GroundName = Literal["day", "sun", "night"]
GroundRule = Literal["hand", "time", "system"]
PageName = Literal["A4", "Letter"]
#: A time of day [s after midnight].
TimeOfDay = Annotated[float, Range(0, 86_400 - 1, "s")]

#: The largest hopper that is believed [kg]. More is a slip of the decimal point.
HOPPER_LIMIT_KG = 500.0


class SettingsStore(Protocol):
    """The part of the journal that settings need."""

    def setting(self, key: str, default: Any = None) -> Any: ...

    def unread_settings(self) -> tuple[str, ...]: ...

    def set_setting(self, key: str, value: Any) -> Future[Any]: ...


def _currency(value: str) -> str:
    code = value.strip().upper()
    if len(code) != 3 or not code.isalpha():
        raise SchemaProblem(
            "", translate("Settings", "Currency is a code of three letters, such as EUR or USD.")
        )
    return code


def _zone(value: str) -> str:
    name = value.strip()
    try:
        return zone_name(name) if name else name
    except SchemaProblem:
        raise SchemaProblem(
            "",
            translate(
                "Settings",
                "There is no time zone “{zone}”. Type it like Europe/Berlin or "
                "America/Chicago, or leave it empty for this machine's own.",
            ).format(zone=name),
        ) from None


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything that can be set. `zone` empty means: the machine's own. `keep_awake` is for while a cook
    is under way. `ground_by` says what chooses between the ground and night; the night's hours are used
    by time of day only."""

    units: Units = METRIC
    ground: GroundName = "day"
    currency: Annotated[str, _currency] = "EUR"
    page: PageName = "A4"
    hopper_kg: Annotated[float, Range(0, HOPPER_LIMIT_KG, "kg", above=True)] | None = None
    place: Annotated[str, TextSize(longest=200, nul=True), str.strip] = ""
    zone: Annotated[str, _zone] = ""
    keep_awake: bool = True
    alarms: AlarmTuning = field(default_factory=AlarmTuning)
    ground_by: GroundRule = "hand"
    night_from_s: TimeOfDay = 20 * 3600.0
    night_to_s: TimeOfDay = 6 * 3600.0
    weather: WeatherByNetwork = field(default_factory=WeatherByNetwork)


@dataclass(frozen=True, slots=True)
class RefusedSetting:
    """A kept value that could not be used, and why."""

    key: str
    why: str


_UNIT_CHOICES: dict[str, tuple[str, ...]] = {
    name: get_args(hint) for name, hint in get_type_hints(Units).items()
}

#: What is kept one by one, under "units.temperature" and so on.
_PARTS: dict[str, type[Any]] = {
    "units": Units,
    "alarms": AlarmTuning,
    "weather": WeatherByNetwork,
}

#: What each setting accepts.
ACCEPT: dict[str, Callable[[Any], Any]] = {
    **{name: accept for name, accept in readers(Settings).items() if name not in _PARTS},
    **{
        f"{part}.{name}": accept
        for part, kind in _PARTS.items()
        for name, accept in readers(kind).items()
    },
}


def unit_choices(name: str) -> tuple[str, ...]:
    """What the unit `name` ("temperature", "mass", …) can be."""
    return _UNIT_CHOICES[name]


def accept(key: str, value: Any) -> Any:
    """The value as it is kept; SchemaProblem where it cannot be."""
    return ACCEPT[key](value)


def for_country(territory: str) -> Settings:
    """Defaults for a country by its two letters, as a first guess that can be changed."""
    if territory.upper() == "US":
        return all_us(Settings())
    if territory.upper() == "CA":
        return Settings(currency="CAD", page="Letter")
    if territory.upper() == "GB":
        return Settings(currency="GBP")
    return Settings()


def all_us(settings: Settings) -> Settings:
    """The same with everything as it is usual in the United States."""
    return replace(settings, units=US, currency="USD", page="Letter")


def all_metric(settings: Settings) -> Settings:
    """The same in metric units on A4; dollars of the United States become euros."""
    currency = "EUR" if settings.currency == "USD" else settings.currency
    return replace(settings, units=METRIC, currency=currency, page="A4")


def _flat(settings: Settings) -> dict[str, Any]:
    flat: dict[str, Any] = {}
    for f in fields(settings):
        value = getattr(settings, f.name)
        if f.name in _PARTS:
            flat |= {f"{f.name}.{u.name}": getattr(value, u.name) for u in fields(value)}
        else:
            flat[f.name] = value
    return flat


@dataclass(frozen=True, slots=True)
class Loaded:
    """Settings as kept, and what of it could not be used."""

    settings: Settings
    refused: tuple[RefusedSetting, ...] = field(default=())


_MISSING = "\0not kept"


def load(store: SettingsStore, defaults: Settings | None = None) -> Loaded:
    """What is kept in the journal; `defaults` for what was never set.

    Refused are also settings of other parts of the program, where what is kept can't even be read.
    """
    settings = defaults or Settings()
    why = translate("Settings", "What is kept can't be read.")
    refused = [RefusedSetting(key, why) for key in store.unread_settings()]
    for key in ACCEPT:
        value = store.setting(key, _MISSING)
        if value == _MISSING:
            continue
        try:
            value = accept(key, value)
        except SchemaProblem as problem:
            refused.append(RefusedSetting(key, str(problem)))
            continue
        part, _, name = key.partition(".")
        if name:
            value = replace(getattr(settings, part), **{name: value})
        settings = replace(settings, **{part: value})
    return Loaded(settings, tuple(refused))


def save(
    store: SettingsStore, settings: Settings, before: Settings | None = None
) -> list[Future[Any]]:
    """Keep what differs from `before` (everything without it). Raises SchemaProblem first, so that
    either all of it is accepted or nothing is written."""
    flat = {key: accept(key, value) for key, value in _flat(settings).items()}
    old = _flat(before) if before is not None else {}
    return [
        store.set_setting(key, value)
        for key, value in flat.items()
        if key not in old or old[key] != value
    ]
