"""What finished cooks teach: the textbook's formula, what must always hold, and one odd cook."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from smokejournal.science.forecast.heating_learned import (
    LEAST_SEEN,
    ODD_SD,
    SHARED,
    finding_of,
    generic_sd,
    learned,
    learned_prior,
)
from smokejournal.science.forecast.heating_prior import (
    INDEX,
    NAMES,
    OF_THE_CUT,
    OF_THE_PIT,
    prior_of,
)
from smokejournal.science.forecast.values import Finding

#: A parameter of the pit alone, and one of the cut alone.
PIT, CUT = "ln_vapour", "ln_supply"
SD = generic_sd("brisket")


def finding(name: str, read: float, noise_sd: float, cut: str = "brisket") -> Finding:
    """Readings that say `read` (a shift) +- `noise_sd` of one parameter and nothing of the others."""
    weights = {name: 1.0 / noise_sd}
    return Finding(cut, (weights,), (read / noise_sd,), generic_sd(cut))  # type: ignore[arg-type]


def findings_of(name: str) -> st.SearchStrategy[list[Finding]]:
    one = st.tuples(st.floats(-20.0, 20.0), st.floats(0.02, 20.0))
    return st.lists(
        one.map(lambda pair: finding(name, pair[0] * SD[name], pair[1] * SD[name])), max_size=6
    )


def test_the_normal_with_known_variance() -> None:
    """Gelman et al., Bayesian Data Analysis, 3rd ed., eq. 2.11 and 2.12: n values of mean y and
    variance s2 each, prior N(0, t2), give the mean (n y / s2) / (1/t2 + n/s2) and that precision."""
    sd, share, noise = SD[PIT], OF_THE_PIT[PIT], 0.3
    t2 = share * sd**2
    s2 = noise**2 + (1.0 - share) * sd**2
    reads = (0.10, 0.02, 0.14, 0.06)
    found = learned("brisket", [finding(PIT, read, noise) for read in reads])[0][PIT]
    precision = 1.0 / t2 + 4.0 / s2
    assert found.shift == pytest.approx(4.0 * np.mean(reads) / s2 / precision, rel=1e-9)
    assert found.own_sd == pytest.approx(precision**-0.5, rel=1e-9)
    assert found.sd == pytest.approx(math.sqrt(1.0 / precision + (1.0 - share) * sd**2), rel=1e-9)


def test_a_linear_fit_is_learned_from_as_its_readings_would_be() -> None:
    """The directions of a linear fit with normal errors lose nothing: what they teach is what the
    readings themselves do in one regression (Bayesian Data Analysis, 3rd ed., eq. 14.5 with known
    variances), worked here with the whole matrices."""
    rng = np.random.default_rng(4)
    names = ("ln_vapour", "ln_supply", "ln_crust")
    sd = np.array([SD[name] for name in names])
    found, whole, seen = [], [], []
    for _ in range(3):
        slopes = rng.standard_normal((7, 3)) / sd
        readings = 0.4 * rng.standard_normal(7)
        standard = slopes * sd
        curved = standard.T @ standard + np.eye(3)
        z = np.linalg.solve(curved, standard.T @ readings)
        found.append(finding_of("brisket", names, curved, z, sd))
        whole.append(slopes)
        seen.append(readings)
    own = np.array([OF_THE_PIT["ln_vapour"], OF_THE_CUT["ln_supply"], OF_THE_CUT["ln_crust"]])
    precision, moment = np.diag(1.0 / (own * sd**2)), np.zeros(3)
    for slopes, readings in zip(whole, seen, strict=True):
        noise = np.eye(7) + (slopes * ((1 - own) * sd**2)) @ slopes.T
        precision += slopes.T @ np.linalg.solve(noise, slopes)
        moment += slopes.T @ np.linalg.solve(noise, readings)
    mean = np.linalg.solve(precision, moment)
    prior = learned_prior("brisket", found)
    assert prior is not None
    at = [prior.names.index(name) for name in names]
    assert np.array(prior.shift)[at] == pytest.approx(mean, rel=1e-6)
    covariance = np.linalg.inv(precision) + np.diag((1 - own) * sd**2)
    assert np.array(prior.covariance)[np.ix_(at, at)] == pytest.approx(covariance, rel=1e-6)


def test_what_is_held_back_costs_five_in_a_hundred_where_nothing_is_odd() -> None:
    """Huber's location estimate at k = 1.345 is 95 % efficient at the normal (manual of R's package
    marg, Huber; after Huber 1964): (E psi')^2 / E psi^2."""
    normal = NormalDist()
    tail = 1.0 - normal.cdf(ODD_SD)
    inside = 1.0 - 2.0 * tail
    square = inside - 2.0 * ODD_SD * normal.pdf(ODD_SD) + 2.0 * ODD_SD**2 * tail
    assert inside**2 / square == pytest.approx(0.95, abs=5e-4)


@pytest.mark.parametrize("name", [PIT, CUT])
@pytest.mark.parametrize("truth", [-1.2, 0.4, 1.5])
def test_many_cooks_come_to_the_truth(name: str, truth: float) -> None:
    rng = np.random.default_rng(5)
    share = OF_THE_PIT[name] if name in OF_THE_PIT else OF_THE_CUT[name]
    sd = SD[name]
    own, day = math.sqrt(share) * sd, math.sqrt(1.0 - share) * sd
    noise = 0.7 * sd
    cooks = [
        finding(
            name, truth * own + day * rng.standard_normal() + noise * rng.standard_normal(), noise
        )
        for _ in range(400)
    ]
    off = []
    for count in (5, 50, 400):
        both = learned("brisket", cooks[:count])
        found = both[0 if name in OF_THE_PIT else 1][name]
        off.append(abs(found.shift - truth * own) / own)
        assert abs(found.shift - truth * own) < 4.0 * found.own_sd
    assert off[-1] < 0.2
    assert found.sd == pytest.approx(day, rel=0.02)


def test_no_cooks_is_exactly_the_generic_prior() -> None:
    assert learned_prior("brisket", []) is None
    assert learned_prior("brisket", [Finding("brisket")], [Finding("brisket")]) is None
    assert learned("brisket", []) == ({}, {})
    # One that tells of another cut, on another pit, leaves this one as it was.
    assert learned_prior("fish", [], [finding(CUT, 0.5, 0.2)]) is None


@given(findings_of(PIT), findings_of(CUT), st.randoms())
@settings(deadline=None, max_examples=25)
def test_the_order_of_cooks_does_not_matter(
    first: list[Finding], second: list[Finding], rng
) -> None:
    cooks = [*first, *second]
    mixed = list(cooks)
    rng.shuffle(mixed)
    assert learned("brisket", mixed) == learned("brisket", cooks)


@given(findings_of(PIT), findings_of(CUT))
@settings(deadline=None, max_examples=40)
def test_the_spread_keeps_its_bounds(first: list[Finding], second: list[Finding]) -> None:
    prior = learned_prior("brisket", [*first, *second])
    if prior is None:
        return
    spread = np.sqrt(np.diag(prior.covariance))
    for name, found in zip(prior.names, spread, strict=True):
        own = OF_THE_PIT.get(name, 0.0) + OF_THE_CUT.get(name, 0.0)
        assert math.sqrt(1.0 - own) * SD[name] * (1 - 1e-6) <= found <= SD[name] * (1 + 1e-6)
    np.linalg.cholesky(np.array(prior.covariance))


def test_among_nine_that_agree_an_odd_one_hardly_counts() -> None:
    nine = [finding(PIT, 0.1 + 0.01 * n, 0.1) for n in range(-4, 5)]
    agreed = learned("brisket", nine)[0][PIT]
    odd = learned("brisket", [*nine, finding(PIT, -30.0, 0.1)])[0][PIT]
    assert abs(odd.shift - agreed.shift) < 0.5 * agreed.own_sd
    plain = np.mean([0.1 + 0.01 * n for n in range(-4, 5)] + [-30.0])
    assert plain < -2.0 < 0.0 < odd.shift


@given(st.floats(-5.0, 5.0))
@settings(deadline=None, max_examples=20)
def test_a_fit_whose_readings_told_nothing_teaches_nothing(place: float) -> None:
    z = np.array([place, 0.0])
    found = finding_of("brisket", (PIT, CUT), np.eye(2) * (1.0 + 0.5 * LEAST_SEEN), z, np.ones(2))
    assert found.directions == ()
    assert learned_prior("brisket", [found]) is None


def test_what_only_two_parameters_tell_together_is_learned_together() -> None:
    """Many cooks that see a sum and never its parts: the sum is narrow, each part stays wide."""
    sd = {name: SD[name] for name in (PIT, CUT)}
    both = {PIT: 1.0 / (0.1 * SD[PIT]), CUT: 1.0 / (0.1 * SD[CUT])}
    prior = learned_prior("brisket", [Finding("brisket", (both,), (5.0,), sd)] * 30)
    assert prior is not None
    a, b = prior.names.index(PIT), prior.names.index(CUT)
    covariance = np.array(prior.covariance)
    scaled = covariance / np.outer([SD[n] for n in prior.names], [SD[n] for n in prior.names])
    assert scaled[a, b] < -0.2
    assert scaled[a, a] > 0.5
    own = scaled[a, a] + scaled[b, b] + 2 * scaled[a, b]
    assert own == pytest.approx(2.0 - OF_THE_PIT[PIT] - OF_THE_CUT[CUT], abs=0.05)


def test_a_brisket_teaches_the_pit_for_a_fish() -> None:
    found = finding(PIT, 0.5 * SD[PIT], 0.2 * SD[PIT])
    taught = learned_prior("fish", [found])
    assert taught is not None
    assert (taught.cooks, taught.of_the_cut) == (1, 0)
    plain = prior_of("fish", None, None, 5.0, 1.0, None)
    prior = prior_of("fish", None, None, 5.0, 1.0, None, taught)
    moved = prior.mean - plain.mean
    assert moved[INDEX[PIT]] > 0.0
    assert prior.sd[INDEX[PIT]] < plain.sd[INDEX[PIT]]
    same = [n for n, name in enumerate(NAMES) if name != PIT]
    assert moved[same] == pytest.approx(np.zeros(len(same)), abs=1e-9)
    assert prior.sd[same] == pytest.approx(plain.sd[same], rel=1e-6)
    both = learned_prior("brisket", [found])
    assert both is not None
    assert (both.cooks, both.of_the_cut) == (1, 1)
    # On an earlier cooker it tells of the meat alone, and this one told nothing of that.
    elsewhere = learned_prior("brisket", [], [found])
    assert elsewhere is not None
    assert (elsewhere.cooks, elsewhere.of_the_cut) == (0, 1)
    assert elsewhere.shift[elsewhere.names.index(PIT)] == pytest.approx(0.0, abs=1e-12)


def test_a_piece_of_no_known_kind_teaches_of_the_pit_alone() -> None:
    odd = Finding("other", ({PIT: 5.0, CUT: 5.0},), (3.0,), generic_sd("other"))
    prior = learned_prior("other", [odd])
    assert prior is not None
    assert (prior.cooks, prior.of_the_cut) == (1, 0)
    assert prior.shift[prior.names.index(PIT)] > 0.0
    assert prior.shift[prior.names.index(CUT)] == 0.0
    assert learned("other", [odd])[1] == {}


def test_the_shares_leave_something_to_the_day() -> None:
    for name in SHARED:
        assert 0.0 < OF_THE_PIT.get(name, 0.0) + OF_THE_CUT.get(name, 0.0) < 1.0
