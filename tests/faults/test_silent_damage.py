"""Bytes that flip in the pages of entries and readings: nothing else is shown than what was written,
unless that is said."""

import random
import shutil
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smokejournal.__main__ import main
from smokejournal.cook.log.cook_log import CookLog
from smokejournal.cook.log.entries import (
    CookOpened,
    ItemAdded,
    Note,
    ReadingsStruck,
    ScheduleStarted,
    Unread,
)
from smokejournal.cook.log.entry_words import entry_words
from smokejournal.cook.log.readings import Reading
from smokejournal.journal import Journal, JournalProblem, salvage_cook
from smokejournal.journal.opening import FILE_NAME
from smokejournal.services.program.live import LiveCook
from tests.faults.test_emergency import pages_of
from tests.support.fakes import FixedClock

AT_S = 1_780_000_020.0  # the beginning of a minute
PAGE = 4096
#: How many single flipped bits of a file are tried.
FLIPS = 150
TABLES = ("entry", "reading", "reading_sum")


def fill(folder: Path) -> None:
    """A cook with some entries, and two channels of twenty minutes at a reading every five seconds."""
    with Journal.open(folder) as journal:
        cook = journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
        journal.append_many(
            cook,
            [
                (AT_S + 1, ItemAdded("spare ribs", mass_kg=1.5)),
                (AT_S + 2, ScheduleStarted()),
                *((AT_S + 10 * n, Note(f"the wind is at {n} knots")) for n in range(30)),
            ],
            AT_S,
        ).result(10)
        for n in range(240):
            at_s = AT_S + 5 * n
            journal.append_readings(
                cook, [Reading(at_s, "pit", 110.0 + n / 9), Reading(at_s, "meat", 20.0 + n / 7)]
            )


@dataclass(frozen=True)
class Found:
    """What a journal showed, and what was said of damage: None where it could not be read at all."""

    log: CookLog | None
    said: Sequence[str] = ()
    checked: Sequence[str] = ()


def look(folder: Path) -> Found:
    said: list[str] = []
    try:
        with Journal.open(folder) as journal:
            journal.on_spoilt(lambda problem: said.append(problem.message))
            checked = journal.check()
            return Found(journal.log(1), said, checked)
    except JournalProblem as problem:
        return Found(None, [problem.message])


def differs(found: Found, before: CookLog) -> bool:
    """Whether an entry or a reading is shown that wasn't written, or one is missing without a word."""
    if found.log is None or found.checked:
        return False  # it is said of the whole file
    written = {entry.id: entry for entry in before.entries}
    if found.log.entries != before.entries:
        for entry in found.log.entries:
            damaged = isinstance(entry.what, Unread) and entry.what.damaged
            if not damaged and entry != written.get(entry.id):
                return True
        if {entry.id for entry in found.log.entries} != written.keys():
            return True
    spoilt = False
    for key, trace in found.log.traces.items():
        whole = before.traces.get(key)
        if whole is None:
            return bool(len(trace))
        pairs = set(zip(whole.at_s.tolist(), whole.value_c.tolist(), strict=True))
        if not pairs.issuperset(zip(trace.at_s.tolist(), trace.value_c.tolist(), strict=True)):
            return True
        spoilt |= len(trace) != len(whole)
    spoilt |= found.log.traces.keys() != before.traces.keys()
    return spoilt and not found.said


@dataclass(frozen=True)
class Whole:
    folder: Path
    content: bytes
    log: CookLog
    pages: Sequence[int]

    def flipped(self, place: int, bit: int) -> Found:
        content = bytearray(self.content)
        content[place] ^= 1 << bit
        for old in self.folder.iterdir():
            shutil.rmtree(old) if old.is_dir() else old.unlink()
        (self.folder / FILE_NAME).write_bytes(content)
        return look(self.folder)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Whole:
    folder = tmp_path_factory.mktemp("whole") / "journal"
    fill(folder)
    found = look(folder)
    assert found.log is not None
    assert not found.said
    assert not found.checked
    pages = [at for name in TABLES for at in pages_of(folder, name, 13 if name == "entry" else 10)]
    return Whole(folder, (folder / FILE_NAME).read_bytes(), found.log, pages)


def test_a_flipped_bit_shows_nothing_else_without_a_word(whole: Whole) -> None:
    chance = random.Random(4)
    told = 0
    for _ in range(FLIPS):
        place, bit = chance.choice(whole.pages) + chance.randrange(PAGE), chance.randrange(8)
        found = whole.flipped(place, bit)
        assert not differs(found, whole.log), (place, bit)
        told += found.log is not None and bool(found.said)
    assert told > FLIPS // 5


