from __future__ import annotations

import os
import pty
import threading
import tty
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.entries import ChannelSet, CookClosed, LeadSet
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.text.quantities import US
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.bench.page import BenchPage
from smokejournal.desk.bench.probes import CORRECTION, LEADS, NAME
from smokejournal.desk.input_setup.format_form import CHANNEL, EXAMPLE, UNIT
from smokejournal.desk.input_setup.preview import RAW, READ
from smokejournal.desk.input_setup.setup import HAND, REPLAY, SIMULATED
from smokejournal.inputs.source import RefusedCount, SourceStatus
from smokejournal.services.feeds.control import FeedStatus

ZONE = "Europe/Berlin"


class Device:
    """A thermometer at the other end of a pseudo-terminal."""

    def __init__(self) -> None:
        self._end, self._other = pty.openpty()
        tty.setraw(self._other)
        self.path = os.ttyname(self._other)
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None

    def keep_saying(self, line: bytes) -> None:
        """Send this line over and over."""

        def say() -> None:
            while not self._stop.wait(0.02):
                os.write(self._end, line)

        self._thread = threading.Thread(target=say)
        self._thread.start()

    def close(self) -> None:
        """Fall silent and pull the cable."""
        self._stop.set()
        if self._thread is not None:
            self._thread.join()
        os.close(self._end)
        os.close(self._other)


@pytest.fixture
def device() -> Iterator[Device]:
    found = Device()
    yield found
    found.close()


def page_of(qtbot: QtBot, context: DeskContext) -> BenchPage:
    page = BenchPage(context)
    qtbot.addWidget(page)
    page.resize(1150, 700)
    page.show()
    return page


def a_cook(context: DeskContext, title: str = "Ribs") -> int:
    cook_id = context.program.new_cook(title, ZONE)
    context.choose(cook_id)
    return cook_id


def label(page: QWidget, name: str) -> str:
    found = page.findChild(QLabel, name)
    assert found is not None
    return found.text() if found.isVisibleTo(page) else ""


def button(page: QWidget, name: str) -> QPushButton:
    found = page.findChild(QPushButton, name)
    assert found is not None
    return found


def press(qtbot: QtBot, page: QWidget, name: str) -> None:
    assert button(page, name).isEnabled()
    qtbot.mouseClick(button(page, name), Qt.MouseButton.LeftButton)


def choose(page: QWidget, name: str, data: object) -> None:
    box = page.findChild(QComboBox, name)
    assert box is not None
    assert box.findData(data) >= 0
    box.setCurrentIndex(box.findData(data))


def columns(page: BenchPage) -> int:
    return page.input.format.table.rowCount()


def feed(page: BenchPage, row: int, channel: str) -> None:
    box = page.input.format.table.cellWidget(row, CHANNEL)
    assert isinstance(box, QComboBox)
    assert box.findData(channel) >= 0
    box.setCurrentIndex(box.findData(channel))


def shown(page: BenchPage, column: int) -> str:
    model = page.input.preview.model
    return str(model.data(model.index(0, column)) or "")


def listen(qtbot: QtBot, page: BenchPage, device: Device) -> None:
    page.input.serial.port.setCurrentText(device.path)
    press(qtbot, page, "inputListen")


def stop_feed(qtbot: QtBot, page: BenchPage) -> None:
    press(qtbot, page, "feedStop")
    qtbot.waitUntil(lambda: not page.strip.isVisible())


