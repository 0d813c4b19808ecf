"""The sheet in words: what is known, what isn't and why, and which day a time belongs to."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from smokejournal.cook.log.entries import (
    CookClosed,
    CookRenamed,
    FuelAdded,
    FuelLevel,
    ItemAdded,
    Lid,
    Payload,
    Tasted,
    WeatherObserved,
    Weighed,
)
from smokejournal.cook.log.schedule import ForTime, Stage, UntilTemperature
from smokejournal.cook.summary.sheet import Marks, Paragraph, Section, Table, units_kept
from smokejournal.cook.summary.sheet_sections import ORDER, mark_words, sheet_of
from smokejournal.cook.summary.summary import summarize
from smokejournal.cook.text.quantities import METRIC, US, Units
from tests.support.logs import T0, cook_log, ramp

COOK = Stage("s1", "Cook", (UntilTemperature(74.0),), pit_target_c=107.0)
Said = Sequence[tuple[float, Payload]]


def section(
    key: str, said: Said = (), units: Units = METRIC, now: float = 20000.0
) -> Section | None:
    return sheet_of(summarize(cook_log([COOK], said), T0 + now), units).section(key)


def text_of(found: Section | None) -> str:
    assert found is not None
    said: list[str] = []
    for block in found.blocks:
        if isinstance(block, Paragraph):
            said.append(block.text)
        elif isinstance(block, Table):
            said += ["  ".join(row) for row in block.rows]
    return "\n".join(said)


@pytest.mark.parametrize(
    ("wanted_s", "says"),
    [(7200.0, ", done in time"), (3600.0, ", done 1 h later"), (9000.0, ", done 30 min earlier")],
)
def test_the_wanted_time_against_what_came(wanted_s: float, says: str) -> None:
    stage = Stage("s1", "Cook", (ForTime(7200.0),), pit_target_c=107.0)
    log = cook_log([stage], [(0.0, CookRenamed("Trout", ready_at_s=T0 + wanted_s))])
    over = sheet_of(summarize(log, T0 + 20000.0), METRIC)
    assert any(line.startswith("wanted for ") and line.endswith(says) for line in over.lines)
    before = sheet_of(summarize(log, T0 + 100.0), METRIC)
    assert not any("done" in line for line in before.lines)


class TestFuel:
    def test_unknown_says_why_and_what_is_known_of_a_part(self) -> None:
        said = [(0, FuelLevel(5.0, 0.1)), (7200, FuelLevel(4.0, 0.1))]
        text = text_of(section("fuel", said))
        assert "Burned in total: unknown: the level was not read at the end." in text
        assert "Between 20:26 and 22:26: 1.00 ± 0.14 kg." in text
        assert "0.50 ± 0.07 kg per hour" in text

    def test_cost_without_what_has_no_price(self) -> None:
        said: Said = [
            (0, FuelLevel(1.0, 0.0)),
            (10, FuelAdded("oak", 4.0, 0.0, price_per_kg=2.0, currency="EUR")),
            (9000, FuelLevel(3.0, 0.0)),
            (9000, CookClosed()),
        ]
        text = text_of(section("fuel", said))
        assert "oak  1.00 kg  2.00 EUR" in text
        assert "left from before  1.00 kg  unknown: no price was noted" in text
        assert "Cost: 2.00 EUR, without “left from before”, for which no price was noted." in text

    def test_nothing_logged_is_no_section_but_is_named(self) -> None:
        assert section("fuel") is None
        assert "fuel" in text_of(section("missing"))


class TestWeather:
    @pytest.mark.parametrize(
        ("seen", "said"),
        [
            (WeatherObserved(air_c=-5.0, wind_m_s=8.0), "feels like −13 °C (wind chill)"),
            (WeatherObserved(air_c=33.0, humidity_pct=60.0), "feels like 40 °C (heat index)"),
            (WeatherObserved(air_c=-5.0), "what it felt like is unknown: no wind was noted"),
            (WeatherObserved(air_c=33.0), "what it felt like is unknown: no humidity was noted"),
        ],
    )
    def test_feels_like(self, seen: WeatherObserved, said: str) -> None:
        assert said in text_of(section("weather", [(0, seen)]))

    def test_mild_air_feels_like_itself(self) -> None:
        text = text_of(section("weather", [(0, WeatherObserved(air_c=18.0, wind_m_s=2.0))]))
        assert text == "20:26  18 °C, wind 2 m/s"

    def test_nothing_seen(self) -> None:
        assert "nothing was noted" in text_of(section("weather", [(0, WeatherObserved())]))


class TestTimes:
    def test_clock_alone_means_the_day_of_the_cook(self) -> None:
        said: Said = [(-2 * 86400, Lid(True)), (-2 * 86400 + 60, Lid(False)), (8 * 3600, Lid(True))]
        text = text_of(section("log", said, now=30000))
        assert "26 May, 20:26  Lid opened for 60 s" in text
        assert "04:26  Lid opened" in text
        assert "It was not closed." in text


class TestStages:
    def test_every_state_has_words(self) -> None:
        stages = [
            COOK,
            Stage("s2", "Hold", (ForTime(1800.0, at_least_c=74.0),)),
            Stage("s3", "Rest"),
        ]
        readings = ramp("meat", 0, 3000, 50.0, 90.0)
        log = cook_log(stages, (), readings)
        running = sheet_of(summarize(log, T0 + 3000), METRIC).section("schedule")
        text = text_of(running)
        assert "Cook  pit at 107 °C until the lead probe is at 74 °C  20:26 – 20:57" in text
        assert "by its rule" in text
        assert "under way" in text
        assert "to come" in text
        assert "Hold: 19 min of 30 min counted at temperature." in text

    def test_probe_that_got_nowhere(self) -> None:
        log = cook_log([COOK], (), ramp("meat", 0, 1000, 5.0, 20.0))
        assert "not reached" in text_of(
            sheet_of(summarize(log, T0 + 1000), METRIC).section("probes")
        )


class TestTasteAndYield:
    def test_marks_are_means_with_their_number(self) -> None:
        said: Said = [(0, Tasted("", {"salt": 4, "crust": 2})), (1, Tasted("", {"salt": 3}))]
        found = section("taste", said)
        assert found is not None
        (marks,) = found.blocks
        assert isinstance(marks, Marks)
        assert [mark_words(mark) for mark in marks.marks] == ["3.5 of 5, mean of 2", "2 of 5"]
        # A scale that this version does not know is shown under its key, not dropped.
        assert [mark.name for mark in marks.marks] == ["Salt", "crust"]

    def test_yield_in_pounds(self) -> None:
        said: Said = [
            (0, ItemAdded("rib", mass_kg=2.0)), (1, Weighed("cooked", 1.3)),
        ]  # fmt: skip
        assert "4 lb 7 oz  –  2 lb 14 oz (65 %)  –" in text_of(section("yield", said, US))


def test_sections_keep_their_order_and_cautions_are_always_there() -> None:
    for log in (cook_log([]), cook_log([COOK], [(0, FuelLevel(1.0, 0.1))])):
        keys = [found.key for found in sheet_of(summarize(log, T0), METRIC).sections]
        assert keys == sorted(keys, key=ORDER.index)
        assert keys[-1] == "cautions"


def test_numbers_stay_with_their_units() -> None:
    kept = units_kept("74 °C for 30 min, 5 kg in 2 bags, 55 %")
    assert kept.replace("\u00a0", "_") == "74_°C for 30_min, 5_kg in 2 bags, 55_%"
