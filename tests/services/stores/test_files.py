"""Files are written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from smokejournal.services.stores.files import write_new, write_whole


def test_a_file_is_written_and_replaced(tmp_path: Path) -> None:
    path = tmp_path / ("ä" * 100 + ".ics")
    assert write_whole(b"first", path) == path
    write_whole(b"then", path)
    assert path.read_bytes() == b"then"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.skipif(os.name == "nt", reason="links ask for a right of their own there")
def test_what_a_link_points_to_is_replaced(tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    target, link = tmp_path / "there" / "a.txt", tmp_path / "a.txt"
    target.write_bytes(b"old")
    link.symlink_to(target)
    write_whole(b"new", link)
    assert link.is_symlink()
    assert target.read_bytes() == b"new"


def test_nothing_but_a_file_is_replaced(tmp_path: Path) -> None:
    folder = tmp_path / "a.txt"
    folder.mkdir()
    with pytest.raises(OSError):
        write_whole(b"new", folder)
    with pytest.raises(OSError):
        write_whole(b"new", tmp_path / "no" / "such.txt")
    assert list(tmp_path.iterdir()) == [folder]


def test_the_old_one_stays_where_the_new_one_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.txt"
    path.write_bytes(b"old")

    def full(_handle: int) -> None:
        raise OSError(28, "no space left")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="no space"):
        write_whole(b"new", path)
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_new_file_never_takes_the_place_of_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.txt"
    assert write_new(b"first", path) == path
    with pytest.raises(FileExistsError):
        write_new(b"then", path)
    assert path.read_bytes() == b"first"

    def full(_handle: int) -> None:
        raise OSError(28, "no space left")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="no space"):
        write_new(b"half", tmp_path / "b.txt")
    assert list(tmp_path.iterdir()) == [path]