def test_a_line_is_looked_at_then_used(qtbot: QtBot, context: DeskContext, device: Device) -> None:
    cook_id = a_cook(context)
    page = page_of(qtbot, context)
    assert not button(page, "inputUse").isEnabled()
    device.keep_saying(b"107.2,64.0\n")
    listen(qtbot, page, device)
    qtbot.waitUntil(lambda: columns(page) == 2, timeout=8000)
    assert shown(page, RAW) == "107.2,64.0"
    assert "Say for at least one column" in label(page, "inputWhyNot")
    feed(page, 0, "new:pit")
    feed(page, 1, "new:meat")
    qtbot.waitUntil(lambda: shown(page, READ) == "new: Pit 107.2 °C, new: Meat 64.0 °C")
    item = page.input.format.table.item(1, EXAMPLE)
    assert item is not None
    assert item.text() == "64.0"
    assert context.live(cook_id).log().traces == {}
    press(qtbot, page, "inputUse")
    qtbot.waitUntil(lambda: len(context.live(cook_id).log().trace("meat1")) > 3, timeout=8000)
    plan = plan_of(context.live(cook_id).log())
    assert [(c.name, c.role) for c in plan.channels.values()] == [("Pit", "pit"), ("Meat", "meat")]
    assert plan.lead == "meat1"
    context.ticked.emit(context.now_s())
    assert f"For Ribs: Port {device.path} is open" in label(page, "feedText")
    assert "readings" in label(page, "feedCounts")
    stop_feed(qtbot, page)


def test_a_unit_is_chosen_by_column_and_shown_at_once(
    qtbot: QtBot, context: DeskContext, device: Device
) -> None:
    a_cook(context)
    page = page_of(qtbot, context)
    device.keep_saying(b"225.0;147.2\r\n")
    listen(qtbot, page, device)
    qtbot.waitUntil(lambda: columns(page) == 2, timeout=8000)
    feed(page, 0, "new:pit")
    feed(page, 1, "new:meat")
    assert "unusual" in label(page, "formatHints")
    for row in (0, 1):
        box = page.input.format.table.cellWidget(row, UNIT)
        assert isinstance(box, QComboBox)
        box.setCurrentIndex(box.findData("F"))
    qtbot.waitUntil(lambda: "64.0 °C" in shown(page, READ))
    assert label(page, "formatHints") == ""
    context.set_units(US)
    assert "147.2 °F" in shown(page, READ)


def test_refused_lines_are_counted_with_their_reason(
    qtbot: QtBot, context: DeskContext, device: Device
) -> None:
    page = page_of(qtbot, context)
    device.keep_saying(b"107.2,64.0\n" * 3 + b"\xff\xfe\x80,9\n107.2,--\n")
    listen(qtbot, page, device)
    qtbot.waitUntil(lambda: columns(page) == 2, timeout=8000)
    qtbot.waitUntil(lambda: "not a number" in label(page, "previewReasons"), timeout=8000)
    assert "no text" in label(page, "previewReasons")
    assert "refused" in label(page, "previewCounts")


def test_a_port_that_is_not_there_says_so_and_loses_nothing(
    qtbot: QtBot, context: DeskContext
) -> None:
    page = page_of(qtbot, context)
    page.input.serial.port.setCurrentText("/dev/ttyNotThere")
    press(qtbot, page, "inputListen")
    qtbot.waitUntil(
        lambda: "There is no port /dev/ttyNotThere" in label(page, "previewCounts"), timeout=8000
    )
    assert page.input.serial.port.currentText() == "/dev/ttyNotThere"
    press(qtbot, page, "inputListen")
    assert button(page, "inputListen").text() == "&Listen to it"


