from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.brine_request import BrineAsked
from smokejournal.cook.log.entries import FuelAdded, StoreUsed
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.stores.wares import Ware
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.brine.form import BrineForm
from smokejournal.desk.entry.store_used_form import StoreUsedForm
from smokejournal.desk.stores.page import StoresPage
from smokejournal.desk.stores.pane import StorePane
from tests.support.tend_desk import TendDesk, dressed, look_kept, tend  # noqa: F401 - fixtures

NAME, ABOUT, LEFT = range(3)
JAR = Ware(0, "salt", "jar", bought_kg=2.0, grain="dense", cup_g=230.0)


def page_of(qtbot: QtBot, context: DeskContext, width: int = 1100) -> StoresPage:
    page = StoresPage(context)
    qtbot.addWidget(page)
    page.resize(width, 600)
    page.show()
    qtbot.waitUntil(lambda: page._refresher.settled)
    return page


def press(qtbot: QtBot, page: QWidget, name: str) -> None:
    button = page.findChild(QPushButton, name)
    assert button is not None
    assert button.isVisible()
    assert button.isEnabled()
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def label(page: QWidget, name: str) -> str:
    found = page.findChild(QLabel, name)
    assert found is not None
    return found.text() if found.isVisibleTo(page) else ""


def cell(pane: StorePane, row: int, column: int) -> str:
    model = pane.table.model()
    return str(model.data(model.index(row, column)) or "")


def click_row(qtbot: QtBot, pane: StorePane, row: int) -> None:
    rect = pane.table.visualRect(pane.table.model().index(row, NAME))
    qtbot.mouseClick(pane.table.viewport(), Qt.MouseButton.LeftButton, pos=rect.center())


@pytest.mark.parametrize(
    ("sort", "title", "next_step"),
    [
        ("salt", "No salt yet", "what a cup of it weighs"),
        ("wood", "No wood yet", "by pieces"),
        ("rub", "No rub yet", "its recipe"),
    ],
)
def test_empty_stores_say_what_to_do_next(
    qtbot: QtBot, context: DeskContext, sort: str, title: str, next_step: str
) -> None:
    page = page_of(qtbot, context)
    press(qtbot, page, f"stores_{sort}")
    assert label(page, f"{sort}EmptyTitle") == title
    assert next_step in label(page, f"{sort}EmptyNext")
    assert label(page, "storesLow") == ""


