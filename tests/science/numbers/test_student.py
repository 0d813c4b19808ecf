from __future__ import annotations

import pytest

from smokejournal.science.numbers.student import t_quantile


@pytest.mark.parametrize(
    ("freedom", "printed", "off"),
    [
        (3, 3.182, 0.03),
        (4, 2.776, 0.001),
        (5, 2.571, 0.003),
        (10, 2.228, 0.001),
        (16, 2.120, 0.001),
        (30, 2.042, 0.001),
    ],
)
def test_students_t(freedom: int, printed: float, off: float) -> None:
    """Printed tables of Student's t at 0.975; from memory."""
    assert t_quantile(0.975, freedom) == pytest.approx(printed, abs=off)
