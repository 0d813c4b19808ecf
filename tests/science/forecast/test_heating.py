"""The body that warms: against exact series, its own balances, wet bulbs and roasted turkeys."""

from __future__ import annotations

import math
from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from smokejournal.science.forecast.heating import (
    CONDUCTIVITY_W_MK,
    DIFFUSIVITY_M2_S,
    LATENT_J_KG,
    Bodies,
    Heating,
    let_go,
    probe_weights,
)
from smokejournal.science.forecast.heating_prior import (
    CUTS,
    INDEX,
    NAMES,
    bodies_of,
    prior_of,
    radius_of,
)
from smokejournal.science.forecast.values import Cut, PitPrior
from smokejournal.science.heat.conduction_series import Shape
from tests.reference.tables import rows
from tests.support.conduction_exact import Bath, single, temperature_c

USUAL = {
    "radius_m": 0.055,
    "shape": 2.3,
    "h_w_m2k": 18.0,
    "mass_share": 0.38,
    "vapour_pa": 3500.0,
    "supply": 0.17,
    "crust_kg_m2s": 6e-5,
    "loss": 0.33,
    "lag_s": 9000.0,
    "wet_kg_m2": 0.12,
    "hold_shift_k": 0.0,
    "diffusivity_factor": 1.0,
    "start_c": 4.0,
}


def bodies(members: int = 1, **changed: float) -> Bodies:
    values = USUAL | changed
    return Bodies(**{f.name: np.full(members, values[f.name]) for f in fields(Bodies)})


def time_to(target_c: float, dt_s: float, air_c: float = 110.0, **changed: float) -> float:
    """Hours until the middle is at the target, straight between steps."""
    pieces = Heating(bodies(**changed))
    middle = probe_weights(np.zeros(1))
    before = float(pieces.at(middle)[0])
    for n in range(int(40 * 3600 / dt_s)):
        pieces.step(air_c, dt_s)
        now = float(pieces.at(middle)[0])
        if now >= target_c:
            return (n + (target_c - before) / (now - before)) * dt_s / 3600
        before = now
    return math.inf


@pytest.mark.parametrize(
    ("kind", "shape", "radius"),
    [("slab", 1.0, 0.02), ("cylinder", 2.0, 0.03), ("sphere", 3.0, 0.05)],
)
@pytest.mark.parametrize("depth", [0.0, 0.5])
def test_dry_bodies_follow_the_exact_series(
    kind: Shape, shape: float, radius: float, depth: float
) -> None:
    """Exact series of Carslaw and Jaeger (1959), as tested in test_conduction_exact. Eight cells and
    steps of 15 s are within 0.4 K of them, of 80 K."""
    pieces = Heating(bodies(shape=shape, radius_m=radius, start_c=4.0), conductive_only=True)
    weights = probe_weights(np.array([depth]))
    bath = Bath(4.0, 84.0, 18.0)
    solid = single(kind, radius, CONDUCTIVITY_W_MK, DIFFUSIVITY_M2_S)
    worst = 0.0
    for n in range(1, 600):
        pieces.step(84.0, 15.0)
        if n % 60 == 0:
            exact = temperature_c(solid, bath, 15.0 * n, (depth,))
            worst = max(worst, abs(float(pieces.at(weights)[0]) - exact))
    assert worst < 0.4


def test_a_small_body_is_even_throughout() -> None:
    """Bi to 0: one exponential, exp(-h E t / (rho c R))."""
    pieces = Heating(bodies(radius_m=0.002, shape=1.0, h_w_m2k=3.0), conductive_only=True)
    for _ in range(300):
        pieces.step(100.0, 1.0)
    heat = CONDUCTIVITY_W_MK / DIFFUSIVITY_M2_S * 0.002
    expected = 100.0 - 96.0 * math.exp(-3.0 * 300 / heat)
    assert float(pieces.mean_c()[0]) == pytest.approx(expected, abs=0.1)


