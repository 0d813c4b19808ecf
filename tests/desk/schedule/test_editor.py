"""The schedule editor, used by mouse and keyboard."""

from __future__ import annotations

import datetime as dt
from typing import TypeVar

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QComboBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QWidget,
)
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.readings import Channel
from smokejournal.cook.log.schedule import (
    ForTime,
    Schedule,
    Stage,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.desk.schedule.editor import ScheduleEditor
from smokejournal.desk.schedule.stage_form import StageForm, WarningLabel

W = TypeVar("W", bound=QWidget)
NOW_S = dt.datetime(2026, 5, 2, 9, 0, tzinfo=dt.UTC).timestamp()
PLAN = Plan(
    "Cook",
    "Europe/Berlin",
    channels={
        "a": Channel("a", "Thick end"),
        "b": Channel("b", "Thin end"),
        "p": Channel("p", "Grate", "pit"),
    },
    lead="a",
    check="b",
)
THREE = Schedule(
    "Three",
    tuple(Stage(f"s{n}", f"Part {n}", (ForTime(600.0 * n),)) for n in (1, 2, 3)),
)


@pytest.fixture
def editor(qtbot: QtBot) -> ScheduleEditor:
    made = ScheduleEditor(lambda: NOW_S)
    qtbot.addWidget(made)
    made.set_plan(PLAN)
    made.load(THREE)
    made.resize(900, 560)
    made.show()
    return made


def form(editor: ScheduleEditor) -> StageForm:
    (shown,) = [f for f in editor.findChildren(StageForm) if f.isVisible()]
    return shown


def child(widget: QWidget, kind: type[W], name: str) -> W:
    found = widget.findChild(kind, name)
    assert found is not None, name
    return found


def press(qtbot: QtBot, editor: ScheduleEditor, name: str) -> None:
    button = child(editor, QPushButton, name)
    assert button.isEnabled(), name
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def write(qtbot: QtBot, editor: ScheduleEditor, name: str, text: str) -> QLineEdit:
    edit = child(form(editor), QLineEdit, name)
    edit.setFocus()
    edit.selectAll()
    qtbot.keyClick(edit, Qt.Key.Key_Delete)
    qtbot.keyClicks(edit, text)
    qtbot.keyClick(edit, Qt.Key.Key_Tab)
    return edit


def pick(editor: ScheduleEditor, name: str, data: str) -> None:
    box = child(form(editor), QComboBox, name)
    box.setCurrentIndex(box.findData(data))


def names(editor: ScheduleEditor) -> list[str]:
    return [s.name for s in editor.draft.schedule.stages]


def chosen(editor: ScheduleEditor) -> Stage:
    found = editor.draft.schedule.stage(editor.list.key())
    assert found is not None
    return found


# -- the list -------------------------------------------------------------------------------------


def test_a_new_stage_comes_behind_the_chosen_one_with_its_name_ready_to_type(
    qtbot: QtBot, editor: ScheduleEditor
) -> None:
    press(qtbot, editor, "addStage")
    qtbot.keyClicks(form(editor).name.edit, "Wrap")
    assert names(editor) == ["Part 1", "Wrap", "Part 2", "Part 3"]
    assert editor.list.item(1).text() == "2  Wrap"


def test_duplicate_and_remove(qtbot: QtBot, editor: ScheduleEditor) -> None:
    press(qtbot, editor, "copyStage")
    assert names(editor) == ["Part 1", "Part 1", "Part 2", "Part 3"]
    assert chosen(editor).key not in ("s1", "s2", "s3")
    press(qtbot, editor, "removeStage")
    assert names(editor) == ["Part 1", "Part 2", "Part 3"]
    qtbot.keyClick(editor.list, Qt.Key.Key_Delete)
    qtbot.keyClick(editor.list, Qt.Key.Key_Delete)
    qtbot.keyClick(editor.list, Qt.Key.Key_Delete)
    assert names(editor) == []
    assert not child(editor, QPushButton, "removeStage").isEnabled()


def test_order_by_keyboard_and_by_buttons(qtbot: QtBot, editor: ScheduleEditor) -> None:
    editor.list.setFocus()
    alt = Qt.KeyboardModifier.AltModifier
    qtbot.keyClick(editor.list, Qt.Key.Key_Down, alt)
    assert names(editor) == ["Part 2", "Part 1", "Part 3"]
    assert chosen(editor).name == "Part 1"
    qtbot.keyClick(editor.list, Qt.Key.Key_Up, alt)
    qtbot.keyClick(editor.list, Qt.Key.Key_Up, alt)
    assert names(editor) == ["Part 1", "Part 2", "Part 3"]
    press(qtbot, editor, "stageDown")
    press(qtbot, editor, "stageDown")
    assert names(editor) == ["Part 2", "Part 3", "Part 1"]
    assert not child(editor, QPushButton, "stageDown").isEnabled()


@pytest.mark.parametrize(
    ("row", "over", "half", "result"),
    [
        (0, 2, "lower", ["Part 2", "Part 3", "Part 1"]),
        (0, 2, "upper", ["Part 2", "Part 1", "Part 3"]),
        (2, 0, "upper", ["Part 3", "Part 1", "Part 2"]),
        (2, 0, "lower", ["Part 1", "Part 3", "Part 2"]),
        (1, 1, "lower", ["Part 1", "Part 2", "Part 3"]),
    ],
)
def test_order_by_dragging(
    qtbot: QtBot, editor: ScheduleEditor, row: int, over: int, half: str, result: list[str]
) -> None:
    stages = editor.list
    stages.setCurrentRow(row)
    rect = stages.visualItemRect(stages.item(over))
    y = rect.bottom() - 3 if half == "lower" else rect.top() + 3
    carried = QMimeData()
    drop = QDropEvent(
        QPointF(rect.center().x(), y),
        Qt.DropAction.MoveAction | Qt.DropAction.CopyAction,
        carried,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    stages.dropEvent(drop)
    assert names(editor) == result
    assert [stages.item(n).text()[3:] for n in range(3)] == result
    assert stages.currentRow() == result.index(f"Part {row + 1}")


def test_undo_and_redo_from_the_list_and_from_within_a_field(
    qtbot: QtBot, editor: ScheduleEditor
) -> None:
    control, shift = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
    editor.activateWindow()
    edit = write(qtbot, editor, "stageName", "Smoke")
    editor.list.setCurrentRow(1)
    press(qtbot, editor, "stageUp")
    assert names(editor) == ["Part 2", "Smoke", "Part 3"]
    editor.list.setCurrentRow(1)
    edit = form(editor).name.edit
    edit.setFocus()
    qtbot.waitUntil(edit.hasFocus)
    qtbot.keyClick(edit, Qt.Key.Key_Z, control)
    assert names(editor) == ["Smoke", "Part 2", "Part 3"]
    qtbot.keyClick(editor.list, Qt.Key.Key_Z, control)
    assert names(editor) == ["Part 1", "Part 2", "Part 3"]
    assert not editor.draft.changed
    qtbot.keyClick(editor.list, Qt.Key.Key_Z, control | shift)
    assert names(editor) == ["Smoke", "Part 2", "Part 3"]
    press(qtbot, editor, "redoPlan")
    assert names(editor) == ["Part 2", "Smoke", "Part 3"]
    assert not child(editor, QPushButton, "redoPlan").isEnabled()


# -- the form -------------------------------------------------------------------------------------


def test_until_a_temperature_with_all_its_fields(qtbot: QtBot, editor: ScheduleEditor) -> None:
    editor.set_units(US)
    write(qtbot, editor, "stagePit", "225")
    pick(editor, "rule0Kind", "until_temperature")
    pick(editor, "rule0Channel", "check")
    pick(editor, "rule0Direction", "falling")
    write(qtbot, editor, "rule0Target", "150")
    write(qtbot, editor, "rule0Prove", "3 min")
    stage = chosen(editor)
    assert stage.pit_target_c == pytest.approx(107.2222, abs=1e-3)
    (rule,) = stage.rules
    assert isinstance(rule, UntilTemperature)
    assert rule.target_c == pytest.approx(65.5556, abs=1e-3)
    assert (rule.direction, rule.prove_s, rule.channel) == ("falling", 180.0, "check")


def test_a_hold_with_all_its_fields(qtbot: QtBot, editor: ScheduleEditor) -> None:
    write(qtbot, editor, "rule0Time", "30")
    box = child(form(editor), QCheckBox, "rule0Counts")
    box.setFocus()
    qtbot.keyClick(box, Qt.Key.Key_Space)
    # Until the threshold is typed the stage stays as it was, and says so in the list.
    assert chosen(editor).rules == (ForTime(1800.0),)
    assert editor.forms.unfinished()
    pick(editor, "rule0HoldChannel", "b")
    write(qtbot, editor, "rule0AtLeast", "74")
    write(qtbot, editor, "rule0Dip", "1.5")
    pick(editor, "rule0DipMode", "start_over")
    write(qtbot, editor, "rule0DipTime", "2")
    assert chosen(editor).rules == (ForTime(1800.0, 74.0, "b", 1.5, "start_over", 120.0),)
    assert not editor.forms.unfinished()
    qtbot.keyClick(box, Qt.Key.Key_Space)
    assert chosen(editor).rules == (ForTime(1800.0),)
    # What was typed for the hold is still there when it is wanted again.
    qtbot.keyClick(box, Qt.Key.Key_Space)
    assert chosen(editor).rules == (ForTime(1800.0, 74.0, "b", 1.5, "start_over", 120.0),)


def test_until_a_clock_time_where_the_cook_is(qtbot: QtBot, editor: ScheduleEditor) -> None:
    pick(editor, "rule0Kind", "until_clock")
    write(qtbot, editor, "rule0Clock", "18:30")
    assert chosen(editor).rules == (
        UntilClock(dt.datetime(2026, 5, 2, 16, 30, tzinfo=dt.UTC).timestamp()),
    )


def test_several_rules_any_or_all(qtbot: QtBot, editor: ScheduleEditor) -> None:
    assert not child(form(editor), QComboBox, "stageCombine").isVisible()
    qtbot.mouseClick(child(form(editor), QPushButton, "stageAddRule"), Qt.MouseButton.LeftButton)
    assert chosen(editor).rules == (ForTime(600.0), UntilSaid())
    pick(editor, "stageCombine", "all")
    assert chosen(editor).combine == "all"
    pick(editor, "rule1Kind", "for_time")
    write(qtbot, editor, "rule1Time", "20")
    assert chosen(editor).rules == (ForTime(600.0), ForTime(1200.0))
    qtbot.mouseClick(child(form(editor), QPushButton, "rule0Remove"), Qt.MouseButton.LeftButton)
    assert chosen(editor).rules == (ForTime(1200.0),)
    editor.head.undo()
    assert len(chosen(editor).rules) == 2


def test_the_rest_of_a_stage(qtbot: QtBot, editor: ScheduleEditor) -> None:
    pick(editor, "stageEnding", "waits")
    pick(editor, "stageAlert", "insistent")
    write(qtbot, editor, "stageGuard", "2 h")
    text = child(form(editor), QPlainTextEdit, "stageInstruction")
    text.setFocus()
    qtbot.keyClicks(text, "Turn it once.")
    stage = chosen(editor)
    assert (stage.ending, stage.alert, stage.guard_s) == ("waits", "insistent", 7200.0)
    assert stage.instruction == "Turn it once."


def test_what_cannot_be_read_stays_through_a_visit_to_another_stage_and_other_units(
    qtbot: QtBot, editor: ScheduleEditor
) -> None:
    write(qtbot, editor, "rule0Time", "a while")
    assert "Type a time" in form(editor).findChild(QLabel, "rule0TimeProblem").text()
    editor.list.setCurrentRow(1)
    editor.set_units(US)
    editor.list.setCurrentRow(0)
    assert child(form(editor), QLineEdit, "rule0Time").text() == "a while"
    assert child(form(editor), QLabel, "rule0TimeProblem").isVisible()
    assert not editor.check()
    # "a" could not be read at any moment: the stage is as it was.
    assert chosen(editor).rules == (ForTime(600.0),)
    assert editor.list.item(0).data(Qt.ItemDataRole.UserRole + 2) == "unfinished"


# -- warnings and preview -------------------------------------------------------------------------


def test_warnings_stand_beside_the_stage_and_in_the_list(
    qtbot: QtBot, editor: ScheduleEditor
) -> None:
    write(qtbot, editor, "stagePit", "107")
    pick(editor, "rule0Kind", "until_temperature")
    write(qtbot, editor, "rule0Target", "107")

    def beside() -> str:
        found = form(editor).findChildren(WarningLabel)
        return " ".join(w.text() for w in found if w.isVisible())

    qtbot.waitUntil(lambda: "Meat never gets hotter" in beside())
    assert "“Part 1”" in child(editor, QLabel, "warningSummary").text()
    assert editor.list.item(0).data(Qt.ItemDataRole.UserRole + 2) == "can't work"
    write(qtbot, editor, "rule0Target", "74")
    assert not beside()
    assert "No problems found in" in child(editor, QLabel, "warningSummary").text()


def test_a_probe_that_goes_is_missed(qtbot: QtBot, editor: ScheduleEditor) -> None:
    pick(editor, "rule0Kind", "until_temperature")
    pick(editor, "rule0Channel", "b")
    write(qtbot, editor, "rule0Target", "74")
    editor.set_plan(Plan("Cook", "Europe/Berlin", channels={"a": PLAN.channels["a"]}, lead="a"))
    assert any("does not have" in w.text for w in editor.board.warnings)
    box = child(form(editor), QComboBox, "rule0Channel")
    assert box.currentData() == "b"
    assert "not there" in box.currentText()


def test_a_block_of_the_preview_leads_to_its_stage(qtbot: QtBot, editor: ScheduleEditor) -> None:
    editor.preview.grab()
    _key, place = editor.preview._places[2]
    qtbot.mouseClick(editor.preview, Qt.MouseButton.LeftButton, pos=place.center().toPoint())
    assert editor.list.key() == "s3"
    assert form(editor).name.text() == "Part 3"
    assert "Part 2: 20 min" in editor.preview.accessibleDescription()


@pytest.mark.parametrize("units", [METRIC, US])
def test_every_schedule_to_begin_with_can_be_used(
    qtbot: QtBot, editor: ScheduleEditor, units: object
) -> None:
    editor.set_units(US if units is US else METRIC)
    for action in [a for a in editor.head.menu.actions() if a.data() is not None]:
        action.trigger()
        for row in range(editor.list.count()):
            editor.list.setCurrentRow(row)
            assert form(editor).bad_field() is None
        assert editor.check()
        assert not [w for w in editor.board.warnings if w.weight == "broken"]
    # Looking at a form never changes what it shows.
    while editor.draft.undo():
        pass
    assert editor.draft.schedule == THREE


def test_a_row_that_a_drag_took_out_comes_back(qtbot: QtBot, editor: ScheduleEditor) -> None:
    editor.list.model().removeRow(0)
    qtbot.waitUntil(lambda: editor.list.count() == 3)
    assert [editor.list.item(n).text() for n in range(3)] == ["1  Part 1", "2  Part 2", "3  Part 3"]
    assert names(editor) == ["Part 1", "Part 2", "Part 3"]


def test_a_name_with_hidden_characters_is_told_at_its_field_and_not_left(
    qtbot: QtBot, editor: ScheduleEditor
) -> None:
    wrong = "Take out the line breaks and hidden characters."
    for field in (form(editor).name, editor.head.name):
        good = field.text()
        field.edit.setText("")
        QApplication.clipboard().setText("Smoke\u202e\x1b[31m")
        qtbot.keyClick(field.edit, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
        assert field.message.isVisible()
        assert field.message.text() == wrong
        assert not editor.check()
        field.edit.clear()
        qtbot.keyClicks(field.edit, good)
        assert editor.check()
