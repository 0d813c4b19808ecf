"""What kind of file this is, read off its header before any database code may touch it."""

from __future__ import annotations

import sqlite3
import stat
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from smokejournal.cook.text.translate import translate
from smokejournal.journal import problems
from smokejournal.journal.problems import JournalProblem

MAGIC = b"SQLite format 3\0"
#: "SmkJ" in the header marks a file as a journal of this program (sqlite.org/fileformat.html, 1.3.17).
APPLICATION_ID = 0x536D6B4A


class Version(NamedTuple):
    """Version of the schema, kept in the header's user_version.

    A greater minor number only adds what older versions may leave alone; a greater major one changes
    what is there, so older versions must not touch the file.
    """

    major: int
    minor: int

    @classmethod
    def unpacked(cls, user_version: int) -> Version:
        """The version that a user_version holds."""
        return cls(user_version >> 16, user_version & 0xFFFF)

    @property
    def packed(self) -> int:
        """As a user_version."""
        return self.major << 16 | self.minor

    def __str__(self) -> str:
        return f"{self.major}.{self.minor}"


#: The schema that this version of the program writes.
SCHEMA = Version(2, 1)


def is_there(path: Path) -> bool:
    """Whether anything has this name, be it a link to nothing. OSError where that can't be told."""
    try:
        path.lstat()
    except (FileNotFoundError, NotADirectoryError):
        return False
    return True


def check_links(folder: Path) -> None:
    """JournalProblem where `folder`, or one above it, is a link to nothing."""
    for each in (folder, *folder.parents):
        if each.is_symlink() and not each.exists():
            raise problems.link_to_nothing(each)


def check_kind(path: Path) -> None:
    """JournalProblem where `path` is no plain file nor a link to one. Opens nothing: a pipe would
    wait for ever for somebody to write to it."""
    if path.is_symlink() and not path.exists():
        raise problems.link_to_nothing(path)
    try:
        mode = path.stat().st_mode
    except OSError as problem:
        raise problems.of_os(problem, path) from problem
    if stat.S_ISREG(mode):
        return
    if stat.S_ISDIR(mode):
        what = translate("Journal", "{path} is a folder where a file of the journal should be.")
        cure = translate("Journal", "Move that folder away, or choose another journal.")
    else:
        what = (
            translate("Journal", "{path} is a pipe where a file of the journal should be.")
            if stat.S_ISFIFO(mode)
            else translate("Journal", "{path} is a device or socket, not a file of the journal.")
        )
        cure = translate("Journal", "Move it away, or choose another journal, and start again.")
    raise JournalProblem(what.format(path=path), cure, path)


def check_file(path: Path) -> None:
    """JournalProblem where `path` is no journal. Reads the first 100 bytes and nothing else."""
    check_kind(path)
    try:
        with path.open("rb") as file:
            header = file.read(100)
    except PermissionError as problem:
        raise problems.unreadable(path, problem) from problem
    except OSError as problem:
        raise problems.of_os(problem, path) from problem
    # Bytes 68 to 71 are right from the file's birth: it gets its name only when it is complete.
    mine = header[68:72] == APPLICATION_ID.to_bytes(4, "big")
    if header[:16] == MAGIC and mine and len(header) == 100:
        return
    if mine:
        raise problems.damaged(path)
    if not header:
        what = translate("Journal", "{path} is empty: there is no journal in it.")
    elif header[:16] == MAGIC:
        what = translate("Journal", "{path} is a database of another program, not a journal.")
    else:
        what = translate("Journal", "{path} is not a journal, or its beginning is damaged.")
    raise JournalProblem(what.format(path=path), problems.restoring(), path, "damaged")


def version_of(path: Path, uri: str) -> Version:
    """The version of the schema in the journal `path`, which must have passed `check_file`.

    Read through the database, since the newest header may still be in the write-ahead log.
    JournalProblem where the schema is newer than this program or no schema of ours.
    """
    try:
        with closing(sqlite3.connect(uri, uri=True)) as connection:
            connection.execute("PRAGMA trusted_schema=OFF")
            packed = connection.execute("PRAGMA user_version").fetchone()[0]
    except sqlite3.Error as problem:
        raise problems.of_sqlite(problem, path) or problems.damaged(path) from problem
    version = Version.unpacked(packed)
    if version.major < 1:
        raise problems.damaged(path)
    if version.major > SCHEMA.major:
        raise JournalProblem(
            translate(
                "Journal",
                "The journal {path} was written by a newer version of this program"
                " (its form is {version}, this version knows {known}).",
            ).format(path=path, version=version, known=SCHEMA),
            translate(
                "Journal",
                "Nothing in it was changed. Install the newest version and open it there.",
            ),
            path,
        )
    return version
