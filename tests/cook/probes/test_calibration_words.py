"""What a calibration says to the cook, and the places where a temperature is known."""

from __future__ import annotations

import pytest

from smokejournal.cook.probes.calibration_words import (
    age_words,
    class_words,
    correction_sentence,
    findings,
)
from smokejournal.cook.probes.probe import Calibration, CalibrationPoint, Probe
from smokejournal.cook.probes.reference_points import boiling_water, ice, reference_words
from smokejournal.cook.probes.steady_reading import steady
from smokejournal.cook.text.altitude import altitude, parse_altitude
from smokejournal.cook.text.quantities import METRIC, US, QuantityError
from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.probes.accuracy_class import ACCURACY_CLASSES

AT_S = 1_780_000_000.0


def point(how: str, reading: float, reference: float, sd: float = 0.1) -> CalibrationPoint:
    return CalibrationPoint(how, reading, reference, 0.05, sd)  # type: ignore[arg-type]


def calibration(*points: CalibrationPoint, at_s: float = AT_S) -> Calibration:
    far = max(p.reading_c for p in points) - min(p.reading_c for p in points) >= 30
    return Calibration(1, 1, at_s, points, "slope" if far else "offset")


ICE_ONLY = calibration(point("ice", 0.8, 0.0))
BOTH = calibration(point("ice", 0.8, 0.0), point("boil", 99.5, 98.2))


def test_the_correction_in_a_sentence() -> None:
    assert correction_sentence(ICE_ONLY.correction, METRIC) == (
        "Add −0.8 °C ± 0.2 °C to what it says."
    )
    assert correction_sentence(BOTH.correction, METRIC) == (
        "Add −0.8 °C ± 0.2 °C where it says 1 °C; −1.2 °C ± 0.2 °C where it says 74 °C; "
        "−1.3 °C ± 0.2 °C where it says 100 °C."
    )
    assert "−1.4 °F ± 0.4 °F" in correction_sentence(ICE_ONLY.correction, US)


def test_what_to_mind() -> None:
    assert "nothing of other temperatures" in findings(ICE_ONLY, None, (), METRIC)[0]
    assert findings(BOTH, None, (), METRIC) == ()
    scattered = calibration(
        point("beside", 0.0, 0.0), point("beside", 50.0, 51.5), point("beside", 100.0, 100.0)
    )
    assert any("Take them again" in said for said in findings(scattered, None, (), METRIC))
    weather = calibration(point("ice", 0.0, 0.0), point("boil", 99.0, 99.0, 0.3))
    assert any("by altitude alone" in said for said in findings(weather, None, (), METRIC))


@pytest.mark.parametrize(
    ("error", "sd", "words"),
    [
        (0.3, 0.1, "Within its class"),
        (1.5, 0.1, "outside its class (FDA Food Code 4-203.11, food thermometer: ± 1.0 °C)"),
        (0.9, 0.3, "can't be told"),
    ],
)
def test_the_accuracy_class(error: float, sd: float, words: str) -> None:
    made = calibration(point("ice", error, 0.0, sd))
    said = findings(made, Probe(1, "Thin one", "food"), (), METRIC)
    assert any(words in each for each in said)


def test_drift() -> None:
    later = calibration(point("ice", 0.9, 0.0), point("boil", 101.5, 98.2), at_s=AT_S + 90 * 86_400)
    said = findings(later, None, (BOTH,), METRIC)
    assert any("has drifted by 2.0 °C ± 0.3 °C near 10" in each for each in said)
    said = findings(BOTH, None, (BOTH,), METRIC)
    assert any("As at the last calibration" in each for each in said)


def test_age() -> None:
    assert age_words(None, AT_S).startswith("Never calibrated")
    assert age_words(AT_S, AT_S + 30 * 86_400) == ""
    assert age_words(AT_S, AT_S + 240 * 86_400).startswith("Calibrated 7 months ago")


def test_known_temperatures() -> None:
    assert ice().temperature_c == 0.0
    by_pressure = boiling_water(None, 1013.25, at_sea=False)
    assert by_pressure.temperature_c == pytest.approx(99.974, abs=0.001)
    by_altitude = boiling_water(1500.0, None, at_sea=False)
    assert by_altitude.temperature_c == pytest.approx(94.98, abs=0.01)
    assert by_altitude.sd_k > 2 * by_pressure.sd_k
    reported = boiling_water(500.0, 1013.25, at_sea=True)
    assert reported.pressure_hpa == pytest.approx(954.6, abs=0.1)
    with pytest.raises(OutOfRange):
        boiling_water(None, 29.92, at_sea=False)
    words = reference_words(by_altitude, 1500.0, METRIC)
    assert words == "Water boils here at 95.0 °C ± 0.7 °C (846 hPa, 1500 m up)"
    assert "203.0 °F" in reference_words(by_altitude, 1500.0, US)
    assert "4921 ft" in reference_words(by_altitude, 1500.0, US)


def test_altitudes_are_typed_in_metres_or_feet() -> None:
    assert parse_altitude("350", METRIC) == 350.0
    assert parse_altitude("1000", US) == pytest.approx(304.8)
    assert parse_altitude("1000 ft", METRIC) == pytest.approx(304.8)
    assert altitude(304.8, US) == "1000 ft"
    for text in ("9000", "x", "", "12 kg"):
        with pytest.raises(QuantityError, match="from −430 m to 6000 m"):
            parse_altitude(text, METRIC)


def test_a_probe_is_read_once_it_stands_still() -> None:
    still = steady([(float(t), 0.8) for t in range(0, 60, 2)], 60.0)
    assert still is not None
    assert still.is_still
    assert still.mean_c == pytest.approx(0.8)
    falling = steady([(float(t), 20.0 - t / 5) for t in range(0, 60, 2)], 60.0)
    assert falling is not None
    assert not falling.is_still
    assert falling.moved_k == pytest.approx(-6.0)
    short = steady([(58.0, 0.8), (60.0, 0.8)], 60.0)
    assert short is not None
    assert not short.is_still
    assert steady([(1.0, 0.8)], 60.0) is None


@pytest.mark.parametrize("key", ACCURACY_CLASSES)
def test_a_class_is_called_what_its_standard_calls_it(key: str) -> None:
    which = ACCURACY_CLASSES[key]
    assert class_words(which) == which.name
