"""Salt soaking in, against the published series and times."""

from __future__ import annotations

import math
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.science.heat.conduction_series import (
    bessel_j,
    left_over,
    mean_left_over,
    middle_left_over,
    roots,
)
from smokejournal.science.numbers.ranges import OutOfRange
from smokejournal.science.numbers.spread import Spread
from smokejournal.science.salt import diffusion
from tests.reference.tables import rows

SHAPES = ("slab", "cylinder", "sphere")


def test_slab_series() -> None:
    for row in rows("slab_diffusion_solution"):
        fo = float(row["fourier_number_Dt_over_L2_half_thickness"])
        assert diffusion.uptake("slab", fo) == pytest.approx(
            float(row["fraction_of_equilibrium_uptake"]), abs=1e-6
        )
        assert diffusion.middle("slab", fo) == pytest.approx(
            float(row["centre_fraction"]), abs=1e-6
        )


def test_slab_times() -> None:
    for row in rows("slab_diffusion_times"):
        if float(row["time_days"]) > 366:
            continue  # longer than any soak that is taken
        radius = diffusion.radius_m(
            "slab",
            float(row["thickness_mm"]) / 1000,
            one_face=row["exposed"] == "one face (skin on)",
        )
        fo = diffusion.fourier(float(row["D_m2_per_s"]), radius, 3600 * float(row["time_h"]))
        # Times are printed to two digits behind the point.
        assert fo == pytest.approx(float(row["fourier_number"]), rel=2e-3)
        assert diffusion.uptake("slab", fo) == pytest.approx(
            float(row["fraction_of_equilibrium"]), abs=1e-3
        )


def test_roots_of_bessel() -> None:
    """Zeros of J0, Abramowitz and Stegun, table 9.5 (from memory)."""
    printed = [2.4048255577, 5.5200781103, 8.6537279129, 11.7915344391, 14.9309177086]
    assert roots("cylinder", math.inf)[:5] == pytest.approx(printed, abs=1e-9)
    assert max(abs(bessel_j(0, float(z))) for z in roots("cylinder", math.inf)) < 1e-12


@pytest.mark.parametrize("shape", SHAPES)
def test_a_very_large_biot_number_comes_to_the_same(shape) -> None:
    for fo in (0.01, 0.1, 1.0):
        assert left_over(shape, math.inf, fo, 0.3) == pytest.approx(
            left_over(shape, 1e9, fo, 0.3), abs=1e-6
        )
        assert left_over(shape, math.inf, fo, 0.0) == pytest.approx(
            middle_left_over(shape, math.inf, fo), abs=1e-12
        )
        assert mean_left_over(shape, math.inf, fo) == pytest.approx(
            mean_left_over(shape, 1e9, fo), abs=1e-6
        )


@pytest.mark.parametrize("shape", SHAPES)
def test_short_and_long_forms_meet(shape) -> None:
    short = diffusion.uptake(shape, 0.003 - 1e-12)
    assert short == pytest.approx(diffusion.uptake(shape, 0.003), abs=2e-6)
    assert diffusion.middle(shape, 0.003) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("shape", SHAPES)
@given(st.floats(1e-6, 5), st.floats(1e-4, 1))
def test_salt_only_goes_in(shape, fo: float, more: float) -> None:
    before, after = diffusion.uptake(shape, fo), diffusion.uptake(shape, fo + more)
    assert 0 <= before <= after + 1e-9 <= 1 + 1e-9
    assert diffusion.middle(shape, fo) <= diffusion.middle(shape, fo + more) + 1e-9
    assert diffusion.middle(shape, fo) <= before + 1e-9


@given(st.floats(0.001, 5))
def test_more_faces_are_faster(fo: float) -> None:
    slab, cylinder, sphere = (diffusion.uptake(shape, fo) for shape in SHAPES)
    assert slab <= cylinder + 1e-9 <= sphere + 2e-9


