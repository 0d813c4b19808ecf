"""A weather report as airfields give it (METAR or SPECI, WMO-No. 306, FM 15), read into an entry.

The package `metar` decodes it. It reads leniently: a wind without its unit gets one, a letter O counts
as a nought. A journal must not hold guesses, so every group is held against the grammar of WMO-No. 306
and FMH-1 first, and only what is whole goes to the package. What is not is told, group by group; a
value that is given twice and differently is not taken at all. The package is imported when first
needed (some 70 ms). Only the day of the month stands in a report: it is taken as the latest such day.
"""

from __future__ import annotations

import re
import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from smokejournal.cook.log.entries import Precipitation, Sky, WeatherObserved
from smokejournal.cook.text.translate import translate
from smokejournal.science.air.humid_air import AIR_C, humidity_of_pct
from smokejournal.science.numbers.units import M_S_PER_KMH, M_S_PER_KNOT

if TYPE_CHECKING:
    from metar.Metar import Metar

LONGEST = 2_000
#: A report's clock may run ahead of ours by this [s].
AHEAD_S = 1800.0
#: Tenths and whole degrees of one report may part by rounding and, as seen in real ones, a little more.
TENTHS_APART_K = 1.0


@dataclass(frozen=True, slots=True)
class RefusedGroup:
    """A part of the report that was not taken, and why."""

    text: str
    why: str


@dataclass(frozen=True, slots=True)
class WeatherReport:
    """What a report says. `at_s` is None where its time is damaged, and then nothing is taken.

    `seen` holds what was understood, with the report's text. `aside` are groups that are whole and
    that the journal has no place for (visibility, runways, forecasts, remarks). `weather` is the
    present weather as the package words it.
    """

    text: str
    station: str = ""
    at_s: float | None = None
    seen: WeatherObserved = field(default_factory=WeatherObserved)
    weather: str = ""
    refused: tuple[RefusedGroup, ...] = ()
    aside: tuple[str, ...] = ()

    @property
    def usable(self) -> bool:
        """True where there is something to record."""
        return self.at_s is not None and self.seen != WeatherObserved(report=self.seen.report)


def looks_like_report(text: str) -> bool:
    """True for text that is meant as a report, whole or damaged."""
    return bool(re.search(r"\b\d{6}Z\b|\bMETAR\b|\bSPECI\b", text.upper()))


def read_report(text: str, now_s: float) -> WeatherReport:
    """Read a report as of `now_s` (UTC seconds). Never raises: what is wrong is in `refused`."""
    return _Reader(text, now_s).read()


_TYPE = re.compile(r"METAR|SPECI")
_MODIFIER = re.compile(r"AUTO|COR|CC[A-G]|RTD")
_STATION = re.compile(r"[A-Z][A-Z0-9]{3}")
_TIME = re.compile(r"(\d\d)(\d\d)(\d\d)Z")
_WIND = re.compile(r"(\d\d0|VRB)(\d{2,3})(?:G(\d{2,3}))?(KT|MPS|KMH)")
_WIND_MISSING = re.compile(r"/{3,5}(?:KT|MPS|KMH)?")
_WIND_BEYOND = re.compile(r"(?:\d\d0|VRB)P\d{2,3}(?:GP?\d{2,3})?(?:KT|MPS|KMH)")
_VARIES = re.compile(r"\d\d0V\d\d0")
_TEMPERATURE = re.compile(r"(M?\d\d)/(M?\d\d|//)?")
_TEMPERATURE_MISSING = re.compile(r"//(?:/(?://|M?\d\d))?|/////")
_PRESSURE = re.compile(r"Q(\d{4})|A(\d{4})")
_PRESSURE_MISSING = re.compile(r"[QA]////")
_SKY = re.compile(r"(?:FEW|SCT|BKN|OVC)(?:\d{3}|///)(?:CB|TCU|///)?|VV(?:\d{3}|///)|SKC|CLR")
_SKY_UNSAID = re.compile(r"NSC|NCD|CAVOK|/{6,9}|/{6}(?:CB|TCU)|///(?:\d{3})(?:///|CB|TCU)?")
_WEATHER = re.compile(
    r"(?:[-+]|VC)?(?=[A-Z])(?:MI|BC|PR|DR|BL|SH|TS|FZ)?(?:DZ|RA|SN|SG|IC|PL|GR|GS|UP){0,3}"
    r"(?:BR|FG|FU|VA|DU|SA|HZ|PY)?(?:PO|SQ|FC|SS|DS)?"
)
_VISIBILITY = re.compile(r"\d{4}(?:[NSEW]{1,2}|NDV)?|[MP]?\d{1,2}SM|[MP]?\d/\d{1,2}SM|////(?:SM)?")
_RUNWAY = re.compile(r"R\d\d[LCR]?/\S+")
_RECENT = re.compile(r"RE[A-Z]{2,8}|WS|R\d\d[LCR]?|ALL|RWY|W(?:M?\d\d|//)/\S+|NOSIG|BLU|WHT|GRN|\$")
_TREND = re.compile(r"TEMPO|BECMG")
_TENTHS = re.compile(r"T([01])(\d{3})(?:([01])(\d{3}))?")
_NEARLY_TENTHS = re.compile(r"T[\dO/]{3,}")
_SEA_LEVEL = re.compile(r"SLP(\d{3})")

