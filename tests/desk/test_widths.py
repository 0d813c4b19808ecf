"""Nothing is hidden by a width: pages and forms at the sizes of small laptops, and with larger type."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QTableView,
    QWidget,
)
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import ChannelSet, ItemAdded, LeadSet, PrepStep, ScheduleSet
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.plan.starter_schedules import starters
from smokejournal.cook.stores.lots import Lot
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.theme import apply_ground
from smokejournal.desk.parts.short_label import ShortLabel
from smokejournal.desk.shell.window import Window
from tests.support.fakes import FixedClock
from tests.support.tend_desk import QuietPlayer

#: The first is the smallest that the window can be.
SIZES = [(900, 540, 100), (1024, 600, 100), (1280, 800, 100), (1280, 800, 125)]


@pytest.fixture(params=SIZES, ids=lambda size: f"{size[0]}x{size[1]} at {size[2]} %")
def window(
    request: pytest.FixtureRequest, qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> Iterator[Window]:
    width, height, percent = request.param
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    font, palette, style = app.font(), app.palette(), app.style().objectName()
    apply_ground(app, "day")
    sheet = app.styleSheet()
    if percent != 100:
        # As a display at 125 % shows it: as many logical pixels fewer.
        width, height = width * 100 // percent, height * 100 // percent
    program = context.program
    cook_id = program.new_cook("Pork shoulder for the neighbors", "Europe/Vienna", hopper_kg=9.0)
    live = context.live(cook_id)
    now_s = clock.now_s()
    for payload in (
        ItemAdded("pork shoulder with the bone", "red_meat", "neck end", 2.8, 0.12),
        PrepStep("dry brine", "42 g salt, uncovered on a rack", 43_200.0),
        ChannelSet(Channel("c1", "Thick end of the shoulder", "meat", place="thickest part")),
        ChannelSet(Channel("c2", "Thin end", "meat")),
        ChannelSet(Channel("c3", "Grate, left side", "pit")),
        LeadSet("c1", "c2"),
        ScheduleSet(starters()[0]),
    ):
        live.record(payload, now_s).result()
    for key, value in (("c1", 61.3), ("c2", 58.8), ("c3", 108.0)):
        live.record_readings([Reading(now_s, key, value)]).result()
    for name, wood in (
        ("Oak and cherry, bag B", "oak, cherry"),
        ("Beech, the long winter", "beech"),
    ):
        program.journal.stores.save_lot(
            Lot(0, name, 10.0, 11.5, "EUR", 3, wood, "Dark.", label="Pellets, oak 70, cherry 30")
        ).result()
    context.choose(cook_id)
    shown = Window(context, QuietPlayer())
    qtbot.addWidget(shown)
    shown.resize(width, height)
    shown.show()
    qtbot.waitExposed(shown)
    yield shown
    shown.close_unasked()
    shown.deleteLater()
    app.setStyleSheet("")
    app.setStyle(style)
    app.setPalette(palette)
    app.setFont(font)
    del sheet


def words_of(widget: QWidget) -> str:
    holds = isinstance(widget, QLabel | QAbstractButton | QLineEdit)
    return widget.text()[:50] if holds else ""


def too_narrow(root: QWidget) -> list[str]:
    """What is shown narrower than what it holds."""
    found = []
    for widget in root.findChildren(QWidget):
        if not widget.isVisible() or (widget.visibleRegion().isEmpty() and not widget.width()):
            continue
        name = f"{widget.objectName() or type(widget).__name__} “{words_of(widget)}”"
        if isinstance(widget, QLabel):
            # One that is cut with an ellipsis on purpose shows the whole in its tool tip.
            if isinstance(widget, ShortLabel) or widget.wordWrap() or not widget.text():
                continue
            if widget.pixmap() is not None and not widget.pixmap().isNull():
                continue
            if widget.width() + 1 < widget.sizeHint().width():
                found.append(f"label {name}: {widget.width()} of {widget.sizeHint().width()}")
        elif isinstance(widget, QAbstractButton):
            if widget.text() and widget.width() + 1 < widget.minimumSizeHint().width():
                found.append(
                    f"button {name}: {widget.width()} of {widget.minimumSizeHint().width()}"
                )
        elif isinstance(widget, QComboBox):
            if widget.isEditable():
                continue
            metrics = widget.fontMetrics()
            room = widget.width() - 30
            if metrics.horizontalAdvance(widget.currentText()) > room and not widget.toolTip():
                found.append(
                    f"list {widget.objectName()} “{widget.currentText()}”: {widget.width()}"
                )
        elif isinstance(widget, QLineEdit):
            metrics = widget.fontMetrics()
            hint = widget.text() or widget.placeholderText()
            if len(hint) < 24 and metrics.horizontalAdvance(hint) > widget.width() - 4:
                found.append(f"field {widget.objectName()} “{hint}”: {widget.width()}")
        elif isinstance(widget, QTableView):
            header = widget.horizontalHeader()
            for column in range(widget.model().columnCount()):
                if header.isSectionHidden(column):
                    continue
                least = min(widget.sizeHintForColumn(column), 110)
                if header.sectionSize(column) < least:
                    found.append(
                        f"column {column} of {widget.objectName()}: {header.sectionSize(column)} of {least}"
                    )
    return found


def too_low(root: QWidget) -> list[str]:
    """Texts over several lines of which the last ones aren't shown."""
    return [
        f"label {label.objectName()} “{words_of(label)}”: {label.height()} high of "
        f"{label.heightForWidth(label.width())}"
        for label in root.findChildren(QLabel)
        if label.isVisible()
        and label.wordWrap()
        and label.text()
        and label.height() + 1 < label.heightForWidth(label.width())
    ]


