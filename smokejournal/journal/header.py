"""What kind of file this is, read off its header before any database code may touch it."""

from __future__ import annotations

import sqlite3
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
SCHEMA = Version(1, 2)


def check_file(path: Path) -> None:
    """JournalProblem where `path` is no journal. Reads the first 100 bytes and nothing else."""
    if path.is_dir():
        raise JournalProblem(
            translate("Journal", "{path} is a folder where the journal's file should be.").format(
                path=path
            ),
            translate("Journal", "Move that folder away, or choose another journal."),
            path,
        )
    try:
        with path.open("rb") as file:
            header = file.read(100)
    except OSError as problem:
        raise problems.of_os(problem, path) from problem
    # Bytes 68 to 71 are right from the file's birth: it gets its name only when it is complete.
    mine = header[68:72] == APPLICATION_ID.to_bytes(4, "big")
    if header[:16] == MAGIC and mine and len(header) == 100:
        return
    if mine:
        raise problems.damaged(path)
    if not header:
        what = translate("Journal", "{path} is empty: it holds no journal.")
    elif header[:16] == MAGIC:
        what = translate("Journal", "{path} is a database of another program, not a journal.")
    else:
        what = translate("Journal", "{path} is not a journal, or its beginning is damaged.")
    raise JournalProblem(what.format(path=path), problems.restoring(), path)


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
