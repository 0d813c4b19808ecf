"""Probes, their calibrations, and what these make of a channel."""

from __future__ import annotations

import json

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from smokejournal.cook.log.readings import Channel
from smokejournal.cook.probes.probe import (
    Calibration,
    CalibrationPoint,
    Probe,
    calibrated,
    calibration_from,
    calibration_text,
    with_offset,
)
from smokejournal.cook.text.problems import SchemaProblem

ICE = CalibrationPoint("ice", 0.8, 0.0, 0.05, 0.1)
BOIL = CalibrationPoint("boil", 99.5, 98.2, 0.05, 0.15)
THIN = Probe(3, "Thin one", "K1")


def test_a_channel_takes_the_correction_with_its_date_and_uncertainty() -> None:
    calibration = Calibration(1, 3, 5e8, (ICE, BOIL), "slope")
    channel = calibrated(Channel("p1", "Left", offset_c=9.0), THIN, calibration)
    assert channel.corrected(0.8) == pytest.approx(0.0, abs=1e-9)
    assert channel.corrected(99.5) == pytest.approx(98.2, abs=1e-9)
    assert (channel.probe_id, channel.probe, channel.calibrated_at_s) == (3, "Thin one", 5e8)
    assert channel.uncertainty_c == pytest.approx(2 * 0.158, abs=0.001)


def test_a_typed_correction_takes_the_place_of_a_calibration() -> None:
    channel = Channel(
        "p1", "Left", slope=1.01, offset_c=0.5, calibrated_at_s=5e8, uncertainty_c=0.3
    )
    assert with_offset(channel, 0.5) == channel
    assert with_offset(channel, 0.6) == Channel("p1", "Left", offset_c=0.6)


numbers = st.floats(-5, 5)


@given(st.lists(numbers, min_size=1, max_size=5), st.text(max_size=20))
@example([0.1], "a NUL \0 and more" + 100_000 * "!")
def test_written_and_read_again(errors: list[float], note: str) -> None:
    points = tuple(CalibrationPoint("beside", 50 + e, 50.0, 0.1, 0.2) for e in errors)
    given_ = Calibration(4, 3, 5e8, points, "offset", note)
    assert calibration_from(4, 3, 5e8, calibration_text(given_)) == given_


@pytest.mark.parametrize(
    "change",
    [
        {"version": 2},
        {"model": "cubic"},
        {"points": 3},
        {"points": []},
        {"points": [{"how": "ice"}]},
        {"note": 1},
    ],
)
def test_another_form_is_no_calibration(change: dict[str, object]) -> None:
    text = calibration_text(Calibration(4, 3, 5e8, (ICE,), "offset"))
    with pytest.raises(SchemaProblem):
        calibration_from(4, 3, 5e8, json.dumps(json.loads(text) | change))
    with pytest.raises(SchemaProblem):
        calibration_from(4, 3, 5e8, "{")
