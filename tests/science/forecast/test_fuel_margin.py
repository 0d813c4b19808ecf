"""Fuel set against a fire: closed forms, then what must hold whatever comes.

Published: the product of independent lognormal variables is lognormal, and the sum of independent
normal ones normal (Aitchison and Brown, The Lognormal Distribution, 1957; from memory). With a
lognormal factor, a lognormal time and a level that is known, the chance of running out has a closed
form; with a normal time and level it is one after conditioning on the factor.
"""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from smokejournal.science.forecast.fuel_margin import DRAWS, Fire, FloatArray, Store, margin

N = NormalDist()
SHARES = (np.arange(1000) + 0.5) / 1000
Z = np.array([N.inv_cdf(float(s)) for s in SHARES])
H = 3600.0


def lognormal(mu: float, sd: float) -> tuple[FloatArray, FloatArray]:
    """ln of a factor as a grid with weights."""
    grid = np.linspace(mu - 5 * sd, mu + 5 * sd, 401)
    weights = np.exp(-0.5 * ((grid - mu) / sd) ** 2)
    return grid, weights / weights.sum()


class TestClosedForms:
    @pytest.mark.parametrize("level", [2.0, 3.5, 4.0, 5.0, 9.0])
    @pytest.mark.parametrize(("sf", "st_"), [(0.4, 0.25), (0.15, 0.5), (0.2, 0.02)])
    def test_lognormal_factor_and_time(self, level: float, sf: float, st_: float) -> None:
        mu_t, rate = math.log(8.0), 0.5
        hours = np.exp(mu_t + st_ * Z)
        got = margin(
            Store(*lognormal(0.1, sf), level), Fire(H * hours[None, :], np.array([rate]))
        ).runs_out
        exact = N.cdf((math.log(rate / level) + 0.1 + mu_t) / math.hypot(sf, st_))
        assert got == pytest.approx(exact, abs=0.008)

    @pytest.mark.parametrize("level", [2.0, 3.5, 4.0, 5.0])
    def test_normal_level_and_time(self, level: float) -> None:
        sl, mu, sigma, rate = 0.6, 8.0, 1.5, 0.5
        grid, weights = lognormal(0.0, 0.3)
        got = margin(
            Store(grid, weights, level, sl), Fire(H * (mu + sigma * Z)[None, :], np.array([rate]))
        ).runs_out
        f = rate * np.exp(grid)
        given_f = [N.cdf(-(level - a * mu) / math.hypot(sl, a * sigma)) for a in f]
        assert got == pytest.approx(float(weights @ np.array(given_f)), abs=0.008)

    def test_what_is_needed_and_when_it_ends(self) -> None:
        """Quantiles of products and quotients of lognormals."""
        sf, st_, level, rate = 0.3, 0.2, 3.0, 0.4
        hours = np.exp(math.log(6.0) + st_ * Z)
        got = margin(Store(*lognormal(0.0, sf), level), Fire(H * hours[None, :], np.array([rate])))
        for share in (0.1, 0.5, 0.9):
            z = N.inv_cdf(share)
            needed = rate * 6.0 * math.exp(z * math.hypot(sf, st_))
            assert np.quantile(got.needed_kg, share) == pytest.approx(needed, rel=0.02)
            lasts = level / rate * math.exp(z * sf)
            assert np.quantile(got.empty_s, share) / H == pytest.approx(lasts, rel=0.02)

    def test_what_is_missing_brings_the_chance_down(self) -> None:
        store = Store(*lognormal(0.0, 0.4), 3.0, 0.3)
        fire = Fire(H * np.exp(math.log(8.0) + 0.3 * Z)[None, :], np.array([0.5]))
        before = margin(store, fire)
        more = before.missing_kg(0.1)
        assert before.runs_out > 0.5
        after = margin(Store(store.grid, store.weights, 3.0 + more + 1e-9, 0.3), fire)
        assert after.runs_out == pytest.approx(0.1, abs=0.002)
        assert after.missing_kg(0.1) == pytest.approx(0.0, abs=1e-6)


