"""The ground follows the clock or the system, and the hand wins until the next change."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.shell.ground_keeper import GroundKeeper
from smokejournal.desk.shell.settings_dialog import SettingsDialog
from smokejournal.services.program import settings
from smokejournal.services.program.settings import Settings
from tests.support.fakes import FixedClock

ZONE = "Europe/Berlin"
BY_TIME = Settings(ground_by="time", zone=ZONE)


class Patio:
    """A keeper, its clock and its system, and what was shown one after the other."""

    def __init__(self, context: DeskContext, clock: FixedClock) -> None:
        self.context, self.clock = context, clock
        self.dark: bool | None = False
        self.shown: list[str] = []
        self.keeper = GroundKeeper(context, self.shown.append, lambda: self.dark)

    def at(self, hour: int, minute: int = 0, day: int = 3) -> None:
        """Let it be this late, and tick."""
        here = datetime(2026, 6, day, hour, minute, tzinfo=ZoneInfo(ZONE))
        self.clock.at_s = here.timestamp()
        self.context.ticked.emit(self.clock.at_s)


def test_night_comes_and_goes_with_the_hours(context: DeskContext, clock: FixedClock) -> None:
    patio = Patio(context, clock)
    patio.at(19, 0)
    patio.keeper.keep(BY_TIME)
    for hour, minute, day in (
        (19, 59, 3),
        (20, 0, 3),
        (23, 0, 3),
        (5, 59, 4),
        (6, 0, 4),
        (9, 0, 4),
    ):
        patio.at(hour, minute, day)
    assert patio.shown == ["day", "night", "day"]


def test_what_is_chosen_by_hand_stays_until_the_next_change(
    context: DeskContext, clock: FixedClock
) -> None:
    patio = Patio(context, clock)
    patio.at(21, 0)
    patio.keeper.keep(BY_TIME)
    patio.keeper.choose("sun")
    patio.at(23, 0)
    patio.at(5, 0, 4)
    assert patio.shown == ["night", "sun"]
    patio.at(6, 0, 4)
    patio.keeper.choose("night")
    patio.at(12, 0, 4)
    assert patio.shown == ["night", "sun", "sun", "night"]
    patio.at(20, 0, 4)
    patio.at(6, 0, 5)
    assert patio.shown[4:] == ["night", "day"]


def test_other_settings_leave_it_alone(context: DeskContext, clock: FixedClock) -> None:
    patio = Patio(context, clock)
    patio.at(21, 0)
    patio.keeper.keep(BY_TIME)
    patio.keeper.choose("day")
    patio.keeper.keep(Settings(ground_by="time", zone=ZONE, currency="USD"))
    assert patio.shown == ["night", "day"]
    patio.keeper.keep(Settings(ground_by="hand", ground="sun", zone=ZONE))
    patio.at(23, 0)
    assert patio.shown == ["night", "day", "sun"]


def test_it_follows_the_system(context: DeskContext, clock: FixedClock) -> None:
    patio = Patio(context, clock)
    patio.keeper.keep(Settings(ground_by="system", zone=ZONE))
    patio.dark = True
    patio.at(12)
    patio.dark = None  # a system that says nothing more changes nothing
    patio.at(13)
    patio.dark = True
    patio.at(14)
    patio.dark = False
    patio.at(15)
    assert patio.shown == ["day", "night", "day"]


def test_a_system_that_says_nothing_leaves_it_to_the_hand(
    context: DeskContext, clock: FixedClock
) -> None:
    patio = Patio(context, clock)
    patio.dark = None
    patio.keeper.keep(Settings(ground_by="system", ground="sun"))
    patio.at(23)
    assert patio.shown == ["sun"]


def dialog_of(qtbot: QtBot, context: DeskContext) -> SettingsDialog:
    dialog = SettingsDialog(context)
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


def save(qtbot: QtBot, dialog: SettingsDialog) -> None:
    button = dialog.findChild(QPushButton, "settingsKeep")
    assert button is not None
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def test_the_hours_are_set_in_the_settings(qtbot: QtBot, context: DeskContext) -> None:
    dialog = dialog_of(qtbot, context)
    assert not dialog.night_from.isEnabled()
    dialog.ground_by.setCurrentIndex(dialog.ground_by.findData("time"))
    assert dialog.night_from.edit.text() == "20:00"
    dialog.units["hours"].setCurrentIndex(dialog.units["hours"].findData("12"))
    assert dialog.night_from.edit.text() == "8:00 pm"
    dialog.night_from.edit.selectAll()
    qtbot.keyClicks(dialog.night_from.edit, "9:30 pm")
    with qtbot.waitSignal(dialog.kept):
        save(qtbot, dialog)
    kept = settings.load(context.program.journal).settings
    assert (kept.ground_by, kept.night_from_s, kept.night_to_s) == ("time", 77_400.0, 21_600.0)


def test_hours_that_cannot_be_are_told_beside_their_field(
    qtbot: QtBot, context: DeskContext
) -> None:
    dialog = dialog_of(qtbot, context)
    dialog.ground_by.setCurrentIndex(dialog.ground_by.findData("time"))
    for typed, wanted in (("25:00", "a time of day"), ("20:00", "can't end when it begins")):
        dialog.night_to.edit.selectAll()
        qtbot.keyClicks(dialog.night_to.edit, typed)
        save(qtbot, dialog)
        problem = dialog.findChild(QLabel, "settingsNightToProblem")
        assert problem is not None
        assert wanted in problem.text()
        assert dialog.isVisible()
    assert settings.load(context.program.journal).settings == Settings()
