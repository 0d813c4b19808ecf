"""Nothing that a person wrote, or that came from a file, is shown as markup: a title can't load a picture."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from typing import Any

import pytest
import shiboken6
from PySide6.QtCore import QAbstractItemModel, QAbstractListModel, QPoint, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QDialog,
    QLabel,
    QMessageBox,
    QPushButton,
    QTextBrowser,
    QToolTip,
    QWidget,
)
from pytestqt.qtbot import QtBot

from smokejournal.cook.brine.recipe import read_line
from smokejournal.cook.log import entries as log
from smokejournal.cook.log.brine_request import BrineAsked
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.cook.plan.pattern import pattern_of
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.probes.probe import Probe
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.stores.wares import Ware
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.theme import apply_ground
from smokejournal.desk.brine.dialog import BrineDialog
from smokejournal.desk.comparing.window import CompareWindow
from smokejournal.desk.forecast.history_dialog import HistoryDialog
from smokejournal.desk.fuel.cooker_dialog import CookerDialog
from smokejournal.desk.fuel.dialog import FuelDialog
from smokejournal.desk.input_setup.sensor_dialog import SensorDialog
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.desk.parts.new_cook_dialog import NewCookDialog
from smokejournal.desk.shell.restore_dialog import RestoreDialog
from smokejournal.desk.shell.settings_dialog import SettingsDialog
from smokejournal.desk.shell.window import PAGES, Window
from smokejournal.inputs.sensor import Sensor
from smokejournal.services.comparing.all_cooks import AllCooks
from smokejournal.services.stores.patterns import Patterns
from tests.support.fakes import FixedClock
from tests.support.tend_desk import QuietPlayer, look_kept  # noqa: F401

TYPED = '<b>x</b><img src="file:///nowhere.png"><a href="file:///nowhere">y</a>&amp;'
#: In what is no name also what turns the reading direction and steers a terminal.
PROSE = f"{TYPED}\u202e\x1b[31m\n{TYPED}"


def looks_like_markup(text: str) -> bool:
    """What Qt's own guess is about, which isn't told to Python, and more."""
    return re.search(r"<[a-zA-Z/!]|&\w+;", text) is not None


class Looked:
    """What was looked at: where markup was shown, and how often the typed text was."""

    def __init__(self) -> None:
        self.marked: list[str] = []
        self.labels = 0
        self.tips = 0
        self._tipped: set[tuple[str, str]] = set()

    def look(self, what: str) -> None:
        """At every widget there is."""
        QApplication.processEvents()
        for widget in QApplication.allWidgets():
            if not shiboken6.isValid(widget):  # what the events below took away
                continue
            name = f"{what}: {widget.objectName() or type(widget).__name__}"
            if isinstance(widget, QLabel):
                widget.ensurePolished()
                self.labels += "<b>x</b>" in widget.text()
                if shown_as_markup(widget):
                    self.marked.append(f"{name} “{widget.text()}”")
            elif isinstance(widget, QMessageBox):
                self.look_at_tip(name, widget.text(), widget)
            elif isinstance(widget, QTextBrowser) and "<b>x" not in widget.toPlainText():
                if "nowhere" in widget.toHtml():
                    self.marked.append(name)
            elif isinstance(widget, QAbstractItemView) and widget.model() is not None:
                for tip in tips_of(widget.model()):
                    self.look_at_tip(name, tip, widget)
            self.look_at_tip(name, widget.toolTip(), widget)
            for action in widget.findChildren(
                QAction, options=Qt.FindChildOption.FindDirectChildrenOnly
            ):
                self.look_at_tip(name, action.toolTip(), widget)

    def look_at_tip(self, name: str, tip: str, widget: QWidget) -> None:
        """Show a tool tip as Qt does and see what becomes of it."""
        if not looks_like_markup(tip) or (name, tip) in self._tipped:
            return
        self._tipped.add((name, tip))
        self.tips += 1
        QToolTip.showText(QPoint(5, 5), tip, widget)
        (shown,) = (
            top
            for top in QApplication.topLevelWidgets()
            if isinstance(top, QLabel)
            and top.metaObject().className() == "QTipLabel"
            and top.text() == tip
        )
        if shown_as_markup(shown):
            self.marked.append(f"tool tip of {name} “{tip}”")
        QToolTip.hideText()
        QApplication.processEvents()


def shown_as_markup(label: QLabel) -> bool:
    """Whether a text that was typed is more than its letters on this label."""
    kind = label.textFormat()
    if kind == Qt.TextFormat.RichText:
        # Made by us; then what was typed is escaped in it.
        return "<img" in label.text() or "<a" in label.text() or "<b>x</b>" in label.text()
    return kind != Qt.TextFormat.PlainText and looks_like_markup(label.text())


def tips_of(model: QAbstractItemModel) -> Iterator[str]:
    """The tool tips of a list or table; there are no trees."""
    for row in range(model.rowCount()):
        # A list has one column and doesn't say so.
        for column in range(1 if isinstance(model, QAbstractListModel) else model.columnCount()):
            yield str(model.data(model.index(row, column), Qt.ItemDataRole.ToolTipRole) or "")


def filled(value: Any, **fields: Any) -> Any:
    """The entry with the typed text in each of its free texts that nothing else is said of."""
    free = {
        field.name: PROSE
        for field in dataclasses.fields(value)
        if field.type == "str" and getattr(value, field.name) == "" and field.name not in fields
    }
    return dataclasses.replace(value, **{**free, **fields})


SCHEDULE = Schedule(
    TYPED,
    (
        Stage("s1", TYPED, (UntilTemperature(74.0),), pit_target_c=107.0, instruction=PROSE),
        Stage("s2", f"{TYPED} 2", (ForTime(1800.0, at_least_c=74.0),), instruction=PROSE),
    ),
)


def a_cook(context: DeskContext, clock: FixedClock) -> int:
    """A cook under way on which everything that can be written was, twice."""
    program = context.program
    cook_id = program.new_cook(TYPED, "Europe/Vienna", place=PROSE, hopper_kg=9.0)
    live = context.live(cook_id)
    for payload in (
        filled(log.ItemAdded(TYPED, "red_meat", TYPED, 2.8, 0.12, channel="c1", key="i1")),
        filled(log.PrepStep(TYPED, PROSE, 3600.0, BrineAsked(PROSE), "p1", "brine", TYPED)),
        log.ChannelSet(filled(Channel("c1", TYPED, "meat"))),
        log.ChannelSet(filled(Channel("c2", f"{TYPED} 2", "meat"))),
        log.ChannelSet(filled(Channel("c3", f"{TYPED} 3", "pit"))),
        log.LeadSet("c1", "c2"),
        log.ScheduleSet(SCHEDULE),
        log.ScheduleStarted(),
        log.Wrap("foil", TYPED),
        log.Spritz(PROSE),
        log.ProbeMoved("c1", PROSE),
        log.Refrigerator(True, TYPED),
        log.FuelAdded(TYPED, 5.0, 0.2, price_per_kg=1.0, currency=TYPED),
        log.StoreUsed("wood", TYPED, 0.2),
        log.WeatherObserved(air_c=10.0, report=PROSE),
        log.Note(PROSE),
        log.AlarmRaised("pit", PROSE),
        log.Tasted(PROSE, {"overall": 4}, TYPED),
        log.Weighed("raw", 2.0, TYPED),
        log.NextTime(PROSE),
        log.ReadingsStruck("c3", 0.0, 1.0, PROSE),
    ):
        live.record(payload, clock.now_s()).result()
        clock.forward(1.0)
    for key, value in (("c1", 61.3), ("c2", 58.8), ("c3", 108.0)):
        live.record_readings([Reading(clock.now_s(), key, value)]).result()
    journal = program.journal
    journal.stores.save_lot(
        Lot(0, TYPED, 10.0, 11.5, TYPED, 3, TYPED, PROSE, label=PROSE, low_below_kg=99.0)
    ).result()
    for sort in ("salt", "wood", "rub"):
        journal.stores.save_ware(
            Ware(0, sort, f"{TYPED} {sort}", recipe=PROSE, note=PROSE)
        ).result()
    journal.stores.save_probe(Probe(0, TYPED, note=PROSE)).result()
    Patterns(program).keep(pattern_of(plan_of(live.log()))).result()
    return cook_id


@pytest.fixture
def window(
    qtbot: QtBot,
    context: DeskContext,
    clock: FixedClock,
    look_kept: None,  # noqa: F811
    qapp: QApplication,
) -> Iterator[Window]:
    apply_ground(qapp, "day")
    context.choose(a_cook(context, clock))
    shown = Window(context, QuietPlayer())
    qtbot.addWidget(shown)
    shown.resize(1280, 800)
    shown.show()
    qtbot.waitExposed(shown)
    yield shown
    shown.close_unasked()
    shown.deleteLater()


def test_pages_forms_and_dialogs_show_what_was_typed_as_it_is(
    qtbot: QtBot, window: Window, context: DeskContext
) -> None:
    looked = Looked()
    window.notices.show_notice(_notice(context))
    for name in PAGES:
        window.show_page(name)
        looked.look(name)
    tend: Any = window.page("tend")
    window.show_page("tend")
    for what in ("reading", "wrap", "spritz", "fuel", "store", "probe", "note", "close"):
        tend._side.open_form(what)
        looked.look(f"tend, form of {what}")
    tend._side.close_form()
    qtbot.mouseClick(tend.findChild(QPushButton, "safetyOpen"), Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: tend._side.safety._refresher.settled)
    looked.look("tend, food safety")
    window.show_page("taste")
    taste: Any = window.page("taste")
    qtbot.waitUntil(lambda: taste._summary is not None)
    looked.look("taste, the sheet")
    assert "<b>x</b>" in taste.sheet.toPlainText()
    bench: Any = window.page("bench")
    window.show_page("bench")
    for side in range(4):
        bench._show_side(side)
        looked.look(f"bench, side {side}")
    _look_at_patterns(window, looked)
    _look_at_dialogs(qtbot, window, context, looked)
    assert not looked.marked, "\n".join(dict.fromkeys(looked.marked))
    # The text was there to be taken for markup.
    assert looked.labels > 50
    assert looked.tips > 10


def _notice(context: DeskContext) -> Any:
    told: list[Any] = []
    context.notice_given.connect(told.append)
    context.tell(PROSE, PROSE)
    return told[0]


def _look_at_patterns(window: Window, looked: Looked) -> None:
    """The question whether to forget a pattern names it."""
    window.show_page("plan")
    button: Any = window.page("plan").findChild(QPushButton, "patterns")
    button.menu_of.aboutToShow.emit()
    forget = next(a.menu() for a in button.menu_of.actions() if a.text().startswith("Forget"))
    forget.actions()[0].trigger()
    (dialog,) = window.findChildren(AskDialog)
    assert TYPED in dialog.text.text()
    looked.look("plan, forget a pattern")
    dialog.reject()


def _look_at_dialogs(qtbot: QtBot, window: Window, context: DeskContext, looked: Looked) -> None:
    cook_id = context.chosen
    assert cook_id is not None
    live = context.live(cook_id)
    plan = plan_of(live.log())
    page = window.page("plan")
    journal = context.program.journal
    journal.back_up(context.now_s())
    (key, step), *_ = plan.prep
    dialogs: list[QDialog] = [
        NewCookDialog(context, page),
        SettingsDialog(context, page),
        CookerDialog(context, page),
        FuelDialog(context, cook_id, plan.schedule, parent=page),
        HistoryDialog(context, parent=page),
        CompareWindow(context, AllCooks(context.program), [cook_id, cook_id], page),
        RestoreDialog(journal.folder, lambda work, done: done(work()), parent=page),
        SensorDialog(TYPED, Sensor("mV"), page),
        BrineDialog(context, live, [item for _, item in plan.items], key, step, page),
        QMessageBox(QMessageBox.Icon.Warning, "smokejournal", PROSE, parent=page),
    ]
    for dialog in dialogs:
        dialog.open()
        qtbot.waitExposed(dialog)
        if isinstance(dialog, CompareWindow):
            qtbot.waitUntil(lambda d=dialog: d.reading_chosen.settled and d.reading_every.settled)
        looked.look(type(dialog).__name__)
        dialog.close()
        dialog.deleteLater()


def test_what_is_marked_in_a_brine_line_is_escaped(window: Window) -> None:
    from smokejournal.desk.brine.fields import RecipeField

    field = RecipeField("line", "Line", window.page("plan"))
    field.show_recipe(read_line(TYPED))
    field.show()
    assert field.marked.textFormat() == Qt.TextFormat.RichText
    assert "&lt;b&gt;" in field.marked.text()
    assert not shown_as_markup(field.marked)
