from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QLabel, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import CookClosed, FuelAdded, FuelLevel, ScheduleStarted
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.text.quantities import US
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.stores.page import StoresPage
from tests.support.fakes import FixedClock
from tests.support.tend_desk import dressed, look_kept  # noqa: F401 - a fixture

LOT, _WOOD, LEFT, BURNED, _BAGS, _BAG, PRICE = range(7)


def page_of(qtbot: QtBot, context: DeskContext) -> StoresPage:
    page = StoresPage(context)
    qtbot.addWidget(page)
    page.resize(1100, 600)
    page.show()
    qtbot.waitUntil(lambda: page._refresher.settled)
    return page


def keep(context: DeskContext, lot: Lot) -> Lot:
    return context.program.journal.stores.save_lot(lot).result()


def burn(context: DeskContext, clock: FixedClock, lot: str) -> None:
    live = context.live(context.program.new_cook("Ribs", "UTC"))
    live.record(FuelAdded(lot, 6.0, 0.1)).result()
    live.record(FuelLevel(6.0, 0.1)).result()
    live.record(ScheduleStarted()).result()
    clock.forward(6 * 3600)
    live.record(FuelLevel(2.0, 0.2)).result()
    live.record(CookClosed()).result()


def cell(page: StoresPage, row: int, column: int) -> str:
    model = page.pellets.table.model()
    return str(model.data(model.index(row, column)) or "")


def label(page: QWidget, name: str) -> str:
    found = page.findChild(QLabel, name)
    assert found is not None
    return found.text() if found.isVisibleTo(page) else ""


def press(qtbot: QtBot, page: QWidget, name: str) -> None:
    button = page.findChild(QPushButton, name)
    assert button is not None
    assert button.isEnabled()
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def click_row(qtbot: QtBot, page: StoresPage, row: int) -> None:
    rect = page.pellets.table.visualRect(page.pellets.table.model().index(row, LOT))
    qtbot.mouseClick(page.pellets.table.viewport(), Qt.MouseButton.LeftButton, pos=rect.center())


