"""A copy put in place of the journal: after a look inside, and with what was there set aside."""

from __future__ import annotations

import json
import os
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from smokejournal.__main__ import main
from smokejournal.cook.log.entries import CookOpened
from smokejournal.journal import CopyContents, Journal, JournalCopy, JournalProblem
from smokejournal.journal.opening import FILE_NAME

AT_S = 1_780_000_000.0


def titles(folder: Path) -> list[str]:
    with Journal.open(folder) as journal:
        return [line.title for line in journal.cooks()]


@pytest.fixture
def copy(folder: Path) -> JournalCopy:
    """The only one, with ribs in it; the journal has trout as well."""
    with Journal.open(folder) as journal:
        journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
        journal.back_up(AT_S + 60)
        journal.new_cook(CookOpened("Trout", "UTC"), AT_S + 120, AT_S + 120).result(10)
        (found,) = Journal.copies(folder)
        return found


def spoil(path: Path) -> None:
    with path.open("r+b") as file:
        file.seek(5 * 4096)
        file.write(b"\xff" * 3 * 4096)


def test_a_copy_is_put_in_place_and_what_was_there_is_kept(folder: Path, copy: JournalCopy) -> None:
    before = (folder / FILE_NAME).read_bytes()
    assert Journal.look_into(copy) == CopyContents(1, "Ribs", AT_S)
    aside = Journal.restore(folder, copy, AT_S + 200).aside
    assert aside is not None
    assert aside.read_bytes() == before
    assert titles(folder) == ["Ribs"]
    assert copy.path.exists()
    # And the other way round, twice in the same second.
    second = Journal.restore(folder, copy, AT_S + 200).aside
    assert second not in (None, aside)


def test_a_journal_that_is_damaged_or_gone_is_restored_too(folder: Path, copy: JournalCopy) -> None:
    spoil(folder / FILE_NAME)
    (folder / f"{FILE_NAME}-wal").write_bytes(b"its log")
    damaged = (folder / FILE_NAME).read_bytes()
    aside = Journal.restore(folder, copy, AT_S).aside
    assert aside is not None
    assert aside.read_bytes() == damaged
    assert aside.with_name(f"{aside.name}-wal").read_bytes() == b"its log"
    assert titles(folder) == ["Ribs"]
    (folder / FILE_NAME).unlink()
    assert Journal.restore(folder, copy, AT_S).aside is None
    assert titles(folder) == ["Ribs"]


def test_an_open_journal_and_a_damaged_copy_are_refused(folder: Path, copy: JournalCopy) -> None:
    with Journal.open(folder), pytest.raises(JournalProblem, match="already open"):
        Journal.restore(folder, copy, AT_S)
    spoil(copy.path)
    with pytest.raises(JournalProblem, match="damaged"):
        Journal.restore(folder, copy, AT_S)
    copy.path.write_bytes(b"Dear diary")
    with pytest.raises(JournalProblem, match="not a journal"):
        Journal.look_into(copy)
    assert titles(folder) == ["Trout", "Ribs"]


class PowerCut(BaseException):
    """The machine stops here: nothing that was to follow happens."""


@pytest.mark.parametrize("step", range(1, 8))
def test_after_a_power_cut_at_any_step_one_of_the_two_is_there_whole(
    folder: Path, copy: JournalCopy, monkeypatch: pytest.MonkeyPatch, step: int
) -> None:
    with closing(sqlite3.connect(folder / FILE_NAME)) as open_still:
        # What was written last stands in the log alone, as after a crash.
        open_still.execute("PRAGMA wal_autocheckpoint=0")
        open_still.execute("INSERT INTO setting VALUES ('last', '1')")
        open_still.commit()
        log = (folder / f"{FILE_NAME}-wal").read_bytes()
        main_file = (folder / FILE_NAME).read_bytes()
    (folder / FILE_NAME).write_bytes(main_file)
    (folder / f"{FILE_NAME}-wal").write_bytes(log)
    done = 0

    def counted(real: Any) -> Any:
        def work(*arguments: Any, **named: Any) -> Any:
            nonlocal done
            done += 1
            if done == step:
                raise PowerCut
            return real(*arguments, **named)

        return work

    with monkeypatch.context() as patch:
        for name in ("rename", "replace"):
            patch.setattr(f"pathlib.Path.{name}", counted(getattr(Path, name)))
        patch.setattr("os.replace", counted(os.replace))
        patch.setattr("os.fsync", counted(os.fsync))
        try:
            Journal.restore(folder, copy, AT_S)
        except PowerCut:
            assert done == step
        else:
            assert done < step
    with Journal.open(folder) as journal:
        found = [line.title for line in journal.cooks()]
        if found == ["Trout", "Ribs"]:
            assert journal.setting("last") == 1
        else:
            assert found == ["Ribs"]
            (aside,) = folder.glob("journal-set-aside-*.sqlite")
            assert aside.read_bytes() == main_file
            assert aside.with_name(f"{aside.name}-wal").read_bytes() == log
    assert list(folder.glob("*.tmp")) == []
    assert copy.path.exists()


def test_restoring_without_a_screen(
    folder: Path, copy: JournalCopy, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["restore", "--journal", str(folder)]) == 0
    listed, hint = capsys.readouterr().out.splitlines()
    assert listed.split()[0] == "1"
    assert "1 cook, the newest: Ribs" in listed
    assert "restore NUMBER" in hint
    assert main(["restore", "--journal", str(folder), "--json"]) == 0
    (told,) = json.loads(capsys.readouterr().out)
    assert (told["cooks"], told["newest_title"], told["at_s"]) == (1, "Ribs", AT_S + 60)
    for wrong in ("0", "2", "last"):
        assert main(["restore", wrong, "--journal", str(folder)]) == 3
        assert f"no copy {wrong}" in capsys.readouterr().err
    spoil(folder / FILE_NAME)
    assert main(["cooks", "--journal", str(folder)]) == 2
    assert "smokejournal restore" in capsys.readouterr().err
    assert main(["restore", "1", "--journal", str(folder)]) == 0
    said = capsys.readouterr().out
    assert "is in place" in said
    assert "is kept as" in said
    assert titles(folder) == ["Ribs"]
    with Journal.open(folder):
        assert main(["restore", "1", "--journal", str(folder)]) == 2
        assert "already open" in capsys.readouterr().err
    spoil(copy.path)
    assert main(["restore", "--journal", str(folder)]) == 0
    assert "damaged" in capsys.readouterr().out


def test_no_copies_are_said_to_be_none(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Journal.open(folder).close()
    assert main(["restore", "--journal", str(folder)]) == 0
    assert "no copy of the journal" in capsys.readouterr().out
    assert main(["restore", "1", "--journal", str(folder / "none")]) == 3
