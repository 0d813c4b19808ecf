"""What all cooks say: known lines are found again, and too little says nothing."""

from __future__ import annotations

import numpy as np
import pytest

from smokejournal.cook.comparing.across import QUESTIONS, Answer, across, answer
from smokejournal.cook.comparing.facts import CookFacts, FactKey
from smokejournal.cook.progress.hopper import Amount, LotUse
from tests.support.compared_cooks import facts

COOKING, _, PELLETS = QUESTIONS


def cooks(n: int, *, wind: float | None = None, along: bool = False) -> list[CookFacts]:
    """48 min a kilogram, 1 min less a kelvin, 5 min more a m/s of wind, and some scatter."""
    rng = np.random.default_rng(1)
    found = []
    for number in range(n):
        mass, air, blown = rng.uniform(1, 6), rng.uniform(-5, 30), rng.uniform(0, 8)
        if wind is not None:
            blown = wind
        pit = 107.0
        if along:
            # The heavier the piece, the hotter the pit: nobody can tell them apart.
            air = pit - 70.0 - 10.0 * mass
        scatter = rng.normal(0.0, 300.0)
        length_s = 3600.0 + 2880.0 * mass - 60.0 * (pit - air) + 300.0 * blown + scatter
        found.append(
            facts(
                number,
                {
                    "mass_kg": mass,
                    "air_c": air,
                    "wind_m_s": blown,
                    FactKey("pit_target_c", "cook"): pit,
                    FactKey("stage_s", "cook"): length_s,
                    "rate_kg_h": 0.005 * (pit - air) + 0.02 * blown,
                },
                pit_hot_c=pit,
            )
        )
    return found


def slopes(found: Answer) -> list[float]:
    assert found.fit is not None
    return [slope.value for slope in found.fit.slopes]


def test_a_known_line_is_found_again() -> None:
    found = answer(COOKING, cooks(40))
    assert (found.cooks, found.why) == (40, "")
    assert found.fit is not None
    for slope, true in zip(found.fit.slopes, (2880.0, -60.0, 300.0), strict=True):
        assert slope.low < true < slope.high
    assert found.next_one is not None
    assert found.next_one.high - found.next_one.low == pytest.approx(4 * 300.0, rel=0.3)
    # Pellets lie on their line without scatter.
    assert slopes(answer(PELLETS, cooks(12))) == pytest.approx([0.005, 0.02])


@pytest.mark.parametrize(("question", "needed"), [(COOKING, 8), (PELLETS, 7)])
def test_below_four_more_than_coefficients_nothing_is_told(question: object, needed: int) -> None:
    assert question.needed == needed  # type: ignore[attr-defined]
    few = answer(question, cooks(needed - 1))  # type: ignore[arg-type]
    assert (few.why, few.fit, few.cooks) == ("too_few", None, needed - 1)
    assert answer(question, cooks(needed)).fit is not None  # type: ignore[arg-type]


def test_what_goes_together_is_named() -> None:
    found = answer(COOKING, cooks(20, along=True))
    assert (found.why, found.fit) == ("collinear", None)
    assert found.in_the_way == ("mass_kg", "pit_over_air_k")


def test_what_was_always_the_same_is_named() -> None:
    found = answer(COOKING, cooks(20, wind=2.0))
    assert (found.why, found.in_the_way) == ("alike", ("wind_m_s",))


def test_cooks_that_lack_something_are_counted() -> None:
    every = cooks(12)
    every[3].facts.pop(FactKey("wind_m_s"))  # type: ignore[attr-defined]
    found = answer(COOKING, every)
    assert (found.cooks, found.lacking) == (11, 1)


def test_simulated_cooks_are_never_mixed_with_real_ones() -> None:
    real = cooks(9)
    odd = facts(99, {"mass_kg": 900.0, FactKey("mark", "overall"): 5}, simulated=True)
    told = across([*real, odd], simulated=False)
    assert (told.cooks, told.best) == (9, ())
    assert across([*real, odd], simulated=True).cooks == 1
    under_way = facts(100, {"mass_kg": 3.0}, finished=False)
    assert across([*real, under_way], simulated=False).cooks == 9


def test_best_and_worst_are_never_the_same_cook() -> None:
    marked = [
        facts(n, {FactKey("mark", "overall"): mark}) for n, mark in enumerate([3, 5, 1, 4, 2])
    ]
    told = across([*marked, facts(9, {})], simulated=False)
    assert [each.mark for each in told.best] == [5, 4, 3]
    assert [each.mark for each in told.worst] == [1, 2]
    assert told.unrated == 1
    one = across(marked[:1], simulated=False)
    assert (len(one.best), one.worst) == (1, ())


def test_lots_add_up_with_what_they_may_be_off() -> None:
    def burned(n: int, *uses: tuple[str, float | None, float]) -> CookFacts:
        lots = tuple(LotUse(lot, Amount(kg, sd), Amount(None), "") for lot, kg, sd in uses)
        return CookFacts(n, "", "UTC", None, False, True, {}, None, lots)

    told = across(
        [burned(1, ("Oak", 3.0, 0.3), ("Apple", 1.0, 0.1)), burned(2, ("Oak", 2.0, 0.4)),
         burned(3, ("Oak", None, 0.0))],
        simulated=False,
    )  # fmt: skip
    oak, apple = told.lots
    assert (oak.lot, oak.used_kg, oak.cooks, oak.unknown) == ("Oak", 5.0, 2, 1)
    assert oak.sd_kg == pytest.approx(0.5)
    assert (apple.lot, apple.used_kg) == ("Apple", 1.0)
