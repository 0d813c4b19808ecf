"""Weather by network: what a person chose of it, what an answer holds, and how it is told.

Off until it is switched on. An address holds `{station}` where the airfield's four letters go, and must
lead to the text of METAR or SPECI reports.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from types import MappingProxyType
from typing import Annotated
from urllib.parse import urlsplit

from smokejournal.cook.log.entry_words import seen_words
from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import Units
from smokejournal.cook.text.translate import translate
from smokejournal.cook.weather.groups import STATION
from smokejournal.cook.weather.report import WeatherReport, read_report

_HERE = "{station}"
#: Two ways to the METAR reports of the weather administration of the United States: in the public domain,
#: worldwide, without a key. The addresses are from memory and as they stand in public code; its own page on
#: the first asks for no more than 100 requests a minute and for a User-Agent that says who asks.
SERVICES: Mapping[str, str] = MappingProxyType(
    {
        "api": "https://aviationweather.gov/api/data/metar?ids={station}&format=raw",
        "files": "https://tgftp.nws.noaa.gov/data/observations/metar/stations/{station}.TXT",
    }
)
LONGEST_ADDRESS = 300
#: A report older than this [s] is no weather of now (our own judgment: most come once an hour).
OLD_S = 3 * 3600.0
#: The files begin with the day and hour of their report. Further off than this [s] it isn't that report.
_HEAD_OFF_S = 12 * 3600.0
_HEAD = re.compile(r"(\d{4})/(\d\d)/(\d\d) (\d\d):(\d\d)")


def _station(value: str) -> str:
    station = value.strip().upper()
    if station and not STATION.fullmatch(station):
        raise SchemaProblem(
            "",
            translate(
                "WeatherByNetwork",
                "An airfield's code has four letters, as at the beginning of its reports.",
            ),
        )
    return station


def _address(value: str) -> str:
    address = value.strip()
    if not address.lower().startswith("https://"):
        raise SchemaProblem(
            "",
            translate("WeatherByNetwork", "Only addresses that begin with https:// are used."),
        )
    if _HERE not in address or re.search(r"[{}]", address.replace(_HERE, "")):
        raise SchemaProblem(
            "",
            translate(
                "WeatherByNetwork",
                "Write {here} where the airfield's code goes, and no other braces.",
            ).format(here=_HERE),
        )
    if len(address) > LONGEST_ADDRESS or not _is_whole(address):
        raise SchemaProblem(
            "",
            translate(
                "WeatherByNetwork",
                "This is no whole address: no blanks, no user name, letters without accents, at most {n} "
                "in all.",
            ).format(n=LONGEST_ADDRESS),
        )
    return address


def _is_whole(address: str) -> bool:
    try:
        parts = urlsplit(address)
        host, port = parts.hostname, parts.port
    except ValueError:
        return False
    plain = address.isascii() and address.isprintable() and " " not in address
    return bool(
        plain and host and _HERE not in parts.netloc and port != 0 and "@" not in parts.netloc
    )


@dataclass(frozen=True, slots=True)
class WeatherByNetwork:
    """Whether weather is fetched, of which airfield (its four letters), and where from."""

    on: bool = False
    station: Annotated[str, _station] = ""
    address: Annotated[str, _address] = SERVICES["api"]

    @property
    def wanted(self) -> bool:
        """Whether something is to be fetched."""
        return self.on and bool(self.station)

    @property
    def whole_address(self) -> str:
        """The address for this station."""
        return self.address.replace(_HERE, self.station)

    @property
    def host(self) -> str:
        """The name of the machine that is asked."""
        return urlsplit(self.address).hostname or ""


class NoReport(Exception):
    """There is no weather from the network; `message` says why in a few words."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


def newest_report(answer: str, station: str, now_s: float) -> WeatherReport:
    """The newest usable report of `station` in what a service answered at `now_s` [UTC s].

    Raises NoReport. Everything around the report is passed over, and kept nowhere.
    """
    lines = [line.strip() for line in answer.splitlines()]
    begins = re.compile(rf"(?:.* )?{re.escape(station)} (?:(?:AUTO|COR) )?\d{{6}}Z(?: .*)?")
    told: list[str] = []
    going_on = False
    for line in lines:
        # A report is ASCII; whatever else stands there is none, and would be kept in the log.
        plain = line.isascii() and line.isprintable() and not re.search(r"[<>{}]", line)
        if plain and begins.fullmatch(line):
            told.append(line)
            going_on = True
        elif plain and line and going_on and not re.search(r"\d{6}Z", line):
            told[-1] += " " + line
        else:
            going_on = False
    if not told:
        if answer.lstrip().startswith("<"):
            raise NoReport(translate("WeatherByNetwork", "a web page came instead of a report"))
        raise NoReport(
            translate("WeatherByNetwork", "no report of {station} came").format(station=station)
        )
    reports = [read_report(text.rstrip("="), now_s) for text in told]
    usable = [r for r in reports if r.usable and r.station == station and r.at_s is not None]
    if not usable:
        raise NoReport(translate("WeatherByNetwork", "the report that came can't be read"))
    newest = max(usable, key=lambda report: report.at_s or 0.0)
    head_s = _head_s(lines[0])
    if head_s is not None and abs(head_s - (newest.at_s or 0.0)) > _HEAD_OFF_S:
        # A report names no month: one of long ago would else pass for one of this month.
        raise NoReport(
            translate("WeatherByNetwork", "the newest report of {station} is long past").format(
                station=station
            )
        )
    return newest


def _head_s(line: str) -> float | None:
    found = _HEAD.fullmatch(line)
    if found is None:
        return None
    try:
        return datetime(*(int(part) for part in found.groups()), tzinfo=UTC).timestamp()  # type: ignore[arg-type, misc]
    except (ValueError, OverflowError):
        return None


@dataclass(frozen=True, slots=True)
class NetworkWeather:
    """What came last, and since when nothing does [UTC s]. `why` says why in a few words."""

    report: WeatherReport | None = None
    failing_since_s: float | None = None
    why: str = ""


def network_line(seen: NetworkWeather, units: Units, zone: str, now_s: float) -> str:
    """What is known of it in one line; empty where nothing was asked yet."""
    parts = []
    if seen.failing_since_s is not None:
        parts.append(
            translate(
                "WeatherByNetwork", "No weather from the network since {time}: {why}."
            ).format(time=q.clock_time(seen.failing_since_s, zone, units), why=seen.why)
        )
    report = seen.report
    if report is not None and report.at_s is not None:
        age_s = max(0.0, now_s - report.at_s)
        if age_s > OLD_S:
            text = translate(
                "WeatherByNetwork", "The newest report of {station} is too old to go by ({ago})."
            )
        else:
            text = translate("WeatherByNetwork", "Airfield {station}, {ago}: {said}.")
        parts.append(
            text.format(station=report.station, ago=q.ago(age_s), said=_briefly(report, units))
        )
    return " ".join(parts)


def _briefly(report: WeatherReport, units: Units) -> str:
    found = seen_words(report.seen, units)
    told = [found[of] for of in ("air", "wind", "sky", "precipitation") if of in found]
    return ", ".join(told) or translate("WeatherByNetwork", "no air, wind or sky told")
