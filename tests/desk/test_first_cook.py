"""A first cook from nothing to its sheet, in the window, with a thermometer on a pseudo-terminal."""

from __future__ import annotations

import os
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TypeVar

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QWidget,
)
from pytestqt.qtbot import QtBot

from smokejournal.desk.bench.page import BenchPage
from smokejournal.desk.input_setup.format_form import CHANNEL
from smokejournal.desk.parts.ask_dialog import AskDialog
from smokejournal.desk.parts.new_cook_dialog import NewCookDialog
from smokejournal.desk.plan.page import PlanPage
from smokejournal.desk.shell.window import Window
from smokejournal.journal import Journal
from smokejournal.services.program.clock import PacedClock
from smokejournal.services.program.program import Program
from tests.support.contexts import desk_context
from tests.support.tend_desk import QuietPlayer

if sys.platform == "win32":
    pytest.skip("pseudo-terminals are Unix", allow_module_level=True)

import tty

W = TypeVar("W", bound=QWidget)

#: Four minutes a second: proving and resting take seconds, and a slow machine makes no gap.
PACE = 240.0
PIT_C, COLD_C, DONE_C = 134.6, 61.3, 77.4
PATIENCE_MS = 20_000


class Thermometer:
    """Says 'pit,meat' a hundred times a second; the meat stays cold until it may warm."""

    def __init__(self) -> None:
        self._end, self._other = os.openpty()
        tty.setraw(self._other)
        os.set_blocking(self._end, False)
        self.path = os.ttyname(self._other)
        self.may_warm = threading.Event()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._say)
        self._thread.start()

    def _say(self) -> None:
        meat_c = COLD_C
        while not self._stop.wait(0.01):
            if self.may_warm.is_set():
                meat_c = min(DONE_C, meat_c + 0.1)
            try:
                os.write(self._end, f"{PIT_C:.1f},{meat_c:.1f}\r\n".encode())
            except BlockingIOError:
                continue  # nobody listens yet

    def close(self) -> None:
        """Pull the plug."""
        self._stop.set()
        self._thread.join()
        os.close(self._end)
        os.close(self._other)


class Person:
    """Sees the window, clicks and types."""

    def __init__(self, qtbot: QtBot, window: Window) -> None:
        self.qtbot = qtbot
        self.window = window

    def find(self, kind: type[W], name: str) -> W:
        """The widget of this name that can be seen."""
        found = [w for w in self.window.findChildren(kind, name) if w.isVisible()]
        assert found, name
        return found[0]

    def sees(self, name: str, words: str) -> bool:
        """Whether a label that can be seen says these words."""
        labels = [w for w in self.window.findChildren(QLabel, name) if w.isVisible()]
        return any(words in label.text() for label in labels)

    def waits_to_see(self, name: str, words: str) -> None:
        """Until a label says these words."""
        self.qtbot.waitUntil(lambda: self.sees(name, words), timeout=PATIENCE_MS)

    def press(self, name: str) -> None:
        """Click a button, once it can be clicked."""
        self.qtbot.waitUntil(
            lambda: any(
                b.isVisible() and b.isEnabled() for b in self.window.findChildren(QPushButton, name)
            ),
            timeout=PATIENCE_MS,
        )
        self.qtbot.mouseClick(self.find(QPushButton, name), Qt.MouseButton.LeftButton)

    def write(self, name: str, text: str) -> None:
        """Type into a line."""
        edit = self.find(QLineEdit, name)
        self.qtbot.mouseClick(edit, Qt.MouseButton.LeftButton)
        self.qtbot.keyClicks(edit, text)

    def pick(self, box: QComboBox, text: str) -> None:
        """Choose from a box by typing how the choice begins."""
        box.setFocus()
        self.qtbot.keyClicks(box, text)
        assert box.currentText().startswith(text)


@pytest.fixture
def device() -> Iterator[Thermometer]:
    thermometer = Thermometer()
    yield thermometer
    thermometer.close()


@pytest.fixture
def person(qtbot: QtBot, tmp_path: Path, device: Thermometer) -> Iterator[Person]:
    # After the device, so that the port is given back before it is gone.
    journal = Journal.open(tmp_path / "journal")
    now_s = time.time()
    program = Program(journal, PacedClock(PACE, now_s, now_s))
    with desk_context(program) as context:
        window = Window(context, QuietPlayer())
        window.resize(1280, 760)
        window.show_page("journal")
        with qtbot.waitActive(window):
            window.show()
            window.activateWindow()
        context.start_ticking()
        yield Person(qtbot, window)
        context.close()
        window.close_unasked()
    program.close()
    journal.close()
    window.deleteLater()