def test_a_salt_is_written_down_and_shown(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    press(qtbot, page, "stores_salt")
    pane = page.panes["salt"]
    qtbot.keyClicks(pane.form.name.edit, "jar")
    qtbot.keyClicks(pane.form.cup.edit, "230")
    qtbot.keyClicks(pane.form.mass.edit, "2 kg")
    press(qtbot, pane, "wareKeep")
    qtbot.waitUntil(lambda: pane.table.model().rowCount() == 1)
    assert (cell(pane, 0, NAME), cell(pane, 0, ABOUT), cell(pane, 0, LEFT)) == (
        "jar",
        "230 g a cup",
        "2 kg",
    )
    # More of it comes in: it is added to what came before.
    qtbot.keyClicks(pane.form.more.edit, "500 g")
    press(qtbot, pane, "wareKeep")
    qtbot.waitUntil(lambda: cell(pane, 0, LEFT) == "2.5 kg")
    kept = context.program.journal.stores.wares()
    assert [(w.sort, w.bought_kg, w.cup_g) for w in kept] == [("salt", 2.5, 230.0)]


def test_wrong_input_and_a_name_twice_are_told_beside_their_field(
    qtbot: QtBot, context: DeskContext
) -> None:
    context.program.journal.stores.save_ware(JAR).result()
    page = page_of(qtbot, context)
    press(qtbot, page, "stores_salt")
    form = page.panes["salt"].form
    press(qtbot, page, "saltNew")
    press(qtbot, form, "wareKeep")
    assert "name" in label(form, "wareNameProblem")
    qtbot.keyClicks(form.name.edit, "jar")
    qtbot.keyClicks(form.cup.edit, "9000")
    press(qtbot, form, "wareKeep")
    assert "50 to 400" in label(form, "wareCupProblem")
    form.cup.edit.clear()
    qtbot.keyClicks(form.cup.edit, "230")
    press(qtbot, form, "wareKeep")
    qtbot.waitUntil(lambda: "already" in label(form, "wareNameProblem"))
    assert len(context.program.journal.stores.wares()) == 1


def test_wood_is_kept_by_mass_or_by_pieces_not_both(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    press(qtbot, page, "stores_wood")
    pane = page.panes["wood"]
    form = pane.form
    qtbot.keyClicks(form.name.edit, "plum")
    qtbot.keyClicks(form.mass.edit, "2 kg")
    qtbot.keyClicks(form.count.edit, "12")
    press(qtbot, form, "wareKeep")
    assert "leave the other empty" in label(form, "wareProblem")
    form.mass.edit.selectAll()
    qtbot.keyClick(form.mass.edit, Qt.Key.Key_Delete)
    assert label(form, "wareProblem") == ""
    assert form.low_count.isVisible()
    assert not form.low.isVisible()
    press(qtbot, form, "wareKeep")
    qtbot.waitUntil(lambda: cell(pane, 0, LEFT) == "12 pieces")


def test_what_cooks_used_is_counted_and_a_touch_opens_the_cook(
    qtbot: QtBot, context: DeskContext
) -> None:
    context.program.journal.stores.save_ware(Ware(0, "wood", "plum", bought_count=12.0)).result()
    cook = context.program.new_cook("Ribs", "UTC")
    context.live(cook).record(StoreUsed("wood", "plum", count=8.0)).result()
    page = page_of(qtbot, context)
    press(qtbot, page, "stores_wood")
    pane = page.panes["wood"]
    assert cell(pane, 0, LEFT) == "4 pieces"
    # One usual use is 8 pieces: 4 won't do.
    assert label(page, "storesLow") == "Runs low: plum"
    click_row(qtbot, pane, 0)
    row = pane.findChild(QPushButton, f"woodUsedBy_{cook}")
    assert row is not None
    assert "Ribs" in row.text()
    assert "8 pieces" in row.text()
    with qtbot.waitSignal(page.open_asked) as opened:
        qtbot.mouseClick(row, Qt.MouseButton.LeftButton)
    assert opened.args == [cook, "plan"]
    assert pane.form.name.edit.isReadOnly()


def test_what_is_typed_stays_while_a_cook_writes(qtbot: QtBot, context: DeskContext) -> None:
    context.program.journal.stores.save_ware(Ware(0, "rub", "red", bought_kg=0.5)).result()
    page = page_of(qtbot, context)
    press(qtbot, page, "stores_rub")
    pane = page.panes["rub"]
    click_row(qtbot, pane, 0)
    qtbot.keyClicks(pane.form.note.edit, "hot")
    live = context.live(context.program.new_cook("Ribs", "UTC"))
    live.record(StoreUsed("rub", "red", 0.1)).result()
    qtbot.waitUntil(lambda: cell(pane, 0, LEFT) == "400 g")
    assert pane.form.note.text() == "hot"


def test_a_lot_says_which_cooks_used_it_and_what_a_bag_holds(
    qtbot: QtBot, context: DeskContext
) -> None:
    context.program.journal.stores.save_lot(
        Lot(0, "oak", 9.0, 9.0, "EUR", 1.0, label="Grill pellets", net_mj_kg=18.0)
    ).result()
    cook = context.program.new_cook("Ribs", "UTC")
    context.live(cook).record(FuelAdded("oak", 6.0, 0.1)).result()
    page = page_of(qtbot, context)
    rect = page.pellets.table.visualRect(page.pellets.table.model().index(0, 0))
    qtbot.mouseClick(page.pellets.table.viewport(), Qt.MouseButton.LeftButton, pos=rect.center())
    assert page.pellets.form.label.text() == "Grill pellets"
    assert "A bag holds 45 kWh" in label(page, "lotEnergy")
    row = page.findChild(QPushButton, f"lotUsedBy_{cook}")
    assert row is not None
    assert "how much is unknown" in row.text()


def test_a_brine_goes_by_a_salt_of_ones_own(qtbot: QtBot) -> None:
    form = BrineForm((), salts=(JAR,))
    qtbot.addWidget(form)
    form.show()
    form.grain.setCurrentIndex(
        form.grain.findText("jar (230 g a cup, coarse, dense rolled grains)")
    )
    asked = form.asked()
    assert (asked.salt, asked.cup_g, asked.grain) == ("jar", 230.0, "dense")
    # Opened again after the salt is gone or was weighed anew: as it was then.
    later = BrineForm(())
    qtbot.addWidget(later)
    later.show_asked(asked)
    assert later.asked() == asked
    assert later.grain.currentText().startswith("jar")
    later.show_asked(BrineAsked("2 L water", grain="flake"))
    assert (later.asked().salt, later.asked().grain) == ("", "flake")


def test_what_was_used_is_logged_by_a_form(qtbot: QtBot) -> None:
    form = StoreUsedForm(lambda: 1_780_000_000.0)
    qtbot.addWidget(form)
    form.set_wares(
        [Ware(1, "wood", "plum"), Ware(2, "rub", "red"), Ware(3, "rub", "old", retired=True)]
    )
    form.show()
    form.open()
    assert form.ware.currentText() == "plum"
    qtbot.keyClicks(form.count.edit, "3")
    with qtbot.waitSignal(form.said) as said:
        form.submit()
    assert said.args is not None
    assert said.args[0].payloads == (StoreUsed("wood", "plum", None, 3.0),)
    form.written()
    rub = form.sort.findChild(QWidget, "storeSort_rub")
    assert rub is not None
    qtbot.mouseClick(rub, Qt.MouseButton.LeftButton)
    assert [form.ware.itemText(n) for n in range(form.ware.count())] == ["red"]
    assert not form.count.isVisible()
    with qtbot.waitSignal(form.said) as said:
        form.submit()
    assert said.args is not None
    assert said.args[0].payloads == (StoreUsed("rub", "red"),)


@pytest.mark.parametrize("sort", ["salt", "wood", "rub"])
def test_nothing_of_a_form_is_cut_off_at_the_right(
    qtbot: QtBot,
    context: DeskContext,
    dressed: None,  # noqa: F811
    sort: str,
) -> None:
    page = page_of(qtbot, context, 776)
    press(qtbot, page, f"stores_{sort}")
    form = next(pane.form for name, pane in page.panes.items() if name == sort)

    def cut() -> list[str]:
        return [
            part.objectName()
            for part in form.findChildren(QWidget)
            if part.isVisible()
            and part.visibleRegion().boundingRect().width() < part.width()
            and part.visibleRegion().boundingRect().height() > 0
        ]

    qtbot.waitUntil(lambda: not cut())
    assert page.width() == 776


def test_on_tend_one_key_asks_what_was_used(tend: TendDesk) -> None:  # noqa: F811
    tend.context.program.journal.stores.save_ware(Ware(0, "rub", "red", bought_kg=0.5)).result()
    tend.begin()
    tend.show()
    tend.key("U")
    tend.key("2")
    form = tend.page.findChild(StoreUsedForm, "storeForm")
    assert form is not None
    assert form.ware.currentText() == "red"
    form.mass.edit.setFocus()
    tend.type("120 g")
    tend.key(Qt.Key.Key_Return)
    tend.recorded("Used rub: red, 120 g")
    assert tend.entries(StoreUsed) == [StoreUsed("rub", "red", 0.12)]
