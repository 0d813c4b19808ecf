"""What is no archive, or no whole one, is refused with one message and before anything is written."""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from smokejournal.cook.log.entries import CookOpened, Note, Photo, Strike
from smokejournal.cook.log.readings import Reading
from smokejournal.journal import Journal
from smokejournal.services.archive import limits
from smokejournal.services.archive.form import ArchiveProblem
from smokejournal.services.archive.reading import open_archive
from smokejournal.services.archive.writing import write_archive

T0 = 1_780_000_000.0


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    """An archive of a journal with a cook, readings and a photo."""
    with Journal.open(tmp_path / "journal") as journal:
        cook_id = journal.new_cook(CookOpened("Shoulder", "UTC"), T0, T0).result()
        note = journal.append(cook_id, Note("said"), T0, T0).result()
        journal.append(cook_id, Strike(note.id), T0, T0).result()
        journal.append_readings(
            cook_id, [Reading(T0 + n, "meat", 20.0 + n) for n in range(50)]
        ).result()
        (tmp_path / "a.jpg").write_bytes(b"a picture")
        sha256, suffix = journal.keep_photo(tmp_path / "a.jpg")
        journal.append(cook_id, Photo(sha256, suffix), T0, T0).result()
        write_archive(journal, tmp_path / "a.zip", T0)
    return tmp_path / "a.zip"


def refused(path: Path) -> str:
    """What is said of an archive that is refused; nothing but the message is left of it."""
    beside = sorted(path.parent.rglob("*"))
    with pytest.raises(ArchiveProblem) as told, open_archive(path):
        pass
    assert sorted(path.parent.rglob("*")) == beside
    assert told.value.cure
    return told.value.message


Files = dict[str, bytes]


def changed(path: Path, change: Callable[[Files], Any], *, sums: bool = True) -> Path:
    """The archive with other files in it; their sums are brought along."""
    with zipfile.ZipFile(path) as zipped:
        files = {name: zipped.read(name) for name in zipped.namelist()}
    change(files)
    if sums and "manifest.json" in files:
        manifest = json.loads(files["manifest.json"])
        manifest["members"] = {
            name: hashlib.sha256(content).hexdigest()
            for name, content in files.items()
            if name != "manifest.json"
        }
        files["manifest.json"] = json.dumps(manifest).encode()
    with zipfile.ZipFile(path, "w") as zipped:
        for name, content in files.items():
            zipped.writestr(name, content)
    return path


def edit(name: str, change: Callable[[Any], Any]) -> Callable[[Files], None]:
    def work(files: Files) -> None:
        data = json.loads(files[name])
        change(data)
        files[name] = json.dumps(data).encode()

    return work


def test_the_archive_itself_is_taken(archive: Path) -> None:
    with open_archive(changed(archive, lambda files: None)) as opened:
        assert opened.manifest.holds.photos == 1


def test_every_cut_is_refused(archive: Path, tmp_path: Path) -> None:
    whole = archive.read_bytes()
    for end in [4, 100, len(whole) // 2, len(whole) - 1]:
        archive.write_bytes(whole[:end])
        assert "its end is missing" in refused(archive)


def test_every_flipped_byte_is_refused_or_changes_nothing(archive: Path) -> None:
    whole = archive.read_bytes()
    with open_archive(archive) as opened:
        held = [opened.cook(cook).entries for cook in opened.manifest.cooks]
    kept = 0
    for at in range(0, len(whole), 7):
        archive.write_bytes(whole[:at] + bytes([whole[at] ^ 0x55]) + whole[at + 1 :])
        try:
            with open_archive(archive) as opened:
                assert [opened.cook(c).entries for c in opened.manifest.cooks] == held
                kept += 1
        except ArchiveProblem:
            continue
    # Dates and rights of the files in a zip mean nothing here.
    assert kept < len(whole) / 7 / 2


@pytest.mark.parametrize("content", [b"", b"no zip", b"\x89PNG" + bytes(5000)])
def test_another_file_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "x.zip").write_bytes(content)
    assert "no archive of cooks" in refused(tmp_path / "x.zip")


def test_another_zip_is_refused(archive: Path) -> None:
    assert "no archive of cooks" in refused(
        changed(archive, lambda files: files.pop("manifest.json"))
    )
    with zipfile.ZipFile(archive, "w") as zipped:
        zipped.writestr("manifest.json", '{"format": "another program"}')
    assert "no archive of cooks" in refused(archive)


def test_a_newer_version_is_refused(archive: Path) -> None:
    newer = edit("manifest.json", lambda data: data.update(version=2, more="x"))
    assert "newer version" in refused(changed(archive, newer))


