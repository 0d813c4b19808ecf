"""What finished cooks teach: the textbook's formula, what must always hold, and one odd cook."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from smokejournal.science.forecast.heating_learned import (
    CAP_SD,
    ODD_SD,
    Finding,
    generic,
    learned,
    learned_prior,
)
from smokejournal.science.forecast.heating_prior import NAMES, OF_THE_CUT, OF_THE_PIT, prior_of

SHARES = OF_THE_PIT | OF_THE_CUT
names = st.sampled_from(sorted(SHARES))


def finding(name: str, read: float, noise_sd: float, cut: str = "brisket") -> Finding:
    """What is found by the generic prior where the readings say `read` (a shift) +- `noise_sd`."""
    mean, sd = generic(cut)[name]  # type: ignore[arg-type]
    variance = 1.0 / (1.0 / sd**2 + 1.0 / noise_sd**2)
    found = variance * (mean / sd**2 + (mean + read) / noise_sd**2)
    return Finding(cut, {name: found}, {name: math.sqrt(variance)})  # type: ignore[arg-type]


def findings_of(name: str) -> st.SearchStrategy[list[Finding]]:
    sd = generic("brisket")[name][1]
    one = st.tuples(st.floats(-20.0, 20.0), st.floats(0.02, 20.0))
    return st.lists(one.map(lambda pair: finding(name, pair[0] * sd, pair[1] * sd)), max_size=8)


cases = names.flatmap(lambda name: st.tuples(st.just(name), findings_of(name)))


def test_the_normal_with_known_variance() -> None:
    """Gelman et al., Bayesian Data Analysis, 3rd ed., eq. 2.11 and 2.12: n values of mean y and
    variance s2 each, prior N(0, t2), give the mean (n y / s2) / (1/t2 + n/s2) and that precision."""
    name = "ln_h"
    _, sd = generic("brisket")[name]
    share = OF_THE_PIT[name]
    t2, noise = share * sd**2, 0.15
    s2 = noise**2 + (1.0 - share) * sd**2
    reads = (0.10, 0.02, 0.14, 0.06)
    found = learned(name, "brisket", [finding(name, read, noise) for read in reads])
    precision = 1.0 / t2 + 4.0 / s2
    assert found.shift == pytest.approx(4.0 * np.mean(reads) / s2 / precision, rel=1e-9)
    assert found.own_sd == pytest.approx(precision**-0.5, rel=1e-9)
    assert found.sd == pytest.approx(math.sqrt(1.0 / precision + (1.0 - share) * sd**2), rel=1e-9)


def test_what_is_held_back_costs_five_in_a_hundred_where_nothing_is_odd() -> None:
    """Huber's location estimate at k = 1.345 is 95 % efficient at the normal (manual of R's package
    marg, Huber; after Huber 1964): (E psi')^2 / E psi^2."""
    normal = NormalDist()
    tail = 1.0 - normal.cdf(ODD_SD)
    inside = 1.0 - 2.0 * tail
    square = inside - 2.0 * ODD_SD * normal.pdf(ODD_SD) + 2.0 * ODD_SD**2 * tail
    assert inside**2 / square == pytest.approx(0.95, abs=5e-4)


@pytest.mark.parametrize("name", sorted(SHARES))
@pytest.mark.parametrize("truth", [-1.2, 0.4, 1.5])
def test_many_cooks_come_to_the_truth(name: str, truth: float) -> None:
    rng = np.random.default_rng(5)
    _, sd = generic("brisket")[name]
    own, day = math.sqrt(SHARES[name]) * sd, math.sqrt(1.0 - SHARES[name]) * sd
    noise = 0.7 * sd
    cooks = [
        finding(
            name, truth * own + day * rng.standard_normal() + noise * rng.standard_normal(), noise
        )
        for _ in range(800)
    ]
    off = []
    for count in (5, 50, 800):
        found = learned(name, "brisket", cooks[:count])
        off.append(abs(found.shift - truth * own) / own)
        assert abs(found.shift - truth * own) < 4.0 * found.own_sd
    assert off[-1] < 0.15
    assert found.sd == pytest.approx(day, rel=0.01)


def test_no_cooks_is_exactly_the_generic_prior() -> None:
    assert learned_prior("brisket", [], []) is None
    assert learned_prior("brisket", [Finding("brisket")], [Finding("brisket")]) is None
    for name in SHARES:
        found = learned(name, "brisket", [])
        assert found.shift == 0.0
        assert found.sd == pytest.approx(generic("brisket")[name][1], rel=1e-12)


@given(cases, st.randoms())
@settings(deadline=None, max_examples=25)
def test_the_order_of_cooks_does_not_matter(case: tuple[str, list[Finding]], rng) -> None:
    name, cooks = case
    mixed = list(cooks)
    rng.shuffle(mixed)
    assert learned(name, "brisket", mixed) == learned(name, "brisket", cooks)


@given(cases)
@settings(deadline=None, max_examples=40)
def test_the_spread_keeps_its_bounds_and_the_mean_its_cap(case: tuple[str, list[Finding]]) -> None:
    name, cooks = case
    _, sd = generic("brisket")[name]
    found = learned(name, "brisket", cooks)
    assert math.sqrt(1.0 - SHARES[name]) * sd * (1 - 1e-9) <= found.sd <= sd * (1 + 1e-9)
    assert abs(found.shift) <= CAP_SD * math.sqrt(SHARES[name]) * sd * (1 + 1e-9)


@given(cases, st.floats(-1e6, 1e6), st.floats(0.02, 5.0))
@settings(deadline=None, max_examples=40)
def test_one_odd_cook_moves_it_by_no_more_than_its_pull(
    case: tuple[str, list[Finding]], read: float, noise: float
) -> None:
    name, cooks = case
    _, sd = generic("brisket")[name]
    day, own = (1.0 - SHARES[name]) * sd**2, SHARES[name] * sd**2
    without = learned(name, "brisket", cooks)
    with_it = learned(name, "brisket", [*cooks, finding(name, read * sd, noise * sd)])
    bound = ODD_SD / math.sqrt((noise * sd) ** 2 + day) * own
    assert abs(with_it.shift - without.shift) <= bound * (1 + 1e-6)


def test_among_nine_that_agree_an_odd_one_hardly_counts() -> None:
    name = "ln_h"
    nine = [finding(name, 0.1 + 0.01 * n, 0.1) for n in range(-4, 5)]
    agreed = learned(name, "brisket", nine)
    odd = learned(name, "brisket", [*nine, finding(name, -3.0, 0.1)])
    assert abs(odd.shift - agreed.shift) < 0.5 * agreed.own_sd + 0.02
    plain = np.mean([0.1 + 0.01 * n for n in range(-4, 5)] + [-3.0])
    assert plain < -0.15 < 0.0 < odd.shift


@given(names, st.floats(-5.0, 5.0), st.floats(1.0, 3.0))
@settings(deadline=None, max_examples=30)
def test_a_cook_whose_readings_told_nothing_teaches_nothing(
    name: str, shift: float, wider: float
) -> None:
    mean, sd = generic("brisket")[name]
    nothing = Finding("brisket", {name: mean + shift * sd}, {name: sd * wider})
    found = learned(name, "brisket", [nothing])
    assert found.shift == 0.0
    assert found.sd == pytest.approx(sd)


def test_a_brisket_teaches_the_pit_for_a_fish() -> None:
    found = Finding(
        "brisket",
        {name: mean + 0.5 * sd for name, (mean, sd) in generic("brisket").items()},
        {name: 0.4 * sd for name, (_, sd) in generic("brisket").items()},
    )
    taught = learned_prior("fish", [found], [])
    assert taught is not None
    assert (taught.cooks, taught.of_the_cut) == (1, 0)
    assert set(taught.mean) == set(OF_THE_PIT)
    for name in OF_THE_PIT:
        assert taught.mean[name] > generic("fish")[name][0]
        assert taught.sd[name] < generic("fish")[name][1]
    plain = prior_of("fish", 1.0, None, 5.0, 1.0, None)
    prior = prior_of("fish", 1.0, None, 5.0, 1.0, None, taught)
    same = [n for n, name in enumerate(NAMES) if name not in OF_THE_PIT]
    assert np.array_equal(prior.mean[same], plain.mean[same])
    assert np.array_equal(prior.sd[same], plain.sd[same])
    both = learned_prior("brisket", [found], [found])
    assert both is not None
    assert set(both.mean) == set(SHARES)
    assert (both.cooks, both.of_the_cut) == (1, 1)
