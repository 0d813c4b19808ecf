"""What may be said of a piece of food as a dish of its own: its probe, its target, its times.

Folded while nothing is said: most cooks have one dish, and it goes by the schedule.
"""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QWidget

from smokejournal.cook.log.entries import ItemAdded
from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.widgets import new_button, new_column
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import (
    DurationField,
    MomentField,
    QuantityField,
    TemperatureField,
)
from smokejournal.desk.parts.rows import new_grid
from smokejournal.desk.plan.list_editor import LABEL_WIDTH

DAY_S = 86_400.0


class DishFields(QWidget):
    """`toggled` when the fields are shown or folded."""

    toggled = Signal()

    def __init__(self, parent: QWidget | None = None, units: Units = METRIC) -> None:
        super().__init__(parent)
        self.open = new_button(
            self, self.tr("Its own probe, target and times"), name="dishOpen", kind="quick"
        )
        self.open.setCheckable(True)
        self.open.toggled.connect(self._on_toggled)
        self._inside = QWidget(self)
        self.probe = ChoiceBox(self, name="dishProbe", hears=self.tr("Probe in it"), letters=12)
        self.probe.currentTextChanged.connect(self.probe.setToolTip)
        self.target = TemperatureField("dishTarget", self.tr("Done at"), self, units=units)
        self.pit = TemperatureField("dishPit", self.tr("Pit at"), self, units=units)
        self.takes = self._time("dishTakes", self.tr("On the pit for"), units)
        self.rest = self._time("dishRest", self.tr("Rests for"), units)
        self.hold = self._time("dishHold", self.tr("Holds hot for"), units)
        self.ready = MomentField(
            "dishReady", self.tr("Wanted at"), self, units=units, hint=self.tr("as all")
        )
        # The form is narrow: it must not push the schedule out of the window.
        self.ready.day.setFixedWidth(126)
        self.ready.edit.setFixedWidth(74)
        self.fields: tuple[QuantityField, ...] = (
            self.target,
            self.pit,
            self.takes,
            self.rest,
            self.hold,
            self.ready,
        )
        new_grid(
            LABEL_WIDTH - 12,
            (self.tr("Probe in it"), self.probe),
            (self.tr("Done at"), self.target),
            (self.tr("Pit at"), self.pit),
            (self.tr("On the pit for"), self.takes),
            (self.tr("Rests for"), self.rest),
            (self.tr("Holds hot for"), self.hold),
            (self.tr("Wanted at"), self.ready),
            parent=self._inside,
        )
        new_column(self, self.open, self._inside, spacing=6, margins=0)
        self._inside.hide()

    def show_item(self, item: ItemAdded, plan: Plan, units: Units) -> None:
        """Show what is said of it; open where anything is."""
        probes = {"": self.tr("not said")}
        for key, channel in plan.channels.items():
            if channel.role in ("meat", "other"):
                probes[key] = channel.name or key
        # A probe that isn't there any more stays what was said.
        probes.setdefault(item.channel, item.channel)
        self.probe.offer([(words, key) for key, words in probes.items()], item.channel)
        self.probe.setToolTip(self.probe.currentText())
        self.ready.set_zone(plan.zone)
        if plan.ready_at_s is not None:
            self.ready.suggest_day(plan.ready_at_s)
        values = (
            item.target_c,
            item.pit_c,
            item.takes_s,
            item.rest_s,
            item.hold_s,
            item.ready_at_s,
        )
        for field, value in zip(self.fields, values, strict=True):
            field.clear()
            field.set_units(units)
            field.set_value(value)
        self.open.setChecked(bool(item.channel) or any(value is not None for value in values))

    def said_of(self, item: ItemAdded) -> ItemAdded:
        """The item with what the fields say."""
        return replace(
            item,
            channel=str(self.probe.currentData() or ""),
            target_c=self.target.value(),
            pit_c=self.pit.value(),
            takes_s=self.takes.value(),
            rest_s=self.rest.value(),
            hold_s=self.hold.value(),
            ready_at_s=self.ready.value(),
        )

    def _time(self, name: str, label: str, units: Units) -> DurationField:
        return DurationField(name, label, self, units=units, high=3 * DAY_S)

    @Slot(bool)
    def _on_toggled(self, shown: bool) -> None:
        self._inside.setVisible(shown)
        self.toggled.emit()
