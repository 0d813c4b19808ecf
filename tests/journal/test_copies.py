"""Which copies are kept, and how they are found."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from smokejournal.cook.log.entries import CookOpened, Note
from smokejournal.cook.log.readings import Reading
from smokejournal.journal import Journal
from smokejournal.journal.copies import BACKUPS, DAY_S, DAYS_KEPT, copies_in, which_to_keep

NOW_S = datetime(2026, 3, 17, 15, tzinfo=UTC).timestamp()

ages = st.floats(-2 * DAY_S, 900 * DAY_S) | st.floats(-DAY_S, 20 * DAY_S)
moments = st.lists(ages.map(lambda age_s: NOW_S - age_s), max_size=60)


def month(at_s: float) -> tuple[int, int]:
    made = datetime.fromtimestamp(at_s, UTC)
    return made.year, made.month


def test_an_example_of_what_is_kept() -> None:
    def at(text: str) -> float:
        return datetime.fromisoformat(f"{text}:00+00:00").timestamp()

    stay = [
        "2026-03-17T14:00", "2026-03-17T02:00", "2026-03-16T20:00",  # the last day
        "2026-03-16T14:00", "2026-03-15T09:00", "2026-03-03T23:00",  # one a day
        "2026-03-02T23:00", "2026-02-20T10:00", "2025-12-31T23:59",  # one a month
    ]  # fmt: skip
    go = ["2026-03-16T13:00", "2026-03-15T08:00", "2026-03-01T10:00", "2026-02-19T10:00"]
    given_s = [at(text) for text in stay + go]
    assert which_to_keep(given_s, NOW_S) == {at(text) for text in stay}


@given(moments)
def test_the_last_day_stays_whole_and_each_day_and_month_keeps_its_last(made: list[float]) -> None:
    kept = which_to_keep(made, NOW_S)
    assert kept <= set(made)
    assert {at_s for at_s in made if at_s > NOW_S - DAY_S} <= kept
    today = NOW_S // DAY_S
    for at_s in made:
        if today - at_s // DAY_S <= DAYS_KEPT:
            assert any(one // DAY_S == at_s // DAY_S for one in kept)
        assert any(month(one) == month(at_s) and one >= at_s for one in kept) or any(
            today - one // DAY_S <= DAYS_KEPT and month(one) == month(at_s) for one in made
        )
    if made:
        assert max(made) in kept


@given(moments)
def test_how_many_are_kept_is_bounded(made: list[float]) -> None:
    kept = which_to_keep(made, NOW_S)
    older = [at_s for at_s in kept if at_s <= NOW_S - DAY_S]
    months = {month(at_s) for at_s in made}
    assert len(older) <= DAYS_KEPT + len(months)


@given(moments, moments, st.floats(0, 40 * DAY_S))
def test_thinning_out_in_between_changes_nothing_of_what_is_kept_later(
    before: list[float], after: list[float], ago_s: float
) -> None:
    earlier_s = NOW_S - ago_s
    early = [at_s for at_s in before if at_s <= earlier_s]
    late = [at_s for at_s in after if at_s > earlier_s]
    thinned = which_to_keep(early, earlier_s)
    assert which_to_keep([*thinned, *late], NOW_S) == which_to_keep([*early, *late], NOW_S)


def test_two_years_of_use_leave_few_copies(journal: Journal) -> None:
    """A copy every four hours, made and thinned out as the program does."""
    folder = journal.folder / BACKUPS
    first_s = NOW_S - 730 * DAY_S
    made: list[float] = []
    for step in range(730 * 6):
        now_s = first_s + step * 4 * 3600
        made = sorted(which_to_keep([*made, now_s], now_s))
    assert len(made) <= 6 + DAYS_KEPT + 25
    journal.back_up(NOW_S - 400 * DAY_S)
    journal.back_up(NOW_S - 399 * DAY_S)
    journal.back_up(NOW_S)
    (folder / "mine.sqlite").write_bytes(b"not touched")
    (folder / "journal-form-1.0-2020-01-01-000000.sqlite").write_bytes(b"nor this")
    journal.back_up(NOW_S)
    assert sorted(os.listdir(folder)) == [
        "journal-2025-02-11-150000.sqlite",
        "journal-2026-03-17-150000-2.sqlite",
        "journal-2026-03-17-150000.sqlite",
        "journal-form-1.0-2020-01-01-000000.sqlite",
        "mine.sqlite",
    ]


def test_copies_are_listed_by_when_they_were_made_whatever_the_file_system_says(
    folder: Path,
) -> None:
    (folder / BACKUPS).mkdir(parents=True)
    for name in (
        "journal-2026-03-17-150000.sqlite",
        "journal-form-1.0-2026-03-16-150000.sqlite",
        "journal-2026-03-17-150000-2.sqlite",
        "journal-2026-13-40-150000.sqlite",
        "journal-2026-03-17-150000.tmp",
    ):
        (folder / BACKUPS / name).write_bytes(b"12345")
    os.utime(folder / BACKUPS / "journal-2026-03-17-150000.sqlite", (0, 0))
    (folder / BACKUPS / "journal-2026-03-18-150000.sqlite").mkdir()
    found = copies_in(folder)
    assert [(copy.form, copy.size_bytes) for copy in found] == [("", 5), ("", 5), ("1.0", 5)]
    assert abs(found[0].at_s - NOW_S) < 1
    assert datetime.fromtimestamp(found[2].at_s, UTC) + timedelta(days=1) == datetime.fromtimestamp(
        NOW_S, UTC
    )
    assert copies_in(folder / "none") == []


def test_whether_a_copy_holds_everything_is_told_by_what_is_in_it(journal: Journal) -> None:
    cook = journal.new_cook(CookOpened("Ribs", "UTC"), NOW_S, NOW_S).result(10)
    writes = (
        lambda: journal.append(cook, Note("more"), NOW_S, NOW_S),
        lambda: journal.append_readings(cook, [Reading(NOW_S, "p1", 20.0)]),
        lambda: journal.append_readings(cook, [Reading(NOW_S + 5, "p1", 21.0)]),
        lambda: journal.append_readings(cook, [Reading(NOW_S - 5, "p1", 19.0)]),
        lambda: journal.set_setting("place", "Back yard"),
    )
    for write in writes:
        journal.back_up(NOW_S)
        copy = journal.copies(journal.folder)[0]
        assert journal.is_in(copy)
        write().result(10)
        assert not journal.is_in(copy)
