"""Forms of food safety: which table a kind of food is set against, and when it was in the cold."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QCheckBox, QWidget

from smokejournal.cook.log.entries import (
    MAX_TARGET_LOG,
    MAX_UNCERTAINTY_C,
    FoodClass,
    Refrigerator,
    SafetySet,
    SafetyTable,
)
from smokejournal.cook.log.readings import Channel
from smokejournal.cook.safety.lines import food_name, no_table_words
from smokejournal.cook.safety.tables import BY_FAT, OFFERED, OWN, OWN_RANGE_C, chosen_table
from smokejournal.cook.text import quantities
from smokejournal.desk.base.widgets import new_column, new_label
from smokejournal.desk.entry.entry_form import EntryForm, Said
from smokejournal.desk.parts.choice_row import ChoiceRow
from smokejournal.desk.parts.fields import (
    NumberField,
    QuantityField,
    TemperatureField,
    TemperatureStepField,
    TextField,
)
from smokejournal.desk.parts.single_keys import plain_text
from smokejournal.science.safety.lethality import D_RANGE_S, TEMPERATURE_RANGE_C, Z_RANGE_K

#: D is typed in minutes.
_MINUTE_S = 60.0


class StepField(TemperatureStepField):
    """A difference of temperatures [K] that is shown to the hundredth, as z is published."""

    def _shown(self, value: float) -> str:
        text = quantities.temperature_step(value, self.units, 2)
        number = text.removesuffix(quantities.temperature_unit(self.units)).strip()
        return number.rstrip("0").rstrip(".") if "." in number else number


class SafetyForm(EntryForm):
    """One kind of food: its table, fat, probes, how far they may be off, or D and z of one's own.

    It holds from the beginning of the cook, so it asks for no time.
    """

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("safetyForm", self.tr("Food safety: set against"), now_s, parent)
        self._when_field.hide()
        self.food: FoodClass = "other"
        self._alone = True
        self._channels: tuple[Channel, ...] = ()
        self._boxes: dict[str, QCheckBox] = {}
        self.table = ChoiceRow("safetyTable", self.tr("Table"), self, columns=1, letters=True)
        self.table.picked.connect(self._on_table)
        self._why = new_label(self, name="safetyTableWhy", kind="faint", wraps=True)
        self.fat = NumberField(
            "safetyFat", self.tr("Fat, %"), self, low=0.0, high=100.0, hint=self.tr("not known")
        )
        self.uncertainty = TemperatureStepField(
            "safetyUncertainty",
            self.tr("Probes may be off by"),
            self,
            low=0.0,
            high=MAX_UNCERTAINTY_C,
            hint=self.tr("not known"),
        )
        self.d = NumberField(
            "safetyD",
            self.tr("D, minutes"),
            self,
            low=D_RANGE_S[0] / _MINUTE_S,
            high=D_RANGE_S[1] / _MINUTE_S,
        )
        low_c, high_c = TEMPERATURE_RANGE_C
        self.reference = TemperatureField(
            "safetyReference", self.tr("D at"), self, low=low_c, high=high_c
        )
        self.z = StepField("safetyZ", self.tr("z"), self, low=Z_RANGE_K[0], high=Z_RANGE_K[1])
        self.begins = TemperatureField("safetyFrom", self.tr("From"), self, low=low_c, high=high_c)
        self.ends = TemperatureField("safetyTo", self.tr("To"), self, low=low_c, high=high_c)
        self.target = NumberField(
            "safetyTarget", self.tr("log10 reductions"), self, low=0.1, high=MAX_TARGET_LOG
        )
        self.begins.changed.connect(self._on_begins)
        self._own: tuple[QuantityField, ...] = (
            self.d, self.reference, self.z, self.begins, self.ends, self.target,
        )  # fmt: skip
        probes = QWidget(self)
        self._probe_column = new_column(probes, spacing=0, margins=0)
        self.add_field(self.tr("Table"), self.table)
        self.fields.addWidget(self._why)
        self._fat_row = self.add_field(self.tr("Fat in percent; empty is the worst"), self.fat)
        self._own_rows = [
            self.add_field(self.tr("D in minutes, for one log10"), self.d),
            self.add_field(self.tr("at the reference temperature"), self.reference),
            self.add_field(self.tr("z, the step to a tenth of D"), self.z),
            self.add_field(self.tr("D and z hold from"), self.begins),
            self.add_field(self.tr("up to; above, it counts as this"), self.ends),
            self.add_field(self.tr("log10 reductions wanted"), self.target),
        ]
        self._probe_row = self.add_field(self.tr("Probes in this food"), probes)
        self.add_field(self.tr("Probes may be off by"), self.uncertainty)

    def set_food(
        self,
        said: SafetySet,
        channels: Sequence[Channel],
        *,
        alone: bool,
    ) -> None:
        """This kind of food, as it is set now. `alone`: it is the only one on the plan."""
        self.food, self._alone = said.food, alone
        # Without the names of its pieces: a title is one line.
        self.set_title(self.tr("{food}, set against").format(food=food_name(said.food, ())))
        self.table.set_choices(
            [(table, self._offered(table)) for table in OFFERED[said.food]], chosen_table(said)
        )
        self._set_probes(said, channels)
        self.fat.set_value(said.fat_pct)
        self.uncertainty.set_value(said.uncertainty_c)
        self.d.set_value(None if said.d_s is None else said.d_s / _MINUTE_S)
        self.reference.set_value(said.reference_c)
        self.z.set_value(said.z_k)
        begins_c, ends_c = OWN_RANGE_C[said.food]
        self.begins.set_value(begins_c if said.from_c is None else said.from_c)
        self.ends.set_value(ends_c if said.to_c is None else said.to_c)
        self.target.set_value(said.target_log)
        self._on_table()

    def build(self, at_s: float) -> Said | None:
        table = self._table()
        own = table == OWN
        asked: list[QuantityField] = [self.uncertainty]
        if own:
            asked = [*self._own, *asked]
        if table in BY_FAT:
            asked.insert(0, self.fat)
        wrong = [field for field in asked if not field.check()]
        begins_c, ends_c = self.begins.value(), self.ends.value()
        both = begins_c is not None and ends_c is not None
        if own and not wrong and both and ends_c <= begins_c:  # type: ignore[operator]
            self.ends.refuse(self.tr("Type a temperature above the one it holds from."))
            wrong.append(self.ends)
        if wrong:
            wrong[0].setFocus()
            return None
        d_min = self.d.value() if own else None
        said = SafetySet(
            food=self.food,
            table=table,
            fat_pct=self.fat.value() if table in BY_FAT else None,
            probes=self._probes(),
            uncertainty_c=self.uncertainty.value(),
            d_s=None if d_min is None else d_min * _MINUTE_S,
            z_k=self.z.value() if own else None,
            reference_c=self.reference.value() if own else None,
            from_c=begins_c if own else None,
            to_c=ends_c if own else None,
            target_log=self.target.value() if own else None,
        )
        return Said(at_s, (said,))

    # -- inside ----------------------------------------------------------------------------------

    def _offered(self, table: SafetyTable) -> str:
        return {
            "": self.tr("none yet"),
            "meat_6.5": self.tr("meat, 6.5 log10"),
            "meat_7": self.tr("meat, 7 log10"),
            "chicken": self.tr("chicken, 7 log10"),
            "turkey": self.tr("turkey, 7 log10"),
            "poultry": self.tr("other or mixed poultry, 7 log10"),
            "fish": self.tr("fish, 6 log10"),
            "own": self.tr("D and z of my own"),
        }[table]

    def _table(self) -> SafetyTable:
        chosen = self.table.value()
        return next((table for table in OFFERED[self.food] if table == chosen), "")

    @Slot()
    def _on_table(self) -> None:
        table = self._table()
        self._why.setText(no_table_words(self.food))
        self._why.setVisible(table == "")
        self._fat_row.setVisible(table in BY_FAT)
        for row, field in zip(self._own_rows, self._own, strict=True):
            row.setVisible(table == OWN)
            field.required = table == OWN

    @Slot()
    def _on_begins(self) -> None:
        """What was refused because of the beginning may be right now."""
        self.ends.set_units(self.units)

    def _set_probes(self, said: SafetySet, channels: Sequence[Channel]) -> None:
        for box in self._boxes.values():
            self._probe_column.removeWidget(box)
            box.setParent(None)
            box.deleteLater()
        self._channels = tuple(c for c in channels if c.role in ("meat", "other"))
        self._boxes = {}
        for channel in self._channels:
            box = QCheckBox(plain_text(channel.name or channel.key), self)
            box.setObjectName(f"safetyProbe_{channel.key}")
            box.setAccessibleName(
                self.tr("{probe} is in this food").format(probe=channel.name or channel.key)
            )
            box.setChecked(channel.key in said.probes if said.probes else self._by_itself(channel))
            self._boxes[channel.key] = box
            self._probe_column.addWidget(box, 0, Qt.AlignmentFlag.AlignLeft)
        self._probe_row.setVisible(bool(self._boxes))

    def _by_itself(self, channel: Channel) -> bool:
        """Whether it counts without a word."""
        return self._alone and channel.role == "meat"

    def _probes(self) -> tuple[str, ...]:
        chosen = tuple(key for key, box in self._boxes.items() if box.isChecked())
        usual = tuple(c.key for c in self._channels if self._by_itself(c))
        # As it would be anyway: a probe that is put in later counts too.
        return () if chosen == usual else chosen


class RefrigeratorForm(EntryForm):
    """Food came out of the refrigerator, or was put into it."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("refrigeratorForm", self.tr("Refrigerator"), now_s, parent)
        self.way = ChoiceRow("refrigeratorWay", self.tr("Which way"), self, columns=1)
        self.way.set_choices(
            [("out", self.tr("taken out")), ("in", self.tr("put into it"))], chosen="out"
        )
        self.item = TextField(
            "refrigeratorItem",
            self.tr("Which piece"),
            self,
            hint=self.tr("which piece, if not all"),
        )
        self._names: Mapping[str, str] = {}
        self.add_field(self.tr("The food was"), self.way)
        self.add_field(self.tr("Piece, by its name on Plan"), self.item)

    def set_cook(self, names: Sequence[str], *, begun: bool) -> None:
        """The pieces on the plan. Once the cook has begun, food goes rather in than out."""
        self._names = {name.casefold(): name for name in names}
        self.way.set_value("in" if begun else "out")

    def build(self, at_s: float) -> Said | None:
        item = self.item.text()
        if item and item.casefold() not in self._names:
            known = ", ".join(self._names.values()) or self.tr("none")
            self.item.refuse(
                self.tr("Type a piece that is on Plan, or leave it empty for all: {known}.").format(
                    known=known
                )
            )
            self.item.setFocus()
            return None
        piece = self._names.get(item.casefold(), "")
        return Said(at_s, (Refrigerator(self.way.value() == "out", piece),))

    def clear_fields(self) -> None:
        self.item.set_text("")
