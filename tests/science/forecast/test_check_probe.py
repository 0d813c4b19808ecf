"""A second probe in the same piece: what of it is used, and what it does to the forecast.

How much better it makes the forecast stands in tests/simulator/two_probes.md.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from smokejournal.science.forecast.fitted import fitted
from smokejournal.science.forecast.forecast import crossings, forecast
from smokejournal.science.forecast.heating import Heating, probe_weights
from smokejournal.science.forecast.heating_fit import (
    APART_SD_K,
    ONE_PIECE,
    MemberFit,
    Observed,
    Seen,
    drift_covariance,
    observed_of,
)
from smokejournal.science.forecast.heating_future import discrepancy
from smokejournal.science.forecast.heating_learned import SHARED
from smokejournal.science.forecast.heating_prior import CHECK, INDEX, NAMES, bodies_of, prior_of
from smokejournal.science.forecast.meat_record import check_of, clean
from smokejournal.science.forecast.values import CookSoFar, FloatArray, Forecast, SetPoint
from smokejournal.science.probes.accuracy_class import ACCURACY_CLASSES
from tests.simulator import recipes
from tests.simulator.cooks import cooks
from tests.simulator.judge import MIDDLE, crps_s

TARGET_C, PIT_C = 70.0, 120.0


def course(seed: int, *depths: float, hours: float = 4.0) -> tuple[FloatArray, ...]:
    """Times, pit and the readings at each depth (r / R) in one body, a draw from a loaf's prior."""
    rng = np.random.default_rng(seed)
    prior = prior_of("loaf", 1.2, None, 5.0, 1.0, None)
    values = prior.values(0.8 * rng.standard_normal((len(NAMES), 1)))
    pieces = Heating(bodies_of(values))
    weights = [probe_weights(np.array([depth])) for depth in depths]
    time_s = 30.0 * np.arange(1, int(hours * 120) + 1)
    pit = PIT_C + 3.0 * np.sin(time_s / 400.0)
    read = np.empty((len(depths), len(time_s)))
    for n in range(len(time_s)):
        pieces.step(float(pit[n] + values[INDEX["pit_error"], 0]), 30.0)
        read[:, n] = [pieces.at(w)[0] for w in weights]
    return (time_s, pit, *np.round(read + rng.normal(0.0, 0.05, read.shape), 1))


def so_far(
    time_s: FloatArray, pit: FloatArray, lead: FloatArray, check: FloatArray, share: float = 0.6
) -> CookSoFar:
    """The cook when this share of its way is behind."""
    now_s = share * float(time_s[np.argmax(lead >= TARGET_C)])
    past = time_s <= now_s
    return CookSoFar(
        time_s[past],
        pit[past],
        lead[past],
        now_s,
        TARGET_C,
        cut="loaf",
        mass_kg=1.2,
        start_s=0.0,
        set_points=(SetPoint(0.0, PIT_C),),
        check_c=check[past],
    )


@pytest.fixture(scope="module")
def both() -> CookSoFar:
    return so_far(*course(1, 0.1, 0.5))


@pytest.fixture(scope="module")
def alone(both: CookSoFar) -> Forecast:
    return forecast(replace(both, check_c=None))


def told(found: Forecast) -> FloatArray:
    assert found.remaining_s is not None
    return found.remaining_s


def middle(found: Forecast) -> float:
    return float(told(found)[MIDDLE])


def same(found: Forecast, other: Forecast) -> bool:
    """To the bit."""
    assert found.reach_s is not None
    assert other.reach_s is not None
    return bool(
        np.array_equal(told(found), told(other))
        and np.array_equal(found.reach_s, other.reach_s)
        and found.residual_k == other.residual_k
        and found.found == other.found
    )


def test_a_fit_goes_on_from_what_another_had(both: CookSoFar) -> None:
    """The readings around its parameters are those that a run would give, also for the lead alone."""
    found = fitted(both)
    assert found is not None
    fit, seen = found.fit, found.fit.observed
    alone = fitted(replace(both, check_c=None))
    assert alone is not None
    leads = seen.leads
    cases = [
        (fit.prior, seen, fit.z, fit.around),
        (alone.fit.prior, alone.fit.observed, fit.z[:-1], fit.around[:leads, :-1]),
    ]
    for prior, observed, near, around in cases:
        run = MemberFit(prior, fit.past, observed, near)
        kept = MemberFit(prior, fit.past, observed, near, around)
        assert kept.best == pytest.approx(run.best, abs=1e-7)
        assert kept.z == pytest.approx(run.z, abs=1e-7)
        assert kept.rounds == run.rounds


