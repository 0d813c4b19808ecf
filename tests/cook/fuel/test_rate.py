"""What is believed of the pellet rate: wide at first, narrowed by cooks, given up with them."""

from __future__ import annotations

import math
import time
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from smokejournal.cook.fuel.cooker import CookerFacts
from smokejournal.cook.fuel.rate import (
    Belief,
    Burned,
    Outdoors,
    expected_kg_h,
    given_sd,
    prior_sd,
)
from smokejournal.science.numbers.ranges import OutOfRange

FACTS = CookerFacts()
PRIOR = prior_sd(FACTS)


def cooks(count: int, ratio: float = 1.3, wobble: float = 0.05) -> list[Burned]:
    return [
        Burned(n, 4.0 * ratio * (1 + wobble * (1 if n % 2 else -1)), 0.2, 4.0) for n in range(count)
    ]


def width(belief: Belief) -> float:
    factor = belief.factor()
    return math.log(factor.high / factor.low)


class TestPrior:
    def test_is_wide_and_centred_on_physics(self) -> None:
        """A factor of about two either way: pellet stoves of one kind differ by half as much again."""
        factor = Belief(PRIOR).factor()
        assert factor.mid == pytest.approx(1.0, abs=0.01)
        assert factor.low * factor.high == pytest.approx(1.0, abs=0.02)
        assert 1.7 < factor.high < 2.6

    def test_normal_and_t_quantiles(self) -> None:
        """With next to no scatter the interval is the normal's: 1.2816 standard deviations."""
        belief = Belief(2.0)
        assert math.log(belief.factor().high) == pytest.approx(1.2816 * 2.0, rel=0.02)

    def test_a_cooker_that_was_measured_is_surer(self) -> None:
        said = CookerFacts("box", 0.9, 0.5, 0.5, "sheet")
        assert said.size_said
        assert prior_sd(said) < PRIOR

    def test_unread_weather_makes_it_wider(self) -> None:
        cooker = FACTS.cooker()
        both = given_sd(cooker, 107.0, Outdoors())
        air = given_sd(cooker, 107.0, Outdoors(wind_m_s=2.0))
        assert both > air > 0.0
        assert given_sd(cooker, 107.0, Outdoors(10.0, 2.0)) == 0.0
        belief = Belief(PRIOR)
        assert belief.factor(0.3).high > belief.factor().high

    def test_plausible(self) -> None:
        """Between a simmer and what pellet stoves burn at most (read: about 4 lb/h)."""
        rate = expected_kg_h(FACTS.cooker(), 107.0, Outdoors(10.0, 0.0))
        assert 0.2 < rate < 0.7
        assert expected_kg_h(FACTS.cooker(), 230.0, Outdoors(0.0, 5.0)) < 4.0


