"""Numbers as people type them, where a separator could mean two things."""

from __future__ import annotations

import pytest

from smokejournal.cook.text.numbers import QuantityError, parts


@pytest.mark.parametrize(
    ("typed", "joined", "point"),
    [("1.250 g", "1250", "1.25"), ("2.000 g", "2000", "2"), ("1,250 kg", "1250", "1.25")],
)
def test_a_point_that_may_group_thousands_is_asked_back(
    typed: str, joined: str, point: str
) -> None:
    with pytest.raises(QuantityError) as refused:
        parts(typed, "", "a mass")
    assert f"could mean {joined} or {point}: type one of them." in refused.value.message
    unit = typed.split()[1]
    # What is advised is taken.
    assert parts(f"{point} {unit}", "", "a mass") == [(float(point), unit)]


def test_a_scale_that_shows_grams_of_a_kilogram_is_read() -> None:
    assert parts("1.250 kg", "", "a mass") == [(1.25, "kg")]
