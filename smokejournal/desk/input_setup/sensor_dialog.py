"""Which probe sends millivolts, ohms or counts: asked for one column of an input."""

from __future__ import annotations

import re

from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QPlainTextEdit,
    QWidget,
)

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import QuantityError, parse_number
from smokejournal.desk.base.widgets import new_button, new_column, new_label, say
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import NumberField, QuantityField, TextField
from smokejournal.inputs.sensor import (
    BETA_K,
    FIXED_OHM,
    FULL_SCALE,
    Sends,
    Sensor,
    sensor_from_json,
    worst_k,
)
from smokejournal.science.probes.thermistor import RESISTANCE_OHM
from smokejournal.science.probes.thermocouple import COLD_C, THERMOCOUPLE_TYPES


class SensorDialog(QDialog):
    """`sensor()` is what was said, once it is accepted."""

    def __init__(self, column: str, sensor: Sensor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("sensorDialog")
        self.setWindowTitle(self.tr("Which probe sends column {column}").format(column=column))
        self.setModal(True)
        self.setMinimumWidth(430)
        self._sends: Sends = sensor.sends
        self._sensor = sensor
        self.kind = self._box("sensorKind", self.tr("Probe"))
        if sensor.sends == "mV":
            self.kind.addItem(self.tr("thermocouple"), "thermocouple")
        else:
            self.kind.addItem(self.tr("thermistor (NTC), by points"), "points")
            self.kind.addItem(self.tr("thermistor (NTC), by beta"), "beta")
            self.kind.addItem(self.tr("platinum (Pt100, Pt1000)"), "platinum")
        self.type = self._box("sensorType", self.tr("Type"))
        for letter in THERMOCOUPLE_TYPES:
            self.type.addItem(letter, letter)
        self.cold = self._number("sensorCold", self.tr("Cold end [°C]"), *COLD_C)
        self.cold_source = TextField(
            "sensorColdSource", self.tr("Cold end from column"), self, hint=self.tr("such as 2")
        )
        self.r0 = self._number("sensorR0", self.tr("At 0 °C [ohm]"), 1.0, 100_000.0)
        self.points = QPlainTextEdit(self)
        self.points.setObjectName("sensorPoints")
        self.points.setAccessibleName(self.tr("Points: ohm and °C, one to a line"))
        self.points.setPlaceholderText(self.tr("32650 0\n10000 25\n3601 50"))
        self.points.setTabChangesFocus(True)
        self.points.setMaximumHeight(110)
        self.r25 = self._number("sensorR25", self.tr("At 25 °C [ohm]"), *RESISTANCE_OHM)
        self.beta = self._number("sensorBeta", self.tr("Beta [K]"), *BETA_K)
        self.fixed = self._number("sensorFixed", self.tr("Fixed resistor [ohm]"), *FIXED_OHM)
        self.full = self._number("sensorFull", self.tr("Full scale [counts]"), *FULL_SCALE)
        self.supply = QCheckBox(self.tr("Fixed resistor to the supply, probe to ground"), self)
        self.supply.setObjectName("sensorSupply")
        self.problem = new_label(
            self, name="sensorProblem", kind="problem", wraps=True, hidden=True
        )
        self._form = QFormLayout()
        self._form.setVerticalSpacing(6)
        for words, widget in (
            (self.tr("&Probe"), self.kind),
            (self.tr("&Type"), self.type),
            (self.tr("&Cold end at, °C"), self.cold),
            (self.tr("or from co&lumn"), self.cold_source),
            (self.tr("At &0 °C, ohm"), self.r0),
            (self.tr("Po&ints: ohm, °C"), self.points),
            (self.tr("At 2&5 °C, ohm"), self.r25),
            (self.tr("&Beta, K"), self.beta),
            (self.tr("&Fixed resistor, ohm"), self.fixed),
            (self.tr("F&ull scale, counts"), self.full),
            ("", self.supply),
        ):
            self._form.addRow(words, widget)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel, self)
        self.use = new_button(
            self, self.tr("&Use it"), name="sensorUse", kind="ember", default=True
        )
        buttons.addButton(self.use, QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.accepted.connect(self._on_use)
        buttons.rejected.connect(self.reject)
        new_column(self, self._form, self.problem, buttons)
        self._fill(sensor)
        self.kind.currentIndexChanged.connect(self._on_kind)
        self._on_kind()

    def _box(self, name: str, label: str) -> ChoiceBox:
        return ChoiceBox(self, name=name, hears=label)

    def _number(self, name: str, label: str, low: float, high: float) -> NumberField:
        return NumberField(name, label, self, low=low, high=high, required=True)

    def _fill(self, sensor: Sensor) -> None:
        way = sensor.kind if sensor.kind != "thermistor" else "points" if sensor.points else "beta"
        self.kind.setCurrentIndex(max(0, self.kind.findData(way)))
        self.type.setCurrentIndex(self.type.findData(sensor.thermocouple))
        self.cold.set_value(sensor.cold_c)
        self.cold_source.set_text(sensor.cold_source)
        self.r0.set_value(sensor.r0_ohm)
        self.points.setPlainText("\n".join(f"{ohm:g} {t:g}" for ohm, t in sensor.points))
        self.r25.set_value(sensor.r25_ohm if sensor.r25_ohm is not None else 10_000.0)
        self.beta.set_value(sensor.beta_k)
        self.fixed.set_value(sensor.fixed_ohm if sensor.fixed_ohm is not None else 10_000.0)
        self.full.set_value(sensor.full_scale if sensor.full_scale is not None else 4096.0)
        self.supply.setChecked(sensor.fixed_to_supply)

    def _on_kind(self) -> None:
        kind, counts = self.kind.currentData(), self._sends == "counts"
        for widget, wanted in (
            (self.type, kind == "thermocouple"),
            (self.cold, kind == "thermocouple"),
            (self.cold_source, kind == "thermocouple"),
            (self.r0, kind == "platinum"),
            (self.points, kind == "points"),
            (self.r25, kind == "beta"),
            (self.beta, kind == "beta"),
            (self.fixed, counts),
            (self.full, counts),
            (self.supply, counts),
        ):
            self._form.setRowVisible(widget, wanted)
        self._refuse("")
        self.adjustSize()

    def _refuse(self, words: str) -> None:
        say(self.problem, words)

    def _on_use(self) -> None:
        kind = self.kind.currentData()
        data: dict[str, object] = {"sends": self._sends}
        needed: list[tuple[str, QuantityField]] = []
        if kind == "thermocouple":
            source = self.cold_source.text()
            data |= {"kind": kind, "type": self.type.currentData(), "cold_source": source}
            if not source:
                needed.append(("cold_c", self.cold))
        elif kind == "platinum":
            data |= {"kind": kind}
            needed.append(("r0_ohm", self.r0))
        else:
            data |= {"kind": "thermistor"}
            if kind == "beta":
                needed += [("r25_ohm", self.r25), ("beta_k", self.beta)]
        if self._sends == "counts":
            needed += [("fixed_ohm", self.fixed), ("full_scale", self.full)]
            data["fixed_to_supply"] = self.supply.isChecked()
        bad = [field for _, field in needed if not field.check()]
        if bad:
            bad[0].setFocus()
            return
        data |= {name: field.value() for name, field in needed}
        try:
            if kind == "points":
                data["points"] = self._read_points()
                if not data["points"]:
                    raise QuantityError(
                        "", self.tr("at least three points: ohm and °C, one to a line")
                    )
            found = sensor_from_json(data, "sensor")
        except SchemaProblem as problem:
            self._refuse(problem.message)
            return
        except QuantityError as problem:
            self._refuse(str(problem))
            return
        off = worst_k(found)
        if off is not None and off > 1.0 and found != self._sensor:
            # Said once; the same again is taken, for the person may know better.
            self._sensor = found
            self._refuse(
                self.tr(
                    "A point lies {off} °C off the curve of the others. Look for a slip, or use it "
                    "as it is."
                ).format(off=f"{off:.1f}")
            )
            return
        self._sensor = found
        self.accept()

    def _read_points(self) -> list[list[float]]:
        found = []
        for n, line in enumerate(self.points.toPlainText().splitlines(), start=1):
            parts = [part for part in re.split(r"[\s;]+", line.strip()) if part]
            if not parts:
                continue
            if len(parts) != 2:
                raise QuantityError(
                    "", self.tr("line {n}: ohm and °C, such as 10000 25").format(n=n)
                )
            found.append([parse_number(part, "") for part in parts])
        return found

    def sensor(self) -> Sensor:
        """What was said."""
        return self._sensor
