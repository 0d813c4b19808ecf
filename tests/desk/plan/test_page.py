"""The Plan page, used as a person uses it: mouse, keyboard, and what is shown."""

from __future__ import annotations

from typing import TypeVar

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import (
    ChannelSet,
    CookClosed,
    ItemAdded,
    LeadSet,
    PrepStep,
    ScheduleSet,
    ScheduleStarted,
    StageConfirmed,
    Strike,
)
from smokejournal.cook.log.readings import Channel, Reading
from smokejournal.cook.log.schedule import ForTime, Schedule, Stage, UntilSaid, UntilTemperature
from smokejournal.cook.plan.plan import Plan, plan_of
from smokejournal.cook.text.quantities import US
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.desk.parts.new_cook_dialog import NewCookDialog
from smokejournal.desk.plan.page import PlanPage
from smokejournal.desk.schedule.stage_form import WarningLabel
from tests.support.fakes import FixedClock

W = TypeVar("W", bound=QWidget)
ZONE = "Europe/Berlin"
SOUND = Schedule(
    "Thighs",
    (
        Stage("s1", "Smoke", (UntilTemperature(75.0),), pit_target_c=135.0),
        Stage("s2", "Rest", (ForTime(600.0),)),
    ),
)


def child(page: QWidget, kind: type[W], name: str) -> W:
    found = page.findChild(kind, name)
    assert found is not None, name
    return found


def press(qtbot: QtBot, page: QWidget, name: str) -> None:
    button = child(page, QPushButton, name)
    assert button.isEnabled(), name
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def write(qtbot: QtBot, page: QWidget, name: str, text: str) -> None:
    edit = child(page, QLineEdit, name)
    assert edit.isEnabled(), name
    qtbot.mouseClick(edit, Qt.MouseButton.LeftButton)
    edit.selectAll()
    qtbot.keyClick(edit, Qt.Key.Key_Delete)
    qtbot.keyClicks(edit, text)
    qtbot.keyClick(edit, Qt.Key.Key_Tab)


def plan(context: DeskContext) -> Plan:
    assert context.chosen is not None
    return plan_of(context.live(context.chosen).log())


@pytest.fixture
def page(qtbot: QtBot, context: DeskContext) -> PlanPage:
    context.choose(context.program.new_cook("Sunday thighs", ZONE, place="Back yard"))
    page = PlanPage(context)
    qtbot.addWidget(page)
    page.resize(1300, 700)
    page.show()
    return page


def with_probes(context: DeskContext, schedule: Schedule = SOUND) -> None:
    assert context.chosen is not None
    context.live(context.chosen).record_many(
        [
            (context.now_s(), what)
            for what in (
                ItemAdded("chicken thighs", "poultry", mass_kg=1.2, pieces=6),
                ChannelSet(Channel("c1", "Thick one")),
                ChannelSet(Channel("c2", "Grate", "pit")),
                LeadSet("c1"),
                ScheduleSet(schedule),
            )
        ]
    ).result()


def dialog(page: PlanPage) -> AskDialog:
    (found,) = [d for d in page.findChildren(AskDialog) if d.isVisible()]
    return found


# -- beginning ------------------------------------------------------------------------------------


def test_without_a_cook_it_offers_a_new_plan(qtbot: QtBot, context: DeskContext) -> None:
    page = PlanPage(context)
    qtbot.addWidget(page)
    page.show()
    assert "No plan is open" in child(page, QLabel, "planEmptyTitle").text()
    press(qtbot, page, "planEmptyButton")
    (asked,) = page.findChildren(NewCookDialog)
    qtbot.keyClicks(asked.cook_title.edit, "Trout")
    qtbot.mouseClick(child(asked, QPushButton, "newCookMake"), Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: context.chosen is not None)
    assert child(page, QLineEdit, "planTitle").text() == "Trout"
    assert child(page, QLabel, "planName").text() == "Trout"


# -- food, steps, probes --------------------------------------------------------------------------


