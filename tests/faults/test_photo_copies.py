"""Copies of the journal keep the photos that they refer to, and give them back."""

from __future__ import annotations

import errno
import hashlib
import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from smokejournal.__main__ import main
from smokejournal.cook.log.entries import CookClosed, CookOpened, Photo, Strike
from smokejournal.journal import Journal, JournalProblem, photo_copies
from smokejournal.journal.copies import BACKUPS, DAY_S
from smokejournal.journal.photos import PHOTOS
from smokejournal.services.program.backup_keeper import EVERY_S, BackupKeeper
from smokejournal.services.program.program import Program
from tests.support.fakes import FixedClock

AT_S = 1_780_000_000.0


@pytest.fixture
def journal(folder: Path) -> Iterator[Journal]:
    with Journal.open(folder) as opened:
        opened.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
        yield opened


def add_photo(journal: Journal, tmp_path: Path, content: bytes) -> str:
    """Gives the name under which it is kept."""
    picture = tmp_path / "picture.jpg"
    picture.write_bytes(content)
    sha256, suffix = journal.keep_photo(picture)
    journal.append(1, Photo(sha256, suffix), AT_S, AT_S).result(10)
    return sha256 + suffix


def kept(folder: Path) -> dict[str, bytes]:
    place = folder / BACKUPS / PHOTOS
    return {path.name: path.read_bytes() for path in place.iterdir()} if place.exists() else {}


def no_links(*_: Any, **__: Any) -> Any:
    raise OSError(errno.EPERM, os.strerror(errno.EPERM))


