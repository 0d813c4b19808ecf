"""Every text of the program goes through translation: in a made-up language none stays English.

The language sets each text in brackets. What people wrote is Greek here, so whatever shows three Latin
letters in a row without a bracket escaped its translation.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from PySide6.QtCore import QCoreApplication, Qt, QTranslator
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QDialog,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QTableView,
    QTextBrowser,
    QWidget,
)
from pytestqt.qtbot import QtBot

from smokejournal.cook.log import entries as log
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilTemperature
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.stores.wares import Ware
from smokejournal.cook.text.translate import install_translator
from smokejournal.desk.alarms.sound_check import SoundCheckDialog
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.theme import apply_ground
from smokejournal.desk.comparing.window import CompareWindow
from smokejournal.desk.forecast.history_dialog import HistoryDialog
from smokejournal.desk.fuel.cooker_dialog import CookerDialog
from smokejournal.desk.fuel.dialog import FuelDialog
from smokejournal.desk.parts.new_cook_dialog import NewCookDialog
from smokejournal.desk.shell.settings_dialog import SettingsDialog
from smokejournal.desk.shell.window import PAGES, Window
from smokejournal.services.comparing.all_cooks import AllCooks
from tests.support.fakes import FixedClock
from tests.support.tend_desk import QuietPlayer, look_kept  # noqa: F401

TYPED = "Ξίφος"
#: Zones, units, codes and file endings are the same in every language.
SAME = re.compile(
    r"\b(EUR|USD|hPa|inHg|mph|lb|oz|kg|min|MJ|kWh|CET|CEST|UTC|GMT|Pt100|Pt1000|NTC|SIMULATED|METAR|JSON|CSV|"
    r"Ctrl|DTR|RTS|"
    r"IEC|ASTM|FDA Food Code|[A-Z][A-Za-z_]+/[A-Za-z_/+0-9-]+|[a-z]+\.(?:csv|json|pdf))\b|/dev/\S+"
)
LATIN = re.compile(r"[A-Za-z]{3}")


class Bracketed(QTranslator):
    """A language in which every text stands in brackets."""

    def translate(
        self, context: str, source: str, disambiguation: str | None = None, n: int = -1
    ) -> str:
        return f"⟦{source}⟧" if source else source

    def isEmpty(self) -> bool:
        return False


@pytest.fixture
def window(
    qtbot: QtBot,
    context: DeskContext,
    clock: FixedClock,
    look_kept: None,  # noqa: F811
    qapp: QApplication,
) -> Iterator[Window]:
    language = Bracketed()
    assert qapp.installTranslator(language)
    install_translator(QCoreApplication.translate)
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
    install_translator(None)
    qapp.removeTranslator(language)


def a_cook(context: DeskContext, clock: FixedClock) -> int:
    schedule = Schedule(
        TYPED,
        (
            Stage("s1", TYPED, (UntilTemperature(74.0),), pit_target_c=107.0, instruction=TYPED),
            Stage("s2", f"{TYPED} 2", (ForTime(1800.0, at_least_c=74.0),)),
        ),
    )
    cook_id = context.program.new_cook(TYPED, "Europe/Vienna", place=TYPED, hopper_kg=9.0)
    live = context.live(cook_id)
    for payload in (
        log.ItemAdded(TYPED, "red_meat", TYPED, 2.8, 0.12),
        log.PrepStep(TYPED, TYPED, 3600.0, sort="brine"),
        log.ChannelSet(Channel("c1", TYPED, "meat", place=TYPED)),
        log.ChannelSet(Channel("c2", f"{TYPED} 2", "meat")),
        log.ChannelSet(Channel("c3", f"{TYPED} 3", "pit")),
        log.LeadSet("c1", "c2"),
        log.ScheduleSet(schedule),
        log.ScheduleStarted(),
        log.Wrap("foil", TYPED),
        log.Spritz(TYPED),
        log.FuelAdded(TYPED, 5.0, 0.2, price_per_kg=1.0, currency="EUR"),
        log.StoreUsed("wood", TYPED, 0.2),
        log.WeatherObserved(sky="overcast", air_c=10.0, wind_m_s=3.0, exposure="shade"),
        log.Note(TYPED),
        log.ClockSet(3600.0),
        log.Tasted(TYPED, {"overall": 4, "smoke": 3}, TYPED),
        log.Weighed("raw", 2.0),
        log.NextTime(TYPED),
    ):
        live.record(payload, clock.now_s()).result()
        clock.forward(1.0)
    for key, value in (("c1", 61.3), ("c2", 58.8), ("c3", 108.0)):
        live.record_readings([Reading(clock.now_s(), key, value)]).result()
    stores = context.program.journal.stores
    stores.save_lot(Lot(0, TYPED, 10.0, 11.5, "EUR", 3, TYPED, TYPED, low_below_kg=99.0)).result()
    for sort in ("salt", "wood", "rub"):
        stores.save_ware(Ware(0, sort, f"{TYPED} {sort[:2]}", recipe=TYPED)).result()
    return cook_id


def escaped(text: str) -> bool:
    """Whether a text shows English that no translation was asked for."""
    outside = re.sub(r"⟦.*?⟧", "", text, flags=re.DOTALL)
    while (inner := re.sub(r"⟦[^⟦⟧]*⟧", "", text)) != text:
        text = outside = inner
    return LATIN.search(SAME.sub("", outside)) is not None


def texts_of(widget: QWidget) -> Iterator[tuple[str, str]]:
    """What a widget shows or tells, with where."""
    yield "tool tip", widget.toolTip()
    yield "accessible name", widget.accessibleName()
    if isinstance(widget, QLabel | QAbstractButton):
        yield "text", widget.text()
    if isinstance(widget, QLineEdit | QPlainTextEdit):
        yield "placeholder", widget.placeholderText()
    if isinstance(widget, QComboBox):
        yield from (("choice", widget.itemText(n)) for n in range(widget.count()))
    if isinstance(widget, QTableView):
        model = widget.model()
        for column in range(model.columnCount()):
            yield "title", str(model.headerData(column, Qt.Orientation.Horizontal) or "")
            for row in range(min(3, model.rowCount())):
                yield "cell", str(model.index(row, column).data() or "")
    if isinstance(widget, QTextBrowser):
        yield from (("line", line) for line in widget.toPlainText().splitlines())
    if widget.isWindow():
        yield (
            "window title",
            widget.windowTitle().replace(QApplication.applicationDisplayName(), ""),
        )


def look(root: QWidget, what: str, found: list[str]) -> int:
    QApplication.processEvents()
    shown = [root, *(w for w in root.findChildren(QWidget) if w.isVisible())]
    translated = 0
    for widget in shown:
        for where, text in texts_of(widget):
            translated += "⟦" in text
            if escaped(text):
                name = widget.objectName() or type(widget).__name__
                found.append(f"{what}, {name}, {where}: {text[:120]!r}")
    return translated


def test_no_text_escapes_translation(qtbot: QtBot, window: Window, context: DeskContext) -> None:
    found: list[str] = []
    translated = 0
    for name in PAGES:
        window.show_page(name)
        translated += look(window, name, found)
    window.show_page("tend")
    tend: Any = window.page("tend")
    for what in (
        "reading",
        "wrap",
        "spritz",
        "fuel",
        "hopper",
        "store",
        "probe",
        "weather",
        "note",
        "close",
    ):
        tend._side.open_form(what)
        translated += look(window, f"tend, form of {what}", found)
    tend._side.close_form()
    qtbot.mouseClick(tend.findChild(QPushButton, "safetyOpen"), Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: tend._side.safety._refresher.settled)
    translated += look(window, "tend, food safety", found)
    window.show_page("taste")
    taste: Any = window.page("taste")
    qtbot.waitUntil(lambda: taste._summary is not None)
    translated += look(window, "taste, the sheet", found)
    window.show_page("bench")
    bench: Any = window.page("bench")
    for side in range(4):
        bench._show_side(side)
        translated += look(window, f"bench, side {side}", found)
    cook_id = context.chosen
    assert cook_id is not None
    plan = plan_of(context.live(cook_id).log())
    page = window.page("plan")
    dialogs: list[QDialog] = [
        NewCookDialog(context, page),
        SettingsDialog(context, page),
        SoundCheckDialog(context, QuietPlayer(), page),
        CookerDialog(context, page),
        FuelDialog(context, cook_id, plan.schedule, parent=page),
        HistoryDialog(context, parent=page),
        CompareWindow(context, AllCooks(context.program), [cook_id, cook_id], page),
    ]
    for dialog in dialogs:
        dialog.open()
        qtbot.waitExposed(dialog)
        if isinstance(dialog, CompareWindow):
            qtbot.waitUntil(lambda d=dialog: d.reading_chosen.settled and d.reading_every.settled)
        translated += look(dialog, type(dialog).__name__, found)
        dialog.close()
        dialog.deleteLater()
    assert not found, "\n".join(dict.fromkeys(found))
    assert translated > 800


@pytest.mark.parametrize(
    ("text", "english"),
    [
        ("⟦Save⟧", False),
        ("⟦Wrap it ⟦when {x}⟧⟧", False),
        ("Ξίφος, 61.3 °C, 12 min", False),
        ("⟦Save⟧ now", True),
        ("Save", True),
        ("Europe/Vienna", False),
    ],
)
def test_what_counts_as_escaped(text: str, english: bool) -> None:
    assert escaped(text) == english
