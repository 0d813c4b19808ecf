"""Platinum thermometers against IEC 60751."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.probes.accuracy_class import ACCURACY_CLASSES, verdict
from smokejournal.science.probes.platinum import PT1000_OHM, resistance_ohm, temperature_c
from tests.reference.tables import rows


def test_table() -> None:
    for row in rows("pt100_pt1000_table"):
        t_c = float(row["t_degC"])
        assert resistance_ohm(t_c) == pytest.approx(float(row["pt100_ohm"]), abs=6e-5)
        assert resistance_ohm(t_c, PT1000_OHM) == pytest.approx(float(row["pt1000_ohm"]), abs=6e-4)
        back = temperature_c(float(row["pt100_ohm_2dp"]))
        assert back == pytest.approx(float(row["t_from_2dp_ohm_degC"]), abs=1e-4)


@pytest.mark.parametrize(
    ("t_c", "ohm"), [(-200, 18.52), (-100, 60.26), (100, 138.51), (850, 390.48)]
)
def test_printed_ends_of_the_standards_table(t_c: float, ohm: float) -> None:
    """IEC 60751 table; from memory but for 138.51."""
    assert resistance_ohm(t_c) == pytest.approx(ohm, abs=0.005)


@given(st.floats(-200, 850), st.sampled_from([100.0, 500.0, 1000.0]))
def test_there_and_back(t_c: float, r0: float) -> None:
    assert temperature_c(resistance_ohm(t_c, r0), r0) == pytest.approx(t_c, abs=1e-7)


@given(st.floats(-200, 849), st.floats(0.001, 1))
def test_hotter_resists_more(t_c: float, step: float) -> None:
    assert resistance_ohm(t_c + step) > resistance_ohm(t_c)


@pytest.mark.parametrize("ohm", [0.0, -5.0, 18.0, 391.0, 1e9, float("nan")])
def test_no_temperature_has_this_resistance(ohm: float) -> None:
    with pytest.raises(OutOfRange, match="resistance: from"):
        temperature_c(ohm)


def test_classes_as_published() -> None:
    for row in rows("pt100_tolerance_published_check"):
        t_c = float(row["t_degC"])
        for name, column in (("Pt-A", "class_A_read_degC"), ("Pt-B", "class_B_read_degC")):
            allowed = ACCURACY_CLASSES[name].tolerance_k(t_c)
            if allowed is not None:
                assert allowed == pytest.approx(float(row[column]), abs=1e-9)


def test_every_class_is_as_in_the_table() -> None:
    known = {
        (row["instrument_or_type"], row["class"]): row
        for row in rows("accuracy_classes")
        if not row["standard"].startswith("CAUTION")
    }
    names = {"AA": "AA (F 0.1 thin film)", "A": "A (F 0.15 thin film)", "B": "B (F 0.3 thin film)"}
    for key, each in ACCURACY_CLASSES.items():
        if key == "food":
            continue
        if key.startswith("Pt"):
            row = known["Pt100/Pt1000", names[key[3:]]]
        elif "-" in key:
            row = known[key[0], key[2:]]
        else:
            row = known[key[0], key[1:]]
        assert each.fixed_k == float(row["tolerance_fixed_degC"])
        assert each.share == float(row["tolerance_fraction_of_t"])
        assert (each.low_c, each.high_c) == (
            float(row["range_low_degC"]),
            float(row["range_high_degC"]),
        )
        assert (each.rule == "sum") == row["rule"].startswith("sum")


def test_a_verdict_is_open_where_the_uncertainty_reaches_over_the_limit() -> None:
    food = ACCURACY_CLASSES["food"]
    assert verdict(food, 0.5, 0.0, 0.2) == "within"
    assert verdict(food, -1.5, 0.0, 0.2) == "outside"
    assert verdict(food, 0.9, 0.0, 0.2) == "open"
    assert verdict(food, 0.0, 400.0, 0.2) == "out_of_range"
