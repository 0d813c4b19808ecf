"""Wind chill, heat index and dew point against the tables in tests/reference (weather.md)."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.science.air.air import (
    apparent_temperature_c,
    beaufort,
    dew_point_c,
    feels_like,
    heat_index_c,
    wind_chill_c,
)
from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.numbers.units import (
    M_S_PER_KMH,
    M_S_PER_KNOT,
    M_S_PER_MPH,
    c_from_f,
    f_from_c,
)

REFERENCE = Path(__file__).parents[2] / "reference"


def rows(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _half_up(value: float) -> int:
    return math.floor(value + 0.5)


class TestPublished:
    def test_wind_chill_chart(self) -> None:
        """Every cell of the printed chart that could be read: 17 temperatures by 12 winds."""
        checked = 0
        for row in rows("wind_chill_nws.csv"):
            air_c = c_from_f(float(row["air_temp_degF"]))
            got = wind_chill_c(air_c, float(row["wind_speed_mph"]) * M_S_PER_MPH)
            assert got is not None
            assert f_from_c(got) == pytest.approx(float(row["formula_degF"]), abs=0.001)
            if row["chart_value_read_degF"]:
                checked += 1
                assert _half_up(f_from_c(got)) == int(row["chart_value_read_degF"])
        assert checked == 204

    def test_wind_chill_metric_form(self) -> None:
        """The metric form of the same formula differs by its rounded coefficients: 0.05 °C."""
        for row in rows("wind_chill_metric.csv"):
            wind_m_s = float(row["wind_speed_km_per_h"]) * M_S_PER_KMH
            got = wind_chill_c(float(row["air_temp_degC"]), wind_m_s)
            assert got == pytest.approx(float(row["metric_formula_degC"]), abs=0.056)
            assert got == pytest.approx(float(row["us_formula_converted_degC"]), abs=0.006)

    def test_heat_index_chart(self) -> None:
        """The printed chart is plain Rothfusz and has misprints; the algorithm is checked to 0.01.

        Away from the humid corner (where the adjustment applies) and from three cells that two
        copies of the chart print differently, the printed number is ours to the degree.
        """
        misprinted = {("90", "45"), ("94", "50"), ("94", "85")}
        checked = 0
        for row in rows("heat_index_nws.csv"):
            cell = (row["air_temp_degF"], row["relative_humidity_pct"])
            got = heat_index_c(c_from_f(float(cell[0])), float(cell[1]))
            assert got is not None
            assert f_from_c(got) == pytest.approx(float(row["nws_algorithm_degF"]), abs=0.001)
            if "adj" not in row["branch"] and cell not in misprinted:
                checked += 1
                assert _half_up(f_from_c(got)) == int(row["chart_a_read_degF"])
        assert checked > 110

    def test_dew_point_grid(self) -> None:
        """PsychroLib to 0.002 °C; the Magnus form and MetPy are the rougher ones and as near as they are.

        Below 0 °C PsychroLib gives the frost point, so there only the other two are compared.
        """
        checked = 0
        for row in rows("psychrometrics_grid.csv"):
            air_c, humidity = float(row["dry_bulb_degC"]), float(row["relative_humidity_pct"])
            got = dew_point_c(air_c, humidity)
            if air_c > 60:
                assert got is None
                continue
            checked += 1
            magnus = row["magnus_17p625_243p04_dew_point_degC"]
            if magnus and got is not None and got > -30:
                assert got == pytest.approx(float(magnus), abs=0.065)
            if row["metpy_dew_point_degC"] and got is not None and got > -30:
                assert got == pytest.approx(float(row["metpy_dew_point_degC"]), abs=0.15)
            if float(row["dew_point_degC"]) > 0.01:
                assert got == pytest.approx(float(row["dew_point_degC"]), abs=0.005)
        assert checked > 20

    def test_apparent_temperature_grid(self) -> None:
        """The Bureau's formula, worked by pythermalcomfort and by hand: 120 cells."""
        checked = 0
        for row in rows("apparent_temperature_bom.csv"):
            got = apparent_temperature_c(
                float(row["air_temp_degC"]),
                float(row["relative_humidity_pct"]),
                float(row["wind_10m_m_per_s"]),
            )
            checked += 1
            assert got == pytest.approx(float(row["apparent_temperature_degC"]), abs=0.0006)
        assert checked == 120

    def test_beaufort_bounds(self) -> None:
        """Both ends of every force, as printed."""
        for row in rows("beaufort_scale.csv"):
            force = int(row["beaufort_number"])
            assert beaufort(float(row["m_per_s_low"])) == force
            if row["m_per_s_high"]:
                assert beaufort(float(row["m_per_s_high"])) == force

    def test_beaufort_in_knots(self) -> None:
        """The printed columns part at three whole knots, where meters per second say one more."""
        differing = []
        for row in rows("beaufort_scale.csv"):
            for name in ("knots_low", "knots_high"):
                force = int(row["beaufort_number"])
                if row[name] and (got := beaufort(float(row[name]) * M_S_PER_KNOT)) != force:
                    assert got == force + 1
                    differing.append(row[name])
        assert differing == ["16", "21", "27"]


