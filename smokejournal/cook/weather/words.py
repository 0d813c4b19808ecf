"""What follows from the weather as it was read, in short lines; and a report's decoding in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from smokejournal.cook.log.entries import WeatherObserved
from smokejournal.cook.log.entry_words import seen_words
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.numbers import fmt
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.cook.weather.groups import weather_parts
from smokejournal.cook.weather.report import WeatherReport
from smokejournal.science.air.air import apparent_temperature_c, beaufort
from smokejournal.science.air.boiling import (
    SEA_LEVEL_HPA,
    BoilingUnknown,
    boiling_point_c,
    standard_pressure_hpa,
    station_pressure_hpa,
)
from smokejournal.science.air.humid_air import humid_air
from smokejournal.science.air.sky import EIGHTHS
from smokejournal.science.numbers.ranges import OutOfRange


def beaufort_words(force: int) -> str:
    """The name of a wind force, 0 to 12 (WMO-No. 306)."""
    return (
        translate("Air", "calm"),
        translate("Air", "light air"),
        translate("Air", "light breeze"),
        translate("Air", "gentle breeze"),
        translate("Air", "moderate breeze"),
        translate("Air", "fresh breeze"),
        translate("Air", "strong breeze"),
        translate("Air", "near gale"),
        translate("Air", "gale"),
        translate("Air", "strong gale"),
        translate("Air", "storm"),
        translate("Air", "violent storm"),
        translate("Air", "hurricane"),
    )[force]


def cover_words(sky: str) -> str:
    """How many eighths of the sky a word stands for, "3–4/8"; empty for fog, which hides it."""
    for word, (low, high) in EIGHTHS.items():
        if word == sky:
            return f"{low}/8" if low == high else f"{low}–{high}/8"
    return ""


def pressure_here_hpa(seen: WeatherObserved, altitude_m: float | None) -> float | None:
    """The pressure where the pit stands, as read or from that at the sea; None where it isn't known."""
    if seen.pressure_hpa is not None:
        return seen.pressure_hpa
    if seen.sea_level_hpa is None or altitude_m is None:
        return None
    try:
        return station_pressure_hpa(seen.sea_level_hpa, altitude_m)
    except OutOfRange:
        return None


def air_lines(
    seen: WeatherObserved, units: Units, altitude_m: float | None = None
) -> tuple[str, ...]:
    """What follows from it: damp, apparent temperature, wind force, boiling point.

    What needs more than was read is left out, but for the boiling point, which says what it lacks.
    """
    lines = [_damp(seen, units, altitude_m), _apparent(seen, units), _wind(seen)]
    lines.append(_boiling(seen, units, altitude_m))
    return tuple(line for line in lines if line)


def _damp(seen: WeatherObserved, units: Units, altitude_m: float | None) -> str:
    if seen.air_c is None or seen.humidity_pct is None:
        return ""
    here = pressure_here_hpa(seen, altitude_m)
    assumed = SEA_LEVEL_HPA if altitude_m is None else standard_pressure_hpa(altitude_m)
    try:
        air = humid_air(seen.air_c, seen.humidity_pct, assumed if here is None else here)
    except OutOfRange:
        return translate("Air", "Dew point and wet bulb: not for air this hot, cold or dry.")
    parts = []
    if air.dew_point_c is not None:
        parts.append(
            translate("Air", "Dew point {t}").format(t=q.temperature(air.dew_point_c, units))
        )
    if air.wet_bulb_c is not None:
        parts.append(
            translate("Air", "wet bulb {t}").format(t=q.temperature(air.wet_bulb_c, units))
        )
    parts.append(
        translate("Air", "{n} g of water to a kg of air").format(n=fmt(air.humidity_ratio * 1e3, 1))
    )
    density = translate("Air", "{n} kg/m³").format(n=fmt(air.density_kg_m3, 2))
    if here is None:
        density = translate("Air", "{density} at the usual pressure").format(density=density)
    parts.append(density)
    return ", ".join(parts) + "."


def _apparent(seen: WeatherObserved, units: Units) -> str:
    if seen.air_c is None or seen.humidity_pct is None or seen.wind_m_s is None:
        return ""
    value_c = apparent_temperature_c(seen.air_c, seen.humidity_pct, seen.wind_m_s)
    if value_c is None:
        return ""
    return translate("Air", "Apparent temperature in the shade {t}.").format(
        t=q.temperature(value_c, units)
    )


def _wind(seen: WeatherObserved) -> str:
    if seen.wind_m_s is None:
        return ""
    try:
        force = beaufort(seen.wind_m_s)
    except OutOfRange:
        return ""
    return translate("Air", "Wind force {n}, {name}.").format(n=force, name=beaufort_words(force))


def _boiling(seen: WeatherObserved, units: Units, altitude_m: float | None) -> str:
    if seen.pressure_hpa is None and seen.sea_level_hpa is None:
        return ""
    here = pressure_here_hpa(seen, altitude_m)
    if here is None:
        return translate(
            "Air",
            "Boiling point of water: unknown without the altitude, since reports give the pressure "
            "at the sea. Set it under “Cooker and place”.",
        )
    try:
        boils = q.temperature(boiling_point_c(here), units, 1)
    except (OutOfRange, BoilingUnknown):
        return ""
    text = translate("Air", "Water boils at {t} here.")
    if seen.pressure_hpa is None:
        text = translate("Air", "Water boils at {t} here, at {pressure} of air.")
    return text.format(t=boils, pressure=q.pressure(here, units))