class TestLearning:
    def test_more_cooks_narrow_it(self) -> None:
        widths = [width(Belief(PRIOR, cooks(n))) for n in (0, 1, 3, 6, 12, 24)]
        assert all(a > b for a, b in pairwise(widths))

    def test_it_goes_where_they_say(self) -> None:
        assert Belief(PRIOR, cooks(20)).factor().mid == pytest.approx(1.3, rel=0.02)

    def test_few_are_said_to_be_few(self) -> None:
        assert Belief(PRIOR, cooks(2)).few
        assert not Belief(PRIOR, cooks(3)).few
        assert Belief(PRIOR).count == 0

    def test_forgotten_with_the_cook(self) -> None:
        before = Belief(PRIOR, cooks(3)).factor()
        Belief(PRIOR, cooks(9)).factor()
        assert Belief(PRIOR, cooks(3)).factor() == before

    def test_one_odd_cook_moves_little(self) -> None:
        even = Belief(PRIOR, cooks(8)).factor().mid
        odd = Belief(PRIOR, [*cooks(8), Burned(9, 20.0, 0.2, 4.0)]).factor().mid
        assert odd / even < 1.08

    def test_an_unsure_cook_counts_less(self) -> None:
        sure = Belief(PRIOR, [Burned(1, 8.0, 0.2, 4.0)]).factor().mid
        unsure = Belief(PRIOR, [Burned(1, 8.0, 4.0, 4.0)]).factor().mid
        assert 1.0 < unsure < sure < 2.0

    @settings(max_examples=25, deadline=None)
    @given(
        st.lists(
            st.tuples(st.floats(0.3, 3.0), st.floats(0.02, 0.5)), min_size=1, max_size=6
        ).flatmap(lambda found: st.tuples(st.just(found), st.permutations(found)))
    )
    def test_order_does_not_matter(
        self, both: tuple[list[tuple[float, float]], list[tuple[float, float]]]
    ) -> None:
        first, second = (
            Belief(PRIOR, [Burned(0, 4 * r, 4 * r * s, 4.0) for r, s in one]).factor()
            for one in both
        )
        assert first.mid == pytest.approx(second.mid, rel=1e-9)

    @settings(max_examples=25, deadline=None)
    @given(st.floats(0.3, 3.0), st.floats(1.01, 1.5), st.floats(0.02, 0.5))
    def test_more_burned_means_more_expected(self, ratio: float, more: float, sd: float) -> None:
        low, high = (
            Belief(PRIOR, [Burned(0, 4 * r, 4 * r * sd, 4.0)]).factor().mid
            for r in (ratio, ratio * more)
        )
        assert low < high

    @settings(max_examples=25, deadline=None)
    @given(st.floats(0.4, 2.5))
    def test_scale_of_the_cook_does_not_matter(self, ratio: float) -> None:
        small = Belief(PRIOR, [Burned(0, ratio, 0.05 * ratio, 1.0)]).factor()
        large = Belief(PRIOR, [Burned(0, 9 * ratio, 0.45 * ratio, 9.0)]).factor()
        assert small.mid == pytest.approx(large.mid)

    def test_intervals_hold_as_often_as_they_say(self) -> None:
        """Cookers drawn from the prior, three cooks each: eight in ten of the fourth fall within."""
        import random

        dice = random.Random(4)
        held = 0
        for _ in range(150):
            bias = dice.gauss(0.0, PRIOR)
            ratios = [math.exp(bias + 0.2 * dice.gauss(0.0, 1.0)) for _ in range(4)]
            burns = [Burned(n, 4 * r, 0.08 * r, 4.0) for n, r in enumerate(ratios[:3])]
            factor = Belief(PRIOR, burns).factor()
            held += factor.low <= ratios[3] <= factor.high
        assert 0.70 < held / 150 < 0.93


class TestUnderWay:
    def test_its_own_levels_say_more_than_other_cooks(self) -> None:
        belief = Belief(PRIOR, cooks(10))
        seen = belief.seen(Burned(0, 2.0, 0.1, 1.0)).factor()
        assert 1.5 < seen.mid < 2.1
        vague = belief.seen(Burned(0, 2.0, 1.0, 1.0)).factor()
        assert vague.mid < seen.mid

    def test_far_beyond_belief_it_speaks_alone(self) -> None:
        factor = Belief(0.3, cooks(30)).seen(Burned(0, 400.0, 1.0, 1.0)).factor()
        assert math.isfinite(factor.mid)
        assert factor.mid > 2.0

    def test_hours_left(self) -> None:
        """3 kg at 0.4 kg/h of expectation, burned a third faster: under six hours."""
        lasts = Belief(PRIOR, cooks(20)).predicted().lasts_h(3.0, 0.3, 0.4)
        assert lasts.mid == pytest.approx(3.0 / 0.4 / 1.3, rel=0.03)
        assert lasts.low < lasts.mid < lasts.high

    @settings(max_examples=20, deadline=None)
    @given(st.floats(0.1, 20.0), st.floats(0.0, 1.0), st.floats(0.05, 2.0))
    def test_more_fuel_lasts_longer(self, level: float, sd: float, rate: float) -> None:
        forecast = Belief(PRIOR).predicted()
        here, more = (forecast.lasts_h(kg, sd, rate) for kg in (level, level + 1.0))
        assert 0.0 <= here.low <= here.mid <= here.high
        assert more.mid > here.mid

    def test_an_empty_hopper_lasts_no_time(self) -> None:
        assert Belief(PRIOR).predicted().lasts_h(0.0, 0.0, 0.4).high == 0.0


def test_refuses() -> None:
    with pytest.raises(ValueError, match="wider than nothing"):
        Belief(0.0)
    with pytest.raises(OutOfRange, match="pit: from 20 to 400 °C"):
        expected_kg_h(FACTS.cooker(), 900.0, Outdoors())
    with pytest.raises(OutOfRange, match="length: from"):
        expected_kg_h(replace(FACTS, length_m=90.0).cooker(), 107.0, Outdoors())


def test_fast_enough_for_typing() -> None:
    burns = cooks(60)
    Belief(PRIOR).factor()
    begun = time.perf_counter()
    Belief(PRIOR, burns).factor()
    assert time.perf_counter() - begun < 0.15