def _plan(person: Person) -> None:
    """Food, two probes, and a schedule to begin with."""
    person.press("firstStartBeginButton")
    person.write("newCookTitle", "First thighs")
    person.press("newCookMake")
    person.qtbot.waitUntil(
        lambda: not any(d.isVisible() for d in person.window.findChildren(NewCookDialog))
    )
    with person.qtbot.waitActive(person.window):
        person.window.activateWindow()  # a window manager does that when a dialog goes
    # A new plan begins by asking what is cooked.
    person.qtbot.waitUntil(
        lambda: any(e.isVisible() for e in person.window.findChildren(QLineEdit, "itemName")),
        timeout=PATIENCE_MS,
    )
    person.write("itemName", "chicken thighs")
    person.pick(person.find(QComboBox, "itemFood"), "poultry")
    person.write("itemMass", "1.2")
    person.press("itemsKeep")
    for name, role in (("Thigh", "in the meat"), ("Grate", "in the pit")):
        person.press("probesAdd")
        person.write("probeName", name)
        assert person.find(QComboBox, "probeRole").currentText().startswith(role)
        person.press("probesKeep")
        person.qtbot.waitUntil(
            lambda: not person.window.findChild(QPushButton, "probesKeep").isVisible()
        )
    page = person.window.page("plan")
    assert isinstance(page, PlanPage)
    (starter,) = [a for a in page.editor.head.menu.actions() if a.text() == "Poultry pieces"]
    starter.trigger()
    assert person.sees("warningSummary", "No problems found in this schedule")
    person.press("keepPlan")
    person.waits_to_see("planStatus", "Saved in the journal")


def _wire(person: Person, port: str) -> None:
    """The thermometer on its line, a probe to each column."""
    person.press("go_bench")
    page = person.window.page("bench")
    assert isinstance(page, BenchPage)
    edit = page.input.serial.port.lineEdit()
    assert edit is not None
    edit.selectAll()
    person.qtbot.keyClicks(edit, port)
    person.press("inputListen")
    table = page.input.format.table
    person.qtbot.waitUntil(lambda: table.rowCount() == 2, timeout=PATIENCE_MS)
    for row, name in ((0, "Grate"), (1, "Thigh")):
        box = table.cellWidget(row, CHANNEL)
        assert isinstance(box, QComboBox)
        person.pick(box, name)
    person.press("inputUse")
    person.waits_to_see("feedText", "For First thighs: Port")


def test_a_first_cook_from_plan_to_sheet(person: Person, device: Thermometer) -> None:
    _plan(person)
    _wire(person, device.path)

    person.press("go_plan")
    person.press("startCook")
    assert not person.window.findChildren(AskDialog)
    person.waits_to_see("sentenceHead", "Warm up the pit")
    texts = [w.text() for w in person.window.findChildren(QLabel) if w.isVisible()]
    assert "Thigh" in texts
    person.qtbot.waitUntil(
        lambda: {"135", "61.3"} <= {w.text() for w in person.window.findChildren(QLabel)},
        timeout=PATIENCE_MS,
    )

    # The pit is hot and has stayed so; the meat goes on with the cook's word.
    person.waits_to_see("sentenceHead", "Warm up the pit is done")
    person.press("stageConfirm")
    person.waits_to_see("sentenceHead", "Smoke: ")
    device.may_warm.set()

    # The stage ends by its rule: nobody presses anything.
    person.waits_to_see("sentenceHead", "Crisp the skin: ")

    person.qtbot.keyClick(QApplication.focusWidget(), "n")
    person.qtbot.keyClicks(person.find(QPlainTextEdit, "noteText"), "skin nearly there")
    person.press("noteFormRecord")
    person.waits_to_see("logStatus", "Recorded")

    person.press("stageClose")
    person.press("closeFormRecord")
    person.waits_to_see("tasteTitle", "First thighs")
    sheet = person.window.page("taste").sheet
    person.qtbot.waitUntil(lambda: "Thigh" in sheet.toPlainText(), timeout=PATIENCE_MS)
    said = sheet.toPlainText()
    for figure in ("chicken thighs", "1.2 kg", "61.3 °C", "77.4 °C", "134.6 °C", "Smoke"):
        assert figure in said.replace("\u00a0", " "), figure
    assert "skin nearly there" in said
    assert "SIMULATED" not in said
