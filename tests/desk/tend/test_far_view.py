"""The far view of Tend: opened by a key or its button, kept up with the cook, never clipped."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QApplication, QLabel, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import ChannelSet, StageSkipped
from smokejournal.cook.log.readings import Channel
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.theme import GROUNDS, apply_ground, dress
from smokejournal.desk.help.keys import keys_of
from smokejournal.desk.shell.window import Window
from smokejournal.desk.tend.fit_label import FitLabel
from smokejournal.desk.tend.readings import ReadoutView
from tests.support.tend_desk import QuietPlayer, TendDesk, dressed, look_kept, tend  # noqa: F401 - fixtures

FAR = "farReadings"


def far(tend: TendDesk) -> QWidget:  # noqa: F811
    return tend.widget(QWidget, "farView")


def figure(tend: TendDesk, key: str) -> QLabel:  # noqa: F811
    label = tend.widget(QWidget, FAR).findChild(QLabel, f"readout_{key}Figure")
    assert label is not None
    return label


def go_far(tend: TendDesk) -> None:  # noqa: F811
    tend.begin()
    tend.show()
    tend.key("v")
    assert far(tend).isVisible()


def leave(tend: TendDesk) -> None:  # noqa: F811
    tend.key(Qt.Key.Key_Escape)
    assert not far(tend).isVisible()
    tend.settle()


def test_the_key_opens_it_and_escape_leaves(tend: TendDesk):  # noqa: F811
    go_far(tend)
    assert not tend.widget(QWidget, "entryBar").isVisible()
    assert "Thick end reaches 74 °C" in tend.text("farHead")
    assert tend.text("farHead") == tend.widget(QLabel, "sentenceHead").text()
    tend.key(Qt.Key.Key_Escape)
    assert not far(tend).isVisible()
    assert tend.widget(QWidget, "entryBar").isVisible()
    tend.settle()


def test_the_button_opens_it_and_another_leaves(tend: TendDesk):  # noqa: F811
    tend.show()
    tend.press("tendFar")
    assert tend.text("farHead").startswith("This cook hasn't begun.")
    tend.press("farBack")
    assert not far(tend).isVisible()
    tend.settle()


def test_a_reading_that_arrives_is_shown(tend: TendDesk):  # noqa: F811
    go_far(tend)
    # The reading as it came is 58.8 °C, and the channel is corrected by 2.2.
    assert figure(tend, "left").text() == "61.0"
    assert figure(tend, "right").text() == "60.0"
    tend.clock.forward(5.0)
    tend.read(left=60.9, right=61.2)
    tend.qtbot.waitUntil(lambda: figure(tend, "left").text() == "63.1")
    assert figure(tend, "right").text() == "61.2"
    assert "now 63" in tend.text("farHead")
    leave(tend)


def test_the_lead_is_the_largest_and_stays_where_it_is(tend: TendDesk, dressed: None):  # noqa: F811
    go_far(tend)
    left = figure(tend, "left").fontMetrics().height()
    assert left > 1.2 * figure(tend, "right").fontMetrics().height()
    assert left > tend.widget(QLabel, "sentenceHead").fontMetrics().height() * 2
    QApplication.processEvents()  # which lays it out
    before = figure(tend, "left").geometry(), figure(tend, "right").pos()
    tend.clock.forward(5.0)
    tend.read(left=60.1, right=61.8)
    tend.qtbot.waitUntil(lambda: figure(tend, "left").text() == "62.3")
    QApplication.processEvents()
    assert (figure(tend, "left").geometry(), figure(tend, "right").pos()) == before
    assert figure(tend, "left").font().featureValue(QFont.Tag("tnum")) == 1
    leave(tend)


def test_an_alarm_is_shown_and_answered_there(tend: TendDesk):  # noqa: F811
    go_far(tend)
    usual = tend.widget(QLabel, "alarmText").fontMetrics().height()
    tend.pass_time(300)
    tend.qtbot.waitUntil(lambda: tend.page.alarm_strip.isVisible())
    assert far(tend).isVisible()
    assert "Thick end is silent" in tend.text("alarmText")
    assert "Silent" in tend.widget(QWidget, FAR).findChild(QLabel, "readout_leftWords").text()
    assert "Thick end" in tend.text("farToDo")
    assert tend.widget(QLabel, "alarmText").fontMetrics().height() >= usual
    tend.press("alarmAnswer")
    tend.qtbot.waitUntil(lambda: not tend.page.alarm_strip.isVisible())
    assert far(tend).isVisible()
    leave(tend)


def test_enter_goes_on_from_there(tend: TendDesk):  # noqa: F811
    go_far(tend)
    tend.say(StageSkipped("s1"))
    tend.say(StageSkipped("s2"))
    tend.pass_time(1300)
    tend.qtbot.waitUntil(lambda: "waits for you" in tend.text("farHead"))
    assert tend.text("farToDo") == "Tent it loosely."
    tend.key(Qt.Key.Key_Return)
    tend.qtbot.waitUntil(lambda: "All stages are done" in tend.text("farHead"))
    leave(tend)


@pytest.mark.parametrize("key", ["n", "t", "r"])
def test_what_needs_the_page_goes_back_to_it(tend: TendDesk, key: str):  # noqa: F811
    go_far(tend)
    tend.key(key)
    assert not far(tend).isVisible()
    assert tend.widget(QWidget, "tendSide").isVisible()
    tend.settle()


def test_another_cook_leaves_it(tend: TendDesk):  # noqa: F811
    go_far(tend)
    tend.context.choose(None)
    assert not far(tend).isVisible()


def cut(root: QWidget) -> list[str]:
    """What of the far view is written larger than its room, beyond an edge, or with an ellipsis."""
    found = []
    for label in root.findChildren(QLabel):
        if not label.text() or not label.isVisibleTo(root):
            continue
        at = label.mapTo(root, label.rect().topLeft())
        if not root.rect().contains(label.rect().translated(at)):
            found.append(f"{label.objectName()} is beyond the edge")
        if isinstance(label, FitLabel):
            label.grab()
            if label.toolTip():
                found.append(f"{label.objectName()} “{label.text()}”")
        elif label.wordWrap():
            if label.heightForWidth(label.width()) > label.height():
                found.append(f"{label.objectName()}: {label.height()}")
        elif label.width() < label.fontMetrics().horizontalAdvance(label.text()):
            found.append(f"{label.objectName()} “{label.text()}”: {label.width()}")
    return found


@pytest.mark.parametrize(
    ("size", "ground", "others"),
    [
        *(((1024, 600), ground, 2) for ground in GROUNDS),
        *(((1024, 600), "day", others) for others in (0, 1, 6)),
        ((900, 540), "sun", 6),
        *(((1280, 800), "sun", others) for others in (2, 6)),
        ((1920, 1080), "night", 2),
        *(((3840, 2160), "night", others) for others in (0, 6)),
    ],
)
def test_nothing_is_cut_and_text_grows(
    tend: TendDesk,  # noqa: F811
    look_kept: None,  # noqa: F811
    size: tuple[int, int],
    ground: str,
    others: int,
):
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    apply_ground(app, ground)
    dress(tend.page, ground)
    tend.say(*(ChannelSet(Channel(f"c{n}", f"Grate, part {n}", "pit")) for n in range(others)))
    tend.page.resize(*size)
    go_far(tend)
    tend.read(**{f"c{n}": 107.0 + n for n in range(others)})
    tend.pass_time(
        200
    )  # both probes and the shed are silent: their words are the longest there are
    tend.qtbot.waitUntil(lambda: "Silent" in figure_words(tend))
    QApplication.processEvents()  # which lays it out
    assert cut(far(tend)) == []
    lead = figure(tend, "left").fontInfo().pixelSize()
    assert lead >= 0.05 * size[0]
    assert all(
        figure(tend, view.objectName().removeprefix("readout_")).fontInfo().pixelSize() <= lead
        for view in tend.widget(QWidget, FAR).findChildren(ReadoutView)
    )
    leave(tend)


def figure_words(tend: TendDesk) -> str:  # noqa: F811
    label = tend.widget(QWidget, FAR).findChild(QLabel, "readout_leftWords")
    assert label is not None
    return label.text()


def test_it_has_the_whole_screen_and_the_window_comes_back(qtbot: QtBot, tend: TendDesk):  # noqa: F811
    context: DeskContext = tend.context
    tend.begin()
    window = Window(context, QuietPlayer())
    qtbot.addWidget(window)
    with qtbot.waitActive(window):
        window.show()
        window.activateWindow()
    window.show_page("tend")
    page = window.page("tend")
    page.setFocus()
    told = [tuple(line) for line in keys_of(page)]
    assert ("V", "Far view, and back") in told
    assert ("Esc", "Leave the far view") in told
    before = window.windowState()
    qtbot.keyClick(page, "v")
    assert window.isFullScreen()
    spine = window.findChild(QWidget, "spine")
    assert not spine.isVisible()
    qtbot.keyClick(page, Qt.Key.Key_Escape)
    assert window.windowState() == before
    assert spine.isVisible()
    qtbot.keyClick(page, "v")
    window.show_page("stores")
    assert spine.isVisible()
    assert not window.isFullScreen()
    window.close_unasked()
    qtbot.waitUntil(lambda: not tend.page._soon.isActive())
