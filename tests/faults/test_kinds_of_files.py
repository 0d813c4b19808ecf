"""What stands in the place of the journal's file is looked at before it is opened."""

import os
import socket
import stat
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from smokejournal.cook.log.entries import CookOpened
from smokejournal.journal import Journal, JournalProblem
from smokejournal.journal.lock import LOCK_NAME
from smokejournal.journal.opening import FILE_NAME

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="pipes and modes are of POSIX")


def a_pipe(path: Path) -> None:
    os.mkfifo(path)


def a_folder(path: Path) -> None:
    path.mkdir()


def a_link_to_nothing(path: Path) -> None:
    path.symlink_to(path.parent / "unplugged" / "journal.sqlite")


def a_link_to_itself(path: Path) -> None:
    path.symlink_to(path)


def a_socket(path: Path) -> None:
    # A socket's address has 100 characters at most, and tests live in long ones.
    here = Path.cwd()
    os.chdir(path.parent)
    try:
        with socket.socket(socket.AF_UNIX) as one:
            one.bind(path.name)
    finally:
        os.chdir(here)


KINDS: list[tuple[Callable[[Path], None], str]] = [
    (a_pipe, "is a pipe"),
    (a_folder, "is a folder"),
    (a_link_to_nothing, "and nothing is there"),
    (a_link_to_itself, "and nothing is there"),
    (a_socket, "is a device or socket"),
]


@pytest.mark.timeout(20)
@pytest.mark.parametrize("name", [FILE_NAME, LOCK_NAME])
@pytest.mark.parametrize(("make", "words"), KINDS, ids=lambda each: getattr(each, "__name__", ""))
def test_each_kind_of_file_has_its_sentence(
    folder: Path, make: Callable[[Path], None], words: str, name: str
) -> None:
    folder.mkdir()
    make(folder / name)
    kind = stat.S_IFMT((folder / name).lstat().st_mode)
    with pytest.raises(JournalProblem) as told:
        Journal.open(folder)
    assert words in told.value.message
    assert name in told.value.message
    assert told.value.cure
    assert stat.S_IFMT((folder / name).lstat().st_mode) == kind
    if name == FILE_NAME:
        with pytest.raises(JournalProblem, match=words):
            Journal.open(folder, read_only=True)


@pytest.mark.parametrize("below", ["", "cooks"])
@pytest.mark.parametrize("read_only", [False, True])
def test_a_folder_that_is_a_link_to_nothing_is_told(
    tmp_path: Path, below: str, read_only: bool
) -> None:
    (tmp_path / "link").symlink_to(tmp_path / "unplugged")
    with pytest.raises(JournalProblem, match=r"is a link to .*unplugged, and nothing is there"):
        Journal.open(tmp_path / "link" / below, read_only=read_only)


def test_a_link_to_a_journal_is_a_journal(folder: Path, tmp_path: Path) -> None:
    with Journal.open(folder) as journal:
        journal.new_cook(CookOpened("Ribs", "UTC"), 1e9, 1e9).result(10)
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / FILE_NAME).symlink_to(folder / FILE_NAME)
    with Journal.open(tmp_path / "other") as journal:
        assert [line.title for line in journal.cooks()] == ["Ribs"]


@pytest.fixture(params=[0o000, 0o022, 0o277], ids=oct)
def umask(request: pytest.FixtureRequest) -> Iterator[int]:
    before = os.umask(request.param)
    yield request.param
    os.umask(before)


def test_a_new_journal_is_its_owners_alone_whatever_the_umask(
    folder: Path, tmp_path: Path, umask: int
) -> None:
    picture = tmp_path / "ribs.jpg"
    picture.write_bytes(b"smoke ring")
    with Journal.open(folder) as journal:
        journal.new_cook(CookOpened("Ribs", "UTC"), 1e9, 1e9).result(10)
        journal.keep_photo(picture)
        journal.back_up(1e9)
        found = {path: stat.S_IMODE(path.stat().st_mode) for path in (folder, *folder.rglob("*"))}
    folders = {path for path in found if path.is_dir()}
    assert {path.name for path in folders} == {"journal", "photos", "backups"}
    assert {found[path] for path in folders} == {0o700}
    assert f"{FILE_NAME}-wal" in {path.name for path in found}
    assert {
        path.name: mode for path, mode in found.items() if path not in folders and mode != 0o600
    } == {}


def test_permissions_that_a_person_gave_are_left(folder: Path) -> None:
    folder.mkdir()
    folder.chmod(0o750)
    Journal.open(folder).close()
    (folder / FILE_NAME).chmod(0o640)
    Journal.open(folder).close()
    assert stat.S_IMODE(folder.stat().st_mode) == 0o750
    assert stat.S_IMODE((folder / FILE_NAME).stat().st_mode) == 0o640
