from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from smokejournal.cook.text.quantities import METRIC, US
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.shell.settings_dialog import SettingsDialog
from smokejournal.services.program import settings
from smokejournal.services.program.settings import Settings


def dialog_of(qtbot: QtBot, context: DeskContext) -> SettingsDialog:
    dialog = SettingsDialog(context)
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


def press(qtbot: QtBot, dialog: SettingsDialog, name: str) -> None:
    button = dialog.findChild(QPushButton, name)
    assert button is not None
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def label(dialog: SettingsDialog, name: str) -> str:
    found = dialog.findChild(QLabel, name)
    assert found is not None
    return found.text() if found.isVisible() else ""


def test_what_is_chosen_is_kept_and_the_units_change_at_once(
    qtbot: QtBot, context: DeskContext
) -> None:
    dialog = dialog_of(qtbot, context)
    press(qtbot, dialog, "settingsUs")
    dialog.page.setCurrentIndex(dialog.page.findData("Letter"))
    dialog.ground.setCurrentIndex(dialog.ground.findData("night"))
    dialog.currency.edit.selectAll()
    qtbot.keyClicks(dialog.currency.edit, "usd")
    qtbot.keyClicks(dialog.hopper.edit, "20")
    qtbot.keyClicks(dialog.place.edit, "Back yard")
    dialog.zone.set_zone("America/Chicago")
    with qtbot.waitSignal(dialog.kept) as kept:
        press(qtbot, dialog, "settingsKeep")
    found = settings.load(context.program.journal).settings
    assert found == kept.args[0]
    assert context.units == US
    assert found.units == US
    assert found.hopper_kg is not None
    assert abs(found.hopper_kg - 20 * 0.45359237) < 1e-9
    assert (found.ground, found.page, found.currency) == ("night", "Letter", "USD")
    assert (found.place, found.zone) == ("Back yard", "America/Chicago")
    assert not dialog.isVisible()


def test_wrong_input_is_told_beside_its_field_and_nothing_is_written(
    qtbot: QtBot, context: DeskContext
) -> None:
    dialog = dialog_of(qtbot, context)
    dialog.currency.edit.selectAll()
    qtbot.keyClicks(dialog.currency.edit, "e")
    qtbot.keyClicks(dialog.hopper.edit, "lots")
    dialog.zone.set_zone("Atlantis")
    press(qtbot, dialog, "settingsKeep")
    assert "three letters" in label(dialog, "settingsCurrencyProblem")
    assert label(dialog, "settingsHopperProblem")
    assert "Atlantis" in label(dialog, "settingsZoneProblem")
    assert dialog.hopper.text() == "lots"
    assert dialog.isVisible()
    assert settings.load(context.program.journal).settings == Settings()


def test_opening_and_keeping_changes_nothing(qtbot: QtBot, context: DeskContext) -> None:
    before = Settings(units=US, hopper_kg=8.123456, place="Porch", zone="Europe/Berlin")
    for future in settings.save(context.program.journal, before):
        future.result()
    dialog = dialog_of(qtbot, context)
    with qtbot.waitSignal(dialog.kept):
        press(qtbot, dialog, "settingsKeep")
    assert settings.load(context.program.journal).settings == before


def test_a_value_that_cannot_be_read_is_told_and_put_right(
    qtbot: QtBot, context: DeskContext
) -> None:
    context.program.journal.set_setting("page", "Foolscap").result()
    dialog = dialog_of(qtbot, context)
    assert "page" in label(dialog, "settingsRefused")
    with qtbot.waitSignal(dialog.kept):
        press(qtbot, dialog, "settingsKeep")
    assert settings.load(context.program.journal).refused == ()


def test_cancel_keeps_nothing(qtbot: QtBot, context: DeskContext) -> None:
    dialog = dialog_of(qtbot, context)
    press(qtbot, dialog, "settingsUs")
    press(qtbot, dialog, "settingsCancel")
    assert settings.load(context.program.journal).settings == Settings()
    assert context.units != US


def test_one_press_brings_all_that_is_usual_in_a_country(
    qtbot: QtBot, context: DeskContext
) -> None:
    dialog = dialog_of(qtbot, context)
    press(qtbot, dialog, "settingsUs")
    chosen = dialog.chosen()
    assert chosen is not None
    assert (chosen.units, chosen.page, chosen.currency) == (US, "Letter", "USD")
    press(qtbot, dialog, "settingsMetric")
    chosen = dialog.chosen()
    assert chosen is not None
    assert (chosen.units, chosen.page, chosen.currency) == (METRIC, "A4", "EUR")
