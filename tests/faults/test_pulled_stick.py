"""Photos on a stick that is pulled: what is kept stays, what isn't is said, and the cook goes on."""

from __future__ import annotations

import hashlib
import shutil
import sys
from pathlib import Path

import pytest
from PySide6.QtGui import QColor, QImage

from smokejournal.__main__ import main
from smokejournal.cook.log.entries import CookOpened, Note, Photo
from smokejournal.journal import Journal, JournalProblem

pytestmark = pytest.mark.usefixtures("qapp")


def a_png(path: Path) -> Path:
    image = QImage(40, 30, QImage.Format.Format_RGB32)
    image.fill(QColor("firebrick"))
    assert image.save(str(path))
    return path


@pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="needs a file that fails on reading"
)
def test_a_stick_that_goes_while_it_is_read(tmp_path: Path) -> None:
    """Reading the memory of a process at address 0 is a real I/O error, as a stick gives one."""
    stick = tmp_path / "bark.png"
    stick.symlink_to("/proc/self/mem")
    with Journal.open(tmp_path / "journal") as journal:
        cook = journal.new_cook(CookOpened("Ribs", "UTC"), 1000.0, 1000.0).result()
        with pytest.raises(JournalProblem, match="can't be read") as told:
            journal.keep_photo(stick)
        assert told.value.cure
        kept = journal.folder / "photos"
        assert not kept.exists() or list(kept.iterdir()) == []
        # And the cook goes on.
        journal.append(cook, Note("still here"), 1001.0, 1001.0).result()
        assert [e.what for e in journal.entries(cook)][-1] == Note("still here")


@pytest.mark.parametrize("made", ["pdf", "html", "markdown"])
def test_a_cook_whose_photos_are_gone_is_still_written(
    tmp_path: Path, made: str, capfd: pytest.CaptureFixture[str]
) -> None:
    picture = a_png(tmp_path / "bark.png")
    with Journal.open(tmp_path / "journal") as journal:
        cook = journal.new_cook(CookOpened("Ribs", "UTC"), 1000.0, 1000.0).result()
        sha256, suffix = journal.keep_photo(picture)
        assert sha256 == hashlib.sha256(picture.read_bytes()).hexdigest()
        journal.append(cook, Photo(sha256, suffix, "the bark"), 1001.0, 1001.0).result()
    shutil.rmtree(tmp_path / "journal" / "photos")
    file = tmp_path / f"cook.{made}"
    code = main(["summary", "1", "--journal", str(tmp_path / "journal"), f"--{made}", str(file)])
    told = capfd.readouterr()
    assert code == 0, told.err
    assert file.stat().st_size > 500
    if made == "html":  # the only one of them that shows photos
        assert "the bark: the picture can't be read" in file.read_text("utf-8").replace(
            "&#39;", "'"
        )
    with Journal.open(tmp_path / "journal") as journal:
        assert any(isinstance(e.what, Photo) for e in journal.entries(1))
