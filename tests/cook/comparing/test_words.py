"""What is said of a comparison: never a 0 for what isn't known, never more than the cooks tell."""

from __future__ import annotations

import numpy as np
import pytest

from smokejournal.cook.comparing.across import QUESTIONS, AcrossCooks, answer
from smokejournal.cook.comparing.across_words import across_parts, counted
from smokejournal.cook.comparing.alignment import Alignment, ZeroMoment
from smokejournal.cook.comparing.differences import differences
from smokejournal.cook.comparing.facts import CookFacts, Fact, FactKey, fact_keys
from smokejournal.cook.comparing.words import (
    choose_words,
    fact_name,
    fact_words,
    placed_words,
    row_words,
    table_words,
)
from smokejournal.cook.text.quantities import METRIC, US
from tests.support.compared_cooks import facts


def line_cooks(n: int) -> list[CookFacts]:
    """Each kilogram more takes 48 min; pit over air and wind make no difference."""
    rng = np.random.default_rng(3)
    return [
        facts(
            number,
            {
                "mass_kg": float(rng.uniform(1, 6)),
                "air_c": float(rng.uniform(0, 30)),
                "wind_m_s": float(rng.uniform(0, 8)),
                FactKey("pit_target_c", "cook"): 107.0,
            },
        )
        for number in range(n)
    ]


def with_lengths(cooks: list[CookFacts], scatter_s: float) -> list[CookFacts]:
    rng = np.random.default_rng(4)
    found = []
    for cook in cooks:
        mass = cook.value("mass_kg")
        assert mass is not None
        length = Fact(7200.0 + 2880.0 * mass + float(rng.normal(0, scatter_s)))
        told = {**cook.facts, FactKey("stage_s", "cook"): length}
        found.append(CookFacts(cook.cook_id, cook.title, "UTC", 0.0, False, True, told))
    return found


def said(cooks: list[CookFacts], units: object = METRIC) -> list[str]:
    told = AcrossCooks(False, len(cooks), (answer(QUESTIONS[0], cooks),), (), (), (), 0)
    return list(across_parts(told, units)[0].lines)  # type: ignore[arg-type]


def test_a_slope_is_a_plain_sentence() -> None:
    cooks = with_lengths(line_cooks(11), 60.0)
    mass, over, wind, one_more = said(cooks)
    assert mass.startswith("Each kilogram more took 48 min longer (4")
    assert mass.endswith("from 11 cooks.")
    assert "less to" in over
    assert over.endswith("these 11 cooks don't tell.")
    assert wind.endswith("these 11 cooks don't tell.")
    assert "19 times in 20" in one_more
    assert said(cooks, US)[0].startswith("Each pound more took 22 min longer (")


def test_too_few_cooks_to_tell() -> None:
    assert said(with_lengths(line_cooks(7), 60.0)) == [
        "Too few cooks to tell: 7 know all that is needed, and it takes 8 or more."
    ]


def test_a_wide_prediction_has_no_lower_end() -> None:
    last = said(with_lengths(line_cooks(12), 9000.0))[-1]
    assert "up to" in last
    assert "−" not in last


def test_every_fact_has_a_name_of_its_own() -> None:
    names = [fact_name(key) for key in fact_keys()]
    assert len(set(names)) == len(names)
    for key in fact_keys():
        assert fact_words(key, Fact(why="not_said"), METRIC) == "unknown"


def test_unknown_is_said_with_its_reason() -> None:
    rate = FactKey("rate_kg_h")
    assert fact_words(rate, Fact(why="not_said", why_fuel="never_read"), METRIC).startswith(
        "unknown: "
    )
    assert fact_words(rate, Fact(0.52, 0.018), METRIC) == "0.52 ± 0.02 kg/h"
    assert fact_words(FactKey("wrap"), Fact(said=("foil", "paper")), METRIC) == "foil, paper"
    assert fact_words(FactKey("stage_s", "hold"), Fact(why="no_stage"), METRIC) == "no such stage"
    assert fact_words(FactKey("probes_k"), Fact(-2.0), US) == "−3.6 °F"


def test_how_large_a_difference_is() -> None:
    every = [facts(n, {"mass_kg": mass}) for n, mass in enumerate((2.0, 3.0, 4.0, 5.0))]
    row = differences([every[0], every[3]], every).rows[0]
    assert row_words(row, METRIC) == "2.3 × the usual 1.29 kg"
    row = differences([every[0], every[3]], every[:3]).rows[0]
    assert row_words(row, METRIC) == "86 %, relative"
    notes = table_words(differences(every[:2], every[:3]), every[:2], METRIC)
    assert notes[0].startswith("Relative: fewer than 4 finished cooks know that fact")
    assert notes[-1].startswith("Unknown of all of them: Thickest piece; Air; Wind;")


def test_a_mixed_comparison_says_so() -> None:
    cooks = [facts(1, {"mass_kg": 1.0}), facts(2, {"mass_kg": 2.0}, simulated=True)]
    notes = table_words(differences(cooks, cooks), cooks, METRIC)
    assert notes[0].startswith("Simulated and real cooks stand beside each other here.")
    only = [facts(n, {"mass_kg": float(n)}, simulated=True) for n in (1, 2)]
    assert table_words(differences(only, only), only, METRIC)[0].startswith("Simulated cooks only")


@pytest.mark.parametrize(("n", "begin"), [(1, "Close this"), (7, "7 cooks are too many"), (2, "")])
def test_how_many_can_be_compared(n: int, begin: str) -> None:
    assert choose_words(n).startswith(begin)
    assert bool(choose_words(n)) is bool(begin)


def test_who_is_left_out_and_why() -> None:
    cook = facts(1, {})
    at = Alignment("temperature", temperature_c=74.0)
    assert placed_words(cook, ZeroMoment(why="never_there"), at, US) == (
        "Cook 1 is left out: its lead probe never got to 165 °F."
    )
    assert placed_words(cook, ZeroMoment(5.0), at, US) == ""
    assert "up to 40 min too far left" in placed_words(
        cook, ZeroMoment(5.0, "", 2400.0), at, METRIC
    )


def test_simulated_cooks_are_named_so() -> None:
    none = AcrossCooks(True, 3, (), (), (), (), 3)
    assert counted(none) == "3 finished simulated cooks. They prove nothing about real ones."
