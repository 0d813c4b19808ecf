"""Tend, driven by keys and clicks: what is shown, what is written, and when it is called recorded."""

from __future__ import annotations

from concurrent.futures import Future

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QLineEdit, QListView, QMenu, QPlainTextEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import (
    CookClosed,
    ItemAdded,
    LeadSet,
    Lid,
    Note,
    ReadingsStruck,
    ScheduleStarted,
    Spritz,
    StageConfirmed,
    StageExtended,
    StagePutBack,
    StageSkipped,
)
from smokejournal.cook.text.quantities import US
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.desk.tend.page import TendPage
from smokejournal.journal import JournalProblem
from tests.support.fakes import slow_disk
from tests.support.tend_desk import QuietPlayer, TendDesk, dressed, look_kept, tend  # noqa: F401 - fixtures

CTRL = Qt.KeyboardModifier.ControlModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier


def fires(menu: QMenu, text: str) -> QAction:
    return next(a for a in menu.actions() if a.text().replace("&", "") == text)


def test_without_a_cook_it_says_what_to_do(qtbot: QtBot, context: DeskContext):
    page = TendPage(context, player=QuietPlayer())
    qtbot.addWidget(page)
    page.show()
    button = page.findChild(QPushButton, "tendEmptyButton")
    assert button is not None
    with qtbot.waitSignal(page.plan_asked):
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def test_planned_begins_with_enter(tend: TendDesk):  # noqa: F811
    tend.show()
    assert tend.text("sentenceHead").startswith("This cook hasn't begun.")
    tend.key(Qt.Key.Key_Return)
    tend.recorded("Begun")
    assert tend.entries(ScheduleStarted)
    assert tend.text("sentenceHead").startswith("Smoke: ")
    # The start asks for the weather once, and Escape leaves it.
    assert tend.widget(QPushButton, "weatherFormRecord").isVisible()
    tend.key(Qt.Key.Key_Escape)
    assert not tend.widget(QPushButton, "weatherFormRecord").isVisible()


def test_a_second_cook_begins_only_after_it_was_said(tend: TendDesk):  # noqa: F811
    other = tend.context.program.new_cook("Ribs", "UTC")
    tend.context.live(other).record(ScheduleStarted()).result()
    tend.show()
    tend.key(Qt.Key.Key_Return)
    assert "“Ribs”" in tend.text("otherCook")
    tend.press("askNo")
    tend.qtbot.waitUntil(lambda: tend.page.findChild(AskDialog) is None)
    assert not tend.entries(ScheduleStarted)
    tend.press("stageBegin")
    tend.press("askYes")
    tend.recorded("Begun")
    assert tend.entries(ScheduleStarted)