@given(st.data())
def test_any_flipped_bit_of_what_was_written_is_said(whole: Whole, data: st.DataObject) -> None:
    """Where the rows themselves lie, at the end of their pages."""
    page = data.draw(st.sampled_from(whole.pages))
    place = page + data.draw(st.integers(PAGE - 500, PAGE - 1))
    assert not differs(whole.flipped(place, data.draw(st.integers(0, 7))), whole.log)


def spoil(folder: Path, *statements: str) -> None:
    """Past all that guards the tables, as a disk does."""
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        for trigger in ("entry_no_update", "reading_no_update", "reading_no_delete"):
            connection.execute(f"DROP TRIGGER IF EXISTS {trigger}")
        for statement in statements:
            connection.execute(statement)
        connection.commit()


#: One reading of the pit, in the tenth minute.
ONE = f"t_ms = {round(AT_S * 1000) + 545_000} AND channel_id = 1"


@pytest.mark.parametrize(
    "change",
    [
        f"UPDATE reading SET value = value + 1e-9 WHERE {ONE}",
        f"UPDATE reading SET value = 9e999 WHERE {ONE}",
        f"UPDATE reading SET t_ms = t_ms + 1 WHERE {ONE}",
        f"DELETE FROM reading WHERE {ONE}",
        f"UPDATE reading_sum SET sum = sum + 1 WHERE channel_id = 1 AND minute = {int(AT_S) // 60 + 9}",
        f"DELETE FROM reading_sum WHERE channel_id = 1 AND minute = {int(AT_S) // 60 + 9}",
    ],
)
def test_a_damaged_minute_is_left_out_and_said_once_and_the_rest_can_be_tended(
    folder: Path, change: str
) -> None:
    fill(folder)
    with Journal.open(folder) as journal:
        before = journal.log(1)
    spoil(folder, change)
    said: list[JournalProblem] = []
    with Journal.open(folder) as journal:
        live = LiveCook(journal, FixedClock(AT_S + 1200), 1)
        live.load()
        journal.on_spoilt(said.append)  # whoever asks later hears of it too
        for _ in range(3):
            trace = journal.trace(1, "pit")
        live.record(Note("goes on")).result(10)
        assert live.standing().channels["meat"].value_c == before.traces["meat"].value_c[-1]
        assert journal.entries(1)[-1].what == Note("goes on")
    minute = before.traces["pit"].at_s // 60
    stay = minute != AT_S // 60 + 9
    np.testing.assert_array_equal(trace.at_s, before.traces["pit"].at_s[stay])
    np.testing.assert_array_equal(trace.value_c, before.traces["pit"].value_c[stay])
    (problem,) = said
    count = 11 if change.startswith("DELETE FROM reading W") else 12
    assert problem.message == (
        f"About {count} readings of pit between 28 May 2026, 20:36 and 28 May 2026, 20:37 are damaged "
        "and left out."
    )
    assert "smokejournal restore" in problem.cure


def test_a_probe_under_another_name_is_not_taken_for_it(folder: Path) -> None:
    fill(folder)
    spoil(folder, "UPDATE channel SET key = 'met' WHERE key = 'meat'")
    found = look(folder)
    assert found.log is not None
    assert len(found.log.traces["met"]) == 0
    assert len(found.log.traces["pit"]) == 240
    assert "240 readings of met" in found.said[0]


def test_back_dated_readings_belong_to_their_minute_and_mend_no_damage(folder: Path) -> None:
    fill(folder)
    late = [Reading(AT_S + 547.0, "pit", 1.0), Reading(AT_S + 5.5, "pit", -0.0)]
    with Journal.open(folder) as journal:
        journal.append_readings(1, late).result(10)
        assert len(journal.trace(1, "pit")) == 242
    assert not look(folder).said
    spoil(folder, f"UPDATE reading SET value = 2 WHERE {ONE}")
    with Journal.open(folder) as journal:
        journal.append_readings(1, [Reading(AT_S + 548.0, "pit", 1.0)]).result(10)
    found = look(folder)
    assert found.log is not None
    assert found.said[0].startswith("About 14 readings of pit")
    assert len(found.log.traces["pit"]) == 242 - 13


def test_struck_readings_stay_struck_beside_damaged_ones(folder: Path) -> None:
    fill(folder)
    with Journal.open(folder) as journal:
        struck = ReadingsStruck("pit", AT_S + 530, AT_S + 560)
        journal.append(1, struck, AT_S + 900, AT_S + 900).result(10)
    spoil(folder, f"UPDATE reading SET value = 2 WHERE {ONE}")
    found = look(folder)
    assert found.log is not None
    trace = found.log.trace("pit")
    assert not ((trace.at_s >= AT_S + 530) & (trace.at_s < AT_S + 600)).any()
    assert len(trace) == 240 - 2 - 12
    assert len(found.said) == 1