def cut_off(root: QWidget) -> list[str]:
    """What lies beyond the right edge of an area that scrolls up and down only."""
    found = []
    for area in root.findChildren(QScrollArea):
        if not area.isVisible():
            continue
        if area.horizontalScrollBarPolicy() != Qt.ScrollBarPolicy.ScrollBarAlwaysOff:
            continue
        inside = area.widget()
        if inside is None:
            continue
        edge = area.viewport().width()
        for widget in inside.findChildren(QWidget):
            if not widget.isVisible() or widget.findChild(QWidget) is not None:
                continue
            right = widget.mapTo(area.viewport(), QPoint(widget.width(), 0)).x()
            if right > edge + 1:
                found.append(
                    f"{widget.objectName() or type(widget).__name__} in {area.objectName()}: "
                    f"{right} of {edge}"
                )
    return found


def click(qtbot: QtBot, page: QWidget, name: str) -> None:
    button = page.findChild(QPushButton, name)
    assert button is not None, name
    assert button.isVisible(), name
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def look(qtbot: QtBot, window: Window, what: str, problems: list[str]) -> None:
    QApplication.processEvents()
    QApplication.processEvents()
    problems += [
        f"{what}: {each}" for each in (*too_narrow(window), *too_low(window), *cut_off(window))
    ]


def test_pages_and_forms(qtbot: QtBot, window: Window) -> None:
    problems: list[str] = []
    for name in ("journal", "plan", "tend", "taste", "stores", "bench"):
        window.show_page(name)
        qtbot.waitUntil(lambda name=name: window.page(name).isVisible())
        look(qtbot, window, name, problems)
    for step in _bench_steps(window):
        look(qtbot, window, step, problems)
    for step in _plan_steps(qtbot, window):
        look(qtbot, window, step, problems)
    for step in _tend_steps(qtbot, window):
        look(qtbot, window, step, problems)
    window.show_page("stores")
    page = window.page("stores")
    table = next(t for t in page.findChildren(QTableView) if t.isVisible())
    qtbot.waitUntil(lambda: table.model().rowCount() == 2)
    at = table.visualRect(table.model().index(0, 1)).center()
    qtbot.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=at)
    look(qtbot, window, "a lot of stores", problems)
    assert not problems, "\n".join(dict.fromkeys(problems))


def _bench_steps(window: Window) -> Iterator[str]:
    window.show_page("bench")
    kinds = window.page("bench").findChild(QComboBox, "inputKind")
    for place in range(kinds.count()):
        kinds.setCurrentIndex(place)
        yield f"bench, {kinds.currentText()}"


def _plan_steps(qtbot: QtBot, window: Window) -> Iterator[str]:
    window.show_page("plan")
    page = window.page("plan")
    head = page.head.tabs  # type: ignore[attr-defined]
    for part in range(head.count()):
        head.setCurrentIndex(part)
        yield f"plan, {head.tabText(part)}"
    wide = page.dish.isVisible()  # type: ignore[attr-defined]
    if not wide:
        head.setCurrentIndex(0)
    for part in ("items", "prep", "probes"):
        if not page.findChild(QPushButton, f"{part}Add").isVisible():
            continue
        click(qtbot, page, f"{part}Add")
        yield f"plan, form of {part}"
        if part == "items":
            click(qtbot, page, "dishOpen")
            yield "plan, a dish of its own"
        click(qtbot, page, f"{part}Cancel")


def _tend_steps(qtbot: QtBot, window: Window) -> Iterator[str]:
    window.show_page("tend")
    page = window.page("tend")
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
    ):
        click(qtbot, page, f"entry_{what}")
        yield f"tend, form of {what}"
    open_form: Callable[[str], None] = page._side.open_form  # type: ignore[attr-defined]
    for what in ("close", "refrigerator"):
        open_form(what)
        yield f"tend, form of {what}"
    page._side.close_form()  # type: ignore[attr-defined]
    click(qtbot, page, "safetyOpen")
    qtbot.waitUntil(lambda: page._side.safety._refresher.settled)  # type: ignore[attr-defined]
    yield "tend, food safety"
