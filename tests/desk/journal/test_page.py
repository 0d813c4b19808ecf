from __future__ import annotations

from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtCore import QDate, QItemSelectionModel, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QLabel, QMenu, QPushButton, QStackedWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    CookPutAway,
    CookRenamed,
    FuelAdded,
    ItemAdded,
    NextTime,
    Note,
    ScheduleStarted,
    Tasted,
    WeatherObserved,
)
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.summary.tasting import dots
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.desk.base.context import DeskContext, Notice
from smokejournal.desk.base.theme import GROUNDS
from smokejournal.desk.journal.model import LONG, MARK, MARKS, PAGE, PICTURE, SECOND, TITLE, WHEN
from smokejournal.desk.journal.page import JournalPage
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.new_cook_dialog import NewCookDialog
from smokejournal.services.program.settings import Settings, load
from tests.support.fakes import FixedClock

ZONE = "Europe/Berlin"


def a_cook(context: DeskContext, title: str, *, place: str = "", simulated: bool = False) -> int:
    return context.program.new_cook(title, ZONE, place=place, simulated=simulated)


def a_finished_cook(context: DeskContext, clock: FixedClock, title: str) -> int:
    cook_id = a_cook(context, title)
    live = context.live(cook_id)
    live.record(ItemAdded("pork shoulder", "red_meat", mass_kg=3.2)).result()
    live.record(ScheduleStarted()).result()
    clock.forward(9.5 * 3600)
    live.record(CookClosed()).result()
    live.record(Tasted("juicy", {"overall": 4, "smoke": 3})).result()
    return cook_id


def page_of(qtbot: QtBot, context: DeskContext) -> JournalPage:
    page = JournalPage(context)
    qtbot.addWidget(page)
    page.resize(1100, 600)
    page.show()
    return page


def cell(page: JournalPage, row: int, column: int) -> str:
    model = page.table.model()
    return str(model.data(model.index(row, column)) or "")


def second(page: JournalPage, row: int, column: int) -> str:
    model = page.table.model()
    return str(model.data(model.index(row, column), SECOND) or "")


def text_of(page: JournalPage, name: str) -> str:
    label = page.findChild(QLabel, name)
    assert label is not None
    return label.text()


def press(qtbot: QtBot, page: JournalPage, name: str) -> None:
    button = page.findChild(QPushButton, name)
    assert button is not None
    assert button.isEnabled()
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def double_click(qtbot: QtBot, page: JournalPage, row: int) -> None:
    rect = page.table.visualRect(page.table.model().index(row, TITLE))
    port = page.table.viewport()
    qtbot.mouseClick(port, Qt.MouseButton.LeftButton, pos=rect.center())
    qtbot.mouseDClick(port, Qt.MouseButton.LeftButton, pos=rect.center())


