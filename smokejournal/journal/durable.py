"""Files that are there whole, or not at all, also after a power cut."""

from __future__ import annotations

import os
from pathlib import Path


def sync_folder(folder: Path) -> None:
    """Has the names of files in `folder` put on disk, where the system knows how."""
    if os.name != "posix":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def put_in_place(whole: Path, path: Path) -> None:
    """Gives a finished file its name, such that after a power cut it is there whole or not at all."""
    descriptor = os.open(whole, os.O_RDWR)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
    os.replace(whole, path)
    sync_folder(path.parent)
