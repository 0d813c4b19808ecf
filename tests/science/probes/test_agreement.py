"""Agreement against Bland and Altman's peak-flow data; the lag against known ones."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.science.probes.agreement import (
    agreement,
    effective_number,
    lag,
)
from tests.reference.tables import rows

PEFR = rows("bland_altman_pefr_data")
LARGE = np.array([float(row["wright_large_first_L_per_min"]) for row in PEFR])
MINI = np.array([float(row["mini_wright_first_L_per_min"]) for row in PEFR])
EXPECTED = {
    r["statistic"]: float(r["computed_from_data"]) for r in rows("bland_altman_pefr_expected")
}


def test_peak_flow_with_two_standard_deviations_as_the_paper_has_it() -> None:
    # Large minus mini, as in the paper: second minus first here.
    found = agreement(MINI, LARGE, multiplier=2.0, in_time=False)
    assert found.n == 17
    assert found.bias.value == pytest.approx(
        EXPECTED["mean difference large-mini (bias)"], abs=1e-4
    )
    assert found.sd == pytest.approx(EXPECTED["sd of differences (n-1)"], abs=1e-4)
    assert found.low.value == pytest.approx(EXPECTED["lower limit, mean-2sd"], abs=1e-4)
    assert found.high.value == pytest.approx(EXPECTED["upper limit, mean+2sd"], abs=1e-4)
    for interval, name in (
        (found.bias, "bias 95% CI"),
        (found.low, "lower 2sd limit 95% CI"),
        (found.high, "upper 2sd limit 95% CI"),
    ):
        assert interval.low == pytest.approx(EXPECTED[f"{name} low"], abs=0.02)
        assert interval.high == pytest.approx(EXPECTED[f"{name} high"], abs=0.02)


def test_peak_flow_with_the_multiple_used_here() -> None:
    found = agreement(MINI, LARGE, in_time=False)
    assert found.multiplier == 1.96
    assert found.low.value == pytest.approx(EXPECTED["lower limit, mean-1.96sd"], abs=1e-4)
    assert found.high.value == pytest.approx(EXPECTED["upper limit, mean+1.96sd"], abs=1e-4)


values = st.lists(st.floats(-20, 150), min_size=3, max_size=40)


@given(values, st.floats(-5, 5))
def test_a_constant_difference_is_all_bias(said: list[float], off: float) -> None:
    first = np.array(said)
    found = agreement(first, first + off)
    assert found.bias.value == pytest.approx(off, abs=1e-9)
    assert found.sd == pytest.approx(0.0, abs=1e-6)


@given(values, st.randoms(use_true_random=False))
def test_changing_sides_changes_the_sign(said: list[float], random: object) -> None:
    first = np.array(said)
    second = first + np.sin(np.arange(first.size) * 1.3)
    one, other = agreement(first, second), agreement(second, first)
    assert one.bias.value == pytest.approx(-other.bias.value, abs=1e-9)
    assert one.low.value == pytest.approx(-other.high.value, abs=1e-9)
    assert one.low.value <= one.bias.value <= one.high.value


def test_neighbors_in_time_count_for_less() -> None:
    rng = np.random.default_rng(3)
    noise = rng.normal(size=4000)
    assert effective_number(noise) == pytest.approx(4000, rel=0.1)
    slow = np.zeros(4000)
    for n in range(1, 4000):
        slow[n] = 0.9 * slow[n - 1] + noise[n]
    # n (1 - 0.9) / (1 + 0.9)
    assert effective_number(slow) == pytest.approx(4000 * 0.1 / 1.9, rel=0.25)


def test_a_difference_that_grows_with_temperature_is_told() -> None:
    rng = np.random.default_rng(4)
    first = rng.uniform(0, 100, 200)
    found = agreement(first, 1.02 * first + rng.normal(0, 0.1, 200), in_time=False)
    assert found.trend is not None
    assert found.trend.low < 0.0198 < found.trend.high
    assert found.trend.high - found.trend.low < 0.002


@pytest.mark.parametrize("n", [0, 1, 2])
def test_too_few_pairs(n: int) -> None:
    with pytest.raises(ValueError, match="at least 3"):
        agreement(np.zeros(n), np.zeros(n))
    with pytest.raises(ValueError, match="second: as many"):
        agreement(np.zeros(4), np.zeros(5))
    with pytest.raises(ValueError, match="second"):
        agreement(np.zeros(4), np.array([1.0, np.nan, 1.0, 1.0]))


AT_S = np.arange(0.0, 4 * 3600.0, 10.0)


def course(at_s: np.ndarray) -> np.ndarray:
    """A core that comes up, stalls and rises again [°C]."""
    t = at_s / 3600.0
    return 5.0 + 60.0 * (1 - np.exp(-t)) + 15.0 / (1 + np.exp(-4 * (t - 3.0)))


@pytest.mark.parametrize("late_s", [-300.0, 0.0, 45.0, 400.0])
def test_a_known_lag_is_found(late_s: float) -> None:
    rng = np.random.default_rng(5)
    first = course(AT_S) + rng.normal(0, 0.1, AT_S.size)
    second = course(AT_S - late_s) + 0.7 + rng.normal(0, 0.1, AT_S.size)
    found = lag(AT_S, first, second)
    assert found.value is not None
    assert found.value.value == pytest.approx(late_s, abs=12.0)
    assert found.value.low <= late_s <= found.value.high
    assert found.value.high - found.value.low < 60.0
    assert found.offset == pytest.approx(0.7, abs=0.1)


def test_intervals_of_the_lag_hold_what_they_promise() -> None:
    rng = np.random.default_rng(6)
    held = 0
    for _ in range(60):
        late_s = float(rng.uniform(-300, 300))
        first = course(AT_S) + rng.normal(0, 0.2, AT_S.size)
        second = course(AT_S - late_s) + rng.normal(0, 0.2, AT_S.size)
        value = lag(AT_S, first, second).value
        assert value is not None
        held += value.low <= late_s <= value.high
    assert held >= 52


@pytest.mark.parametrize(
    ("second", "why"),
    [
        (np.full(AT_S.size, 60.0), "steady"),
        (course(AT_S - 3500.0), "edge"),
    ],
)
def test_where_the_readings_do_not_tell_the_lag(second: np.ndarray, why: str) -> None:
    first = np.full(AT_S.size, 60.0) if why == "steady" else course(AT_S)
    assert lag(AT_S, first, second).why == why
    assert lag(AT_S[:5], first[:5], second[:5]).why == "few"


def test_on_a_straight_rise_lag_and_bias_look_alike() -> None:
    rng = np.random.default_rng(7)
    line = AT_S / 3600.0 * 10.0
    found = lag(
        AT_S, line + rng.normal(0, 0.3, AT_S.size), line - 1.0 + rng.normal(0, 0.3, AT_S.size)
    )
    wide = found.value is not None and found.value.high - found.value.low > 600.0
    assert found.value is None or wide
