"""Propagation of uncertainty against the Guide's own worked example, then its laws."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.science.numbers.uncertainty import Sum, measured, total


def test_end_gauge_of_the_guide() -> None:
    """JCGM 100:2008, H.1 (calibration of an end gauge), Table H.1: contributions of 25, 9.7, 2.9 and

    16.6 nm combine to 32 nm. Numbers from memory, not looked up again.
    """
    gauge = total(
        measured(n, 0.0, sd_nm) for n, sd_nm in enumerate((25.0, 9.7, 2.9, 16.6), start=1)
    )
    assert round(gauge.sd) == 32
    assert gauge.sd == pytest.approx(31.67, abs=0.01)


masses = st.lists(st.tuples(st.floats(-100, 100), st.floats(0, 10)), max_size=6)


@given(masses)
def test_what_comes_in_and_goes_out_cancels(inputs: list[tuple[float, float]]) -> None:
    parts = [measured(n, value, sd) for n, (value, sd) in enumerate(inputs)]
    nothing = total(parts) - total(reversed(parts))
    assert nothing.sd == 0.0
    assert nothing.value == pytest.approx(0.0, abs=1e-9)


@given(masses, st.floats(-5, 5))
def test_a_factor_scales_value_and_deviation(
    inputs: list[tuple[float, float]], factor: float
) -> None:
    whole = total(measured(n, value, sd) for n, (value, sd) in enumerate(inputs))
    scaled = whole.times(factor)
    assert scaled.value == pytest.approx(whole.value * factor)
    assert scaled.sd == pytest.approx(whole.sd * abs(factor))


def test_nothing_is_exactly_nothing() -> None:
    assert total([]) == Sum()
