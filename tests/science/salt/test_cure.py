"""Ingoing nitrite against published examples, and limits against the table they were read into."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.numbers.units import KG_PER_LB
from smokejournal.science.salt import cure
from tests.reference.tables import rows

EXAMPLES = {row["method"]: row for row in rows("curing_examples")}
LIMITS = {row["product"]: row for row in rows("curing_limits")}


def test_pumped() -> None:
    """50 lb of curing salt at 0.75 % nitrite in 462.1875 lb of pickle, 20 % pump."""
    nitrite = cure.nitrite_kg(50 * KG_PER_LB, 0.75)
    found = cure.ingoing_ppm("pumped", nitrite, 100.0, 462.1875 * KG_PER_LB, 20.0)
    assert found == pytest.approx(float(EXAMPLES["pumped"]["computed_value"]), abs=0.005)
    assert round(found) == int(EXAMPLES["pumped"]["published_value"])


def test_dry() -> None:
    """5 lb of curing salt at 0.40 % nitrite on 100 lb."""
    nitrite = cure.nitrite_kg(5 * KG_PER_LB, 0.40)
    found = cure.ingoing_ppm("dry", nitrite, 100 * KG_PER_LB)
    assert found == pytest.approx(float(EXAMPLES["dry"]["published_value"]), abs=1e-9)


def test_ounces_behind_the_limits() -> None:
    """1 oz on 100 lb dry is 625 ppm, 1/4 oz comminuted 156 ppm (the regulation's, from memory)."""
    ounce = KG_PER_LB / 16
    assert cure.rubbed_ppm(ounce, 100 * KG_PER_LB) == pytest.approx(625.0)
    assert cure.rubbed_ppm(ounce / 4, 100 * KG_PER_LB) == pytest.approx(156.25)
    # 2 lb to 100 gallons of pickle of 1000 lb, 10 % pump: 200 ppm (read).
    assert cure.pickup_ppm(2.0, 1000.0, 10.0) == pytest.approx(200.0)


def test_one_pickle_by_two_methods() -> None:
    """50 ppm by Method One with 8 % pick-up, 357 ppm by Method Two: 1 part meat, 1.333 of pickle."""
    pickle, nitrite = 1.0, 625e-6
    assert cure.ingoing_ppm("immersion_one", nitrite, 0.75, pickle, 8.0) == pytest.approx(50.0)
    assert cure.ingoing_ppm("immersion_two", nitrite, 0.75, pickle) == pytest.approx(357, abs=0.5)


@pytest.mark.parametrize(
    ("product", "method", "row"),
    [
        ("sausage", "comminuted", "comminuted products"),
        ("whole", "pumped", "immersion cured, pumped, massaged (not bacon)"),
        ("whole", "immersion_one", "immersion cured, pumped, massaged (not bacon)"),
        ("whole", "immersion_two", "immersion cured, pumped, massaged (not bacon)"),
        ("whole", "dry", "dry cured (not bacon)"),
        ("bacon", "pumped", "bacon, pumped or massaged, skinless"),
        ("bacon", "immersion_one", "bacon, immersion cured, skinless"),
        ("bacon", "immersion_two", "bacon, immersion cured, skinless"),
        ("bacon", "dry", "bacon, dry cured, skinless"),
        (
            "fish",
            "dry",
            "smoked fish with nitrite (chub, salmon, sablefish, shad, tuna)",
        ),
    ],
)
def test_limits_as_read(product, method, row: str) -> None:
    assert LIMITS[row]["origin"] == "read"
    assert cure.limit(product, method).ppm == float(LIMITS[row]["limit_ppm"])


def test_rind_takes_a_tenth_off_bacon_only() -> None:
    assert cure.limit("bacon", "dry", rind_on=True).ppm == pytest.approx(180.0)
    assert cure.limit("whole", "dry", rind_on=True).ppm == 625.0
    least = LIMITS["minimum for cured keep-refrigerated products (policy)"]
    assert float(least["limit_ppm"]) == cure.LEAST_PPM


def test_a_method_that_does_not_go_with_the_product() -> None:
    for product, method in (("whole", "comminuted"), ("sausage", "dry"), ("fish", "pumped")):
        with pytest.raises(cure.CureMismatch):
            cure.limit(product, method)
    assert cure.methods_for("sausage") == ("comminuted",)
    assert cure.methods_for("bacon") == ("dry", "pumped", "immersion_one", "immersion_two")


salt = st.floats(1e-4, 10)
meat = st.floats(0.05, 500)


@given(salt, meat, st.floats(1.01, 3))
def test_more_cure_is_more_and_more_meat_is_less(cure_kg: float, meat_kg: float, f: float) -> None:
    nitrite = cure.nitrite_kg(cure_kg, 6.25)
    assert cure.rubbed_ppm(nitrite * f, meat_kg) > cure.rubbed_ppm(nitrite, meat_kg)
    assert cure.rubbed_ppm(nitrite, meat_kg * f) < cure.rubbed_ppm(nitrite, meat_kg)
    pickle = cure_kg + 5.0
    assert cure.immersed_ppm(nitrite, pickle, meat_kg * f) < cure.immersed_ppm(
        nitrite, pickle, meat_kg
    )
    # Nothing is lost: what is in the meat and what is in the pickle, once even, is all there was.
    ppm = cure.immersed_ppm(nitrite, pickle, meat_kg)
    assert ppm * 1e-6 * (meat_kg + pickle) == pytest.approx(nitrite, rel=1e-12)


@given(meat, st.sampled_from(["dry", "comminuted", "pumped", "immersion_one", "immersion_two"]))
def test_the_most_curing_salt_comes_to_the_limit(meat_kg: float, method) -> None:
    most = cure.most_cure_kg(150.0, method, 6.25, meat_kg, 4.0, 12.0)
    nitrite = cure.nitrite_kg(most, 6.25)
    # The pickle weighs what else is in it and the curing salt.
    assert cure.ingoing_ppm(method, nitrite, meat_kg, 4.0 + most, 12.0) == pytest.approx(150.0)


def test_a_pickle_that_can_never_come_to_the_limit() -> None:
    assert cure.most_cure_kg(150.0, "pumped", 0.05, 1.0, 4.0, 10.0) == math.inf


@pytest.mark.parametrize(
    "refused",
    [
        lambda: cure.nitrite_kg(0.01, 100.0),
        lambda: cure.nitrite_kg(0.01, 0.0),
        lambda: cure.nitrite_kg(-0.01, 6.25),
        lambda: cure.nitrite_kg(float("nan"), 6.25),
        lambda: cure.rubbed_ppm(0.001, 0.0),
        lambda: cure.pickup_ppm(0.001, 5.0, 0.0),
        lambda: cure.pickup_ppm(0.001, 5.0, 130.0),
        lambda: cure.pickup_ppm(6.0, 5.0, 10.0),
        lambda: cure.immersed_ppm(0.001, 0.0, 1.0),
        lambda: cure.ingoing_ppm("pumped", 0.001, 1.0, 5.0, None),
    ],
)
def test_refused_with_the_field_and_its_range(refused) -> None:
    with pytest.raises(OutOfRange) as told:
        refused()
    assert "from" in str(told.value)
