"""What people read and type. Conversions against printed equivalents, then round trips, then typing."""

from __future__ import annotations

import math
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.text import quantities as q
from smokejournal.cook.text.quantities import METRIC, US, QuantityError, Units

BOTH = pytest.mark.parametrize("units", [METRIC, US], ids=["metric", "us"])


def _at(*when: int, zone: str = "UTC") -> float:
    return datetime(*when, tzinfo=ZoneInfo(zone)).timestamp()  # type: ignore[arg-type]


class TestPublishedEquivalents:
    """Pairs that are printed side by side in public charts."""

    # USDA FSIS, Safe Minimum Internal Temperature Chart: °F with °C printed beside it.
    @pytest.mark.parametrize(
        ("f", "c"), [(145, "62.8"), (160, "71.1"), (165, "73.9"), (140, "60.0"), (40, "4.4")]
    )
    def test_temperature_chart(self, f: int, c: str) -> None:
        assert q.temperature_number(q.parse_temperature(f"{f} F", METRIC, "Meat"), METRIC, 1) == c

    # NIST Special Publication 811 (2008), B.8: ounce 28.349 52 g, pound 0.453 592 4 kg, inch 2.54 cm,
    # mile per hour 0.447 04 m/s, knot 0.514 444 4 m/s, inch of mercury (conventional) 33.863 89 hPa.
    def test_nist_factors(self) -> None:
        assert q.parse_mass("1 oz", METRIC, "Mass") == pytest.approx(0.02834952, rel=1e-6)
        assert q.parse_mass("1 lb", METRIC, "Mass") == pytest.approx(0.4535924, rel=1e-6)
        assert q.parse_length("1 in", METRIC, "Thickness") == pytest.approx(0.0254)
        assert q.parse_speed("1 mph", METRIC, "Wind") == pytest.approx(0.44704)
        assert q.parse_speed("1 kn", METRIC, "Wind") == pytest.approx(0.5144444, rel=1e-6)
        assert q.parse_pressure("30 inHg", METRIC, "Pressure") == pytest.approx(30 * 33.86389)


