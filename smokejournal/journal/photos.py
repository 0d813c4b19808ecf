"""Photos, kept in the journal's folder under the hash of what is in them."""

from __future__ import annotations

import hashlib
import shutil
from pathlib import Path

from smokejournal.cook.text.translate import translate
from smokejournal.journal import problems
from smokejournal.journal.durable import put_in_place
from smokejournal.journal.private import make_file, make_folder
from smokejournal.journal.problems import JournalProblem

PHOTOS = "photos"
PHOTO_SUFFIXES = frozenset(
    {".jpg", ".jpeg", ".png", ".webp", ".gif", ".bmp", ".tif", ".tiff", ".heic"}
)


def photo_path(folder: Path, sha256: str, suffix: str) -> Path:
    """Where the photo with this hash is kept."""
    return folder / PHOTOS / f"{sha256}{suffix}"


def keep_photo(folder: Path, source: Path) -> tuple[str, str]:
    """Copies a picture into the journal's folder; gives its hash and the ending of its name.

    The same picture is kept once. JournalProblem where it can't be read or kept.
    """
    suffix = source.suffix.lower()
    if suffix not in PHOTO_SUFFIXES:
        raise JournalProblem(
            translate("Journal", "{name} is not a picture that can be kept.").format(
                name=source.name
            ),
            translate("Journal", "Choose a picture, for example a .jpg or .png file."),
            source,
        )
    try:
        with source.open("rb") as file:
            sha256 = hashlib.file_digest(file, "sha256").hexdigest()
        empty = source.stat().st_size == 0
    except OSError as problem:
        raise JournalProblem(
            translate("Journal", "The picture {path} can't be read ({detail}).").format(
                path=source, detail=problem.strerror or problem
            ),
            translate("Journal", "See that the file is there, then choose it again."),
            source,
        ) from problem
    if empty:
        raise JournalProblem(
            translate("Journal", "The picture {path} is empty.").format(path=source),
            translate("Journal", "Choose another picture."),
            source,
        )
    target = photo_path(folder, sha256, suffix)
    try:
        make_folder(target.parent)
        if not target.exists():
            unfinished = target.with_name(f"{target.name}.tmp")
            try:
                unfinished.unlink(missing_ok=True)
                make_file(unfinished)
                shutil.copyfile(source, unfinished)
                put_in_place(unfinished, target)
            finally:
                unfinished.unlink(missing_ok=True)
    except OSError as problem:
        raise problems.of_os(problem, target) from problem
    return sha256, suffix
