"""The form in which a person says which alarms that watch pit, probes and machine call, and when."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QLabel,
    QWidget,
)

from smokejournal.cook.progress.alarms import BAND_K, SPOTS_K, WAIT_S, AlarmTuning
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import words_of
from smokejournal.desk.base.settings_saving import SettingsSaving
from smokejournal.desk.base.widgets import new_button, new_column, new_label
from smokejournal.desk.parts.fields import DurationField, QuantityField, TemperatureStepField
from smokejournal.services.program import settings

WIDTH = 640


class AlarmTuningDialog(QDialog):
    """`kept(Settings)` once they are on disk."""

    kept = Signal(object)

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("alarmTuning")
        self.setWindowTitle(self.tr("Alarms"))
        self._context = context
        self._before = settings.load(context.program.journal).settings
        self._saving = SettingsSaving(context, self)
        self._saving.saved.connect(self._on_saved)
        self._saving.failed.connect(self._on_failed)
        self.switches: dict[str, QCheckBox] = {}
        self.fields: dict[str, QuantityField] = {}
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(12)
        self._grid.setVerticalSpacing(6)
        self._grid.setColumnStretch(1, 1)
        self._build()
        self._show(self._before.alarms)
        for box in self.switches.values():
            box.toggled.connect(self._on_switched)
        self.setMinimumWidth(WIDTH)

    def _build(self) -> None:
        self._switch("grease_fire", self.tr("The pit may be on &fire: far over its set point"))
        self._switch("fire_out", self.tr("The fire may be &out: the pit falls and doesn't recover"))
        self._switch("band", self.tr("The &pit is away from its set point"))
        self._field("band_k", self.tr("by more than"), BAND_K)
        self._field("band_s", self.tr("for longer than"), WAIT_S)
        self._switch("apart", self.tr("&Lead and check probe are too far apart"))
        self._field("spots_k", self.tr("beyond what they may be off, by"), SPOTS_K)
        self._field("apart_s", self.tr("for longer than"), WAIT_S)
        self._switch("nearly", self.tr("It is &nearly ready, by the forecast"))
        self._field("nearly_s", self.tr("before it is ready, by"), WAIT_S)
        self._switch("battery", self.tr("This machine's &battery runs low and isn't charging"))
        self._switch("disk", self.tr("The &disk with the journal is almost full"))
        self._without = new_label(self, name="alarmTuningWithout", kind="problem", wraps=True)
        self._without.setText(
            self.tr(
                "What is switched off calls nobody, not even when the fire dies or grease burns."
            )
        )
        about = new_label(self, name="alarmTuningAbout", kind="faint", wraps=True)
        about.setText(
            self.tr(
                "The usual values are common practice. A lid that you log raises none of these, nor do the "
                "warm-up and the way to another set point. No alarm takes the place of someone who looks "
                "after the fire."
            )
        )
        self._problem = new_label(self, name="alarmTuningProblem", kind="problem", wraps=True)
        self._problem.hide()
        buttons = QDialogButtonBox(self)
        self._keep = new_button(
            self, self.tr("&Save"), name="alarmTuningKeep", kind="ember", default=True
        )
        buttons.addButton(self._keep, QDialogButtonBox.ButtonRole.AcceptRole)
        cancel = buttons.addButton(self.tr("Cancel"), QDialogButtonBox.ButtonRole.RejectRole)
        cancel.setObjectName("alarmTuningCancel")
        usual = buttons.addButton(self.tr("&Usual values"), QDialogButtonBox.ButtonRole.ResetRole)
        usual.setObjectName("alarmTuningUsual")
        usual.setAutoDefault(False)
        usual.clicked.connect(self._on_usual)
        buttons.accepted.connect(self._on_keep)
        buttons.rejected.connect(self.reject)
        column = new_column(self, spacing=12, margins=(18, 16, 18, 14))
        title = new_label(self, name="alarmTuningTitle", kind="section", wraps=True)
        title.setText(self.tr("Call me when"))
        column.addWidget(title)
        column.addLayout(self._grid)
        for part in (self._without, about, self._problem, buttons):
            column.addWidget(part)

    def _switch(self, name: str, text: str) -> None:
        box = QCheckBox(text, self)
        box.setObjectName(f"alarmTuning_{name}")
        self.switches[name] = box
        self._grid.addWidget(box, self._grid.rowCount(), 0, 1, 2)

    def _field(self, name: str, words: str, within: tuple[float, float]) -> None:
        kind = DurationField if name.endswith("_s") else TemperatureStepField
        field = kind(
            f"alarmTuning_{name}",
            words,
            self,
            units=self._context.units,
            required=True,
            low=within[0],
            high=within[1],
        )
        self.fields[name] = field
        label = QLabel(words, self)
        label.setIndent(26)
        row = self._grid.rowCount()
        self._grid.addWidget(label, row, 0)
        self._grid.addWidget(field, row, 1)

    def _show(self, tuning: AlarmTuning) -> None:
        for name, box in self.switches.items():
            box.setChecked(getattr(tuning, name))
        for name, field in self.fields.items():
            field.set_value(getattr(tuning, name))
        self._on_switched()

    @Slot()
    def _on_switched(self) -> None:
        for switch, names in (
            ("band", ("band_k", "band_s")),
            ("apart", ("spots_k", "apart_s")),
            ("nearly", ("nearly_s",)),
        ):
            for name in names:
                self.fields[name].setEnabled(self.switches[switch].isChecked())
        fire = (self.switches["grease_fire"], self.switches["fire_out"])
        self._without.setVisible(not all(box.isChecked() for box in fire))

    @Slot()
    def _on_usual(self) -> None:
        self._show(AlarmTuning())

    @Slot()
    def _on_keep(self) -> None:
        # Each shows what is wrong with it, not only the first.
        wrong = [field for field in self.fields.values() if not field.check()]
        if wrong:
            return
        chosen: dict[str, Any] = {name: box.isChecked() for name, box in self.switches.items()}
        chosen |= {name: field.value() for name, field in self.fields.items()}
        self._keep.setEnabled(False)
        self._saving.save(replace(self._before, alarms=AlarmTuning(**chosen)))

    def _on_saved(self, chosen: object) -> None:
        self.kept.emit(chosen)
        self.accept()

    def _on_failed(self, error: BaseException) -> None:
        self._keep.setEnabled(True)
        self._problem.setText(words_of(error))
        self._problem.show()
