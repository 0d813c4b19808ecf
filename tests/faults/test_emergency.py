"""A cook can be had as plain text whatever state the journal is in, and nothing of it is touched."""

from __future__ import annotations

import errno
import os
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from smokejournal.__main__ import main
from smokejournal.cook.log.entries import (
    CookClosed,
    CookOpened,
    ItemAdded,
    Note,
    Payload,
    ScheduleSet,
    ScheduleStarted,
)
from smokejournal.cook.log.readings import Reading
from smokejournal.cook.log.schedule import Schedule, Stage, UntilTemperature
from smokejournal.journal import Journal, salvage_cook
from smokejournal.journal.opening import FILE_NAME
from tests.faults.test_start import start

AT_S = 1_780_000_000.0
#: Readings of each of the two channels, two seconds apart.
COUNT = 8_000
PAGE = 4096


def add(journal: Journal, title: str, at_s: float, *said: Payload) -> int:
    cook = journal.new_cook(CookOpened(title, "UTC"), at_s, at_s).result(10)
    journal.append_many(cook, [(at_s + 1 + n, what) for n, what in enumerate(said)], at_s).result(
        10
    )
    return cook


def fill(folder: Path) -> None:
    """Ribs under way with readings and many notes; a newer cook, finished; the newest, planned."""
    with Journal.open(folder) as journal:
        ribs = add(
            journal,
            "Ribs",
            AT_S,
            ItemAdded("spare ribs", mass_kg=1.5),
            ScheduleSet(Schedule("", (Stage("s1", "Smoke", (UntilTemperature(93.0),)),))),
            ScheduleStarted(),
            *(Note(f"note {n} " + "n" * 300) for n in range(200)),
        )
        for channel in ("pit", "meat"):
            journal.append_readings(
                ribs, [Reading(AT_S + 2 * n, channel, 20.0 + n / 1000) for n in range(COUNT)]
            ).result(30)
        add(journal, "Trout", AT_S + 900, ScheduleStarted(), CookClosed())
        add(journal, "Duck", AT_S + 1800)


def write(folder: Path, file: Path, *more: str) -> int:
    return main(["--journal", str(folder), "--emergency", str(file), *more])


def state(folder: Path) -> dict[str, bytes]:
    return {
        path.name: path.read_bytes() for path in sorted(folder.iterdir()) if "-shm" not in path.name
    }


def readings_in(text: str) -> list[tuple[str, str, float]]:
    lines = text.split("time,channel,value_c\n")[1].split("\n\n")[0].splitlines()
    return [(t, c, float(v)) for t, c, v in (line.split(",") for line in lines)]


