"""The photos that copies of the journal refer to: kept beside the copies, once for all of them."""

from __future__ import annotations

import errno
import hashlib
import logging
import os
import re
import shutil
import sqlite3
import threading
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from smokejournal.cook.log.entries import Photo
from smokejournal.cook.text.translate import translate
from smokejournal.journal.connections import uri_of
from smokejournal.journal.copies import BACKUPS, ROOM_LEFT_BYTES, copies_in
from smokejournal.journal.durable import put_in_place
from smokejournal.journal.entry_table import payload_of_bytes
from smokejournal.journal.photos import PHOTOS, photo_path
from smokejournal.journal.private import make_file, make_folder
from smokejournal.journal.problems import JournalProblem

_NAME = re.compile(r"[0-9a-f]{64}\.[a-z0-9]{1,8}")

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class PhotosBack:
    """Of the photos that a copy refers to: how many there are, how many were put back, and how many
    are neither in the journal's folder nor among the copies as they were."""

    count: int = 0
    back: int = 0
    missing: int = 0

    def sentence(self) -> str:
        """In words; "" where all were there."""
        if not self.back and not self.missing:
            return ""
        return translate(
            "Journal",
            "Of the {count} photos in this copy, {back} were put back and {missing} are missing.",
        ).format(count=self.count, back=self.back, missing=self.missing)


def keep_photos(
    folder: Path, copy: Path, stop: threading.Event | None = None
) -> JournalProblem | None:
    """Keeps the photos that a `copy` of the journal in `folder` refers to beside it, where they aren't.

    What can't be kept holds nothing up: it is said in what is given, None where all are kept. Ends
    early once `stop` is set.
    """
    kept = copy.parent / PHOTOS
    try:
        wanted = sorted(_photos_of(copy))
        if not wanted:
            return None
        make_folder(kept)
        there = {each.name for each in kept.iterdir()}
    except sqlite3.Error as problem:
        return _not_kept(str(problem))
    except OSError as problem:
        return _not_kept(problem)
    failed: list[OSError] = []
    for sha256, suffix in wanted:
        source = photo_path(folder, sha256, suffix)
        if stop is not None and stop.is_set():
            return None
        if source.name not in there:
            try:
                _give(source, kept / source.name)
            except OSError as problem:
                failed.append(problem)
    return _not_kept(failed[0], len(failed)) if failed else None


def _not_kept(why: OSError | str, count: int | None = None) -> JournalProblem:
    detail = why if isinstance(why, str) else why.strerror or str(why)
    if count is None:
        text = translate(
            "Journal", "The journal was copied, but its photos could not be ({detail})."
        )
    elif count == 1:
        text = translate(
            "Journal", "The journal was copied, but 1 of its photos could not be ({detail})."
        )
    else:
        text = translate(
            "Journal", "The journal was copied, but {count} of its photos could not be ({detail})."
        )
    match None if isinstance(why, str) else why.errno:
        case errno.ENOSPC | errno.EDQUOT:
            cure = translate("Journal", "Make room on the disk.")
        case errno.ENOENT:
            cure = translate(
                "Journal", "See that the folder photos beside the journal holds all that it held."
            )
        case _:
            cure = translate(
                "Journal", "See that the folders photos and backups beside the journal can be used."
            )
    return JournalProblem(
        text.format(count=count, detail=detail),
        translate("Journal", "{cure} They are tried again with the next copy.").format(cure=cure),
    )


def prune_photos(folder: Path) -> None:
    """Removes the photos that no copy of the journal in `folder` refers to any more; none where one of
    the copies can't be read. OSError where one can't be removed."""
    kept = folder / BACKUPS / PHOTOS
    if not kept.is_dir():
        return
    try:
        wanted = {
            f"{sha256}{suffix}"
            for copy in copies_in(folder)
            for sha256, suffix in _photos_of(copy.path)
        }
    except sqlite3.Error as problem:
        _log.warning("Photos of old copies stay, as a copy can't be read: %s", problem)
        return
    for each in kept.iterdir():
        if _NAME.fullmatch(each.name) and each.name not in wanted:
            each.unlink()


def put_photos_back(folder: Path, copy: Path) -> PhotosBack:
    """Puts the photos that a `copy` refers to back into the journal's `folder`, where they aren't as
    they were. Their hash says so, and slowly. What can't be put back is counted."""
    try:
        wanted = _photos_of(copy)
    except sqlite3.Error as problem:
        _log.warning("The photos of the copy can't be told: %s", problem)
        return PhotosBack()
    back = missing = 0
    for sha256, suffix in wanted:
        target = photo_path(folder, sha256, suffix)
        source = copy.parent / PHOTOS / target.name
        try:
            if _is(target, sha256):
                continue
            if not _is(source, sha256):
                missing += 1
                continue
            make_folder(target.parent)
            _give(source, target)
            back += 1
        except OSError as problem:
            _log.warning("The photo %s could not be put back: %s", target.name, problem)
            missing += 1
    return PhotosBack(len(wanted), back, missing)


def _photos_of(copy: Path) -> set[tuple[str, str]]:
    """Hash and ending of every photo that a copy refers to, by struck entries too: a strike can be
    struck."""
    uri = f"{uri_of(copy, read_only=True)}&immutable=1"
    with closing(sqlite3.connect(uri, uri=True)) as connection:
        rows = connection.execute(
            "SELECT CAST(kind AS BLOB), CAST(payload AS BLOB), version FROM entry WHERE kind = ?",
            (Photo.kind,),
        )
        said = [payload_of_bytes(*row) for row in rows]
    return {(what.sha256, what.suffix) for what in said if isinstance(what, Photo)}


def _is(path: Path, sha256: str) -> bool:
    if not path.is_file():
        return False
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest() == sha256


def _give(source: Path, target: Path) -> None:
    """The file `source` under another name as well, or a copy of it. It is never changed, so one may
    stand for both."""
    if not source.is_file():
        raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), str(source))
    unfinished = target.with_name(f"{target.name}.tmp")
    unfinished.unlink(missing_ok=True)
    try:
        try:
            os.link(source.resolve(), unfinished)  # what a link points to, not the link
        except (OSError, NotImplementedError):  # another disk, or one that knows no second names
            free = shutil.disk_usage(target.parent).free
            if free < source.stat().st_size + ROOM_LEFT_BYTES:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(target)) from None
            make_file(unfinished)
            shutil.copyfile(source, unfinished)
        put_in_place(unfinished, target)
    finally:
        unfinished.unlink(missing_ok=True)
