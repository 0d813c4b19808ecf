"""What follows from the weather, in words."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from smokejournal.cook.log.entries import WeatherObserved
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.cook.weather.report import read_report
from smokejournal.cook.weather.words import (
    air_lines,
    beaufort_words,
    cover_words,
    present_weather_words,
    pressure_here_hpa,
    report_lines,
)
from tests.reference.tables import rows

NOW = datetime(2026, 11, 26, 2, tzinfo=UTC).timestamp()


def test_names_of_wind_forces() -> None:
    """WMO-No. 306, volume I.1, section E."""
    for row in rows("beaufort_scale"):
        assert beaufort_words(int(row["beaufort_number"])) == row["term"].lower()


def test_cover() -> None:
    assert cover_words("broken") == "5–7/8"
    assert cover_words("overcast") == "8/8"
    assert cover_words("fog") == ""


def test_everything_that_follows() -> None:
    seen = WeatherObserved(air_c=25.0, humidity_pct=50.0, wind_m_s=2.0, pressure_hpa=1013.25)
    # Apparent temperature: the Bureau's own example cell, 24.8 °C. Dew point and wet bulb: PsychroLib.
    assert air_lines(seen, METRIC) == (
        "Dew point 14 °C, wet bulb 18 °C, 9.9 g of water to a kg of air, 1.18 kg/m³.",
        "Apparent temperature in the shade 25 °C.",
        "Wind force 2, light breeze.",
        "Water boils at 100.0 °C here.",
    )
    assert air_lines(seen, US)[-1] == "Water boils at 212.0 °F here."


def test_pressure_of_a_report_needs_the_altitude() -> None:
    seen = WeatherObserved(sea_level_hpa=1013.25)
    (line,) = air_lines(seen, METRIC)
    assert line.startswith("Boiling point of water: unknown without the altitude")
    (line,) = air_lines(seen, METRIC, 1500.0)
    assert line == "Water boils at 95.0 °C here, at 846 hPa of air."
    assert pressure_here_hpa(seen, None) is None
    assert pressure_here_hpa(seen, 99_000.0) is None


@pytest.mark.parametrize(
    "seen",
    [
        WeatherObserved(),
        WeatherObserved(air_c=20.0),
        WeatherObserved(humidity_pct=50.0),
        WeatherObserved(sky="clear"),
    ],
)
def test_nothing_follows_from_too_little(seen: WeatherObserved) -> None:
    assert air_lines(seen, METRIC) == ()


def test_beyond_the_formulas() -> None:
    assert air_lines(WeatherObserved(air_c=20.0, humidity_pct=0.0), METRIC) == (
        "Dew point and wet bulb: not for air this hot, cold or dry.",
    )


def test_a_report_in_words() -> None:
    report = read_report("EDDM 252350Z 260G18KT 9999 -RA BKN012 01/M01 Q1008", NOW)
    understood, refused = report_lines(report, METRIC, "Europe/Berlin", NOW)
    assert understood == (
        "EDDM, 26 Nov 2026, 00:50 (2 h 10 min ago)",
        "1.0 °C, humidity 90 % (80 – 93 %), broken clouds, light rain, "
        "1008 hPa at sea level (altimeter setting)",
        "Not reported: wind",
        "Not kept: 9999",
    )
    assert refused == ("Not taken: 260G18KT: not understood.",)


def test_what_a_damaged_report_leaves_unknown() -> None:
    report = read_report("EDDM 252350Z 26006KT 9999 -RA BNK012 01/M01 RMK SLP117", NOW)
    understood, refused = report_lines(report, METRIC, "Europe/Berlin", NOW)
    assert "1012 hPa at sea level by the remarks" in understood[1]
    assert (
        understood[2] == "Not reported: how much of the sky is covered, whether rain or snow falls"
    )
    assert refused == (
        "Not taken: BNK012: not understood.",
        "Not taken: -RA: what stood beside it is damaged or missing.",
    )


def test_a_report_of_nothing_says_so() -> None:
    understood, refused = report_lines(read_report("EDDM 252350Z", NOW), METRIC, "UTC", NOW)
    assert understood == ("EDDM, 25 Nov 2026, 23:50 (2 h 10 min ago)",)
    assert len(refused) == 1
    assert "has no wind" in refused[0]


@pytest.mark.parametrize(
    ("groups", "words"),
    [
        ("+TSRASN", "heavy thunderstorm with rain and snow"),
        ("-SHRA BR", "light showers of rain; mist"),
        ("FZDZ", "freezing drizzle"),
        ("VCSH", "showers nearby"),
        ("VCTS", "thunderstorm nearby"),
        ("BLSN DRDU", "blowing snow; low drifting dust"),
        ("MIFG BCFG", "shallow fog; patches of fog"),
    ],
)
def test_present_weather(groups: str, words: str) -> None:
    """WMO-No. 306, code table 4678."""
    assert present_weather_words(groups.split()) == words
