"""What was learned, in words: a middle, an interval, and a reason for each cook."""

from __future__ import annotations

import math

import pytest

from smokejournal.cook.learning.lesson_words import (
    EIGHT_IN_TEN,
    course_words,
    lesson_words,
    meat_words,
    pit_words,
    range_words,
)
from smokejournal.cook.learning.lessons import Learning, Lesson
from smokejournal.cook.log.entries import Entry, PieceFound
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.science.forecast.heating_learned import Learned
from smokejournal.science.forecast.recalibration import GENERIC_SCALE
from smokejournal.science.forecast.values import Recalibration


def share(low: float, high: float) -> Learned:
    """A logarithm whose eight in ten are from `low` to `high` of the usual."""
    a, b = math.log(low), math.log(high)
    return Learned((a + b) / 2, (b - a) / 2 / EIGHT_IN_TEN, 1.0, 3)


def step(low: float, high: float) -> Learned:
    return Learned((low + high) / 2, (high - low) / 2 / EIGHT_IN_TEN, 1.0, 3)


def test_of_the_pit() -> None:
    learned = {
        "ln_h": share(0.97, 1.28),
        "ln_vapour": share(0.5, 1.0),
        "pit_error": step(-1.0, 4.0),
    }
    assert pit_words(learned, METRIC) == (
        "This pit gives heat 11 % faster than a usual one (−3 to +28 %).",
        "Its air holds 29 % less moisture than usual (−50 to 0 %).",
        "At the meat it is 1.5 °C hotter than the pit probe reads (−1.0 to +4.0 °C).",
    )
    assert "2.7 °F hotter than the pit probe reads (−1.8 to +7.2 °F)" in pit_words(learned, US)[2]


def test_what_is_usual_is_called_so() -> None:
    learned = {
        "ln_h": share(0.8, 1.25),
        "ln_vapour": share(1.0, 1.0),
        "pit_error": step(-2.0, 2.0),
    }
    assert pit_words(learned, METRIC) == (
        "This pit gives heat as fast as a usual one (−20 to +25 %).",
        "Its air is as moist as usual (0 to 0 %).",
        "At the meat it is as hot as the pit probe reads (−2.0 to +2.0 °C).",
    )


def test_of_a_kind_of_meat_only_what_was_told() -> None:
    learned = {"ln_crust": share(0.5, 0.9), "hold_shift": step(-3.0, -1.0)}
    assert meat_words(learned, METRIC) == (
        "Its crust lets 33 % less moisture out than usual (−50 to −10 %).",
        "It gives up its juice 2.0 °C cooler than usual (−3.0 to −1.0 °C).",
    )
    assert meat_words({}, METRIC) == ()


def lesson(state: Learning, cut: str = "brisket", *noticed: str, why: str = "") -> Lesson:
    what = PieceFound(1, "meat", cut, noticed=noticed, why=why)  # type: ignore[arg-type]
    return Lesson(state, Entry(1, 0.0, 0.0, what))


@pytest.mark.parametrize(
    ("one", "on_this_pit", "words"),
    [
        (Lesson("unread"), True, "not read yet"),
        (lesson("learned"), True, "teaches about the pit and about a brisket"),
        (lesson("learned"), False, "on an earlier cooker: teaches about a brisket only"),
        (lesson("learned", "other"), True, "about the pit only: treated as any piece of meat"),
        (lesson("learned", "other"), False, "on an earlier cooker: teaches nothing about this one"),
        (lesson("left_out"), True, "left out; used for a brisket"),
        (lesson("nothing", why="no_lead"), True, "nothing to learn: no lead probe was chosen"),
        (lesson("nothing", why="something new"), True, "nothing to learn"),
        (lesson("learned", "ribs", "moved"), True, "ribs; the probe seems to have been moved"),
        (lesson("learned", "ribs", "wrap_untold"), True, "wrapped without a note"),
        (lesson("learned", "ribs", "far_from_any_prior"), True, "ribs; it behaves like no other"),
        (lesson("far", "ribs", "far_from_any_prior"), True, "left out unless you check it"),
    ],
)
def test_of_each_cook(one: Lesson, on_this_pit: bool, words: str) -> None:
    assert lesson_words(one, on_this_pit=on_this_pit).endswith(words)


def test_that_it_counts_how_cooks_went_on() -> None:
    assert course_words(0) == ()
    assert course_words(1) == (
        "Forecasts also count how long that cook took from each temperature.",
    )
    assert course_words(3) == ("Forecasts also count how long 3 cooks took from each temperature.",)


def test_how_forecasts_came_out() -> None:
    as_usual = Recalibration(0.0, GENERIC_SCALE, 1)
    assert range_words(1, 4, 3, as_usual) == (
        "What came lay within the range at 3 of 4 moments of one cook.",
        "The range is as wide as without earlier cooks.",
    )
    narrow = Recalibration(-0.3, GENERIC_SCALE * 0.67, 8)
    assert range_words(8, 32, 31, narrow) == (
        "What came lay within the range at 31 of 32 moments of 8 cooks.",
        "The range is 33 % narrower for it.",
        "It came sooner than forecast, so forecasts are sooner now.",
    )
    wide = range_words(2, 8, 3, Recalibration(0.4, GENERIC_SCALE * 1.25, 2))
    assert wide[1:] == (
        "The range is 25 % wider for it.",
        "It came later than forecast, so forecasts are later now.",
    )