class TestWhatIsUsed:
    def test_a_second_probe_in_the_meat_is(self, both: CookSoFar, alone: Forecast) -> None:
        found = forecast(both)
        assert found.check_used
        assert not alone.check_used
        assert found.noticed == ()
        assert not same(found, alone)

    def test_a_silent_one_is_not(self, both: CookSoFar, alone: Forecast) -> None:
        nothing = np.full(len(both.time_s), np.nan)
        early = np.where(both.time_s < 0.5 * both.now_s, both.check_c, np.nan)
        for check_c in (nothing, early):
            found = forecast(replace(both, check_c=check_c))
            assert not found.check_used
            assert found.noticed == ()
            assert same(found, alone)

    def test_one_in_the_air_is_not_and_that_is_said(self, both: CookSoFar, alone: Forecast) -> None:
        late = both.time_s > both.now_s - 900.0
        assert both.check_c is not None
        for check_c in (both.pit_c - 2.0, np.where(late, both.pit_c - 2.0, both.check_c)):
            found = forecast(replace(both, check_c=check_c))
            assert not found.check_used
            assert found.noticed == ("check_unused",)
            assert same(found, alone)

    def test_one_in_another_piece_is_not_and_that_is_said(
        self, both: CookSoFar, alone: Forecast
    ) -> None:
        """No body warms so in its middle and stays cold at any other place."""
        found = forecast(replace(both, check_c=5.0 + both.time_s / 1800.0))
        assert not found.check_used
        assert found.noticed == ("check_unused",)
        assert same(found, alone)

    def test_of_one_that_was_moved_what_it_reads_now(self) -> None:
        time_s, pit, lead, outer, inner = course(1, 0.1, 0.6, 0.3)
        cook = so_far(time_s, pit, lead, outer)
        at_s = 0.5 * cook.now_s
        moved = np.where(time_s < at_s, outer, inner)[: len(cook.time_s)]
        record = clean(cook)
        assert record is not None
        check, unused = check_of(replace(cook, check_c=moved), record)
        assert check is not None
        assert not unused
        assert check.time_s[0] > at_s
        assert check.time_s[-1] == cook.time_s[-1]

    def test_the_lead_alone_says_where_the_cook_stands(self, both: CookSoFar) -> None:
        assert both.check_c is not None
        warm = both.check_c + (TARGET_C + 2.0 - both.check_c[-1])
        assert forecast(replace(both, check_c=warm)).standing == "forecast"
        there = replace(both, target_c=float(both.probe_c[-1]) - 2.0)
        assert forecast(there).standing == "reached"

    def test_as_many_readings_as_times(self, both: CookSoFar) -> None:
        with pytest.raises(ValueError, match="check_c"):
            forecast(replace(both, check_c=both.probe_c[:-1]))


class TestWhatItDoes:
    @pytest.mark.parametrize("offset_k", [-1.0, 0.0, 1.0])
    def test_at_the_same_place_it_tells_next_to_nothing(
        self, both: CookSoFar, alone: Forecast, offset_k: float
    ) -> None:
        """Whatever it is off: what is asked is when the lead probe shows the target."""
        found = forecast(replace(both, check_c=both.probe_c + offset_k))
        assert found.check_used
        assert middle(found) == pytest.approx(middle(alone), rel=0.06)

    def test_its_place_is_found(self, both: CookSoFar) -> None:
        found = fitted(both)
        assert found is not None
        depth = np.abs(found.members.values[INDEX[CHECK]])
        assert float(np.median(depth)) == pytest.approx(0.5, abs=0.12)
        assert np.std(depth) < 0.1

    def test_nearer_the_surface_it_narrows_and_does_no_harm(self) -> None:
        """Simulated pieces, by other equations than the forecast's, whose second probe reads warmer."""
        widths, marks = [], []
        for cook in cooks([c for c in recipes.part("quick") if c.cut in ("loaf", "shoulder")]):
            now_s = cook.moment(0.5)
            told_both = cook.so_far(now_s, both=True)
            assert told_both.check_c is not None
            apart = np.nanmedian(told_both.check_c[-40:]) - np.nanmedian(told_both.probe_c[-40:])
            if not math.isfinite(cook.truth_s) or apart < 1.0:
                continue
            one = told(forecast(cook.so_far(now_s)))
            two = told(forecast(told_both))
            came_s = cook.truth_s - now_s
            widths.append((two[17] - two[1]) / (one[17] - one[1]))
            marks.append((crps_s(one, came_s) / came_s, crps_s(two, came_s) / came_s))
        assert len(marks) >= 3
        assert float(np.median(widths)) < 1.0
        first, second = np.mean(marks, axis=0)
        assert second < 1.1 * first

    def test_the_target_is_crossed_by_the_lead(self, both: CookSoFar) -> None:
        """The check probe is warmer all along: by its reading it would be there much sooner."""
        crossed = crossings(both, np.array([0.0]))
        assert crossed is not None
        assert float(np.median(crossed[0])) - both.now_s == pytest.approx(
            middle(forecast(both)), rel=0.1
        )

    def test_earlier_cooks_learn_nothing_of_its_place(self, both: CookSoFar) -> None:
        found = forecast(both).found
        assert found is not None
        assert all(set(weights) <= set(SHARED) for weights in found.directions)
        assert CHECK not in SHARED


