"""Copies of the journal, and photos."""

import hashlib
from pathlib import Path

import pytest

from smokejournal.cook.log.entries import CookOpened, Note
from smokejournal.journal import Journal, JournalProblem, backups, photos
from smokejournal.journal.header import SCHEMA
from smokejournal.journal.opening import FILE_NAME

AT_S = 1_780_000_000.0


def no_space(*args: object) -> None:
    raise OSError(28, "No space left on device")


def test_a_copy_holds_everything_up_to_now_and_opens_as_a_journal(
    journal: Journal, tmp_path: Path
) -> None:
    cook = journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
    note = journal.append(cook, Note("kept"), AT_S, AT_S)
    first, second = journal.back_up(AT_S), journal.back_up(AT_S)
    assert note.done()
    assert first != second
    assert sorted(path.name for path in first.parent.iterdir()) == sorted([first.name, second.name])
    restored = tmp_path / "restored"
    restored.mkdir()
    (restored / FILE_NAME).write_bytes(first.read_bytes())
    with Journal.open(restored) as again:
        assert again.entries(cook) == journal.entries(cook)


def test_a_copy_that_is_cut_short_is_not_left_behind(
    journal: Journal, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backups, "put_in_place", no_space)
    with pytest.raises(JournalProblem, match="too little room"):
        journal.back_up(AT_S)
    assert list((journal.folder / "backups").iterdir()) == []


def test_a_damaged_journal_is_not_copied_as_if_it_were_sound(folder: Path) -> None:
    with Journal.open(folder) as journal:
        cook = journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
        journal.append_many(cook, [(AT_S, Note("n" * 500))] * 100, AT_S).result(10)
    path = folder / FILE_NAME
    with path.open("r+b") as file:
        file.seek(path.stat().st_size - 8 * 4096)
        file.write(b"\xff" * 4096 * 8)
    with pytest.raises(JournalProblem, match="damaged"):
        backups.back_up(path, SCHEMA, AT_S)
    assert list((folder / "backups").iterdir()) == []


def test_a_photo_is_kept_once_under_its_hash(journal: Journal, tmp_path: Path) -> None:
    content = b"\xff\xd8\xff picture of a bark"
    for name in ("one.JPG", "same.jpg"):
        (tmp_path / name).write_bytes(content)
        sha256, suffix = journal.keep_photo(tmp_path / name)
        assert (sha256, suffix) == (hashlib.sha256(content).hexdigest(), ".jpg")
    path = journal.photo_path(sha256, suffix)
    assert path.read_bytes() == content
    assert list(path.parent.iterdir()) == [path]


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("notes.txt", b"text", "not a picture"),
        ("none", b"x", "not a picture"),
        ("empty.png", b"", "empty"),
        ("missing.png", None, "can't be read"),
    ],
)
def test_what_is_no_photo_is_refused(
    journal: Journal, tmp_path: Path, name: str, content: bytes | None, words: str
) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    with pytest.raises(JournalProblem, match=words):
        journal.keep_photo(tmp_path / name)
    assert not (journal.folder / "photos").exists()


def test_a_photo_that_finds_no_room_leaves_nothing_behind(
    journal: Journal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "one.png").write_bytes(b"picture")
    monkeypatch.setattr(photos, "put_in_place", no_space)
    with pytest.raises(JournalProblem, match="no room left"):
        journal.keep_photo(tmp_path / "one.png")
    assert list((journal.folder / "photos").iterdir()) == []
