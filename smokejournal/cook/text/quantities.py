"""Quantities at the edges: how they are written for people, and how what people type is read.

Inside everything is SI with °C; here it becomes °F, pounds or inches for whoever prefers them, and
comes back. What is typed may name its own unit, and that unit wins over the preference. What cannot
be read, or could be read in two ways, is refused with a `QuantityError` whose message is ready to be
shown beside the field.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from smokejournal.cook.text import times
from smokejournal.cook.text.numbers import QuantityError as QuantityError
from smokejournal.cook.text.numbers import fmt, number_and_unit, parts, read_number
from smokejournal.cook.text.times import ago as ago
from smokejournal.cook.text.times import duration as duration
from smokejournal.cook.text.times import parse_clock as parse_clock
from smokejournal.cook.text.times import parse_duration as parse_duration
from smokejournal.cook.text.translate import translate
from smokejournal.science.numbers.units import (
    HPA_PER_INHG,
    KG_PER_LB,
    M_PER_INCH,
    M_S_PER_KMH,
    M_S_PER_KNOT,
    M_S_PER_MPH,
    c_from_f,
    f_from_c,
    f_step_from_k,
    k_from_f_step,
)

DASH = "–"


@dataclass(frozen=True, slots=True)
class Units:
    """What a person likes to read. It never changes what is kept."""

    temperature: Literal["C", "F"] = "C"
    mass: Literal["kg", "lb", "decimal_lb"] = "kg"
    """"lb": pounds and ounces; what has a spread is in decimal pounds in either case."""
    length: Literal["cm", "in"] = "cm"
    speed: Literal["m/s", "km/h", "mph"] = "m/s"
    pressure: Literal["hPa", "inHg"] = "hPa"
    hours: Literal["24", "12"] = "24"
    dates: Literal["day", "month"] = "day"
    """Whether the day or the month comes first."""


METRIC = Units()
US = Units("F", "lb", "in", "mph", "inHg", "12", "month")

_SPEED: dict[str, float] = {
    "m/s": 1.0,
    "ms": 1.0,
    **dict.fromkeys(("km/h", "kmh", "kph", "km/hr"), M_S_PER_KMH),
    "mph": M_S_PER_MPH,
    **dict.fromkeys(("kn", "kt", "kts", "knot", "knots"), M_S_PER_KNOT),
}


# Times have a module of their own; here they only take the person's preference.


def clock_time(at_s: float, zone: str, units: Units = METRIC, *, seconds: bool = False) -> str:
    """ "18:40" or "6:40 pm", where the cook is; with `seconds` "18:40:05"."""
    return times.clock_time(at_s, zone, twelve=units.hours == "12", seconds=seconds)


def date(at_s: float, zone: str, units: Units = METRIC) -> str:
    """ "25 Nov 2026" or "Nov 25, 2026", where the cook is."""
    return times.date(at_s, zone, month_first=units.dates == "month")


def day(at_s: float, zone: str, units: Units = METRIC) -> str:
    """ "25 Nov" or "Nov 25", where the cook is."""
    return times.day(at_s, zone, month_first=units.dates == "month")


def date_time(at_s: float, zone: str, units: Units = METRIC) -> str:
    """ "25 Nov 2026, 18:40"."""
    return f"{date(at_s, zone, units)}, {clock_time(at_s, zone, units)}"


def temperature(temperature_c: float, units: Units = METRIC, digits: int = 0) -> str:
    """ "74 °C" or "165 °F"."""
    return f"{temperature_number(temperature_c, units, digits)} {temperature_unit(units)}"


def temperature_number(temperature_c: float, units: Units = METRIC, digits: int = 0) -> str:
    """The number of `temperature` alone."""
    value = temperature_c if units.temperature == "C" else f_from_c(temperature_c)
    return fmt(value, digits)


def temperature_unit(units: Units = METRIC) -> str:
    """ "°C" or "°F"."""
    return f"°{units.temperature}"


def temperature_step(
    difference_k: float, units: Units = METRIC, digits: int = 1, signed: bool = False
) -> str:
    """A difference of temperatures: "2.2 °C" is "4.0 °F". `signed` writes a plus as well."""
    value = difference_k if units.temperature == "C" else f_step_from_k(difference_k)
    number = fmt(value, digits)
    if signed and value > 0 and number.strip("0.") != "":
        number = f"+{number}"
    return f"{number} {temperature_unit(units)}"


def mass(mass_kg: float, units: Units = METRIC) -> str:
    """ "1.25 kg", below one kilogram "850 g"; "2 lb 12 oz"; or "2.75 lb"."""
    if not math.isfinite(mass_kg):
        return fmt(mass_kg, 0)
    sign = "−" if mass_kg < 0 else ""
    size_kg = abs(mass_kg)
    if units.mass == "kg":
        if round(size_kg * 1000) >= 1000:
            return f"{sign}{fmt(size_kg, 2, trim=True)} kg"
        grams = fmt(size_kg * 1000, 0 if size_kg >= 0.01 else 1, trim=True)
        return f"{sign if grams != '0' else ''}{grams} g"
    if units.mass == "decimal_lb" and size_kg >= KG_PER_LB / 100:
        return f"{sign}{fmt(size_kg / KG_PER_LB, 2, trim=True)} lb"
    ounces = size_kg / KG_PER_LB * 16
    if ounces < 1:
        text = fmt(ounces, 1, trim=True)
        return f"{sign if text != '0' else ''}{text} oz"
    pounds, rest = divmod(round(ounces), 16)
    words = ([f"{pounds} lb"] if pounds else []) + ([f"{rest} oz"] if rest else [])
    return sign + " ".join(words)


def mass_number(mass_kg: float, units: Units = METRIC, digits: int = 2) -> str:
    """Kilograms or decimal pounds, as `mass_unit` names them."""
    value = mass_kg if units.mass == "kg" else mass_kg / KG_PER_LB
    return fmt(value, digits, trim=True)


def mass_unit(units: Units = METRIC) -> str:
    """ "kg" or "lb"."""
    return "kg" if units.mass == "kg" else "lb"


def length(length_m: float, units: Units = METRIC) -> str:
    """ "3.5 cm"; or "1 1/4 in" where an eighth is meant, else "1.38 in"."""
    if units.length == "cm":
        return f"{fmt(length_m * 100, 1, trim=True)} cm"
    inches = length_m / M_PER_INCH
    eighths = round(abs(inches) * 8) if math.isfinite(inches) else 0
    if eighths == 0 or eighths % 8 == 0 or abs(abs(inches) - eighths / 8) > 0.005:
        return f"{fmt(inches, 2, trim=True)} in"
    sign = "−" if inches < 0 else ""
    return f"{sign}{_mixed(eighths)} in"


def thickness(length_m: float, units: Units = METRIC) -> str:
    """A length as a kitchen measures it: "3.5 cm", or inches to a quarter, below one to an eighth.

    An eighth that is meant stays one. For reading; `length` says the same for typing.
    """
    if units.length == "cm" or not math.isfinite(length_m):
        return length(length_m, units)
    inches = length_m / M_PER_INCH
    eighths = round(inches * 8)
    if inches > 1 and abs(inches - eighths / 8) > 0.005:
        eighths = 2 * round(inches * 4)
    return length(length_m, units) if eighths <= 0 else f"{_mixed(eighths)} in"


def _mixed(eighths: int) -> str:
    """ "1 1/4", "3/8" or "2"."""
    whole, rest = divmod(eighths, 8)
    part = Fraction(rest, 8)
    words = ([str(whole)] if whole else []) + ([f"{part}"] if rest else [])
    return " ".join(words)


def speed(speed_m_s: float, units: Units = METRIC) -> str:
    """ "3.4 m/s", "12 km/h" or "8 mph"."""
    digits = 1 if units.speed == "m/s" else 0
    return f"{fmt(speed_m_s / _SPEED[units.speed], digits, trim=True)} {units.speed}"


def pressure(pressure_hpa: float, units: Units = METRIC) -> str:
    """ "1013 hPa" or "29.92 inHg"."""
    if units.pressure == "hPa":
        return f"{fmt(pressure_hpa, 0)} hPa"
    return f"{fmt(pressure_hpa / HPA_PER_INHG, 2)} inHg"


def percent(value_pct: float, digits: int = 0) -> str:
    """ "55 %"; the value is in percent already."""
    return f"{fmt(value_pct, digits)} %"


def interval(text: str, low: str, high: str) -> str:
    """An estimate with its interval: "2 h 10 min (1 h 50 min – 2 h 40 min)"."""
    return f"{text} ({low} – {high})"


def money(amount: float, currency: str, sd: float = 0.0) -> str:
    """ "4.20 EUR" or, known to a standard deviation of a cent or more, "4.20 ± 0.13 EUR"; a sign such as
    "$" goes in front."""
    number = fmt(amount, 2)
    if sd >= 0.005:
        number += f" ± {fmt(sd, 2)}"
    if not currency:
        return number
    if not any(ch.isalnum() for ch in currency):
        return f"−{currency}{number[1:]}" if number.startswith("−") else f"{currency}{number}"
    return f"{number} {currency}"


def unknown(reason: str = "") -> str:
    """ "unknown: no level was read"."""
    if not reason:
        return translate("Quantities", "unknown")
    return translate("Quantities", "unknown: {reason}").format(reason=reason)


def parse_number(text: str, field: str) -> float:
    """A bare number: decimal point or comma, or a fraction such as 1 1/4.

    Raises QuantityError where it is none.
    """
    return read_number(text, field, translate("Quantities", "a number, for example 2.5"))


def parse_temperature(
    text: str, units: Units, field: str, low_c: float = -60.0, high_c: float = 500.0
) -> float:
    """°C of "74", "74c" or "165 F". A letter overrides the preference."""
    wanted = translate("Quantities", "a temperature from {low} to {high}, for example {a} or {b}")
    wanted = wanted.format(
        low=temperature(low_c, units),
        high=temperature(high_c, units),
        a="74" if units.temperature == "C" else "165",
        b="165 F" if units.temperature == "C" else "74 C",
    )
    value, unit = number_and_unit(text, field, wanted)
    kind = unit.lower().removeprefix("°").strip() or units.temperature.lower()
    if kind not in ("c", "f"):
        raise QuantityError(field, wanted)
    value_c = value if kind == "c" else c_from_f(value)
    return within(value_c, low_c, high_c, field, wanted)


def parse_temperature_step(
    text: str, units: Units, field: str, low_k: float = -100.0, high_k: float = 100.0
) -> float:
    """A difference [K] of "2.2", "-4 F" or "1.5 K"."""
    wanted = translate("Quantities", "a difference from {low} to {high}, for example {example}")
    wanted = wanted.format(
        low=temperature_step(low_k, units, 0),
        high=temperature_step(high_k, units, 0),
        example="2.2" if units.temperature == "C" else "4",
    )
    value, unit = number_and_unit(text, field, wanted)
    kind = unit.lower().removeprefix("°").strip() or units.temperature.lower()
    if kind not in ("c", "k", "f"):
        raise QuantityError(field, wanted)
    value_k = k_from_f_step(value) if kind == "f" else value
    return within(value_k, low_k, high_k, field, wanted)


_KG: dict[str, float] = {
    **dict.fromkeys(("kg", "kgs", "kilo", "kilos"), 1.0),
    **dict.fromkeys(("g", "gr", "gram", "grams"), 0.001),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds", "#"), KG_PER_LB),
    **dict.fromkeys(("oz", "ounce", "ounces"), KG_PER_LB / 16),
}


def parse_mass(
    text: str, units: Units, field: str, low_kg: float = 0.0, high_kg: float = 500.0
) -> float:
    """kg of "1.2", "1.2 kg", "2 lb 3 oz" or "850 g". A number after pounds is ounces."""
    wanted = translate("Quantities", "a mass from {low} to {high}, for example {a} or {b}")
    wanted = wanted.format(
        low=mass(low_kg, units), high=mass(high_kg, units), a="1.25 kg", b="2 lb 12 oz"
    )
    total_kg = 0.0
    last = ""
    for number, unit in parts(text, field, wanted):
        name = unit.lower()
        if not name and last in ("lb", "lbs", "pound", "pounds"):
            name = "oz"
        elif not name and not last:
            name = mass_unit(units)
        if name not in _KG or (last and _KG[name] >= _KG[last]):
            raise QuantityError(field, wanted)
        total_kg += number * _KG[name]
        last = name
    return within(total_kg, low_kg, high_kg, field, wanted)


_M: dict[str, float] = {
    "cm": 0.01,
    "mm": 0.001,
    "m": 1.0,
    **dict.fromkeys(("in", "inch", "inches", '"', "”", "″"), M_PER_INCH),
}


def parse_length(
    text: str, units: Units, field: str, low_m: float = 0.0, high_m: float = 2.0
) -> float:
    """m of "3.5 cm", "35 mm" or "1 1/4 in"."""
    wanted = translate("Quantities", "a length from {low} to {high}, for example {a} or {b}")
    wanted = wanted.format(
        low=length(low_m, units), high=length(high_m, units), a="3.5 cm", b="1 1/4 in"
    )
    return _sized(text, field, wanted, _M, units.length, low_m, high_m)


def parse_speed(
    text: str, units: Units, field: str, low_m_s: float = 0.0, high_m_s: float = 120.0
) -> float:
    """m/s of "3.4", "12 km/h", "8 mph" or "10 kn"."""
    wanted = translate("Quantities", "a wind speed from {low} to {high}, for example {a} or {b}")
    wanted = wanted.format(
        low=speed(low_m_s, units), high=speed(high_m_s, units), a="3 m/s", b="7 mph"
    )
    return _sized(text, field, wanted, _SPEED, units.speed, low_m_s, high_m_s)


_HPA: dict[str, float] = {
    **dict.fromkeys(("hpa", "mbar", "mb"), 1.0),
    "kpa": 10.0,
    **dict.fromkeys(("inhg", "in", '"'), HPA_PER_INHG),
    "mmhg": HPA_PER_INHG / 25.4,
}


def parse_pressure(
    text: str, units: Units, field: str, low_hpa: float = 500.0, high_hpa: float = 1100.0
) -> float:
    """hPa of "1013", "1013 mbar", "29.92 inHg" or "760 mmHg"."""
    wanted = translate("Quantities", "a pressure from {low} to {high}, for example {a} or {b}")
    wanted = wanted.format(
        low=pressure(low_hpa, units), high=pressure(high_hpa, units), a="1013 hPa", b="29.92 inHg"
    )
    return _sized(text, field, wanted, _HPA, units.pressure, low_hpa, high_hpa)


def parse_percent(text: str, field: str, low_pct: float = 0.0, high_pct: float = 100.0) -> float:
    """Percent of "55" or "55 %"."""
    wanted = translate("Quantities", "a percentage from {low} to {high}, for example 55")
    wanted = wanted.format(low=fmt(low_pct, 0), high=percent(high_pct))
    return _sized(text, field, wanted, {"%": 1.0}, "%", low_pct, high_pct)


def _sized(
    text: str,
    field: str,
    wanted: str,
    sizes: Mapping[str, float],
    own: str,
    low: float,
    high: float,
) -> float:
    """One number with its unit, or in one's `own` where it names none."""
    value, unit = number_and_unit(text, field, wanted)
    size = sizes.get((unit or own).lower().replace(" ", ""))
    if size is None:
        raise QuantityError(field, wanted)
    return within(value * size, low, high, field, wanted)


def within(value: float, low: float, high: float, field: str, wanted: str) -> float:
    """`value`, which must lie from `low` to `high`; else QuantityError."""
    # A bound that was itself converted (32 °F is 0 °C) must not refuse what it was written for.
    slack = 1e-9 * max(1.0, abs(low), abs(high))
    if not low - slack <= value <= high + slack:
        raise QuantityError(field, wanted)
    return value
