"""The window stands again as it stood: size, place, maximized, page."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QByteArray, QSettings, Qt
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import CookOpened, ScheduleStarted
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.shell.window import Window
from smokejournal.journal import Journal
from tests.support.tend_desk import QuietPlayer

Make = Callable[[], Window]


@pytest.fixture
def make(context: DeskContext) -> Iterator[Make]:
    made: list[Window] = []

    def make() -> Window:
        made.append(Window(context, QuietPlayer()))
        return made[-1]

    yield make
    for window in made:
        window.close_unasked()
        window.deleteLater()


def kept_in(tmp_path: Path) -> QSettings:
    """As a new start of the program reads it: from the file."""
    return QSettings(str(tmp_path / "window.ini"), QSettings.Format.IniFormat)


def test_size_place_and_page_come_back(make: Make, qtbot: QtBot, tmp_path: Path) -> None:
    first = make()
    first.show_page("journal")
    first.show()
    qtbot.waitExposed(first)
    # The screenless platform's screen is no wider than the window must be.
    first.resize(first.minimumWidth(), first.minimumHeight() + 37)
    qtbot.mouseClick(first.findChild(QPushButton, "go_stores"), Qt.MouseButton.LeftButton)
    stood = first.size()
    first.keep_standing(kept_in(tmp_path))
    first.close()
    second = make()
    assert second.stand_as(kept_in(tmp_path)) == "stores"
    second.show_page("stores")
    second.show()
    qtbot.waitExposed(second)
    assert second.size() == stood
    assert second.screen().geometry().intersects(second.geometry())


def test_maximized_comes_back_and_full_screen_does_not(
    make: Make, qtbot: QtBot, tmp_path: Path
) -> None:
    for state, comes_back in (
        (Qt.WindowState.WindowMaximized, True),
        (Qt.WindowState.WindowFullScreen, False),
    ):
        first = make()
        first.show_page("journal")
        first.show()
        first.setWindowState(state)
        qtbot.waitUntil(lambda first=first, state=state: bool(first.windowState() & state))
        first.keep_standing(kept_in(tmp_path))
        first.close()
        second = make()
        second.stand_as(kept_in(tmp_path))
        assert bool(second.windowState() & state) is comes_back


def test_a_place_off_every_screen_is_brought_back(make: Make, qtbot: QtBot, tmp_path: Path) -> None:
    first = make()
    first.show_page("journal")
    first.move(40_000, 30_000)
    first.show()
    qtbot.waitExposed(first)
    first.keep_standing(kept_in(tmp_path))
    first.close()
    second = make()
    second.stand_as(kept_in(tmp_path))
    second.show_page("journal")
    second.show()
    qtbot.waitExposed(second)
    assert second.screen().geometry().intersects(second.geometry())


def test_what_can_t_be_read_is_passed_over(make: Make, tmp_path: Path) -> None:
    kept = kept_in(tmp_path)
    window = make()
    before = window.geometry()
    assert window.stand_as(kept) == ""
    kept.setValue("geometry", QByteArray(b"nonsense"))
    kept.setValue("page", "cellar")
    kept.sync()
    assert window.stand_as(kept_in(tmp_path)) == ""
    (tmp_path / "window.ini").write_bytes(b"\0\xff[[[=%")
    assert window.stand_as(kept_in(tmp_path)) == ""
    assert window.geometry() == before


RUN = """
import sys
import smokejournal.app
from smokejournal.desk.shell.window import Window

turn = Window.show_page

def show_page(self, name):
    print("PAGE", name, flush=True)
    turn(self, name)

Window.show_page = show_page
from smokejournal.__main__ import main
sys.exit(main(["--journal", sys.argv[1]]))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere no variable moves the file")
def test_the_page_shown_last_opens_but_a_cook_under_way_comes_first(tmp_path: Path) -> None:
    file = tmp_path / "state" / "smokejournal" / "window.ini"

    def first_page() -> str:
        done = subprocess.run(
            [sys.executable, "-c", RUN, str(tmp_path / "journal")],
            env=os.environ
            | {
                "QT_QPA_PLATFORM": "offscreen",
                "SMOKEJOURNAL_STARTUP_PROBE": "1",
                "HOME": str(tmp_path),
                "XDG_STATE_HOME": str(tmp_path / "state"),
            },
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        return next(line for line in done.stdout.splitlines() if line.startswith("PAGE"))

    assert first_page() == "PAGE journal"
    kept = QSettings(str(file), QSettings.Format.IniFormat)
    assert kept.value("page") == "journal"
    kept.setValue("page", "stores")
    kept.sync()
    assert first_page() == "PAGE stores"
    with Journal.open(tmp_path / "journal") as journal:
        cook = journal.new_cook(CookOpened("Ribs", "UTC"), 1.7e9, 1.7e9).result(10)
        journal.append(cook, ScheduleStarted(), 1.7e9, 1.7e9).result(10)
    assert first_page() == "PAGE tend"