class TestRoundTrips:
    """What is written can be typed again and means the same, within the last digit written."""

    @BOTH
    @given(c=st.floats(-60, 500))
    def test_temperature(self, units: Units, c: float) -> None:
        again = q.parse_temperature(q.temperature(c, units, 2), units, "T", -61, 501)
        assert again == pytest.approx(c, abs=0.0051)

    @BOTH
    @given(k=st.floats(-50, 50))
    def test_step(self, units: Units, k: float) -> None:
        text = q.temperature_step(k, units, 2, signed=True)
        assert q.parse_temperature_step(text, units, "T") == pytest.approx(k, abs=0.0051)

    @BOTH
    @given(kg=st.floats(0, 400))
    def test_mass(self, units: Units, kg: float) -> None:
        again = q.parse_mass(q.mass(kg, units), units, "Mass")
        # Half of 10 g, or half an ounce, is what the written form can be off by.
        assert again == pytest.approx(kg, abs=0.0051 if units.mass == "kg" else 0.01418)
        assert q.parse_mass(q.mass_number(kg, units), units, "Mass") == pytest.approx(
            kg, abs=0.0051
        )

    @given(kg=st.floats(0.01, 400))
    def test_decimal_pounds(self, kg: float) -> None:
        units = Units(mass="decimal_lb")
        text = q.mass(kg, units)
        assert text.endswith(" lb")
        assert q.parse_mass(text, units, "Mass") == pytest.approx(kg, abs=0.0023)
        bare = text.removesuffix(" lb")
        assert q.parse_mass(bare, units, "Mass") == pytest.approx(kg, abs=0.0023)

    @pytest.mark.parametrize(
        ("inches", "said"),
        [
            (4.53, "4 1/2 in"),
            (1.38, "1 3/8 in"),  # An eighth that is meant.
            (1.31, "1 1/4 in"),
            (0.30, "1/4 in"),
            (0.37, "3/8 in"),
            (0.04, "0.04 in"),
            (2.98, "3 in"),
            (12.0, "12 in"),
        ],
    )
    def test_thickness_is_told_to_a_quarter_of_an_inch(self, inches: float, said: str) -> None:
        assert q.thickness(inches * 0.0254, US) == said
        assert q.thickness(0.115, METRIC) == "11.5 cm"

    @given(m=st.floats(0.002, 1.9))
    def test_thickness_is_off_by_an_eighth_at_most(self, m: float) -> None:
        again = q.parse_length(q.thickness(m, US), US, "Thickness")
        assert again == pytest.approx(m, abs=0.0254 / 8 + 1e-9)

    @BOTH
    @given(m=st.floats(0, 1.9))
    def test_length(self, units: Units, m: float) -> None:
        again = q.parse_length(q.length(m, units), units, "Thickness")
        assert again == pytest.approx(m, abs=0.00051 if units.length == "cm" else 0.00014)

    @pytest.mark.parametrize("units", [METRIC, US, Units(speed="km/h")])
    @given(v=st.floats(0, 100))
    def test_speed(self, units: Units, v: float) -> None:
        assert q.parse_speed(q.speed(v, units), METRIC, "Wind") == pytest.approx(v, abs=0.23)

    @BOTH
    @given(hpa=st.floats(501, 1099))
    def test_pressure(self, units: Units, hpa: float) -> None:
        again = q.parse_pressure(q.pressure(hpa, units), METRIC, "Pressure")
        assert again == pytest.approx(hpa, abs=0.51)

    @given(s=st.floats(0, 40 * 86400))
    def test_duration(self, s: float) -> None:
        slack = 0.51 if s < 119.5 else 30.1 if s < 47.99 * 3600 else 1801
        assert q.parse_duration(q.duration(s), "Time") == pytest.approx(s, abs=slack)

    @pytest.mark.parametrize("zone", ["UTC", "Europe/Vienna", "America/Chicago", "Asia/Kolkata"])
    @BOTH
    @given(at_s=st.integers(1_600_000_000, 1_900_000_000), shift=st.integers(-39600, 39600))
    def test_clock_near(self, units: Units, zone: str, at_s: int, shift: int) -> None:
        minute = at_s - at_s % 60
        text = q.clock_time(minute, zone, units)
        found = q.parse_clock(text, zone, minute + shift)
        assert q.clock_time(found, zone, units) == text
        assert abs(found - (minute + shift)) <= max(abs(shift), 1)


