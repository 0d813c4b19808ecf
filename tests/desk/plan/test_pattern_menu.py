"""The Patterns button, driven as a person would."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QFileDialog, QMenu, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.plan.pattern import Pattern, pattern_of, schedule_pattern
from smokejournal.cook.plan.plan import plan_of
from smokejournal.desk.base.context import DeskContext, Notice
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.desk.plan.pattern_menu import PatternButton
from smokejournal.services.stores.patterns import Patterns, pattern_from_file, pattern_to_file
from tests.cook.plan.test_pattern import LOAF


class Shown:
    """The button, what it told and what it began."""

    def __init__(self, qtbot: QtBot, context: DeskContext) -> None:
        self.qtbot = qtbot
        self.context = context
        self.button = PatternButton(context)
        qtbot.addWidget(self.button)
        self.button.show()
        self.notices: list[Notice] = []
        self.begun: list[int] = []
        self.schedules: list[Schedule] = []
        context.notice_given.connect(self.notices.append)
        self.button.begun.connect(self.begun.append)
        self.button.schedule_read.connect(self.schedules.append)

    def action(self, text: str, menu: QMenu | None = None) -> QAction:
        menu = menu if menu is not None else self.button.menu_of
        if menu is self.button.menu_of:
            menu.aboutToShow.emit()
        return next(a for a in menu.actions() if a.text() == text)

    def inner(self, text: str) -> QMenu:
        menu = self.action(text).menu()
        assert isinstance(menu, QMenu)
        return menu

    def choose_file(self, path: Path) -> None:
        dialog = self.button.file_dialog
        assert isinstance(dialog, QFileDialog)
        dialog.fileSelected.emit(str(path))
        dialog.close()

    def show(self, pattern: Pattern) -> None:
        cook_id = Patterns(self.context.program).begin(pattern, "UTC", "", None)
        self.button.show_plan(plan_of(self.context.live(cook_id).log()))

    def answer(self, name: str) -> None:
        dialog = self.button.window().findChild(AskDialog)
        assert dialog is not None
        button = dialog.findChild(QPushButton, name)
        self.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)

    def told(self, text: str) -> None:
        self.qtbot.waitUntil(lambda: any(text in n.text for n in self.notices))


@pytest.fixture
def shown(qtbot: QtBot, context: DeskContext) -> Shown:
    return Shown(qtbot, context)


def test_without_a_plan_there_is_nothing_to_keep(shown: Shown) -> None:
    assert not shown.action("Save this plan as a pattern").isEnabled()
    assert not shown.action("Write this plan to a file…").isEnabled()
    assert not shown.action("Begin a plan from").isEnabled()
    assert shown.action("Begin from a file…").isEnabled()


def test_a_plan_is_kept_and_begun_from_again(shown: Shown) -> None:
    shown.show(LOAF)
    shown.action("Save this plan as a pattern").trigger()
    shown.told("Saved as a pattern")
    shown.action("Meat loaf", shown.inner("Begin a plan from")).trigger()
    shown.qtbot.waitUntil(lambda: len(shown.begun) == 1)
    assert pattern_of(plan_of(shown.context.live(shown.begun[0]).log())) == LOAF


def test_one_of_the_same_name_is_replaced_only_when_asked(shown: Shown) -> None:
    patterns = Patterns(shown.context.program)
    patterns.keep(Pattern("Meat loaf")).result(5)
    shown.show(LOAF)
    shown.action("Save this plan as a pattern").trigger()
    shown.answer("askNo")
    assert patterns.get("Meat loaf") == Pattern("Meat loaf")
    shown.action("Save this plan as a pattern").trigger()
    shown.answer("askYes")
    shown.told("Saved as a pattern")
    assert patterns.get("Meat loaf") == LOAF


def test_a_pattern_is_forgotten_after_a_question(shown: Shown) -> None:
    patterns = Patterns(shown.context.program)
    patterns.keep(LOAF).result(5)
    shown.action("Meat loaf", shown.inner("Forget a pattern")).trigger()
    shown.answer("askYes")
    shown.qtbot.waitUntil(lambda: patterns.names() == ())


def test_a_plan_goes_through_a_file(shown: Shown, tmp_path: Path) -> None:
    path = tmp_path / "loaf.pattern.json"
    shown.show(LOAF)
    shown.action("Write this plan to a file…").trigger()
    shown.choose_file(path)
    shown.told("Written to")
    assert pattern_from_file(path) == LOAF
    shown.action("Begin from a file…").trigger()
    shown.choose_file(path)
    shown.qtbot.waitUntil(lambda: len(shown.begun) == 1)


def test_a_schedule_alone_goes_to_the_saved_ones(shown: Shown, tmp_path: Path) -> None:
    path = tmp_path / "schedule.json"
    shown.show(LOAF)
    shown.action("Write only its schedule to a file…").trigger()
    shown.choose_file(path)
    shown.told("Written to")
    assert pattern_from_file(path) == schedule_pattern(LOAF.schedule, "Loaf")
    shown.action("Begin from a file…").trigger()
    shown.choose_file(path)
    shown.qtbot.waitUntil(lambda: shown.schedules == [LOAF.schedule])
    assert not shown.begun


def test_a_file_that_cant_be_used_says_where(shown: Shown, tmp_path: Path) -> None:
    path = tmp_path / "bad.json"
    pattern_to_file(LOAF, path)
    path.write_text(path.read_text("utf-8").replace('"mass_kg": 1.2', '"mass_kg": -2'), "utf-8")
    shown.action("Begin from a file…").trigger()
    shown.choose_file(path)
    shown.told("items[0].mass_kg: Give a number above 0 kg")
    shown.action("Begin from a file…").trigger()
    shown.choose_file(tmp_path / "gone.json")
    shown.told("No such file")
    assert not shown.begun


def test_a_file_that_cant_be_written_says_so(shown: Shown, tmp_path: Path) -> None:
    shown.show(LOAF)
    shown.action("Write this plan to a file…").trigger()
    shown.choose_file(tmp_path / "none" / "loaf.json")
    shown.told("The pattern was not written")