#: Inches of mercury times a hundred, and hectopascals, that a barometer at the sea can show.
_INCHES = (2500, 3200)
_HPA = (850, 1090)


class _Reader:
    """Goes through the groups once, sorts them, and lets the package decode the whole ones."""

    def __init__(self, text: str, now_s: float) -> None:
        self.text = " ".join(text.split())
        self.now_s = now_s
        self.refused: list[RefusedGroup] = []
        self.aside: list[str] = []
        self.station = ""
        self.at_s: float | None = None
        self.automatic = False
        self.tells_what_falls = False
        self.groups: dict[str, list[str]] = {}

    def read(self) -> WeatherReport:
        if not self.text:
            return self._nothing(translate("Report", "there is nothing to read"))
        if len(self.text) > LONGEST:
            return self._nothing(
                translate("Report", "this is longer than {n} letters").format(n=LONGEST)
            )
        whole = self.text.upper().rstrip("= ")
        body, _, remarks = whole.partition(" RMK")
        rest = self._head(body.split())
        if self.at_s is None:
            return self._nothing(
                translate(
                    "Report",
                    "the time is missing or damaged: it is written as in 252356Z, day, hour, minute",
                )
            )
        if "NIL" in rest:
            return self._nothing(translate("Report", "the station says that there is no report"))
        self._sort(rest)
        self._sort_remarks(remarks.split())
        return self._decoded()

    def _nothing(self, why: str) -> WeatherReport:
        return WeatherReport(self.text, self.station, refused=(RefusedGroup(self.text[:80], why),))

    def _refuse(self, group: str, why: str) -> None:
        self.refused.append(RefusedGroup(group, why))

    # -- sorting -----------------------------------------------------------------------------

    def _head(self, groups: list[str]) -> list[str]:
        """Type, station and time; the groups after them."""
        for n, group in enumerate(groups):
            when = _TIME.fullmatch(group)
            if when is None:
                continue
            self.at_s = _moment(int(when[1]), int(when[2]), int(when[3]), self.now_s)
            for before in groups[:n]:
                if _TYPE.fullmatch(before) or _MODIFIER.fullmatch(before):
                    continue
                if _STATION.fullmatch(before) and not self.station:
                    self.station = before
                else:
                    self._refuse(before, translate("Report", "not understood"))
            return groups[n + 1 :]
        return []

    def _sort(self, groups: Sequence[str]) -> None:
        n = 0
        while n < len(groups):
            group = groups[n]
            if _TREND.fullmatch(group):
                # What is forecast was not seen.
                self.aside.append(" ".join(groups[n:]))
                return
            following = groups[n + 1] if n + 1 < len(groups) else ""
            if re.fullmatch(r"\d", group) and re.fullmatch(r"\d/\d{1,2}SM", following):
                self.aside.append(f"{group} {following}")
                n += 2
                continue
            self._sort_one(group)
            n += 1

    def _sort_one(self, group: str) -> None:
        if _MODIFIER.fullmatch(group):
            self.automatic = self.automatic or group == "AUTO"
            return
        for kind, whole, missing in _KINDS:
            if whole.fullmatch(group):
                self.groups.setdefault(kind, []).append(group)
                return
            if missing is not None and missing.fullmatch(group):
                self.aside.append(group)
                return
        for known in (_VARIES, _VISIBILITY, _RUNWAY, _RECENT, _SKY_UNSAID):
            if known.fullmatch(group):
                self.aside.append(group)
                return
        if group and _WEATHER.fullmatch(group):
            self.groups.setdefault("weather", []).append(group)
        elif _WIND_BEYOND.fullmatch(group):
            self._refuse(group, translate("Report", "the wind is beyond what is measured"))
        else:
            self._refuse(group, translate("Report", "not understood"))

    def _sort_remarks(self, groups: Sequence[str]) -> None:
        rest = []
        for group in groups:
            if _TENTHS.fullmatch(group):
                self.groups.setdefault("tenths", []).append(group)
            elif _SEA_LEVEL.fullmatch(group):
                self.groups.setdefault("sea_level", []).append(group)
            elif _NEARLY_TENTHS.fullmatch(group):
                self._refuse(group, translate("Report", "the tenths of a degree are damaged"))
            else:
                # With the sensor for it, AO2: nothing told means that nothing falls.
                self.tells_what_falls = self.tells_what_falls or group == "AO2"
                rest.append(group)
        if rest:
            self.aside.append(" ".join(["RMK", *rest]))

    # -- decoding ----------------------------------------------------------------------------

    def _one(self, kind: str) -> str:
        """The group of a kind; none where there are two that differ, which is told."""
        found = list(dict.fromkeys(self.groups.get(kind, [])))
        if len(found) > 1:
            self._refuse(" ".join(found), translate("Report", "given twice and differently"))
        return found[0] if len(found) == 1 else ""

    def _decoded(self) -> WeatherReport:
        wind, temperature = self._one("wind"), self._one("temperature")
        tenths = self._one("tenths")
        pressure = self._pressure_group()
        wind = self._checked(wind, _wind_trouble)
        sky, weather = self.groups.get("sky", []), self.groups.get("weather", [])
        parts = [self.station or "ZZZZ", _stamp(self.at_s), wind, *weather, *sky, temperature]
        parts += [pressure]
        decoded = _decode([part for part in parts if part], tenths, self.at_s)
        if decoded is None:
            return self._nothing(translate("Report", "the report can't be decoded"))
        seen = WeatherObserved(
            sky=self._sky(sky, weather),
            precipitation=self._precipitation(weather),
            sea_level_hpa=self._sea_level(decoded, pressure),
        )
        if wind:
            seen = replace(
                seen, wind_m_s=_speed(decoded.wind_speed), gust_m_s=_speed(decoded.wind_gust)
            )
        seen = self._with_air(seen, decoded, temperature, tenths)
        return WeatherReport(
            text=self.text,
            station=self.station,
            at_s=self.at_s,
            seen=replace(seen, report=self.text),
            weather=decoded.present_weather(),
            refused=tuple(self.refused),
            aside=tuple(self.aside),
        )

    def _checked(self, group: str, trouble: Callable[[str], str]) -> str:
        why = trouble(group) if group else ""
        if why:
            self._refuse(group, why)
            return ""
        return group

    def _pressure_group(self) -> str:
        """One altimeter group. Two, in hPa and in inches, must say the same."""
        found = [
            group
            for group in dict.fromkeys(self.groups.get("pressure", []))
            if self._checked(group, _pressure_trouble)
        ]
        values = [_hpa(group) for group in found]
        if values and max(values) - min(values) > 1.0:
            self._refuse(" ".join(found), translate("Report", "given twice and differently"))
            return ""
        return found[0] if found else ""

    def _sea_level(self, decoded: Metar, pressure: str) -> float | None:
        """The altimeter setting; the sea-level pressure of the remarks where there is none."""
        if pressure and decoded.press is not None:
            return round(float(decoded.press.value("HPA")), 1)
        remark = _SEA_LEVEL.fullmatch(self._one("sea_level"))
        if remark is None:
            return None
        # FMH-1 12.7.1.v: the digits of tens, units and tenths; 9 before them from 500 up.
        tens = int(remark[1]) / 10
        return 900.0 + tens if tens >= 50.0 else 1000.0 + tens

    def _with_air(
        self, seen: WeatherObserved, decoded: Metar, temperature: str, tenths: str
    ) -> WeatherObserved:
        said = _TEMPERATURE.fullmatch(temperature)
        if decoded.temp is None:
            return seen
        air_c = float(decoded.temp.value("C"))
        dew_c = None if decoded.dewpt is None else float(decoded.dewpt.value("C"))
        if said is not None and tenths:
            whole = (_degrees(said[1]), _degrees(said[2]) if said[2] not in (None, "//") else None)
            for fine, coarse in ((air_c, whole[0]), (dew_c, whole[1])):
                if fine is not None and coarse is not None and abs(fine - coarse) > TENTHS_APART_K:
                    self._refuse(
                        f"{temperature} {tenths}",
                        translate("Report", "whole degrees and tenths do not belong together"),
                    )
                    return seen
        if not AIR_C[0] <= air_c <= AIR_C[1]:
            self._refuse(
                temperature or tenths,
                translate("Report", "air from {low:g} to {high:g} °C is taken").format(
                    low=AIR_C[0], high=AIR_C[1]
                ),
            )
            return seen
        seen = replace(seen, air_c=air_c)
        if dew_c is None:
            return seen
        if not -70.0 <= dew_c <= air_c:
            self._refuse(
                tenths or temperature, translate("Report", "the dew point is above the air")
            )
            return seen
        # Whole degrees tell the humidity to a few per cent, tenths to half of one.
        digits = 1 if tenths else 0
        return replace(seen, humidity_pct=round(humidity_of_pct(air_c, dew_c), digits))

    def _sky(self, sky: Sequence[str], weather: Sequence[str]) -> Sky | None:
        if any(re.fullmatch(r"(?:FZ)?FG|[-+]?(?:DZ|RA|SN)+FG", group) for group in weather):
            return "fog"
        found = [word for group in sky for code, word in _COVERS if group.startswith(code)]
        return max(found, key=_MORE.index) if found else None

    def _precipitation(self, weather: Sequence[str]) -> Precipitation | None:
        here = [group.lstrip("+-") for group in weather if not group.startswith("VC")]
        falling = "".join(group for group in here if not group.startswith(("DR", "BL")))
        codes = set(re.findall(r"GR|GS|PL|RA|DZ|SN|SG|IC|UP", falling.replace("TS", "")))
        if "UP" in codes:
            self.aside.append(translate("Report", "UP: something falls, of unknown kind"))
            return None
        if codes & {"GR", "GS"}:
            return "hail"
        if "PL" in codes or (codes & {"RA", "DZ"} and codes & {"SN", "SG"}):
            return "sleet"
        if codes & {"SN", "SG", "IC"}:
            return "snow"
        if "RA" in codes:
            return "rain"
        if "DZ" in codes:
            return "drizzle"
        # An automatic station without the sensor that tells rain from snow says nothing by silence.
        return "none" if not self.automatic or self.tells_what_falls else None


