"""Folders and files that nobody but their owner may look into, whatever the umask says."""

from __future__ import annotations

import os
from pathlib import Path

FOLDER_MODE = 0o700
FILE_MODE = 0o600


def make_folder(path: Path, *, parents: bool = False) -> None:
    """Makes the folder `path` where there is none yet; one that is there keeps its permissions.

    OSError where it can't be made, FileExistsError where something else has its name.
    """
    try:
        path.mkdir(FOLDER_MODE, parents=parents)
    except FileExistsError:
        if not path.is_dir():
            raise
        return
    # The mode that mkdir is given loses what the umask takes away.
    path.chmod(FOLDER_MODE)


def make_file(path: Path) -> None:
    """Makes an empty file, before anything private is written to it. FileExistsError if it is there.

    SQLite gives the log beside a database the permissions of the database itself.
    """
    os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, FILE_MODE))
    path.chmod(FILE_MODE)