@pytest.mark.parametrize(
    "change",
    [
        "payload = replace(payload, '7 knots', '9 knots')",
        "at_ms = at_ms + 1",
        "at_ms = 9000000000000000",
        "recorded_ms = -1",
        "kind = 'next_time'",
        "version = 0",
        "sum = sum + 1",
    ],
)
def test_a_damaged_entry_is_kept_and_marked_and_never_counted(folder: Path, change: str) -> None:
    fill(folder)
    spoil(folder, f"UPDATE entry SET {change} WHERE id = 11")
    with Journal.open(folder) as journal:
        assert journal.check() == ("entry 11 isn't as it was written",)
        entries = journal.entries(1)
        assert len(entries) == 33
        (damaged,) = [entry.what for entry in entries if isinstance(entry.what, Unread)]
        assert damaged.damaged
        assert "damaged" in damaged.why
        assert entry_words(damaged).startswith("Damaged, and not counted: an entry of the kind ")
        assert all(0 <= entry.at_s < AT_S * 2 for entry in entries)


def test_an_entry_of_another_cook_is_not_shown_as_one_of_this(folder: Path) -> None:
    fill(folder)
    with Journal.open(folder) as journal:
        journal.new_cook(CookOpened("Trout", "UTC"), AT_S, AT_S).result(10)
    spoil(folder, "UPDATE entry SET cook_id = 2 WHERE id = 11")
    with Journal.open(folder) as journal:
        strange, _ = journal.entries(2)
    assert isinstance(strange.what, Unread)


JOURNALS = Path(__file__).parents[1] / "data" / "journals"


@pytest.mark.parametrize("name", ["v1.sqlite", "v3.sqlite"])
def test_an_old_journal_is_guarded_from_when_it_was_brought_up_to_date(
    folder: Path, name: str
) -> None:
    folder.mkdir()
    shutil.copyfile(JOURNALS / name, folder / FILE_NAME)
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        count = "SELECT count(*) FROM reading JOIN channel ON id = channel_id WHERE key = 'pit'"
        (before,) = connection.execute(count).fetchone()
    with Journal.open(folder) as journal:
        at_s = journal.trace(1, "pit").at_s[-1]
        # The minute that was half full goes on.
        journal.append_readings(1, [Reading(at_s + 1, "pit", 1.0)]).result(10)
        assert len(journal.trace(1, "pit")) == before + 1
    assert not look(folder).said
    spoil(
        folder,
        "UPDATE reading SET value = value + 1 WHERE channel_id ="
        " (SELECT id FROM channel WHERE key = 'pit') AND t_ms ="
        f" {round(at_s * 1000)}",
    )
    (said,) = look(folder).said
    assert "readings of pit" in said


def test_a_copy_that_is_put_in_place_brings_back_what_was_damaged(folder: Path) -> None:
    fill(folder)
    with Journal.open(folder) as journal:
        before = journal.log(1)
        journal.back_up(AT_S + 2000)
    spoil(folder, f"UPDATE reading SET value = 2 WHERE {ONE}")
    assert look(folder).said
    Journal.restore(folder, Journal.copies(folder)[0], AT_S + 3000)
    found = look(folder)
    assert not found.said
    assert found.log is not None
    assert found.log.entries == before.entries
    np.testing.assert_array_equal(found.log.traces["pit"].value_c, before.traces["pit"].value_c)


def test_an_emergency_marks_what_is_damaged(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fill(folder)
    spoil(
        folder,
        f"UPDATE reading SET value = 2 WHERE {ONE}",
        "UPDATE entry SET payload = replace(payload, '7 knots', '9 knots') WHERE id = 11",
    )
    file = tmp_path / "cook.txt"
    assert main(["--journal", str(folder), "--emergency", str(file)]) == 0
    said = capsys.readouterr().err
    assert "1 entry of this cook is damaged, and marked." in said
    assert "pit: about 12 readings between 2026-05-28T20:36:00.000+00:00 and " in said
    assert "meat" not in said
    text = file.read_text("utf-8")
    assert "Damaged, and not counted: an entry of the kind note (as it stands now: {" in text
    salvaged = salvage_cook(folder)
    assert salvaged is not None
    assert len(salvaged.log.traces["pit"]) == 228
    assert len(salvaged.log.traces["meat"]) == 240


def test_the_command_line_says_what_it_leaves_out(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fill(folder)
    spoil(folder, f"UPDATE reading SET value = 2 WHERE {ONE}")
    assert main(["summary", "1", "--journal", str(folder)]) == 0
    said = capsys.readouterr()
    assert said.err.count("About 12 readings of pit") == 1
    assert "Ribs" in said.out
