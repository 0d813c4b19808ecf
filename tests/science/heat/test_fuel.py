"""Calorific value of wood against worked values (tests/reference, fuel.md)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.science.heat.fuel import (
    PELLETS,
    Wood,
    air_to_burn_kg_kg,
    net_as_received_mj_kg,
    net_dry_mj_kg,
    net_mj_kg,
)
from smokejournal.science.numbers.ranges import OutOfRange
from tests.reference.tables import rows


def test_worked_example() -> None:
    (row,) = rows("calorific_value_net")
    dry = net_dry_mj_kg(
        float(row["gross_dry_MJ_per_kg"]),
        float(row["hydrogen_pct"]),
        float(row["oxygen_nitrogen_pct"]),
    )
    assert dry == pytest.approx(float(row["net_dry_MJ_per_kg"]), abs=0.0005)
    received = net_as_received_mj_kg(dry, float(row["moisture_pct"]))
    assert received == pytest.approx(float(row["net_as_received_MJ_per_kg"]), abs=0.0005)
    assert received / 3.6 == pytest.approx(float(row["net_as_received_kWh_per_kg"]), abs=0.0005)


@given(st.floats(15, 22), st.floats(0, 60))
def test_handbook_form(net_dry: float, moisture: float) -> None:
    """A wood fuels handbook (read): (NCV0 (100 - M) - 2.44 M) / 100. The same to 0.002 MJ/kg."""
    handbook = (net_dry * (100 - moisture) - 2.44 * moisture) / 100
    assert net_as_received_mj_kg(net_dry, moisture) == pytest.approx(handbook, abs=0.002)


@given(st.floats(0, 0.5), st.floats(0.03, 0.08), st.floats(18, 22))
def test_generic_form(water: float, hydrogen: float, gross: float) -> None:
    """A calculator's page (read): NCV = GCV - 2.443 (W + 9 H), all as received; hydrogen in mass
    fractions. It counts 9 kg of water to a kg of hydrogen where ISO's coefficient has 8.7."""
    gross_received = gross * (1 - water)
    generic = gross_received - 2.443 * (water + 9 * hydrogen * (1 - water))
    dry = net_dry_mj_kg(gross, 100 * hydrogen, 43)
    assert net_as_received_mj_kg(dry, 100 * water) == pytest.approx(generic, abs=0.08)


def test_pellets_meet_the_standard() -> None:
    """ISO 17225-2 class A1 (read): at least 16.5 MJ/kg net as received."""
    assert net_mj_kg() > 16.5


def test_air_to_burn_carbon_and_hydrogen() -> None:
    """Carbon takes 11.5 kg of air to a kg, hydrogen 34.3 (textbook values, memory)."""
    carbon = Wood(carbon_pct=100, hydrogen_pct=0, oxygen_nitrogen_pct=0, moisture_pct=0)
    hydrogen = Wood(carbon_pct=0, hydrogen_pct=15, oxygen_nitrogen_pct=0, moisture_pct=0)
    assert air_to_burn_kg_kg(carbon) == pytest.approx(11.5, abs=0.05)
    assert air_to_burn_kg_kg(hydrogen) / 0.15 == pytest.approx(34.3, abs=0.1)
    # Dry wood: 6.0 by the balance of elements.
    assert air_to_burn_kg_kg(replace(PELLETS, moisture_pct=0)) == pytest.approx(6.0, abs=0.05)


@given(st.floats(0, 64), st.floats(0.01, 1))
def test_moisture_only_takes(moisture: float, more: float) -> None:
    assert net_as_received_mj_kg(18.65, moisture + more) < net_as_received_mj_kg(18.65, moisture)


@given(st.floats(10, 30), st.floats(0.01, 15))
def test_net_is_below_gross(gross: float, hydrogen: float) -> None:
    assert net_dry_mj_kg(gross, hydrogen, 0) < gross
    assert net_dry_mj_kg(gross, 0, 0) == gross


@pytest.mark.parametrize(
    ("wood", "message"),
    [
        (Wood(gross_mj_kg=4.7), "gross calorific value: from 10 to 30 MJ/kg, not 4.7"),
        (Wood(hydrogen_pct=62), "hydrogen: from 0 to 15 %, not 62"),
        (Wood(oxygen_nitrogen_pct=-1), "oxygen and nitrogen: from 0 to 60 %, not -1"),
        (Wood(moisture_pct=70), "moisture: from 0 to 65 %, not 70"),
        (Wood(moisture_pct=math.nan), "moisture: from 0 to 65 %, not nan"),
    ],
)
def test_refuses(wood: Wood, message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        net_mj_kg(wood)
