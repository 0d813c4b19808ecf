"""Fuel as measured: the mass, and an uncertainty that grows the rougher the measure is."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.fuel.amount import amount_of, by_eye, in_bags, weighed


@given(st.floats(0.1, 50), st.floats(0.01, 1.0))
def test_by_eye_is_never_surer_than_a_scale(bag_kg, share):
    eye = by_eye(share, bag_kg)
    assert eye.mass_kg == pytest.approx(share * bag_kg)
    if bag_kg > 2:
        assert eye.sd_kg > weighed(eye.mass_kg).sd_kg


def test_bags():
    assert in_bags(4, 9.0).mass_kg == 36.0
    assert in_bags(4, 9.0).sd_kg == pytest.approx(0.18)
    assert in_bags(1.5, 9.0).sd_kg == pytest.approx((0.09**2 + 0.45**2) ** 0.5)


def test_a_bag_of_unknown_size_gives_no_mass():
    assert amount_of("bags", 1.0, None) is None
    assert amount_of("fraction", 0.5, None) is None
    assert amount_of("mass", 0.5, None) == weighed(0.5)
