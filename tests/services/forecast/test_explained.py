"""What made finished cooks last: worked out when asked for, kept once, set against earlier cooks."""

from __future__ import annotations

from smokejournal.cook.log.entries import Strike, TimeExplained
from smokejournal.cook.summary.sheet_sections import sheet_of
from smokejournal.cook.text.quantities import METRIC
from smokejournal.services.forecast.explained import TimesExplained
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock
from tests.support.learned_cooks import BRISKET, finished_cook


def kept(program: Program, cook_id: int) -> list[TimeExplained]:
    return [what for _, what in program.journal.log(cook_id).of(TimeExplained)]


def test_the_first_cook_is_set_against_its_plan_and_kept(
    program: Program, clock: FixedClock
) -> None:
    cook_id = finished_cook(program, clock)
    found = TimesExplained(program).work_out(cook_id)
    assert not isinstance(found, str)
    assert [each.against for each in found] == ["plan"]
    assert kept(program, cook_id) == list(found)


def test_it_stands_in_the_sheet(program: Program, clock: FixedClock) -> None:
    cook_id = finished_cook(program, clock)
    before = {s.key for s in sheet_of(program.live(cook_id).summary(), METRIC).sections}
    TimesExplained(program).work_out(cook_id)
    sections = {s.key: s for s in sheet_of(program.live(cook_id).summary(), METRIC).sections}
    assert set(sections) - before == {"lasted"}
    text = " ".join(getattr(block, "text", "") for block in sections["lasted"].blocks)
    assert "as planned, the model gives this piece" in text
    assert "Not explained" in text


def test_asked_again_it_is_kept_once(program: Program, clock: FixedClock) -> None:
    cook_id = finished_cook(program, clock)
    service = TimesExplained(program)
    service.work_out(cook_id)
    written = len(program.journal.entries(cook_id))
    service.work_out(cook_id)
    assert len(program.journal.entries(cook_id)) == written


def test_two_earlier_cooks_of_the_like_make_a_usual(program: Program, clock: FixedClock) -> None:
    first, second = finished_cook(program, clock), finished_cook(program, clock)
    finished_cook(program, clock, BRISKET)
    finished_cook(program, clock, simulated=True)
    third = finished_cook(program, clock)
    service = TimesExplained(program)
    found = service.work_out(third)
    assert not isinstance(found, str)
    assert [(each.against, each.cooks) for each in found] == [("plan", 0), ("usual", 2)]
    # The first knew of no other then, whatever came later.
    for cook_id in (first, second):
        earlier = service.work_out(cook_id)
        assert not isinstance(earlier, str)
        assert [each.against for each in earlier] == ["plan"]


def test_what_is_worked_out_anew_takes_the_place_of_what_was(
    program: Program, clock: FixedClock
) -> None:
    for _ in range(2):
        finished_cook(program, clock)
    cook_id = finished_cook(program, clock)
    service = TimesExplained(program)
    service.work_out(cook_id)
    usual = next(
        e
        for e in program.journal.log(cook_id).holding()
        if isinstance(e.what, TimeExplained) and e.what.against == "usual"
    )
    program.live(cook_id).strike(usual.id).result()
    found = service.work_out(cook_id)
    assert kept(program, cook_id) == list(found)
    reasons = [
        e.what.reason for e in program.journal.entries(cook_id) if isinstance(e.what, Strike)
    ]
    assert reasons.count("worked out again") == 1


def test_a_cook_without_a_lead_says_why(program: Program, clock: FixedClock) -> None:
    cook_id = finished_cook(program, clock, lead=False)
    assert TimesExplained(program).work_out(cook_id) == "no_lead"
    assert kept(program, cook_id) == []