class TestTyping:
    @pytest.mark.parametrize(
        ("text", "c"),
        [
            ("74", 74.0),
            ("74.", 74.0),
            (" 74,5 ", 74.5),
            ("74c", 74.0),
            ("74 °C", 74.0),
            ("165 F", 73.8889),
            ("165°f", 73.8889),
            ("165 ℉", 73.8889),
            ("-5", -5.0),
            ("−5 °C", -5.0),
            ("٧٤", 74.0),
        ],
    )
    def test_temperature(self, text: str, c: float) -> None:
        assert q.parse_temperature(text, METRIC, "Meat") == pytest.approx(c, abs=1e-3)

    def test_preference_only_fills_in(self) -> None:
        assert q.parse_temperature("165", US, "Meat") == pytest.approx(73.889, abs=1e-3)
        assert q.parse_temperature("74 C", US, "Meat") == 74.0

    @pytest.mark.parametrize(
        ("text", "kg"),
        [
            ("1.2", 1.2),
            ("1,2 kg", 1.2),
            ("850 g", 0.85),
            ("850g", 0.85),
            ("1 kg 200 g", 1.2),
            ("2 lb 3 oz", 2.1875 * 0.45359237),
            ("2lb3", 2.1875 * 0.45359237),
            ("2½ lb", 2.5 * 0.45359237),
            ("1 1/2 lb", 1.5 * 0.45359237),
            ("¾ lb", 0.75 * 0.45359237),
            ("0,250", 0.25),
        ],
    )
    def test_mass(self, text: str, kg: float) -> None:
        assert q.parse_mass(text, METRIC, "Mass") == pytest.approx(kg)

    @pytest.mark.parametrize(
        ("text", "s"),
        [
            ("90", 5400),
            ("90 min", 5400),
            ("1:30", 5400),
            ("1:30:15", 5415),
            ("2 h 10", 7800),
            ("2h10m", 7800),
            ("1.5 h", 5400),
            ("1½ h", 5400),
            ("45 s", 45),
            ("3 d 4 h", 273600),
            ("0", 0),
        ],
    )
    def test_duration(self, text: str, s: float) -> None:
        assert q.parse_duration(text, "Time") == s

    @pytest.mark.parametrize(
        ("text", "m"),
        [("3.5 cm", 0.035), ("1 1/4 in", 0.03175), ('1¼"', 0.03175), ("35 mm", 0.035)],
    )
    def test_length(self, text: str, m: float) -> None:
        assert q.parse_length(text, METRIC, "Thickness") == pytest.approx(m)

    @pytest.mark.parametrize(
        "text",
        ["", " ", "-", ".", "7e", "abc", "7 7", "74 K", "1/0", "1 1/", "nan", "inf", "74 C C"],
    )
    def test_half_typed_or_wrong_temperature(self, text: str) -> None:
        with pytest.raises(QuantityError) as caught:
            q.parse_temperature(text, METRIC, "Meat")
        assert caught.value.message == (
            "Meat: Type a temperature from −60 °C to 500 °C, for example 74 or 165 F."
        )

    @pytest.mark.parametrize(
        "text", ["2 lb 3 lb", "3 oz 2 lb", "2 lb -3 oz", "1 stone", "-1", "600"]
    )
    def test_wrong_mass(self, text: str) -> None:
        with pytest.raises(QuantityError, match=r"^Mass: .*from 0 g to 500 kg"):
            q.parse_mass(text, METRIC, "Mass")

    @pytest.mark.parametrize(
        "text", ["1:3", "1:75", "1:", ":30", "2 h 3 h", "-5", "1000000", "10 x"]
    )
    def test_wrong_duration(self, text: str) -> None:
        with pytest.raises(QuantityError, match="Rest: "):
            q.parse_duration(text, "Rest")

    @pytest.mark.parametrize("text", ["18", "18:4", "25:00", "18:60", "13 pm", "0 am", "noon", ""])
    def test_wrong_clock(self, text: str) -> None:
        with pytest.raises(QuantityError, match="18:40 or 6:40 pm"):
            q.parse_clock(text, "UTC", 0.0, "When")

    def test_comma_that_could_be_either_is_not_guessed(self) -> None:
        with pytest.raises(QuantityError, match=r"1250 or 1\.25:"):
            q.parse_mass("1,250 g", METRIC, "Mass")
        with pytest.raises(QuantityError):
            q.parse_number("1,250.5", "Price")

    def test_clock_forms(self) -> None:
        near = _at(2026, 11, 25, 17, 0)
        for text in ("18:40", "18.40", "18h40", "1840", "6:40 pm", "6:40pm", "6:40 p.m."):
            assert q.parse_clock(text, "UTC", near) == _at(2026, 11, 25, 18, 40)
        assert q.parse_clock("6 pm", "UTC", near) == _at(2026, 11, 25, 18, 0)
        assert q.parse_clock("12:05 am", "UTC", near) == _at(2026, 11, 26, 0, 5)

    def test_clock_over_midnight_takes_the_nearer_day(self) -> None:
        assert q.parse_clock("23:50", "UTC", _at(2026, 11, 25, 0, 5)) == _at(2026, 11, 24, 23, 50)

    def test_hour_shown_twice_takes_the_nearer(self) -> None:
        # Europe/Vienna shows 02:00 to 03:00 twice on 25 Oct 2026 (00:00 to 02:00 UTC).
        first, second = _at(2026, 10, 25, 0, 30), _at(2026, 10, 25, 1, 30)
        assert q.parse_clock("2:30", "Europe/Vienna", first - 600) == first
        assert q.parse_clock("2:30", "Europe/Vienna", second + 600) == second

    def test_hour_leapt_over_is_refused(self) -> None:
        with pytest.raises(QuantityError, match="put forward"):
            q.parse_clock("2:30", "Europe/Vienna", _at(2026, 3, 29, 1, 5))

    def test_bound_is_included_in_both_units(self) -> None:
        assert q.parse_temperature("32 F", US, "T", low_c=0.0) == pytest.approx(0.0)

    @given(st.text(max_size=12))
    def test_any_text_is_read_or_refused(self, text: str) -> None:
        for read in (
            lambda: q.parse_number(text, "X"),
            lambda: q.parse_temperature(text, US, "X"),
            lambda: q.parse_temperature_step(text, US, "X"),
            lambda: q.parse_mass(text, US, "X"),
            lambda: q.parse_length(text, US, "X"),
            lambda: q.parse_speed(text, US, "X"),
            lambda: q.parse_pressure(text, US, "X"),
            lambda: q.parse_percent(text, "X"),
            lambda: q.parse_duration(text, "X"),
            lambda: q.parse_clock(text, "Europe/Vienna", 1.7e9, "X"),
        ):
            try:
                value = read()
            except QuantityError as problem:
                said = problem.message
            else:
                said = "X: " if math.isfinite(value) else "not finite"
            assert said.startswith("X: ")


