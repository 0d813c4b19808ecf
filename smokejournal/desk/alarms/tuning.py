"""The form in which a person says which alarms that watch pit, probes and machine call, and when."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from PySide6.QtCore import Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QGridLayout,
    QLabel,
    QWidget,
)

from smokejournal.cook.progress.alarms import BAND_K, SPOTS_K, WAIT_S, AlarmTuning
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.dialogs import SettingsSaver
from smokejournal.desk.base.widgets import new_button, new_column, new_label
from smokejournal.desk.parts.fields import DurationField, QuantityField, TemperatureStepField
from smokejournal.services.program.settings import Settings

WIDTH = 640


class AlarmTuningDialog(SettingsSaver):
    """`kept(Settings)` once they are on disk."""

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(context, parent)
        self.setObjectName("alarmTuning")
        self.setWindowTitle(self.tr("Alarms"))
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
        without = self.tr(
            "What is switched off calls nobody, not even when the fire dies or grease burns."
        )
        self._without = new_label(
            self, without, name="alarmTuningWithout", kind="problem", wraps=True
        )
        about = self.tr(
            "The usual values are common practice. A lid that you log raises none of these, nor do the "
            "warm-up and the way to another set point. No alarm takes the place of someone who looks "
            "after the fire."
        )
        title = self.tr("Call me when")
        self.problem = new_label(
            self, name="alarmTuningProblem", kind="problem", wraps=True, hidden=True
        )
        usual = new_button(
            self, self.tr("&Usual values"), self._on_usual, name="alarmTuningUsual", auto=False
        )
        new_column(
            self,
            new_label(self, title, name="alarmTuningTitle", kind="section", wraps=True),
            self._grid,
            self._without,
            new_label(self, about, name="alarmTuningAbout", kind="faint", wraps=True),
            self.problem,
            self.save_buttons("alarmTuning", usual),
            spacing=12,
            margins=(18, 16, 18, 14),
        )

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

    def wanted(self) -> Settings | None:
        """The settings with what is chosen here."""
        # Each shows what is wrong with it, not only the first.
        wrong = [field for field in self.fields.values() if not field.check()]
        if wrong:
            return None
        chosen: dict[str, Any] = {name: box.isChecked() for name, box in self.switches.items()}
        chosen |= {name: field.value() for name, field in self.fields.items()}
        return replace(self._before, alarms=AlarmTuning(**chosen))