def test_empty_stores_say_what_to_do_next(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    assert label(page, "storesEmptyTitle") == "No lots yet"
    assert "bag" in label(page, "storesEmptyNext")


def test_the_caution_about_stored_pellets_is_always_there(
    qtbot: QtBot, context: DeskContext
) -> None:
    page = page_of(qtbot, context)
    caution = label(page, "storesCaution")
    assert "carbon monoxide" in caution
    assert "sealed room" in caution
    assert "codes" in caution


def test_a_lot_is_written_down_and_shown(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    form = page.pellets.form
    qtbot.keyClicks(form.name.edit, "oak, spring")
    qtbot.keyClicks(form.wood.edit, "oak")
    qtbot.keyClicks(form.bag.edit, "9 kg")
    qtbot.keyClicks(form.price.edit, "14,50")
    form.bags.edit.selectAll()
    qtbot.keyClicks(form.bags.edit, "2")
    press(qtbot, form, "lotKeep")
    qtbot.waitUntil(lambda: page.pellets.table.model().rowCount() == 1)
    assert cell(page, 0, LOT) == "oak, spring"
    assert cell(page, 0, LEFT) == "18 kg"
    assert cell(page, 0, PRICE) == "14.50 EUR"
    kept = context.program.journal.stores.lots()[0]
    assert (kept.bag_kg, kept.bags_bought, kept.price, kept.currency) == (9.0, 2.0, 14.5, "EUR")


def test_wrong_input_is_told_beside_its_field_and_stays(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    form = page.pellets.form
    qtbot.keyClicks(form.name.edit, "oak")
    qtbot.keyClicks(form.bag.edit, "plenty")
    press(qtbot, form, "lotKeep")
    assert label(form, "lotBagProblem")
    assert form.bag.text() == "plenty"
    assert form.name.text() == "oak"
    assert context.program.journal.stores.lots() == []
    form.name.edit.clear()
    press(qtbot, form, "lotKeep")
    assert "name" in label(form, "lotNameProblem")


def test_two_lots_of_one_name_are_not_taken(qtbot: QtBot, context: DeskContext) -> None:
    keep(context, Lot(0, "oak", bag_kg=9.0, bags_bought=1.0))
    page = page_of(qtbot, context)
    press(qtbot, page, "storesNew")
    qtbot.keyClicks(page.pellets.form.name.edit, "oak")
    press(qtbot, page.pellets.form, "lotKeep")
    assert "already" in label(page.pellets.form, "lotNameProblem")
    assert len(context.program.journal.stores.lots()) == 1


def test_what_cooks_burned_is_shown_with_how_sure_it_is(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    keep(context, Lot(0, "oak", bag_kg=9.0, bags_bought=2.0))
    burn(context, clock, "oak")
    page = page_of(qtbot, context)
    assert cell(page, 0, BURNED) == "4 ± 0.2 kg"
    assert cell(page, 0, LEFT) == "14 ± 0.2 kg"
    context.set_units(US)
    assert cell(page, 0, LEFT).endswith("lb")


def test_a_lot_that_cooks_used_keeps_its_name(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    keep(context, Lot(0, "oak", bag_kg=9.0, bags_bought=2.0))
    burn(context, clock, "oak")
    page = page_of(qtbot, context)
    click_row(qtbot, page, 0)
    assert page.pellets.form.name.text() == "oak"
    assert page.pellets.form.name.edit.isReadOnly()
    press(qtbot, page, "storesNew")
    assert not page.pellets.form.name.edit.isReadOnly()
    assert page.pellets.form.name.text() == ""


def test_one_more_bag(qtbot: QtBot, context: DeskContext) -> None:
    keep(context, Lot(0, "oak", bag_kg=9.0, bags_bought=1.0))
    page = page_of(qtbot, context)
    click_row(qtbot, page, 0)
    press(qtbot, page, "storesMore")
    qtbot.waitUntil(lambda: cell(page, 0, LEFT) == "18 kg")
    assert page.pellets.table.selectionModel().hasSelection()


def test_retired_lots_are_out_of_the_way_until_asked_for(
    qtbot: QtBot, context: DeskContext
) -> None:
    keep(context, Lot(0, "oak", bag_kg=9.0, bags_bought=1.0))
    keep(context, Lot(0, "old", bag_kg=9.0, bags_bought=1.0, retired=True))
    page = page_of(qtbot, context)
    assert page.pellets.table.model().rowCount() == 1
    box = page.findChild(QCheckBox, "storesRetired")
    assert box is not None
    box.click()
    assert page.pellets.table.model().rowCount() == 2
    assert "old (retired)" in {cell(page, row, LOT) for row in range(2)}


def test_a_cook_that_does_not_tell_gives_a_range_and_the_reason(
    qtbot: QtBot, context: DeskContext
) -> None:
    keep(context, Lot(0, "oak", bag_kg=9.0, bags_bought=2.0))
    live = context.live(context.program.new_cook("Ribs", "UTC"))
    live.record(FuelAdded("oak", 6.0, 0.1)).result()
    page = page_of(qtbot, context)
    assert cell(page, 0, BURNED) == "unknown"
    assert cell(page, 0, LEFT) == "12 to 18 kg"
    click_row(qtbot, page, 0)
    assert label(page, "storesWhy") == "1 of 1 cooks don't tell what burned"


def test_fuel_logged_elsewhere_is_taken_in(
    qtbot: QtBot, context: DeskContext, clock: FixedClock
) -> None:
    keep(context, Lot(0, "oak", bag_kg=9.0, bags_bought=2.0))
    page = page_of(qtbot, context)
    assert cell(page, 0, LEFT) == "18 kg"
    burn(context, clock, "oak")
    qtbot.waitUntil(lambda: cell(page, 0, LEFT) == "14 ± 0.2 kg")


@pytest.mark.parametrize("width", [776, 1156])
def test_nothing_of_the_form_is_cut_off_at_the_right(
    qtbot: QtBot,
    context: DeskContext,
    dressed: None,  # noqa: F811
    width: int,
):
    page = StoresPage(context)
    qtbot.addWidget(page)
    page.resize(width, 560)
    page.show()
    qtbot.waitExposed(page)
    qtbot.waitUntil(lambda: page._refresher.settled)
    assert page.width() == width

    def cut() -> list[str]:
        return [
            part.objectName()
            for part in page.pellets.form.findChildren(QWidget)
            if part.isVisible() and part.visibleRegion().boundingRect().width() < part.width()
        ]

    qtbot.waitUntil(lambda: not cut())
