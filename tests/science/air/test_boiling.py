"""The boiling point against IAPWS-95, and pressures against the standard atmosphere."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.science.air.boiling import (
    boiling_point_c,
    boiling_slope_k_per_hpa,
    standard_pressure_hpa,
    station_pressure_hpa,
)
from smokejournal.science.numbers.ranges import OutOfRange
from tests.reference.tables import rows


def test_boiling_by_pressure() -> None:
    for row in rows("boiling_point_pressure"):
        found = boiling_point_c(float(row["station_pressure_hPa"]))
        assert found == pytest.approx(float(row["boiling_iapws95_degC"]), abs=0.001)


def test_boiling_by_altitude() -> None:
    for row in rows("boiling_point_altitude"):
        altitude_m = float(row["geopotential_altitude_m"])
        pressure_hpa = standard_pressure_hpa(altitude_m)
        assert pressure_hpa == pytest.approx(float(row["icao_pressure_hPa"]), abs=0.006)
        found = boiling_point_c(pressure_hpa)
        assert found == pytest.approx(float(row["boiling_iapws95_degC"]), abs=0.001)


def test_pressure_as_the_weather_report_gives_it() -> None:
    for row in rows("station_pressure_from_qnh"):
        found = station_pressure_hpa(float(row["qnh_hPa"]), float(row["station_elevation_m"]))
        assert found == pytest.approx(float(row["station_pressure_exact_icao_hPa"]), abs=0.006)


def test_the_rule_of_thumb() -> None:
    """About 1 °F for 500 ft (not for 1000 ft, as one page has it), 0.028 °C for a hectopascal."""
    drop_c = boiling_point_c(1013.25) - boiling_point_c(standard_pressure_hpa(1524.0))
    assert drop_c * 1.8 == pytest.approx(9.1, abs=0.1)
    assert boiling_slope_k_per_hpa(1013.25) == pytest.approx(0.0277, abs=0.0001)


@given(st.floats(400, 1099), st.floats(0.1, 1))
def test_more_pressure_boils_hotter(pressure_hpa: float, step: float) -> None:
    assert boiling_point_c(pressure_hpa + step) > boiling_point_c(pressure_hpa)


@given(st.floats(-400, 5000))
def test_the_standard_day_needs_no_reduction(altitude_m: float) -> None:
    assert station_pressure_hpa(1013.25, altitude_m) == pytest.approx(
        standard_pressure_hpa(altitude_m), rel=1e-12
    )


@pytest.mark.parametrize("pressure_hpa", [0.0, 29.92, 1200.0, float("nan")])
def test_no_such_pressure(pressure_hpa: float) -> None:
    with pytest.raises(OutOfRange, match="pressure: from 400 to 1100 hPa"):
        boiling_point_c(pressure_hpa)
    with pytest.raises(OutOfRange, match="altitude: from"):
        standard_pressure_hpa(9000.0)
