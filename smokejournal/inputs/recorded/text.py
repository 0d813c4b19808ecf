"""The lines of a file as text: in which encoding, how long, and where it is no table at all."""

from __future__ import annotations

import codecs
import csv
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from smokejournal.cook.text.translate import translate

#: No cook comes near either: one reading a second makes so many lines in 46 days.
LARGEST_BYTES: Final = 200_000_000
MOST_LINES: Final = 4_000_000
#: A line that fills so many bytes is no row of readings.
LONGEST_LINE: Final = 1 << 20
#: What loggers write where there is no reading.
MISSING: Final = frozenset({"", "nan", "na", "n/a", "null", "none", "-", "--", "---", "----"})

_CHUNK: Final = 1 << 20
#: How files begin that are no text, and are met under the name of a table.
_NO_TEXT: Final = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0", b"%PDF", b"SQLite format 3", b"\x1f\x8b")


class TableTrouble(Exception):
    """The table can't be read at all. The message says why, for people."""


def encoding_of(path: Path) -> str:
    """The encoding of a file, by its mark or by what its bytes can be. Reads all of it once.

    TableTrouble where it can't be read, is too large or is no text.
    """
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise TableTrouble(
                translate(
                    "Recorded",
                    "{name} is larger than {most} MB, too large for one cook. Keep the rows of one "
                    "cook, or one row for every few seconds.",
                ).format(name=path.name, most=LARGEST_BYTES // 1_000_000)
            )
        with path.open("rb") as file:
            begin = file.read(_CHUNK)
            encoding = _by_looks(begin, path)
            if encoding != "utf-8":
                return encoding
            decoder = codecs.getincrementaldecoder("utf-8")()
            chunk = begin
            try:
                while chunk:
                    if b"\0" in chunk:
                        raise _no_text(path)
                    decoder.decode(chunk)
                    chunk = file.read(_CHUNK)
                decoder.decode(b"", final=True)
            except UnicodeDecodeError:
                return "cp1252"
    except OSError as trouble:
        raise _unreadable(path, trouble) from trouble
    return "utf-8"


def _by_looks(begin: bytes, path: Path) -> str:
    if not begin.strip():
        raise TableTrouble(
            translate("Recorded", "{name} is empty. Choose another file.").format(name=path.name)
        )
    if begin.startswith(_NO_TEXT):
        raise _no_text(path)
    if begin.startswith(codecs.BOM_UTF8):
        return "utf-8-sig"
    if begin.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    start = begin[:4000]
    # Digits and delimiters in UTF-16 have a zero byte behind or before them.
    if start[1::2].count(0) * 4 > len(start):
        return "utf-16-le"
    if start[0::2].count(0) * 4 > len(start):
        return "utf-16-be"
    return "utf-8"


def _no_text(path: Path) -> TableTrouble:
    return TableTrouble(
        translate(
            "Recorded",
            "{name} is no text. Open it in the program that made it, save the table as CSV, and "
            "choose that file.",
        ).format(name=path.name)
    )


def _unreadable(path: Path, trouble: OSError) -> TableTrouble:
    return TableTrouble(
        translate("Recorded", "{name} can't be read: {why}.").format(
            name=path.name, why=trouble.strerror or trouble
        )
    )


def lines_of(path: Path, encoding: str) -> Iterator[str]:
    """Its lines without their ends, whichever these are. TableTrouble where there are too many, where
    one is too long, or where the file can't be read to its end."""
    try:
        with path.open(encoding=encoding, errors="replace", newline=None) as file:
            number = 0
            # With a limit: a file without a single line end must not become one text.
            while line := file.readline(LONGEST_LINE):
                number += 1
                if len(line) >= LONGEST_LINE:
                    raise TableTrouble(
                        translate(
                            "Recorded",
                            "Line {line} is too long for a row of readings. Save the table as CSV, "
                            "one row to a line.",
                        ).format(line=number)
                    )
                if number > MOST_LINES:
                    raise TableTrouble(
                        translate(
                            "Recorded",
                            "There are more than {most} lines, more than a cook can have. Keep the "
                            "rows of one cook, or one row for every few seconds.",
                        ).format(most=f"{MOST_LINES:,}")
                    )
                yield line.rstrip("\n")
    except OSError as trouble:
        raise _unreadable(path, trouble) from trouble


def is_unended(path: Path) -> bool:
    """Whether the last line has no end, as where a logger lost its power in the middle of it."""
    try:
        with path.open("rb") as file:
            file.seek(-min(4, path.stat().st_size), 2)
            return not file.read().strip(b"\0").endswith((b"\n", b"\r"))
    except OSError as trouble:
        raise _unreadable(path, trouble) from trouble


def cells_of(line: str, delimiter: str) -> list[str]:
    """The cells of one line. Line by line, so that a quote that never ends costs one line and not the
    rest of the file."""
    if delimiter == " ":
        return line.split()
    if '"' not in line:
        return [cell.strip() for cell in line.split(delimiter)]
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=delimiter), [])]
    except csv.Error:
        return []