@pytest.mark.parametrize("links", [True, False])
def test_a_copy_keeps_its_photos_once_for_all_and_takes_no_room_where_it_can(
    journal: Journal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    if not links:
        monkeypatch.setattr("os.link", no_links)
    assert kept(journal.folder) == {}
    journal.back_up(AT_S)
    assert kept(journal.folder) == {}
    first = add_photo(journal, tmp_path, b"ribs")
    said: list[JournalProblem | None] = []
    journal.back_up(AT_S + 1, lacks=said.append)
    assert kept(journal.folder) == {first: b"ribs"}
    own, second_name = journal.folder / PHOTOS / first, journal.folder / BACKUPS / PHOTOS / first
    assert own.samefile(second_name) == links
    assert second_name.stat().st_mode & 0o777 == 0o600
    # Struck photos too: a strike can be struck.
    struck = add_photo(journal, tmp_path, b"thumb")
    number = journal.entries(1)[-1].id
    journal.append(1, Strike(number), AT_S, AT_S).result(10)
    before = second_name.stat()
    journal.back_up(AT_S + 2, lacks=said.append)
    assert kept(journal.folder) == {first: b"ribs", struck: b"thumb"}
    assert second_name.stat().st_ino == before.st_ino
    assert said == [None, None]


def test_photos_go_with_the_last_copy_that_needs_them(journal: Journal, tmp_path: Path) -> None:
    name = add_photo(journal, tmp_path, b"ribs")
    journal.back_up(AT_S - 40 * DAY_S)
    place = journal.folder / BACKUPS / PHOTOS
    # Of a copy that is gone, and of no copy's.
    lonely = hashlib.sha256(b"lonely").hexdigest() + ".jpg"
    (place / lonely).write_bytes(b"lonely")
    (place / "holiday.jpg").write_bytes(b"sun")
    journal.back_up(AT_S)  # nothing is thinned out, so nothing is looked for
    assert kept(journal.folder).keys() == {name, lonely, "holiday.jpg"}
    journal.back_up(AT_S - 40 * DAY_S + 1)
    journal.back_up(AT_S + 1)
    assert kept(journal.folder).keys() == {name, "holiday.jpg"}
    # A copy that can't be read may need any of them.
    (place / lonely).write_bytes(b"lonely")
    copies = Journal.copies(journal.folder)
    copies[0].path.write_bytes(b"\xff" * 8192)
    journal.back_up(AT_S - 40 * DAY_S + 2)
    journal.back_up(AT_S + 2)
    assert len(Journal.copies(journal.folder)) <= len(copies) + 1
    assert kept(journal.folder).keys() == {name, lonely, "holiday.jpg"}


def test_restoring_puts_back_what_is_missing_or_spoilt_and_counts_what_can_not_be(
    journal: Journal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    monkeypatch.setattr("os.link", no_links)  # so that one can be spoilt without the other
    names = [add_photo(journal, tmp_path, b"photo %d" % n) for n in range(5)]
    journal.back_up(AT_S)
    journal.close()
    folder = journal.folder
    own, beside = folder / PHOTOS, folder / BACKUPS / PHOTOS
    (own / names[1]).unlink()
    (own / names[2]).write_bytes(b"spoilt")
    (own / names[3]).unlink()
    (beside / names[3]).write_bytes(b"spoilt too")
    (own / names[4]).write_bytes(b"spoilt")
    (beside / names[4]).unlink()
    (copy,) = Journal.copies(folder)
    photos = Journal.restore(folder, copy, AT_S).photos
    assert (photos.count, photos.back, photos.missing) == (5, 2, 2)
    assert photos.sentence() == ("Of the 5 photos in this copy, 2 were put back and 2 are missing.")
    assert [(own / name).read_bytes() for name in names[:3]] == [
        b"photo 0",
        b"photo 1",
        b"photo 2",
    ]
    assert not (own / names[3]).exists()
    assert (own / names[4]).read_bytes() == b"spoilt"  # better than nothing
    assert not list(own.glob("*.tmp"))
    assert main(["restore", "1", "--journal", str(folder)]) == 0
    assert "0 were put back and 2 are missing." in capsys.readouterr().out
    assert main(["restore", "1", "--journal", str(folder), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["photos_back"], told["photos_missing"]) == (0, 2)


def test_nothing_is_said_of_photos_that_are_all_there(
    journal: Journal, tmp_path: Path, capsys: Any
) -> None:
    add_photo(journal, tmp_path, b"ribs")
    journal.back_up(AT_S)
    journal.close()
    assert main(["restore", "1", "--journal", str(journal.folder)]) == 0
    assert "photos in this copy" not in capsys.readouterr().out


def full(*_: Any) -> Any:
    return type("Usage", (), {"free": photo_copies.ROOM_LEFT_BYTES})


@pytest.mark.parametrize(
    ("how", "words", "cure"),
    [
        ("gone", "1 of its photos could not be (No such file", "folder photos beside"),
        ("full", "2 of its photos could not be (No space", "Make room"),
        ("in the way", "its photos could not be (File exists", "can be used"),
    ],
)
def test_photos_that_can_not_be_copied_never_stop_the_copy_and_are_told_once(
    journal: Journal,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    how: str,
    words: str,
    cure: str,
) -> None:
    names = [add_photo(journal, tmp_path, content) for content in (b"ribs", b"trout")]
    clock = FixedClock(AT_S)
    program = Program(journal, clock)
    told: list[JournalProblem] = []
    keeper = BackupKeeper(program, lambda problem, _: told.append(problem))
    beside = journal.folder / BACKUPS / PHOTOS
    if how == "gone":
        (journal.folder / PHOTOS / names[0]).rename(tmp_path / "away.jpg")
    elif how == "full":
        monkeypatch.setattr("os.link", no_links)
        monkeypatch.setattr("smokejournal.journal.photo_copies.shutil.disk_usage", full)
        monkeypatch.setattr("smokejournal.journal.backups.ROOM_LEFT_BYTES", -(1 << 40))
    else:
        beside.parent.mkdir()
        beside.write_text("in the way")

    def close_cook() -> None:
        clock.forward(EVERY_S)
        program.live(1).record(CookClosed()).result(10)
        keeper.settle()

    try:
        close_cook()
        close_cook()
        assert len(Journal.copies(journal.folder)) == 2
        (problem,) = told
        assert words in problem.message
        assert cure in problem.cure
        assert "tried again with the next copy" in problem.cure
        # And once they can be copied that is done.
        if how == "gone":
            (tmp_path / "away.jpg").rename(journal.folder / PHOTOS / names[0])
        elif how == "full":
            monkeypatch.undo()
        else:
            beside.unlink()
        close_cook()
        assert kept(journal.folder).keys() == set(names)
        assert len(told) == 1
    finally:
        keeper.close()
        program.close()
