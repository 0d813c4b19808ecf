"""Editing changes what was touched and nothing else: every form that opens something that is there."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.brine_request import BrineAsked
from smokejournal.cook.log.entries import (
    ChannelSet,
    ItemAdded,
    PrepStep,
    Refrigerator,
    SafetySet,
    item_key,
    step_key,
)
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import (
    ForTime,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.safety.assessment import assess
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.brine.dialog import BrineDialog
from smokejournal.desk.entry.safety_form import SafetyForm
from smokejournal.desk.plan.page import PlanPage
from smokejournal.desk.schedule.stage_form import StageForm

ITEM = ItemAdded(
    "shoulder",
    "red_meat",
    label="with bone",
    mass_kg=3.2,
    thickness_m=0.11,
    pieces=2,
    bought_at="the market",
    price=31.5,
    currency="EUR",
    channel="c1",
    target_c=93.0,
    pit_c=110.0,
    takes_s=36_000.0,
    rest_s=3_600.0,
    hold_s=7_200.0,
    ready_at_s=1_700_000_000.0,
    key="mine",
)
STEP = PrepStep(
    "dry brine",
    "in the cold",
    duration_s=43_200.0,
    key="salted",
    sort="dry_salt",
    item="shoulder",
    longest_s=90_000.0,
)
PROBE = Channel(
    "c1",
    "Thick end",
    "meat",
    place="middle",
    offset_c=0.6,
    by_hand=True,
    gap_s=333.0,
)


def test_the_examples_say_something_of_every_field() -> None:
    """So that a field which is added later is not forgotten here."""
    for example, plain, unset in (
        (ITEM, ItemAdded("x"), set()),
        (STEP, PrepStep("x"), {"brine"}),
    ):
        same = {
            f.name
            for f in fields(example)
            if getattr(example, f.name) == getattr(plain, f.name) and f.name not in unset
        }
        assert not same


@pytest.fixture
def page(qtbot: QtBot, context: DeskContext) -> PlanPage:
    cook_id = context.program.new_cook("Shoulder", "Europe/Vienna")
    live = context.live(cook_id)
    now_s = context.now_s()
    other = ItemAdded("sausages", "ground")
    for payload in (ITEM, other, STEP, PrepStep("rub"), ChannelSet(PROBE)):
        live.record(payload, now_s).result()
    context.choose(cook_id)
    page = PlanPage(context)
    qtbot.addWidget(page)
    page.resize(1280, 800)
    page.show()
    return page


def edit(qtbot: QtBot, page: PlanPage, part: str, row: int, **typed: str) -> None:
    """Open one line of a list, type into fields by name, and keep it."""
    editor = getattr(page.dish, part)
    editor.list.setCurrentRow(row)
    qtbot.mouseClick(editor.change, Qt.MouseButton.LeftButton)
    for name, text in typed.items():
        field = getattr(editor, name)
        field.edit.clear()
        qtbot.keyClicks(field.edit, text)
    qtbot.mouseClick(editor.keep, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not editor.is_open)


def changed(before: object, after: object) -> set[str]:
    return {f.name for f in fields(before) if getattr(before, f.name) != getattr(after, f.name)}  # type: ignore[arg-type]


def test_food_keeps_what_was_not_touched(
    qtbot: QtBot, page: PlanPage, context: DeskContext
) -> None:
    live = context.live(context.chosen or 0)
    edit(qtbot, page, "items", 0)
    ((_, same), _) = plan_of(live.log()).items
    assert same == ITEM
    edit(qtbot, page, "items", 0, label="boned")
    ((_, again), (_, other)) = plan_of(live.log()).items
    assert changed(ITEM, again) == {"label"}
    assert other.name == "sausages"


def test_a_step_keeps_what_was_not_touched_and_its_place(
    qtbot: QtBot, page: PlanPage, context: DeskContext
) -> None:
    live = context.live(context.chosen or 0)
    edit(qtbot, page, "prep", 0, text="uncovered")
    ((_, step), (_, second)) = plan_of(live.log()).prep
    assert changed(STEP, step) == {"text"}
    assert second.step == "rub"


def test_a_probe_keeps_what_was_not_touched(
    qtbot: QtBot, page: PlanPage, context: DeskContext
) -> None:
    live = context.live(context.chosen or 0)
    edit(qtbot, page, "probes", 0, place="near the bone")
    assert changed(PROBE, plan_of(live.log()).channels["c1"]) == {"place"}


def test_a_key_lasts_through_edits_of_what_never_had_one(
    qtbot: QtBot, page: PlanPage, context: DeskContext
) -> None:
    live = context.live(context.chosen or 0)
    (_, (entry, item)) = plan_of(live.log()).items
    (_, (step_entry, step)) = plan_of(live.log()).prep
    edit(qtbot, page, "items", 1, label="coarse")
    edit(qtbot, page, "items", 1, label="fine")
    edit(qtbot, page, "prep", 1, text="a thin coat")
    (_, (entry_2, item_2)) = plan_of(live.log()).items
    (_, (step_entry_2, step_2)) = plan_of(live.log()).prep
    assert entry_2 > entry
    assert item_key(entry_2, item_2) == item_key(entry, item)
    assert step_key(step_entry_2, step_2) == step_key(step_entry, step)


def test_what_was_said_of_food_holds_under_its_new_name(
    qtbot: QtBot, page: PlanPage, context: DeskContext
) -> None:
    live = context.live(context.chosen or 0)
    live.record(Refrigerator(out=True, item="shoulder")).result()
    out_s = assess(live.log(), context.now_s()).foods[0].zone.out_at_s
    assert out_s is not None
    edit(qtbot, page, "items", 0, what="pork shoulder")
    plan = plan_of(live.log())
    assert plan.items[0][1].name == "pork shoulder"
    assert plan.prep[0][1].item == "pork shoulder"
    assert assess(live.log(), context.now_s()).foods[0].zone.out_at_s == out_s


def test_a_brine_keeps_what_its_dialog_does_not_ask(
    qtbot: QtBot, page: PlanPage, context: DeskContext
) -> None:
    live = context.live(context.chosen or 0)
    asked = BrineAsked("1 l water, 60 g salt", food_kg=1.0, soak_s=7200.0)
    known = replace(STEP, brine=asked, key="wet", duration_s=9000.0)
    entry = live.record(known, context.now_s()).result()
    dialog = BrineDialog(context, live, [ITEM], entry.id, known, page)
    qtbot.addWidget(dialog)
    dialog.show()
    put = dialog.findChild(QPushButton, "brinePut")
    qtbot.mouseClick(put, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not dialog.isVisible())
    after = next(step for _, step in plan_of(live.log()).prep if step.key == "wet")
    assert changed(known, after) <= {"step", "text", "brine"}
    assert after.brine is not None
    assert after.brine.line == asked.line


@pytest.mark.parametrize(
    "rule",
    [
        UntilTemperature(70.0, "falling", 95.0, "c1"),
        ForTime(5400.0, 60.0, "c1", 1.5, "start_over", 75.0),
        UntilClock(1_700_000_000.0),
        UntilSaid(),
    ],
    ids=lambda rule: rule.kind,
)
def test_a_stage_keeps_what_was_not_touched(qtbot: QtBot, rule: object) -> None:
    stage = Stage(
        "s1",
        "Smoke",
        (rule, ForTime(600.0)),  # type: ignore[arg-type]
        combine="all",
        pit_target_c=107.0,
        instruction="Keep it still.",
        alert="insistent",
        ending="waits",
        guard_s=40_000.0,
        purpose="hold",
    )
    form = StageForm(stage, None, zone="UTC", now_s=1_699_990_000.0)
    qtbot.addWidget(form)
    form.set_channels([("c1", "Thick end")])
    form.show()
    told: list[Stage] = []
    form.edited.connect(lambda edited, _field: told.append(edited))
    form.name.edit.setFocus()
    form.name.edit.clear()
    qtbot.keyClicks(form.name.edit, "Low smoke")
    assert told
    assert changed(stage, told[-1]) == {"name"}


@pytest.mark.parametrize(
    "said",
    [
        SafetySet("red_meat", "meat_7", probes=("c1",), uncertainty_c=0.8),
        SafetySet("poultry", "poultry", fat_pct=4.0, uncertainty_c=1.2),
        SafetySet(
            "red_meat",
            "own",
            probes=("c1", "c2"),
            uncertainty_c=0.5,
            d_s=300.0,
            z_k=6.0,
            reference_c=60.0,
            from_c=56.0,
            to_c=75.0,
            target_log=5.0,
        ),
    ],
    ids=["meat", "poultry", "own"],
)
def test_the_table_of_a_food_is_recorded_as_it_was_where_nothing_was_touched(
    qtbot: QtBot, said: SafetySet
) -> None:
    form = SafetyForm(lambda: 1_700_000_000.0)
    qtbot.addWidget(form)
    form.set_food(said, [Channel("c1", "Thick end"), Channel("c2", "Thin end")], alone=False)
    form.show()
    written = form.build(1_700_000_000.0)
    assert written is not None
    (again,) = written.payloads
    assert isinstance(again, SafetySet)
    assert changed(said, again) == set()