@settings(max_examples=60, deadline=None)
@given(
    dt_s=st.floats(1.0, 1800.0),
    radius_m=st.floats(0.005, 0.12),
    shape=st.floats(1.0, 3.0),
    h=st.floats(5.0, 60.0),
    share=st.floats(0.02, 1.0),
    supply=st.floats(0.0, 0.4),
    film=st.floats(0.0, 2.0),
    air=st.lists(st.floats(-10.0, 250.0), min_size=1, max_size=40),
)
def test_energy_and_water_are_kept_at_any_step(
    dt_s: float,
    radius_m: float,
    shape: float,
    h: float,
    share: float,
    supply: float,
    film: float,
    air: list[float],
) -> None:
    pieces = Heating(
        bodies(
            radius_m=radius_m,
            shape=shape,
            h_w_m2k=h,
            mass_share=share,
            supply=supply,
            wet_kg_m2=film,
        ),
        accounts=True,
    )
    for n, air_c in enumerate(air):
        pieces.step(air_c, dt_s, 1.0 if n % 3 else 0.6, 1.0 if n % 3 else 0.03)
    heat = pieces.heat_in_j_m2 - pieces.stored_j_m2 - LATENT_J_KG * pieces.evaporated_kg_m2
    assert abs(float(heat[0])) <= 1e-9 * (1.0 + abs(float(pieces.heat_in_j_m2[0]))) + 1e-5
    water = (
        film
        + pieces.supplied_kg_m2
        + pieces.from_crust_kg_m2
        - pieces.evaporated_kg_m2
        - pieces.film_kg_m2
        - pieces.dripped_kg_m2
    )
    assert abs(float(water[0])) < 1e-9
    assert np.all(pieces.released <= 1.0 + 1e-9)


@pytest.mark.parametrize("row", rows("wetbulb_cases"))
@pytest.mark.parametrize("radiant", [0.0, 0.5, 1.0])
def test_a_surface_that_stays_wet_is_at_the_wet_bulb(row: dict[str, str], radiant: float) -> None:
    """Published table computed with CoolProp and the Lewis form; ours within 0.5 K."""
    name = next(
        key
        for key in row
        if key.startswith(f"wet_surface_C hr/hc={radiant:g}")
        or (key.startswith("hr/hc=") and radiant > 0 and float(key.split("=")[1]) == radiant)
    )
    pieces = Heating(
        bodies(
            radius_m=0.004,
            shape=1.0,
            mass_share=1.0 / (1.0 + radiant),
            vapour_pa=float(row["p_v_Pa"]),
            wet_kg_m2=2.4,
            supply=0.0,
            start_c=float(row[name]),
        )
    )
    for _ in range(60):
        pieces.step(float(row["dry_bulb_C"]), 20.0)
    assert pieces.film_kg_m2[0] > 0.3
    assert float(pieces.surface_c[0]) == pytest.approx(float(row[name]), abs=0.5)


@pytest.mark.parametrize(
    ("target", "changed"),
    [(93.0, {}), (75.0, {"radius_m": 0.05}), (62.0, {"radius_m": 0.03, "shape": 1.5})],
)
def test_half_the_step_is_the_same_time_within_a_minute(
    target: float, changed: dict[str, float]
) -> None:
    coarse, usual, fine = (time_to(target, dt_s, **changed) for dt_s in (120.0, 60.0, 30.0))
    assert abs(coarse - usual) * 60 < 2.0
    assert abs(usual - fine) * 60 < 1.0


def test_water_makes_the_plateau() -> None:
    """Without the water that comes to the surface there is none: dry, the middle passes 70 °C much
    faster than with it; and the plateau lies at 60 to 80 °C (Kondjoyan et al. 2013 on juice)."""
    wet = [time_to(target, 60.0) for target in (60.0, 66.0, 72.0, 90.0)]
    dry = [
        time_to(target, 60.0, supply=0.0, wet_kg_m2=0.0, crust_kg_m2s=1e-7)
        for target in (60.0, 66.0, 72.0, 90.0)
    ]
    assert (wet[2] - wet[1]) > 2.0 * (dry[2] - dry[1])
    assert wet[-1] > 1.5 * dry[-1]


def test_what_is_let_go_rises_from_nothing_to_all() -> None:
    course = let_go(np.linspace(0.0, 110.0, 200))
    assert np.all(np.diff(course) >= 0)
    assert course[0] == pytest.approx(0.0, abs=1e-3)
    assert course[-1] == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize("shift_k", [-6.0, 0.0, 3.0])
def test_what_is_let_go_is_the_curve_that_it_is_said_to_be(shift_k: float) -> None:
    """`let_go` computes one logistic function; its docstring names the curve in two steps."""
    meat_c = np.linspace(-20.0, 130.0, 301)
    y = 0.745 - 0.345 / (1.0 + 30.0 * np.exp(-0.25 * (meat_c - 52.0 - shift_k)))
    cold, hot = 0.745 / 0.255, 0.4 / 0.6
    assert let_go(meat_c, shift_k) == pytest.approx(
        (cold - y / (1.0 - y)) / (cold - hot), abs=1e-12
    )