class TestOnlyWithinRange:
    def test_wind_chill_bounds_are_included_and_nothing_beyond(self) -> None:
        assert wind_chill_c(10.0, 3 * M_S_PER_MPH) is not None
        assert wind_chill_c(10.01, 5.0) is None
        assert wind_chill_c(0.0, 1.3) is None

    def test_heat_index_bounds(self) -> None:
        assert heat_index_c(c_from_f(80.0), 50.0) is not None
        assert heat_index_c(26.6, 50.0) is None
        assert heat_index_c(45.0, 5.0) is None
        assert heat_index_c(c_from_f(110), 90.0) is None
        assert heat_index_c(35.0, 101.0) is None

    def test_dew_point_needs_some_damp(self) -> None:
        assert dew_point_c(20.0, 0.0) is None
        assert dew_point_c(20.0, 100.0) == pytest.approx(20.0)

    @given(st.floats(-50, 10), st.floats(1.35, 40))
    def test_wind_never_warms(self, air_c: float, wind_m_s: float) -> None:
        got = wind_chill_c(air_c, wind_m_s)
        assert got is not None
        assert got < air_c

    @given(st.floats(-30, 60), st.floats(2, 100))
    def test_dew_point_is_never_above_the_air(self, air_c: float, humidity: float) -> None:
        got = dew_point_c(air_c, humidity)
        assert got is not None
        assert got <= air_c + 1e-9

    @given(st.floats(-5, 45), st.floats(0, 99), st.floats(0, 9))
    def test_apparent_temperature_rises_with_damp_and_falls_with_wind(
        self, air_c: float, humidity: float, wind: float
    ) -> None:
        here = apparent_temperature_c(air_c, humidity, wind)
        damper = apparent_temperature_c(air_c, humidity + 1, wind)
        windier = apparent_temperature_c(air_c, humidity, wind + 1)
        assert here is not None
        assert damper is not None
        assert windier is not None
        assert damper > here > windier

    def test_apparent_temperature_bounds(self) -> None:
        assert apparent_temperature_c(-5.1, 50, 2) is None
        assert apparent_temperature_c(45.1, 50, 2) is None
        assert apparent_temperature_c(20, 50, 10.1) is None
        assert apparent_temperature_c(20, 101, 2) is None

    @given(st.floats(0, 149), st.floats(0, 1))
    def test_beaufort_never_falls(self, wind: float, more: float) -> None:
        assert 0 <= beaufort(wind) <= beaufort(wind + more) <= 12

    def test_beaufort_refuses(self) -> None:
        with pytest.raises(OutOfRange, match="wind: from 0 to 150 m/s, not -1"):
            beaufort(-1)


class TestFeelsLike:
    def test_picks_what_applies(self) -> None:
        assert feels_like(-5.0, 6.0, 80.0).by == "wind_chill"
        assert feels_like(33.0, 6.0, 60.0).by == "heat_index"

    @pytest.mark.parametrize(
        ("seen", "why"),
        [
            ((None, 5.0, 50.0), "no_air"),
            ((0.0, None, 50.0), "no_wind"),
            ((0.0, 0.5, 50.0), "calm"),
            ((18.0, 5.0, 50.0), "mild"),
            ((30.0, 5.0, None), "no_humidity"),
            ((43.0, 5.0, 90.0), "beyond"),
        ],
    )
    def test_says_why_not(self, seen: tuple[float | None, ...], why: str) -> None:
        got = feels_like(*seen)
        assert got.value_c is None
        assert (got.by, got.why) == ("none", why)