@pytest.mark.parametrize("shape", SHAPES)
@given(st.floats(0.02, 0.98))
def test_share_in_the_middle_and_back(shape, share: float) -> None:
    fo = diffusion.fourier_at_middle(shape, share)
    assert diffusion.middle(shape, fo) == pytest.approx(share, abs=1e-6)


@given(st.floats(0.002, 0.1))
def test_twice_as_thick_takes_four_times_as_long(thickness_m: float) -> None:
    d = diffusion.DIFFUSIVITIES["pork"].m2_s
    one, two = (
        diffusion.time_to_middle_s("slab", diffusion.radius_m("slab", t), 0.5, d)
        for t in (thickness_m, 2 * thickness_m)
    )
    assert two.mid == pytest.approx(4 * one.mid, rel=1e-9)
    assert one.low < one.mid < one.high
    # Through one face it is like a slab twice as thick.
    skin = diffusion.time_to_middle_s(
        "slab", diffusion.radius_m("slab", thickness_m, one_face=True), 0.5, d
    )
    assert skin == two


def test_diffusivities_are_what_was_read() -> None:
    """Rows that were read and are for salt; the impossible one and those from memory are left out."""
    read = {
        row["material"]: (float(row["D_low_m2_per_s"]), float(row["D_high_m2_per_s"]))
        for row in rows("salt_diffusivity")
        if row["provenance"] == "READ" and row["D_low_m2_per_s"]
    }
    pork = diffusion.DIFFUSIVITIES["pork"].m2_s
    assert pork.low == read["pork loin slices"][0]
    assert pork.low < pork.mid < read["pork loin slices"][1]
    assert pork.high == read["pork longissimus and semitendinosus"][1]
    fish = diffusion.DIFFUSIVITIES["fish"].m2_s
    assert (fish.low, fish.mid) == read["fish fillet, meat side"]
    assert fish.high == pork.high
    both = diffusion.DIFFUSIVITIES["unmeasured"].m2_s
    assert (both.low, both.high) == (fish.low, pork.high)
    with pytest.raises(OutOfRange):
        diffusion.fourier(read["chicken breast, 150 MPa"][0], 0.01, 3600.0)


def test_a_recipe_of_an_extension_service() -> None:
    """Kitsap Cooperative Extension (1992): half an inch of fish, 4 h, half a cup of salt to a quart.

    The likely value gives 1.8 to 3 % of salt in the fish: hot-smoked fish has 1.8 to 2 %, 3 % is
    quoted as its limit.
    """
    d = diffusion.DIFFUSIVITIES["fish"].m2_s
    taken, _ = diffusion.uptake_after("slab", diffusion.radius_m("slab", 0.0127), 4 * 3600.0, d)
    brine_pct = 100 * 146 / (146 + 946)  # half a cup of table salt (USDA SR28) to a quart
    in_water = taken.mid * brine_pct
    assert 1.5 < 0.75 * in_water < 3.0
    assert 0.75 * taken.low * brine_pct < 1.8 < 0.75 * taken.high * brine_pct


def test_ranges() -> None:
    with pytest.raises(OutOfRange):
        diffusion.radius_m("slab", 0.0)
    with pytest.raises(OutOfRange):
        diffusion.radius_m("sphere", float("nan"))
    with pytest.raises(ValueError):
        diffusion.radius_m("sphere", 0.1, one_face=True)
    with pytest.raises(OutOfRange):
        diffusion.fourier(1e-10, 0.01, -1.0)
    with pytest.raises(OutOfRange):
        diffusion.time_to_middle_s("slab", 0.01, 0.5, Spread(0.0, 1e-10, 2e-10))


def test_quick_enough_to_type_along() -> None:
    roots.cache_clear()
    started = time.perf_counter()
    for shape in SHAPES:
        diffusion.fourier_at_middle(shape, 0.5)
    assert time.perf_counter() - started < 1.0
