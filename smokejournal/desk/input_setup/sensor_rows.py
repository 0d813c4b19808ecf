"""The columns that send raw values, each with a button that says by which probe and asks for it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QPushButton, QSizePolicy, QWidget

from smokejournal.desk.base.clearing import throw_away
from smokejournal.desk.base.widgets import new_button
from smokejournal.desk.input_setup.sensor_dialog import SensorDialog
from smokejournal.inputs.cell import Column
from smokejournal.inputs.sensor import Sensor, sensor_words


class SensorRows(QWidget):
    """`said(row, Sensor)` when it was said which probe sends a column."""

    said = Signal(int, object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("sensorRows")
        self._columns: tuple[Column, ...] = ()
        self._buttons: dict[int, QPushButton] = {}
        self._layout = QGridLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.setSpacing(4)
        self.hide()

    def show_columns(self, columns: Sequence[Column]) -> None:
        """Offer a button for each column that sends raw values."""
        self._columns = tuple(columns)
        wanted = {row: c.sensor for row, c in enumerate(columns) if c.sensor is not None}
        for row in set(self._buttons) - set(wanted):
            throw_away(self._layout, [self._buttons.pop(row)])
        for place, (row, sensor) in enumerate(sorted(wanted.items())):
            if row not in self._buttons:
                button = new_button(self, "", name=f"columnSensor_{row}", kind="quick")
                # Two to a line, however long their words are: the table above needs the room.
                button.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
                button.clicked.connect(partial(self._on_clicked, row))
                self._buttons[row] = button
            self._layout.addWidget(self._buttons[row], place // 2, place % 2)
            source = columns[row].source
            whole = self.tr("Column {column}: {sensor}").format(
                column=source, sensor=sensor_words(sensor)
            )
            text = self.tr("{column}: {probe} …").format(column=source, probe=self._short(sensor))
            self._buttons[row].setText(text.replace("&", "&&"))
            self._buttons[row].setToolTip(whole)
            self._buttons[row].setAccessibleName(whole)
        self.setVisible(bool(wanted))

    def _short(self, sensor: Sensor) -> str:
        if sensor.kind == "unsaid":
            return self.tr("say which probe")
        if sensor.kind == "thermocouple":
            return self.tr("thermocouple {type}").format(type=sensor.thermocouple)
        return self.tr("platinum") if sensor.kind == "platinum" else self.tr("thermistor")

    def _on_clicked(self, row: int, *_: object) -> None:
        column = self._columns[row] if row < len(self._columns) else None
        if column is None or column.sensor is None:
            return
        self.dialog = SensorDialog(column.source, column.sensor, self)
        self.dialog.accepted.connect(partial(self._on_accepted, row))
        self.dialog.open()

    def _on_accepted(self, row: int) -> None:
        self.said.emit(row, self.dialog.sensor())
