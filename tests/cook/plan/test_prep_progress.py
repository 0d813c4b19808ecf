"""What was said of the steps before the fire is read off the log."""

from smokejournal.cook.log.entries import (
    Entry,
    Payload,
    PrepStep,
    StepBegun,
    StepEnded,
    StepExtended,
    StepSkipped,
)
from smokejournal.cook.plan.prep_progress import prep_progress

HOUR = 3600.0


def entries(*said: tuple[float, Payload]) -> list[Entry]:
    return [Entry(n, at_s, at_s, what) for n, (at_s, what) in enumerate(said, 1)]


def test_a_brine_that_runs_over_is_a_fact() -> None:
    (step,) = prep_progress(
        entries(
            (0, PrepStep("brine", duration_s=4 * HOUR, key="p1")),
            (HOUR, StepBegun("p1")),
            (4 * HOUR, StepExtended("p1", HOUR)),
            (7 * HOUR, StepEnded("p1")),
        )
    )
    assert step.state == "over"
    assert step.intended_s == 5 * HOUR
    assert step.took_s == 6 * HOUR
    assert step.due_end_s is None


def test_a_step_under_way_says_when_it_is_to_end() -> None:
    said = entries((0, PrepStep("dry", duration_s=2 * HOUR)), (HOUR, StepBegun("e1")))
    (step,) = prep_progress(said)
    assert (step.key, step.state, step.due_end_s) == ("e1", "under_way", 3 * HOUR)


def test_an_edited_step_keeps_what_was_lived() -> None:
    # The first one was struck when it was edited: the new one carries its key on.
    said = entries((HOUR, StepBegun("e7")), (2 * HOUR, PrepStep("brine", key="e7", text="colder")))
    (step,) = prep_progress(said)
    assert (step.state, step.began_s, step.intended_s) == ("under_way", HOUR, None)


def test_a_step_begun_again_is_under_way_and_a_skipped_one_is_passed_over() -> None:
    said = entries(
        (0, PrepStep("rinse", key="a")),
        (0, PrepStep("rub", key="b")),
        (1, StepBegun("a")),
        (2, StepEnded("a")),
        (3, StepBegun("a")),
        (4, StepSkipped("b")),
        (5, StepEnded("gone")),
    )
    first, second = prep_progress(said)
    assert (first.state, first.began_s, first.ended_s) == ("under_way", 3, None)
    assert second.state == "skipped"


def test_only_said_to_be_done_tells_no_duration() -> None:
    (step,) = prep_progress(entries((0, PrepStep("rub", key="a")), (9, StepEnded("a"))))
    assert (step.state, step.took_s, step.ended_s) == ("over", None, 9)
