"""Two probes compared over a stretch: what is said, and where nothing can be."""

from __future__ import annotations

import numpy as np
import pytest

from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import ChannelSet, CookOpened, Entry
from smokejournal.cook.log.readings import Channel, Trace
from smokejournal.cook.probes.comparison import compare, comparison_warnings, comparison_words
from smokejournal.cook.text.quantities import METRIC, US

AT_S = np.arange(0.0, 4 * 3600.0, 10.0)


def course(at_s: np.ndarray) -> np.ndarray:
    t = at_s / 3600.0
    return 5.0 + 60.0 * (1 - np.exp(-t)) + 15.0 / (1 + np.exp(-4 * (t - 3.0)))


def log_of(second: np.ndarray, at_s: np.ndarray = AT_S, **channel: object) -> CookLog:
    rng = np.random.default_rng(1)
    entries = (
        Entry(1, 0.0, 0.0, CookOpened("Ribs", "UTC")),
        Entry(2, 0.0, 0.0, ChannelSet(Channel("a", "Left"))),
        Entry(3, 0.0, 0.0, ChannelSet(Channel("b", "Right", **channel))),  # type: ignore[arg-type]
    )
    first = course(AT_S) + rng.normal(0, 0.1, AT_S.size)
    return CookLog(1, entries, {"a": Trace(AT_S, first), "b": Trace(at_s, second)})


def test_bias_limits_and_lag_are_said() -> None:
    rng = np.random.default_rng(2)
    found = compare(log_of(course(AT_S) - 2.2 + rng.normal(0, 0.1, AT_S.size)), "a", "b", 0.0, 1e6)
    assert found.agreement is not None
    assert found.agreement.bias.value == pytest.approx(-2.2, abs=0.02)
    words = comparison_words(found, METRIC)
    assert words[0].startswith("Right reads 2.2 °C lower than Left (2.2 °C to 2.2 °C)")
    assert "−2.5 °C to −1.9 °C" in words[1]
    assert "1.96 standard deviations" in words[1]
    assert words[2].startswith("Neither lags behind the other")
    assert any("calibrate both" in word for word in comparison_warnings(found, METRIC))
    assert comparison_words(found, US)[0].startswith("Right reads 4.0 °F lower than Left")


def test_the_correction_in_force_is_applied() -> None:
    found = compare(log_of(course(AT_S) - 2.2, offset_c=2.2), "a", "b", 0.0, 1e6)
    assert found.agreement is not None
    assert found.agreement.bias.value == pytest.approx(0.0, abs=0.02)


def test_a_lag_is_said_with_its_interval() -> None:
    found = compare(log_of(course(AT_S - 300.0)), "a", "b", 0.0, 1e6)
    assert found.lag.value is not None
    assert found.lag.value.value == pytest.approx(300.0, abs=20.0)
    assert comparison_words(found, METRIC)[2].startswith("Right lags Left by ")
    swapped = compare(log_of(course(AT_S - 300.0)), "b", "a", 0.0, 1e6)
    assert swapped.lag.value is not None
    assert swapped.lag.value.value == pytest.approx(-300.0, abs=20.0)
    assert comparison_words(swapped, METRIC)[2].startswith("Right lags Left by ")


def test_only_the_stretch_counts() -> None:
    second = course(AT_S) + np.where(AT_S < 7200, 0.0, 1.0)
    found = compare(log_of(second), "a", "b", 8000.0, 14_000.0)
    assert found.agreement is not None
    assert found.agreement.bias.value == pytest.approx(1.0, abs=0.02)
    assert found.pairs.at_s[0] >= 8000.0


def test_nothing_is_paired_over_a_gap_and_the_sparser_one_sets_the_moments() -> None:
    few = np.array([0.0, 1000.0, 1060.0, 1120.0, 1180.0])
    found = compare(log_of(course(few), few), "a", "b", 0.0, 1e6)
    assert found.pairs.at_s.tolist() == few.tolist()


@pytest.mark.parametrize(
    ("second", "from_s", "words"),
    [
        ("a", 0.0, "Choose two different probes."),
        ("b", 1e6, "The two have no readings at the same time"),
        ("b", 14_379.0, "fewer than three readings"),
    ],
)
def test_where_nothing_can_be_compared(second: str, from_s: float, words: str) -> None:
    found = compare(log_of(course(AT_S)), "a", second, from_s, 2e6)
    assert found.agreement is None
    assert words in comparison_words(found, METRIC)[0]


def test_a_steady_pit_does_not_tell_the_lag() -> None:
    log = log_of(course(AT_S))
    found = compare(log, "a", "b", 0.0, 1e6)
    flat = CookLog(1, log.entries, {k: Trace(AT_S, np.full(AT_S.size, 60.0)) for k in "ab"})
    found = compare(flat, "a", "b", 0.0, 1e6)
    assert found.lag.why == "steady"
    assert "unknown: the temperature hardly moved" in comparison_words(found, METRIC)[2]
