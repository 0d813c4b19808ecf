"""The table of what differed, by hand and by what must hold of any."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.comparing.differences import differences
from smokejournal.cook.comparing.facts import CookFacts, Fact, FactKey
from tests.support.compared_cooks import facts


def journal(*, simulated: bool = False) -> list[CookFacts]:
    """Masses of 2, 3, 4, 5 kg (spread 1.291) and winds of 1, 1, 1, 9 m/s (spread 4)."""
    return [
        facts(n, {"mass_kg": mass, "wind_m_s": wind}, simulated=simulated)
        for n, (mass, wind) in enumerate([(2, 1), (3, 1), (4, 1), (5, 9)], start=1)
    ]


def test_each_is_measured_in_its_own_usual_spread() -> None:
    every = journal()
    table = differences([every[1], every[3]], every)
    mass, wind = (
        next(row for row in table.rows if row.key.name == name) for name in ("mass_kg", "wind_m_s")
    )
    assert (wind.measure, wind.spread, wind.cooks) == ("spread", 4.0, 4)
    assert wind.size == pytest.approx(8.0 / 4.0)
    assert mass.spread == pytest.approx((5 / 3) ** 0.5)
    assert mass.size == pytest.approx(2.0 / (5 / 3) ** 0.5)
    assert [row.key.name for row in table.rows] == ["wind_m_s", "mass_kg"]
    assert not table.mixed


def test_with_fewer_than_four_cooks_it_is_the_relative_difference() -> None:
    every = journal()[1:]
    table = differences([every[0], every[2]], every)
    assert [(row.key.name, row.measure, row.spread) for row in table.rows] == [
        ("wind_m_s", "relative", None),
        ("mass_kg", "relative", None),
    ]
    assert [row.size for row in table.rows] == pytest.approx([8 / 5, 2 / 4])


def test_temperatures_and_marks_have_a_whole_of_their_own() -> None:
    two = [
        facts(1, {"air_c": -10.0, FactKey("mark", "overall"): 2}),
        facts(2, {"air_c": 10.0, FactKey("mark", "overall"): 5}),
    ]
    table = differences(two, two)
    assert {row.key.name: row.size for row in table.rows} == pytest.approx(
        {"air_c": 0.2, "mark": 0.75}
    )


def test_simulated_and_real_cooks_have_no_usual_spread_together() -> None:
    real, simulated = journal(), journal(simulated=True)
    mixed = differences([real[0], simulated[3]], [*real, *simulated])
    assert mixed.mixed
    assert {row.measure for row in mixed.rows} == {"relative"}
    alone = differences([simulated[0], simulated[3]], [*real, *simulated])
    assert not alone.mixed
    assert {row.cooks for row in alone.rows} == {4}


def test_what_is_not_known_is_told_and_never_zero() -> None:
    one = facts(1, {"mass_kg": 3.0})
    other = facts(2, {"wind_m_s": 2.0})
    table = differences([one, other], [])
    assert {row.key.name: row.measure for row in table.rows} == {
        "mass_kg": "one",
        "wind_m_s": "one",
    }
    for row in table.rows:
        assert [fact.value for fact in row.facts].count(None) == 1
        assert row.size is None
    assert FactKey("air_c") in table.unknown
    assert FactKey("mass_kg") not in table.unknown


def test_wraps_differ_in_words() -> None:
    def wrapped(n: int, *materials: str) -> CookFacts:
        cook = facts(n, {"mass_kg": float(n)})
        return CookFacts(
            n, "", "UTC", None, False, True, {**cook.facts, FactKey("wrap"): Fact(said=materials)}
        )

    table = differences([wrapped(1, "foil"), wrapped(2, "paper")], [])
    assert [row.measure for row in table.rows] == ["relative", "words"]
    table = differences([wrapped(1, "foil"), wrapped(2, "foil")], [])
    assert [row.measure for row in table.rows] == ["relative", "same"]


masses = st.lists(st.floats(0.1, 50).map(lambda v: round(v, 2)), min_size=4, max_size=8)


@given(masses, st.permutations(range(4)))
def test_the_order_of_the_cooks_makes_no_difference(found: list[float], order: list[int]) -> None:
    every = [facts(n, {"mass_kg": mass, "lid_s": 60 * n}) for n, mass in enumerate(found)]
    four = every[:4]
    here = differences(four, every)
    there = differences([four[n] for n in order], list(reversed(every)))
    assert [row.key for row in here.rows] == [row.key for row in there.rows]
    for row, other in zip(here.rows, there.rows, strict=True):
        assert row.size == pytest.approx(other.size)
        assert [row.facts[n] for n in order] == list(other.facts)