@pytest.mark.parametrize(
    "name",
    ["../x.json", "cooks/../../x.csv", "/etc/x", "..\\x.json", "C:x.json", "photos/../../x.jpg"],
)
def test_a_path_that_leads_out_is_refused(archive: Path, name: str) -> None:
    message = refused(changed(archive, lambda files: files.update({name: b"x"})))
    assert "outside" in message
    assert name in message


def test_what_packs_too_well_is_refused(archive: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(archive, "a", zipfile.ZIP_DEFLATED) as zipped:
        zipped.writestr("cooks/9.json", bytes(50_000_000))
    assert archive.stat().st_size < 200_000
    assert "larger than any journal" in refused(archive)


def test_too_many_and_too_large_files_are_refused(
    archive: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("MOST_MEMBERS", "LARGEST_BYTES", "LARGEST_WHOLE_BYTES"):
        with monkeypatch.context() as patch:
            patch.setattr(limits, name, 3)
            assert "larger than any journal" in refused(archive)


def _strike_nothing(data: Any) -> None:
    data["entries"][2]["data"]["entry_id"] = 77


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda files: files.update({"cooks/1/9.csv": b"t_ms,value_c\n"}), "cooks/1/9.csv"),
        (lambda files: files.update({"script.exe": b"x"}), "isn't part of an archive"),
        (lambda files: files.pop("cooks/1/1.csv"), "cooks/1/1.csv"),
        (lambda files: files.update({"cooks/1/1.csv": b"t_ms,value_c\n5,nan\n"}), "no readings"),
        (lambda files: files.update({"cooks/1/1.csv": b"t_ms,value_c\n5,1.0\n4,1.0\n"}), "times"),
        (lambda files: files.update({"cooks/1/1.csv": b"t_ms,value_c\n5,1.00\n"}), "no readings"),
        (lambda files: files.update({"cooks/1.json": b"[" * 100_000}), "cooks/1.json"),
        (lambda files: files.update({"cooks/1.json": b'{"opened_ms": NaN}'}), "NaN"),
        (lambda files: files.update({"settings.json": b"[]"}), "settings.json"),
        (lambda files: files.update({f"photos/{'0' * 64}.jpg": b"other"}), "photos/000"),
        (edit("cooks/1.json", _strike_nothing), "strikes an entry"),
        (edit("cooks/1.json", lambda d: d["entries"][1].update(id=1)), "not in their order"),
        (edit("cooks/1.json", lambda d: d["entries"][1].update(at_ms=-1)), "1970"),
        (edit("cooks/1.json", lambda d: d["entries"][1].update(at_ms="1")), "whole number"),
        (edit("cooks/1.json", lambda d: d["entries"][1].update(text="x")), "data or text"),
        (edit("cooks/1.json", lambda d: d["entries"].clear()), "no entries"),
        (edit("cooks/1.json", lambda d: d["entries"][1]["data"].update(text="else")), "cooks/1"),
        (edit("manifest.json", lambda d: d.update(cooks="x")), "manifest.json"),
        (edit("manifest.json", lambda d: d.update(version=0)), "manifest.json"),
    ],
)
def test_what_does_not_hold_together_is_refused(
    archive: Path, change: Callable[[Files], Any], said: str
) -> None:
    message = refused(changed(archive, change))
    assert "damaged" in message
    assert said in message


def test_a_file_that_is_not_as_the_manifest_says_is_refused(archive: Path) -> None:
    message = refused(
        changed(archive, lambda files: files.update({"README.txt": b"other"}), sums=False)
    )
    assert "README.txt isn't as it was written" in message


def test_a_file_that_is_there_stays_when_writing_fails(
    archive: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = archive.read_bytes()
    with Journal.open(tmp_path / "journal", read_only=True) as journal:
        with pytest.raises(FileExistsError):
            write_archive(journal, archive, T0, new=True)
        monkeypatch.setattr("smokejournal.services.archive.writing.LARGEST_BYTES", 3)
        with pytest.raises(ArchiveProblem, match="too large"):
            write_archive(journal, archive, T0)
    assert archive.read_bytes() == before
    assert not list(tmp_path.glob(".*"))


def test_what_packs_very_well_can_be_read_back(tmp_path: Path) -> None:
    with Journal.open(tmp_path / "journal") as journal:
        cook_id = journal.new_cook(CookOpened("Long", "UTC"), T0, T0).result()
        for _ in range(15):
            journal.append(cook_id, Note("a" * 90_000), T0, T0).result()
        write_archive(journal, tmp_path / "a.zip", T0)
    with open_archive(tmp_path / "a.zip") as opened:
        assert len(opened.manifest.cooks) == 1