_KINDS: tuple[tuple[str, re.Pattern[str], re.Pattern[str] | None], ...] = (
    ("wind", _WIND, _WIND_MISSING),
    ("temperature", _TEMPERATURE, _TEMPERATURE_MISSING),
    ("pressure", _PRESSURE, _PRESSURE_MISSING),
    ("sky", _SKY, None),
)
_COVERS: tuple[tuple[str, Sky], ...] = (
    ("FEW", "few"),
    ("SCT", "scattered"),
    ("BKN", "broken"),
    ("OVC", "overcast"),
    ("VV", "overcast"),
    ("SKC", "clear"),
    ("CLR", "clear"),
)
_MORE: tuple[Sky, ...] = ("clear", "few", "scattered", "broken", "overcast", "fog")


def _moment(day: int, hour: int, minute: int, now_s: float) -> float | None:
    """The latest such day, hour and minute in UTC up to `now_s`; None where there is none such."""
    if not (1 <= day <= 31 and hour <= 23 and minute <= 59):
        return None
    at = datetime.fromtimestamp(now_s + AHEAD_S, UTC)
    for back in range(62):
        when = at - timedelta(days=back)
        if when.day == day:
            said = when.replace(hour=hour, minute=minute, second=0, microsecond=0)
            if said <= at:
                return said.timestamp()
    return None


