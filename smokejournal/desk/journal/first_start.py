"""What Journal shows while there is no cook at all: begin one, look at a sample, choose the units."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import (
    QButtonGroup,
    QLabel,
    QPushButton,
    QWidget,
)

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row
from smokejournal.desk.parts.empty_state import EmptyState
from smokejournal.services.program import settings


class FirstStart(QWidget):
    """`new_asked`, `sample_asked`; `settings_kept(Settings)` once chosen units are on disk."""

    new_asked = Signal()
    sample_asked = Signal()
    settings_kept = Signal(object)

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("firstStart")
        self._context = context
        writable = not context.program.journal.read_only
        begin = EmptyState("firstStartBegin", self)
        begin.say(
            self.tr("No cooks yet"),
            self.tr(
                "Begin with what you want to cook and when it should be on the table. "
                "The plan, the readings and the notes gather under it."
            ),
            self.tr("New cook") if writable else "",
        )
        begin.asked.connect(self.new_asked)
        self.sample = self._button("firstStartSample", self.tr("Look at a sample plan"))
        self.sample.clicked.connect(self._on_sample)
        begin.offer_beside(self.sample)
        self.in_us = self._button("firstStartUs", self.tr("°F, pounds, inches"))
        self.in_metric = self._button("firstStartMetric", self.tr("°C, kilograms, centimeters"))
        group = QButtonGroup(self)
        row = new_row(None, FILL, QLabel(self.tr("Show everything in"), self))
        for button in (self.in_us, self.in_metric):
            button.setCheckable(True)
            group.addButton(button)
            row.addWidget(button)
            button.clicked.connect(self._on_units)
        row.addStretch(1)
        later = new_label(
            self,
            self.tr("You can change this at any time, and each unit by itself, under Settings."),
            kind="faint",
            wraps=True,
        )
        later.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        column = new_column(self, margins=0)
        column.addStretch(2)
        column.addWidget(begin)
        column.addLayout(row)
        column.addWidget(later)
        column.addStretch(3)
        for button in (self.sample, self.in_us, self.in_metric):
            button.setEnabled(writable)
        context.units_changed.connect(self._show_units)
        self._show_units()

    def _button(self, name: str, text: str) -> QPushButton:
        return new_button(self, text, name=name, hears=text)

    @Slot()
    def _show_units(self) -> None:
        chosen = self.in_us if self._context.units.temperature == "F" else self.in_metric
        chosen.setChecked(True)

    @Slot()
    def _on_sample(self) -> None:
        self.sample.setEnabled(False)
        self.sample_asked.emit()

    @Slot()
    def _on_units(self) -> None:
        journal = self._context.program.journal
        before = settings.load(journal).settings
        preset = settings.all_us if self.in_us.isChecked() else settings.all_metric
        chosen = preset(before)
        futures = settings.save(journal, chosen)
        # In the order of asking, so that the last one says that all are there.
        for future in futures[:-1]:
            self._context.after(future)
        self._context.after(futures[-1], lambda _: self._take(chosen), asker=self)

    def _take(self, chosen: settings.Settings) -> None:
        self._context.set_units(chosen.units)
        self.settings_kept.emit(chosen)