def test_the_sentence_and_the_readings(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    assert "Hold begins when Thick end reaches 74 °C (now 61)." in tend.text("sentenceHead")
    assert "Then Hold for 30 min" in tend.text("toDoNext")
    assert tend.text("readout_leftFigure") == "61.0"
    assert tend.text("readout_leftMark") == "lead"
    assert tend.text("readout_leftWords") == "corrected by +2.2 °C"
    assert tend.text("readout_shedFigure") == "–"
    tend.context.set_units(US)
    assert "165 °F" in tend.text("sentenceHead")
    assert tend.text("readout_leftFigure") == "141.8"


def test_a_silent_lead_is_never_shown_as_now_and_the_check_probe_can_lead(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    assert not tend.widget(QPushButton, "stageLead").isVisible()
    tend.clock.forward(200)
    tend.read(right=63.0)
    tend.pass_time(1)
    figure = tend.widget(QWidget, "readout_leftFigure")
    assert figure.property("kind") == "bigfaint"
    assert tend.text("readout_leftAge") == "3 min ago"
    assert "Silent" in tend.text("readout_leftWords")
    assert "or let Thin end lead" in tend.text("toDoNow")
    tend.press("stageLead")
    words = tend.answer("askNo")
    assert "follow Thin end, which reads 63.0 °C" in words
    assert tend.entries(LeadSet)[-1] == LeadSet("left", "right")
    tend.press("stageLead")
    tend.answer("askYes")
    tend.recorded("Thin end leads")
    assert tend.entries(LeadSet)[-1] == LeadSet("right", "left")
    assert tend.text("readout_rightMark") == "lead"


def test_the_figures_are_large_enough(tend: TendDesk, dressed):  # noqa: F811
    tend.begin()
    tend.show()
    figure = tend.widget(QWidget, "readout_leftFigure")
    figure.ensurePolished()
    assert figure.fontInfo().pixelSize() >= 48


def test_lid_is_one_key_and_shows_how_long_it_is_open(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    lid = tend.widget(QPushButton, "entry_lid")
    assert lid.text() == "Open lid  L"
    tend.key("l")
    tend.recorded("Lid opened")
    tend.pass_time(180)
    assert lid.text() == "Close lid, 3 min  L"
    tend.key("l")
    tend.recorded("Lid closed")
    assert lid.text() == "Open lid  L"
    assert tend.entries(Lid) == [Lid(open=True), Lid(open=False)]


def test_a_key_hit_twice_writes_once(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    tend.key("l")
    tend.key("l")
    tend.recorded("Lid opened")
    assert tend.entries(Lid) == [Lid(open=True)]


def test_it_is_called_recorded_only_when_it_is_on_disk(
    tend: TendDesk,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
):
    tend.begin()
    tend.show()
    pending: Future[object] = Future()
    monkeypatch.setattr(tend.live, "record", lambda *a, **k: pending)
    tend.press("entry_lid")
    tend.qtbot.waitUntil(lambda: tend.text("logStatus") == "Writing: Lid opened")
    tend.pass_time(5)
    assert "Recorded" not in tend.text("logStatus")
    pending.set_result(None)
    tend.recorded("Lid opened")


def test_a_reading_by_hand_is_two_keys_and_a_number(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    tend.key("r")
    tend.key("c")
    tend.type("4,5")
    tend.key(Qt.Key.Key_Return)
    tend.recorded("Shed wall 4.5 °C")
    assert tend.live.log().trace("shed").value_c[-1] == 4.5
    assert tend.text("readout_shedFigure") == "4" or tend.text("readout_shedFigure") == "5"
    model = tend.widget(QListView, "logView").model()
    assert any("Shed wall read: 4.5 °C" in str(model.index(n, 0).data()) for n in range(9))


def test_a_number_typed_before_a_probe_is_picked_is_the_chosen_probe_s(
    tend: TendDesk,  # noqa: F811
):
    tend.begin()
    tend.show()
    tend.key("r")
    tend.type("1")
    tend.type("07")
    assert tend.widget(QLineEdit, "readingValue").text() == "107"
    tend.key(Qt.Key.Key_Return)
    tend.recorded("Thick end 107.0 °C")
    assert tend.live.log().trace("right").value_c.tolist() == [60.0]


def test_a_reading_can_be_back_dated(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.clock.forward(3600)
    tend.show()
    tend.key("r")
    tend.key("c")
    tend.type("4.5")
    tend.widget(QLineEdit, "readingFormWhen").setFocus()
    tend.type("-10")
    tend.key(Qt.Key.Key_Return)
    tend.recorded("Shed wall")
    assert tend.live.log().trace("shed").at_s[-1] == tend.clock.now_s() - 600


def test_a_wrong_number_keeps_what_was_typed_and_says_what_to_type(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    tend.key("r")
    tend.key("c")
    tend.type("warm")
    tend.key(Qt.Key.Key_Return)
    assert "Type a temperature" in tend.text("readingValueProblem")
    assert tend.widget(QLineEdit, "readingValue").text() == "warm"
    assert len(tend.live.log().trace("shed")) == 0


def test_a_reading_on_a_cook_without_channels_makes_one(
    qtbot: QtBot,
    context: DeskContext,
    clock,
    tend: TendDesk,  # noqa: F811
):
    context.choose(context.program.new_cook("Trout", "UTC"))
    tend.live = context.live(context.chosen)
    tend.show()
    tend.key("r")
    tend.type("Thick end")
    tend.widget(QLineEdit, "readingValue").setFocus()
    tend.type("12")
    tend.key(Qt.Key.Key_Return)
    tend.recorded("Channel Thick end")
    assert tend.text("readout_hand1Figure") == "12.0"


def test_undo_after_a_reading_by_hand_takes_back_that_reading(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    tend.key("r")
    tend.key("a")
    tend.type("99")
    tend.key(Qt.Key.Key_Return)
    tend.recorded("Thick end 99.0 °C")
    tend.key("z", CTRL)
    tend.recorded("undone: Thick end 99.0 °C")
    assert len(tend.entries(ReadingsStruck)) == 1
    assert tend.live.log().trace("left").value_c.tolist() == [58.8]
    assert tend.entries(ScheduleStarted)


def test_undo_and_redo_by_keys(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    tend.key("l")
    tend.recorded("Lid opened")
    tend.key("z", CTRL)
    tend.recorded("undone: Lid opened")
    assert not tend.entries(Lid)
    tend.key("z", CTRL | SHIFT)
    tend.recorded("brought back: Lid opened")
    assert tend.entries(Lid) == [Lid(open=True)]


def test_delete_strikes_the_chosen_line_and_again_brings_it_back(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.say(Spritz("cider"))
    tend.show()
    view = tend.widget(QListView, "logView")
    rect = view.visualRect(view.model().index(0, 0))
    tend.qtbot.mouseClick(
        view.viewport(), Qt.MouseButton.LeftButton, pos=rect.topLeft() + QPoint(60, 8)
    )
    tend.qtbot.keyClick(view, Qt.Key.Key_Delete)
    tend.recorded("struck: Spritzed with cider")
    assert not tend.entries(Spritz)
    assert tend.widget(QPushButton, "logStrike").text() == "Bring back"
    tend.press("logStrike")
    tend.recorded("brought back: Spritzed with cider")
    assert tend.entries(Spritz) == [Spritz("cider")]


def test_undo_after_a_strike_takes_back_the_strike_and_nothing_else(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.say(Spritz("cider"))
    tend.show()
    tend.key("l")
    tend.recorded("Lid opened")
    view = tend.widget(QListView, "logView")
    rect = view.visualRect(view.model().index(1, 0))
    tend.qtbot.mouseClick(
        view.viewport(), Qt.MouseButton.LeftButton, pos=rect.topLeft() + QPoint(60, 8)
    )
    tend.qtbot.keyClick(view, Qt.Key.Key_Delete)
    tend.recorded("struck: Spritzed with cider")
    assert not tend.entries(Spritz)
    tend.key("z", CTRL)
    tend.recorded("undone: struck: Spritzed with cider")
    assert tend.entries(Spritz) == [Spritz("cider")]
    assert tend.entries(Lid) == [Lid(open=True)]
    tend.key("z", CTRL)
    tend.recorded("undone: Lid opened")
    assert tend.entries(Spritz) == [Spritz("cider")]


def test_a_log_line_with_the_focus_only_is_not_struck(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.say(Spritz("cider"))
    tend.show()
    view = tend.widget(QListView, "logView")
    view.setFocus(Qt.FocusReason.OtherFocusReason)
    tend.key("l")
    tend.recorded("Lid opened")
    assert not view.selectedIndexes()
    assert not tend.widget(QPushButton, "logStrike").isEnabled()


def test_letters_in_the_log_are_the_page_s(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    view = tend.widget(QListView, "logView")
    view.setFocus()
    tend.qtbot.keyClick(view, "l")
    tend.recorded("Lid opened")


def test_a_note_left_by_escape_waits_and_that_is_said(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    tend.key("n")
    tend.type("half a thou")
    tend.key(Qt.Key.Key_Escape)
    assert tend.text("logStatus") == "Not recorded yet: your note waits where you left it."
    tend.key("n")
    assert tend.widget(QPlainTextEdit, "noteText").toPlainText() == "half a thou"


def test_letters_in_a_form_are_letters(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    tend.key("n")
    tend.type("will lid, spritz and fuel later")
    text = tend.widget(QPlainTextEdit, "noteText")
    assert text.toPlainText() == "will lid, spritz and fuel later"
    assert not tend.entries(Lid)
    tend.key(Qt.Key.Key_Return)
    tend.recorded("will lid")
    assert tend.entries(Note) == [Note("will lid, spritz and fuel later")]
    tend.key("l")
    tend.recorded("Lid opened")


def test_no_key_leaves_a_form_through_its_choices_or_buttons(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    tend.key("w")
    tend.key("l")
    tend.key("f")
    tend.widget(QPushButton, "wrapFormRecord").setFocus()
    tend.key("l")
    assert not tend.entries(Lid)
    assert tend.widget(QPushButton, "wrapFormRecord").isVisible()
    tend.key(Qt.Key.Key_Escape)
    tend.qtbot.waitUntil(lambda: not tend.widget(QPushButton, "wrapFormRecord").isVisible())


def test_a_failed_write_says_what_to_do_and_keeps_what_was_typed(
    tend: TendDesk,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
):
    tend.begin()
    tend.show()
    full = JournalProblem("The disk is full.", "Free some space, then record again.")
    failing: Future[object] = Future()
    failing.set_exception(full)
    monkeypatch.setattr(tend.live, "record_many", lambda items: failing)
    tend.key("n")
    tend.type("Bark is set")
    tend.key(Qt.Key.Key_Return)
    tend.qtbot.waitUntil(lambda: "Free some space" in tend.text("noteFormTrouble"))
    assert tend.text("noteFormTrouble").startswith("The disk is full.")
    assert tend.widget(QPlainTextEdit, "noteText").toPlainText() == "Bark is set"
    monkeypatch.undo()
    tend.key(Qt.Key.Key_Return)
    tend.recorded("Bark is set")


def test_a_key_whose_write_failed_is_told_and_works_again(
    tend: TendDesk,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
):
    tend.begin()
    tend.show()
    notices = []
    tend.context.notice_given.connect(notices.append)
    failing: Future[object] = Future()
    failing.set_exception(JournalProblem("The disk is full.", "Free some space."))
    monkeypatch.setattr(tend.live, "record", lambda *a, **k: failing)
    tend.key("l")
    tend.qtbot.waitUntil(lambda: bool(notices))
    assert "The disk is full." in notices[0].text
    assert "Free some space." in notices[0].text
    monkeypatch.undo()
    tend.key("l")
    tend.recorded("Lid opened")


def test_a_stage_that_waits_is_confirmed_with_space(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.say(StageSkipped("s1"))
    tend.say(StageSkipped("s2"))
    tend.show()
    tend.key(Qt.Key.Key_Space)
    assert not tend.entries(StageConfirmed)
    tend.pass_time(1300)
    assert "Rest is done and waits for you" in tend.text("sentenceHead")
    assert tend.text("toDoNow") == "Tent it loosely."
    assert tend.widget(QPushButton, "stageConfirm").property("kind") == "ember"
    tend.key(Qt.Key.Key_Space)
    tend.recorded("Rest confirmed")
    assert tend.text("sentenceHead").startswith("All stages are done.")


def test_enter_on_a_button_is_the_button_s_and_ends_no_stage(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.say(StageSkipped("s1"))
    tend.say(StageSkipped("s2"))
    tend.show()
    tend.pass_time(1300)
    tend.widget(QPushButton, "entry_note").setFocus()
    tend.key(Qt.Key.Key_Space)
    assert tend.widget(QPushButton, "noteFormRecord").isVisible()
    assert not tend.entries(StageConfirmed)


def test_more_time_skip_and_put_back(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    extend = tend.widget(QPushButton, "stageExtend").menu()
    fires(extend, "10 min").trigger()
    tend.recorded("Smoke extended by 10 min")
    fires(extend, "Other").trigger()
    tend.type("1:30")
    tend.key(Qt.Key.Key_Return)
    tend.recorded("Smoke extended by 1 h 30 min")
    assert tend.entries(StageExtended) == [StageExtended("s1", 600.0), StageExtended("s1", 5400.0)]
    tend.key("k")
    tend.recorded("Smoke skipped")
    assert tend.text("sentenceHead").startswith("Hold: ")
    fires(tend.widget(QPushButton, "stagePutBack").menu(), "1  Smoke").trigger()
    tend.recorded("Put back to Smoke")
    assert tend.entries(StagePutBack) == [StagePutBack("s1")]
    assert "it ends when you confirm" in tend.text("toDoNext")


def test_closing_asks_first_and_then_shows_taste(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    tend.press("stageClose")
    tend.qtbot.waitUntil(lambda: tend.widget(QPushButton, "closeFormRecord").isVisible())
    assert not tend.entries(CookClosed)
    # The safe answer has the focus, so a stray Enter closes nothing.
    tend.key(Qt.Key.Key_Return)
    assert not tend.entries(CookClosed)
    tend.press("stageClose")
    tend.qtbot.waitUntil(lambda: tend.widget(QPushButton, "closeFormRecord").isVisible())
    with tend.qtbot.waitSignal(tend.page.taste_asked) as asked:
        tend.press("closeFormRecord")
    assert asked.args == [tend.cook_id]
    assert tend.entries(CookClosed)
    assert tend.text("sentenceHead").startswith("The cook is over.")
    assert not tend.widget(QWidget, "readings").isVisible()
    assert not tend.widget(QPushButton, "entry_lid").isEnabled()
    tend.key("l")
    assert not tend.entries(Lid)
    tend.settle()


def test_a_hold_that_food_safety_asks_for_is_not_skipped_unsaid(tend: TendDesk):  # noqa: F811
    tend.say(ItemAdded("thighs", "poultry", mass_kg=1.0))
    tend.begin()
    tend.show()
    tend.key("k")
    words = tend.answer("askNo")
    assert "Lethality: not yet" in words
    assert not tend.entries(StageSkipped)
    tend.key("k")
    tend.answer("askYes")
    tend.recorded("Smoke skipped")
    tend.key("z", Qt.KeyboardModifier.ControlModifier)
    tend.recorded("undone: Smoke skipped")
    tend.press("stageClose")
    assert "Least temperature: not yet" in tend.answer("askNo")
    assert tend.page.findChild(QPushButton, "closeFormRecord") is None
    tend.press("stageClose")
    tend.answer("askYes")
    tend.qtbot.waitUntil(lambda: tend.widget(QPushButton, "closeFormRecord").isVisible())
    tend.press("closeFormRecord")
    tend.qtbot.waitUntil(lambda: bool(tend.entries(CookClosed)))
    tend.settle()


def test_on_a_slow_disk_undo_waits_and_takes_back_what_was_just_said(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    with slow_disk(tend.context.program.journal):
        tend.key("l")
        tend.key("z", CTRL)
        assert "Undo waits" in tend.text("logStatus")
        assert tend.entries(ScheduleStarted)
    tend.recorded("undone: Lid opened")
    assert not tend.entries(Lid)
    assert tend.entries(ScheduleStarted)
    tend.settle()


def test_every_control_has_a_name(tend: TendDesk):  # noqa: F811
    tend.begin()
    tend.show()
    nameless = [
        w.objectName() or type(w).__name__
        for w in tend.page.findChildren(QWidget)
        if isinstance(w, QPushButton | QLineEdit | QListView | QPlainTextEdit)
        and not w.accessibleName()
        and not w.parentWidget().inherits("QComboBoxPrivateContainer")
        and w.objectName() != "qt_spinbox_lineedit"
    ]
    assert [n for n in nameless if n != "QComboBoxListView"] == []


def test_in_a_low_window_the_whole_score_stays_in_sight_beside_an_alarm(
    tend: TendDesk,  # noqa: F811
    dressed: None,  # noqa: F811
):
    tend.begin()
    # What the page has in a window of 1024 x 600 with the line that says it is practice.
    tend.page.resize(900, 575)
    tend.show()
    bar = tend.page._scroll.verticalScrollBar()
    assert bar.maximum() == 0
    tend.pass_time(300)
    assert tend.page.alarm_strip.isVisible()
    tend.qtbot.waitUntil(lambda: tend.page._scroll.viewport().height() < 500)
    # Every probe is silent and says so, and still nothing scrolls out of sight.
    tend.qtbot.waitUntil(lambda: bar.maximum() == 0)
    view = tend.page._score.view
    assert view.height() >= view.minimumHeight()
    tend.settle()
    area = view.canvas.time_area()
    assert 0.0 < area.bottom() < view.height()
