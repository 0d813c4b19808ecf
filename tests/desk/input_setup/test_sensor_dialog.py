"""Saying which home-made probe sends millivolts, ohms or counts."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QComboBox, QLabel, QLineEdit, QPlainTextEdit, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.log.readings import Channel
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.input_setup.format_form import FormatForm
from smokejournal.desk.input_setup.sensor_dialog import SensorDialog
from smokejournal.inputs.cell import Column
from smokejournal.inputs.line_format import LineFormat
from smokejournal.inputs.sensor import Sensor
from tests.desk.bench.test_page import Device
from tests.desk.calibration.test_calibrate import label, page_of, press, write

COUNTS = Sensor("counts")


@pytest.fixture
def device() -> Iterator[Device]:
    found = Device()
    yield found
    found.close()


@pytest.fixture
def form(qtbot: QtBot) -> FormatForm:
    made = FormatForm()
    qtbot.addWidget(made)
    made.set_channels((Channel("p1", "Left"),))
    made.set_format(LineFormat(columns=(Column("1", "p1"), Column("2"))))
    made.show()
    return made


def dialog_of(qtbot: QtBot, sensor: Sensor) -> SensorDialog:
    made = SensorDialog("1", sensor)
    qtbot.addWidget(made)
    made.show()
    return made


def test_a_column_of_millivolts_is_read_once_its_probe_is_said(
    qtbot: QtBot, form: FormatForm
) -> None:
    unit = form.findChild(QComboBox, "columnUnit_0")
    assert unit is not None
    unit.setCurrentIndex(unit.findData("mV"))
    assert "Say which probe sends the mV of column 1" in form.problem()
    press(qtbot, form, "columnSensor_0")
    dialog = form.findChild(SensorDialog)
    assert dialog is not None
    write(qtbot, dialog, "sensorCold", "300")
    press(qtbot, dialog, "sensorUse")
    assert "from -40 to 100" in label(dialog, "sensorColdProblem")
    write(qtbot, dialog, "sensorCold", "20")
    press(qtbot, dialog, "sensorUse")
    assert form.problem() == ""
    button = form.findChild(QPushButton, "columnSensor_0")
    assert button is not None
    assert button.text() == "1: thermocouple K …"
    assert "thermocouple type K, cold end at 20 °C" in button.toolTip()
    parsed = form.line_format().parse("3.298,20")
    assert parsed.values[0].value_c == pytest.approx(100.0, abs=0.02)
    # Back to a temperature: no probe is asked for any more.
    unit.setCurrentIndex(unit.findData("F"))
    assert form.line_format().columns[0] == Column("1", "p1", "F")
    assert form.findChild(QPushButton, "columnSensor_0") is None or not button.isVisibleTo(form)


def test_the_cold_end_from_another_column(qtbot: QtBot) -> None:
    dialog = dialog_of(qtbot, Sensor("mV"))
    write(qtbot, dialog, "sensorColdSource", "2")
    write(qtbot, dialog, "sensorCold", "")
    press(qtbot, dialog, "sensorUse")
    assert dialog.result() == SensorDialog.DialogCode.Accepted
    assert dialog.sensor() == Sensor("mV", "thermocouple", "K", cold_source="2")


def test_a_thermistor_by_points_and_a_divider(qtbot: QtBot) -> None:
    dialog = dialog_of(qtbot, COUNTS)
    points = dialog.findChild(QPlainTextEdit, "sensorPoints")
    assert points is not None
    press(qtbot, dialog, "sensorUse")
    assert "at least three points" in label(dialog, "sensorProblem")
    for typed, words in (
        ("25000 5\n10000 25", "at least three different points"),
        ("25000 5\n10000\n4000 45", "line 2: ohm and °C"),
        ("25000 5\nabc 25\n4000 45", "number"),
        ("25000 45\n10000 25\n4000 5", "must fall"),
        ("25000 5\n-10000 25\n4000 45", "from 0.1"),
    ):
        points.setPlainText(typed)
        press(qtbot, dialog, "sensorUse")
        assert words in label(dialog, "sensorProblem")
        assert points.toPlainText() == typed
    points.setPlainText("25000 5\n10000 25\n4000 45")
    write(qtbot, dialog, "sensorFixed", "")
    press(qtbot, dialog, "sensorUse")
    assert "can't be empty" in label(dialog, "sensorFixedProblem")
    write(qtbot, dialog, "sensorFixed", "22000")
    write(qtbot, dialog, "sensorFull", "1024")
    supply = dialog.findChild(QCheckBox, "sensorSupply")
    assert supply is not None
    supply.setChecked(False)
    press(qtbot, dialog, "sensorUse")
    assert dialog.result() == SensorDialog.DialogCode.Accepted
    found = dialog.sensor()
    assert found.points == ((25000.0, 5.0), (10000.0, 25.0), (4000.0, 45.0))
    assert (found.fixed_ohm, found.full_scale, found.fixed_to_supply) == (22000.0, 1024.0, False)


def test_a_point_far_off_the_others_is_told_once(qtbot: QtBot) -> None:
    dialog = dialog_of(qtbot, Sensor("ohm"))
    points = dialog.findChild(QPlainTextEdit, "sensorPoints")
    assert points is not None
    points.setPlainText("32650 0\n10000 25\n3601 55\n1752 70\n680 100")
    press(qtbot, dialog, "sensorUse")
    assert "off the curve" in label(dialog, "sensorProblem")
    press(qtbot, dialog, "sensorUse")
    assert dialog.result() == SensorDialog.DialogCode.Accepted


def test_beta_and_platinum(qtbot: QtBot) -> None:
    dialog = dialog_of(qtbot, Sensor("ohm"))
    kind = dialog.findChild(QComboBox, "sensorKind")
    assert kind is not None
    kind.setCurrentIndex(kind.findData("beta"))
    press(qtbot, dialog, "sensorUse")
    assert "can't be empty" in label(dialog, "sensorBetaProblem")
    write(qtbot, dialog, "sensorBeta", "3950")
    press(qtbot, dialog, "sensorUse")
    assert dialog.sensor() == Sensor("ohm", "thermistor", beta_k=3950.0, r25_ohm=10_000.0)
    again = dialog_of(qtbot, dialog.sensor())
    assert again.findChild(QLineEdit, "sensorBeta").text() == "3950"  # type: ignore[union-attr]
    kind = again.findChild(QComboBox, "sensorKind")
    assert kind is not None
    kind.setCurrentIndex(kind.findData("platinum"))
    write(qtbot, again, "sensorR0", "1000")
    qtbot.keyClick(again, Qt.Key.Key_Return)
    assert again.sensor() == Sensor("ohm", "platinum", r0_ohm=1000.0)


def test_a_point_is_taken_from_an_input_that_feeds_nothing_yet(
    qtbot: QtBot, context: DeskContext, device: Device
) -> None:
    page = page_of(qtbot, context)
    port = page.findChild(QComboBox, "serialPort")
    assert port is not None
    port.setEditText(device.path)
    device.keep_saying(b"0.8,98.9\n")
    page.input.format.set_format(
        LineFormat(columns=(Column("1", "new:meat"), Column("2", "new:meat")))
    )
    press(qtbot, page, "benchCalibrateSide")
    press(qtbot, page, "pointListen")
    box = page.findChild(QComboBox, "pointLive")
    assert box is not None
    qtbot.waitUntil(lambda: box.count() > 0)
    press(qtbot, page, "pointTake")
    edit = page.findChild(QLineEdit, "pointReads")
    assert edit is not None
    assert edit.text() == "0.8"
    found = page.findChild(QLabel, "pointLiveWords")
    assert found is not None
    assert "Wait half a minute" in found.text()
    page.hide()
    qtbot.waitUntil(lambda: not page.calibrate.is_listening())
