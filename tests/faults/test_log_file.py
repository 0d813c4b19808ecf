"""The log file says what is cooked and where: nobody but its owner reads it."""

import os
import sys
from pathlib import Path

import pytest

from tests.faults.test_start import start

#: Enough lines to rotate the file twice.
ROTATE = """
import os
os.umask({umask})
started = app._start_log
def start_and_fill(folder):
    started(folder)
    for _ in range(25):
        app.log.info("x" * 100_000)
app._start_log = start_and_fill
"""


def modes(folder: Path) -> dict[str, int]:
    return {path.name: path.stat().st_mode & 0o777 for path in (folder, *folder.iterdir())}


@pytest.mark.skipif(sys.platform == "win32", reason="permissions are POSIX's")
@pytest.mark.parametrize("umask", [0o000, 0o022, 0o077])
def test_the_log_is_its_owners_alone_also_once_it_was_rotated(
    folder: Path, tmp_path: Path, umask: int
) -> None:
    ran = start(folder, tmp_path, ROTATE.format(umask=umask))
    assert ran.returncode == 0, ran.stderr
    assert modes(tmp_path / "home" / "smokejournal" / "log") == {
        "log": 0o700,
        "smokejournal.log": 0o600,
        "smokejournal.log.1": 0o600,
        "smokejournal.log.2": 0o600,
    }


@pytest.mark.skipif(sys.platform == "win32", reason="permissions are POSIX's")
def test_a_log_that_was_open_to_all_is_closed_to_others_and_goes_on(
    folder: Path, tmp_path: Path
) -> None:
    logs = tmp_path / "home" / "smokejournal" / "log"
    logs.mkdir(parents=True)
    os.chmod(logs, 0o750)
    for name in ("smokejournal.log", "smokejournal.log.1"):
        (logs / name).write_text("before\n")
        (logs / name).chmod(0o644)
    ran = start(folder, tmp_path)
    assert ran.returncode == 0, ran.stderr
    # A folder that is there keeps its permissions, as the journal's does.
    assert modes(logs) == {
        "log": 0o750,
        "smokejournal.log": 0o600,
        "smokejournal.log.1": 0o600,
    }
    assert (logs / "smokejournal.log").read_text().startswith("before\n")
