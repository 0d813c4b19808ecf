"""Files that leave the program: whole or not at all."""

from __future__ import annotations

import errno
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from smokejournal.cook.text.translate import translate


def write_whole(content: bytes, path: Path) -> Path:
    """Write a file; gives the path. One that was there stays until the new one is whole.

    Raises OSError where it can't be written, or where something other than a file has that name.
    """
    with whole_file(path) as file:
        file.write(content)
    # What a link points to is replaced, and the link stays.
    return path.resolve()


@contextmanager
def whole_file(path: Path) -> Iterator[BinaryIO]:
    """A file to write to that gets its name at the end, when it is whole; see `write_whole`."""
    path = path.resolve()
    if path.exists() and not path.is_file():
        raise OSError(
            errno.EINVAL,
            translate("Files", "there is a folder, a device or a pipe in its place"),
            str(path),
        )
    beside = path.parent / f".{secrets.token_hex(8)}.part"
    try:
        with beside.open("xb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def write_new(content: bytes, path: Path) -> Path:
    """Write a file where nothing has that name yet; gives the path.

    Raises FileExistsError where something has it, which stays as it is, and OSError where the file
    can't be written, of which nothing is left then.
    """
    with path.open("xb") as file:
        try:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        except BaseException:
            path.unlink(missing_ok=True)
            raise
    return path
