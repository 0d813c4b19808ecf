"""One finish rule of a stage, to fill in. Every kind keeps what was typed while another is shown."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, cast

from PySide6.QtCore import QSignalBlocker, Signal, Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QFrame,
    QGridLayout,
    QLabel,
    QWidget,
)

from smokejournal.cook.log.schedule import (
    CHECK,
    LEAD,
    PIT,
    ForTime,
    Rule,
    UntilClock,
    UntilSaid,
    UntilTemperature,
)
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import (
    DurationField,
    MomentField,
    QuantityField,
    TemperatureField,
    TemperatureStepField,
)
from smokejournal.desk.parts.rows import LABEL_WIDTH, add_row, new_grid

#: (key, name) of a channel of the cook.
ChannelName = tuple[str, str]


class ChannelBox(ChoiceBox):
    """Which channel a rule watches: lead, check, pit, or one by its name."""

    def __init__(self, name: str, label: str, parent: QWidget | None = None) -> None:
        super().__init__(parent, name=name, hears=label, letters=10)
        self.set_channels(())

    def set_channels(self, channels: Sequence[ChannelName]) -> None:
        """Offer these channels by name, and keep what is chosen."""
        chosen = self.channel()
        roles = [
            (self.tr("the lead probe"), LEAD),
            (self.tr("the check probe"), CHECK),
            (self.tr("the pit"), PIT),
        ]
        self.offer([*roles, *((words, key) for key, words in channels)])
        self.set_channel(chosen)

    def channel(self) -> str:
        """The key of what is chosen."""
        data = self.currentData()
        return data if isinstance(data, str) else LEAD

    def set_channel(self, key: str) -> None:
        """Choose this channel; one that the cook does not have is offered as such."""
        if self.findData(key) < 0:
            self.addItem(self.tr("“{name}” (not there)").format(name=key), key)
        self.choose(key)


class RuleForm(QFrame):
    """`edited` comes with every change; `rule()` is None while something can't be read."""

    edited = Signal()
    remove_asked = Signal()

    def __init__(
        self, name: str, parent: QWidget | None = None, *, units: Units = METRIC, zone: str = "UTC"
    ) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self.setProperty("kind", "sheet")
        self._name = name
        self._build_head(name)
        self._build_temperature(name, units)
        self._build_time(name, units)
        self._build_clock(name, units, zone)
        self._build_said()
        column = new_column(self, self._head, spacing=6, margins=(11, 8, 11, 10))
        for page in self._pages.values():
            column.addWidget(page)
        self._show_page()

    # -- for forms --------------------------------------------------------------------------

    def rule(self) -> Rule | None:
        """The rule as filled in, or None while a field of it can't be read."""
        if self.bad_field() is not None:
            return None
        match self.kind_box.currentData():
            case UntilTemperature.kind:
                return UntilTemperature(
                    cast(float, self.target.value()),
                    cast(Literal["rising", "falling"], self.direction.currentData()),
                    self.prove.value() or 0.0,
                    self.watched.channel(),
                )
            case ForTime.kind:
                return self._for_time()
            case UntilClock.kind:
                return UntilClock(cast(float, self.clock.value()))
            case _:
                return UntilSaid()

    def set_rule(self, rule: Rule) -> None:
        """Show this rule. What is typed and can't be read stays, unless the rule is another now."""
        self.kind_box.choose(rule.kind)
        if isinstance(rule, UntilTemperature):
            self.watched.set_channel(rule.channel)
            self.direction.choose(rule.direction)
            self.target.set_value(rule.target_c)
            self.prove.set_value(rule.prove_s)
        elif isinstance(rule, ForTime):
            self.lasts.set_value(rule.duration_s)
            with QSignalBlocker(self.counts):
                self.counts.setChecked(rule.at_least_c is not None)
            if rule.at_least_c is not None:
                self.hold_watched.set_channel(rule.channel)
                self.at_least.set_value(rule.at_least_c)
                self.dip.set_value(rule.dip_c)
                self.dip_mode.choose(rule.dip_mode)
                self.dip_time.set_value(rule.dip_s)
        elif isinstance(rule, UntilClock):
            self.clock.set_value(rule.at_s)
        self._show_page()

    def bad_field(self) -> QuantityField | None:
        """The first field shown that can't be read or is missing."""
        return next((f for f in self._shown_fields() if not self._is_filled(f)), None)

    def check(self) -> bool:
        """Show the messages of all fields shown; True where nothing is wrong."""
        for field in self._shown_fields():
            field.check()
        return self.bad_field() is None

    def set_units(self, units: Units) -> None:
        """Show every quantity in these units."""
        for field in self.findChildren(QuantityField):
            field.set_units(units)

    def set_channels(self, channels: Sequence[ChannelName]) -> None:
        """Offer these channels."""
        self.watched.set_channels(channels)
        self.hold_watched.set_channels(channels)

    def set_zone(self, zone: str, now_s: float) -> None:
        """Where the clock hangs, and what day it is there."""
        self.clock.set_zone(zone)
        self.clock.suggest_day(now_s)

    def in_tab_order(self) -> tuple[QWidget, ...]:
        """Everything that Tab comes to, from top to bottom."""
        return (
            self.kind_box,
            self.remove,
            self.watched,
            self.direction,
            self.target.edit,
            self.prove.edit,
            self.lasts.edit,
            self.counts,
            self.hold_watched,
            self.at_least.edit,
            self.dip.edit,
            self.dip_mode,
            self.dip_time.edit,
            self.clock.day,
            self.clock.edit,
        )

    def set_removable(self, removable: bool) -> None:
        """Offer to take the rule out, or not."""
        self.remove.setVisible(removable)

    # -- building ---------------------------------------------------------------------------

    def _build_head(self, name: str) -> None:
        self._pages: dict[str, QWidget] = {}
        self.kind_box = ChoiceBox(
            self,
            name=f"{name}Kind",
            hears=self.tr("Kind of finish rule"),
            choices=(
                (self.tr("Until a temperature"), UntilTemperature.kind),
                (self.tr("For a time"), ForTime.kind),
                (self.tr("Until a clock time"), UntilClock.kind),
                (self.tr("Until I confirm"), UntilSaid.kind),
            ),
        )
        self.kind_box.currentIndexChanged.connect(self._on_kind)
        self.remove = new_button(
            self, self.tr("Remove rule"), self.remove_asked, name=f"{name}Remove", kind="plain"
        )
        self._head = new_row(None, self.kind_box, FILL, self.remove)

    def _page(self, kind: str) -> QGridLayout:
        page = QWidget(self)
        self._pages[kind] = page
        return new_grid(LABEL_WIDTH - 12, parent=page)

    def _build_temperature(self, name: str, units: Units) -> None:
        self.watched = ChannelBox(f"{name}Channel", self.tr("Watched probe"), self)
        self.direction = ChoiceBox(self, name=f"{name}Direction", hears=self.tr("Rises or falls"))
        self.direction.addItem(self.tr("rises to"), "rising")
        self.direction.addItem(self.tr("falls to"), "falling")
        self.target = TemperatureField(
            f"{name}Target", self.tr("Target temperature"), self, units=units, required=True
        )
        self.prove = DurationField(
            f"{name}Prove", self.tr("Proving time"), self, units=units, high=86400.0
        )
        self.prove.set_value(60.0)
        grid = self._page(UntilTemperature.kind)
        add_row(grid, 0, self.tr("Until"), self.watched, self.direction)
        add_row(grid, 1, self.tr("Target"), self.target)
        add_row(grid, 2, self.tr("And stays for"), self.prove)
        self.watched.currentIndexChanged.connect(self.edited)
        self.direction.currentIndexChanged.connect(self.edited)
        self.target.changed.connect(self.edited)
        self.prove.changed.connect(self.edited)

    def _build_time(self, name: str, units: Units) -> None:
        self.lasts = DurationField(
            f"{name}Time", self.tr("Time"), self, units=units, required=True, low=1.0
        )
        self.counts = QCheckBox(self.tr("Count only while hot enough"), self)
        self.counts.setObjectName(f"{name}Counts")
        self.hold_watched = ChannelBox(f"{name}HoldChannel", self.tr("Watched probe"), self)
        self.at_least = TemperatureField(
            f"{name}AtLeast", self.tr("At or above"), self, units=units, required=True
        )
        self.dip = TemperatureStepField(
            f"{name}Dip", self.tr("Forgiven dip"), self, units=units, low=0.0, high=100.0
        )
        self.dip.set_value(0.0)
        self.dip_mode = ChoiceBox(
            self, name=f"{name}DipMode", hears=self.tr("What a deeper dip does")
        )
        self.dip_mode.addItem(self.tr("stops the count"), "pause")
        self.dip_mode.addItem(self.tr("starts the count over"), "start_over")
        self.dip_time = DurationField(
            f"{name}DipTime", self.tr("Once it has lasted"), self, units=units, high=86400.0
        )
        self.dip_time.set_value(0.0)
        grid = self._page(ForTime.kind)
        add_row(grid, 0, self.tr("For"), self.lasts)
        grid.addWidget(self.counts, 1, 1)
        self._hold_rows: list[QWidget] = []
        for row, (words, widgets) in enumerate(
            (
                (self.tr("While"), (self.hold_watched, QLabel(self.tr("is at or above")))),
                (self.tr("Threshold"), (self.at_least,)),
                (self.tr("Forgive a dip of"), (self.dip,)),
                (self.tr("A deeper dip"), (self.dip_mode,)),
                (self.tr("Once it has lasted"), (self.dip_time,)),
            ),
            start=2,
        ):
            label = add_row(grid, row, words, *widgets)
            self._hold_rows += [label, *widgets]
        self._dip_time_row = self._hold_rows[-2:]
        for field in (self.lasts, self.at_least, self.dip, self.dip_time):
            field.changed.connect(self.edited)
        self.counts.toggled.connect(self._on_counts)
        self.hold_watched.currentIndexChanged.connect(self.edited)
        self.dip_mode.currentIndexChanged.connect(self._on_counts)

    def _build_clock(self, name: str, units: Units, zone: str) -> None:
        self.clock = MomentField(
            f"{name}Clock", self.tr("Clock time"), self, units=units, zone=zone, required=True
        )
        grid = self._page(UntilClock.kind)
        add_row(grid, 0, self.tr("Until"), self.clock)
        self.clock.changed.connect(self.edited)

    def _build_said(self) -> None:
        words = new_label(self, self.tr("You end this stage yourself on Tend."), kind="faint")
        self._page(UntilSaid.kind).addWidget(words, 0, 0, 1, 2)

    # -- inside -----------------------------------------------------------------------------

    def _for_time(self) -> ForTime:
        lasts_s = cast(float, self.lasts.value())
        if not self.counts.isChecked():
            return ForTime(lasts_s)
        return ForTime(
            lasts_s,
            self.at_least.value(),
            self.hold_watched.channel(),
            self.dip.value() or 0.0,
            cast(Literal["pause", "start_over"], self.dip_mode.currentData()),
            self.dip_time.value() or 0.0,
        )

    def _shown_fields(self) -> list[QuantityField]:
        match self.kind_box.currentData():
            case UntilTemperature.kind:
                return [self.target, self.prove]
            case ForTime.kind:
                if not self.counts.isChecked():
                    return [self.lasts]
                return [self.lasts, self.at_least, self.dip, self.dip_time]
            case UntilClock.kind:
                return [self.clock]
            case _:
                return []

    @staticmethod
    def _is_filled(field: QuantityField) -> bool:
        return field.is_ok() and not (field.required and field.value() is None)

    def _show_page(self) -> None:
        for kind, page in self._pages.items():
            page.setVisible(kind == self.kind_box.currentData())
        for widget in self._hold_rows:
            widget.setVisible(self.counts.isChecked())
        over = self.counts.isChecked() and self.dip_mode.currentData() == "start_over"
        for widget in self._dip_time_row:
            widget.setVisible(over)

    @Slot()
    def _on_kind(self) -> None:
        self._show_page()
        self.edited.emit()

    @Slot()
    def _on_counts(self) -> None:
        self._show_page()
        self.edited.emit()
