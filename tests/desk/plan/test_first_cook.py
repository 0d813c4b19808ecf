"""A first cook as a newcomer plans it: few clicks, few fields, and every step can be taken back."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import ItemAdded, LeadSet, PrepStep
from smokejournal.cook.log.schedule import Schedule, Stage, UntilTemperature
from smokejournal.cook.plan.plan import Plan, plan_of
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.plan.page import PlanPage
from smokejournal.desk.shell.window import Window


class Newcomer:
    """Clicks and types in whatever window is in front, and counts it."""

    def __init__(self, qtbot: QtBot, window: Window) -> None:
        self.qtbot, self.window = qtbot, window
        self.clicks = self.fields = 0

    def _find(self, kind: type[QWidget], name: str) -> QWidget | None:
        tops = [QApplication.activeModalWidget() or self.window, self.window]
        found = [w for top in tops for w in top.findChildren(kind, name) if w.isVisible()]
        return found[0] if found else None

    def click(self, name: str) -> None:
        self.qtbot.waitUntil(lambda: self._find(QAbstractButton, name) is not None)
        button = self._find(QAbstractButton, name)
        assert button is not None
        assert button.isEnabled()
        self.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        self.clicks += 1

    def type(self, name: str, text: str) -> None:
        self.qtbot.waitUntil(lambda: self._find(QLineEdit, name) is not None)
        edit = self._find(QLineEdit, name)
        assert edit is not None
        edit.setFocus()
        self.qtbot.keyClicks(edit, text)
        self.fields += 1


@pytest.fixture
def window(qtbot: QtBot, context: DeskContext) -> Iterator[Window]:
    window = Window(context)
    window.resize(1280, 800)
    window.show_page("journal")
    window.show()
    yield window
    window.close_unasked()
    window.deleteLater()


def plan(context: DeskContext) -> Plan:
    assert context.chosen is not None
    return plan_of(context.live(context.chosen).log())


def test_nine_clicks_and_four_fields_at_most(
    qtbot: QtBot, context: DeskContext, window: Window
) -> None:
    new = Newcomer(qtbot, window)
    new.click("journalNew")
    new.type("newCookTitle", "Sunday shoulder")
    new.click("newCookMake")
    new.type("itemName", "pork shoulder")
    new.type("itemMass", "3.6")
    new.click("itemsKeep")
    qtbot.waitUntil(lambda: len(plan(context).items) == 1)
    new.click("probesPair")
    shown = window.page("plan")
    assert isinstance(shown, PlanPage)
    qtbot.waitUntil(lambda: shown.dish.probes.list.count() == 2)
    new.click("scheduleOffer_0")
    new.click("startCook")
    qtbot.waitUntil(lambda: plan(context).started)
    assert (new.clicks, new.fields) <= (9, 4)
    assert new.fields <= 4
    made = plan(context)
    assert made.items[0][1].food == "red_meat"
    assert [c.role for c in made.channels.values()] == ["pit", "meat"]
    assert made.lead is not None
    assert made.channels[made.lead].role == "meat"
    assert made.schedule.name == "Low and slow with a wrap"


@pytest.fixture
def page(qtbot: QtBot, context: DeskContext) -> PlanPage:
    context.choose(context.program.new_cook("Sunday", "Europe/Berlin"))
    page = PlanPage(context)
    qtbot.addWidget(page)
    page.resize(1300, 900)
    page.show()
    return page


def press(qtbot: QtBot, page: QWidget, name: str) -> None:
    button = page.findChild(QAbstractButton, name)
    assert button is not None
    assert button.isVisible(), name
    assert button.isEnabled(), name
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def test_an_empty_form_for_food_is_no_bar_to_starting(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    page.ask_for_food()
    assert page.dish.items.is_open
    press(qtbot, page, "scheduleOffer_4")  # One stage, until it is confirmed: it needs no probe.
    press(qtbot, page, "startCook")
    qtbot.waitUntil(lambda: plan(context).started)


def test_food_that_was_removed_or_changed_comes_back(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    assert context.chosen is not None
    context.live(context.chosen).record(ItemAdded("ribs", "red_meat", mass_kg=2.0)).result()
    qtbot.waitUntil(lambda: page.dish.items.list.count() == 1)
    page.dish.items.list.setCurrentRow(0)
    press(qtbot, page, "itemsRemove")
    qtbot.waitUntil(lambda: not plan(context).items)
    qtbot.waitUntil(lambda: page.dish.items.back.isVisible())
    press(qtbot, page, "itemsBack")
    qtbot.waitUntil(lambda: [i.name for _, i in plan(context).items] == ["ribs"])
    qtbot.waitUntil(lambda: page.dish.items.list.count() == 1)
    assert not page.dish.items.back.isVisible()

    page.dish.items.list.setCurrentRow(0)
    press(qtbot, page, "itemsChange")
    page.dish.items.what.set_text("short ribs")
    press(qtbot, page, "itemsKeep")
    qtbot.waitUntil(lambda: [i.name for _, i in plan(context).items] == ["short ribs"])
    qtbot.waitUntil(lambda: page.dish.items.back.isVisible())
    press(qtbot, page, "itemsBack")
    qtbot.waitUntil(
        lambda: [(i.name, i.mass_kg) for _, i in plan(context).items] == [("ribs", 2.0)]
    )


def test_only_what_was_done_last_can_be_taken_back(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    assert context.chosen is not None
    live = context.live(context.chosen)
    live.record(ItemAdded("ribs", "red_meat")).result()
    live.record(PrepStep("rub", "48 g salt")).result()
    qtbot.waitUntil(lambda: page.dish.prep.list.count() == 1)
    page.dish.items.list.setCurrentRow(0)
    press(qtbot, page, "itemsRemove")
    qtbot.waitUntil(lambda: page.dish.items.back.isVisible())
    page.dish.prep.list.setCurrentRow(0)
    press(qtbot, page, "prepRemove")
    qtbot.waitUntil(lambda: page.dish.prep.back.isVisible())
    assert not page.dish.items.back.isVisible()
    press(qtbot, page, "prepBack")
    qtbot.waitUntil(lambda: len(plan(context).prep) == 1)
    assert not plan(context).items


def test_probes_come_back_with_what_they_led(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    press(qtbot, page, "probesPair")
    qtbot.waitUntil(lambda: page.dish.probes.list.count() == 2)
    lead = plan(context).lead
    assert lead is not None
    page.dish.probes.list.setCurrentRow(1)
    press(qtbot, page, "probesRemove")
    qtbot.waitUntil(lambda: lead not in plan(context).channels)
    qtbot.waitUntil(lambda: page.dish.probes.back.isVisible())
    press(qtbot, page, "probesBack")
    qtbot.waitUntil(lambda: lead in plan(context).channels)
    assert plan(context).lead == lead
    assert context.chosen is not None
    assert LeadSet(lead) in [e.what for e in context.live(context.chosen).log().holding()]


def shown(page: PlanPage) -> list[str]:
    return [label.text() for label in page.editor.findChildren(QLabel) if label.isVisible()]


def test_a_stage_that_needs_a_probe_leads_to_where_one_is_added(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    page.editor.load(
        Schedule("x", (Stage("s", "Smoke", (UntilTemperature(74.0),), pit_target_c=110.0),))
    )
    qtbot.waitUntil(lambda: any(text.startswith("Needs a probe:") for text in shown(page)))
    assert "A probe is missing. Look at: “Smoke”." in shown(page)
    assert not any("can't work" in text.lower() for text in shown(page))
    press(qtbot, page, "stageAddProbe")
    assert page.dish.probes.pair.hasFocus()
    press(qtbot, page, "probesPair")
    qtbot.waitUntil(lambda: len(plan(context).channels) == 2)
    qtbot.waitUntil(lambda: page.editor.findChild(QAbstractButton, "stageAddProbe") is None)
