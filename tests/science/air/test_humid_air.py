"""Moist air against ASHRAE's printed tables, PsychroLib and CoolProp (tests/reference, weather.md)."""

from __future__ import annotations

import math
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.science.air.humid_air import (
    HumidAir,
    dew_point_of_c,
    humid_air,
    humidity_of_pct,
    humidity_ratio_of,
    wet_bulb_c,
)
from smokejournal.science.air.wetbulb import saturation_pa
from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.numbers.units import c_from_f, f_from_c
from tests.reference.tables import rows

# ASHRAE Handbook of Fundamentals (2017), chapter 1, tables 3 and 2, as PsychroLib's tests quote them.
SATURATION_PA = [(5, 872.6), (25, 3169.7), (50, 12351.3), (100, 101418.0), (150, 476101.4)]
SATURATED_RATIO = [(5, 0.005425), (25, 0.020173), (50, 0.086863)]


class TestPublished:
    @pytest.mark.parametrize(("air_c", "pressure_pa"), SATURATION_PA)
    def test_saturation_pressure(self, air_c: float, pressure_pa: float) -> None:
        """ASHRAE's table 3, to the 300 ppm that ASHRAE claims for its own formula."""
        assert saturation_pa(air_c) == pytest.approx(pressure_pa, rel=3e-4)

    @pytest.mark.parametrize(("air_c", "ratio"), SATURATED_RATIO)
    def test_saturated_humidity_ratio(self, air_c: float, ratio: float) -> None:
        """ASHRAE's table 2, for real air: the ideal gas is 0.7 % short at most in weather."""
        assert humid_air(air_c, 100, 1013.25).humidity_ratio == pytest.approx(ratio, rel=0.007)

    def test_worked_example(self) -> None:
        """ASHRAE's example 1: 40 °C, wet bulb 20 °C at the sea; ratio 0.0065, dew point 7, 14 %."""
        air = humid_air(40, 14, 1013.25)
        assert air.wet_bulb_c == pytest.approx(20, abs=0.05)
        assert air.humidity_ratio == pytest.approx(0.0065, abs=0.0001)
        assert air.dew_point_c == pytest.approx(7, abs=0.5)
        assert (1 + air.humidity_ratio) / air.density_kg_m3 == pytest.approx(0.896, abs=0.001)

    def test_humidity_ratio_worked(self) -> None:
        """Worked in a spreadsheet by PsychroLib's authors: 3169.7 Pa at 95461 Pa."""
        assert humidity_ratio_of(3169.7, 95461) == pytest.approx(0.0213603998047487, rel=1e-7)

    def test_wet_bulb_worked(self) -> None:
        """The same: 30 °C, wet bulb 25 °C, 95461 Pa has a ratio of 0.0192281274241096."""
        assert wet_bulb_c(30, 0.0192281274241096, 95461) == pytest.approx(25, abs=0.002)

    def test_grid(self) -> None:
        """PsychroLib at the sea and at some 1500 m, every cell within the range of weather."""
        checked = bulbs = 0
        for row in rows("psychrometrics_grid"):
            air_c, humidity = float(row["dry_bulb_degC"]), float(row["relative_humidity_pct"])
            if not 0 <= air_c <= 60:
                continue
            checked += 1
            air = humid_air(air_c, humidity, float(row["pressure_Pa"]) / 100)
            ratio = float(row["humidity_ratio_kg_per_kg"])
            assert air.humidity_ratio == pytest.approx(ratio, rel=4e-4, abs=1e-6)
            volume = float(row["specific_volume_m3_per_kg_dry_air"])
            assert (1 + air.humidity_ratio) / air.density_kg_m3 == pytest.approx(volume, rel=1e-4)
            if float(row["wet_bulb_degC"]) > 0.05:
                bulbs += 1
                assert air.wet_bulb_c == pytest.approx(float(row["wet_bulb_degC"]), abs=0.01)
        assert checked > 50
        assert bulbs > 40


AIR = st.floats(-40, 60)
DAMP = st.floats(0.1, 100)
PRESSURE = st.floats(400, 1100)


class TestProperties:
    @given(AIR, DAMP, PRESSURE)
    def test_dew_point_wet_bulb_and_air_stand_in_order(
        self, air_c: float, humidity: float, pressure: float
    ) -> None:
        air = humid_air(air_c, humidity, pressure)
        if air.dew_point_c is not None:
            assert air.dew_point_c <= air_c
        if air.wet_bulb_c is not None:
            assert air.wet_bulb_c <= air_c + 1e-9
            if air.dew_point_c is not None:
                assert air.wet_bulb_c >= air.dew_point_c - 0.02

    @given(AIR, st.floats(1, 99), PRESSURE)
    def test_damper_air_is_lighter_and_wetter(
        self, air_c: float, humidity: float, pressure: float
    ) -> None:
        dry, damp = (humid_air(air_c, rh, pressure) for rh in (humidity, humidity + 1))
        assert damp.humidity_ratio > dry.humidity_ratio
        assert damp.density_kg_m3 < dry.density_kg_m3
        if dry.wet_bulb_c is not None and damp.wet_bulb_c is not None:
            assert damp.wet_bulb_c >= dry.wet_bulb_c

    @given(st.floats(0, 60), PRESSURE)
    def test_all_are_one_in_saturated_air(self, air_c: float, pressure: float) -> None:
        air = humid_air(air_c, 100, pressure)
        assert air.dew_point_c == pytest.approx(air_c, abs=1e-4)
        assert air.wet_bulb_c == pytest.approx(air_c, abs=1e-3)

    @given(st.floats(-30, 60), st.floats(5, 100))
    def test_humidity_and_back(self, air_c: float, humidity: float) -> None:
        dew_c = humid_air(air_c, humidity, 1000).dew_point_c
        assert dew_c is not None
        assert humidity_of_pct(air_c, dew_c) == pytest.approx(humidity, rel=1e-5)

    @given(AIR, DAMP)
    def test_fahrenheit_says_the_same(self, air_c: float, humidity: float) -> None:
        again_c = min(60.0, max(-40.0, c_from_f(f_from_c(air_c))))
        here, there = (humid_air(c, humidity, 1000).humidity_ratio for c in (air_c, again_c))
        assert here == pytest.approx(there, rel=1e-9)


@pytest.mark.parametrize(
    ("given_", "message"),
    [
        ((61, 50, 1000), "air: from -40 to 60 °C, not 61"),
        ((20, 0, 1000), "humidity: from 0.1 to 100 %, not 0"),
        ((20, 50, 29.92), "pressure: from 400 to 1100 hPa, not 29.92"),
        ((math.nan, 50, 1000), "air: from -40 to 60 °C, not nan"),
    ],
)
def test_refuses(given_: tuple[float, float, float], message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        humid_air(*given_)


def test_dew_point_above_the_air_is_refused() -> None:
    with pytest.raises(OutOfRange, match="dew point: from -70 to 20 °C, not 21"):
        humidity_of_pct(20, 21)
    assert dew_point_of_c(1e-4) is None


def test_fast_enough_for_typing() -> None:
    begun = time.perf_counter()
    air: HumidAir = humid_air(30, 50, 1000)
    assert time.perf_counter() - begun < 0.05
    assert air.wet_bulb_c is not None