class TestErrors:
    TIMES = np.linspace(600.0, 7200.0, 12)

    def observed(self, check: Seen | None) -> Observed:
        lead_c = 5.0 + self.TIMES / 150.0
        return observed_of(self.TIMES, lead_c, 7200.0, 0.0, None, 0.1, 0.1, check=check)

    def test_each_probe_by_itself_as_without_the_other(self) -> None:
        check = Seen(self.TIMES[::2], 10.0 + self.TIMES[::2] / 100.0, 0.1, 0.1)
        alone, together = self.observed(None), self.observed(check)
        assert together.leads == len(self.TIMES)
        assert together.has_check
        assert not alone.has_check
        covariance = np.linalg.inv(together.inverse)
        leads = together.leads
        assert covariance[:leads, :leads] == pytest.approx(np.linalg.inv(alone.inverse), rel=1e-6)
        seen = observed_of(check.time_s, check.probe_c, 7200.0, 0.0, None, 0.1, 0.1)
        own = np.linalg.inv(seen.inverse) + APART_SD_K**2
        assert covariance[leads:, leads:] == pytest.approx(own, rel=1e-6)

    def test_what_both_get_wrong_is_alike(self) -> None:
        check = Seen(self.TIMES, 5.0 + self.TIMES / 150.0, 0.1, 0.1)
        together = self.observed(check)
        covariance = np.linalg.inv(together.inverse)
        leads = together.leads
        drift = drift_covariance(7200.0 - self.TIMES, together.rate_lasts_s)
        apart = np.abs(self.TIMES[:, None] - self.TIMES[None, :])
        grows = 1.0 + 2.0 * (7200.0 - self.TIMES) / 7200.0
        model = (
            together.model_sd_k**2
            * np.outer(grows, grows)
            * np.exp(-apart / together.correlation_s)
        )
        expected = ONE_PIECE * (model + together.rate_sd_k_s**2 * drift)
        assert covariance[:leads, leads:] == pytest.approx(expected, rel=1e-6)

    @pytest.mark.parametrize("steep", [0.2, 1.0, 5.0])
    def test_what_is_left_of_the_error_now_is_no_less_than_nothing(self, steep: float) -> None:
        """The readings of both and the error now are one normal: what is known can't exceed it."""
        check = Seen(self.TIMES, 5.0 + steep * self.TIMES / 150.0, 0.0, 0.0)
        seen = self.observed(check)
        since = 7200.0 - seen.time_s
        cross = np.array(
            [
                seen.model_sd_k**2
                * (1.0 + 2.0 * since / 7200.0)
                * np.exp(-since / seen.correlation_s)
                * seen.error_share,
                -(seen.rate_sd_k_s**2)
                * seen.rate_lasts_s
                * (1.0 - np.exp(-since / seen.rate_lasts_s))
                * seen.rate_share,
            ]
        )
        left = np.diag([seen.model_sd_k**2, seen.rate_sd_k_s**2]) - cross @ seen.inverse @ cross.T
        assert np.linalg.eigvalsh(left).min() >= 0.0
        only = self.observed(None)
        n = only.leads
        before = (
            np.diag([only.model_sd_k**2, only.rate_sd_k_s**2])
            - cross[:, :n] @ only.inverse @ cross[:, :n].T
        )
        assert np.all(np.diag(left) <= np.diag(before))

    def test_what_the_check_probe_shows_moves_the_error_now(self, both: CookSoFar) -> None:
        """Where the check probe reads above what was fitted of late, the lead is expected to as well."""
        found = fitted(both)
        assert found is not None
        members, leads = found.members, found.fit.observed.leads
        off = members.off.copy()
        off[-4:] += 0.5
        assert leads < len(off) - 4
        rng = np.random.default_rng
        before = discrepancy(found.fit, members, both.now_s, rng(1))[0]
        after = discrepancy(found.fit, replace(members, off=off), both.now_s, rng(1))[0]
        assert np.mean(after) > np.mean(before)

    def test_the_accuracy_of_food_thermometers(self) -> None:
        """± 1 °C of each: FDA Food Code 4-203.11."""
        limit_k = ACCURACY_CLASSES["food"].tolerance_k(60.0)
        assert limit_k is not None
        assert pytest.approx(math.hypot(limit_k, limit_k) / 2.0) == APART_SD_K
