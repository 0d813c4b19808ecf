"""Whether the journal's file is still the one that was opened, and what to do where it isn't."""

from __future__ import annotations

import logging
import sqlite3
import threading
from contextlib import closing
from pathlib import Path

from smokejournal.journal.connections import uri_of
from smokejournal.journal.copies import BACKUPS, free_name
from smokejournal.journal.durable import put_in_place
from smokejournal.journal.photo_copies import keep_photos
from smokejournal.journal.private import make_file, make_folder

_log = logging.getLogger(__name__)


class OwnFile:
    """The file at `path` as it is now. A tool that removes, renames or replaces it while it is open
    goes unnoticed by SQLite, and everything written since is gone with the last connection."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._self = _identity(path)
        self._copy: Path | None = None
        # Opened now: later the path may lead elsewhere. SQLite opens the log with the first question.
        self._door = sqlite3.connect(
            uri_of(path, read_only=False), uri=True, check_same_thread=False
        )
        self._door.execute("PRAGMA query_only=ON")
        self._door.execute("SELECT count(*) FROM sqlite_master").fetchone()
        self._saving = threading.Lock()

    def close(self) -> None:
        """Let the file go."""
        self._door.close()

    def gone(self) -> bool:
        """True where the path leads to nothing, or to another file. Quick."""
        try:
            return _identity(self._path) != self._self
        except FileNotFoundError:
            return True
        except OSError:
            return False  # a disk that can't be asked is trouble of another kind

    def save(self, at_s: float) -> Path:
        """Copy what the file that was opened holds now. The copy lies among the copies of the journal,
        and a later one takes its place; gives its path. Slow, from any thread.

        OSError or sqlite3.Error where it can't be made.
        """
        with self._saving:
            folder = self._path.parent / BACKUPS
            make_folder(folder.parent, parents=True)
            make_folder(folder)
            target = self._copy if self._copy is not None else free_name(folder, at_s)
            unfinished = target.with_suffix(".tmp")
            unfinished.unlink(missing_ok=True)
            try:
                make_file(unfinished)
                with closing(sqlite3.connect(unfinished)) as copy:
                    self._door.backup(copy)
                    copy.execute("PRAGMA journal_mode=DELETE")
                put_in_place(unfinished, target)
            finally:
                unfinished.unlink(missing_ok=True)
            self._copy = target
            if (trouble := keep_photos(folder.parent, target)) is not None:
                _log.warning("%s", trouble)
            return target


def _identity(path: Path) -> tuple[int, int]:
    found = path.stat()
    return found.st_dev, found.st_ino
