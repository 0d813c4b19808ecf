"""Brine and cure, used as a person uses it: from the plan, typed, put into the plan, opened again."""

from __future__ import annotations

import time
from typing import TypeVar

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QPlainTextEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import CookClosed, ItemAdded, PrepStep, Strike
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.text.quantities import US
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.brine.dialog import BrineDialog
from smokejournal.desk.plan.page import PlanPage

W = TypeVar("W", bound=QWidget)
LINE = "2 qt water, 1 1/4 cups coarse salt, ½ cup white sugar, 2 tsp cracked pepper"


def child(parent: QWidget, kind: type[W], name: str) -> W:
    found = parent.findChild(kind, name)
    assert found is not None, name
    return found


def press(qtbot: QtBot, parent: QWidget, name: str) -> None:
    button = child(parent, QPushButton, name)
    assert button.isEnabled(), name
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def write(qtbot: QtBot, parent: QWidget, name: str, text: str) -> None:
    edit = child(parent, QLineEdit, name)
    assert edit.isEnabled(), name
    edit.setFocus()
    edit.selectAll()
    qtbot.keyClick(edit, Qt.Key.Key_Delete)
    qtbot.keyClicks(edit, text)
    qtbot.keyClick(edit, Qt.Key.Key_Tab)


def choose(parent: QWidget, name: str, data: object) -> None:
    box = child(parent, QComboBox, name)
    assert box.findData(data) >= 0, data
    box.setCurrentIndex(box.findData(data))


def type_line(qtbot: QtBot, dialog: BrineDialog, text: str) -> None:
    edit = child(dialog, QPlainTextEdit, "brineLine")
    edit.setFocus()
    edit.selectAll()
    qtbot.keyClick(edit, Qt.Key.Key_Delete)
    qtbot.keyClicks(edit, text)
    assert edit.toPlainText() == text


def shown(dialog: BrineDialog) -> str:
    """All that stands beside the form, as it is read."""
    return "\n".join(
        label.text().replace("\u00a0", " ")
        for label in dialog.results.findChildren(QLabel)
        if label.isVisibleTo(dialog)
    )


def said(dialog: BrineDialog) -> str:
    return child(dialog, QLabel, "brineStatus").text()


@pytest.fixture
def page(qtbot: QtBot, context: DeskContext) -> PlanPage:
    cook_id = context.program.new_cook("Sunday trout", "Europe/Berlin")
    context.live(cook_id).record_many(
        [
            (context.now_s(), what)
            for what in (
                ItemAdded("trout", "fish", mass_kg=1.2, thickness_m=0.025, pieces=4),
                ItemAdded("pork loin", "ham", mass_kg=2.0, thickness_m=0.08),
            )
        ]
    ).result()
    context.choose(cook_id)
    page = PlanPage(context)
    qtbot.addWidget(page)
    page.resize(1300, 700)
    page.show()
    return page


def opened(qtbot: QtBot, page: PlanPage) -> BrineDialog:
    press(qtbot, page, "prepBrine")
    (dialog,) = [d for d in page.findChildren(BrineDialog) if d.isVisible()]
    qtbot.waitUntil(dialog.isActiveWindow)
    return dialog


def steps(context: DeskContext) -> list[PrepStep]:
    assert context.chosen is not None
    return [step for _, step in plan_of(context.live(context.chosen).log()).prep]


def first_step(page: PlanPage) -> str:
    return page.dish.prep.list.item(0).text().replace("\u00a0", " ")


