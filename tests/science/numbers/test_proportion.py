"""The range of a share that was counted in few trials."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.science.numbers.proportion import score_interval

#: R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 3: its four examples.
NEWCOMBE = [
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0000, 0.1611),
    (1, 29, 0.0061, 0.1718),
]
#: SciPy 1.17.1, binomtest(held, trials).proportion_ci(method="wilson").
SCIPY = [
    (5, 6, 0.43649717781352976, 0.9699466302516933),
    (3, 3, 0.4385029682449546, 1.0),
    (8, 10, 0.4901624715366418, 0.9433178485456248),
    (0, 1, 0.0, 0.7934506856227626),
    (81, 263, 0.2552885198782742, 0.36620957698280004),
]


@pytest.mark.parametrize(("held", "trials", "low", "high"), NEWCOMBE)
def test_published_examples(held: int, trials: int, low: float, high: float) -> None:
    found = score_interval(held, trials)
    assert tuple(round(end, 4) for end in found) == (low, high)


@pytest.mark.parametrize(("held", "trials", "low", "high"), SCIPY)
def test_another_program(held: int, trials: int, low: float, high: float) -> None:
    assert score_interval(held, trials) == pytest.approx((low, high), abs=1e-12)


@pytest.mark.parametrize(
    ("held", "trials", "level"), [(0, 0, 0.95), (3, 2, 0.95), (-1, 2, 0.95), (1, 2, 1.0)]
)
def test_what_is_no_share_is_refused(held: int, trials: int, level: float) -> None:
    with pytest.raises(ValueError, match="is no"):
        score_interval(held, trials, level)


@given(st.integers(1, 500).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_it_holds_the_share_and_mirrors(pair: tuple[int, int]) -> None:
    held, trials = pair
    low, high = score_interval(held, trials)
    assert 0.0 <= low <= held / trials <= high <= 1.0
    mirrored = score_interval(trials - held, trials)
    assert mirrored == pytest.approx((1.0 - high, 1.0 - low), abs=1e-12)
    wide = score_interval(held, trials, 0.99)
    assert wide[0] <= low
    assert wide[1] >= high
