"""Thermocouples against NIST's tables."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.probes.thermocouple import (
    THERMOCOUPLE_TYPES,
    ThermocoupleType,
    emf_mv,
    range_c,
    temperature_c,
)
from tests.reference.tables import rows

kinds = st.sampled_from(THERMOCOUPLE_TYPES)

#: NIST Standard Reference Database 60, tables on the scale of 1990 [mV]; from memory.
PRINTED = [
    ("K", -200, -5.891),
    ("K", -100, -3.554),
    ("K", 100, 4.096),
    ("K", 300, 12.209),
    ("K", 400, 16.397),
    ("K", 1000, 41.276),
    ("J", -100, -4.633),
    ("J", 100, 5.269),
    ("J", 400, 21.848),
    ("T", -200, -5.603),
    ("T", 100, 4.279),
    ("T", 400, 20.872),
]


@pytest.mark.parametrize(("kind", "t_c", "printed_mv"), PRINTED)
def test_printed_table(kind: ThermocoupleType, t_c: float, printed_mv: float) -> None:
    assert emf_mv(kind, t_c) == pytest.approx(printed_mv, abs=0.0005)


@pytest.mark.parametrize("kind", THERMOCOUPLE_TYPES)
def test_polynomials_as_a_second_program_sums_them(kind: ThermocoupleType) -> None:
    for row in rows("thermocouple_emf_0_400C"):
        t_c, mv = float(row["t90_degC"]), float(row[f"emf_{kind}_mV"])
        assert emf_mv(kind, t_c) == pytest.approx(mv, abs=1e-6)
        assert temperature_c(kind, mv) == pytest.approx(t_c, abs=2e-5)


def test_voltages_of_a_university_page_but_for_their_sign() -> None:
    """physics.wm.edu (2020), type T against 22 °C; it prints magnitudes."""
    for t_c, printed in ((-200, 6.4733), (-100, 4.2489), (-20, 1.6271), (0, 0.8703), (20, 0.0807)):
        assert emf_mv("T", t_c, 22.0) == pytest.approx(-printed, abs=0.0003)


@given(kinds, st.floats(-150, 370), st.floats(-30, 60))
def test_there_and_back(kind: ThermocoupleType, hot_c: float, cold_c: float) -> None:
    assert temperature_c(kind, emf_mv(kind, hot_c, cold_c), cold_c) == pytest.approx(
        hot_c, abs=1e-6
    )


@given(kinds, st.floats(-30, 60))
def test_no_difference_no_voltage(kind: ThermocoupleType, t_c: float) -> None:
    assert emf_mv(kind, t_c, t_c) == pytest.approx(0.0, abs=1e-12)


@given(kinds, st.floats(-150, 369), st.floats(0.01, 1.0))
def test_hotter_gives_more(kind: ThermocoupleType, t_c: float, step: float) -> None:
    assert emf_mv(kind, t_c + step) > emf_mv(kind, t_c)


def test_adding_the_cold_junctions_temperature_is_wrong() -> None:
    """The common mistake, and by how much: 1.1 °C for type T in a hot pit and a warm box."""
    mv = emf_mv("T", 110.0, 30.0)
    assert temperature_c("T", mv, 30.0) == pytest.approx(110.0, abs=1e-6)
    assert abs(temperature_c("T", mv) + 30.0 - 110.0) > 1.0


@pytest.mark.parametrize(
    ("mv", "cold_c", "field"),
    [
        (99.0, 20.0, "voltage"),
        (-20.0, 20.0, "voltage"),
        (float("nan"), 20.0, "voltage"),
        (1.0, 200.0, "cold junction"),
        (1.0, float("inf"), "cold junction"),
    ],
)
def test_what_cannot_be_is_refused_with_its_range(mv: float, cold_c: float, field: str) -> None:
    with pytest.raises(OutOfRange) as told:
        temperature_c("K", mv, cold_c)
    assert told.value.field == field
    assert str(told.value).startswith(f"{field}: from ")
    with pytest.raises(OutOfRange, match="hot end"):
        emf_mv("K", range_c("K")[1] + 1.0)
