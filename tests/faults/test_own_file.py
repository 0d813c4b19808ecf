"""A journal whose file another program removes, renames or replaces while it is open."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from smokejournal.cook.log.entries import CookOpened, Note
from smokejournal.cook.log.readings import Reading
from smokejournal.journal import Journal, JournalProblem
from smokejournal.journal.lock import LOCK_NAME
from smokejournal.journal.opening import FILE_NAME

AT_S = 1_780_000_000.0


def remove(path: Path) -> None:
    path.unlink()


def rename(path: Path) -> None:
    path.rename(path.with_name("elsewhere.sqlite"))


def replace(path: Path) -> None:
    # As a sync tool does: another file takes its name.
    other = path.with_name("older")
    shutil.copyfile(path, other)
    os.replace(other, path)


def replace_with_all(path: Path) -> None:
    replace(path)
    for ending in ("-wal", "-shm"):
        path.with_name(path.name + ending).unlink(missing_ok=True)


@pytest.mark.parametrize("happens", [remove, rename, replace, replace_with_all])
def test_everything_is_kept_in_a_copy(tmp_path: Path, happens: Callable[[Path], None]) -> None:
    folder = tmp_path / "journal"
    journal = Journal.open(folder)
    cook = journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
    journal.append(cook, Note("before"), AT_S, AT_S).result(10)
    assert not journal.is_gone()
    happens(folder / FILE_NAME)
    assert journal.is_gone()
    journal.append(cook, Note("after"), AT_S + 1, AT_S + 1).result(10)
    path = journal.save_what_was_open(AT_S + 2)
    journal.append(cook, Note("at the end"), AT_S + 3, AT_S + 3).result(10)
    journal.append_readings(cook, [Reading(AT_S + 4, "pit", 110.0)]).result(10)
    journal.close()
    (copy,) = Journal.copies(folder)
    assert copy.path == path
    Journal.restore(folder, copy, AT_S + 5)
    with Journal.open(folder) as restored:
        notes = [e.what.text for e in restored.entries(cook) if isinstance(e.what, Note)]
        assert notes == ["before", "after", "at the end"]
        assert restored.trace(cook, "pit").value_c.tolist() == [110.0]
        assert restored.check() == ()


def test_a_folder_that_is_gone_is_made_again(tmp_path: Path) -> None:
    folder = tmp_path / "journal"
    journal = Journal.open(folder)
    cook = journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
    shutil.rmtree(folder)
    assert journal.is_gone()
    journal.append(cook, Note("after"), AT_S, AT_S).result(10)
    journal.close()
    (copy,) = Journal.copies(folder)
    assert Journal.look_into(copy).cooks == 1


@pytest.mark.skipif(os.name != "posix", reason="folders are locked there only")
def test_a_lock_file_that_is_deleted_lets_no_second_program_in(tmp_path: Path) -> None:
    folder = tmp_path / "journal"
    with Journal.open(folder):
        (folder / LOCK_NAME).unlink()
        with pytest.raises(JournalProblem, match="already open"):
            Journal.open(folder)
    with Journal.open(folder) as again:
        assert again.cooks() == []


#: Runs the window in a process of its own, takes the journal's file away, and ends once that is said.
RUN = """
import sys
from pathlib import Path
import smokejournal.app as app
from smokejournal.cli.commands import parse

folder = Path(sys.argv[1])
began = app.Desk._settle_in
def begun(self):
    began(self)
    (folder / "journal.sqlite").rename(folder / "taken away")
tell = app.DeskContext.tell
def telling(self, text, cure=""):
    tell(self, text, cure)
    print(text, cure)
    if "removed, renamed or replaced" in text:
        windows[0].close_unasked()
windows = []
shown = app.Window.show
def show(self):
    windows.append(self)
    shown(self)
app.Desk._settle_in, app.DeskContext.tell, app.Window.show = begun, telling, show
sys.exit(app.run_window(parse(["--journal", sys.argv[1]])))
"""


def test_the_program_says_so_once_and_where_everything_is(tmp_path: Path) -> None:
    folder = tmp_path / "journal"
    with Journal.open(folder) as journal:
        journal.new_cook(CookOpened("Ribs", "UTC"), AT_S, AT_S).result(10)
    home = tmp_path / "home"
    home.mkdir()
    ended = subprocess.run(
        [sys.executable, "-c", RUN, str(folder)],
        env=os.environ
        | {"QT_QPA_PLATFORM": "offscreen", "HOME": str(home), "XDG_STATE_HOME": str(home)},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr
    told = [line for line in ended.stdout.splitlines() if "removed, renamed" in line]
    assert len(told) == 1
    copies = Journal.copies(folder)
    assert any(f"Everything is kept in {copy.path}" in told[0] for copy in copies)
    assert all(Journal.look_into(copy).cooks == 1 for copy in copies)