def test_members_that_are_picked_go_on_as_they_would_have() -> None:
    """Steps write into arrays that are kept: those that were picked must have their own."""
    prior = prior_of("brisket", None, None, 4.0, 1.0, None)
    values = prior.values(np.random.default_rng(3).standard_normal((len(NAMES), 6)))
    pieces, weights = Heating(bodies_of(values)), probe_weights(values[INDEX["depth"]])
    for _ in range(120):
        pieces.step(115.0, 120.0)
    chosen = np.array([4, 1, 1, 5])
    picked = pieces.pick(chosen)
    then = pieces.at(weights)
    for _ in range(60):
        picked.step(120.0, 120.0, 0.8, 0.05)
    assert np.array_equal(pieces.at(weights), then)
    for _ in range(60):
        pieces.step(120.0, 120.0, 0.8, 0.05)
    assert picked.at(weights[:, chosen]) == pytest.approx(pieces.at(weights)[chosen], abs=1e-9)


@pytest.mark.parametrize("bird_kg", [5.9, 8.0, 10.4])
@pytest.mark.parametrize("row", [row for row in rows("turkey_times") if row["stuffing"] == "no"])
def test_turkeys_in_an_oven(row: dict[str, str], bird_kg: float) -> None:
    """128 turkeys (J. Food Sci. 63(2), 1998), unstuffed: the regression lies inside the 80 % interval of the
    generic prior with the published coefficient of the oven."""
    published = float(row["at_no_mass_min"]) + float(row["per_kg_min"]) * bird_kg
    prior = prior_of("poultry_whole", bird_kg, None, float(row["start_c"]), 0.5, None)
    values = prior.values(np.random.default_rng(5).standard_normal((len(NAMES), 200)))
    values[INDEX["ln_h"]] = math.log(float(row["transfer_w_m2k"]))
    pieces = Heating(bodies_of(values))
    weights = probe_weights(values[INDEX["depth"]])
    reached = np.full(200, np.inf)
    for minute in range(1, 900):
        pieces.step(float(row["oven_c"]), 60.0)
        new = np.isinf(reached) & (pieces.at(weights) >= float(row["thigh_c"]))
        reached[new] = minute
    low, high = np.quantile(reached, [0.1, 0.9])
    assert low < published < high


def test_a_mass_gives_a_size_and_more_mass_a_larger_one() -> None:
    for cut in CUTS:
        small, _ = radius_of(cut, 0.5, None)
        large, _ = radius_of(cut, 4.0, None)
        assert large == pytest.approx(2.0 * small)
        assert radius_of(cut, None, 0.05)[0] == 0.025


def test_what_was_learned_must_name_a_parameter() -> None:
    with pytest.raises(ValueError, match="no parameter"):
        prior_of("fish", None, None, 4.0, 1.0, None, PitPrior(("ln_luck",), (1.0,), ((1.0,),)))
    with pytest.raises(ValueError, match="not above zero"):
        prior_of("fish", None, None, 4.0, 1.0, None, PitPrior(("ln_h",), (0.1,), ((0.0,),)))


@pytest.mark.parametrize(
    ("cut", "mass_kg", "thickness_m", "pit_c", "target_c", "usual_h"),
    [
        ("fish", None, 0.025, 95.0, 62.0, (1.0, 3.0)),
        ("poultry_pieces", 0.25, None, 135.0, 77.0, (1.0, 2.0)),
        ("poultry_whole", 1.8, None, 121.0, 74.0, (2.5, 4.5)),
        ("ribs", 1.4, None, 113.0, 91.0, (4.0, 6.0)),
        ("loaf", 1.3, None, 110.0, 70.0, (2.0, 3.5)),
        ("shoulder", 3.5, None, 113.0, 94.0, (8.0, 16.0)),
        ("brisket", 5.5, None, 113.0, 94.0, (9.0, 16.0)),
    ],
)
def test_what_is_usual_lies_in_the_wide_prior(
    cut: Cut,
    mass_kg: float | None,
    thickness_m: float | None,
    pit_c: float,
    target_c: float,
    usual_h: tuple[float, float],
) -> None:
    """Common practice, no source: the usual times lie within, and reach far into, the 80 % interval
    of what is believed before the first reading, and the interval is wide."""
    prior = prior_of(cut, mass_kg, thickness_m, 5.0, 0.5, None)
    values = prior.values(np.random.default_rng(5).standard_normal((len(NAMES), 200)))
    pieces = Heating(bodies_of(values))
    weights = probe_weights(values[INDEX["depth"]])
    reached = np.full(200, np.inf)
    for minute in range(2, 1800, 2):
        pieces.step(pit_c + values[INDEX["pit_error"]], 120.0)
        reached[np.isinf(reached) & (pieces.at(weights) >= target_c)] = minute / 60
    low, middle, high = np.quantile(reached, [0.1, 0.5, 0.9])
    assert 0.7 * usual_h[0] < middle < usual_h[1]
    assert high > 1.5 * low
    assert low < usual_h[1]
    assert high > usual_h[0]
