"""Whoever can't see the screen, or has no mouse: every control has a name, and Tab comes to each.

The tree that a reader of screens is given (`QAccessible`) is walked on every page, form and main
dialog, with the demo's cooks on them.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QAccessibleInterface
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QApplication,
    QDialog,
    QLineEdit,
    QPushButton,
    QWidget,
)
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import CookOpened
from smokejournal.cook.plan.plan import plan_of
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.theme import apply_ground
from smokejournal.desk.brine.dialog import BrineDialog
from smokejournal.desk.comparing.window import CompareWindow
from smokejournal.desk.forecast.history_dialog import HistoryDialog
from smokejournal.desk.from_file.dialog import FromFileDialog
from smokejournal.desk.fuel.cooker_dialog import CookerDialog
from smokejournal.desk.fuel.dialog import FuelDialog
from smokejournal.desk.input_setup.sensor_dialog import SensorDialog
from smokejournal.desk.parts.new_cook_dialog import NewCookDialog
from smokejournal.desk.shell.restore_dialog import RestoreDialog
from smokejournal.desk.shell.window import PAGES, Window
from smokejournal.inputs.sensor import Sensor
from smokejournal.journal import Journal
from smokejournal.services.comparing.all_cooks import AllCooks
from smokejournal.services.demo.build import make_demo
from smokejournal.services.forecast.finish import FinishForecasts
from smokejournal.services.program.program import Program
from tests.desk.conftest import _tells_nothing
from tests.support.contexts import desk_context
from tests.support.fakes import FixedClock
from tests.support.tend_desk import QuietPlayer, look_kept  # noqa: F401 - a fixture

NOW_S = 1_780_000_000.0
FORMS = (
    "reading", "wrap", "spritz", "fuel", "hopper", "store", "probe", "weather", "note", "extend",
    "refrigerator", "close",
)  # fmt: skip
Role = QAccessible.Role
#: What these hold is told by their rows and cells, not by names.
_ROWS = (Role.List, Role.Table, Role.Tree, Role.ComboBox)


@pytest.fixture
def window(
    qtbot: QtBot,
    qapp: QApplication,
    look_kept: None,  # noqa: F811
    tmp_path: Path,
) -> Iterator[Window]:
    folder = tmp_path / "demo"
    make_demo(folder, NOW_S)
    journal = Journal.open(folder)
    program = Program(journal, FixedClock(NOW_S))
    with desk_context(program) as context:
        context.forecasts.finish = FinishForecasts(program, _tells_nothing)
        apply_ground(qapp, "day")
        shown = Window(context, QuietPlayer())
        qtbot.addWidget(shown)
        shown.resize(1280, 800)
        with qtbot.waitActive(shown):
            shown.show()
            shown.activateWindow()
        yield shown
        shown.close_unasked()
        shown.deleteLater()
    program.close()
    journal.close()


def cook_on(context: DeskContext, state: str) -> int:
    """A cook of the demo in this state, the one with most to show."""
    found = [line.id for line in context.program.cooks() if line.state == state]
    return max(found, key=lambda cook_id: len(context.live(cook_id).log().of(CookOpened)))


def turn_to(window: Window, name: str) -> Any:
    states = {"plan": "planned", "taste": "finished"}
    window.context.choose(cook_on(window.context, states.get(name, "under way")))
    window.show_page(name)
    QApplication.processEvents()
    return window.page(name)


def nameless(node: QAccessibleInterface, path: tuple[str, ...] = ()) -> Iterator[str]:
    """What may have the focus, can be seen, and says nothing of itself."""
    if not node.isValid() or node.state().invisible:
        return
    shown: Any = node.object()
    name = node.text(QAccessible.Text.Name).strip()
    # "Record:" says half of what it is: what is recorded was left out.
    if node.state().focusable and (not name or (name.endswith(":") and _is_button(node))):
        around = shown.parent() if shown is not None else None
        # What scrolls in a widget that has a name is no other thing.
        if not (isinstance(around, QAbstractScrollArea) and around.viewport() is shown):
            yield f"{type(shown).__name__} {shown.objectName()} in {' / '.join(path[-3:])}"
    if node.role() in _ROWS:
        return
    for n in range(node.childCount()):
        child = node.child(n)
        if child is not None:
            here = shown.objectName() or type(shown).__name__ if shown is not None else ""
            yield from nameless(child, (*path, here))


def _is_button(node: QAccessibleInterface) -> bool:
    return node.role() == QAccessible.Role.Button


def names_missing(root: QWidget, what: str) -> list[str]:
    QApplication.processEvents()
    node = QAccessible.queryAccessibleInterface(root)
    assert node is not None
    assert node.childCount() > 0
    return [f"{what}: {each}" for each in nameless(node)]


def is_stop(widget: QWidget) -> bool:
    """Whether Tab has to come to it."""
    tab = Qt.FocusPolicy.TabFocus
    if not (widget.isVisible() and widget.isEnabled() and widget.focusPolicy() & tab):
        return False
    # A field that belongs to another (a list that can be typed in) is that one.
    if widget.focusProxy() is not None:
        return False
    # Of buttons of which one is chosen Tab comes to that one, and arrows go on from there.
    return not (
        isinstance(widget, QAbstractButton)
        and widget.isCheckable()
        and not widget.isChecked()
        and (widget.autoExclusive() or (widget.group() is not None and widget.group().exclusive()))
    )


def not_reached(qtbot: QtBot, window: QWidget, root: QWidget, what: str) -> list[str]:
    """What of `root` Tab doesn't come to, and where it is caught, beginning where the focus is."""
    QApplication.processEvents()
    wanted = {w for w in root.findChildren(QWidget) if is_stop(w) and w.window() is window}
    assert wanted, what
    reached: list[QWidget] = []
    still = 0
    first = next(w for w in (QApplication.focusWidget(), *wanted) if w is not None)
    first.setFocus()
    for _ in range(2 * len(window.findChildren(QWidget)) + 20):
        here = QApplication.focusWidget()
        assert here is not None, what
        # A date is three stops in one; a table's cells may be more, but they end.
        still = still + 1 if reached and reached[-1] is here else 0
        if still > 3:
            return [f"{what}: caught in {type(here).__name__} {here.objectName()}"]
        if not still and wanted <= set(reached) and here is reached[0]:
            break
        if len(reached) > 4 * len(set(reached)) + 20:
            break
        reached.append(here)
        qtbot.keyClick(here, Qt.Key.Key_Tab)
    missed = wanted - set(reached)
    return [f"{what}: never to {type(w).__name__} {w.objectName()}" for w in missed]


