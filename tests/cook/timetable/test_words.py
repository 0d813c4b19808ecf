"""A plan counted back, in words."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.forecast.intervals import BEYOND, TimeInterval
from smokejournal.cook.log.entries import PrepStep, TimesKept
from smokejournal.cook.plan.prep_progress import LivedStep
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.cook.timetable.clock_words import moment, told
from smokejournal.cook.timetable.timetable import Lateness, TimetableStep, When
from smokejournal.cook.timetable.words import (
    kept_words,
    late_words,
    next_words,
    order_words,
    source_words,
    step_words,
    times_to_keep,
    wanted_words,
)
from tests.support.timetable_examples import (
    BRINE,
    FIVE,
    HOUR,
    LATENESS,
    MIN,
    NOW_S,
    ONE,
    RINSE,
    SMOKE,
    WARM,
    ZONE,
    at,
)


def test_a_step_says_when_how_long_and_why() -> None:
    rinse = step_words(RINSE, ONE, METRIC)
    assert (rinse.start, rinse.between) == ("06:40", "05:30 – 07:10")
    rinse = step_words(RINSE, ONE, US)
    assert (rinse.start, rinse.between) == ("6:40 am", "5:30 am – 7:10 am")
    smoke = step_words(SMOKE, ONE, METRIC)
    assert (smoke.start, smoke.between) == ("07:30", "05:45 – 08:45")
    assert smoke.lasts == "Takes 9 h 30 min (7 h 40 min – 12 h)"
    assert smoke.source == "estimated for a piece of this size"
    assert (smoke.pit, smoke.dish) == ("Pit at 107 °C", "shoulder")
    assert smoke.text == (
        "07:30 (05:45 – 08:45) Smoke shoulder. Takes 9 h 30 min (7 h 40 min – 12 h), "
        "estimated for a piece of this size. Pit at 107 °C."
    )
    assert step_words(BRINE, ONE, METRIC).length == "Takes 10 h, you said so."
    assert step_words(RINSE, ONE, METRIC).length == (
        "Takes 10 min (5 min – 15 min). A rule: common practice, no source."
    )
    assert step_words(ONE.steps[-1], ONE, METRIC).length == ""


@pytest.mark.parametrize(
    ("step", "words"),
    [
        (BRINE, "you said so"),
        (WARM, "from 3 of your cooks"),
        (replace(WARM, cooks=1), "from one of your cooks"),
        (RINSE, "A rule: common practice, no source."),
        (
            TimetableStep("prep:x", "x", "prep", why="Nobody said. Say it."),
            "How long isn’t known. Nobody said. Say it.",
        ),
    ],
)
def test_where_a_duration_comes_from(step: TimetableStep, words: str) -> None:
    assert source_words(step) == words


def test_what_never_ends_as_far_as_is_looked() -> None:
    step = replace(SMOKE, lasts=TimeInterval(7 * HOUR, 11 * HOUR, float("inf")))
    assert "longer than the forecast looks" in step_words(step, ONE, METRIC).lasts
    step = replace(SMOKE, lasts=TimeInterval(7 * HOUR, float("inf"), float("inf")))
    assert step_words(step, ONE, METRIC).lasts == "Takes at least 7 h"
    assert step_words(replace(SMOKE, lasts=BEYOND), ONE, METRIC).lasts == ""


def test_moments_bring_their_day_where_it_is_another_one() -> None:
    assert moment(at("21:00", 0), NOW_S, ZONE, METRIC) == "21:00"
    assert moment(at("00:10", 1), NOW_S, ZONE, METRIC) == "Sat 00:10"
    assert moment(at("23:50", -1), NOW_S, ZONE, METRIC) == "Thu 23:50"
    assert moment(at("06:40", 9), NOW_S, ZONE, METRIC) == "6 Dec, 06:40"


def test_an_interval_over_midnight_says_so() -> None:
    step = replace(RINSE, start=When(at("23:30", 0), at("00:30"), at("01:15")))
    words = step_words(step, ONE, METRIC)
    assert (words.start, words.between) == ("00:30", "Fri 23:30 – 01:15")


def test_what_is_next() -> None:
    assert next_words(ONE, METRIC) == "Next: Brine at 20:30."
    begun = replace(BRINE, state="under_way", began_s=NOW_S)
    later = replace(ONE, steps=(begun, *ONE.steps[1:]))
    assert next_words(later, METRIC) == "Next: Rinse at Sat 06:40."
    due = replace(later, now_s=at("06:42"))
    assert next_words(due, METRIC) == "Next: Rinse, now."
    assert next_words(replace(due, now_s=at("07:15")), METRIC) == (
        "Next: Rinse, now. It was due at 06:40."
    )
    dish = replace(later, now_s=at("07:15"), steps=(SMOKE,))
    assert next_words(dish, METRIC) == "Next: Smoke (shoulder) at 07:30."
    nothing = replace(later, steps=(replace(RINSE, start=None),))
    assert next_words(nothing, METRIC) == "Next: Rinse. The time isn’t known yet."
    assert next_words(replace(later, steps=(begun,)), METRIC) == ""


def test_the_whole_in_words() -> None:
    assert wanted_words(ONE, METRIC) == "Wanted at Sat 18:00; to be ready 15 min before."
    assert wanted_words(replace(ONE, margin_s=0.0), METRIC) == "Wanted at Sat 18:00."
    assert wanted_words(replace(ONE, wanted_s=None), METRIC) == ""
    assert late_words(LATENESS) == (
        "Chance of being late: about 2 in 10. Starting an hour earlier: less than 1 in 10. If it goes fast, it is ready 2 h 30 min early; you said it can be held hot 4 h."
    )
    assert order_words(ONE, METRIC) == ""
    assert order_words(FIVE, METRIC) == (
        "On the pit: shoulder Sat 07:30, ribs Sat 11:10, chicken Sat 13:40, "
        "beans with a long name that wraps Sat 14:30, corn Sat 16:50."
    )


def test_lateness_says_what_it_does_not_know() -> None:
    early = TimeInterval(0.0, HOUR, 3 * HOUR)
    assert "nobody said how long it can be held hot" in late_words(Lateness(0.2, 0.1, early))
    assert "too long to hold: about 4 in 10" in late_words(
        Lateness(0.2, 0.1, early, hold_s=HOUR, over_hold=0.4)
    )
    assert "changes little" in late_words(Lateness(0.3, 0.29, TimeInterval(0.0, 0.0, 0.0)))
    assert late_words(None) == ""


def test_what_was_lived() -> None:
    brine = PrepStep("Brine", duration_s=10 * HOUR, key="brine")
    began = replace(BRINE, state="under_way", began_s=at("20:10", 0))
    lived = LivedStep("brine", 1, brine, "under_way", at("20:10", 0))
    now = replace(ONE, now_s=at("05:00"))
    assert step_words(began, now, METRIC, lived).state == "Under way since Fri 20:10, until 06:10"
    late = replace(ONE, now_s=at("08:10"))
    assert step_words(began, late, METRIC, lived).state == (
        "Under way since Fri 20:10, 2 h over its time"
    )
    done = replace(began, state="over", ended_s=at("08:10"))
    lived = replace(lived, state="over", ended_s=at("08:10"))
    shown = step_words(done, late, METRIC, lived)
    assert shown.state == "Done 08:10, took 12 h, 2 h over"
    assert (shown.lasts, shown.source, shown.between) == ("", "", "")
    # Only said to be done: how long it took isn't known.
    assert step_words(replace(done, began_s=None), late, METRIC, None).state == "Done 08:10"
    assert step_words(replace(RINSE, state="skipped"), late, METRIC).state == "Skipped"
    left = replace(
        SMOKE, state="under_way", began_s=NOW_S, lasts=TimeInterval(HOUR, 2 * HOUR, 3 * HOUR)
    )
    assert step_words(left, now, METRIC).lasts == "2 h (1 h – 3 h) left"


def test_kept_times_are_set_against_those_of_now() -> None:
    kept = times_to_keep(ONE)
    assert kept is not None
    assert kept.starts["prep:rinse"] == at("06:40")
    assert "serve" not in kept.starts
    assert kept.ready_at_s == ONE.wanted_s
    assert kept.late == LATENESS.late
    assert kept_words(RINSE, ONE, METRIC, kept) == ""
    moved = replace(RINSE, start=When(at("06:10"), at("07:20"), at("07:50")))
    assert kept_words(moved, ONE, METRIC, kept) == (
        "Saved: start Sat 06:40; now estimated Sat 07:20"
    )
    assert kept_words(moved, ONE, METRIC, None) == ""
    assert kept_words(replace(moved, state="over"), ONE, METRIC, kept) == ""
    assert times_to_keep(replace(ONE, wanted_s=None)) is None
    assert kept_words(moved, ONE, METRIC, TimesKept({}, NOW_S)) == ""


@given(
    start=st.floats(1.7e9, 1.9e9),
    before=st.floats(0.0, 12 * HOUR),
    after=st.floats(0.0, 12 * HOUR),
)
def test_what_is_told_is_in_order_and_never_later_than_computed(
    start: float, before: float, after: float
) -> None:
    when = When(start - before, start, start + after)
    shown = told(when)
    assert shown.earliest_s <= shown.planned_s <= shown.latest_s
    for said, meant in zip(
        (shown.earliest_s, shown.planned_s, shown.latest_s),
        (when.earliest_s, when.planned_s, when.latest_s),
        strict=True,
    ):
        # A hair of a minute that was meant to be full is all that may be given away.
        assert -1.0 < meant - said <= 15 * MIN
