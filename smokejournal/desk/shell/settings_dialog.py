"""The dialog in which the program is set up: units, ground, currency, page, hopper, place, sleep."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QPushButton,
    QWidget,
)

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.dialogs import SettingsSaver, open_dialog
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row, say
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import MassField, TextField
from smokejournal.desk.parts.zone_box import ZoneBox, machine_zone
from smokejournal.desk.shell.time_of_day_field import TimeOfDayField
from smokejournal.services.program import settings
from smokejournal.services.program.settings import Settings

UNIT_NAMES = ("temperature", "mass", "length", "speed", "pressure", "hours", "dates")


class SettingsDialog(SettingsSaver):
    """`kept(Settings)` once they are on disk; `restore_asked(JournalCopy)` for a copy to be put in place."""

    restore_asked = Signal(object)

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.setObjectName("settingsDialog")
        self.setWindowTitle(self.tr("Settings"))
        self._build()
        self._show(self._before)
        self.units["mass"].currentIndexChanged.connect(self._on_mass_unit)
        self.units["hours"].currentIndexChanged.connect(self._on_hours)
        self.problem = new_label(
            self, name="settingsRefused", kind="problem", wraps=True, hidden=True
        )
        # Only what is set here; the rest is told at the start and set where it belongs.
        refused = [each.key for each in self._loaded.refused if each.key in settings.ACCEPT]
        if refused:
            text = self.tr(
                "These could not be read and are at their defaults until you press Save: {names}"
            )
            say(self.problem, text.format(names=", ".join(refused)))
        self._column.insertWidget(0, self.problem)

    def _build(self) -> None:
        self.units: dict[str, QComboBox] = {}
        form = QFormLayout()
        form.setVerticalSpacing(8)
        metric = self._more(self.tr("All &metric"), self._on_metric, "settingsMetric")
        us = self._more(self.tr("All &US"), self._on_us, "settingsUs")
        form.addRow(self.tr("Units"), new_row(None, metric, us, FILL))
        for unit in UNIT_NAMES:
            self.units[unit] = self._box(
                f"settingsUnit_{unit}",
                self._unit_label(unit),
                [(self._unit_words(choice), choice) for choice in settings.unit_choices(unit)],
            )
            form.addRow(self._unit_label(unit), self.units[unit])
        self.ground = self._box(
            "settingsGround",
            self.tr("Ground"),
            [
                (self.tr("day"), "day"),
                (self.tr("bright sun"), "sun"),
                (self.tr("night"), "night"),
            ],
        )
        self.ground_by = self._box(
            "settingsGroundBy",
            self.tr("Night"),
            [
                (self.tr("chosen by hand"), "hand"),
                (self.tr("by the time of day"), "time"),
                (self.tr("as the system is dark"), "system"),
            ],
        )
        self.ground_by.setToolTip(
            self.tr("What you choose by hand stays until the next change between day and night")
        )
        self.ground_by.currentIndexChanged.connect(self._on_ground_by)
        self.night_from = TimeOfDayField("settingsNightFrom", self.tr("Night from"), self)
        self.night_to = TimeOfDayField("settingsNightTo", self.tr("Night to"), self)
        self.page = self._box(
            "settingsPage", self.tr("Page"), [("A4", "A4"), (self.tr("US Letter"), "Letter")]
        )
        self.currency = TextField("settingsCurrency", self.tr("Currency"), self, longest=3)
        self.currency.edit.setFixedWidth(120)
        self.hopper = MassField(
            "settingsHopper",
            self.tr("A full hopper holds"),
            self,
            hint=self.tr("not known"),
            high=settings.HOPPER_LIMIT_KG,
        )
        self.place = TextField(
            "settingsPlace", self.tr("Usual place"), self, hint=self.tr("Back yard")
        )
        self.zone = ZoneBox("settingsZone", self)
        edit = self.zone.lineEdit()
        if edit is not None:
            edit.setPlaceholderText(self.tr("this machine's: {zone}").format(zone=machine_zone()))
        right = QFormLayout()
        right.setVerticalSpacing(8)
        right.addRow(self.tr("&Ground"), self.ground)
        right.addRow(self.tr("&Night"), self.ground_by)
        right.addRow(self.tr("Night &from"), self.night_from)
        right.addRow(self.tr("Night &to"), self.night_to)
        right.addRow(self.tr("&Page"), self.page)
        right.addRow(self.tr("&Currency"), self.currency)
        right.addRow(self.tr("A full &hopper holds"), self.hopper)
        right.addRow(self.tr("Usual p&lace"), self.place)
        right.addRow(self.tr("Time &zone"), self.zone)
        right.addRow("", self.zone.problem)
        self.awake = QCheckBox(
            self.tr("&Keep this machine awake and its screen lit while a cook is under way"), self
        )
        self.awake.setObjectName("settingsAwake")
        both = new_row(None, (form, 1), (right, 1), spacing=28)
        copies = self._more(self.tr("C&opies of the journal…"), self._on_copies, "settingsCopies")
        alarms = self._more(self.tr("&Alarms…"), self._on_alarms, "settingsAlarms")
        more = [copies, alarms]
        if self._context.weather is not None:
            weather = self._more(self.tr("&Weather…"), self._on_weather, "settingsWeather")
            weather.setToolTip(self.tr("Weather by network, which is off until you switch it on"))
            more.append(weather)
        buttons = self.save_buttons("settings", *more)
        self._column = new_column(
            self, both, self.awake, buttons, spacing=16, margins=(18, 16, 18, 14)
        )
        self.setMinimumWidth(680)

    def _more(self, text: str, on: Callable[[], None], name: str) -> QPushButton:
        return new_button(self, text, on, name=name, auto=False)

    def _box(self, name: str, label: str, choices: list[tuple[str, str]]) -> ChoiceBox:
        return ChoiceBox(self, name=name, hears=label, choices=choices)

    def _unit_label(self, unit: str) -> str:
        return {
            "temperature": self.tr("Temperature"),
            "mass": self.tr("Mass"),
            "length": self.tr("Thickness"),
            "speed": self.tr("Wind"),
            "pressure": self.tr("Air pressure"),
            "hours": self.tr("Clock"),
            "dates": self.tr("Dates"),
        }[unit]

    def _unit_words(self, choice: str) -> str:
        return {
            "C": "°C",
            "F": "°F",
            "lb": self.tr("lb and oz"),
            "decimal_lb": self.tr("decimal pounds"),
            "24": self.tr("24 hours"),
            "12": self.tr("am and pm"),
            "day": self.tr("25 Nov 2026"),
            "month": self.tr("Nov 25, 2026"),
        }.get(choice, choice)

    def _show(self, shown: Settings) -> None:
        self._show_units(shown.units)
        for box, value in (
            (self.ground, shown.ground),
            (self.ground_by, shown.ground_by),
            (self.page, shown.page),
        ):
            box.setCurrentIndex(box.findData(value))
        for field, time_s in (
            (self.night_from, shown.night_from_s),
            (self.night_to, shown.night_to_s),
        ):
            field.set_units(shown.units)
            field.set_value(time_s)
        self._on_ground_by()
        self.currency.set_text(shown.currency)
        self.hopper.set_units(shown.units)
        self.hopper.set_value(shown.hopper_kg)
        self.place.set_text(shown.place)
        self.zone.set_zone(shown.zone)
        self.awake.setChecked(shown.keep_awake)

    def _show_units(self, units: Units) -> None:
        for unit, box in self.units.items():
            box.setCurrentIndex(box.findData(getattr(units, unit)))

    def _on_ground_by(self) -> None:
        by_time = self.ground_by.currentData() == "time"
        for field in (self.night_from, self.night_to):
            field.setEnabled(by_time)

    def _on_hours(self) -> None:
        for field in (self.night_from, self.night_to):
            field.set_units(self._chosen_units())

    def _read_night(self) -> tuple[float, float] | None:
        """When the night begins and ends [s after midnight]."""
        checked = [field.check() for field in (self.night_from, self.night_to)]
        from_s, to_s = self.night_from.value(), self.night_to.value()
        if not all(checked) or from_s is None or to_s is None:
            return None
        if from_s == to_s and self.ground_by.currentData() == "time":
            self.night_to.refuse(self.tr("The night can't end when it begins."))
            return None
        return from_s, to_s

    def _on_mass_unit(self) -> None:
        self.hopper.set_units(self._chosen_units())

    def _chosen_units(self) -> Units:
        return Units(**{unit: box.currentData() for unit, box in self.units.items()})

    def _on_metric(self) -> None:
        self._preset(settings.all_metric)

    def _on_us(self) -> None:
        self._preset(settings.all_us)

    def _preset(self, preset: Callable[[Settings], Settings]) -> None:
        """Units, page and currency together, in the fields: nothing is saved yet."""
        chosen = preset(replace(self._before, currency=self.currency.text().strip().upper()))
        self._show_units(chosen.units)
        self.page.setCurrentIndex(self.page.findData(chosen.page))
        self.currency.set_text(chosen.currency)

    def chosen(self) -> Settings | None:
        """What is chosen; None, with the messages beside their fields, where something is wrong."""
        currency = self._read_currency()
        zone = self.zone.accepted()
        hopper_read = self.hopper.check()
        night = self._read_night()
        if currency is None or zone is None or not hopper_read or night is None:
            return None
        return replace(
            self._before,
            units=self._chosen_units(),
            ground=self.ground.currentData(),
            page=self.page.currentData(),
            currency=currency,
            hopper_kg=self.hopper.value(),
            place=self.place.text(),
            zone=zone,
            keep_awake=self.awake.isChecked(),
            ground_by=self.ground_by.currentData(),
            night_from_s=night[0],
            night_to_s=night[1],
        )

    def _read_currency(self) -> str | None:
        try:
            currency: str = settings.accept("currency", self.currency.text())
        except SchemaProblem as problem:
            self.currency.refuse(str(problem))
            return None
        return currency

    def _on_alarms(self) -> None:
        from smokejournal.desk.alarms.tuning import AlarmTuningDialog

        dialog = AlarmTuningDialog(self._context, self)
        dialog.kept.connect(self._on_part_kept)
        open_dialog(dialog)

    def _on_weather(self) -> None:
        from smokejournal.desk.shell.weather_dialog import WeatherDialog

        if self._context.weather is None:
            return
        dialog = WeatherDialog(self._context, self._context.weather, self)
        dialog.kept.connect(self._on_part_kept)
        open_dialog(dialog)

    def _on_part_kept(self, kept: object) -> None:
        """They hold at once, whatever else is chosen here and not saved yet."""
        assert isinstance(kept, Settings)
        self._before = replace(self._before, alarms=kept.alarms, weather=kept.weather)
        self.kept.emit(kept)

    def _on_copies(self) -> None:
        from smokejournal.desk.shell.restore_dialog import RestoreDialog

        program = self._context.program
        dialog = RestoreDialog(
            program.journal.folder,
            lambda work, done: self._context.after(in_background(work), done),
            self._context.units,
            bool(program.all_under_way()),
            self,
        )
        dialog.restore_asked.connect(self._on_restore)
        open_dialog(dialog)

    def _on_restore(self, copy: object) -> None:
        self.reject()
        self.restore_asked.emit(copy)

    def wanted(self) -> Settings | None:
        """What is chosen; where something can't be, there is room for what is wrong, in full."""
        chosen = self.chosen()
        if chosen is None:
            self._column.activate()
            wanted = self._column.totalHeightForWidth(self.width())
            self.resize(self.width(), max(self.height(), wanted))
        return chosen

    def on_saved(self, chosen: Settings) -> None:
        """The units are those of the whole desk at once."""
        self._context.set_units(chosen.units)
        super().on_saved(chosen)