def _stamp(at_s: float | None) -> str:
    assert at_s is not None
    return datetime.fromtimestamp(at_s, UTC).strftime("%d%H%MZ")


def _decode(groups: Sequence[str], tenths: str, at_s: float | None) -> Metar | None:
    from metar.Metar import Metar, ParserError

    assert at_s is not None
    when = datetime.fromtimestamp(at_s, UTC)
    code = " ".join(groups) + (f" RMK {tenths}" if tenths else "")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            return Metar(code, month=when.month, year=when.year)
        except (ParserError, RuntimeWarning):
            return None


def _speed(said: object) -> float | None:
    """A speed of the package in m/s; it has no km/h of its own for reading, but for giving."""
    value = getattr(said, "value", None)
    return None if value is None else round(float(value("MPS")), 2)


def _wind_trouble(group: str) -> str:
    match = _WIND.fullmatch(group)
    assert match is not None
    per_unit = {"KT": M_S_PER_KNOT, "MPS": 1.0, "KMH": M_S_PER_KMH}[match[4]]
    if match[1] != "VRB" and int(match[1]) > 360:
        return translate("Report", "a direction goes from 0 to 360 degrees")
    if int(match[2]) * per_unit > 100.0:
        return translate("Report", "no wind is that strong")
    if match[3] is not None and int(match[3]) < int(match[2]):
        return translate("Report", "the gusts are weaker than the wind")
    return ""


def _hpa(group: str) -> float:
    return float(group[1:]) if group[0] == "Q" else float(group[1:]) * 0.3386389


def _pressure_trouble(group: str) -> str:
    low, high = _HPA if group[0] == "Q" else _INCHES
    if low <= int(group[1:]) <= high:
        return ""
    return translate("Report", "from {low} to {high} is a pressure at the sea").format(
        low=f"{group[0]}{low:04d}", high=f"{group[0]}{high:04d}"
    )


def _degrees(text: str) -> float:
    return -float(text[1:]) if text.startswith("M") else float(text)
