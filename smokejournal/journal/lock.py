"""One program at a time writes a journal: a lock that the operating system drops with its holder."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path

from smokejournal.cook.text.translate import translate
from smokejournal.journal import problems
from smokejournal.journal.header import check_kind, is_there
from smokejournal.journal.private import make_file
from smokejournal.journal.problems import JournalProblem

LOCK_NAME = "journal.lock"
#: Stands in the lock's file from the opening until the program ends in order.
_OPEN = b"open"

if sys.platform == "win32":
    import msvcrt

    # Windows refuses to read locked bytes, and the holder's number must stay readable: lock one far
    # behind the end of the file.
    _FAR = 1 << 30

    def _take(descriptor: int) -> None:
        os.lseek(descriptor, _FAR, os.SEEK_SET)
        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _take(descriptor: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


class JournalLock:
    """Held from the making until `release`. The file stays; only the lock on it counts.

    `left_open`: whoever had the lock last didn't end in order.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = -1
        path = folder / LOCK_NAME
        try:
            if is_there(path):
                check_kind(path)
            else:
                with suppress(FileExistsError):  # another program was quicker
                    make_file(path)
            self._descriptor = os.open(path, os.O_RDWR)
        except OSError as problem:
            raise problems.of_os(problem, folder) from problem
        try:
            _take(self._descriptor)
        except OSError as problem:
            holder = os.pread(self._descriptor, 20, 0) if hasattr(os, "pread") else b""
            os.close(self._descriptor)
            number = holder.decode("ascii", "replace").split("\n")[0].strip()
            raise _taken(path, number) from problem
        try:
            self._folder = _take_folder(folder)
        except BlockingIOError as problem:
            os.close(self._descriptor)
            raise _taken(path, "") from problem
        try:
            os.lseek(self._descriptor, 0, os.SEEK_SET)
            self.left_open = _OPEN in os.read(self._descriptor, 64)
            self._write(_OPEN if self.left_open else b"")
        except OSError as problem:
            self.release()
            raise problems.of_os(problem, folder) from problem

    def mark_open(self) -> None:
        """From now on there is something to lose. OSError where the folder can't be written."""
        self._write(_OPEN)

    def _write(self, state: bytes) -> None:
        os.lseek(self._descriptor, 0, os.SEEK_SET)
        os.ftruncate(self._descriptor, 0)
        os.write(self._descriptor, f"{os.getpid()}\n".encode() + (state and state + b"\n"))

    def release(self, *, in_order: bool = False) -> None:
        """Lets the lock go; once is enough, twice does no harm. `in_order`: nothing was left undone."""
        if in_order and self._descriptor >= 0:
            with suppress(OSError):  # then the next start says once too often that it looked
                self._write(b"")
        for descriptor in (self._descriptor, self._folder):
            if descriptor >= 0:
                os.close(descriptor)
        self._descriptor = self._folder = -1


def _take_folder(folder: Path) -> int:
    """Lock the folder too, which can't be deleted while its files are in use as the lock file can.
    -1 where the system doesn't lock folders; BlockingIOError where another program holds it."""
    if sys.platform == "win32":
        return -1
    descriptor = -1
    try:
        descriptor = os.open(folder, os.O_RDONLY)
        _take(descriptor)
    except BlockingIOError:
        os.close(descriptor)
        raise
    except OSError:
        if descriptor >= 0:
            os.close(descriptor)
        return -1
    return descriptor


def _taken(path: Path, holder: str) -> JournalProblem:
    what = (
        translate("Journal", "This journal is already open in another window (process {holder}).")
        if holder
        else translate("Journal", "This journal is already open in another window.")
    )
    return JournalProblem(
        what.format(holder=holder),
        translate("Journal", "Use that window, or close it and start again."),
        path,
    )
