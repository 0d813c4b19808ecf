"""Brine against published tables, and what holds whatever the numbers."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.numbers.spread import Spread, computed
from smokejournal.science.numbers.units import KG_PER_LB, c_from_f
from smokejournal.science.salt import brine
from tests.reference.tables import rows

#: Water at 60 °F, kg/L: the salometer table's row 0.
WATER_60F = 0.9990


# -- published ------------------------------------------------------------------------------------


def test_salometer_table() -> None:
    for row in rows("salometer_table"):
        degrees = float(row["salometer_deg_60F"])
        pct = degrees * brine.SATURATED_60F_PCT / 100.0
        assert pct == pytest.approx(float(row["nacl_w_pct"]), abs=0.001)
        assert brine.salometer_deg(pct) == pytest.approx(degrees, abs=1e-2)
        # Rows 2 and 31 are misprinted (.526 for .528, 8.162 for 8.182).
        if row["nacl_published_w_pct"] and degrees not in (2, 31):
            assert pct == pytest.approx(float(row["nacl_published_w_pct"]), abs=0.001)
        density = brine.density_kg_m3(pct, c_from_f(60.0))
        assert density == pytest.approx(
            1000 * float(row["density_60F_g_per_cm3_computed"]), abs=0.4
        )
        # A US gallon of water is 8.328 lb in this table (weighed in air).
        pounds = brine.salt_for_strength_kg(8.328, pct)
        assert pounds == pytest.approx(float(row["salt_lb_per_US_gal_water"]), abs=0.001)
        if row["salt_published_lb_per_US_gal_water"]:
            assert pounds == pytest.approx(
                float(row["salt_published_lb_per_US_gal_water"]), abs=0.0015
            )


def test_salometer_points() -> None:
    # Canadian fact sheet: 60 degrees is 15.8 %, 187.8 g in a liter of water, 1.882 lb in a gallon,
    # which is the imperial one (4.54609 L).
    pct = 60.0 * brine.SATURATED_60F_PCT / 100.0
    assert pct == pytest.approx(15.8, abs=0.05)
    assert 1000 * brine.salt_for_strength_kg(WATER_60F, pct) == pytest.approx(187.8, abs=0.4)
    assert brine.salt_for_strength_kg(4.54609 * WATER_60F, pct) / KG_PER_LB == pytest.approx(
        1.882, abs=0.006
    )
    # Sea Fish Industry Authority: 1000 L of water become 1100 L of brine at 80 degrees (rounded).
    pct = 80.0 * brine.SATURATED_60F_PCT / 100.0
    salt_kg = brine.salt_for_strength_kg(1000 * WATER_60F, pct)
    assert brine.brine_volume_l(salt_kg, 1000 * WATER_60F) == pytest.approx(1100, abs=10)


def test_density_table() -> None:
    for row in rows("nacl_density"):
        pct = float(row["nacl_w_pct"])
        assert brine.density_kg_m3(pct, 15.0) == pytest.approx(
            float(row["density_15C_kg_per_m3"]), abs=1e-6
        )
        at_20 = brine.density_kg_m3(pct, 20.0)
        assert at_20 == pytest.approx(float(row["density_20C_kg_per_m3"]), abs=1e-6)
        if row["coolprop_MNA_20C_kg_per_m3"]:
            assert at_20 == pytest.approx(float(row["coolprop_MNA_20C_kg_per_m3"]), abs=0.31)


def test_solubility_table() -> None:
    for row in rows("nacl_solubility"):
        celsius, pct = float(row["temperature_degC"]), float(row["nacl_saturated_w_pct"])
        if 0.1 <= celsius <= 100:
            assert brine.saturated_pct(celsius) == pytest.approx(pct, abs=0.001)
            grams = 100 * brine.salt_for_strength_kg(1.0, pct) * 10
            assert grams / 10 == pytest.approx(float(row["g_NaCl_per_100g_water"]), abs=0.01)


def test_recipes_of_extension_services() -> None:
    for row in rows("brine_recipes_strength"):
        water_kg = float(row["water_L"]) * WATER_60F
        pct = brine.strength_pct(float(row["salt_g"]) / 1000, water_kg)
        assert pct == pytest.approx(float(row["nacl_w_pct"]), abs=0.06)


def test_equilibrium_examples() -> None:
    for row in rows("equilibrium_brine_examples"):
        food, water = float(row["product_g"]) / 1000, float(row["water_g"]) / 1000
        target = float(row["target_salt_pct_of_product_plus_water"])
        salt_kg = float(row["salt_g_exact_mass_fraction"]) / 1000
        assert 100 * salt_kg / (food + water + salt_kg) == pytest.approx(target, abs=0.001)
        assert brine.strength_pct(salt_kg, water) == pytest.approx(
            float(row["start_brine_pct_exact"]), abs=0.001
        )
        kitchen_kg = float(row["salt_g_kitchen_formula"]) / 1000
        own_kg = 0.68 * food
        in_food = brine.even_food_salt_kg(kitchen_kg, water, food, 68.0)
        assert 100 * in_food / (in_food + own_kg) == pytest.approx(
            float(row["final_salt_pct_of_all_water_if_product_68pct_water"]), abs=0.001
        )


def test_water_phase_salt_examples() -> None:
    for row in rows("wps_examples"):
        salt, moisture = float(row["salt_pct"]), float(row["moisture_pct"])
        found = undried_pct(salt, moisture)
        assert found == pytest.approx(float(row["wps_pct"]), abs=0.0005)
        assert found < float(row["salt_over_moisture_pct"])
    # USDA SR28, smoked chinook salmon: 1.708 % salt and 72.0 % water.
    assert undried_pct(1.708, 72.0) == pytest.approx(2.3, abs=0.05)


def undried_pct(salt_pct: float, moisture_pct: float) -> float:
    """Water-phase salt of what loses nothing more."""
    exact = Spread.exact
    return brine.finished_water_phase_salt_pct(
        1.0, exact(salt_pct / 100), exact(moisture_pct), 1.0
    ).mid


# -- whatever the numbers -------------------------------------------------------------------------

kilos = st.floats(0.01, 15)
pcts = st.floats(0.1, 26)


@given(kilos, pcts)
def test_strength_and_back(water_kg: float, pct: float) -> None:
    salt_kg = brine.salt_for_strength_kg(water_kg, pct)
    assert brine.strength_pct(salt_kg, water_kg) == pytest.approx(pct, rel=1e-12)
    assert brine.salometer_deg(pct) * brine.SATURATED_60F_PCT / 100.0 == pytest.approx(pct)


@given(st.floats(0, 25.9), st.floats(0.01, 0.5), st.floats(10, 25))
def test_more_salt_is_heavier_and_warmer_is_lighter(
    pct: float, step: float, celsius: float
) -> None:
    assert brine.density_kg_m3(pct + step, celsius) > brine.density_kg_m3(pct, celsius)
    assume(celsius > 10.1)
    assert brine.density_kg_m3(pct, celsius - 0.1) > brine.density_kg_m3(pct, celsius)


@given(st.floats(0, 50), st.floats(0, 100), kilos, st.floats(30, 85))
def test_no_salt_comes_or_goes(
    salt_kg: float, water_kg: float, food_kg: float, moisture: float
) -> None:
    in_food = brine.even_food_salt_kg(salt_kg, water_kg, food_kg, moisture)
    own_kg = food_kg * moisture / 100
    in_brine = salt_kg * water_kg / (own_kg + water_kg)
    assert in_food + in_brine == pytest.approx(salt_kg, rel=1e-12)
    # Both waters are equally strong.
    if water_kg > 0.01:
        assert in_food / own_kg == pytest.approx(in_brine / water_kg, rel=1e-9)


@given(st.floats(0, 100), kilos, st.floats(30, 85), st.floats(0.1, 5))
def test_target_and_back(water_kg: float, food_kg: float, moisture: float, target: float) -> None:
    salt_kg = brine.salt_for_food_target_kg(water_kg, food_kg, moisture, target)
    assume(salt_kg < 5000)
    in_food = brine.even_food_salt_kg(salt_kg, water_kg, food_kg, moisture)
    assert 100 * in_food / (food_kg + in_food) == pytest.approx(target, rel=1e-9)


@given(st.floats(0.1, 6), st.floats(30, 85), st.floats(0.6, 1))
def test_drying_raises_water_phase_salt(salt: float, moisture: float, share: float) -> None:
    assume(share > 1.02 - 0.95 * moisture / 100)
    spread = brine.finished_water_phase_salt_pct(
        1.0, Spread.exact(salt / 100), Spread.exact(moisture), share
    )
    undried = 100 * (salt / 100) / (salt / 100 + moisture / 100)
    assert spread.low >= undried * (1 - 1e-12)
    assert spread.low <= spread.mid <= spread.high


def test_spread_holds_its_ends() -> None:
    cup = Spread(0.2, 0.24, 0.29)
    assert (cup + cup) == cup.times(2)
    strength = computed(brine.strength_pct, cup, Spread.exact(1.8))
    assert strength.low == pytest.approx(10.0)
    assert strength.high == pytest.approx(100 * 0.29 / 2.09)
    with pytest.raises(ValueError):
        Spread(2.0, 1.0, 3.0)
    with pytest.raises(ValueError):
        Spread(0.0, float("nan"), 1.0)
    with pytest.raises(ValueError):
        cup.times(-1)


@pytest.mark.parametrize(
    ("refused", "field"),
    [
        (lambda: brine.strength_pct(-1.0, 1.0), "salt"),
        (lambda: brine.strength_pct(0.0, 0.0), "salt and water"),
        (lambda: brine.strength_pct(float("nan"), 1.0), "salt"),
        (lambda: brine.salt_for_strength_kg(1.0, 100.0), "strength"),
        (lambda: brine.salometer_deg(30.0), "strength"),
        (lambda: brine.density_kg_m3(10.0, 80.0), "temperature"),
        (lambda: brine.saturated_pct(-5.0), "temperature"),
        (lambda: brine.even_food_salt_kg(0.1, 1.0, 0.0, 70.0), "food"),
        (lambda: brine.even_food_salt_kg(0.1, 1.0, 1.0, 0.0), "moisture"),
        (
            lambda: brine.finished_water_phase_salt_pct(
                1.0, Spread.exact(0.02), Spread.exact(70.0), 0.2
            ),
            "finished mass",
        ),
    ],
)
def test_refused_with_the_field_and_its_range(refused, field: str) -> None:
    with pytest.raises(OutOfRange) as told:
        refused()
    assert told.value.field == field
    assert "from" in str(told.value)
