"""What a cook tells, on a log whose every number is known by hand."""

from __future__ import annotations

import pytest

from smokejournal.cook.comparing.facts import CookFacts, FactKey, facts_of
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import Lid, Wrap
from smokejournal.cook.summary.summary import summarize
from tests.support.compared_cooks import HOUR, LID, WRAPPED, known_log


def told(log: CookLog) -> CookFacts:
    return facts_of(summarize(log, log.entries[-1].at_s))


def test_every_number_of_a_cook() -> None:
    found = told(known_log(said=[*LID, *WRAPPED]))
    expected = {
        ("mass_kg", ""): 3.0,
        ("thickness_m", ""): 0.1,
        ("air_c", ""): 12.0,
        ("wind_m_s", ""): 2.0,
        ("pit_target_c", "cook"): 107.0,
        ("rate_kg_h", ""): 0.5,
        ("wrapped_after_s", ""): 3 * HOUR,
        ("lid_s", ""): 90.0,
        ("probes_k", ""): -2.0,
        ("yield_pct", "cooked"): 60.0,
        ("mark", "overall"): 4.0,
        ("stage_s", "rest"): HOUR,
    }
    for (name, of), value in expected.items():
        assert found.value(name, of) == pytest.approx(value, rel=1e-4), (name, of)  # type: ignore[arg-type]
    # A rise of one reading's step after the pit was there: 105.0 but for that.
    assert found.value("pit_held_c", "cook") == pytest.approx(105.0, abs=0.1)
    assert found.value("stage_s", "cook") == pytest.approx(4 * HOUR, abs=90.0)
    assert found.facts[FactKey("wrap")].said == ("foil",)
    assert found.facts[FactKey("rate_kg_h")].sd == pytest.approx(
        (0.05**2 + 0.05**2) ** 0.5 / 4.5, rel=0.01
    )
    assert found.finished
    assert found.guessed == ()


def test_what_nobody_said_is_unknown_and_never_zero() -> None:
    found = told(known_log())
    for key, why in (
        (FactKey("lid_s"), "not_said"),
        (FactKey("wrap"), "not_said"),
        (FactKey("wrapped_after_s"), "not_said"),
        (FactKey("mark", "smoke"), "not_said"),
        (FactKey("stage_s", "hold"), "no_stage"),
        (FactKey("yield_pct", "served"), "not_said"),
    ):
        assert found.facts[key].value is None
        assert not found.facts[key].known
        assert found.facts[key].why == why


def test_not_wrapped_is_something_that_is_known() -> None:
    found = told(known_log(said=[(HOUR, Wrap("none"))]))
    assert found.facts[FactKey("wrap")].said == ("none",)
    assert found.facts[FactKey("wrapped_after_s")].why == "not_wrapped"


def test_a_stage_that_is_under_way_has_no_length_yet() -> None:
    log = known_log(said=[(7000.0, Lid(open=True))])
    found = facts_of(summarize(log, log.entries[-1].at_s - 3 * HOUR))
    assert found.facts[FactKey("stage_s", "cook")].why == "not_over"
    assert found.facts[FactKey("stage_s", "rest")].why == "not_begun"
    early = facts_of(summarize(log, log.entries[0].at_s + 700.0))
    assert early.facts[FactKey("pit_target_c", "cook")].why == "not_begun"
    assert not found.finished
