"""Where the platform keeps a person's data and logs."""

from __future__ import annotations

from pathlib import Path

from platformdirs import PlatformDirs

_dirs = PlatformDirs("smokejournal", appauthor=False)


def journal_folder() -> Path:
    """The folder of the journal when none is named. It is not made here."""
    return Path(_dirs.user_data_dir)


def window_file() -> Path:
    """The file that keeps how the window stood on this machine. It is not made here."""
    return Path(_dirs.user_state_dir) / "window.ini"


def log_folder() -> Path:
    """The folder of the log files. It is not made here."""
    return Path(_dirs.user_log_dir)