def report_lines(
    report: WeatherReport, units: Units, zone: str, now_s: float
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What was understood, and what was not: two sets of lines."""
    text = translate("Air", "Not taken: {group}: {why}.")
    refused = tuple(text.format(group=part.text, why=part.why) for part in report.refused)
    return tuple(_understood(report, units, zone, now_s)), refused


def _understood(report: WeatherReport, units: Units, zone: str, now_s: float) -> Iterator[str]:
    if report.at_s is not None:
        yield translate("Air", "{station}, {when} ({ago})").format(
            station=report.station or translate("Air", "no station"),
            when=q.date_time(report.at_s, zone, units),
            ago=q.ago(now_s - report.at_s),
        )
    if said := _said(report, units):
        yield said
    unknown = _unknown(report.seen)
    if unknown and report.usable:
        yield translate("Air", "Not reported: {what}").format(what=unknown)
    if report.aside:
        yield translate("Air", "Not kept: {groups}").format(groups=" · ".join(report.aside))


def present_weather_words(groups: Sequence[str]) -> str:
    """Groups of present weather in words: "light rain and snow; mist"."""
    return "; ".join(_weather_words(*weather_parts(group)) for group in groups)


def _weather_words(how: str, like: str, codes: Sequence[str]) -> str:
    names = {
        "DZ": translate("Air", "drizzle"),
        "RA": translate("Air", "rain"),
        "SN": translate("Air", "snow"),
        "SG": translate("Air", "snow grains"),
        "IC": translate("Air", "ice crystals"),
        "PL": translate("Air", "ice pellets"),
        "GR": translate("Air", "hail"),
        "GS": translate("Air", "small hail"),
        "UP": translate("Air", "precipitation of unknown kind"),
        "BR": translate("Air", "mist"),
        "FG": translate("Air", "fog"),
        "FU": translate("Air", "smoke"),
        "VA": translate("Air", "volcanic ash"),
        "DU": translate("Air", "dust"),
        "SA": translate("Air", "sand"),
        "HZ": translate("Air", "haze"),
        "PY": translate("Air", "spray"),
        "PO": translate("Air", "dust whirls"),
        "SQ": translate("Air", "squalls"),
        "FC": translate("Air", "funnel cloud"),
        "SS": translate("Air", "sandstorm"),
        "DS": translate("Air", "dust storm"),
    }
    what = translate("Air", " and ").join(names[code] for code in codes)
    text = {
        "": "{what}",
        "TS": translate("Air", "thunderstorm with {what}")
        if what
        else translate("Air", "thunderstorm"),
        "SH": translate("Air", "showers of {what}") if what else translate("Air", "showers"),
        "FZ": translate("Air", "freezing {what}"),
        "MI": translate("Air", "shallow {what}"),
        "BC": translate("Air", "patches of {what}"),
        "PR": translate("Air", "partial {what}"),
        "DR": translate("Air", "low drifting {what}"),
        "BL": translate("Air", "blowing {what}"),
    }[like].format(what=what)
    return {
        "": "{what}",
        "-": translate("Air", "light {what}"),
        "+": translate("Air", "heavy {what}"),
        "VC": translate("Air", "{what} nearby"),
    }[how].format(what=text)


def _unknown(seen: WeatherObserved) -> str:
    """What the report doesn't tell, by name; empty where it tells all."""
    parts = {
        translate("Air", "air"): seen.air_c,
        translate("Air", "humidity"): seen.humidity_pct,
        translate("Air", "wind"): seen.wind_m_s,
        translate("Air", "how much of the sky is covered"): seen.sky,
        translate("Air", "whether rain or snow falls"): seen.precipitation,
        translate("Air", "pressure"): seen.sea_level_hpa,
    }
    return ", ".join(name for name, value in parts.items() if value is None)


def _said(report: WeatherReport, units: Units) -> str:
    seen = report.seen
    found = seen_words(seen, units)
    if seen.air_c is not None:
        found["air"] = q.temperature(seen.air_c, units, 1)
    if seen.humidity_pct is not None:
        about = q.percent(seen.humidity_pct)
        if report.humidity_pct is not None:
            low, high = report.humidity_pct
            about = q.interval(about, fmt(low, 0), q.percent(high))
        found["humidity"] = translate("Air", "humidity {n}").format(n=about)
    if report.weather:
        found["precipitation"] = present_weather_words(report.weather)
    if "sea_level" in found:
        text = translate("Air", "{pressure} (altimeter setting)")
        if report.pressure_by == "remark":
            text = translate("Air", "{pressure} by the remarks")
        found["sea_level"] = text.format(pressure=found["sea_level"])
    order = ("air", "humidity", "wind", "gust", "sky", "precipitation", "sea_level")
    return ", ".join(found[of] for of in order if of in found)
