"""Trouble with the journal that a person can mend, and how."""

from __future__ import annotations

import errno
import sqlite3
from pathlib import Path
from typing import Literal

from sqlalchemy.exc import DBAPIError

from smokejournal.cook.text.quantities import date_time
from smokejournal.cook.text.translate import translate
from smokejournal.journal.sums import SpoiltReadings

#: What a person may be helped with further than by words.
ProblemKind = Literal["", "no room", "no permission", "damaged"]


class JournalProblem(Exception):
    """`message` says what is the matter, `cure` what to do; both are plain sentences."""

    def __init__(
        self, message: str, cure: str, path: Path | None = None, kind: ProblemKind = ""
    ) -> None:
        super().__init__(f"{message} {cure}")
        self.message = message
        self.cure = cure
        self.path = path
        self.kind = kind


def no_room(path: Path) -> JournalProblem:
    """The disk is full."""
    return JournalProblem(
        translate("Journal", "There is no room left on the disk, so this was not recorded."),
        translate("Journal", "Make room on the disk, then try again."),
        path,
        "no room",
    )


def no_permission(path: Path) -> JournalProblem:
    """The folder or a file in it can't be written."""
    return JournalProblem(
        translate("Journal", "{path} can't be written to.").format(path=path),
        translate(
            "Journal",
            "Give yourself permission to write there, or choose another folder for the journal.",
        ),
        path,
        "no permission",
    )


def link_to_nothing(path: Path) -> JournalProblem:
    """A link whose target is gone, as one to a disk that isn't connected."""
    return JournalProblem(
        translate("Journal", "{path} is a link to {target}, and nothing is there.").format(
            path=path, target=path.readlink()
        ),
        translate(
            "Journal",
            "Connect the disk or bring back the folder that it points to. If that is gone for good,"
            " remove the link. Then start again.",
        ),
        path,
    )


def no_journal(path: Path) -> JournalProblem:
    """Nothing has the name of the journal's file."""
    return JournalProblem(
        translate("Journal", "There is no journal in {folder}.").format(folder=path.parent),
        translate("Journal", "Start the program once to begin one, or name another folder."),
        path,
    )


def unreadable(path: Path, problem: OSError) -> JournalProblem:
    """The folder or a file in it can't be read."""
    return JournalProblem(
        translate("Journal", "{path} can't be read ({detail}).").format(
            path=path, detail=problem.strerror or problem
        ),
        translate("Journal", "Give yourself permission to read it, or name another folder."),
        path,
    )


def damaged(path: Path) -> JournalProblem:
    """The file is a journal, but not whole."""
    return JournalProblem(
        translate("Journal", "The journal {path} is damaged.").format(path=path),
        restoring(),
        path,
        "damaged",
    )


def restoring() -> str:
    """How to put a copy in the place of a file that can't be used."""
    return translate(
        "Journal",
        "Nothing in it was changed. 'smokejournal restore' lists the copies in the folder backups and"
        " puts one in its place. By hand: move journal.sqlite, and journal.sqlite-wal and"
        " journal.sqlite-shm if they are there, to a safe place. Then copy the newest file from the"
        " folder backups, or from your own backup, to the same place as journal.sqlite.",
    )


def readings_spoilt(path: Path, spoilt: SpoiltReadings, zone: str) -> JournalProblem:
    """Readings of a cook in `zone` that are left out, because they aren't as they were written."""
    text = translate(
        "Journal",
        "About {count} readings of {channel} between {start} and {end} are damaged and left out.",
    )
    if spoilt.count == 1:
        text = translate(
            "Journal",
            "About 1 reading of {channel} between {start} and {end} is damaged and left out.",
        )
    return JournalProblem(
        text.format(
            count=spoilt.count,
            channel=spoilt.channel,
            start=date_time(spoilt.from_s, zone),
            end=date_time(spoilt.to_s, zone),
        ),
        translate(
            "Journal",
            "The rest of the cook is as it was written. A copy of the journal may still hold them:"
            " Settings, Copies of the journal, or 'smokejournal restore'. The file that is in use now is"
            " then set aside with all that was written since the copy.",
        ),
        path,
        "damaged",
    )


