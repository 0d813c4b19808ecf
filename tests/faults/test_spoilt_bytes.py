"""Bytes of the file that were spoilt: what follows from the entries is made again, the rest is told."""

import logging
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from smokejournal.cook.log.entries import (
    CookClosed,
    CookOpened,
    ItemAdded,
    Note,
    ScheduleStarted,
    Tasted,
    Unread,
)
from smokejournal.journal import CookLine, Journal, JournalProblem
from smokejournal.journal.opening import FILE_NAME
from smokejournal.services.program import settings
from smokejournal.services.program.practice import clock_read_only

AT_S = 1_780_000_000.0


def fill(folder: Path) -> list[CookLine]:
    with Journal.open(folder) as journal:
        for title in ("Ribs", "Trout"):
            cook = journal.new_cook(CookOpened(title, "Europe/Berlin"), AT_S, AT_S).result(10)
            journal.append_many(
                cook,
                [
                    (AT_S + 1, ItemAdded("spare ribs", mass_kg=1.5)),
                    (AT_S + 2, ScheduleStarted()),
                    (AT_S + 3, Note("Wind from the east")),
                    (AT_S + 9, CookClosed()),
                    (AT_S + 10, Tasted(marks={"overall": 4})),
                ],
                AT_S,
            ).result(10)
        return journal.cooks()


def spoil(folder: Path, statement: str) -> None:
    """Past all that guards the tables, as a disk does."""
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        connection.execute("DROP TRIGGER entry_no_update")
        connection.execute("PRAGMA ignore_check_constraints=ON")
        connection.execute(statement)
        connection.commit()


@pytest.mark.parametrize(
    "change",
    [
        "pieces = '[[\"spare ribs\", 1.5]'",
        "pieces = '[[7, 1.5]]'",
        "title = CAST(x'52ff6273' AS TEXT)",
        "search = CAST(x'52ff6273' AS TEXT)",
        "state = 'finishee'",
        "opened_ms = 9000000000000000",
        "started_ms = -1",
        "overall = 9e999",
    ],
)
@pytest.mark.parametrize("read_only", [False, True])
def test_a_line_that_can_not_be_read_is_read_off_the_entries(
    folder: Path, change: str, read_only: bool, caplog: pytest.LogCaptureFixture
) -> None:
    before = fill(folder)
    spoil(folder, f"UPDATE cook_line SET {change} WHERE cook_id = 1")
    with caplog.at_level(logging.WARNING), Journal.open(folder, read_only=read_only) as journal:
        assert journal.cooks() == before
        assert [line.title for line in journal.cooks("ribs")] == ["Trout", "Ribs"]
        (east,) = journal.cooks("EAST", limit=1, offset=1)
        assert replace(east, found=None) == before[1]
        journal.flush()
        assert journal.cooks() == before
    told = [record.getMessage() for record in caplog.records]
    # Once, and then it stays mended.
    assert len([text for text in told if "anew" in text]) == (not read_only)
    caplog.clear()
    if not read_only:
        with Journal.open(folder, read_only=True) as journal:
            assert journal.cooks() == before
        assert not caplog.records


def test_a_line_that_says_something_else_is_found_by_the_check_at_the_start(folder: Path) -> None:
    before = fill(folder)
    spoil(folder, "UPDATE cook_line SET title = 'Rhbs' WHERE cook_id = 1")
    with Journal.open(folder) as journal:
        assert journal.check() == ()
        journal.flush()
        assert journal.cooks() == before


def test_any_byte_of_a_line_may_flip(folder: Path) -> None:
    """The journal opens with the list as it was, or it is told to be damaged; never anything else."""
    before = fill(folder)
    path = folder / FILE_NAME
    whole = path.read_bytes()
    # The columns of a row stand together: title and zone occur like this nowhere else.
    at = whole.index(b"RibsEurope/Berlin")
    end = whole.index(b"wind from the east", at) + len(b"wind from the east")
    opened = 0
    for place in range(at - 60, end):
        flipped = bytearray(whole)
        flipped[place] ^= 0x80
        path.write_bytes(flipped)
        try:
            with Journal.open(folder) as journal:
                journal.cooks()
                if journal.check() == ():
                    journal.flush()
                    assert journal.cooks() == before, place - at
                    opened += 1
        except JournalProblem as problem:
            assert "damaged" in problem.message  # noqa: PT017
        for ending in ("-wal", "-shm"):
            (folder / f"{FILE_NAME}{ending}").unlink(missing_ok=True)
    assert opened >= (end - at) - 8


def test_an_entry_whose_bytes_are_spoilt_costs_that_entry_and_not_the_cook(folder: Path) -> None:
    fill(folder)
    spoil(
        folder,
        "UPDATE entry SET payload = CAST(x'7bff7d' AS TEXT) WHERE cook_id = 1 AND kind = 'note'",
    )
    with Journal.open(folder) as journal:
        said = [entry.what for entry in journal.entries(1)]
        assert len(said) == 6
        (unread,) = [what for what in said if isinstance(what, Unread)]
        assert unread.written_kind == "note"
        assert unread.data == {"text": "{\ufffd}"}
        assert ItemAdded("spare ribs", mass_kg=1.5) in said


@pytest.mark.parametrize("value", ["'no JSON'", "CAST(x'22ff22' AS TEXT)", "''", "'[' || 'x'"])
def test_a_setting_that_can_not_be_read_stands_at_its_default_and_is_named(
    folder: Path, value: str
) -> None:
    fill(folder)
    with Journal.open(folder) as journal:
        journal.set_setting("currency", "USD").result(10)
        journal.set_setting("place", "Back yard").result(10)
        journal.set_setting("practice.clock", {"pace": 2}).result(10)
    spoil(folder, f"UPDATE setting SET value = {value} WHERE key <> 'place'")
    with Journal.open(folder) as journal:
        loaded = settings.load(journal)
        assert (loaded.settings.currency, loaded.settings.place) == ("EUR", "Back yard")
        assert [refused.key for refused in loaded.refused] == ["currency", "practice.clock"]
        journal.set_setting("currency", "USD").result(10)
        assert settings.load(journal).settings.currency == "USD"


def test_a_practice_clock_that_holds_no_numbers_is_none(folder: Path) -> None:
    with Journal.open(folder) as journal:
        for pace in ("fast", None, 0):
            kept = {"pace": pace, "real_s": AT_S, "shown_s": AT_S}
            journal.set_setting("practice.clock", kept).result(10)
            assert abs(clock_read_only(journal).now_s() - AT_S) > 1.0
