"""What is asked before a cook is opened: its title, its place, whether it is practice."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QFormLayout,
    QWidget,
)

from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.dialogs import dialog_buttons
from smokejournal.desk.base.error_words import words_of
from smokejournal.desk.base.widgets import new_button, new_column
from smokejournal.desk.parts.fields import TextField
from smokejournal.desk.parts.zone_box import ZoneBox, machine_zone
from smokejournal.services.program import settings


class NewCookDialog(QDialog):
    """`made(cook_id)` once the cook is on disk. Nothing is lost while something is refused."""

    made = Signal(object)

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("newCookDialog")
        self.setWindowTitle(self.tr("New cook"))
        self._context = context
        kept = settings.load(context.program.journal).settings
        self._hopper_kg = kept.hopper_kg
        self.cook_title = TextField(
            "newCookTitle", self.tr("Title"), self, hint=self.tr("Sunday ribs")
        )
        self.place = TextField("newCookPlace", self.tr("Place"), self, hint=self.tr("Back yard"))
        self.place.set_text(kept.place)
        self.zone = ZoneBox("newCookZone", self)
        self.zone.set_zone(kept.zone or machine_zone())
        self.practice = QCheckBox(
            self.tr("Practice, to be fed by the simulated pit on Bench"), self
        )
        self.practice.setObjectName("newCookPractice")
        self.practice.setToolTip(
            self.tr("The cook is marked SIMULATED forever, on screen and in print.")
        )
        form = QFormLayout()
        form.addRow(self.tr("&Title"), self.cook_title)
        form.addRow(self.tr("&Place"), self.place)
        form.addRow(self.tr("Time &zone"), self.zone)
        form.addRow("", self.zone.problem)
        form.addRow("", self.practice)
        self._make = new_button(
            self, self.tr("Begin the plan"), name="newCookMake", kind="ember", default=True
        )
        buttons = dialog_buttons(self, self._make, self._on_make, "newCookCancel")
        new_column(self, form, buttons, spacing=16, margins=(18, 16, 18, 14))
        self.setMinimumWidth(460)
        self.cook_title.edit.setFocus()

    def _on_make(self) -> None:
        title = self.cook_title.text()
        if not title:
            self.cook_title.refuse(self.tr("Give the cook a title, so that you find it again."))
        zone = self.zone.accepted()
        if not title or zone is None:
            return
        program = self._context.program
        place = self.place.text()
        simulated = self.practice.isChecked()
        hopper_kg = self._hopper_kg
        self._make.setEnabled(False)
        self._context.after(
            in_background(
                lambda: program.new_cook(
                    title,
                    zone or machine_zone(),
                    simulated=simulated,
                    place=place,
                    hopper_kg=hopper_kg,
                )
            ),
            self._on_made,
            self._on_failed,
        )

    def _on_made(self, cook_id: int) -> None:
        self.made.emit(cook_id)
        self.accept()

    def _on_failed(self, error: BaseException) -> None:
        self._make.setEnabled(True)
        self.cook_title.refuse(words_of(error))
