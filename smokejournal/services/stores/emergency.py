"""A cook as plain text out of a journal that isn't opened for it."""

from __future__ import annotations

import errno
import os
import stat
from dataclasses import dataclass
from pathlib import Path

from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.summary.whole_text import whole_text
from smokejournal.cook.text.translate import translate
from smokejournal.journal import salvage_cook


@dataclass(frozen=True, slots=True)
class CookWritten:
    """The cook that was written, and sentences that say what is or may be missing of it."""

    cook_id: int
    title: str
    missing: tuple[str, ...]


def write_cook(folder: Path, path: Path, cook_id: int | None = None) -> CookWritten | None:
    """Writes a cook of the journal in `folder` to the file `path`: the newest under way, or else the
    newest, or the one with the number `cook_id`.

    None where there is no such cook. JournalProblem where nothing can be read. OSError where the file
    can't be written: it must be new or empty.
    """
    found = salvage_cook(folder, cook_id)
    if found is None:
        return None
    missing = (*found.notes, *found.lost)
    _write_new(whole_text(found.log, missing=missing).encode("utf-8", "replace"), path, folder)
    return CookWritten(found.log.cook_id, plan_of(found.log).title, missing)


def _write_new(content: bytes, path: Path, journal: Path) -> None:
    was_there = path.exists()
    # Files of the journal may be empty while it is open.
    if was_there and path.resolve().parent == journal.resolve():
        raise _taken(path)
    with os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT, 0o666), "r+b") as file:
        found = os.fstat(file.fileno())
        if not stat.S_ISREG(found.st_mode) or found.st_size:
            raise _taken(path)
        try:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        except OSError:
            # Half a cook would look like a whole one.
            os.ftruncate(file.fileno(), 0)
            if not was_there:
                path.unlink(missing_ok=True)
            raise


def _taken(path: Path) -> FileExistsError:
    return FileExistsError(
        errno.EEXIST, translate("Emergency", "something is there already"), str(path)
    )
