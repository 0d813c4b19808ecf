"""Hashes of readings: one by one as all at once, and spread over their bits."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.journal.sums import reading_hash, reading_hashes

MOMENTS = st.integers(0, 4_000_000_000_000)
VALUES = st.floats(allow_nan=False, allow_infinity=False)
SEEDS = st.integers(0, 2**32 - 1)


@given(st.lists(st.tuples(MOMENTS, VALUES, SEEDS), min_size=1, max_size=40))
def test_one_by_one_they_are_what_they_are_at_once(rows: list[tuple[int, float, int]]) -> None:
    at_once = reading_hashes(
        np.array([t for t, _, _ in rows], dtype=np.int64),
        np.array([value for _, value, _ in rows]),
        np.array([seed for _, _, seed in rows], dtype=np.uint64),
    )
    assert [reading_hash(*row) for row in rows] == at_once.tolist()


@given(MOMENTS, SEEDS)
def test_zero_has_one_hash_with_either_sign(t_ms: int, seed: int) -> None:
    assert reading_hash(t_ms, -0.0, seed) == reading_hash(t_ms, 0.0, seed)


def test_a_flipped_bit_changes_about_half_of_the_bits() -> None:
    base = reading_hash(1_780_000_000_000, 107.25, 99)
    changed = [
        (base ^ reading_hash(1_780_000_000_000 ^ (1 << bit), 107.25, 99)).bit_count()
        for bit in range(40)
    ]
    assert min(changed) >= 10
    assert 14 < np.mean(changed) < 18
