"""Putting a copy in the place of the journal, after a look inside; what was there is set aside."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from smokejournal.journal import problems
from smokejournal.journal.connections import uri_of
from smokejournal.journal.durable import put_in_place, sync_folder
from smokejournal.journal.header import check_file, is_there, version_of
from smokejournal.journal.photo_copies import PhotosBack, put_photos_back
from smokejournal.journal.private import make_file

_ENDINGS = ("", "-wal", "-shm")
_WHOLE = "journal-restoring-{stamp}.tmp"
_ASIDE = "journal-set-aside-{stamp}.sqlite"


@dataclass(frozen=True, slots=True)
class CopyContents:
    """What is in a copy: how many cooks, and the newest one's title and day (UTC seconds)."""

    cooks: int
    newest_title: str = ""
    newest_s: float | None = None


@dataclass(frozen=True, slots=True)
class Restored:
    """A copy that is in place: where the file that was there is kept now (None where there was none),
    and its photos."""

    aside: Path | None
    photos: PhotosBack


def look_into(copy: Path) -> CopyContents:
    """What is in the copy, which isn't touched. JournalProblem where it can't be used. May be slow."""
    check_file(copy)
    uri = f"{uri_of(copy, read_only=True)}&immutable=1"
    version_of(copy, uri)
    try:
        with closing(sqlite3.connect(uri, uri=True)) as connection:
            connection.text_factory = lambda raw: raw.decode("utf-8", "replace")
            if connection.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
                raise problems.damaged(copy)
            (cooks,) = connection.execute("SELECT count(*) FROM cook").fetchone()
            newest = connection.execute(
                "SELECT title, sort_ms FROM cook_line ORDER BY sort_ms DESC, cook_id DESC LIMIT 1"
            ).fetchone()
    except sqlite3.Error as problem:
        raise problems.of_sqlite(problem, copy) or problems.damaged(copy) from problem
    if newest is None:
        return CopyContents(cooks)
    title, sort_ms = newest
    return CopyContents(cooks, str(title), sort_ms / 1000)


def put_copy_in_place(path: Path, copy: Path, now_s: float) -> Restored:
    """Puts a copy in the place of the journal at `path`, for which the caller holds the lock, and back
    what is missing of its photos.

    JournalProblem where it can't be done: up to the last step everything stays as it was (but photos
    that are back, which change nothing), and a start after a power cut finishes that step (`finish`).
    """
    look_into(copy)
    try:
        stamp = _free_stamp(path.parent, now_s)
        whole = path.with_name(_WHOLE.format(stamp=stamp))
        part = whole.with_suffix(".part")
        part.unlink(missing_ok=True)
        try:
            make_file(part)
            shutil.copyfile(copy, part)
            put_in_place(part, whole)
        finally:
            part.unlink(missing_ok=True)
        photos = put_photos_back(path.parent, copy)
        return Restored(_replace(path, whole, stamp), photos)
    except OSError as problem:
        raise problems.of_os(problem, path.parent) from problem


def finish(path: Path) -> None:
    """Ends what a power cut left of `put_copy_in_place`. The caller holds the lock."""
    before, after = _WHOLE.split("{stamp}")
    for part in path.parent.glob(f"{before}*.part"):
        part.unlink()
    for whole in sorted(path.parent.glob(f"{before}*{after}")):
        if is_there(path):
            whole.unlink()  # the journal was not set aside yet: it stays, and so does the copy
        else:
            _replace(path, whole, whole.name.removeprefix(before).removesuffix(after))


def _free_stamp(folder: Path, now_s: float) -> str:
    first = stamp = datetime.fromtimestamp(now_s, UTC).strftime("%Y-%m-%d-%H%M%S")
    number = 1
    while is_there(folder / _ASIDE.format(stamp=stamp)):
        number += 1
        stamp = f"{first}-{number}"
    return stamp


def _replace(path: Path, whole: Path, stamp: str) -> Path | None:
    aside = path.with_name(_ASIDE.format(stamp=stamp))
    # The file first: while it is gone, a start knows that its log must follow it.
    for ending in _ENDINGS:
        part = path.with_name(path.name + ending)
        if is_there(part):
            part.rename(aside.with_name(aside.name + ending))
    sync_folder(path.parent)
    whole.replace(path)
    sync_folder(path.parent)
    return aside if is_there(aside) else None
