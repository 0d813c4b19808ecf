"""Which alarms call, and when: the form behind Settings, and what follows from it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QLabel, QLineEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from smokejournal.cook.progress.alarms import AlarmTuning
from smokejournal.cook.text.quantities import US
from smokejournal.desk.alarms.tuning import AlarmTuningDialog
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.shell.settings_dialog import SettingsDialog
from smokejournal.services.program import settings


def opened(qtbot: QtBot, context: DeskContext) -> tuple[SettingsDialog, AlarmTuningDialog]:
    dialog = SettingsDialog(context)
    qtbot.addWidget(dialog)
    dialog.show()
    press(qtbot, dialog, "settingsAlarms")
    (tuning,) = dialog.findChildren(AlarmTuningDialog)
    qtbot.waitExposed(tuning)
    return dialog, tuning


def press(qtbot: QtBot, where: QWidget, name: str) -> None:
    button = where.findChild(QPushButton, name)
    assert button is not None
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def switch(qtbot: QtBot, where: QWidget, name: str) -> None:
    box = where.findChild(QCheckBox, f"alarmTuning_{name}")
    assert box is not None
    box.setFocus()
    qtbot.keyClick(box, Qt.Key.Key_Space)


def write(qtbot: QtBot, tuning: AlarmTuningDialog, name: str, text: str) -> None:
    edit = tuning.fields[name].findChild(QLineEdit)
    assert edit is not None
    edit.selectAll()
    qtbot.keyClicks(edit, text)


def kept(context: DeskContext) -> AlarmTuning:
    return settings.load(context.program.journal).settings.alarms


def test_what_is_chosen_is_kept_and_told_at_once(qtbot: QtBot, context: DeskContext) -> None:
    context.set_units(US)
    dialog, tuning = opened(qtbot, context)
    write(qtbot, tuning, "band_k", "36")
    write(qtbot, tuning, "band_s", "20 min")
    switch(qtbot, tuning, "apart")
    with qtbot.waitSignal(dialog.kept) as told:
        press(qtbot, tuning, "alarmTuningKeep")
    assert kept(context) == AlarmTuning(band_k=20.0, band_s=1200.0, apart=False)
    assert told.args[0].alarms == kept(context)
    # Saving what else stands in the settings leaves them as they are.
    with qtbot.waitSignal(dialog.kept):
        press(qtbot, dialog, "settingsKeep")
    assert kept(context).band_k == 20.0


def test_fields_of_an_alarm_that_is_off_cannot_be_typed_in(
    qtbot: QtBot, context: DeskContext
) -> None:
    _, tuning = opened(qtbot, context)
    assert tuning.fields["nearly_s"].isEnabled()
    switch(qtbot, tuning, "nearly")
    assert not tuning.fields["nearly_s"].isEnabled()


def test_what_it_means_to_switch_a_fire_alarm_off_is_said(
    qtbot: QtBot, context: DeskContext
) -> None:
    _, tuning = opened(qtbot, context)
    said = tuning.findChild(QLabel, "alarmTuningWithout")
    assert said is not None
    assert not said.isVisible()
    switch(qtbot, tuning, "grease_fire")
    assert said.isVisible()
    assert "when the fire dies or grease burns" in said.text()


def test_a_band_that_cannot_be_is_refused_beside_its_field(
    qtbot: QtBot, context: DeskContext
) -> None:
    _, tuning = opened(qtbot, context)
    write(qtbot, tuning, "band_k", "2")
    press(qtbot, tuning, "alarmTuningKeep")
    assert tuning.isVisible()
    assert "5 °C" in tuning.fields["band_k"].problem()
    assert kept(context) == AlarmTuning()


def test_the_usual_values_come_back_with_one_press(qtbot: QtBot, context: DeskContext) -> None:
    _, tuning = opened(qtbot, context)
    write(qtbot, tuning, "band_k", "30")
    switch(qtbot, tuning, "fire_out")
    press(qtbot, tuning, "alarmTuningUsual")
    assert tuning.fields["band_k"].value() == AlarmTuning().band_k
    assert tuning.switches["fire_out"].isChecked()


def test_what_this_machine_lacks_need_not_call(qtbot: QtBot, context: DeskContext) -> None:
    dialog, tuning = opened(qtbot, context)
    switch(qtbot, tuning, "battery")
    switch(qtbot, tuning, "disk")
    with qtbot.waitSignal(dialog.kept):
        press(qtbot, tuning, "alarmTuningKeep")
    assert (kept(context).battery, kept(context).disk) == (False, False)
