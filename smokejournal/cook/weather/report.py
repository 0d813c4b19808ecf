"""A weather report as airfields give it (METAR or SPECI, WMO-No. 306, FM 15), read into an entry.

Every group is held against the grammar of WMO-No. 306 and FMH-1; what is not whole is told, group by
group, and a value that is given twice and differently is not taken at all. What was not said is unknown:

- No weather group means no weather only in a report that is whole. WMO-No. 306, FM 15, note 2 to the
  code form: where an element does not occur its group is omitted. FMH-1, chapter 12, omits a group also
  where it can't be observed, so an automatic station must say that it has the sensor.
- The cover is that of the layer that covers most, so it is unknown unless all layers were understood
  and what follows them shows that the list was not cut short.

Only the day of the month stands in a report: it is taken as the latest such day.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import Literal

from smokejournal.cook.log.entries import Precipitation, Sky, WeatherObserved
from smokejournal.cook.text.translate import translate
from smokejournal.cook.weather import groups as g
from smokejournal.science.air.humid_air import AIR_C, DEW_POINT_LOWEST_C, humidity_of_pct

LONGEST = 2_000
#: A report's clock may run ahead of ours by this [s].
AHEAD_S = 1800.0
#: Tenths and whole degrees of one report part by rounding alone (FMH-1 2.6.3: halves go up).
TENTHS_APART_K = 0.5


@dataclass(frozen=True, slots=True)
class RefusedGroup:
    """A part of the report that was not taken, and why."""

    text: str
    why: str


@dataclass(frozen=True, slots=True)
class WeatherReport:
    """What a report says. `at_s` is None where its time is damaged, and then nothing is taken.

    `seen` holds what was understood, with the report's text. `aside` are groups that are whole and
    that the journal has no place for (visibility, runways, forecasts, remarks). `weather` are the
    groups of present weather. `humidity_pct` are the ends between which the humidity lies, as far as
    the report's degrees tell. Both pressures are reduced to the sea, neither is the place's own;
    `pressure_by` says whether it is the altimeter setting (QNH) or was found among the remarks (SLP).
    """

    text: str
    station: str = ""
    at_s: float | None = None
    seen: WeatherObserved = field(default_factory=WeatherObserved)
    weather: tuple[str, ...] = ()
    humidity_pct: tuple[float, float] | None = None
    pressure_by: Literal["", "altimeter", "remark"] = ""
    refused: tuple[RefusedGroup, ...] = ()
    aside: tuple[str, ...] = ()

    @property
    def usable(self) -> bool:
        """True where there is something to record."""
        return self.at_s is not None and self.seen != WeatherObserved(report=self.seen.report)


def read_report(text: str, now_s: float) -> WeatherReport:
    """Read a report as of `now_s` (UTC seconds). Never raises: what is wrong is in `refused`."""
    return _Reader(text, now_s).read()


class _Reader:
    """Goes through the groups once, sorts them by kind, and decodes the whole ones.

    `damaged`: a group was refused that may have been a layer of cloud or a weather group. `closed`:
    temperature or pressure came after the last of these, so that none was cut off.
    """

    def __init__(self, text: str, now_s: float) -> None:
        self.text = " ".join(text.split())
        self.now_s = now_s
        self.refused: list[RefusedGroup] = []
        self.aside: list[str] = []
        self.station = ""
        self.at_s: float | None = None
        self.automatic = False
        self.tells_what_falls = False
        self.mute = False
        self.damaged = False
        self.pressure_met = False
        self.closed = False
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
            when = g.TIME.fullmatch(group)
            if when is None:
                continue
            self.at_s = _moment(int(when[1]), int(when[2]), int(when[3]), self.now_s)
            # The station stands right before the time; else groups are lost or out of their places.
            before = [group for group in groups[:n] if not g.TYPE.fullmatch(group)]
            self.automatic = "AUTO" in before
            before = [group for group in before if not g.MODIFIER.fullmatch(group)]
            if before and g.STATION.fullmatch(before[-1]):
                self.station = before.pop()
            self.damaged = bool(before) and not self.station
            for group in before:
                self._refuse(group, translate("Report", "not understood"))
            return groups[n + 1 :]
        return []

    def _sort(self, groups: Sequence[str]) -> None:
        n = 0
        while n < len(groups):
            group = groups[n]
            if g.TREND.fullmatch(group):
                # What is forecast was not seen.
                self.aside.append(" ".join(groups[n:]))
                return
            both = " ".join(groups[n : n + 2])
            # A whole mile before its fraction, and a minus that was torn from its degrees.
            if re.fullmatch(r"\d \d/\d{1,2}SM|M \S+/\S*", both):
                group = both
                n += 1
            self._sort_one(group)
            n += 1

    def _sort_one(self, group: str) -> None:
        if g.MODIFIER.fullmatch(group):
            self.automatic = self.automatic or group == "AUTO"
            return
        after = self.pressure_met
        if group == "CAVOK" and not after:
            for kind in ("visibility", "sky"):
                self.groups.setdefault(kind, []).append(group)
            self.aside.append(group)
            return
        for kind, whole, missing in g.KINDS:
            if whole.fullmatch(group):
                if kind in ("sky", "weather") and after:
                    # The weather of a forecast that has lost its TEMPO was not seen.
                    self._damage(group, translate("Report", "not in its place"))
                    return
                self._meet(kind)
                self.groups.setdefault(kind, []).append(group)
                if kind == "visibility" or group in ("NSC", "NCD"):
                    self.aside.append(group)
                return
            if missing is not None and missing.fullmatch(group):
                self._meet(kind)
                self.groups.setdefault(f"no {kind}", []).append(group)
                self.aside.append(group)
                return
        if any(known.fullmatch(group) for known in (g.AFTER if after else g.BEFORE)):
            self.aside.append(group)
        elif g.WIND_BEYOND.fullmatch(group):
            self._refuse(
                group,
                translate("Report", "a wind this strong isn't accepted; look for an extra digit"),
            )
        else:
            # What can only have been a number leaves sky and weather as they are.
            for kind, nearly in g.NEARLY:
                if nearly.fullmatch(group):
                    self.groups.setdefault(f"no {kind}", []).append(group)
                    self._refuse(group, translate("Report", "not understood"))
                    return
            self._damage(group, translate("Report", "not understood"))

    def _meet(self, kind: str) -> None:
        self.pressure_met = self.pressure_met or kind == "pressure"
        if kind in ("sky", "weather"):
            self.closed = False
        elif kind in ("temperature", "pressure"):
            self.closed = True

    def _damage(self, group: str, why: str) -> None:
        self.damaged = True
        self._refuse(group, why)

    def _sort_remarks(self, groups: Sequence[str]) -> None:
        rest = []
        for group in groups:
            if g.TENTHS.fullmatch(group):
                self.groups.setdefault("tenths", []).append(group)
            elif g.SEA_LEVEL.fullmatch(group):
                self.groups.setdefault("sea_level", []).append(group)
            elif g.NEARLY_TENTHS.fullmatch(group):
                self._refuse(group, translate("Report", "the tenths of a degree are damaged"))
            else:
                # With the sensor for it, AO2: nothing told means that nothing falls.
                self.tells_what_falls = self.tells_what_falls or group == "AO2"
                # FMH-1 12.7.2, sensor status: what falls can't be told.
                self.mute = self.mute or group == "PWINO"
                rest.append(group)
        if rest:
            self.aside.append(" ".join(["RMK", *rest]))

    # -- decoding ----------------------------------------------------------------------------

    def _one(self, kind: str) -> str:
        """The group of a kind; none where there are two that differ, which is told."""
        found = list(dict.fromkeys(self.groups.get(kind, [])))
        if len(found) > 1:
            # Perhaps two reports that ran together, so that sky and weather may be another's.
            self._damage(" ".join(found), translate("Report", "given twice and differently"))
        return found[0] if len(found) == 1 else ""

    def _decoded(self) -> WeatherReport:
        wind = self._checked(self._one("wind"), g.wind_trouble)
        view = self._one("visibility")
        pressure = self._pressure_group()
        temperature, tenths = self._one("temperature"), self._one("tenths")
        seen = WeatherObserved()
        if match := g.WIND.fullmatch(wind):
            gust = None if match[3] is None else g.speed_m_s(match[3], match[4])
            seen = replace(seen, wind_m_s=g.speed_m_s(match[2], match[4]), gust_m_s=gust)
        sea_level_hpa, pressure_by = self._sea_level(pressure)
        seen = replace(seen, sea_level_hpa=sea_level_hpa)
        seen, humidity_pct = self._with_air(seen, temperature, tenths)
        sky, weather = self.groups.get("sky", []), self.groups.get("weather", [])
        # WMO-No. 306, 15.10: CAVOK stands in the place of visibility, weather and cloud.
        alone = g.ALONE.intersection(sky)
        if alone and (len(set(sky)) > 1 or ("CAVOK" in alone and (weather or view != "CAVOK"))):
            self._damage(
                " ".join(alone), translate("Report", "it doesn't go with what stands beside it")
            )
        # Without what follows them, layers and weather may have been cut off.
        if self.damaged or not self.closed:
            for group in [*sky, *weather]:
                self._refuse(
                    group, translate("Report", "what stood beside it is damaged or missing")
                )
            sky = weather = []
        else:
            seen = replace(
                seen,
                sky=self._sky(sky, weather),
                precipitation=self._precipitation(weather, view, whole=self._whole()),
            )
        if seen == WeatherObserved():
            self._refuse(
                self.text[:80],
                translate(
                    "Report", "it has no wind, air, pressure, sky or weather that can be used"
                ),
            )
        return WeatherReport(
            text=self.text,
            station=self.station,
            at_s=self.at_s,
            seen=replace(seen, report=self.text),
            weather=tuple(weather),
            humidity_pct=humidity_pct,
            pressure_by=pressure_by,
            refused=tuple(self.refused),
            aside=tuple(self.aside),
        )

    def _whole(self) -> bool:
        """True where every group that a report must have is there and tells something."""
        needed = ("wind", "visibility", "sky", "temperature", "pressure")
        return not self.refused and all(
            kind in self.groups and f"no {kind}" not in self.groups for kind in needed
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
            if self._checked(group, g.pressure_trouble)
        ]
        values = [g.altimeter_hpa(group) for group in found]
        if values and max(values) - min(values) > 1.0:
            self._damage(" ".join(found), translate("Report", "given twice and differently"))
            return ""
        return found[0] if found else ""

    def _sea_level(self, pressure: str) -> tuple[float | None, Literal["", "altimeter", "remark"]]:
        """The altimeter setting; the sea-level pressure of the remarks where there is none."""
        if pressure:
            return round(g.altimeter_hpa(pressure), 1), "altimeter"
        remark = g.SEA_LEVEL.fullmatch(self._one("sea_level"))
        if remark is None:
            return None, ""
        # FMH-1 12.7.1.v: the digits of tens, units and tenths; 9 before them from 500 up.
        tens = int(remark[1]) / 10
        return (900.0 if tens >= 50.0 else 1000.0) + tens, "remark"

    def _with_air(
        self, seen: WeatherObserved, temperature: str, tenths: str
    ) -> tuple[WeatherObserved, tuple[float, float] | None]:
        """With air and humidity, and the ends between which the humidity lies."""
        said, fine = g.TEMPERATURE.fullmatch(temperature), g.TENTHS.fullmatch(tenths)
        air_c, dew_c = (None, None) if said is None else (g.degrees(said[1]), g.degrees(said[2]))
        off_k = 0.5
        if fine is not None:
            whole, off_k = (air_c, dew_c), 0.05
            air_c, dew_c = g.tenths(fine[1], fine[2]), g.tenths(fine[3], fine[4])
            for tenth_c, whole_c in zip((air_c, dew_c), whole, strict=True):
                if tenth_c is None or whole_c is None:
                    continue
                if abs(tenth_c - whole_c) > TENTHS_APART_K + 1e-9:
                    self._refuse(
                        f"{temperature} {tenths}",
                        translate("Report", "whole degrees and tenths do not belong together"),
                    )
                    return seen, None
        if air_c is None:
            return seen, None
        if not AIR_C[0] <= air_c <= AIR_C[1]:
            self._refuse(
                temperature or tenths,
                translate("Report", "air from {low:g} to {high:g} °C is taken").format(
                    low=AIR_C[0], high=AIR_C[1]
                ),
            )
            return seen, None
        seen = replace(seen, air_c=air_c)
        if dew_c is None:
            return seen, None
        if not DEW_POINT_LOWEST_C <= dew_c <= air_c:
            self._refuse(
                tenths or temperature, translate("Report", "the dew point is above the air")
            )
            return seen, None
        ends = g.humidity_ends(air_c, dew_c, off_k)
        # No finer than the degrees allow: to the step that is not smaller than half their reach.
        half = (ends[1] - ends[0]) / 2
        step = next((step for step in (1.0, 5.0) if step >= half), 10.0)
        humidity_pct = step * round(humidity_of_pct(air_c, dew_c) / step)
        return replace(seen, humidity_pct=humidity_pct), ends

    def _sky(self, sky: Sequence[str], weather: Sequence[str]) -> Sky | None:
        if any(re.fullmatch(r"(?:FZ)?FG", group) for group in weather):
            return "fog"
        if "no sky" in self.groups:
            # A layer whose amount isn't told may cover more than the others.
            return None
        found = [word for group in sky for code, word in g.COVERS if group.startswith(code)]
        return max(found, key=g.MORE.index) if found else None

    def _precipitation(
        self, weather: Sequence[str], view: str, *, whole: bool
    ) -> Precipitation | None:
        if "no weather" in self.groups:
            return None
        parts = [g.weather_parts(group) for group in weather]
        # What is near, drifts or blows doesn't fall here.
        codes = {
            c for how, like, codes in parts if how != "VC" and like not in g.LIFTED for c in codes
        }
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
        # Nothing falls: only where the report is whole, and where it says so by leaving a group out.
        if not whole or self.mute or (self.automatic and not self.tells_what_falls):
            return None
        return "none" if weather or not g.hidden(view) else None


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