@pytest.fixture
def look(qtbot: QtBot, window: Window) -> Iterator[Any]:
    """Look at one more thing; what is wrong with any of them fails the test at its end."""
    wrong: list[str] = []
    looked: list[str] = []

    def look_at(root: QWidget, what: str, around: QWidget | None = None) -> None:
        looked.append(what)
        wrong.extend(names_missing(root, what))
        wrong.extend(not_reached(qtbot, around or root.window(), root, what))

    yield look_at
    assert looked
    assert not wrong, "\n".join(wrong)


def test_a_field_without_a_name_and_a_trap_are_found(qtbot: QtBot) -> None:
    class Trap(QLineEdit):
        def focusNextPrevChild(self, _forward: bool) -> bool:
            return True

    form = QWidget()
    qtbot.addWidget(form)
    bare, caught, half = QLineEdit(form), Trap(form), QPushButton(form)
    bare.setObjectName("bare")
    half.setObjectName("half")
    half.setAccessibleName("Record: ")
    caught.setAccessibleName("Caught")
    caught.setObjectName("caught")
    with qtbot.waitActive(form):
        form.show()
        form.activateWindow()
    bare.setFocus()
    assert names_missing(form, "form") == [
        "form: QLineEdit bare in QWidget",
        "form: QPushButton half in QWidget",
    ]
    assert not_reached(qtbot, form, form, "form") == ["form: caught in Trap caught"]


@pytest.mark.parametrize("name", PAGES)
def test_pages(window: Window, look: Any, name: str) -> None:
    page = turn_to(window, name)
    page.setFocus()
    look(page, name)


def test_forms_of_tend(window: Window, look: Any) -> None:
    page = turn_to(window, "tend")
    for form in FORMS:
        page._side.open_form(form)
        look(page._side, f"tend, form of {form}")
    page._side._choose_table("red_meat")
    look(page._side, "tend, a table of food safety")
    page._side.close_form()
    page._side.bar.button.click()
    look(page._side, "tend, food safety")
    page.turn_far()
    look(page, "tend, far view")
    page.leave_far()


def test_parts_of_plan_bench_and_stores(window: Window, look: Any) -> None:
    page = turn_to(window, "plan")
    for n in range(page.head.tabs.count()):
        page.head.tabs.setCurrentIndex(n)
        look(page, f"plan, {page.head.tabs.tabText(n)}")
    page.head.tabs.setCurrentIndex(0)
    for part in ("items", "prep", "probes"):
        page.findChild(QPushButton, f"{part}Add").click()
        look(page, f"plan, form of {part}")
        page.findChild(QPushButton, f"{part}Cancel").click()
    bench = turn_to(window, "bench")
    for side in range(4):
        bench._show_side(side)
        look(bench, f"bench, side {side}")


def test_dialogs_of_the_spine(window: Window, look: Any) -> None:
    turn_to(window, "tend")
    for name in ("sound_check", "settings", "guide", "about"):
        window.findChild(QPushButton, name).click()
        _look_at_dialog(window, look, name)
    window._open_keys()
    _look_at_dialog(window, look, "keys")


def _look_at_dialog(window: Window, look: Any, name: str) -> None:
    QApplication.processEvents()
    (dialog,) = (d for d in window.findChildren(QDialog) if d.isVisible())
    dialog.activateWindow()
    look(dialog, name)
    dialog.close()
    QApplication.processEvents()


def test_dialogs_of_pages(qtbot: QtBot, window: Window, look: Any) -> None:
    context = window.context
    cook_id = cook_on(context, "planned")
    page = turn_to(window, "plan")
    live = context.live(cook_id)
    plan = plan_of(live.log())
    finished = [line.id for line in context.program.cooks() if line.state == "finished"]
    folder = context.program.journal.folder
    for dialog in (
        NewCookDialog(context, page),
        CookerDialog(context, page),
        FuelDialog(context, cook_id, plan.schedule, parent=page),
        HistoryDialog(context, parent=page),
        CompareWindow(context, AllCooks(context.program), finished[:2], page),
        RestoreDialog(folder, lambda work, done: done(work()), parent=page),
        SensorDialog("A0", Sensor("mV"), page),
        FromFileDialog(context, page),
        BrineDialog(context, live, [item for _, item in plan.items], parent=page),
    ):
        with qtbot.waitActive(dialog):
            dialog.open()
            dialog.activateWindow()
        look(dialog, type(dialog).__name__)
        dialog.close()
        dialog.deleteLater()
