"""The simulator that the forecast is judged against: its books close, it is exact where there is an
exact answer, and the same cook comes out each time.

Its pieces are cylinders and bars, so slabs, long cylinders, short ones and bars are what is compared
with the exact solutions; a sphere it cannot be.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.simulator import cooks, recipes
from tests.simulator.body import NZ, Bodies, Meat, Surroundings
from tests.support import conduction_exact as exact

DT_S = 15.0
HOURS = 2.0
#: Of what went in; what the Newton step for the temperature leaves over is within it.
ENERGY_SHARE = 2e-4


def _around(n: int, **changed: float | np.ndarray) -> Surroundings:
    told: dict[str, float | np.ndarray] = {
        "air_c": 115.0,
        "walls_c": 118.0,
        "convective": 12.0,
        "emissivity": 0.9,
        "vapour_pa": 3000.0,
        "heat_gap": 0.0,
        "vapour_gap": 1.0,
        "spritz_kg_m2": 0.0,
    }
    told.update(changed)
    return Surroundings(**{key: np.full(n, value) for key, value in told.items()})


@pytest.fixture(scope="module")
def run() -> tuple[Bodies, float, float, float]:
    """One piece of each cut through spray, lid and wrap; what it held of energy at first, and the
    largest deviations of the books of energy and water on the way, in shares."""
    specs = [recipes.cook_spec(cut, 0).meat for cut in recipes.CUTS]
    bodies = Bodies(cooks.meat_of(specs))
    n = len(specs)
    energy, water = bodies.energy_j(), bodies.water_kg()
    worst_energy = worst_water = 0.0
    for i in range(int(HOURS * 3600 / DT_S)):
        at_s = i * DT_S
        changed: dict[str, float | np.ndarray] = {}
        if at_s in (2400.0, 4800.0):
            changed["spritz_kg_m2"] = 0.05
        if 3000.0 <= at_s < 3090.0:  # the lid
            changed |= {"air_c": 40.0, "walls_c": 90.0, "vapour_pa": 1200.0}
        if at_s >= 5400.0:
            changed |= {"heat_gap": 0.02, "vapour_gap": 200.0}
        bodies.step(_around(n, **changed), DT_S)
        books = bodies.books
        came = books.heat_in - books.latent + books.carried
        off = bodies.energy_j() - energy - came
        worst_energy = max(
            worst_energy, float(np.max(np.abs(off) / np.maximum(np.abs(books.heat_in), 1e3)))
        )
        gone = books.evaporated + books.dripped - books.sprayed
        off = bodies.water_kg() - water + gone
        worst_water = max(worst_water, float(np.max(np.abs(off) / water)))
    return bodies, float(energy.sum()), worst_energy, worst_water


def test_energy_is_kept_through_spray_lid_and_wrap(run):
    assert run[2] < ENERGY_SHARE


def test_water_is_kept_through_spray_lid_and_wrap(run):
    assert run[3] < 1e-9


def test_what_was_left_over_stays_in_the_energy(run):
    """The energies themselves (not the temperatures read off them) close to rounding."""
    bodies, first_j = run[0], run[1]
    books = bodies.books
    came = float((books.heat_in - books.latent + books.carried).sum())
    assert abs(float(bodies.energy.sum()) - first_j - came) < 1e-9 * float(books.heat_in.sum())


def test_each_course_of_the_water_was_run_through(run):
    books = run[0].books
    for kg in (books.evaporated, books.dripped, books.sprayed):
        assert (kg > 0).all()


def test_meat_is_never_below_no_water(run):
    assert (run[0].x >= 0).all()


# against exact answers

_K, _H, _START_C, _AIR_C = 0.5, 25.0, 5.0, 110.0
_WATER = 0.999  # nearly all water: so that its capacity hardly changes with warmth
_DENSITY = 1.0 / (_WATER / 997.0 + (1 - _WATER) / 1310.0)
_ALPHA = _K / (_DENSITY * (_WATER * 4180.0 + (1 - _WATER) * 2065.0))
_RADIUS, _HEIGHT = 0.05, 0.07


def _dry(round_: int, exposed: tuple[float, float, float]) -> Bodies:
    one = {
        "round": round_,
        "radius": _RADIUS,
        "height": _HEIGHT,
        "length": 0.3,
        "start_c": _START_C,
        "water": _WATER,
        "fibre": 1.0,
    }
    keys = Meat.__dataclass_fields__
    values = {key: np.array([float(one.get(key, 0.0))]) for key in keys}
    three = np.zeros((3, 1))
    values |= {"loses": three, "change_c": three + 60.0, "change_k": three + 3.0, "skin": three}
    values["exposed"] = np.array(exposed)[:, None]
    return Bodies(Meat(**values), dry=True, conductivity=_K)


CASES = {
    "slab": (0, (0.0, 1.0, 1.0), exact.single("slab", _HEIGHT / 2, _K, _ALPHA)),
    "long cylinder": (1, (1.0, 0.0, 0.0), exact.single("cylinder", _RADIUS, _K, _ALPHA)),
    "short cylinder": (
        1,
        (1.0, 1.0, 1.0),
        exact.finite_cylinder(_RADIUS, _HEIGHT / 2, _K, _ALPHA),
    ),
    "bar": (
        0,
        (1.0, 1.0, 1.0),
        exact.Solid((("slab", _RADIUS), ("slab", _HEIGHT / 2)), _K, _ALPHA),
    ),
}


#: Of a difference of 105 K, with cells up to 13 mm wide: at the middle of the innermost cell, as a mean
#: over the volume, and in the middle of the piece, where no cell has its own middle.
CELL_K, MEAN_K, MIDDLE_K = 0.7, 0.3, 1.4


@pytest.mark.parametrize("name", CASES)
def test_a_dry_piece_warms_as_the_exact_solution_says(name):
    """Against Carslaw and Jaeger's series, every quarter of an hour for an hour and a half."""
    round_, exposed, solid = CASES[name]
    bodies = _dry(round_, exposed)
    r, z = float(bodies.rc[0, 0]) / _RADIUS, float(bodies.zc[NZ // 2 - 1, 0]) / _HEIGHT
    cell, middle = (
        bodies.place(np.array([r]), np.array([z])),
        bodies.place(*np.array([[0.0], [0.5]])),
    )
    off_cell = {"slab": (1 - 2 * z,), "long cylinder": (r,)}.get(name, (r, 1 - 2 * z))
    bath = exact.Bath(_START_C, _AIR_C, _H)
    around = _around(1, air_c=_AIR_C, walls_c=_AIR_C, convective=_H, emissivity=0.0)
    for i in range(1, int(1.5 * 3600 / DT_S) + 1):
        bodies.step(around, DT_S)
        if i % 60:
            continue
        at_s = i * DT_S
        mean = float((bodies.t * bodies.volume).sum() / bodies.volume.sum())
        wanted = exact.temperature_c(solid, bath, at_s, off_cell)
        assert abs(float(bodies.at(cell)[0]) - wanted) < CELL_K
        assert abs(mean - exact.mean_c(solid, bath, at_s)) < MEAN_K
        wanted = exact.temperature_c(solid, bath, at_s)
        assert abs(float(bodies.at(middle)[0]) - wanted) < MIDDLE_K


# cooks

SPECS = [recipes.cook_spec("fish", 0), recipes.cook_spec("poultry_pieces", 1)]


@pytest.fixture(scope="module")
def run_cooks() -> list[cooks.SimulatedCook]:
    return cooks.simulate(SPECS)


def _same(a: cooks.SimulatedCook, b: cooks.SimulatedCook) -> None:
    assert a.spec == b.spec
    for key in ("time_s", "pit_c", "probe_c", "check_c"):
        np.testing.assert_array_equal(getattr(a, key), getattr(b, key))
    facts = (
        "truth_s",
        "wrapped_s",
        "pulled_s",
        "peak_c",
        "first_kg",
        "lost_share",
        "dripped_share",
    )
    for key in facts:
        np.testing.assert_equal(getattr(a, key), getattr(b, key))


def test_the_same_cook_comes_out_each_time(run_cooks):
    again = cooks.simulate([recipes.cook_spec("fish", 0), recipes.cook_spec("poultry_pieces", 1)])
    for a, b in zip(run_cooks, again, strict=True):
        _same(a, b)


def test_what_comes_out_of_the_cache_is_what_went_in(run_cooks, tmp_path: Path, monkeypatch):
    monkeypatch.setattr(cooks, "simulate", lambda specs: run_cooks)
    for a, b in zip(run_cooks, cooks.cooks(SPECS, tmp_path), strict=True):
        _same(a, b)

    def no_more(specs):
        raise AssertionError("it should have been in the cache")

    monkeypatch.setattr(cooks, "simulate", no_more)
    for a, b in zip(run_cooks, cooks.cooks(SPECS, tmp_path), strict=True):
        _same(a, b)


def test_other_numbers_are_another_file_of_the_cache(run_cooks, tmp_path: Path, monkeypatch):
    monkeypatch.setattr(cooks, "simulate", lambda specs: run_cooks[: len(specs)])
    cooks.cooks(SPECS, tmp_path)
    cooks.cooks([replace(SPECS[0], target_c=61.5)], tmp_path)
    assert len(list(tmp_path.glob("*.npz"))) == 2


def test_nothing_is_told_before_its_time(run_cooks):
    for cook in run_cooks:
        for share in (0.25, 0.5, 0.9):
            now = cook.moment(share)
            told = cook.so_far(now)
            assert told.time_s[-1] <= now < cook.truth_s
            assert all(point.time_s <= now for point in told.set_points)
            assert all(wrap.time_s <= now for wrap in told.wraps)


def test_a_second_probe_changes_nothing_of_the_cook(run_cooks):
    bare = [replace(spec, check=None) for spec in SPECS]
    for cook, without in zip(run_cooks, cooks.simulate(bare), strict=True):
        assert without.check_c is None
        _same(replace(cook, spec=without.spec, check_c=None), without)


def test_a_second_probe_is_told_of_when_asked_for(run_cooks):
    for cook in run_cooks:
        now = cook.moment(0.75)
        assert cook.so_far(now).check_c is None
        both = cook.so_far(now, both=True)
        assert both.check_c is not None
        assert len(both.check_c) == len(both.time_s)
        assert np.count_nonzero(np.isfinite(both.check_c)) > 0.9 * len(both.time_s)
        # In the meat, somewhere else: colder than the pit, and not the lead's readings again.
        late = slice(-20, None)
        assert np.nanmedian(both.check_c[late]) < np.nanmedian(both.pit_c[late])
        assert np.nanmedian(np.abs(both.check_c[late] - both.probe_c[late])) > 0.05


def test_the_sealed_part_and_the_open_one_share_no_cook():
    open_, sealed = recipes.part("open"), recipes.part("sealed")
    assert not {c.index for c in open_} & {c.index for c in sealed}
    assert {c.index for c in recipes.part("quick")} <= {c.index for c in open_}
    assert len(open_) + len(sealed) == len(recipes.all_cooks()) >= 120
    assert len(sealed) >= len(recipes.all_cooks()) // 3
