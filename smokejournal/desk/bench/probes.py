"""The probes of a cook: what each is called, where it sits, and how it is corrected."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import get_args

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QFormLayout,
    QHBoxLayout,
    QVBoxLayout,
    QWidget,
)

from smokejournal.cook.log.correction import correction_words
from smokejournal.cook.log.entries import ChannelSet, LeadSet, Payload
from smokejournal.cook.log.readings import HAND_GAP_S, Channel, ChannelRole
from smokejournal.cook.probes.probe import with_offset
from smokejournal.cook.text.quantities import METRIC, Units, temperature_step
from smokejournal.desk.base.tables import FITTED, ONE, STRETCHED, PlainTable, chosen_row
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import DurationField, TemperatureStepField, TextField
from smokejournal.services.feeds.new_channels import new_channel

NAME, KIND, PLACE, PROBE, CORRECTION, LEADS = range(6)
LARGEST_STEP_K = 30.0


class BenchProbes(QWidget):
    """`wanted(Payload)` when something is to be written into the cook's log."""

    wanted = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("benchProbes")
        self._units = METRIC
        self._channels: tuple[Channel, ...] = ()
        self._lead: str | None = None
        self._check: str | None = None
        self._shown: Channel | None = None
        self._new = False
        self._build_table()
        self._build_form()
        left = QVBoxLayout()
        row = QHBoxLayout()
        self.add = new_button(self, self.tr("&Add a probe"), self._on_add, name="probeAdd")
        row.addWidget(self.add)
        row.addStretch(1)
        left.addLayout(row)
        left.addWidget(self.table, 1)
        hint = new_label(
            self,
            self.tr(
                "The correction is added to what the probe says whenever its readings are shown "
                "or followed. Readings are kept as they came. One that is typed here takes the "
                "place of a calibration."
            ),
            kind="faint",
            wraps=True,
        )
        left.addWidget(hint)
        new_row(self, (left, 1), self.form, spacing=20, margins=0)
        self._show()

    def _build_table(self) -> None:
        self.table = PlainTable(
            self,
            "probeTable",
            self.tr("Probes of this cook"),
            [
                self.tr("Probe"),
                self.tr("In"),
                self.tr("Place"),
                self.tr("Device"),
                self.tr("Correction"),
                self.tr("Leads"),
            ],
            chosen=ONE,
            row_px=34,
            columns=FITTED,
        )
        for section in (NAME, PLACE):
            self.table.horizontalHeader().setSectionResizeMode(section, STRETCHED)
        self.table.itemSelectionChanged.connect(self._on_selected)

    def _build_form(self) -> None:
        self.form = QWidget(self)
        self.form.setFixedWidth(330)
        self._title = new_label(self.form, name="probeTitle", kind="section")
        self.name = TextField("probeName", self.tr("Name"), self.form, longest=100)
        self.role = ChoiceBox(self.form, name="probeRole", hears=self.tr("In"))
        for role in get_args(ChannelRole):
            self.role.addItem(self.role_words(role), role)
        self.place = TextField("probePlace", self.tr("Place"), self.form, hint=self.tr("thick end"))
        self.probe = TextField(
            "probeDevice", self.tr("Device"), self.form, hint=self.tr("thin one, red cable")
        )
        self.correction = TemperatureStepField(
            "probeCorrection",
            self.tr("Correction"),
            self.form,
            low=-LARGEST_STEP_K,
            high=LARGEST_STEP_K,
        )
        self.gap = DurationField(
            "probeGap", self.tr("Silent after"), self.form, low=1.0, high=86400.0, required=True
        )
        self.by_hand = QCheckBox(self.tr("Read by hand"), self.form)
        self.by_hand.setObjectName("probeByHand")
        self.by_hand.toggled.connect(self._on_by_hand)
        self._keep = new_button(
            self.form, self.tr("&Save"), self._on_keep, name="probeKeep", kind="ember"
        )
        self.lead = new_button(
            self.form, self.tr("Make it the &lead probe"), self._on_lead, name="probeLead"
        )
        self.check = new_button(
            self.form, self.tr("Make it the c&heck probe"), self._on_check, name="probeCheck"
        )
        form = QFormLayout()
        form.setVerticalSpacing(6)
        form.addRow(self.tr("&Name"), self.name)
        form.addRow(self.tr("&In"), self.role)
        form.addRow(self.tr("&Place"), self.place)
        form.addRow(self.tr("&Device"), self.probe)
        form.addRow(self.tr("C&orrection"), self.correction)
        form.addRow(self.tr("&Silent after"), self.gap)
        form.addRow("", self.by_hand)
        column = new_column(self.form, self._title, form, self._keep, margins=0)
        column.addSpacing(8)
        column.addWidget(self.lead)
        column.addWidget(self.check)
        column.addStretch(1)

    def role_words(self, role: ChannelRole) -> str:
        """What a probe measures."""
        return {
            "meat": self.tr("the meat"),
            "pit": self.tr("the pit"),
            "air": self.tr("the open air"),
            "other": self.tr("something else"),
        }[role]

    # what is shown

    def set_units(self, units: Units) -> None:
        """In which units corrections are shown and read."""
        self._units = units
        self.correction.set_units(units)
        self._show()

    def show_probes(self, channels: Sequence[Channel], lead: str | None, check: str | None) -> None:
        """The cook's probes as its log has them."""
        if (tuple(channels), lead, check) == (self._channels, self._lead, self._check):
            return
        before = {channel.key for channel in self._channels}
        fresh = [channel.key for channel in channels if channel.key not in before]
        self._channels, self._lead, self._check = tuple(channels), lead, check
        if self._new and fresh:
            self._new = False
            self._shown = next(c for c in channels if c.key == fresh[-1])
        self._show()

    def _show(self) -> None:
        key = self._shown.key if self._shown is not None and not self._new else None
        self.table.blockSignals(True)
        self.table.setRowCount(len(self._channels))
        for row, channel in enumerate(self._channels):
            self.table.put(row, self._cells(channel))
        self.table.clearSelection()
        row = next((n for n, c in enumerate(self._channels) if c.key == key), -1)
        if row < 0 and not self._new and self._channels:
            row = 0
        if row >= 0:
            self.table.selectRow(row)
            self._shown = self._channels[row]
        self.table.blockSignals(False)
        self._show_form()

    def _cells(self, channel: Channel) -> list[str]:
        leads = {self._lead: self.tr("lead"), self._check: self.tr("check")}
        name = (
            self.tr("{name} (SIMULATED)").format(name=channel.name)
            if channel.simulated
            else channel.name
        )
        return [
            name,
            self.role_words(channel.role),
            channel.place,
            self.tr("by hand") if channel.by_hand else channel.probe,
            self._correction(channel),
            leads.get(channel.key, ""),
        ]

    def _correction(self, channel: Channel) -> str:
        words = correction_words(channel, self._units)
        if channel.uncertainty_c is None:
            return words
        return self.tr("{step} ± {sure}").format(
            step=words or temperature_step(0.0, self._units),
            sure=temperature_step(channel.uncertainty_c, self._units),
        )

    def _show_form(self) -> None:
        channel = self._shown
        if channel is None:
            self._new = True
            channel = self._shown = new_channel("meat", self._channels)
        if self._new:
            self._title.setText(self.tr("A new probe"))
        else:
            self._title.setText(channel.name)
        self.name.set_text(channel.name)
        self.role.setCurrentIndex(self.role.findData(channel.role))
        self.place.set_text(channel.place)
        self.probe.set_text(channel.probe)
        self.correction.clear()
        self.correction.set_value(channel.offset_c)
        self.gap.clear()
        self.gap.set_value(channel.gap_s)
        self.by_hand.blockSignals(True)
        self.by_hand.setChecked(channel.by_hand)
        self.by_hand.blockSignals(False)
        self.by_hand.setEnabled(self._new)
        meat = not self._new and channel.role == "meat"
        self.lead.setVisible(meat and channel.key != self._lead)
        self.check.setVisible(
            meat and self._lead is not None and channel.key not in (self._lead, self._check)
        )

    # what the person does

    def _on_add(self) -> None:
        self._new = True
        self._shown = new_channel("meat", self._channels)
        self.table.blockSignals(True)
        self.table.clearSelection()
        self.table.blockSignals(False)
        self._show_form()
        self.name.edit.setFocus()
        self.name.edit.selectAll()

    def _on_selected(self) -> None:
        row = chosen_row(self.table)
        if row is not None and row < len(self._channels):
            self._new = False
            self._shown = self._channels[row]
            self._show_form()

    def _on_by_hand(self, by_hand: bool) -> None:
        if self._new:
            self.gap.set_value(HAND_GAP_S if by_hand else Channel("", "").gap_s)

    def _on_keep(self) -> None:
        name = self.name.text()
        if not name:
            self.name.refuse(self.tr("Give the probe a name."))
        checks = [self.correction.check(), self.gap.check()]
        gap_s = self.gap.value()
        if not name or not all(checks) or self._shown is None or gap_s is None:
            return
        shown = self._shown
        if self._new:
            shown = new_channel(self.role.currentData(), self._channels, name=name)
        self.wanted.emit(
            ChannelSet(
                replace(
                    with_offset(shown, self.correction.value() or 0.0),
                    name=name,
                    role=self.role.currentData(),
                    place=self.place.text(),
                    probe=self.probe.text(),
                    gap_s=gap_s,
                    by_hand=self.by_hand.isChecked(),
                )
            )
        )

    def _on_lead(self) -> None:
        if self._shown is not None:
            check = self._lead if self._check in (None, self._shown.key) else self._check
            payload: Payload = LeadSet(self._shown.key, check)
            self.wanted.emit(payload)

    def _on_check(self) -> None:
        if self._shown is not None and self._lead is not None:
            self.wanted.emit(LeadSet(self._lead, self._shown.key))
