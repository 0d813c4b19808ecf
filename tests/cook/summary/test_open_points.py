"""Wishes for next time stay open until a later cook takes them over or lets them go."""

from __future__ import annotations

from smokejournal.cook.log.entries import Entry, NextTime, Note, Payload
from smokejournal.cook.summary.open_points import let_go, open_points, taken_over


def cook(title: str, *said: Payload, at_s: float = 0.0) -> tuple[str, list[Entry]]:
    return title, [Entry(n, at_s + n, at_s + n, what) for n, what in enumerate(said, start=1)]


def test_what_nobody_answered_is_open_the_newest_first() -> None:
    found = open_points(
        [
            cook("Ribs", NextTime("Less salt"), NextTime("Start earlier"), at_s=100),
            cook("Ribs again", NextTime("More pepper"), at_s=200),
        ]
    )
    assert [(p.text, p.title) for p in found] == [
        ("More pepper", "Ribs again"),
        ("Start earlier", "Ribs"),
        ("Less salt", "Ribs"),
    ]
    assert found[0].at_s == 201


def test_taken_over_or_let_go_it_is_answered_but_not_by_the_cook_that_wrote_it() -> None:
    first = cook("Ribs", NextTime("Less salt"), NextTime("Start earlier"), taken_over("Less salt"))
    assert {p.text for p in open_points([first])} == {"Less salt", "Start earlier"}
    later = cook("Ribs again", taken_over("Less salt"), let_go("Start earlier"))
    assert open_points([first, later]) == ()


def test_a_wish_that_is_written_again_is_open_again_and_one_point() -> None:
    cooks = [
        cook("1", NextTime("Less salt")),
        cook("2", taken_over("Less salt")),
        cook("3", NextTime("Less salt"), at_s=300),
    ]
    (point,) = open_points(cooks)
    assert (point.title, point.at_s) == ("3", 301)


def test_any_other_note_answers_nothing() -> None:
    found = open_points([cook("1", NextTime("Less salt")), cook("2", Note("Less salt"))])
    assert len(found) == 1