def test_an_empty_journal_says_what_to_do_next(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    assert text_of(page, "journalEmptyTitle") == "No cooks yet"
    press(qtbot, page, "journalEmptyButton")
    assert page.findChild(NewCookDialog) is not None


def test_cooks_stand_newest_first_with_what_matters(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    a_finished_cook(context, clock, "Sunday shoulder")
    clock.forward(86400)
    a_cook(context, "Practice trout", simulated=True)
    page = page_of(qtbot, context)
    assert page.table.model().rowCount() == 2
    assert cell(page, 0, TITLE) == "Practice trout"
    assert second(page, 0, WHEN) == "planned, SIMULATED"
    assert cell(page, 0, LONG) == ""
    assert cell(page, 1, TITLE) == "Sunday shoulder"
    assert second(page, 1, TITLE) == "pork shoulder 3.2 kg"
    assert cell(page, 1, LONG) == "9 h 30 min"
    assert second(page, 1, WHEN) == "finished"
    assert cell(page, 1, MARK) == "●●●●○"
    assert cell(page, 1, WHEN) == "Thu 28 May 2026"
    assert text_of(page, "journalCount") == "2 cooks"


def test_masses_follow_the_units(qtbot: QtBot, context: DeskContext, clock: FixedClock) -> None:
    a_finished_cook(context, clock, "Sunday shoulder")
    page = page_of(qtbot, context)
    context.set_units(US)
    assert second(page, 0, TITLE) == "pork shoulder 7 lb 1 oz"


def test_double_click_and_enter_open_a_cook_on_the_page_that_fits(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    finished = a_finished_cook(context, clock, "Sunday shoulder")
    clock.forward(60)
    under_way = a_cook(context, "Ribs")
    context.live(under_way).record(ScheduleStarted()).result()
    clock.forward(60)
    planned = a_cook(context, "Chicken")
    page = page_of(qtbot, context)
    for row, cook_id, where in ((0, planned, "plan"), (1, under_way, "tend")):
        with qtbot.waitSignal(page.open_asked) as asked:
            double_click(qtbot, page, row)
        assert asked.args == [cook_id, where]
        assert context.chosen == cook_id
    qtbot.keyClick(page.table, Qt.Key.Key_Down)
    with qtbot.waitSignal(page.open_asked) as asked:
        qtbot.keyClick(page.table, Qt.Key.Key_Return)
    assert asked.args == [finished, "taste"]


def test_search_finds_and_says_when_there_is_nothing(qtbot: QtBot, context: DeskContext) -> None:
    for title in ("Sunday ribs", "Trout", "Ribs for ten"):
        a_cook(context, title)
    page = page_of(qtbot, context)
    qtbot.keyClicks(page.search, "ribs")
    qtbot.waitUntil(lambda: page.table.model().rowCount() == 2)
    assert text_of(page, "journalCount") == "2 found"
    qtbot.keyClicks(page.search, "xyz")
    qtbot.waitUntil(lambda: page.table.model().rowCount() == 0)
    assert "ribsxyz" in text_of(page, "journalEmptyTitle")
    press(qtbot, page, "journalEmptyButton")
    assert page.table.model().rowCount() == 3
    assert page.search.text() == ""


def test_a_search_says_which_words_matched(qtbot: QtBot, context: DeskContext) -> None:
    noted, named = a_cook(context, "Sunday ribs"), a_cook(context, "Applewood trout")
    context.live(noted).record(Note("Applewood chips were wet")).result()
    a_cook(context, "Mackerel")
    page = page_of(qtbot, context)
    qtbot.keyClicks(page.search, "applewood")
    qtbot.waitUntil(lambda: page.table.model().rowCount() == 2)
    rows = {cell(page, n, TITLE): second(page, n, TITLE) for n in range(2)}
    # What the title shows by itself isn't said again.
    assert rows == {
        "Sunday ribs": "Note: Applewood chips were wet (28 May 2026)",
        "Applewood trout": "",
    }
    assert named != noted


def test_what_was_looked_for_is_marked_and_nothing_is_markup(
    qtbot: QtBot, context: DeskContext
) -> None:
    cook_id = a_cook(context, "Trout")
    long_before = "a long story about the evening before " * 3
    said = NextTime(f"{long_before}<b>start</b> an hour earlier")
    context.live(cook_id).record(said).result()
    page = page_of(qtbot, context)
    qtbot.keyClicks(page.search, "start earl")
    qtbot.waitUntil(lambda: "Next time" in second(page, 0, TITLE))
    shown = second(page, 0, TITLE)
    assert shown == "Next time: … before <b>start</b> an hour earlier (28 May 2026)"
    marks = page.table.model().data(page.table.model().index(0, TITLE), MARKS)
    assert [shown[at:to] for at, to in marks] == ["start", "earlier"]


def test_filters_open_beside_the_search_say_what_they_do_and_are_cleared_at_once(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    for title, food, air_c in (
        ("Trout", "fish", 4.0),
        ("Eel", "fish", 21.0),
        ("Ribs", "red_meat", 4.0),
    ):
        live = context.live(a_cook(context, title))
        live.record(ItemAdded("piece", food)).result()
        live.record(FuelAdded("Alder", 5.0, 0.1)).result()
        live.record(WeatherObserved(air_c=air_c, wind_m_s=2.0)).result()
        live.record(Note("the skin was crisp")).result()
        clock.forward(86400)
    page = page_of(qtbot, context)
    assert page.filters is None
    press(qtbot, page, "journalFold")
    assert page.filters is not None
    assert page.filters.isVisible()
    rows = page.table.model().rowCount

    def choose(box: ChoiceBox, key: str) -> None:
        box.setFocus()
        qtbot.keyClicks(box, key)

    choose(page.filters.food, "fish")
    qtbot.waitUntil(lambda: rows() == 2)
    assert text_of(page, "journalCount") == "2 found"
    assert text_of(page, "journalFiltersSaid") == "Food: fish"
    qtbot.keyClicks(page.filters.air_from.edit, "10")
    qtbot.waitUntil(lambda: rows() == 1)
    assert cell(page, 0, TITLE) == "Eel"
    assert text_of(page, "journalFiltersSaid") == "Food: fish · The air was 10 °C or warmer"
    choose(page.filters.lot, "Alder")
    page.filters.first.click()
    page.filters.first_day.setDate(QDate(2026, 5, 1))
    qtbot.keyClicks(page.search, "cris")
    qtbot.waitUntil(lambda: "Note" in second(page, 0, TITLE))
    assert "From 1 May 2026 on · The air was" in text_of(page, "journalFiltersSaid")
    assert text_of(page, "journalFiltersSaid").endswith("Pellets: Alder")
    assert second(page, 0, TITLE) == "Note: the skin was crisp (29 May 2026) · piece"
    # Folded away they still hold, and still say so.
    press(qtbot, page, "journalFold")
    assert not page.filters.isVisible()
    qtbot.keyClicks(page.filters.wind.edit, "9")
    qtbot.waitUntil(lambda: rows() == 0)
    assert "passes the filters" in text_of(page, "journalEmptyTitle")
    press(qtbot, page, "journalFiltersClear")
    qtbot.waitUntil(lambda: rows() == 3)
    assert text_of(page, "journalCount") == "3 found"
    assert not page.findChild(QLabel, "journalFiltersSaid").isVisible()


def test_a_slow_search_is_told_once(qtbot: QtBot, context: DeskContext) -> None:
    context.program.journal.searches_slowly = True
    told: list[str] = []
    context.notice_given.connect(lambda notice: told.append(notice.text))
    a_cook(context, "Sunday ribs")
    page = page_of(qtbot, context)
    for letter in "ri":
        qtbot.keyClicks(page.search, letter)
        page._on_search()
    assert len(told) == 1


def test_a_small_picture_of_the_score_comes_and_the_chosen_row_is_quiet(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    cook_id = a_cook(context, "Sunday shoulder")
    live = context.live(cook_id)
    live.record(ChannelSet(Channel("meat", "Thick end"))).result()
    live.record(ScheduleStarted()).result()
    began_s = clock.now_s()
    live.record_readings(
        [Reading(began_s + 60 * n, "meat", 5.0 + 0.2 * n) for n in range(300)]
    ).result()
    clock.forward(5 * 3600)
    live.record(CookClosed()).result()
    context.set_ground("day")
    page = page_of(qtbot, context)
    place = page.table.visualRect(page.table.model().index(0, PICTURE))

    def colors() -> set[str]:
        shown = page.table.viewport().grab(place).toImage()
        return {
            shown.pixelColor(x, y).name()
            for x in range(shown.width())
            for y in range(shown.height())
        }

    ink = GROUNDS["day"].traces[0][0]
    qtbot.waitUntil(lambda: ink in colors())
    assert (GROUNDS["day"].shade or GROUNDS["day"].line) in colors()
    assert GROUNDS["day"].ember not in colors()


def test_a_cook_is_put_away_found_again_and_taken_back(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    a_finished_cook(context, clock, "Sunday shoulder")
    clock.forward(60)
    under_way = a_cook(context, "Ribs")
    context.live(under_way).record(ScheduleStarted()).result()
    page = page_of(qtbot, context)
    page.table.selectRow(0)
    put = page.findChild(QPushButton, "journalPut")
    assert put is not None
    assert not put.isEnabled()  # it is being cooked
    page.table.selectRow(1)
    press(qtbot, page, "journalPut")
    qtbot.waitUntil(lambda: page.table.model().rowCount() == 1)
    assert cell(page, 0, TITLE) == "Ribs"
    qtbot.keyClicks(page.search, "juicy")
    qtbot.waitUntil(lambda: cell(page, 0, TITLE) == "Sunday shoulder")
    assert second(page, 0, WHEN) == "put away"
    page.search.clear()
    qtbot.waitUntil(lambda: cell(page, 0, TITLE) == "Ribs")
    show = page.findChild(QPushButton, "journalAway")
    assert show is not None
    assert show.text() == "Show 1 put away"
    press(qtbot, page, "journalAway")
    assert page.table.model().rowCount() == 2
    page.table.selectRow(1)
    assert put.text() == "Take b&ack"
    press(qtbot, page, "journalPut")
    qtbot.waitUntil(lambda: second(page, 1, WHEN) == "finished")
    assert not show.isVisible()


def test_when_it_was_wanted_stands_below_how_long_it_took(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    cook_id = context.program.new_cook("Ribs", ZONE, ready_at_s=clock.now_s() + 6 * 3600)
    page = page_of(qtbot, context)
    assert second(page, 0, LONG).startswith("wanted ")
    context.live(cook_id).record(CookRenamed("Ribs", ready_at_s=None)).result()
    qtbot.waitUntil(lambda: second(page, 0, LONG) == "")


@pytest.mark.parametrize(
    ("mark", "shown"),
    [(1, "●○○○○"), (3.5, "●●●◐○"), (4.2, "●●●●○"), (4.3, "●●●●◐"), (5, "●●●●●"), (9, "●●●●●")],
)
def test_marks_as_dots(mark: float, shown: str) -> None:
    assert dots(mark) == shown


def test_ctrl_f_goes_to_the_search(qtbot: QtBot, context: DeskContext) -> None:
    a_cook(context, "Ribs")
    page = page_of(qtbot, context)
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow)
    page.table.setFocus()
    qtbot.keyClick(page.table, Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
    assert page.search.hasFocus()


@pytest.mark.parametrize("key", [Qt.Key.Key_Down, Qt.Key.Key_Return])
def test_from_the_search_one_goes_down_to_what_was_found(
    qtbot: QtBot, context: DeskContext, key: Qt.Key
) -> None:
    wanted = a_cook(context, "Ribs")
    a_cook(context, "Trout")
    page = page_of(qtbot, context)
    with qtbot.waitActive(page):
        page.activateWindow()
    page.search.setFocus()
    qtbot.keyClicks(page.search, "ribs")
    qtbot.waitUntil(lambda: page.table.model().rowCount() == 1)
    qtbot.keyClick(page.search, key)
    assert page.table.hasFocus()
    with qtbot.waitSignal(page.open_asked) as asked:
        qtbot.keyClick(page.table, Qt.Key.Key_Return)
    assert asked.args == [wanted, "plan"]


def test_thousands_of_cooks_are_read_a_page_at_a_time(qtbot: QtBot, context: DeskContext) -> None:
    wanted: list[tuple[str, int | None, int]] = []
    cooks = context.program.cooks

    def watched(text: str = "", limit: int | None = None, offset: int = 0, **more: object):
        wanted.append((text, limit, offset))
        return cooks(text, limit, offset, **more)

    context.program.cooks = watched  # type: ignore[method-assign]
    for n in range(PAGE + 50):
        context.program.journal.new_cook(_opened(f"Cook {n}"), 1_780_000_000.0 + n, 1_780_000_000.0)
    context.program.journal.flush()
    page = page_of(qtbot, context)
    model = page.table.model()
    assert model.rowCount() == PAGE
    assert wanted == [("", PAGE, 0)]
    page.table.scrollToBottom()
    qtbot.waitUntil(lambda: model.rowCount() == PAGE + 50)
    assert wanted[-1] == ("", PAGE, PAGE)
    assert text_of(page, "journalCount") == f"{PAGE + 50} cooks"


def _opened(title: str):
    from smokejournal.cook.log.entries import CookOpened

    return CookOpened(title, ZONE)


def test_a_cook_that_is_written_elsewhere_appears(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    a_cook(context, "Ribs")
    qtbot.waitUntil(lambda: page.table.model().rowCount() == 1)
    stack = page.findChild(QStackedWidget)
    assert stack is not None
    assert stack.currentWidget() is page.table


def test_the_selected_cook_stays_selected_when_another_appears(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    a_cook(context, "first")
    page = page_of(qtbot, context)
    clock.forward(60)
    a_cook(context, "second")
    qtbot.waitUntil(lambda: page.table.model().rowCount() == 2)
    rows = page.table.selectionModel().selectedRows()
    assert [cell(page, row.row(), TITLE) for row in rows] == ["first"]


def test_plan_again_makes_a_new_cook_with_the_same_food(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    before = a_finished_cook(context, clock, "Sunday shoulder")
    page = page_of(qtbot, context)
    with qtbot.waitSignal(page.open_asked) as asked:
        press(qtbot, page, "journalAgain")
    fresh, where = asked.args
    assert where == "plan"
    assert fresh != before
    assert [what.name for _, what in context.live(fresh).log().of(ItemAdded)] == ["pork shoulder"]


def test_a_new_cook_needs_a_title_and_a_zone_and_loses_nothing(
    qtbot: QtBot, context: DeskContext
) -> None:
    page = page_of(qtbot, context)
    press(qtbot, page, "journalNew")
    dialog = page.findChild(NewCookDialog)
    assert dialog is not None
    make = dialog.findChild(QPushButton, "newCookMake")
    assert make is not None
    qtbot.keyClicks(dialog.place.edit, "Back yard")
    dialog.zone.set_zone("Nowhere/Land")
    qtbot.mouseClick(make, Qt.MouseButton.LeftButton)
    assert "title" in dialog.cook_title.message.text()
    zone = dialog.findChild(QLabel, "newCookZoneProblem")
    assert zone is not None
    assert "Nowhere/Land" in zone.text()
    assert context.program.cooks() == []
    qtbot.keyClicks(dialog.cook_title.edit, "Sunday ribs")
    dialog.zone.set_zone(ZONE)
    with qtbot.waitSignal(page.open_asked) as asked:
        qtbot.mouseClick(make, Qt.MouseButton.LeftButton)
    assert asked.args[1] == "plan"
    line = context.program.cooks()[0]
    assert (line.title, line.zone, line.place) == ("Sunday ribs", ZONE, "Back yard")


# -- the very first start --------------------------------------------------------------------------


def test_units_are_chosen_before_anything_else(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    kept: list[Settings] = []
    page.settings_kept.connect(kept.append)
    metric = page.findChild(QPushButton, "firstStartMetric")
    us = page.findChild(QPushButton, "firstStartUs")
    assert metric is not None
    assert us is not None
    assert metric.isVisible()
    assert metric.isChecked()
    qtbot.mouseClick(us, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: len(kept) == 1)
    assert context.units == US
    assert kept[0].currency == "USD"
    assert kept[0].page == "Letter"
    assert load(context.program.journal).settings == kept[0]
    qtbot.mouseClick(metric, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: len(kept) == 2)
    assert (kept[1].units, kept[1].currency, kept[1].page) == (METRIC, "EUR", "A4")


def test_a_sample_plan_is_there_to_look_at_and_marked(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    opened: list[tuple[int, str]] = []
    page.open_asked.connect(lambda cook_id, name: opened.append((cook_id, name)))
    sample = page.findChild(QPushButton, "firstStartSample")
    assert sample is not None
    qtbot.mouseClick(sample, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: len(opened) == 1)
    (cook_id, name), plan = opened[0], plan_of(context.live(opened[0][0]).log())
    assert name == "plan"
    assert plan.simulated
    assert plan.title.startswith("Sample:")
    assert plan.items
    assert plan.prep
    assert plan.channels
    assert plan.schedule.stages
    assert not plan.started
    assert plan.ready_at_s is not None
    assert plan.ready_at_s > context.now_s()
    qtbot.waitUntil(lambda: page.table.isVisible())
    assert [line.id for line in context.program.cooks()] == [cook_id]


def test_whoever_has_cooks_put_away_is_no_newcomer(qtbot: QtBot, context: DeskContext) -> None:
    cook_id = a_cook(context, "Ribs")
    context.live(cook_id).record(CookPutAway(True)).result()
    page = page_of(qtbot, context)
    assert page.findChild(QPushButton, "firstStartSample") is None


def test_a_booklet_is_of_the_selected_cooks_or_of_all_that_are_finished(
    qtbot: QtBot, context: DeskContext, clock: FixedClock, tmp_path: Path
) -> None:
    for title in ("Ribs", "Trout", "Wings"):
        a_finished_cook(context, clock, title)
    page = page_of(qtbot, context)
    menu = page.findChild(QMenu, "archiveMenu")
    action = page.findChild(QAction, "journalBooklet")
    assert menu is not None
    assert action is not None
    menu.aboutToShow.emit()
    assert action.text() == "&Booklet of all finished cooks…"
    for row in (0, 2):
        page.table.selectionModel().select(
            page.table.model().index(row, 0),
            QItemSelectionModel.SelectionFlag.Select | QItemSelectionModel.SelectionFlag.Rows,
        )
    menu.aboutToShow.emit()
    assert action.text() == "&Booklet of the selected cooks…"
    notices: list[Notice] = []
    context.notice_given.connect(notices.append)
    action.trigger()
    dialog = page.more.saver.file_dialog
    assert dialog is not None
    path = tmp_path / "two.pdf"
    dialog.fileSelected.emit(str(path))
    qtbot.waitUntil(path.exists)
    qtbot.waitUntil(lambda: len(notices) == 1)
    text = " ".join(each.extract_text() for each in PdfReader(path).pages)
    assert text.index("Ribs") < text.index("Wings")
    assert "Trout" not in text
