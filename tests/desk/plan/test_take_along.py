"""Take it along: a plan goes out as a calendar file, a checklist and a shopping list."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from icalendar import Calendar
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog, QLabel, QMenu, QPlainTextEdit, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.fuel.rate import Estimate
from smokejournal.cook.log.brine_request import BrineAsked
from smokejournal.cook.log.entries import (
    CookClosed,
    CookRenamed,
    ItemAdded,
    PrepStep,
    ScheduleSet,
    ScheduleStarted,
)
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilSaid
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.plan.prep_progress import prep_progress
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.stores.wares import Ware
from smokejournal.cook.text.quantities import METRIC, Units, mass
from smokejournal.cook.timetable.count_back import count_back
from smokejournal.cook.timetable.timetable import Timetable
from smokejournal.desk.base.context import DeskContext, Notice
from smokejournal.desk.outgoing.file_saver import FileSaver
from smokejournal.desk.outgoing.shopping_dialog import ShoppingDialog
from smokejournal.desk.plan.head import TIMES
from smokejournal.desk.plan.page import PlanPage
from smokejournal.services.program import settings
from tests.support.fakes import FixedClock

HOUR = 3600.0
SCHEDULE = Schedule("Ribs", (Stage("s1", "Smoke", (ForTime(4 * HOUR),), pit_target_c=110.0),))
BRINE = BrineAsked("2 L water, 120 g salt, 60 g sugar", salt="Sea salt")


class Shown:
    """Plan with its times, what it told, and a hand on its buttons."""

    def __init__(self, qtbot: QtBot, context: DeskContext, clock: FixedClock) -> None:
        self.qtbot, self.context, self.clock = qtbot, context, clock
        self.notices: list[Notice] = []
        context.notice_given.connect(self.notices.append)
        self.cook_id = context.program.new_cook("Ribs; for us", "Europe/Vienna", place="The yard")
        for what in (
            ItemAdded("ribs", "red_meat", mass_kg=1.5),
            PrepStep("brine", "120 g salt in 2 L", 10 * HOUR, brine=BRINE, key="salt"),
            ScheduleSet(SCHEDULE),
        ):
            self.record(what)
        context.choose(self.cook_id)
        self.page = PlanPage(context)
        qtbot.addWidget(self.page)
        self.page.resize(1280, 760)
        self.page.show()
        self.page.head.turn_to(TIMES)
        qtbot.waitUntil(lambda: self.page.times.timetable is not None)

    def record(self, what: object) -> None:
        self.context.live(self.cook_id).record(what, self.clock.now_s()).result()  # type: ignore[arg-type]

    def want(self, in_h: float) -> float:
        at_s = self.clock.now_s() + in_h * HOUR
        self.record(CookRenamed("Ribs; for us", ready_at_s=at_s))
        self.qtbot.waitUntil(
            lambda: (
                self.page.times.timetable is not None and self.page.times.timetable.wanted_s == at_s
            )
        )
        return at_s

    def choose(self, text: str) -> None:
        """Choose in the menu of the button."""
        button = self.page.findChild(QPushButton, "takeAlong")
        assert button is not None
        assert button.isVisible()
        assert button.text() == "Take it along"
        menu = button.menu()
        assert isinstance(menu, QMenu)
        action = next(a for a in menu.actions() if a.text() == text)
        # A menu that pops up grabs the keyboard, which a screenless platform has none of.
        action.trigger()

    def save_as(self, path: Path, saver: FileSaver | None = None, only: str = "") -> Notice:
        """In the dialog that is open; gives what is told then."""
        dialog = (saver or self.page.take_along.saver).file_dialog
        assert isinstance(dialog, QFileDialog)
        assert dialog.isVisible()
        if only:
            dialog.selectNameFilter(only)
        self.notices.clear()
        dialog.fileSelected.emit(str(path))
        dialog.close()
        self.qtbot.waitUntil(lambda: bool(self.notices))
        return self.notices[0]

    def shopping(self) -> tuple[ShoppingDialog, str]:
        """The dialog with its list, once that is made."""
        self.choose("Shopping list…")
        self.qtbot.waitUntil(lambda: self.page.findChild(ShoppingDialog) is not None)
        dialog = self.page.findChild(ShoppingDialog)
        assert dialog is not None
        shown = dialog.findChild(QPlainTextEdit, "shoppingList")
        assert shown is not None
        self.qtbot.waitUntil(lambda: bool(shown.toPlainText()))
        return dialog, shown.toPlainText()


@pytest.fixture
def shown(qtbot: QtBot, context: DeskContext, clock: FixedClock) -> Shown:
    def make(cook_id: int, schedule: Schedule, units: Units) -> Timetable:
        log = context.live(cook_id).log()
        return count_back(
            plan_of(log), schedule, prep_progress(log.holding()), clock.now_s(), units=units
        )

    context.make_timetable = make
    return Shown(qtbot, context, clock)


def suggested(dialog: QFileDialog | None) -> str:
    assert dialog is not None
    return Path(dialog.selectedFiles()[0]).name


def test_a_calendar_file_with_the_steps_that_are_shown(shown: Shown, tmp_path: Path) -> None:
    at_s = shown.want(20)
    shown.choose("Calendar file…")
    assert suggested(shown.page.take_along.saver.file_dialog) == "Ribs-for-us.ics"
    told = shown.save_as(tmp_path / "ribs.ics")
    assert told.kind == "done"
    assert str(tmp_path / "ribs.ics") in told.text
    found = Calendar.from_ical((tmp_path / "ribs.ics").read_bytes()).walk("VEVENT")
    by_name = {str(event["summary"]): event for event in found}
    assert list(by_name) == ["brine", "Smoke (ribs)", "At the table (Ribs; for us)"]
    assert by_name["At the table (Ribs; for us)"]["dtstart"].dt.timestamp() == round(at_s)
    timetable = shown.page.times.timetable
    assert timetable is not None
    salt = timetable.step("prep:salt")
    assert salt is not None
    assert salt.start is not None
    assert abs(by_name["brine"]["dtstart"].dt.timestamp() - salt.start.planned_s) < 60.0
    assert "4.4 °C (40 °F) or below" in by_name["brine"]["description"]
    assert by_name["brine"]["location"] == "The yard"


def test_kept_times_go_into_the_calendar(shown: Shown, qtbot: QtBot, tmp_path: Path) -> None:
    shown.want(20)
    qtbot.waitUntil(shown.page.times.keep.isEnabled)
    qtbot.mouseClick(shown.page.times.keep, Qt.MouseButton.LeftButton)
    timetable = shown.page.times.timetable
    assert timetable is not None
    salt = timetable.step("prep:salt")
    assert salt is not None
    assert salt.start is not None
    kept_s = salt.start.planned_s
    qtbot.waitUntil(lambda: shown.page.times.undo.isVisible())
    shown.want(24)
    shown.choose("Calendar file…")
    shown.save_as(tmp_path / "ribs.ics")
    found = Calendar.from_ical((tmp_path / "ribs.ics").read_bytes()).walk("VEVENT")
    assert abs(found[0]["dtstart"].dt.timestamp() - kept_s) < 60.0


def test_a_simulated_cook_says_so_in_the_calendar(
    shown: Shown, qtbot: QtBot, tmp_path: Path
) -> None:
    cook_id = shown.context.program.new_cook("Practice", "UTC", simulated=True)
    shown.cook_id = cook_id
    shown.record(ItemAdded("ribs", "red_meat", takes_s=HOUR))
    shown.record(CookRenamed("Practice", ready_at_s=shown.clock.now_s() + 9 * HOUR))
    shown.context.choose(cook_id)
    qtbot.waitUntil(lambda: shown.page.times.timetable is not None)
    shown.choose("Calendar file…")
    shown.save_as(tmp_path / "practice.ics")
    found = Calendar.from_ical((tmp_path / "practice.ics").read_bytes()).walk("VEVENT")
    assert found
    assert all("Practice (simulated)" in str(event["description"]) for event in found)


def test_without_times_it_says_what_to_do(shown: Shown) -> None:
    shown.choose("Calendar file…")
    assert shown.page.take_along.saver.file_dialog is None
    (told,) = shown.notices
    assert "nothing for a calendar" in told.text
    assert "Wanted at" in told.cure


@pytest.mark.parametrize(
    ("usual", "chosen", "points"),
    [("A4", "", 595), ("Letter", "", 612), ("A4", "PDF on US Letter paper (*.pdf)", 612)],
)
def test_a_checklist_on_the_paper_that_is_asked_for(
    shown: Shown, tmp_path: Path, usual: str, chosen: str, points: int
) -> None:
    journal = shown.context.program.journal
    kept = settings.load(journal).settings
    for written in settings.save(journal, replace(kept, page=usual), kept):
        written.result()
    shown.want(20)
    shown.choose("Checklist as PDF…")
    assert suggested(shown.page.take_along.saver.file_dialog) == "Checklist-Ribs-for-us.pdf"
    told = shown.save_as(tmp_path / "list.pdf", only=chosen)
    assert told.kind == "done"
    assert "It has 1 page." in told.text
    (page,) = PdfReader(tmp_path / "list.pdf").pages
    assert float(page.mediabox.width) == pytest.approx(points, abs=1)
    text = " ".join(page.extract_text().split())
    for said in ("Ribs; for us", "brine", "120 g salt in 2 L", "Smoke: ribs", "110 °C", "Remarks"):
        assert said in text


@pytest.mark.parametrize("what", ["Calendar file…", "Checklist as PDF…"])
def test_a_file_that_cannot_be_written_is_told_with_a_cure(
    shown: Shown, tmp_path: Path, what: str
) -> None:
    shown.want(20)
    shown.choose(what)
    told = shown.save_as(tmp_path / "no" / "such" / "folder.x")
    assert told.kind == "trouble"
    assert "was not written" in told.text
    assert "another folder" in told.cure
    assert not list(tmp_path.glob("**/*.x"))


def test_the_shopping_list_is_set_against_the_stores(
    shown: Shown, qtbot: QtBot, tmp_path: Path
) -> None:
    journal = shown.context.program.journal
    journal.stores.save_ware(Ware(0, "salt", "Sea salt", bought_kg=0.05)).result()
    journal.stores.save_lot(Lot(0, "Beech", 1.0, bags_bought=1)).result()
    fuel = shown.context.forecasts.fuel
    total = fuel.plan(SCHEDULE, fuel.taught(), fuel.weather(shown.cook_id)).total_kg
    assert isinstance(total, Estimate)
    dialog, text = shown.shopping()
    assert text.splitlines()[0] == "Ribs; for us"
    assert "[ ] ribs: buy 1.5 kg; needed: 1.5 kg" in text
    # 120 g less the 50 g that are there.
    assert "[ ] Sea salt: buy 70 g; needed: 120 g; in the stores: 50 g" in text
    assert "[ ] sugar: buy 60 g; needed: 60 g" in text
    assert f"[ ] pellets: buy {mass(total.high - 1.0, METRIC)}; needed: " in text
    assert "in the stores: 1 kg" in text
    QGuiApplication.clipboard().setText("")
    qtbot.mouseClick(dialog.copy, Qt.MouseButton.LeftButton)
    assert QGuiApplication.clipboard().text() == text
    state = dialog.findChild(QLabel, "shoppingState")
    assert state is not None
    assert state.text() == "Copied."
    qtbot.mouseClick(dialog.save, Qt.MouseButton.LeftButton)
    assert suggested(dialog.saver.file_dialog) == "Shopping-Ribs-for-us.txt"
    told = shown.save_as(tmp_path / "shop.txt", dialog.saver)
    assert told.kind == "done"
    assert (tmp_path / "shop.txt").read_text("utf-8") == text
    qtbot.mouseClick(dialog.save, Qt.MouseButton.LeftButton)
    assert shown.save_as(tmp_path / "no" / "shop.txt", dialog.saver).kind == "trouble"
    dialog.close()


def test_what_burns_and_is_not_known_is_told_with_the_reason(shown: Shown, qtbot: QtBot) -> None:
    until_said = Schedule("", (Stage("s1", "Smoke", (UntilSaid(),), pit_target_c=110.0),))
    shown.record(ScheduleSet(until_said))
    qtbot.waitUntil(lambda: shown.page.editor.draft.schedule == until_said)
    dialog, text = shown.shopping()
    assert "not known: look into the stores; how long the fire burns can't be known" in text
    dialog.close()


def test_once_the_fire_is_lit_the_fuel_is_asked_elsewhere(shown: Shown) -> None:
    shown.record(ScheduleStarted())
    dialog, text = shown.shopping()
    assert "the fire is lit: “Fuel” on Tend" in text
    dialog.close()


def test_a_list_that_cannot_be_made_says_so(
    shown: Shown, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    from smokejournal.services.stores.stores import Stores

    def broken(_stores: object) -> None:
        raise OSError("the disk is gone")

    monkeypatch.setattr(Stores, "stock_lines", broken)
    shown.choose("Shopping list…")
    dialog = shown.page.findChild(ShoppingDialog)
    assert dialog is not None
    qtbot.waitUntil(lambda: "the disk is gone" in dialog.state.text())
    assert not dialog.copy.isEnabled()
    assert not dialog.save.isEnabled()
    dialog.close()


def test_a_cook_that_is_over_can_still_be_taken_along_on_paper(
    shown: Shown, qtbot: QtBot, tmp_path: Path
) -> None:
    shown.want(20)
    shown.record(CookClosed())
    qtbot.waitUntil(lambda: not shown.page.times.keep.isEnabled())
    shown.choose("Checklist as PDF…")
    assert shown.save_as(tmp_path / "list.pdf").kind == "done"