def not_copied(folder: Path, trouble: JournalProblem | None, detail: str = "") -> JournalProblem:
    """No copy of the journal could be made, which holds nothing else up."""
    match trouble.kind if trouble is not None else "":
        case "no room":
            what = translate("Journal", "There is too little room on the disk to copy the journal.")
            cure = translate("Journal", "Make room on the disk.")
        case "no permission":
            what = translate(
                "Journal", "The journal can't be copied: {folder} can't be written to."
            )
            cure = translate("Journal", "Give yourself permission to write there.")
        case "damaged":
            what = translate("Journal", "The journal could not be copied because it is damaged.")
            cure = translate("Journal", "Put a copy in its place, under Settings.")
        case _:
            what = translate("Journal", "The journal could not be copied to {folder} ({detail}).")
            cure = translate("Journal", "See that this folder can be used.")
    return JournalProblem(
        what.format(folder=folder, detail=detail or (trouble.message if trouble else "")),
        translate("Journal", "{cure} Recording goes on, and copying is tried again later.").format(
            cure=cure
        ),
        folder,
    )


def disk_fault(path: Path, detail: str) -> JournalProblem:
    """The disk said no."""
    return JournalProblem(
        translate("Journal", "The disk did not take what was to be recorded ({detail}).").format(
            detail=detail
        ),
        translate("Journal", "Check that the disk is there and works, then try again."),
        path,
    )


def busy(path: Path) -> JournalProblem:
    """Another program holds the file."""
    return JournalProblem(
        translate("Journal", "Another program is holding the journal, so nothing was recorded."),
        translate("Journal", "Close the other program, then try again."),
        path,
    )


def closed(path: Path) -> JournalProblem:
    """The journal is shut."""
    return JournalProblem(
        translate("Journal", "The journal is closed."),
        translate("Journal", "Start the program again to go on."),
        path,
    )


def read_only(path: Path) -> JournalProblem:
    """A write to a journal that was opened for reading."""
    return JournalProblem(
        translate("Journal", "The journal was opened for reading only."),
        translate("Journal", "Record this in the program itself."),
        path,
    )


def of_sqlite(problem: BaseException, path: Path) -> JournalProblem | None:
    """The trouble that an error of the database means; None where it means a mistake of ours."""
    if isinstance(problem, DBAPIError) and problem.orig is not None:
        problem = problem.orig
    if not isinstance(problem, sqlite3.Error):
        return None
    code = getattr(problem, "sqlite_errorcode", None)
    # The low byte is the kind of error, the rest tells its variety (sqlite.org/rescode.html).
    match None if code is None else code & 0xFF:
        case sqlite3.SQLITE_FULL:
            return no_room(path)
        case sqlite3.SQLITE_IOERR:
            return disk_fault(path, str(problem))
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            return busy(path)
        case sqlite3.SQLITE_CORRUPT | sqlite3.SQLITE_NOTADB:
            return damaged(path)
        case sqlite3.SQLITE_READONLY | sqlite3.SQLITE_PERM | sqlite3.SQLITE_CANTOPEN:
            return no_permission(path)
    # Text that is no UTF-8 has no code of its own: the bytes in the file were spoilt.
    if "Could not decode to UTF-8" in str(problem):
        return damaged(path)
    return None


def of_os(problem: OSError, path: Path) -> JournalProblem:
    """The trouble that an error of the operating system means."""
    match problem.errno:
        case errno.ENOSPC | errno.EDQUOT:
            return no_room(path)
        case errno.EACCES | errno.EPERM | errno.EROFS:
            return no_permission(path)
        case errno.ENOTDIR | errno.EEXIST:
            return JournalProblem(
                translate("Journal", "{path} is a file where a folder is needed.").format(
                    path=path
                ),
                translate("Journal", "Move that file away, or choose another folder."),
                path,
            )
    return disk_fault(path, problem.strerror or str(problem))