SURE = (np.array([-1e-9, 0.0, 1e-9]), np.array([0.25, 0.5, 0.25]))


class TestStretches:
    def test_known_to_the_last_grain(self) -> None:
        """Two hours at 1 kg/h, then three at 0.5 kg/h; 0.25 kg are gone since the level was read."""
        fire = Fire(H * np.array([[2.0], [5.0]]), np.array([1.0, 0.5]))
        got = margin(Store(*SURE, 3.0, 0.0, 0.25), fire)
        assert got.needed_kg == pytest.approx(np.full(DRAWS, 3.5), rel=1e-6)
        assert got.spare_kg == pytest.approx(np.full(DRAWS, -0.75), rel=1e-6)
        assert got.empty_s == pytest.approx(np.full(DRAWS, 3.5 * H), rel=1e-6)
        assert got.off_s == pytest.approx(np.full(DRAWS, 5.0 * H))
        long = margin(Store(*SURE, 4.75, 0.0, 0.25), fire)
        assert long.empty_s == pytest.approx(np.full(DRAWS, 7.0 * H), rel=1e-6)

    def test_empty_already(self) -> None:
        got = margin(Store(*SURE, 1.0, 0.0, 2.0), Fire(np.array([[H]]), np.array([1.0])))
        assert got.empty_s == pytest.approx(np.zeros(DRAWS))
        assert got.runs_out == 1.0

    def test_later_than_was_looked_at(self) -> None:
        ends = np.array([[H, np.inf], [2 * H, np.inf]])
        got = margin(Store(*SURE, 5.0), Fire(ends, np.array([1.0, 0.5])))
        assert got.runs_out == pytest.approx(0.5)
        assert np.mean(np.isinf(got.needed_kg)) == pytest.approx(0.5)
        assert np.all(np.isfinite(got.empty_s))

    @pytest.mark.parametrize(
        ("ends", "rates"),
        [
            (np.empty((1, 0)), [1.0]),
            (np.ones((2, 3)), [1.0]),
            (np.ones((1, 3)), [0.0]),
            (np.ones((1, 3)), [math.nan]),
        ],
    )
    def test_refuses(self, ends: FloatArray, rates: list[float]) -> None:
        with pytest.raises(ValueError, match=r"rate|stretch"):
            margin(Store(*SURE, 1.0), Fire(ends, np.array(rates)))


class TestWhateverComes:
    @settings(max_examples=40, deadline=None)
    @given(
        st.floats(0.0, 20.0),
        st.floats(0.0, 5.0),
        st.floats(0.0, 3.0),
        st.floats(0.0, 4.0),
        st.lists(st.floats(0.0, 30.0) | st.just(math.inf), min_size=1, max_size=30),
        st.floats(0.0, 10.0),
    )
    def test_more_fuel_never_likelier_later_never_less_likely(
        self,
        level: float,
        more: float,
        sd: float,
        spent: float,
        hours: list[float],
        later: float,
    ) -> None:
        spread = lognormal(0.0, 0.4)
        # In order, so that what is later is later draw by draw.
        ends = H * np.sort(np.array([hours, hours]), axis=1)
        ends[1] += H
        rates = np.array([0.5, 0.3])
        base = margin(Store(*spread, level, sd, spent), Fire(ends, rates))
        fuller = margin(Store(*spread, level + more, sd, spent), Fire(ends, rates))
        longer = margin(Store(*spread, level, sd, spent), Fire(ends + H * later, rates))
        assert fuller.runs_out <= base.runs_out <= longer.runs_out
        assert np.all(fuller.empty_s >= base.empty_s - 1e-6)
        assert np.all(longer.needed_kg >= base.needed_kg)
        assert 0.0 <= base.runs_out <= 1.0
        assert not np.any(np.isnan(base.spare_kg))
        assert np.all(base.empty_s >= 0.0)
        out = base.spare_kg < -1e-9
        assert np.all(base.empty_s[out] <= base.off_s[out] + 1e-3)
        assert np.all(base.empty_s[base.spare_kg > 1e-9] >= base.off_s[base.spare_kg > 1e-9] - 1e-3)