def test_a_line_is_weighed_and_put_into_the_plan(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    dialog = opened(qtbot, page)
    assert "Type what goes in" in shown(dialog)
    # The first food of the plan is taken along.
    assert child(dialog, QLineEdit, "brineFood").text() == "1.2 kg"
    assert child(dialog, QComboBox, "brineFlesh").currentData() == "fish"
    type_line(qtbot, dialog, LINE)
    # A cup of dense or of hollow salt: 1 1/4 of 140 to 241 g (conversion pages).
    assert "238 g (175 g – 301 g)" in shown(dialog)
    assert "Choose the grain" in shown(dialog)
    choose(dialog, "brineGrain", "dense")
    assert "281 g (250 g – 301 g)" in shown(dialog)
    assert "12.9 % (11.7 % – 13.8 %)" in shown(dialog)
    assert "49° (44° – 52°)" in shown(dialog)
    assert "Choose the grain" not in shown(dialog)
    write(qtbot, dialog, "brineSoak", "4 h")
    write(qtbot, dialog, "brineFinished", "82 %")
    for words in (
        "Salt after 4 h",
        "Until the middle has half",
        "Water-phase salt, finished",
        "at or below 4.4 °C (40 °F)",
        "don't use it again",
        "Too weak for packing",
    ):
        assert words in shown(dialog)
    press(qtbot, dialog, "brinePut")
    qtbot.waitUntil(lambda: page.dish.prep.list.count() == 1)
    (step,) = steps(context)
    assert step.step == "brine"
    assert step.duration_s == 4 * 3600.0
    assert "coarse salt 281 g (250 g – 301 g)" in step.text
    assert step.brine is not None
    assert step.brine.line == LINE
    assert (
        "Brine" in page.dish.prep.list.item(0).text()
        or "brine" in page.dish.prep.list.item(0).text()
    )


def test_a_step_is_opened_again_and_changed(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    dialog = opened(qtbot, page)
    type_line(qtbot, dialog, "2 L water, 120 g salt")
    write(qtbot, dialog, "brineSoak", "12 h")
    choose(dialog, "brineScaleBy", "vessel")
    write(qtbot, dialog, "brineVessel", "1 gal")
    press(qtbot, dialog, "brinePut")
    qtbot.waitUntil(lambda: page.dish.prep.list.count() == 1)
    assert child(page, QPushButton, "prepBrine").text() == "Work out a brine or cure"
    page.dish.prep.list.setCurrentRow(0)
    assert child(page, QPushButton, "prepBrine").text() == "Open this brine or cure"
    again = opened(qtbot, page)
    assert again.form.asked() == steps(context)[0].brine
    assert child(again, QLineEdit, "brineVessel").text() == "3.79 L"
    assert "The line, times" in shown(again)
    type_line(qtbot, again, "2 L water, 100 g salt")
    press(qtbot, again, "brinePut")
    qtbot.waitUntil(lambda: steps(context)[0].brine.line == "2 L water, 100 g salt")  # type: ignore[union-attr]
    assert len(steps(context)) == 1
    assert context.chosen is not None
    log = context.live(context.chosen).log()
    assert len([e for e in log.entries if isinstance(e.what, Strike)]) == 1
    # The log is ahead of the list: a person picks from what is shown, once the dialog is gone.
    qtbot.waitUntil(lambda: not page.findChildren(BrineDialog))
    qtbot.waitUntil(lambda: "salt 127 g; 4.8 % salt" in first_step(page))
    # Changed by hand in the list's own form, it can still be opened.
    page.dish.prep.list.setCurrentRow(0)
    press(qtbot, page, "prepChange")
    assert not child(page, QPushButton, "prepBrine").isEnabled()
    write(qtbot, page, "prepText", "as last time")
    press(qtbot, page, "prepKeep")
    qtbot.waitUntil(lambda: steps(context)[0].text == "as last time")
    assert steps(context)[0].brine is not None


def test_what_is_not_understood_is_marked_in_its_place(qtbot: QtBot, page: PlanPage) -> None:
    dialog = opened(qtbot, page)
    type_line(qtbot, dialog, "1 L water, 1,250 g salt, 1 cup celery salt")
    marked = child(dialog, QLabel, "brineLineMarked")
    assert marked.isVisibleTo(dialog)
    assert "<u><b>1,250 g salt</b></u>" in marked.text()
    why = child(dialog, QLabel, "brineLineProblem").text()
    assert "could mean 1250 or 1.25:" in why
    assert "“celery salt” (character 32)" in why
    assert "isn't in these sums" in shown(dialog)
    assert "No salt was found" in shown(dialog)
    type_line(qtbot, dialog, "1 L water, 50 g salt")
    assert not marked.isVisibleTo(dialog)


def test_unsafe_nitrite_is_refused_loudly_and_nothing_is_written(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    dialog = opened(qtbot, page)
    choose(dialog, "brineItem", 1)
    dialog.form.take_item(1)
    assert child(dialog, QLineEdit, "brineFood").text() == "2 kg"
    type_line(qtbot, dialog, "50 g salt, 1 tsp curing salt")
    assert "Refused. Weigh the curing salt" in shown(dialog)
    assert "Refused. There is curing salt in the line: choose what is cured" in shown(dialog)
    press(qtbot, dialog, "brinePut")
    assert "Not put in the plan" in said(dialog)
    assert dialog.isVisible()
    type_line(qtbot, dialog, "50 g salt, 10 g curing salt")
    choose(dialog, "brineProduct", "bacon")
    assert child(dialog, QComboBox, "brineMethod").currentData() == "dry"
    assert "Refused. Nitrite in the curing salt: give" in shown(dialog)
    write(qtbot, dialog, "brineNitrite", "6,25")
    # 10 g of 6.25 % on 2 kg: 312 ppm; bacon cured dry may have 200 (USDA FSIS).
    assert "Refused. Too much nitrite: 312 ppm" in shown(dialog)
    assert "limit is 200 ppm" in shown(dialog)
    assert "poisonous in excess. Weigh it" in shown(dialog)
    press(qtbot, dialog, "brinePut")
    assert "Not put in the plan" in said(dialog)
    assert steps(context) == []
    type_line(qtbot, dialog, "50 g salt, 5 g curing salt")
    assert said(dialog) == ""
    assert "156 ppm" in shown(dialog)
    press(qtbot, dialog, "brinePut")
    qtbot.waitUntil(lambda: len(steps(context)) == 1)
    assert steps(context)[0].step == "cure"
    # The plan's own caution of curing salt stands there too.
    assert "Too much curing salt is poisonous" in child(page, QLabel, "planCautions").text()


def test_the_method_asks_for_what_it_needs(qtbot: QtBot, page: PlanPage) -> None:
    dialog = opened(qtbot, page)
    assert not child(dialog, QLineEdit, "brineNitrite").isVisibleTo(dialog)
    type_line(qtbot, dialog, "4 L water, 300 g salt, 30 g curing salt")
    choose(dialog, "brineProduct", "whole")
    choose(dialog, "brineMethod", "immersion_one")
    write(qtbot, dialog, "brineNitrite", "6.25")
    assert "Pumped or picked up: give it" in shown(dialog)
    write(qtbot, dialog, "brinePickup", "8")
    assert "Left in until even" in shown(dialog)
    assert "immersed, Method One: pick-up" in shown(dialog)
    choose(dialog, "brineMethod", "immersion_two")
    assert not child(dialog, QLineEdit, "brinePickup").isVisibleTo(dialog)
    assert "Refused. Too much nitrite" in shown(dialog)
    choose(dialog, "brineProduct", "sausage")
    assert child(dialog, QComboBox, "brineMethod").currentData() == "comminuted"


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("brineFood", "heavy", "Type a mass from"),
        ("brineFood", "0", "Type a mass from"),
        ("brineThickness", "9 m", "Type a length from"),
        ("brineThickness", "-2", "Type a length from"),
        ("brineSoak", "100 d", "60 d"),
        ("brineTarget", "50", "from 0.1 to 10"),
        ("brineFinished", "1", "from 10 to 130"),
    ],
)
def test_wrong_and_extreme_values_are_told_beside_their_field(
    qtbot: QtBot, context: DeskContext, page: PlanPage, name: str, text: str, told: str
) -> None:
    dialog = opened(qtbot, page)
    type_line(qtbot, dialog, "1 L water, 50 g salt")
    write(qtbot, dialog, name, text)
    problem = child(dialog, QLabel, f"{name}Problem")
    assert problem.isVisibleTo(dialog)
    assert told in problem.text()
    press(qtbot, dialog, "brinePut")
    assert "beside the field" in said(dialog)
    assert child(dialog, QLineEdit, name).text() == text
    assert steps(context) == []


def test_an_empty_form_is_not_put_into_the_plan(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    dialog = opened(qtbot, page)
    press(qtbot, dialog, "brinePut")
    assert "Type what goes in first" in said(dialog)
    type_line(qtbot, dialog, "lots of salt")
    press(qtbot, dialog, "brinePut")
    assert "Type what goes in first" in said(dialog)
    write(qtbot, dialog, "brineFood", "")
    write(qtbot, dialog, "brineThickness", "")
    type_line(qtbot, dialog, "1500 kg water, 1500 kg salt, 1500 kg sugar")
    choose(dialog, "brineScaleBy", "times")
    write(qtbot, dialog, "brineTimes", "1000")
    assert "Refused. This can't be worked out. Salt: 0 to 5000 kg" in shown(dialog)
    press(qtbot, dialog, "brineClose")
    assert steps(context) == []


def test_in_us_units(qtbot: QtBot, context: DeskContext, page: PlanPage) -> None:
    context.set_units(US)
    dialog = opened(qtbot, page)
    assert child(dialog, QLineEdit, "brineFood").text() == "2 lb 10 oz"
    type_line(qtbot, dialog, "2 qt water, 6 oz salt")
    assert "6 oz / 170 g" in shown(dialog)
    # The same line, whatever the units: 170.1 g to 1.893 kg.
    assert "8.2 %" in shown(dialog)
    press(qtbot, dialog, "brinePut")
    qtbot.waitUntil(lambda: len(steps(context)) == 1)
    assert "at or below 40 °F" in steps(context)[0].text


def test_a_cook_that_is_over_takes_none(qtbot: QtBot, context: DeskContext, page: PlanPage) -> None:
    assert context.chosen is not None
    context.live(context.chosen).record(CookClosed()).result()
    qtbot.waitUntil(lambda: not child(page, QPushButton, "prepBrine").isEnabled())


def test_quick_enough_to_type_along(qtbot: QtBot, page: PlanPage) -> None:
    dialog = opened(qtbot, page)
    type_line(qtbot, dialog, LINE)
    write(qtbot, dialog, "brineSoak", "4 h")
    took_s = []
    for _ in range(10):
        started = time.perf_counter()
        dialog.form.changed.emit()
        took_s.append(time.perf_counter() - started)
    # The quickest: others may be kept waiting by whatever else this machine does.
    assert min(took_s) < 0.05
