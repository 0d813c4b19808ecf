"""What finished cooks teach: found once, kept in their logs, revoked and taken in again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from smokejournal.cli.forecast import answer_cook
from smokejournal.cook.forecast.cook_so_far import ForecastInput, record_of
from smokejournal.cook.fuel.cooker import CookerFacts
from smokejournal.cook.log.entries import CookClosed, ItemAdded, Note, PieceFound
from smokejournal.science.forecast.heating_learned import MODEL, SHARED, generic_sd
from smokejournal.science.forecast.heating_prior import OF_THE_CUT, OF_THE_PIT
from smokejournal.science.forecast.values import PitPrior, ProbeCourse
from smokejournal.services.forecast.finish import FinishForecasts
from smokejournal.services.forecast.fuel import FuelForecasts
from smokejournal.services.forecast.learned import ForecastLearned
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock
from tests.support.learned_cooks import BRISKET, TROUT, FakeFinder, finished_cook


@pytest.fixture
def finder() -> FakeFinder:
    return FakeFinder()


@pytest.fixture
def learned(program: Program, finder: FakeFinder) -> Iterator[ForecastLearned]:
    service = ForecastLearned(program, finder)
    yield service
    service.close()


def kept(program: Program, cook_id: int) -> list[PieceFound]:
    entries = program.journal.log(cook_id).of(PieceFound)
    return [what for _, what in entries]


def states(learned: ForecastLearned, simulated: bool = False) -> dict[int, str]:
    return {t.line.id: t.lesson.state for t in learned.lessons(simulated).lesson_cooks}


def prior_for(
    learned: ForecastLearned, program: Program, clock: FixedClock, item: ItemAdded = TROUT, **more
) -> PitPrior | None:
    """What the next cook begins from."""
    cook_id = finished_cook(program, clock, item, close=False, **more)
    live = program.live(cook_id)
    start_s = live.standing().started_at_s
    assert start_s is not None
    record = record_of(live.log(), live.standing(start_s + 1800.0), start_s + 1800.0)
    assert isinstance(record, ForecastInput)
    return learned.taught(cook_id, record)


def test_nothing_is_taught_at_first(
    learned: ForecastLearned, program: Program, clock: FixedClock
) -> None:
    assert prior_for(learned, program, clock) is None
    finished_cook(program, clock)
    assert prior_for(learned, program, clock) is None
    lessons = learned.lessons()
    assert (lessons.pit, lessons.meat, len(lessons.unread)) == ({}, {}, 1)


def test_a_cook_is_read_once_with_the_generic_prior(
    learned: ForecastLearned, program: Program, clock: FixedClock, finder: FakeFinder
) -> None:
    first = finished_cook(program, clock)
    found = learned.read(first)
    assert found is not None
    assert (found.model, found.cut, found.channel) == (MODEL, "fish", "meat")
    assert learned.read(first) is None
    second = finished_cook(program, clock)
    learned.read(second)
    # However much is known already: nothing is to be counted twice. What came of the forecasts on
    # the way is looked at with what was known then.
    whole = [cook for cook in finder.asked if cook.legs == ()]
    assert [cook.prior for cook in whole] == [None, None]
    on_the_way = [cook for cook in finder.asked if cook.legs]
    assert [cook.prior is None for cook in on_the_way] == [True] * 4 + [False] * 4
    assert [cook.prior.fell for cook in on_the_way if cook.prior is not None] == [()] * 4
    assert kept(program, first) == [found]
    (entry,) = [e for e in program.journal.entries(first) if isinstance(e.what, PieceFound)]
    assert entry.at_s == program.cooks()[1].over_s


def test_it_reaches_the_next_forecast_and_what_it_rests_on(
    learned: ForecastLearned, program: Program, clock: FixedClock
) -> None:
    learned.read(finished_cook(program, clock, BRISKET))
    learned.read(finished_cook(program, clock))
    prior = prior_for(learned, program, clock)
    assert prior is not None
    assert (prior.cooks, prior.of_the_cut) == (2, 1)
    assert prior.names == SHARED
    for n, name in enumerate(SHARED):
        sd = generic_sd("fish")[name]
        assert 0.0 < prior.shift[n] < sd
        assert prior.covariance[n][n] < sd**2
    assert [len(cook) for cook in prior.fell] == [4, 4]
    # How the trout went on, and not the brisket.
    assert prior.courses == (ProbeCourse("fish", (2.0, 60.0), (0.0, 3600.0), 110.0),)
    assert learned.lessons().courses == {"brisket": 1, "fish": 1}
    ribs = prior_for(learned, program, clock, replace(TROUT, name="ribs", food="red_meat"))
    assert ribs is not None
    assert {n for n, shift in zip(ribs.names, ribs.shift, strict=True) if shift} == set(OF_THE_PIT)
    assert (ribs.cooks, ribs.of_the_cut, ribs.courses) == (2, 0, ())


def test_the_desk_and_the_command_line_forecast_from_it(
    learned: ForecastLearned, program: Program, clock: FixedClock
) -> None:
    learned.read(finished_cook(program, clock))
    cook_id = finished_cook(program, clock, close=False)
    start_s = program.cooks()[0].started_s
    assert start_s is not None
    clock.at_s = start_s + 1800.0
    finder = FakeFinder()
    FinishForecasts(program, finder, learned.taught).look(cook_id)
    assert finder.asked[-1].prior is not None
    assert finder.asked[-1].prior.cooks == 1
    told = answer_cook(program, cook_id, start_s + 1800.0, finder, learned.taught)
    assert finder.asked[-1].prior is not None
    assert '"pit": 1' in told.out


def test_an_earlier_moment_knows_no_later_cook(
    learned: ForecastLearned, program: Program, clock: FixedClock
) -> None:
    early = finished_cook(program, clock)
    learned.read(finished_cook(program, clock))
    finder = FakeFinder()
    start_s = program.cooks()[1].started_s
    assert start_s is not None
    told = answer_cook(program, early, start_s + 1800.0, finder, learned.taught)
    assert finder.asked[-1].prior is None
    assert '"pit": 0' in told.out


def test_left_out_and_taken_in_again(
    learned: ForecastLearned, program: Program, clock: FixedClock, finder: FakeFinder
) -> None:
    cook_id = finished_cook(program, clock)
    learned.read(cook_id)
    learned.leave_out(cook_id)
    assert states(learned) == {cook_id: "left_out"}
    assert prior_for(learned, program, clock) is None
    assert learned.read(cook_id) is None
    learned.take_in(cook_id)
    assert states(learned) == {cook_id: "learned"}
    assert prior_for(learned, program, clock) is not None
    # Nothing had to be computed again, and one finding holds.
    assert len(finder.asked) == 5
    assert len(kept(program, cook_id)) == 1


def test_one_struck_by_hand_is_left_out_too(
    learned: ForecastLearned, program: Program, clock: FixedClock
) -> None:
    cook_id = finished_cook(program, clock)
    learned.read(cook_id)
    live = program.live(cook_id)
    ((entry, _),) = live.log().of(PieceFound)
    live.strike(entry.id).result()
    program.journal.flush()
    assert states(learned) == {cook_id: "left_out"}


def test_undo_passes_over_what_was_found(
    learned: ForecastLearned, program: Program, clock: FixedClock
) -> None:
    cook_id = finished_cook(program, clock)
    learned.read(cook_id)
    undone = program.live(cook_id).can_undo()
    assert undone is not None
    assert undone.what == CookClosed()


def test_one_unlike_any_other_counts_only_if_asked(
    learned: ForecastLearned, program: Program, clock: FixedClock, finder: FakeFinder
) -> None:
    finder.noticed = ("far_from_any_prior", "moved")
    cook_id = finished_cook(program, clock)
    learned.read(cook_id)
    assert states(learned) == {cook_id: "far"}
    assert prior_for(learned, program, clock) is None
    learned.take_in(cook_id)
    assert states(learned) == {cook_id: "learned"}
    assert [found.asked for found in kept(program, cook_id)] == [True]
    learned.leave_out(cook_id)
    assert states(learned) == {cook_id: "left_out"}
    learned.take_in(cook_id)
    assert states(learned) == {cook_id: "learned"}
    assert len(finder.asked) == 5


def test_ticking_an_unread_one_does_not_overrule_what_it_shows(
    learned: ForecastLearned, program: Program, clock: FixedClock, finder: FakeFinder
) -> None:
    finder.noticed = ("far_from_any_prior",)
    cook_id = finished_cook(program, clock)
    learned.take_in(cook_id)
    assert states(learned) == {cook_id: "far"}


def test_a_cook_that_tells_nothing_is_not_tried_again(
    learned: ForecastLearned, program: Program, clock: FixedClock, finder: FakeFinder
) -> None:
    cook_id = finished_cook(program, clock, lead=False)
    found = learned.read(cook_id)
    assert found is not None
    assert found.why == "no_lead"
    assert states(learned) == {cook_id: "nothing"}
    assert learned.lessons().unread == ()
    assert finder.asked == []


def test_what_changes_its_log_has_it_read_anew(
    learned: ForecastLearned, program: Program, clock: FixedClock
) -> None:
    cook_id = finished_cook(program, clock)
    learned.read(cook_id)
    live = program.live(cook_id)
    live.record(Note("good")).result()
    program.journal.flush()
    assert states(learned) == {cook_id: "learned"}
    live.record(BRISKET).result()
    program.journal.flush()
    assert states(learned) == {cook_id: "unread"}
    learned.read(cook_id)
    assert states(learned) == {cook_id: "learned"}
    assert len(kept(program, cook_id)) == 1


def test_simulated_cooks_teach_simulated_ones_alone(
    learned: ForecastLearned, program: Program, clock: FixedClock
) -> None:
    learned.read(finished_cook(program, clock, simulated=True))
    assert prior_for(learned, program, clock) is None
    assert prior_for(learned, program, clock, simulated=True) is not None
    assert learned.lessons().other_kind
    assert learned.lessons(True).pit_cooks == 1


def test_another_cooker_forgets_the_pit_and_keeps_the_meat(
    learned: ForecastLearned, program: Program, clock: FixedClock
) -> None:
    learned.read(finished_cook(program, clock))
    fuel = FuelForecasts(program)
    fuel.keep(CookerFacts(since_s=clock.at_s)).result()
    fuel.close()
    prior = prior_for(learned, program, clock)
    assert prior is not None
    moved = {n for n, shift in zip(prior.names, prior.shift, strict=True) if abs(shift) > 1e-12}
    assert moved == set(OF_THE_CUT)
    assert prior.fell == ()
    assert (prior.cooks, prior.of_the_cut) == (0, 1)
    assert [t.on_this_pit for t in learned.lessons().lesson_cooks] == [False]


def test_starting_anew_and_taking_that_back(
    learned: ForecastLearned, program: Program, clock: FixedClock
) -> None:
    learned.read(finished_cook(program, clock))
    learned.count_since(clock.at_s).result()
    assert prior_for(learned, program, clock) is None
    assert learned.lessons().lesson_cooks == ()
    learned.count_since(None).result()
    assert prior_for(learned, program, clock) is not None


def test_a_cook_under_way_is_not_read(
    learned: ForecastLearned, program: Program, clock: FixedClock
) -> None:
    cook_id = finished_cook(program, clock, close=False)
    assert learned.read(cook_id) is None
    learned.take_in(cook_id)
    assert kept(program, cook_id) == []


def test_the_real_forecast_finds_something_in_a_short_cook(
    program: Program, clock: FixedClock
) -> None:
    learned = ForecastLearned(program)
    found = learned.read(finished_cook(program, clock))
    learned.close()
    assert found is not None
    assert found.why == ""
    assert 3 <= len(found.directions) <= 10
    assert set(found.sd) <= set(SHARED)
    assert [one.way for one in found.outcomes] == [0.25, 0.5, 0.75, 0.9]
    assert all(abs(one.score) < 4.0 for one in found.outcomes)


def test_a_cook_left_out_does_not_move_the_range(
    learned: ForecastLearned, program: Program, clock: FixedClock
) -> None:
    for _ in range(3):
        last = finished_cook(program, clock)
        learned.read(last)
    before = learned.lessons().ranges["fish"]
    assert (before.cooks, before.moments) == (3, 12)
    learned.leave_out(last)
    after = learned.lessons().ranges["fish"]
    assert (after.cooks, after.moments) == (2, 8)
    assert after.recalibration != before.recalibration
    learned.take_in(last)
    assert learned.lessons().ranges["fish"] == before
