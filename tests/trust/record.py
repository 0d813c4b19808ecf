"""Runs the writer of tests/trust/kills.py with tests/trust/cut.c before the system's library, which
logs, or fails, what it asks of the disk."""

from __future__ import annotations

import os
import shutil
import struct
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.trust.kills import WRITER

WRITE, TRUNCATE, SYNC, FAILED_SYNC, UNLINK, RENAME, SAID = "WTSFURA"
_HEAD = struct.Struct("@QQQQ")


class NoRecorder(Exception):
    """Why nothing can be recorded here."""


@dataclass(frozen=True, slots=True)
class Event:
    """One call that came back: of a file's bytes, of its name, or of the standard output.

    `offset` is a truncated file's length; `data` is a renamed file's new path, or what was said.
    """

    kind: str
    path: str
    offset: int
    data: bytes


@dataclass(frozen=True, slots=True)
class Run:
    """A run of the writer that ended: its exit code, its standard error, its log."""

    code: int
    errors: str
    events: tuple[Event, ...]


def compiled(folder: Path) -> Path:
    """The library, made in `folder`. NoRecorder where that can't be done here."""
    if sys.platform != "linux":
        raise NoRecorder("the recorder needs Linux")
    compiler = shutil.which("cc") or shutil.which("gcc")
    if compiler is None:
        raise NoRecorder("the recorder needs a C compiler (cc or gcc)")
    library = folder / "cut.so"
    source = Path(__file__).with_name("cut.c")
    subprocess.run(
        [compiler, "-O1", "-shared", "-fPIC", "-o", library, source, "-ldl", "-pthread"], check=True
    )
    return library


def record(
    library: Path, folder: Path, batches: int, fail_at: int | None = None, errno: int = 0
) -> Run:
    """Writes so many batches into a new journal at `folder`, and closes it. With `fail_at` that call
    (from 1) for the journal's files fails with `errno`."""
    log = folder.with_name(folder.name + ".log")
    environment = os.environ | {
        "LD_PRELOAD": str(library),
        "SMOKEJOURNAL_CUT_FOLDER": str(folder),
        "SMOKEJOURNAL_CUT_LOG": str(log),
    }
    if fail_at is not None:
        environment |= {
            "SMOKEJOURNAL_CUT_FAIL": str(fail_at),
            "SMOKEJOURNAL_CUT_ERRNO": str(errno),
        }
    ran = subprocess.run(
        [sys.executable, "-c", WRITER, str(folder), str(batches)],
        capture_output=True,
        text=True,
        env=environment,
        timeout=600,
    )
    events = tuple(_events(log.read_bytes()))
    log.unlink()
    return Run(ran.returncode, ran.stderr, events)


def said_in(events: tuple[Event, ...]) -> list[list[str]]:
    """The words of each line that was said whole."""
    text = b"".join(event.data for event in events if event.kind == SAID).decode()
    return [line.split() for line in text.rpartition("\n")[0].splitlines()]


def _events(log: bytes) -> Iterator[Event]:
    at = 0
    while at < len(log):
        kind, of_path, offset, of_data = _HEAD.unpack_from(log, at)
        at += _HEAD.size
        path = log[at : at + of_path].decode()
        at += of_path
        yield Event(chr(kind), path, offset, log[at : at + of_data])
        at += of_data