def test_a_closed_journal_gives_the_cook_under_way_and_stays_as_it_is(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fill(folder)
    before = state(folder)
    file = tmp_path / "cook.txt"
    assert write(folder, file) == 0
    said = capsys.readouterr()
    assert "cook 1, Ribs" in said.out
    assert "no write-ahead log" in said.err
    assert state(folder) == before
    assert sorted(path.name for path in folder.iterdir()) == sorted(before)
    text = file.read_text("utf-8")
    lines = text.splitlines()
    assert lines[0] == "Ribs"
    assert "spare ribs, 1.5 kg" in text
    assert "Stage Smoke: until the lead probe is at 93 °C" in lines
    assert "2026-05-28T20:26:43.000+00:00  Begun" in lines
    assert sum("note " in line for line in lines) == 200
    found = readings_in(text)
    assert len(found) == 2 * COUNT
    assert found[0] == ("2026-05-28T20:26:40.000+00:00", "meat", 20.0)
    assert "can't be read" not in text
    assert "If it was not, the newest minutes may be missing." in lines[-1]


def test_another_cook_may_be_asked_for(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fill(folder)
    assert write(folder, tmp_path / "two.txt", "--cook", "2") == 0
    assert (tmp_path / "two.txt").read_text("utf-8").startswith("Trout\n")
    assert write(folder, tmp_path / "nine.txt", "--cook", "9") == 3
    assert "no such cook" in capsys.readouterr().err
    assert write(folder, tmp_path / "x.txt", "--cook", "x") == 3
    assert not (tmp_path / "nine.txt").exists()
    with Journal.open(folder) as journal:
        journal.append(1, CookClosed(), AT_S + 5000, AT_S + 5000).result(10)
    assert write(folder, tmp_path / "newest.txt") == 0
    assert (tmp_path / "newest.txt").read_text("utf-8").startswith("Duck\n")


def test_it_is_written_while_the_program_runs_and_holds_what_was_just_said(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fill(folder)
    with Journal.open(folder) as journal:
        journal.append(1, Note("just now"), AT_S + 9000, AT_S + 9000).result(10)
        before = state(folder)
        assert before[f"{FILE_NAME}-wal"]
        assert write(folder, tmp_path / "cook.txt") == 0
        assert state(folder) == before
        assert capsys.readouterr().err == ""
        assert "  just now\n" in (tmp_path / "cook.txt").read_text("utf-8")
        journal.append(1, Note("and on"), AT_S + 9001, AT_S + 9001).result(10)


def leave_log_behind(folder: Path) -> dict[str, bytes]:
    """As after a crash: what was said last stands in the log alone. Gives the files."""
    with Journal.open(folder) as journal:
        journal.append(1, Note("just now"), AT_S + 9000, AT_S + 9000).result(10)
        files = state(folder)
    for name, content in files.items():
        (folder / name).write_bytes(content)
    return files


def test_the_log_is_read_where_nothing_can_be_made_beside_it(
    folder: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """As on a disk that can only be read, where the index of the log can't be made."""
    fill(folder)
    files = leave_log_behind(folder)
    there = sqlite3.connect

    def connect(where: str, **more: Any) -> sqlite3.Connection:
        if str(folder) in str(where) and "immutable" not in where:
            raise sqlite3.OperationalError("unable to open database file")
        return there(where, **more)

    monkeypatch.setattr("sqlite3.connect", connect)
    assert write(folder, tmp_path / "cook.txt") == 0
    assert "just now" in (tmp_path / "cook.txt").read_text("utf-8")
    assert capsys.readouterr().err == ""
    assert state(folder) == files


def test_a_log_that_can_not_be_opened_is_left_out_and_that_is_said(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fill(folder)
    files = leave_log_behind(folder)
    (folder / f"{FILE_NAME}-wal").unlink()
    (folder / f"{FILE_NAME}-wal").mkdir()
    assert write(folder, tmp_path / "cook.txt") == 0
    text = (tmp_path / "cook.txt").read_text("utf-8")
    assert "just now" not in text
    assert "could not be used" in text.splitlines()[-1]
    assert "the newest minutes may be missing" in text.splitlines()[-1]
    assert "the newest minutes may be missing" in capsys.readouterr().err
    assert (folder / FILE_NAME).read_bytes() == files[FILE_NAME]


def change(folder: Path, *statements: str) -> None:
    """Past all that guards the tables."""
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        connection.execute("DROP TRIGGER entry_no_update")
        for statement in statements:
            connection.execute(statement)
        connection.commit()
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def test_a_newer_journal_is_read_and_what_is_not_understood_stands_as_it_was_written(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fill(folder)
    change(
        folder,
        f"PRAGMA user_version={9 << 16}",
        "ALTER TABLE entry DROP COLUMN recorded_ms",
        "UPDATE entry SET kind = 'levitated', payload = '{\"height_m\":2}' WHERE id = 10",
        "UPDATE entry SET version = 9 WHERE id = 11",
        "UPDATE entry SET payload = CAST(x'7bff7d' AS TEXT) WHERE id = 12",
    )
    assert main(["cooks", "--journal", str(folder)]) == 2
    assert write(folder, tmp_path / "cook.txt") == 0
    text = (tmp_path / "cook.txt").read_text("utf-8")
    assert 'Not understood by this version: levitated (as it was written: {"height_m": 2})' in text
    assert 'Not understood by this version: note (as it was written: {"text":"note ' in text
    assert "Not understood by this version: note (as it was written: {\ufffd})" in text
    assert len(readings_in(text)) == 2 * COUNT


def pages_of(folder: Path, name: str, leaf: int) -> list[int]:
    """The leaf pages of a table, each by where it lies in the file."""
    content = (folder / FILE_NAME).read_bytes()
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection:
        (root,) = connection.execute(
            "SELECT rootpage FROM sqlite_schema WHERE name = ?", (name,)
        ).fetchone()

    def walk(page: int) -> list[int]:
        at = (page - 1) * PAGE
        if content[at] == leaf:
            return [at]
        cells = int.from_bytes(content[at + 3 : at + 5], "big")
        found: list[int] = []
        for n in range(cells):
            cell = at + int.from_bytes(content[at + 12 + 2 * n : at + 14 + 2 * n], "big")
            found += walk(int.from_bytes(content[cell : cell + 4], "big"))
        return found + walk(int.from_bytes(content[at + 8 : at + 12], "big"))

    return walk(root)


def spoil(folder: Path, *places: int) -> None:
    with (folder / FILE_NAME).open("r+b") as file:
        for place in places:
            file.seek(place)
            file.write(b"\xff" * PAGE)


def test_damaged_pages_cost_what_stood_on_them_and_that_is_counted(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fill(folder)
    # The kinds of pages: sqlite.org/fileformat.html, 1.6; 13 a leaf of a table, 10 of an index,
    # which a table without rowid is.
    entries, readings = pages_of(folder, "entry", 13), pages_of(folder, "reading", 10)
    assert len(entries) > 12
    assert len(readings) > 30
    spoil(folder, entries[4], entries[9], readings[5], readings[11], readings[len(readings) - 8])
    assert write(folder, tmp_path / "cook.txt") == 0
    text = (tmp_path / "cook.txt").read_text("utf-8")
    lines = text.splitlines()
    assert lines[0] == "Ribs"
    assert "What is or may be missing is said at the end." in lines
    notes = sum("note " in line for line in lines if "can't" not in line)
    lost = 200 - notes
    assert 10 < lost < 40
    assert f"{lost} entries of this cook can't be read." in lines
    found = readings_in(text)
    gone = 2 * COUNT - len(found)
    assert 300 < gone < 2000
    said = [line for line in lines if "readings between" in line]
    assert len(said) == 3
    # A page may begin or end with a row that stood between pages.
    assert sum(int(line.split("about ")[1].split()[0]) for line in said) == pytest.approx(
        gone, abs=3
    )
    assert {line.split(":")[0] for line in said} == {"pit", "meat"}
    err = capsys.readouterr().err
    assert all(line in err for line in said)
    assert f"{lost} entries" in err


def test_any_page_but_those_that_list_the_tables_may_be_spoilt(
    folder: Path, tmp_path: Path
) -> None:
    """A cook comes out, with what is missing said."""
    with Journal.open(folder) as journal:
        cook = add(journal, "Ribs", AT_S, ScheduleStarted(), *(Note("n" * 900) for _ in range(20)))
        journal.append_readings(
            cook, [Reading(AT_S + n, "pit", 20.0 + n) for n in range(1500)]
        ).result(10)
    path = folder / FILE_NAME
    whole = path.read_bytes()
    written = 0
    # Page 1 is the root of the table that says where all others begin: without it there is no way in.
    assert whole[100] == 5
    cells = [int.from_bytes(whole[112 + 2 * n : 114 + 2 * n], "big") for n in range(whole[104])]
    lists = [int.from_bytes(whole[cell : cell + 4], "big") for cell in cells]
    lists.append(int.from_bytes(whole[108:112], "big"))
    for at in range(PAGE, len(whole), PAGE):
        if at // PAGE + 1 in lists:
            continue
        path.write_bytes(whole[:at] + b"\xff" * PAGE + whole[at + PAGE :])
        found = salvage_cook(folder)
        assert found is not None, at // PAGE
        complete = len(found.log.entries) == 22 and len(found.log.traces.get("pit", ())) == 1500
        assert complete or found.lost, at // PAGE
        written += len(found.log.entries) > 10
        assert path.read_bytes()[at : at + PAGE] == b"\xff" * PAGE
    assert written > len(whole) // PAGE - 6
    path.write_bytes(b"\xff" * PAGE + whole[PAGE:])
    assert write(folder, tmp_path / "cook.txt") == 2
    assert not (tmp_path / "cook.txt").exists()


def test_the_cook_under_way_is_found_where_the_page_that_says_so_is_spoilt(
    folder: Path, tmp_path: Path
) -> None:
    fill(folder)
    spoil(folder, pages_of(folder, "entry", 13)[0])
    assert write(folder, tmp_path / "cook.txt") == 0
    text = (tmp_path / "cook.txt").read_text("utf-8")
    assert "  Begun\n" not in text
    assert text.startswith("Cook 1\n")
    assert len(readings_in(text)) == 2 * COUNT


def test_rows_that_are_gone_without_a_trace_are_not_passed_over_in_silence(
    folder: Path, tmp_path: Path
) -> None:
    fill(folder)
    leaf = pages_of(folder, "reading", 10)[5]
    with (folder / FILE_NAME).open("r+b") as file:
        file.seek(leaf + 3)  # how many cells the page holds
        file.write((7).to_bytes(2, "big"))
    assert write(folder, tmp_path / "cook.txt") == 0
    text = (tmp_path / "cook.txt").read_text("utf-8")
    assert len(readings_in(text)) < 2 * COUNT
    assert "what it doesn't show any more can't be counted" in text.splitlines()[-1]


def test_names_of_tables_that_are_no_text_are_damage(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fill(folder)
    path = folder / FILE_NAME
    content = path.read_bytes()
    path.write_bytes(content.replace(b"CREATE TABLE", b"CREATE \xc7\xc7BLE"))
    assert write(folder, tmp_path / "cook.txt") == 2
    assert "is damaged" in capsys.readouterr().err


def test_a_file_that_holds_something_is_never_written_over(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fill(folder)
    file = tmp_path / "cook.txt"
    file.write_text("Dear diary")
    assert write(folder, file) == 3
    assert "Name a new file" in capsys.readouterr().err
    assert file.read_text() == "Dear diary"
    file.write_text("")
    assert write(folder, file) == 0
    assert file.read_text("utf-8").startswith("Ribs")
    assert write(folder, tmp_path) == 3
    assert write(folder, tmp_path / "none" / "cook.txt") == 3
    (folder / f"{FILE_NAME}-wal").touch()
    assert write(folder, folder / f"{FILE_NAME}-wal") == 3
    assert (folder / f"{FILE_NAME}-wal").read_bytes() == b""


def test_a_full_disk_leaves_no_half_cook(
    folder: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    fill(folder)

    def full(_: int) -> Any:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("os.fsync", full)
    assert write(folder, tmp_path / "cook.txt") == 3
    assert "a disk with room" in capsys.readouterr().err
    assert not (tmp_path / "cook.txt").exists()


def test_no_journal_and_no_cook_are_said(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert write(folder, tmp_path / "cook.txt") == 2
    assert "There is no journal" in capsys.readouterr().err
    Journal.open(folder).close()
    assert write(folder, tmp_path / "cook.txt") == 3
    assert "No cook is in this journal" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        main(["--emergency", str(tmp_path / "cook.txt"), "cooks"])
    with pytest.raises(SystemExit):
        main(["--cook", "1", "cooks"])


#: Presses the button that writes the newest cook, once, and says where it is to go.
WRITE_NEWEST = """
from PySide6.QtWidgets import QFileDialog
QFileDialog.getSaveFileName = lambda *_, **__: (sys.argv[1] + ".txt", "")
presses = 0
def pressed(box):
    global presses
    answered(box)
    for button in box.buttons():
        if "as text" in button.text() and not presses:
            presses += 1
            button.click()
QMessageBox.exec = pressed
"""


def test_the_dialog_of_a_journal_that_does_not_open_offers_to_write_the_cook(
    folder: Path, tmp_path: Path
) -> None:
    fill(folder)
    change(folder, f"PRAGMA user_version={9 << 16}")
    ran = start(folder, tmp_path, WRITE_NEWEST)
    assert "written by a newer version" in ran.stdout
    assert f"“Ribs” is written to {folder}.txt." in ran.stdout, ran.stderr
    # And the question what to do with the journal is put once more.
    assert ran.stdout.count("written by a newer version") == 2
    assert Path(f"{folder}.txt").read_text("utf-8").startswith("Ribs\n")
