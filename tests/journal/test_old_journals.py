"""Journals of every schema that was ever released open, and say what they said."""

import shutil
import sqlite3
import typing
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from unittest.mock import ANY

import pytest

from smokejournal.cook.log import entries as kinds
from smokejournal.cook.log.brine_request import BrineAsked
from smokejournal.cook.log.schedule import (
    ForTime,
    Schedule,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.stores.lots import Lot
from smokejournal.journal import CookFilter, CookLine, Journal, JournalProblem
from smokejournal.journal.opening import FILE_NAME

JOURNALS = Path(__file__).parents[1] / "data" / "journals"
AT_S = 1_761_998_400.0


@pytest.fixture
def first(folder: Path) -> Iterator[Journal]:
    folder.mkdir()
    shutil.copyfile(JOURNALS / "v1.sqlite", folder / FILE_NAME)
    with Journal.open(folder) as journal:
        yield journal


@pytest.fixture
def second(folder: Path) -> Iterator[Journal]:
    folder.mkdir()
    shutil.copyfile(JOURNALS / "v2.sqlite", folder / FILE_NAME)
    with Journal.open(folder) as journal:
        yield journal


@pytest.mark.parametrize("path", sorted(JOURNALS.glob("*.sqlite")), ids=lambda path: path.name)
def test_every_old_journal_opens_sound_and_goes_on(path: Path, folder: Path) -> None:
    folder.mkdir()
    shutil.copyfile(path, folder / FILE_NAME)
    with Journal.open(folder) as journal:
        assert journal.check() == ()
        for line in journal.cooks():
            assert not any(isinstance(e.what, kinds.Unread) for e in journal.entries(line.id))
            journal.append(line.id, kinds.Note("goes on"), AT_S, AT_S).result(10)
        assert journal.schedules.unread() == []
        journal.flush()
        assert journal.cooks("goes on") == [replace(line, found=ANY) for line in journal.cooks()]


def test_a_search_that_can_not_be_set_up_leaves_an_old_journal_as_it_was(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder.mkdir()
    path = folder / FILE_NAME
    shutil.copyfile(JOURNALS / "v3.sqlite", path)
    with monkeypatch.context() as patched:
        patched.setattr("smokejournal.journal.tables.WORD_INDEX", "CREATE VIRTUAL TABLE half")
        with pytest.raises(JournalProblem, match="could not be updated"):
            Journal.open(folder)
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (1 << 16 | 2,)
        names = {name for (name,) in connection.execute("SELECT name FROM sqlite_schema")}
    assert not names & {"cook_text", "text_behind", "entry_text_behind", "reading_sum"}
    with Journal.open(folder) as journal:
        assert journal.check() == ()


def test_the_first_schema_lists_its_cooks(first: Journal) -> None:
    assert first.cooks() == [
        CookLine(2, "Ribs for Sunday", "America/Chicago", AT_S + 86_400),
        CookLine(
            id=1,
            title="Trout over alder",
            zone="Europe/Berlin",
            opened_s=AT_S,
            started_s=AT_S + 120,
            over_s=AT_S + 9000,
            simulated=True,
            items="trout 1.35 kg",
            state="finished",
            overall=4.0,
            place="yard",
            pieces=(("trout", 1.35),),
        ),
    ]
    assert [line.id for line in first.cooks("TRÈS alder")] == [1]
    assert first.cooks("thicker") == []


def test_what_was_written_under_the_first_schema_is_found(first: Journal) -> None:
    for _ in range(2):  # before the index has caught up, and afterwards
        (line,) = first.cooks("moist bien")
        assert line.found is not None
        assert (line.found.sort, line.found.text) == ("tasting", "mild, moist – très bien")
        (line,) = first.cooks("", narrowed=CookFilter(air_from_c=10.0, wind_m_s=3.0, overall=4.0))
        assert line.id == 1
        first.flush()


def test_the_first_schema_holds_every_kind_of_entry(first: Journal) -> None:
    entries = first.entries(1)
    assert [entry.id for entry in entries] == list(range(1, 32))
    found = {type(entry.what) for entry in entries}
    first_kinds = set(typing.get_args(kinds.Payload)) - {kinds.Unread}
    assert found <= first_kinds
    assert len(found) == 29
    said = {entry.what.kind: entry for entry in entries}
    opened = said["cook_opened"]
    assert (opened.at_s, opened.recorded_s) == (AT_S, AT_S)
    assert opened.what == kinds.CookOpened(
        "Trout", "Europe/Berlin", True, "yard", 9.0, AT_S + 14_000
    )
    lid = said["lid"]
    assert (lid.at_s, lid.recorded_s, lid.what) == (AT_S + 330, AT_S + 330.25, kinds.Lid(False))
    assert said["strike"].what == kinds.Strike(2, "the other side")
    assert said["tasted"].what == kinds.Tasted(
        "mild, moist – très bien", {"overall": 4, "smoke": 3}, "a guest"
    )
    assert said["weather"].what == kinds.WeatherObserved(
        "broken", 11.5, 70.0, 3.0, 6.5, 1012.0, "none", "shade", 14.0
    )
    assert said["fuel_level"].what == kinds.FuelLevel(1.1, 0.2, 12.5)


def test_the_first_schema_holds_its_schedule_and_the_rest(first: Journal) -> None:
    schedule = Schedule(
        "Trout, warm",
        (
            Stage(
                "s1", "Dry", (ForTime(1800.0),), pit_target_c=50.0, instruction="Leave the lid ajar"
            ),
            Stage(
                "s2",
                "Smoke",
                (UntilTemperature(63.0, prove_s=120.0), UntilClock(AT_S + 4 * 3600)),
                pit_target_c=85.0,
                guard_s=4 * 3600.0,
            ),
            Stage(
                "s3",
                "Hold",
                (
                    ForTime(900.0, at_least_c=62.0, dip_c=0.5, dip_mode="start_over", dip_s=60.0),
                    UntilSaid(),
                ),
                combine="all",
                alert="insistent",
                ending="waits",
            ),
        ),
    )
    assert first.schedules.saved() == [("Trout, warm", schedule)]
    assert [p.schedule for _, p in first.log(1).of(kinds.ScheduleSet)] == [schedule]
    assert first.setting("feed.1") == {"columns": ["p1", None], "baud": 9600}
    assert first.stores.lots() == [
        Lot(1, "Alder, first bag", 9.0, 17.1, "EUR", 2.0, "alder", "dry", True)
    ]


def test_the_first_schema_holds_its_readings(first: Journal) -> None:
    log = first.log(1)
    assert set(log.traces) == {"p1", "pit"}
    pit = log.traces["pit"]
    assert pit.at_s.tolist() == [AT_S + 60 * n for n in range(50)]
    assert pit.value_c[:2].tolist() == [45.0, 47.1233349983152]
    # One reading is within what was struck, from the 200th to the 260th second.
    assert len(log.trace("p1")) == 49


def test_the_second_schema_holds_its_lots_probes_and_prep(second: Journal) -> None:
    assert second.stores.lots() == [
        Lot(2, "Plum, a gift", wood="plum", retired=True),
        Lot(1, "Beech, autumn", 15.0, 9.0, "EUR", 2.0, "beech", "even"),
    ]
    assert second.stores.wares() == []
    assert [(probe.name, probe.accuracy_class) for probe in second.stores.probes()] == [
        ("Left", "K2")
    ]
    assert len(second.stores.calibrations()) == 1
    step = second.log(1).of(kinds.PrepStep)[0][1]
    assert step == kinds.PrepStep(
        "Brine",
        "cold",
        43_200.0,
        BrineAsked("2 L water, 1 cup salt", "flake", "belly", 1.8, 0.04, soak_s=43_200.0),
        "b1",
        "brine",
        "belly",
        57_600.0,
    )


def test_what_comes_after_the_second_schema_gets_numbers_of_its_own(second: Journal) -> None:
    assert second.stores.save_lot(Lot(0, "Cherry", label="as the bag says")).result(10).id == 3
    assert second.stores.lots()[0].label == "as the bag says"


def test_the_third_schema_holds_its_entries_and_readings(folder: Path) -> None:
    folder.mkdir()
    shutil.copyfile(JOURNALS / "v3.sqlite", folder / FILE_NAME)
    at_s = 1_767_268_800.0
    with Journal.open(folder) as journal:
        log = journal.log(1)
        (ware,) = journal.stores.wares()
    assert log.entries[0].what == kinds.CookOpened(
        "Eel for the new year – très fin", "Europe/Vienna"
    )
    assert log.of(kinds.Note)[0][1] == kinds.Note("the wind turned")
    assert log.traces["pit"].value_c.tolist() == [80.0 + n % 9 for n in range(93)]
    assert log.traces["p1"].at_s.tolist() == [at_s + 60 + 10 * n for n in range(93)]
    assert len(log.trace("p1")) == 93 - 7
    assert (ware.name, ware.grain) == ("Sea salt", "flake")
