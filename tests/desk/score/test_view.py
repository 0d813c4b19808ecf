"""The live score: what is drawn, moved, followed and read out, driven as a person does."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QImage, QWheelEvent
from PySide6.QtWidgets import QApplication, QMenu, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.readings import Trace
from smokejournal.cook.score.score import Score, ScoreTrace
from smokejournal.cook.text.quantities import US
from smokejournal.desk.base.theme import GROUNDS
from smokejournal.desk.score.view import ScoreView
from tests.support.score_examples import START_S, shoulder

HOUR = 3600.0


@pytest.fixture
def view(qtbot: QtBot) -> ScoreView:
    shown = ScoreView()
    qtbot.addWidget(shown)
    shown.resize(1000, 600)
    shown.show()
    qtbot.waitExposed(shown)
    return shown


@pytest.fixture(scope="module")
def live() -> Score:
    return shoulder(10.4, 30.0)


@pytest.fixture(scope="module")
def done() -> Score:
    return shoulder(14.0, 30.0)


def further(score: Score, by_s: float) -> Score:
    """The same cook some seconds later, with one more reading on each probe."""
    traces = []
    for trace in score.traces:
        last = trace.pieces[-1]
        more = Trace(np.append(last.at_s, last.at_s[-1] + by_s), np.append(last.value_c, 70.0))
        traces.append(replace(trace, pieces=(*trace.pieces[:-1], more)))
    assert score.now_s is not None
    return replace(score, traces=tuple(traces), to_s=score.to_s + by_s, now_s=score.now_s + by_s)


def button(view: ScoreView) -> QPushButton:
    found = view.findChild(QPushButton, "follow_now")
    assert found is not None
    return found


def surface(view: ScoreView) -> object:
    return view.canvas.viewport()


def at(view: ScoreView, share: float) -> QPoint:
    """A place among the traces, at a share of the time axis."""
    area = view.canvas.time_area()
    return QPoint(round(area.left() + share * area.width()), round(area.top() + 150))


def has_color(image: QImage, color: str, rect: object = None) -> bool:
    wanted = QColor(color).rgb()
    return any(
        image.pixel(x, y) == wanted for x in range(image.width()) for y in range(image.height())
    )


# -- what is drawn --------------------------------------------------------------------------


def test_each_trace_is_drawn_in_its_color_on_every_ground(view: ScoreView, done: Score) -> None:
    for ground in GROUNDS.values():
        view.set_ground(ground)
        view.set_score(done)
        QApplication.processEvents()
        image = view.grab().toImage()
        assert image.pixelColor(2, 2) == QColor(ground.paper)
        for color, _ in ground.traces[: len(done.traces)]:
            assert has_color(image, color), (ground.name, color)


def test_nothing_is_drawn_across_the_gap(view: ScoreView, done: Score) -> None:
    view.set_score(done)
    QApplication.processEvents()
    image = view.grab().toImage()
    area = view.canvas.time_area()
    from_s, to_s = view.span
    x = round(area.left() + (START_S + 9.4 * HOUR - from_s) / (to_s - from_s) * area.width())
    colors = {QColor(color).rgb() for color, _ in GROUNDS["day"].traces}
    column = {image.pixel(x, y) for y in range(round(area.top()), round(area.top()) + 350)}
    assert not column & colors


def test_an_empty_score_says_so(view: ScoreView) -> None:
    view.set_score(None)
    assert view.accessible_text() == ""
    assert view.accessibleDescription() == "Nothing to show yet."
    assert not button(view).isVisible()


def test_there_is_no_menu_and_no_button_of_the_plot_s_own(
    view: ScoreView, live: Score, qtbot: QtBot
) -> None:
    view.set_score(live)
    qtbot.mouseClick(surface(view), Qt.MouseButton.RightButton, pos=at(view, 0.5))
    assert QApplication.activePopupWidget() is None
    assert not [menu for menu in view.findChildren(QMenu) if menu.isVisible()]
    assert [b.text() for b in view.findChildren(QPushButton)] == ["Follow now"]


def test_text_twin_is_in_the_readers_units(view: ScoreView, done: Score) -> None:
    view.set_score(done)
    assert "Shoulder, thick end (lead probe)" in view.accessible_text()
    assert view.accessibleDescription() == view.accessible_text()
    view.set_units(US)
    assert "°F" in view.accessibleDescription()
    assert "°C" not in view.accessibleDescription()


# -- following ------------------------------------------------------------------------------


def test_a_cook_under_way_is_followed_and_a_finished_one_is_not(
    view: ScoreView, live: Score, done: Score, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(view.following_changed) as told:
        view.set_score(live)
    assert told.args == [True]
    assert view.following
    view.set_score(done)
    assert not view.following
    assert not button(view).isVisible()


def test_showing_all_grows_with_the_cook(view: ScoreView, live: Score) -> None:
    view.set_score(live)
    later = further(live, 2 * HOUR)
    view.set_score(later)
    assert view.span[0] == live.from_s
    assert view.span[1] > later.to_s


def test_after_panning_new_readings_move_nothing_until_follow_now(
    view: ScoreView, live: Score, qtbot: QtBot
) -> None:
    view.set_score(live)
    view.zoom_in()
    where = view.span
    assert not view.following
    assert button(view).isVisible()
    score = live
    for _ in range(5):
        score = further(score, HOUR)
        view.set_score(score)
    assert view.span == where
    with qtbot.waitSignal(view.following_changed) as told:
        qtbot.mouseClick(button(view), Qt.MouseButton.LeftButton)
    assert told.args == [True]
    assert not button(view).isVisible()
    assert score.now_s is not None
    assert view.span[0] < score.now_s < view.span[1]
    assert view.span[1] - view.span[0] == pytest.approx(where[1] - where[0])
    score = further(score, HOUR)
    view.set_score(score)
    assert score.now_s is not None
    assert view.span[0] < score.now_s < view.span[1]


def test_dragging_pans_and_a_click_does_not(view: ScoreView, live: Score, qtbot: QtBot) -> None:
    view.set_score(live)
    from_s, to_s = view.span
    left, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    qtbot.mouseClick(surface(view), left, none, at(view, 0.5))
    assert view.span == (from_s, to_s)
    qtbot.mousePress(surface(view), left, none, at(view, 0.3))
    for share in (0.35, 0.4, 0.5):
        qtbot.mouseMove(surface(view), at(view, share))
    qtbot.mouseRelease(surface(view), left, none, at(view, 0.5))
    assert view.span[0] == pytest.approx(from_s - 0.2 * (to_s - from_s), abs=0.01 * (to_s - from_s))
    assert not view.following


def test_the_wheel_zooms_around_the_pointer(view: ScoreView, live: Score) -> None:
    view.set_score(live)
    pointer = QPointF(at(view, 0.25))
    from_s, to_s = view.span
    under_s = from_s + 0.25 * (to_s - from_s)
    event = QWheelEvent(
        pointer,
        view.mapToGlobal(pointer),
        QPoint(),
        QPoint(0, 240),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(surface(view), event)
    now_from, now_to = view.span
    assert now_to - now_from < 0.6 * (to_s - from_s)
    assert now_from + 0.25 * (now_to - now_from) == pytest.approx(under_s, abs=200)


def test_keys_pan_zoom_show_all_and_follow(view: ScoreView, live: Score, qtbot: QtBot) -> None:
    view.set_score(live)
    whole = view.span
    qtbot.keyClick(view, Qt.Key.Key_Plus)
    assert view.span[1] - view.span[0] < whole[1] - whole[0]
    zoomed = view.span
    qtbot.keyClick(view, Qt.Key.Key_Left)
    assert view.span[0] < zoomed[0]
    qtbot.keyClick(view, Qt.Key.Key_Right)
    assert view.span[0] == pytest.approx(zoomed[0])
    qtbot.keyClick(view, Qt.Key.Key_Minus)
    assert view.span[1] - view.span[0] == pytest.approx(whole[1] - whole[0])
    assert not view.following
    qtbot.keyClick(view, Qt.Key.Key_End)
    assert view.following
    qtbot.keyClick(view, Qt.Key.Key_Plus)
    qtbot.keyClick(view, Qt.Key.Key_Home)
    assert view.span == whole
    assert view.following


def test_zoom_has_limits(view: ScoreView, live: Score) -> None:
    view.set_score(live)
    for _ in range(60):
        view.zoom_in()
    assert view.span[1] - view.span[0] == pytest.approx(120.0)
    for _ in range(100):
        view.zoom_out()
    assert view.span[1] - view.span[0] < 2 * (live.to_s - live.from_s)


# -- reading out ----------------------------------------------------------------------------


def test_hovering_reads_out_every_trace(view: ScoreView, live: Score, qtbot: QtBot) -> None:
    view.set_score(live)
    with qtbot.waitSignal(view.moment_hovered) as told:
        qtbot.mouseMove(surface(view), at(view, 0.5))
    assert told.args is not None
    at_s = told.args[0]
    from_s, to_s = view.span
    assert at_s == pytest.approx((from_s + to_s) / 2, abs=60)
    text = view.read_out.text()
    assert "Grate: " in text
    assert "Shoulder, by the bone: " in text
    assert "Stage: Smoke" in text
    with qtbot.waitSignal(view.moment_hovered) as told:
        qtbot.mouseMove(surface(view), QPoint(3, 3))
    assert told.args == [None]
    assert view.read_out.text() == ""


def test_the_keyboard_reads_out_too(view: ScoreView, live: Score, qtbot: QtBot) -> None:
    view.set_score(live)
    qtbot.keyClick(view, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    first = view.read_out.at_s
    assert first is not None
    assert live.now_s is not None
    assert first < live.now_s
    assert view.accessibleDescription() == view.read_out.text()
    assert "Grate: " in view.accessibleDescription()
    qtbot.keyClick(view, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    assert view.read_out.at_s is not None
    assert view.read_out.at_s < first
    qtbot.keyClick(view, Qt.Key.Key_Escape)
    assert view.read_out.at_s is None


def test_from_mark_to_mark_and_choosing_one(view: ScoreView, live: Score, qtbot: QtBot) -> None:
    view.set_score(live)
    control = Qt.KeyboardModifier.ControlModifier
    wrap = next(mark for mark in live.marks if mark.symbol == "wrap")
    for _ in range(30):
        qtbot.keyClick(view, Qt.Key.Key_Right, control)
        if view.read_out.at_s == wrap.at_s:
            break
    assert view.read_out.at_s == wrap.at_s
    assert "Wrapped in paper" in view.accessibleDescription()
    with qtbot.waitSignal(view.mark_chosen) as told:
        qtbot.keyClick(view, Qt.Key.Key_Return)
    assert told.args == [wrap.entry_id]


def test_a_click_on_a_mark_chooses_it(view: ScoreView, live: Score, qtbot: QtBot) -> None:
    view.set_score(live)
    view.grab()
    note = next(mark for mark in live.marks if mark.symbol == "note")
    picture = view.canvas.picture
    assert picture is not None
    rect = next(r for r, mark in picture.mark_places if mark.entry_id == note.entry_id)
    place = QPointF(picture.span.x(note.at_s), rect.center().y())
    with qtbot.waitSignal(view.mark_chosen) as told:
        qtbot.mouseClick(
            surface(view),
            Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.NoModifier,
            place.toPoint(),
        )
    assert told.args == [note.entry_id]


def test_time_since_the_start(view: ScoreView, live: Score, qtbot: QtBot) -> None:
    view.set_score(live)
    view.set_time_mode("since_start")
    qtbot.keyClick(view, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    assert view.read_out.text().startswith("10:1")
    view.set_time_mode("clock")
    assert view.read_out.text().startswith("14:5")


# -- keeping up -----------------------------------------------------------------------------


def test_a_reading_on_the_same_pixel_draws_nothing_and_a_later_one_does(
    view: ScoreView, qtbot: QtBot
) -> None:
    times = START_S + np.arange(86_400.0)
    flat = np.full(times.size, 60.0)

    def day(count: int, jump: float = 0.0) -> Score:
        values = flat[:count].copy()
        values[-1] += jump
        trace = ScoreTrace("k", "Probe", "meat", (Trace(times[:count], values),))
        last = float(times[count - 1])
        return Score("UTC", START_S, last, last, START_S, (trace,))

    view.set_score(day(80_000))
    QApplication.processEvents()
    drawn = view.canvas.picture
    view.set_score(day(80_001))
    assert view.canvas.picture is drawn
    view.set_score(day(80_002, jump=20.0))
    assert view.canvas.picture is not drawn
    drawn = view.canvas.picture
    view.set_score(day(83_000))
    assert view.canvas.picture is not drawn


def test_a_reading_struck_or_written_in_between_is_drawn(view: ScoreView) -> None:
    times = START_S + np.arange(1000.0)

    def cook(keep: np.ndarray) -> Score:
        trace = ScoreTrace("k", "Probe", "meat", (Trace(times[keep], np.full(keep.sum(), 60.0)),))
        return Score("UTC", START_S, START_S + 1000, START_S + 1000, START_S, (trace,))

    keep = np.ones(1000, dtype=bool)
    keep[500] = False
    view.set_score(cook(keep))
    drawn = view.canvas.picture
    view.set_score(cook(np.ones(1000, dtype=bool)))
    assert view.canvas.picture is not drawn
    drawn = view.canvas.picture
    view.set_score(cook(keep))
    assert view.canvas.picture is not drawn


def test_a_hidden_view_draws_when_it_is_shown(qtbot: QtBot, live: Score) -> None:
    hidden = ScoreView()
    qtbot.addWidget(hidden)
    hidden.set_score(live)
    assert hidden.canvas.picture is None
    hidden.show()
    qtbot.waitUntil(lambda: hidden.canvas.picture is not None)
    assert hidden.following


def test_scores_with_little_or_much_in_them_can_be_drawn(view: ScoreView) -> None:
    one = Trace(np.array([START_S]), np.array([50.0]))
    few = Trace(START_S + np.array([0.0, 900.0, 1800.0]), np.array([4.0, 9.0, 15.0]))
    flat = Trace(START_S + np.arange(1800.0), np.full(1800, 60.0))
    many = tuple(ScoreTrace(f"k{n}", f"Probe {n}", "meat", (flat,)) for n in range(20))
    for traces in (
        (),
        (ScoreTrace("a", "No readings", "meat", ()),),
        (ScoreTrace("a", "One", "meat", (one,)),),
        (ScoreTrace("a", "By hand", "meat", (few,), by_hand=True, left_out=2),),
        many,
    ):
        for now_s in (None, START_S + 1800):
            view.set_score(Score("UTC", START_S, START_S + 1800, now_s, START_S, traces))
            QApplication.processEvents()
            from_s, to_s = view.span
            view.read_out.put(from_s + 0.4 * (to_s - from_s))
            assert not view.grab().isNull()
    view.set_score(Score("Nowhere/At_all", START_S, START_S, None, None))
    assert not view.grab().isNull()


def test_readings_taken_by_hand_are_dots(view: ScoreView) -> None:
    one = Trace(np.array([START_S + 900.0]), np.array([50.0]))
    trace = ScoreTrace("a", "By hand", "meat", (one,), by_hand=True)
    view.set_score(Score("UTC", START_S, START_S + 1800, None, START_S, (trace,)))
    QApplication.processEvents()
    assert has_color(view.grab().toImage().copy(100, 0, 600, 400), GROUNDS["day"].traces[0][0])


def test_another_cook_is_shown_whole(view: ScoreView, live: Score) -> None:
    view.set_score(live)
    view.zoom_in()
    later = replace(further(live, 20 * HOUR), cook_id=77)
    view.set_score(later)
    assert view.span[0] == later.from_s
    assert view.span[1] >= later.to_s
    assert view.following