def test_without_a_port_or_a_speed_nothing_is_opened(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    page.input.serial.port.setCurrentText("")
    press(qtbot, page, "inputListen")
    assert "Choose the port" in label(page, "serialProblem")
    page.input.serial.port.setCurrentText("/dev/ttyS0")
    page.input.serial.speed.setCurrentText("fast")
    press(qtbot, page, "inputListen")
    assert "9600" in label(page, "serialProblem")
    assert page.input.serial.speed.currentText() == "fast"


def test_two_columns_cannot_feed_one_probe(
    qtbot: QtBot, context: DeskContext, device: Device
) -> None:
    cook_id = a_cook(context)
    page = page_of(qtbot, context)
    press(qtbot, page, "benchProbesSide")
    press(qtbot, page, "probeKeep")
    qtbot.waitUntil(lambda: "meat1" in plan_of(context.live(cook_id).log()).channels)
    press(qtbot, page, "benchInputSide")
    device.keep_saying(b"pit=107.2 meat=64.0\n")
    listen(qtbot, page, device)
    qtbot.waitUntil(lambda: columns(page) == 2, timeout=8000)
    feed(page, 0, "meat1")
    feed(page, 1, "meat1")
    assert "feed the same probe" in label(page, "inputWhyNot")
    assert not button(page, "inputUse").isEnabled()


def test_a_table_is_replayed(qtbot: QtBot, context: DeskContext, tmp_path: Path) -> None:
    cook_id = a_cook(context)
    table = tmp_path / "history.csv"
    rows = [f"{n * 5},{100 + n * 0.1:.1f},{20 + n * 0.2:.1f}" for n in range(300)]
    table.write_text("seconds,pit,loin\n" + "\n".join(rows) + "\n50,oops,20\n", encoding="utf-8")
    page = page_of(qtbot, context)
    choose(page, "inputKind", REPLAY)
    path = page.findChild(QLineEdit, "replayPath")
    assert path is not None
    qtbot.keyClicks(path, str(table))
    qtbot.keyClick(path, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: columns(page) == 2)
    qtbot.waitUntil(lambda: shown(page, RAW) != "")
    item = page.input.format.table.item(0, NAME)
    assert item is not None
    assert item.text() == "pit"
    feed(page, 0, "new:pit")
    feed(page, 1, "new:meat")
    choose(page, "replayStamps", "written")
    begun = page.input.replay.begun
    begun.set_value(context.now_s() - 3600)
    qtbot.waitUntil(lambda: not page.input._reading_table)
    press(qtbot, page, "inputUse")
    qtbot.waitUntil(lambda: len(context.live(cook_id).log().trace("meat1")) == 300, timeout=8000)
    context.ticked.emit(context.now_s())
    assert "replayed to its end" in label(page, "feedText")
    stop_feed(qtbot, page)


def test_a_file_that_is_not_there_says_so(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    choose(page, "inputKind", REPLAY)
    path = page.findChild(QLineEdit, "replayPath")
    assert path is not None
    qtbot.keyClicks(path, "/nowhere/history.csv")
    qtbot.keyClick(path, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: "can't be read" in label(page, "replayProblem"))
    assert path.text() == "/nowhere/history.csv"


def test_the_simulated_pit_is_marked(qtbot: QtBot, context: DeskContext) -> None:
    cook_id = a_cook(context)
    page = page_of(qtbot, context)
    choose(page, "inputKind", SIMULATED)
    assert "SIMULATED" in label(page, "simulatedWords")
    press(qtbot, page, "inputUse")
    qtbot.waitUntil(lambda: bool(plan_of(context.live(cook_id).log()).channels), timeout=8000)
    assert all(c.simulated for c in plan_of(context.live(cook_id).log()).channels.values())
    qtbot.waitUntil(page.strip.isVisible)
    assert label(page, "feedText").startswith("SIMULATED")
    stop_feed(qtbot, page)


def test_by_hand_says_how_and_leads_to_the_probes(qtbot: QtBot, context: DeskContext) -> None:
    a_cook(context)
    page = page_of(qtbot, context)
    choose(page, "inputKind", HAND)
    assert "Tend" in label(page, "handWords")
    assert not button(page, "inputUse").isVisibleTo(page)
    press(qtbot, page, "handProbes")
    assert page.probes.isVisible()


def test_without_a_cook_one_may_look_but_not_use(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    assert label(page, "benchFor") == "No cook is chosen"
    assert "Choose a cook in the Journal first" in label(page, "inputWhyNot")
    assert button(page, "inputListen").isEnabled()
    press(qtbot, page, "benchProbesSide")
    assert label(page, "benchNoCookTitle") == "No cook is chosen"


def test_a_finished_cook_takes_no_input(qtbot: QtBot, context: DeskContext) -> None:
    cook_id = a_cook(context)
    context.live(cook_id).record(CookClosed()).result()
    page = page_of(qtbot, context)
    assert "finished" in label(page, "inputWhyNot")


def test_a_probe_is_added_corrected_and_made_the_lead(qtbot: QtBot, context: DeskContext) -> None:
    cook_id = a_cook(context)
    page = page_of(qtbot, context)
    press(qtbot, page, "benchProbesSide")
    probes = page.probes
    probes.name.edit.selectAll()
    qtbot.keyClicks(probes.name.edit, "Thick end")
    probes.correction.edit.selectAll()
    qtbot.keyClicks(probes.correction.edit, "-0.4")
    press(qtbot, page, "probeKeep")
    qtbot.waitUntil(lambda: probes.table.rowCount() == 1)
    cells = [probes.table.item(0, column) for column in (NAME, CORRECTION, LEADS)]
    assert [cell.text() for cell in cells if cell is not None] == ["Thick end", "−0.4 °C", ""]
    press(qtbot, page, "probeLead")
    qtbot.waitUntil(lambda: plan_of(context.live(cook_id).log()).lead == "meat1")
    lead = probes.table.item(0, LEADS)
    qtbot.waitUntil(lambda: probes.table.item(0, LEADS).text() == "lead")
    assert lead is not None
    (channel,) = [what.channel for _, what in context.live(cook_id).log().of(ChannelSet)]
    assert channel.offset_c == pytest.approx(-0.4)
    assert context.live(cook_id).log().of(LeadSet)


def test_a_correction_that_cannot_be_is_refused_beside_its_field(
    qtbot: QtBot, context: DeskContext
) -> None:
    cook_id = a_cook(context)
    page = page_of(qtbot, context)
    press(qtbot, page, "benchProbesSide")
    page.probes.correction.edit.selectAll()
    qtbot.keyClicks(page.probes.correction.edit, "400")
    press(qtbot, page, "probeKeep")
    assert label(page, "probeCorrectionProblem")
    assert context.live(cook_id).log().of(ChannelSet) == []


def test_how_a_cook_was_fed_is_shown_again(
    qtbot: QtBot, context: DeskContext, device: Device
) -> None:
    first = a_cook(context)
    page = page_of(qtbot, context)
    device.keep_saying(b"107.2,64.0\n")
    listen(qtbot, page, device)
    qtbot.waitUntil(lambda: columns(page) == 2, timeout=8000)
    feed(page, 1, "new:meat")
    press(qtbot, page, "inputUse")
    qtbot.waitUntil(page.strip.isVisible, timeout=8000)
    stop_feed(qtbot, page)
    a_cook(context, "Trout")
    context.choose(first)
    again = page_of(qtbot, context)
    assert again.input.serial.port.currentText() == device.path
    box = again.input.format.table.cellWidget(1, CHANNEL)
    assert isinstance(box, QComboBox)
    assert box.currentData() == "meat1"


def test_the_next_cook_gets_new_probes_for_the_same_device(
    qtbot: QtBot, context: DeskContext, device: Device
) -> None:
    a_cook(context)
    page = page_of(qtbot, context)
    device.keep_saying(b"107.2,64.0\n")
    listen(qtbot, page, device)
    qtbot.waitUntil(lambda: columns(page) == 2, timeout=8000)
    feed(page, 1, "new:meat")
    press(qtbot, page, "inputUse")
    qtbot.waitUntil(page.strip.isVisible, timeout=8000)
    stop_feed(qtbot, page)
    feeds = context.feeds
    assert feeds is not None
    assert context.chosen is not None
    page.input.show_config(feeds.config(context.chosen))
    box = page.input.format.table.cellWidget(1, CHANNEL)
    assert isinstance(box, QComboBox)
    assert box.currentData() == "meat1"
    a_cook(context, "Trout")
    box = page.input.format.table.cellWidget(1, CHANNEL)
    assert isinstance(box, QComboBox)
    assert box.currentData() == "new:meat"
    assert page.input.format.line_format().columns[1].channel == "new:meat"


def test_a_cook_for_practice_begins_with_the_simulated_pit(
    qtbot: QtBot, context: DeskContext
) -> None:
    cook_id = context.program.new_cook("Practice", ZONE, simulated=True)
    context.choose(cook_id)
    page = page_of(qtbot, context)
    box = page.findChild(QComboBox, "inputKind")
    assert box is not None
    assert box.currentData() == SIMULATED


def test_a_new_probe_is_made_once(qtbot: QtBot, context: DeskContext, device: Device) -> None:
    cook_id = a_cook(context)
    page = page_of(qtbot, context)
    device.keep_saying(b"64.0\n")
    listen(qtbot, page, device)
    qtbot.waitUntil(lambda: columns(page) == 1, timeout=8000)
    feed(page, 0, "new:meat")
    for _ in range(2):
        before = len(context.live(cook_id).log().trace("meat1"))
        press(qtbot, page, "inputUse")
        qtbot.waitUntil(
            lambda before=before: len(context.live(cook_id).log().trace("meat1")) > before + 2,
            timeout=8000,
        )
        qtbot.waitUntil(lambda: page.input.format.line_format().columns[0].channel == "meat1")
        qtbot.waitUntil(button(page, "inputUse").isEnabled)
    assert list(plan_of(context.live(cook_id).log()).channels) == ["meat1"]
    stop_feed(qtbot, page)


def test_using_an_input_for_another_cook_says_whose_readings_end(
    qtbot: QtBot, context: DeskContext, device: Device
) -> None:
    fed = a_cook(context, "Ribs")
    page = page_of(qtbot, context)
    device.keep_saying(b"64.0\n")
    listen(qtbot, page, device)
    qtbot.waitUntil(lambda: columns(page) == 1, timeout=8000)
    feed(page, 0, "new:meat")
    press(qtbot, page, "inputUse")
    qtbot.waitUntil(lambda: len(context.live(fed).log().trace("meat1")) > 2, timeout=8000)
    assert label(page, "inputWhyNot") == ""
    a_cook(context, "Trout")
    assert "“Ribs” gets no more readings" in label(page, "inputWhyNot")
    assert button(page, "inputUse").isEnabled()
    stop_feed(qtbot, page)
    assert label(page, "inputWhyNot") == ""


def test_no_refusal_goes_uncounted(qtbot: QtBot, context: DeskContext) -> None:
    page = page_of(qtbot, context)
    refused = tuple(RefusedCount(f"reason {n}", 10 - n, "", 0.0) for n in range(5))
    source = SourceStatus("open", 0.0, "Open.", lines_refused=40, refused=refused)
    page.strip.show_status(FeedStatus(1, "serial", source=source), "Ribs", 0.0)
    said = label(page, "feedCounts")
    assert "8 × reason 2, 13 × for other reasons" in said


def test_a_file_without_columns_says_what_a_table_needs(
    qtbot: QtBot, context: DeskContext, tmp_path: Path
) -> None:
    a_cook(context)
    (tmp_path / "x.csv").write_text("no table at all\nonly words\n", encoding="utf-8")
    page = page_of(qtbot, context)
    choose(page, "inputKind", REPLAY)
    assert "Choose a file" in label(page, "inputWhyNot")
    path = page.findChild(QLineEdit, "replayPath")
    assert path is not None
    qtbot.keyClicks(path, str(tmp_path / "x.csv"))
    qtbot.keyClick(path, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: "semicolons, tabs" in label(page, "inputWhyNot"))
    qtbot.waitUntil(lambda: not page.input._reading_table)
    assert not button(page, "inputUse").isEnabled()
