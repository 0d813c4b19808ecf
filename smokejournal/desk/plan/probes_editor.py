"""Which probes the cook will have, which one leads the schedule and which one checks it."""

from __future__ import annotations

from dataclasses import replace
from typing import cast, get_args

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QGridLayout,
    QLabel,
    QVBoxLayout,
    QWidget,
)

from smokejournal.cook.log.entries import ChannelSet, LeadSet
from smokejournal.cook.log.readings import DEFAULT_GAP_S, HAND_GAP_S, Channel, ChannelRole
from smokejournal.cook.plan.plan import Plan, new_channel_key
from smokejournal.cook.plan.words import probe_words, role_words
from smokejournal.cook.probes.probe import with_offset
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.widgets import new_button, new_row
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import TemperatureStepField, TextField
from smokejournal.desk.parts.rows import add_row
from smokejournal.desk.plan.list_editor import ListLine, RecordsEditor


class ProbesEditor(RecordsEditor):
    """Probes, by the keys of their channels. `lead_asked(LeadSet)` when lead or check are chosen,
    `lead_back_asked(LeadSet)` when that is to be as it was. `pair_asked`: the usual two.
    """

    pair_asked = Signal()
    lead_asked = Signal(object)
    lead_back_asked = Signal(object)

    def __init__(self, parent: QWidget | None = None, units: Units = METRIC) -> None:
        self._plan = Plan()
        self._before: LeadSet | None = None
        super().__init__("probes", units, parent)
        self.set_title(self.tr("Probes"))
        self.empty.setText(
            self.tr("No probes yet. Add the one in the meat, and one in the pit if you have it.")
        )
        self.pair = new_button(
            self, self.tr("One in the pit, one in the meat"), self.pair_asked, name="probesPair"
        )
        self._build_lead()

    def show_plan(self, plan: Plan) -> None:
        """Show what the log has."""
        self._plan = plan
        self.show_lines(
            [
                ListLine(key, probe_words(channel, self._units, plan.lead, plan.check))
                for key, channel in plan.channels.items()
            ]
        )
        self._lead_row.setVisible(bool(plan.channels))
        self.pair.setVisible(not plan.channels)
        leads = [
            (c.name or key, key) for key, c in plan.channels.items() if c.role in ("meat", "other")
        ]
        for box, chosen, none in (
            (self.lead, plan.lead, self.tr("choose one")),
            (self.check, plan.check, self.tr("none")),
        ):
            box.offer([(none, None), *leads], chosen)
            box.setToolTip(box.currentText())
        self.check.setEnabled(plan.lead in plan.channels)

    def _build_form(self, grid: QGridLayout) -> None:
        self.name = TextField(
            "probeName", self.tr("Name"), self, required=True, hint=self.tr("thick end")
        )
        self.role = ChoiceBox(
            self,
            name="probeRole",
            hears=self.tr("Where it is"),
            choices=[(role_words(role), role) for role in get_args(ChannelRole)],
        )
        self.place = TextField(
            "probePlace", self.tr("Place"), self, hint=self.tr("thickest part, from the side")
        )
        self.offset = TemperatureStepField(
            "probeOffset", self.tr("Correction"), self, units=self._units, low=-50.0, high=50.0
        )
        self.by_hand = QCheckBox(self.tr("Read by hand"), self)
        self.by_hand.setObjectName("probeByHand")
        add_row(grid, 0, self.tr("Name"), self.name)
        add_row(grid, 1, self.tr("Where it is"), self.role)
        add_row(grid, 2, self.tr("Place"), self.place)
        add_row(grid, 3, self.tr("Correction"), self.offset)
        add_row(grid, 4, "", self.by_hand)

    def _build_lead(self) -> None:
        self._lead_row = QWidget(self)
        # A long name is shortened here: it must not push the schedule out of the window.
        self.lead, self.check = (
            ChoiceBox(self._lead_row, name=name, hears=words, letters=4)
            for name, words in (
                ("leadProbe", self.tr("Lead probe")),
                ("checkProbe", self.tr("Check probe")),
            )
        )
        for box in (self.lead, self.check):
            box.currentTextChanged.connect(box.setToolTip)
            box.currentIndexChanged.connect(self._on_lead)
        row = new_row(
            self._lead_row,
            QLabel(self.tr("Lead"), self._lead_row),
            (self.lead, 1),
            spacing=8,
            margins=0,
        )
        row.addSpacing(4)
        row.addWidget(QLabel(self.tr("Check"), self._lead_row))
        row.addWidget(self.check, 1)
        self.lead_back = new_button(
            self._lead_row, self.tr("Undo"), self._on_lead_back, name="leadBack", kind="quick"
        )
        self.lead_back.hide()
        row.addWidget(self.lead_back)
        column = self.layout()
        assert isinstance(column, QVBoxLayout)
        column.insertWidget(2, self.pair, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self._lead_row)
        self._lead_row.hide()

    def offer_lead_back(self, before: LeadSet | None) -> None:
        """Let lead and check be put back to this; None: there is nothing to go back to."""
        self._before = before
        self.lead_back.setVisible(before is not None)

    @Slot()
    def _on_lead_back(self) -> None:
        before = self._before
        self.offer_lead_back(None)
        if before is not None:
            self.lead_back_asked.emit(before)

    def _fill(self, key: object) -> None:
        channel = self._plan.channels.get(cast(str, key))
        self._channel = channel or Channel(new_channel_key(self._plan), "")
        self.name.set_text(self._channel.name)
        role = self._channel.role
        if channel is None and any(c.role == "meat" for c in self._plan.channels.values()):
            pits = any(c.role == "pit" for c in self._plan.channels.values())
            role = "meat" if pits else "pit"
        self.role.setCurrentIndex(self.role.findData(role))
        self.place.set_text(self._channel.place)
        self.offset.clear()
        self.offset.set_value(self._channel.offset_c)
        self.by_hand.setChecked(self._channel.by_hand)

    def _read(self) -> object | None:
        bad = [field for field in (self.name, self.offset) if not field.check()]
        if bad:
            bad[0].setFocus()
            return None
        taken = [c.name for key, c in self._plan.channels.items() if key != self._channel.key]
        if self.name.text() in taken:
            self.name.refuse(self.tr("Another probe has this name. Give it a name of its own."))
            self.name.setFocus()
            return None
        by_hand = self.by_hand.isChecked()
        gap_s = self._channel.gap_s
        if by_hand != self._channel.by_hand:
            gap_s = HAND_GAP_S if by_hand else DEFAULT_GAP_S
        return ChannelSet(
            replace(
                with_offset(self._channel, self.offset.value() or 0.0),
                name=self.name.text(),
                role=cast(ChannelRole, self.role.currentData()),
                place=self.place.text(),
                by_hand=by_hand,
                gap_s=gap_s,
            )
        )

    def _first(self) -> QWidget:
        return self.name.edit

    @Slot()
    def _on_lead(self) -> None:
        lead, check = self.lead.currentData(), self.check.currentData()
        if lead is None:
            self.show_plan(self._plan)
            return
        self.lead_asked.emit(LeadSet(lead, check if check != lead else None))