def test_the_kind_of_food_is_guessed_from_its_name_until_it_is_chosen(
    qtbot: QtBot, page: PlanPage
) -> None:
    press(qtbot, page, "itemsAdd")
    kind = child(page, QComboBox, "itemFood")
    write(qtbot, page, "itemName", "chicken thighs")
    assert kind.currentData() == "poultry"
    write(qtbot, page, "itemName", "trout")
    assert kind.currentData() == "fish"
    kind.setFocus()
    qtbot.keyClick(kind, Qt.Key.Key_End)
    chosen = kind.currentData()
    assert chosen != "fish"
    write(qtbot, page, "itemName", "duck")
    assert kind.currentData() == chosen


def test_food_is_added_changed_and_removed_in_the_log(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    press(qtbot, page, "itemsAdd")
    write(qtbot, page, "itemName", "pork shoulder")
    write(qtbot, page, "itemMass", "7 lb 2 oz")
    write(qtbot, page, "itemThickness", "11")
    write(qtbot, page, "itemPrice", "38,40")
    qtbot.keyClick(child(page, QLineEdit, "itemPrice"), Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: page.dish.items.list.count() == 1)
    ((_, item),) = plan(context).items
    # 7 lb 2 oz is 7.125 lb of 0.45359237 kg (NIST SP 811).
    assert item.mass_kg == pytest.approx(7.125 * 0.45359237)
    assert item.thickness_m == pytest.approx(0.11)
    assert (item.price, item.currency) == (38.4, "EUR")
    assert "3.23 kg" in page.dish.items.list.item(0).text()
    assert not page.dish.items.is_open

    page.dish.items.list.setCurrentRow(0)
    press(qtbot, page, "itemsChange")
    assert child(page, QLineEdit, "itemName").text() == "pork shoulder"
    write(qtbot, page, "itemMass", "3")
    press(qtbot, page, "itemsKeep")
    qtbot.waitUntil(lambda: not page.dish.items.is_open)
    assert ", 3 kg," in page.dish.items.list.item(0).text()
    assert len(plan(context).items) == 1
    assert context.chosen is not None

    page.dish.items.list.setCurrentRow(0)
    qtbot.keyClick(page.dish.items.list, Qt.Key.Key_Delete)
    qtbot.waitUntil(lambda: page.dish.items.list.count() == 0)
    assert plan(context).items == ()
    strikes = [e for e in context.live(context.chosen).log().entries if isinstance(e.what, Strike)]
    assert len(strikes) == 2


def test_refused_food_is_told_beside_the_field_and_nothing_is_lost(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    press(qtbot, page, "itemsAdd")
    write(qtbot, page, "itemMass", "heavy")
    press(qtbot, page, "itemsKeep")
    assert page.dish.items.is_open
    assert child(page, QLabel, "itemMassProblem").isVisible()
    assert "Type a mass" in child(page, QLabel, "itemMassProblem").text()
    assert child(page, QLabel, "itemNameProblem").text() == "This can't be empty."
    assert child(page, QLineEdit, "itemMass").text() == "heavy"
    assert plan(context).items == ()
    # Half a form is not kept with the plan either, and not forgotten.
    press(qtbot, page, "keepPlan")
    assert "“Food”" in child(page, QLabel, "planStatus").text()
    qtbot.keyClick(child(page, QLineEdit, "itemMass"), Qt.Key.Key_Escape)
    assert not page.dish.items.is_open


def test_a_prep_step_with_its_time(qtbot: QtBot, context: DeskContext, page: PlanPage) -> None:
    press(qtbot, page, "prepAdd")
    write(qtbot, page, "prepStep", "Dry brine")
    write(qtbot, page, "prepTime", "12 h")
    write(qtbot, page, "prepText", "1 % salt")
    press(qtbot, page, "prepKeep")
    qtbot.waitUntil(lambda: page.dish.prep.list.count() == 1)
    assert [s for _, s in plan(context).prep] == [PrepStep("Dry brine", "1 % salt", 43200.0)]
    assert page.dish.prep.list.item(0).text() == "Dry brine, 12 h: 1 % salt"


def test_the_first_meat_probe_leads_and_the_second_checks(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    for name in ("Thick end", "Thin end"):
        press(qtbot, page, "probesAdd")
        write(qtbot, page, "probeName", name)
        page.dish.probes.role.setCurrentIndex(page.dish.probes.role.findData("meat"))
        press(qtbot, page, "probesKeep")
        qtbot.waitUntil(lambda: not page.dish.probes.is_open)
    found = plan(context)
    assert [found.channels[k or ""].name for k in (found.lead, found.check)] == [
        "Thick end",
        "Thin end",
    ]
    box = page.dish.probes.lead
    qtbot.keyClick(box, Qt.Key.Key_Down)
    qtbot.waitUntil(lambda: plan(context).lead == "c2")
    assert plan(context).check is None
    page.dish.probes.list.setCurrentRow(1)
    press(qtbot, page, "probesRemove")
    qtbot.waitUntil(lambda: "c2" not in plan(context).channels)
    assert plan(context).lead == "c1"


def test_two_probes_of_one_name_are_refused(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    with_probes(context)
    qtbot.waitUntil(lambda: page.dish.probes.list.count() == 2)
    press(qtbot, page, "probesAdd")
    write(qtbot, page, "probeName", "Grate")
    press(qtbot, page, "probesKeep")
    assert "Another probe" in child(page, QLabel, "probeNameProblem").text()


def test_a_probe_with_readings_stays(qtbot: QtBot, context: DeskContext, page: PlanPage) -> None:
    with_probes(context)
    assert context.chosen is not None
    context.live(context.chosen).record_readings([Reading(context.now_s(), "c1", 20.0)]).result()
    qtbot.waitUntil(lambda: page.dish.probes.list.count() == 2)
    page.dish.probes.list.setCurrentRow(0)
    with qtbot.waitSignal(context.notice_given) as told:
        press(qtbot, page, "probesRemove")
    assert "has readings" in told.args[0].text
    assert "c1" in plan(context).channels


# -- keeping and starting -------------------------------------------------------------------------


def test_title_time_and_schedule_are_kept_together(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    assert child(page, QLabel, "planStatus").text() == ""
    write(qtbot, page, "planTitle", "Thighs for six")
    write(qtbot, page, "planPlace", "Terrace")
    write(qtbot, page, "planReady", "18:30")
    assert child(page, QLabel, "planStatus").text() == "Not saved yet."
    press(qtbot, page, "addStage")
    press(qtbot, page, "keepPlan")
    qtbot.waitUntil(lambda: child(page, QLabel, "planStatus").text() == "Saved in the journal.")
    found = plan(context)
    assert (found.title, found.place) == ("Thighs for six", "Terrace")
    assert found.ready_at_s is not None
    assert [s.name for s in found.schedule.stages] == ["Stage 1"]
    assert child(page, QLabel, "planName").text() == "Thighs for six"
    assert not page.dirty


def test_a_value_that_cannot_be_read_stops_keeping_and_stays(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    with_probes(context)
    qtbot.waitUntil(lambda: page.editor.list.count() == 2)
    write(qtbot, page, "stagePit", "hot")
    qtbot.mouseClick(
        page.editor.list.viewport(),
        Qt.MouseButton.LeftButton,
        pos=page.editor.list.visualItemRect(page.editor.list.item(1)).center(),
    )
    assert page.editor.list.key() == "s2"
    press(qtbot, page, "keepPlan")
    assert "schedule" in child(page, QLabel, "planStatus").text()
    # It goes back to the stage with the trouble, where the text still stands.
    assert page.editor.list.key() == "s1"
    form = page.editor.forms.forms["s1"]
    assert form.pit.text() == "hot"
    assert "Type a temperature" in form.pit.message.text()
    assert plan(context).schedule == SOUND


def test_a_sound_plan_starts_at_once_and_asks_for_tend(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    with_probes(context)
    qtbot.waitUntil(lambda: page.editor.list.count() == 2)
    assert page.editor.board.warnings == ()
    with qtbot.waitSignal(page.start_asked) as asked:
        press(qtbot, page, "startCook")
    assert asked.args == [context.chosen]
    assert context.chosen is not None
    assert context.live(context.chosen).standing().phase == "running"
    qtbot.waitUntil(lambda: not child(page, QPushButton, "startCook").isVisible())
    assert "Under way" in child(page, QLabel, "planNote").text()


def test_starting_with_warnings_asks_once_and_no_is_no(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    hot = Schedule("", (Stage("s1", "Smoke", (UntilTemperature(140.0),), pit_target_c=135.0),))
    with_probes(context, hot)
    qtbot.waitUntil(lambda: page.editor.list.count() == 1)
    assert "One thing can't work" in child(page, QLabel, "warningSummary").text()
    press(qtbot, page, "startCook")
    asked = dialog(page)
    words = " ".join(label.text() for label in asked.findChildren(QLabel))
    assert "Meat never gets hotter than the pit" in words
    qtbot.keyClick(asked, Qt.Key.Key_Return)
    assert not plan(context).started
    press(qtbot, page, "startCook")
    with qtbot.waitSignal(page.start_asked):
        press(qtbot, dialog(page), "askYes")
    assert plan(context).started


def test_no_stages_no_start(qtbot: QtBot, context: DeskContext, page: PlanPage) -> None:
    press(qtbot, page, "startCook")
    assert "at least one stage" in child(page, QLabel, "planStatus").text()
    assert not plan(context).started


# -- under way and over ---------------------------------------------------------------------------


def test_under_way_what_is_over_is_locked_and_the_rest_can_change(
    qtbot: QtBot, context: DeskContext, page: PlanPage, clock: FixedClock
) -> None:
    stages = tuple(
        Stage(f"s{n}", f"Part {n}", (UntilSaid(),), pit_target_c=None, guard_s=3600.0)
        for n in (1, 2, 3)
    )
    with_probes(context, Schedule("Parts", stages))
    assert context.chosen is not None
    live = context.live(context.chosen)
    live.record(ScheduleStarted()).result()
    clock.forward(60.0)
    live.record(StageConfirmed("s1")).result()
    qtbot.waitUntil(lambda: "s1" in page.editor.draft.locked)
    page.editor._choose("s1")
    assert not page.editor.forms.forms["s1"].name.edit.isEnabled()
    assert not child(page, QPushButton, "removeStage").isEnabled()
    page.editor._choose("s2")
    form = page.editor.forms.forms["s2"]
    assert form.guard.edit.isEnabled()
    assert not child(page, QPushButton, "removeStage").isEnabled()
    form.guard.edit.selectAll()
    qtbot.keyClicks(form.guard.edit, "2 h")
    press(qtbot, page, "keepPlan")
    # A cook under way is altered only after it was said what will follow.
    words = [label.text() for label in dialog(page).findChildren(QLabel)]
    assert "Part 2: another instruction, alert or longest time." in words
    assert plan(context).schedule.stages[1].guard_s == 3600.0
    press(qtbot, dialog(page), "askYes")
    qtbot.waitUntil(lambda: plan(context).schedule.stages[1].guard_s == 7200.0)
    standing = live.standing()
    assert standing.current is not None
    assert standing.current.stage.key == "s2"
    assert standing.current.stage.guard_s == 7200.0


def test_a_cook_that_is_over_is_shown_and_can_be_planned_again(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    with_probes(context)
    assert context.chosen is not None
    first = context.chosen
    context.live(first).record(CookClosed()).result()
    qtbot.waitUntil(lambda: not child(page, QPushButton, "keepPlan").isVisible())
    assert not child(page, QLineEdit, "planTitle").isEnabled()
    press(qtbot, page, "planAgain")
    assert context.chosen not in (None, first)
    assert plan(context).schedule == SOUND
    qtbot.waitUntil(lambda: child(page, QPushButton, "keepPlan").isVisible())
    assert page.dish.items.list.count() == 1


def test_what_is_typed_stays_when_the_log_changes_elsewhere(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    write(qtbot, page, "planTitle", "Half a title")
    press(qtbot, page, "addStage")
    assert context.chosen is not None
    context.live(context.chosen).record(PrepStep("Rub")).result()
    qtbot.waitUntil(lambda: page.dish.prep.list.count() == 1)
    assert child(page, QLineEdit, "planTitle").text() == "Half a title"
    assert page.editor.list.count() == 1


# -- saved schedules ------------------------------------------------------------------------------


def _use(page: PlanPage, name: str) -> None:
    (action,) = [a for a in page.editor.head.menu.actions() if a.text() == name]
    action.trigger()


def test_a_schedule_is_saved_by_name_used_again_and_forgotten(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    _use(page, "Poultry pieces")
    write(qtbot, page, "scheduleName", "My thighs")
    press(qtbot, page, "savePattern")
    qtbot.waitUntil(lambda: len(context.program.journal.schedules.saved()) == 1)
    qtbot.waitUntil(lambda: "My thighs" in [a.text() for a in page.editor.head.menu.actions()])
    kept = page.editor.draft.schedule
    context.choose(context.program.new_cook("Next", ZONE))
    assert page.editor.list.count() == 0
    _use(page, "My thighs")
    assert [s.name for s in page.editor.draft.schedule.stages] == [s.name for s in kept.stages]
    # Another one under the same name is asked about first.
    press(qtbot, page, "removeStage")
    press(qtbot, page, "savePattern")
    asked = dialog(page)
    assert "Replace it?" in child(asked, QLabel, "askText").text()
    press(qtbot, asked, "askNo")
    assert dict(context.program.journal.schedules.saved())["My thighs"].stages == kept.stages
    (forget,) = [a for m in page.editor.head.menu.actions() if m.menu() for a in m.menu().actions()]
    forget.trigger()
    press(qtbot, dialog(page), "askYes")
    qtbot.waitUntil(lambda: not context.program.journal.schedules.saved())


def test_saving_without_a_name_asks_for_one(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    press(qtbot, page, "addStage")
    press(qtbot, page, "savePattern")
    assert "name" in child(page, QLabel, "scheduleNameProblem").text()
    assert not context.program.journal.schedules.saved()


# -- units, sizes, readers ------------------------------------------------------------------------


def test_other_units_show_the_same_plan(qtbot: QtBot, context: DeskContext, page: PlanPage) -> None:
    with_probes(context)
    qtbot.waitUntil(lambda: page.editor.list.count() == 2)
    context.set_units(US)
    assert child(page, QLineEdit, "stagePit").text() == "275"
    assert "2 lb 10 oz" in page.dish.items.list.item(0).text()
    assert not page.dirty


@pytest.mark.parametrize(("width", "height"), [(900, 560), (1156, 680), (2436, 1400)])
def test_nothing_is_cut_off_at_the_right(
    qtbot: QtBot, context: DeskContext, page: PlanPage, width: int, height: int
) -> None:
    with_probes(context)
    qtbot.waitUntil(lambda: page.editor.list.count() == 2)
    page.resize(width, height)
    for tab in (0, 1):
        page.head.tabs.setCurrentIndex(tab)
        qtbot.waitUntil(lambda: page.width() == width)
        for widget in page.findChildren(QWidget):
            if not widget.isVisible() or widget.window() is not page:
                continue
            if isinstance(widget, QPushButton | QLineEdit | QLabel):
                right = widget.mapTo(page, QPoint(widget.width(), 0)).x()
                assert right <= width, widget.objectName()
                assert widget.height() >= min(18, widget.minimumSizeHint().height())


def test_cautions_of_the_food_are_shown(qtbot: QtBot, context: DeskContext, page: PlanPage) -> None:
    with_probes(context)
    qtbot.waitUntil(lambda: page.editor.list.count() == 2)
    assert "165\u00a0°F" in child(page, QLabel, "planCautions").text()
    short, general = child(page, QLabel, "planCautionsShort"), page.dish.cautions.general
    assert short.isVisible()
    assert "outdoors only" in short.text()
    assert not general.isVisible()
    press(qtbot, page, "planCautionsFold")
    assert general.isVisible()
    assert "carbon monoxide" in general.text()
    assert not short.isVisible()
    press(qtbot, page, "planCautionsFold")
    assert short.isVisible()


def test_food_with_no_minimum_on_file_says_so(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    assert not child(page, QLabel, "planCautions").isVisible()
    assert context.chosen is not None
    context.live(context.chosen).record(ItemAdded("oysters", "other")).result()
    qtbot.waitUntil(lambda: child(page, QLabel, "planCautions").isVisible())
    assert "no minimum temperature on file" in child(page, QLabel, "planCautions").text()


def test_everything_that_can_be_used_has_a_name_for_readers(page: PlanPage) -> None:
    for edit in page.findChildren(QLineEdit):
        if edit.objectName() and not edit.objectName().startswith("qt_"):
            assert edit.accessibleName(), edit.objectName()


def test_what_is_typed_waits_while_another_cook_is_looked_at(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    first = context.chosen
    press(qtbot, page, "addStage")
    stage_pit = page.editor.forms.forms[page.editor.list.key()].pit
    qtbot.keyClicks(stage_pit.edit, "hot")
    press(qtbot, page, "itemsAdd")
    write(qtbot, page, "itemName", "half a sh")
    context.choose(context.program.new_cook("Other", ZONE))
    assert page.editor.list.count() == 0
    assert not page.dish.items.is_open
    assert not page.dirty
    context.choose(first)
    assert page.dish.items.what.text() == "half a sh"
    assert page.editor.forms.forms[page.editor.list.key()].pit.text() == "hot"
    page.refresh()
    assert page.dish.items.what.text() == "half a sh"
    assert page.dirty


def test_the_published_minimum_stands_beside_the_targets(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    with_probes(context)
    qtbot.waitUntil(lambda: page.editor.list.count() == 2)
    (advice,) = [w for w in page.findChildren(QLabel, "stageAdvice") if w.isVisible()]
    assert "165 °F" in advice.text()


# -- for whoever sees it for the first time -------------------------------------------------------


def test_nothing_is_said_about_food_or_stages_that_are_not_there(page: PlanPage) -> None:
    assert "this food" not in child(page, QLabel, "planCautions").text()
    assert not [w for w in page.editor.findChildren(WarningLabel) if w.isVisible()]
    assert not child(page, QLabel, "warningSummary").isVisible()


def test_an_empty_field_shows_how_a_quantity_may_be_typed(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    press(qtbot, page, "itemsAdd")
    assert "kg" in child(page, QLineEdit, "itemMass").placeholderText()
    assert "cm" in child(page, QLineEdit, "itemThickness").placeholderText()
    context.set_units(US)
    assert "lb" in child(page, QLineEdit, "itemMass").placeholderText()
    assert " in" in child(page, QLineEdit, "itemThickness").placeholderText()


def test_the_menu_of_schedules_says_where_they_come_from(page: PlanPage) -> None:
    head = page.editor.head.menu.actions()[0]
    assert "common practice" in head.text()
    assert not head.isEnabled()


def test_an_unfinished_stage_is_not_called_sound(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    with_probes(context)
    qtbot.waitUntil(lambda: page.editor.list.count() == 2)
    assert "No problems found in" in child(page, QLabel, "warningSummary").text()
    write(qtbot, page, "rule0Target", "hot")
    page.editor.list.setFocus()
    assert "No problems found in" not in child(page, QLabel, "warningSummary").text()


def _tabbed(qtbot: QtBot, page: PlanPage, first: QWidget, count: int) -> list[str]:
    """The names of what Tab comes to from here."""
    page.activateWindow()
    first.setFocus()
    names = []
    for _ in range(count):
        at = page.focusWidget()
        assert at is not None
        qtbot.keyClick(at, Qt.Key.Key_Tab)
        at = page.focusWidget()
        assert at is not None
        names.append(at.objectName())
    return names


def test_tab_goes_from_the_last_field_to_keep(qtbot: QtBot, page: PlanPage) -> None:
    press(qtbot, page, "probesAdd")
    first = child(page, QLineEdit, "probeName")
    assert _tabbed(qtbot, page, first, 6) == [
        "probeRole",
        "probePlace",
        "probeOffset",
        "probeByHand",
        "probesCancel",
        "probesKeep",
    ]


def test_tab_goes_down_the_stage_through_its_rules(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    with_probes(context)
    qtbot.waitUntil(lambda: page.editor.list.count() == 2)
    press(qtbot, page, "stageAddRule")
    qtbot.waitUntil(lambda: child(page, QPushButton, "rule1Remove").isVisible())
    assert _tabbed(qtbot, page, child(page, QLineEdit, "stageName"), 13) == [
        "stagePurpose",
        "stagePit",
        "stageCombine",
        "rule0Kind",
        "rule0Remove",
        "rule0Channel",
        "rule0Direction",
        "rule0Target",
        "rule0Prove",
        "rule1Kind",
        "rule1Remove",
        "stageAddRule",
        "stageEnding",
    ]


def test_a_long_name_of_a_probe_pushes_nothing_out_of_the_window(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    with_probes(context)
    qtbot.waitUntil(lambda: page.editor.list.count() == 2)
    name = "The thick end of the shoulder, beside the bone, from the left"
    needed = page.dish.minimumSizeHint().width()
    assert context.chosen is not None
    context.live(context.chosen).record(ChannelSet(Channel("c1", name))).result()
    qtbot.waitUntil(lambda: name in [page.dish.probes.lead.itemText(n) for n in range(3)])
    assert page.dish.minimumSizeHint().width() == needed


# -- two at once ----------------------------------------------------------------------------------


def test_a_second_cook_starts_only_after_it_was_said(
    qtbot: QtBot, context: DeskContext, page: PlanPage
) -> None:
    other = context.program.new_cook("Neighbors' ribs", ZONE)
    context.live(other).record(ScheduleStarted()).result()
    with_probes(context)
    qtbot.waitUntil(lambda: page.editor.list.count() == 2)
    press(qtbot, page, "startCook")
    asked = dialog(page)
    said = child(asked, QLabel, "otherCook")
    assert "“Neighbors' ribs”" in said.text()
    assert "one cook at a time" in said.text()
    assert said.visibleRegion().boundingRect().height() == said.height()
    press(qtbot, asked, "askNo")
    assert not plan(context).started
    press(qtbot, page, "startCook")
    with qtbot.waitSignal(page.start_asked):
        press(qtbot, dialog(page), "askYes")
    assert set(context.program.all_under_way()) == {other, context.chosen}


def test_pellets_for_stages_that_wait_for_the_meat(
    qtbot: QtBot, page: PlanPage, context: DeskContext
) -> None:
    assert context.chosen is not None
    live = context.live(context.chosen)
    live.record(ScheduleSet(SOUND)).result()
    label = child(page, QLabel, "planFuel")
    qtbot.waitUntil(lambda: " in about " in label.text())
    assert label.text().startswith("Pellets: about ")
    unsaid = label.text()
    live.record(ItemAdded("whole brisket", "red_meat", mass_kg=5.5)).result()
    qtbot.waitUntil(lambda: label.text() != unsaid)
    qtbot.waitUntil(lambda: page.fuel._refresher.settled)


def test_another_lead_under_way_is_asked_back_and_can_be_undone_here(
    qtbot: QtBot, page: PlanPage, context: DeskContext
) -> None:
    with_probes(context)
    assert context.chosen is not None
    live = context.live(context.chosen)
    live.record(ChannelSet(Channel("c3", "Thin one"))).result()
    live.record(LeadSet("c1", "c3")).result()
    live.record(ScheduleStarted()).result()
    lead = page.dish.probes.lead
    qtbot.waitUntil(lambda: lead.findData("c3") >= 0 and lead.currentData() == "c1")
    back = child(page, QPushButton, "leadBack")

    lead.setCurrentIndex(lead.findData("c3"))
    assert "follow Thin one" in dialog(page).text.text()
    press(qtbot, dialog(page), "askNo")
    qtbot.waitUntil(lambda: lead.currentData() == "c1")
    assert plan(context).lead == "c1"
    assert not back.isVisible()

    lead.setCurrentIndex(lead.findData("c3"))
    press(qtbot, dialog(page), "askYes")
    qtbot.waitUntil(lambda: plan(context).lead == "c3")
    assert plan(context).check is None
    assert back.isVisible()
    qtbot.mouseClick(back, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: plan(context).lead == "c1")
    assert plan(context).check == "c3"
    assert not back.isVisible()


def test_another_lead_before_the_cook_is_simply_taken(
    qtbot: QtBot, page: PlanPage, context: DeskContext
) -> None:
    with_probes(context)
    assert context.chosen is not None
    context.live(context.chosen).record(ChannelSet(Channel("c3", "Thin one"))).result()
    lead = page.dish.probes.lead
    qtbot.waitUntil(lambda: lead.findData("c3") >= 0)
    lead.setCurrentIndex(lead.findData("c3"))
    qtbot.waitUntil(lambda: plan(context).lead == "c3")


def test_a_dish_of_its_own_is_said_on_plan(
    qtbot: QtBot, page: PlanPage, context: DeskContext
) -> None:
    with_probes(context)
    qtbot.waitUntil(lambda: page.dish.items.list.count() == 1)
    press(qtbot, page, "itemsAdd")
    dish = page.dish.items.dish
    assert not child(page, QLineEdit, "dishTarget").isVisible()
    write(qtbot, page, "itemName", "corn on the cob")
    press(qtbot, page, "dishOpen")
    for name, typed in (
        ("dishTarget", "85"),
        ("dishPit", "120"),
        ("dishTakes", "50 min"),
        ("dishRest", "5 min"),
        ("dishHold", "1 h"),
    ):
        write(qtbot, page, name, typed)
    dish.probe.setCurrentIndex(dish.probe.findData("c1"))
    press(qtbot, page, "itemsKeep")
    qtbot.waitUntil(lambda: len(plan(context).items) == 2)
    (_, corn) = plan(context).items[1]
    assert (corn.channel, corn.target_c, corn.pit_c) == ("c1", 85.0, 120.0)
    assert (corn.takes_s, corn.rest_s, corn.hold_s) == (3000.0, 300.0, 3600.0)


def test_time_to_spare_goes_with_the_plan(
    qtbot: QtBot, page: PlanPage, context: DeskContext
) -> None:
    write(qtbot, page, "planMargin", "45 min")
    assert page.dirty
    press(qtbot, page, "keepPlan")
    qtbot.waitUntil(lambda: plan(context).margin_s == 2700.0)
    qtbot.waitUntil(lambda: not page.dirty)


def test_a_step_says_its_sort_its_food_and_how_long_at_most(
    qtbot: QtBot, page: PlanPage, context: DeskContext
) -> None:
    with_probes(context)
    qtbot.waitUntil(lambda: page.dish.items.list.count() == 1)
    press(qtbot, page, "prepAdd")
    prep = page.dish.prep
    write(qtbot, page, "prepStep", "overnight")
    prep.sort.setCurrentIndex(prep.sort.findData("dry"))
    prep.item.setCurrentIndex(prep.item.findData("chicken thighs"))
    write(qtbot, page, "prepTime", "8 h")
    write(qtbot, page, "prepLongest", "20 h")
    press(qtbot, page, "prepKeep")
    qtbot.waitUntil(lambda: len(plan(context).prep) == 1)
    (_, step) = plan(context).prep[0]
    assert (step.sort, step.item, step.longest_s) == ("dry", "chicken thighs", 72_000.0)
