"""The form for a recorded table that is replayed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFileDialog,
    QFormLayout,
    QLabel,
    QLineEdit,
    QWidget,
)

from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.widgets import new_button, new_label, new_row, say
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import MomentField, NumberField, TextField
from smokejournal.inputs.line_format import LineFormat
from smokejournal.inputs.replay import FASTEST, ReplayConfig, TimeKind


class ReplayForm(QWidget):
    """`file_chosen(Path)` when another file is named; `changed` on everything else.

    What was guessed of the file is shown by `set_config` and put right by hand.
    """

    file_chosen = Signal(object)
    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("replayForm")
        self._config = ReplayConfig(path="")
        self._zone = "UTC"
        self.path = QLineEdit(self)
        self.path.setObjectName("replayPath")
        self.path.setAccessibleName(self.tr("File"))
        self.path.setPlaceholderText(self.tr("readings.csv"))
        self.path.editingFinished.connect(self._on_path)
        choose = new_button(self, self.tr("&Choose…"), self._on_choose, name="replayChoose")
        row = new_row(None, (self.path, 1), choose, margins=0)
        self.heading = QCheckBox(self.tr("The first row names the columns"), self)
        self.heading.setObjectName("replayHeading")
        self.time_column = TextField("replayTimeColumn", self.tr("Column with the time"), self)
        self.time_kind = self._box(
            "replayTimeKind",
            self.tr("The time is"),
            [
                (self.tr("seconds since some start"), "seconds"),
                (self.tr("seconds since 1970"), "epoch"),
                (self.tr("date and time, 2026-03-21 14:05:00"), "iso"),
                (self.tr("time of day, 14:05:00"), "clock"),
            ],
        )
        self.stamps = self._box(
            "replayStamps",
            self.tr("Recorded as"),
            [
                (self.tr("coming in now, row by row"), "arrival"),
                (self.tr("taken when the table says"), "written"),
            ],
        )
        self.pace = NumberField(
            "replayPace", self.tr("Times as fast as taken"), self, low=0.01, high=FASTEST
        )
        self.pace.set_value(1.0)
        self.at_once = QCheckBox(self.tr("All rows at once"), self)
        self.at_once.setObjectName("replayAtOnce")
        self.at_once.setChecked(True)
        self.day = TextField(
            "replayDay", self.tr("The times of day began on"), self, hint="2026-03-21"
        )
        self.begun = MomentField("replayBegun", self.tr("The seconds began at"), self)
        self._problem = new_label(self, name="replayProblem", kind="problem", wraps=True)
        self._form = QFormLayout(self)
        self._form.setContentsMargins(0, 0, 0, 0)
        self._form.setVerticalSpacing(6)
        self._form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        file_label = QLabel(self.tr("F&ile"), self)
        file_label.setBuddy(self.path)
        self._form.addRow(file_label, row)
        self._form.addRow(self._problem)
        self._form.addRow(self.heading)
        self._form.addRow(self.tr("Column with the &time"), self.time_column)
        self._form.addRow(self.tr("The time is"), self.time_kind)
        self._form.addRow(self.tr("Recorded as"), self.stamps)
        self._form.addRow(self.at_once)
        self._form.addRow(self.tr("Times as fast as taken"), self.pace)
        self._form.addRow(self.tr("The times of day began on"), self.day)
        self._form.addRow(self.tr("The seconds began at"), self.begun)
        self.heading.toggled.connect(self.changed)
        self.at_once.toggled.connect(self._on_shape)
        for box in (self.time_kind, self.stamps):
            box.currentIndexChanged.connect(self._on_shape)
        self.time_column.edit.editingFinished.connect(self.changed)
        self.set_config(self._config)

    def _box(self, name: str, label: str, choices: list[tuple[str, str]]) -> QComboBox:
        box = ChoiceBox(self, name=name, hears=label, choices=choices)
        box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        return box

    def set_place(self, zone: str, units: Units) -> None:
        """The cook's time zone, and how times are written."""
        self._zone = zone
        self.begun.set_zone(zone)
        self.begun.set_units(units)

    def set_config(self, config: ReplayConfig) -> None:
        """Show what was guessed, or chosen before."""
        self._config = config
        self.path.setText(config.path)
        self.path.setModified(False)
        self.heading.setChecked(config.heading)
        self.time_column.set_text(config.time_column)
        self.time_kind.setCurrentIndex(self.time_kind.findData(config.time_kind))
        self.stamps.setCurrentIndex(self.stamps.findData(config.stamps))
        self.at_once.setChecked(config.pace is None or config.stamps == "arrival")
        self.pace.set_value(config.pace or 1.0)
        self.day.set_text(config.day)
        if config.stamps == "written" and config.time_kind == "seconds":
            self.begun.set_value(config.begun_at_s)
        self.show_problem("")
        self._on_shape()

    def config(self, form: LineFormat) -> ReplayConfig | None:
        """What is chosen, with these columns; None, with the messages, where it can't be."""
        if not self._config.path:
            self.show_problem(self.tr("Choose the file to replay."))
            return None
        written, kind, at_once = self._shape()
        if kind == "seconds" and self.begun.value() is None:
            self.begun.refuse(self.tr("Give the moment at which the seconds began."))
            return None
        if kind == "clock" and not self.day.text():
            self.day.refuse(self.tr("Give the day on which the times of day began."))
            return None
        if not at_once and (not self.pace.check() or self.pace.value() is None):
            return None
        return replace(
            self._config,
            heading=self.heading.isChecked(),
            time_column=self.time_column.text() or "1",
            time_kind=self.time_kind.currentData(),
            columns=form.columns,
            zone=self._zone,
            day=self.day.text() if kind == "clock" else "",
            pace=None if at_once else self.pace.value(),
            stamps="written" if written else "arrival",
            begun_at_s=self.begun.value() if kind == "seconds" else None,
        )

    def _shape(self) -> tuple[bool, TimeKind | None, bool]:
        """Whether the table says when it was taken, by which kind of time, and if all comes at once."""
        written = self.stamps.currentData() == "written"
        kind: TimeKind | None = self.time_kind.currentData() if written else None
        return written, kind, written and self.at_once.isChecked()

    def show_problem(self, message: str) -> None:
        """What is wrong with the file or with what is chosen."""
        say(self._problem, message)

    def _on_shape(self) -> None:
        written, kind, at_once = self._shape()
        self._form.setRowVisible(self.at_once, written)
        self._form.setRowVisible(self.pace, not at_once)
        self._form.setRowVisible(self.day, kind == "clock")
        self._form.setRowVisible(self.begun, kind == "seconds")
        self.changed.emit()

    def _on_path(self) -> None:
        path = self.path.text().strip()
        if path and path != self._config.path:
            self.file_chosen.emit(Path(path))

    def _on_choose(self) -> None:
        path, _ = QFileDialog.getOpenFileName(
            self,
            self.tr("Table of readings to replay"),
            str(Path(self.path.text()).parent) if self.path.text() else "",
            self.tr("Tables (*.csv *.txt *.tsv *.log);;All files (*)"),
        )
        if path:
            self.path.setText(path)
            self._on_path()