class TestWords:
    def test_examples(self) -> None:
        assert q.temperature(74) == "74 °C"
        assert q.temperature(73.8889, US) == "165 °F"
        assert q.temperature(-0.3) == "0 °C"
        assert q.temperature(-5) == "−5 °C"
        assert q.temperature_step(2.2222, US) == "4.0 °F"
        assert q.mass(1.25) == "1.25 kg"
        assert q.mass(3.2) == "3.2 kg"
        assert q.mass(0.85) == "850 g"
        assert q.mass(0.9999) == "1 kg"
        assert q.mass(1.25, US) == "2 lb 12 oz"
        assert q.mass(0.45359237, US) == "1 lb"
        assert q.mass(0, US) == "0 oz"
        assert q.length(0.035) == "3.5 cm"
        assert q.length(0.03175, US) == "1 1/4 in"
        assert q.length(0.036, US) == "1.42 in"
        assert q.length(0.0508, US) == "2 in"
        assert q.speed(3.4) == "3.4 m/s"
        assert q.speed(3.4, US) == "8 mph"
        assert q.pressure(1013.25, US) == "29.92 inHg"
        assert q.percent(55.4) == "55 %"
        assert q.duration(45) == "45 s"
        assert q.duration(119.7) == "2 min"
        assert q.duration(7800) == "2 h 10 min"
        assert q.duration(7200) == "2 h"
        assert q.duration(3 * 86400) == "3 d"
        assert q.duration(-600) == "−10 min"
        assert q.ago(12) == "12 s ago"
        assert q.ago(-12) == "in 12 s"
        assert q.money(4.2, "EUR") == "4.20 EUR"
        assert q.money(4.2, "$") == "$4.20"
        assert q.interval("2 h", "1 h", "3 h") == "2 h (1 h – 3 h)"
        assert q.unknown("no level was read") == "unknown: no level was read"

    def test_clock_and_date(self) -> None:
        at_s = datetime(2026, 11, 25, 18, 40, 59, tzinfo=UTC).timestamp()
        assert q.clock_time(at_s, "UTC") == "18:40"
        assert q.clock_time(at_s, "UTC", US) == "6:40 pm"
        assert q.clock_time(at_s, "UTC", seconds=True)[:6] == "18:40:"
        assert q.clock_time(_at(2026, 1, 1, 0, 5), "UTC", US) == "12:05 am"
        assert q.date(at_s, "Asia/Tokyo") == "26 Nov 2026"
        assert q.date_time(at_s, "Europe/Vienna") == "25 Nov 2026, 19:40"
        assert q.clock_time(at_s, "Nowhere/Such") == "18:40 UTC"

    def test_what_is_no_number_is_not_shown_as_one(self) -> None:
        assert "unknown" in q.temperature(math.nan)
        assert "unknown" in q.mass(math.nan)
        assert "unknown" in q.length(math.inf, US)
        assert q.clock_time(1e18, "UTC") == "unknown"
