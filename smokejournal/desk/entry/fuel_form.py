"""Fuel on top of the hopper, and what lies in it: each with the uncertainty its measure implies."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QComboBox, QWidget

from smokejournal.cook.fuel.amount import FuelAmount, amount_of, by_eye, weighed
from smokejournal.cook.log.entries import FuelAdded, FuelLevel, FuelMeasure
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.text.quantities import Units, mass
from smokejournal.desk.base.widgets import new_label
from smokejournal.desk.entry.entry_form import EntryForm, Said
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.choice_row import ChoiceRow
from smokejournal.desk.parts.fields import MassField, NumberField
from smokejournal.desk.parts.unit_fields import PercentField


class FuelForm(EntryForm):
    """Fuel was added: of which lot, and how much."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("fuelForm", now_s, parent)
        self.set_title(self.tr("Fuel added"))
        self._lots: tuple[Lot, ...] = ()
        self.lot = ChoiceBox(self, name="fuelLot", hears=self.tr("Lot"))
        self.lot.setEditable(True)
        self.lot.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        line = self.lot.lineEdit()
        if line is not None:
            line.setObjectName("fuelLotText")
            line.setAccessibleName(self.tr("Lot"))
            line.setPlaceholderText(self.tr("which bag or batch"))
            line.setMaxLength(200)
        self.measure = ChoiceRow(
            "fuelMeasure", self.tr("Measured in"), self, columns=2, letters=True
        )
        self.measure.set_choices(
            [
                ("mass", self.tr("mass")),
                ("bags", self.tr("bags")),
                ("fraction", self.tr("part of a bag")),
            ]
        )
        self.mass = MassField("fuelMass", self.tr("Mass"), self, required=True)
        self.bags = NumberField(
            "fuelBags", self.tr("Bags"), self, required=True, low=0.01, high=200
        )
        self.part = PercentField("fuelPart", self.tr("Part of a bag"), self, required=True, low=0.1)
        self.bag = MassField("fuelBagMass", self.tr("One bag holds"), self, required=True)
        self.sure = new_label(self, name="fuelSure", kind="faint", wraps=True)
        self.add_field(self.tr("Lot"), self.lot)
        self.add_field(self.tr("Measured in"), self.measure)
        self._by_mass = self.add_field(self.tr("Mass"), self.mass)
        self._by_bags = self.add_field(self.tr("Bags"), self.bags)
        self._by_part = self.add_field(self.tr("Part of a bag, by eye"), self.part)
        self._bag = self.add_field(self.tr("One bag holds"), self.bag)
        self.fields.addWidget(self.sure)
        self.measure.picked.connect(self._on_measure)
        self.measure.typed.connect(self._on_typed)
        self.lot.currentTextChanged.connect(self._on_lot)
        for field in (self.mass, self.bags, self.part, self.bag):
            field.changed.connect(self._show_sure)
        self._show_measure()

    def set_lots(self, lots: Sequence[Lot]) -> None:
        """The lots to choose from; what is typed already stays."""
        offered = tuple(lot for lot in lots if not lot.retired)
        if offered == self._lots:
            return
        typed = self.lot.currentText() if self._lots else ""
        self._lots = offered
        self.lot.blockSignals(True)
        self.lot.clear()
        self.lot.addItems([lot.name for lot in offered])
        self.lot.setEditText(typed or (offered[0].name if offered else ""))
        self.lot.blockSignals(False)
        self._on_lot(self.lot.currentText())

    def set_units(self, units: Units) -> None:
        super().set_units(units)
        for field in (self.mass, self.bags, self.part, self.bag):
            field.set_units(units)
        self._show_sure()

    def first_field(self) -> QWidget:
        return self.lot

    def build(self, at_s: float) -> Said | None:
        name = self.lot.currentText().strip()
        wanted = self._wanted()
        wrong = [field for field in wanted if not field.check() or field.value() is None]
        if wrong:
            wrong[0].setFocus()
            return None
        if not name:
            self.show_trouble(self.tr("Name the lot, for example Oak, second bag."))
            self.lot.setFocus()
            return None
        amount = self._amount()
        if amount is None:
            return None
        lot = self._lot(name)
        added = FuelAdded(
            lot=name,
            mass_kg=amount.mass_kg,
            mass_sd_kg=amount.sd_kg,
            measured=self._measure(),
            price_per_kg=lot.price_per_kg if lot is not None else None,
            currency=lot.currency if lot is not None else "",
        )
        return Said(at_s, (added,))

    def clear_fields(self) -> None:
        for field in (self.mass, self.bags, self.part):
            field.clear()
        self._show_sure()

    def _measure(self) -> FuelMeasure:
        chosen = self.measure.value()
        return "bags" if chosen == "bags" else "fraction" if chosen == "fraction" else "mass"

    def _lot(self, name: str) -> Lot | None:
        return next((lot for lot in self._lots if lot.name == name), None)

    def _wanted(self) -> tuple[MassField | NumberField | PercentField, ...]:
        return {
            "mass": (self.mass,),
            "bags": (self.bags, self.bag),
            "fraction": (self.part, self.bag),
        }[self._measure()]

    def _amount(self) -> FuelAmount | None:
        measure = self._measure()
        value = {"mass": self.mass, "bags": self.bags, "fraction": self.part}[measure].value()
        if value is None:
            return None
        share = value / 100 if measure == "fraction" else value
        return amount_of(measure, share, self.bag.value())

    def _show_measure(self) -> None:
        measure = self._measure()
        self._by_mass.setVisible(measure == "mass")
        self._by_bags.setVisible(measure == "bags")
        self._by_part.setVisible(measure == "fraction")
        self._bag.setVisible(measure != "mass")
        self._show_sure()

    @Slot()
    def _show_sure(self) -> None:
        amount = self._amount()
        text = ""
        if amount is not None:
            text = self.tr("{mass}, give or take {sd}").format(
                mass=mass(amount.mass_kg, self.units), sd=mass(amount.sd_kg, self.units)
            )
        self.sure.setText(text)

    @Slot(str)
    def _on_typed(self, figure: str) -> None:
        self._wanted()[0].type(figure)

    @Slot(str)
    def _on_measure(self, _measure: str) -> None:
        self._show_measure()
        self._wanted()[0].setFocus()

    @Slot(str)
    def _on_lot(self, name: str) -> None:
        lot = self._lot(name.strip())
        if lot is not None and lot.bag_kg is not None:
            self.bag.set_value(lot.bag_kg)
        self._show_sure()


class HopperForm(EntryForm):
    """What lies in the hopper: by mass, as a share of a full one, or nothing."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("hopperForm", now_s, parent)
        self.set_title(self.tr("Hopper"))
        self.measure = ChoiceRow("hopperMeasure", self.tr("Read as"), self, columns=2, letters=True)
        self.measure.set_choices(
            [
                ("percent", self.tr("share of full")),
                ("mass", self.tr("mass")),
                ("emptied", self.tr("emptied")),
            ]
        )
        self.share = PercentField("hopperShare", self.tr("Share of a full hopper"), self)
        self.share.required = True
        self.full = MassField("hopperFull", self.tr("A full hopper holds"), self, required=True)
        self.mass = MassField("hopperMass", self.tr("Mass"), self, required=True, low=0.0)
        self.sure = new_label(self, name="hopperSure", kind="faint")
        self.add_field(self.tr("Read as"), self.measure)
        self._by_share = self.add_field(self.tr("Share of a full hopper"), self.share)
        self._by_full = self.add_field(self.tr("A full hopper holds"), self.full)
        self._by_mass = self.add_field(self.tr("Mass"), self.mass)
        self.fields.addWidget(self.sure)
        self.measure.picked.connect(self._on_measure)
        self.measure.typed.connect(self._on_typed)
        for field in (self.share, self.full, self.mass):
            field.changed.connect(self._show_sure)
        self._show_measure()

    def set_full(self, full_kg: float | None) -> None:
        """What a full hopper of this pit holds, where that is known."""
        if full_kg is not None and not self.full.text():
            self.full.set_value(full_kg)

    def set_units(self, units: Units) -> None:
        super().set_units(units)
        for field in (self.share, self.full, self.mass):
            field.set_units(units)
        self._show_sure()

    def first_field(self) -> QWidget:
        return self.share if self.measure.value() == "percent" else self.measure

    def build(self, at_s: float) -> Said | None:
        if self.measure.value() == "emptied":
            return Said(at_s, (FuelLevel(0.0, 0.0, 0.0),))
        wrong = [field for field in self._wanted() if not field.check() or field.value() is None]
        if wrong:
            wrong[0].setFocus()
            return None
        amount = self._amount()
        if amount is None:
            return None
        share = self.share.value() if self.measure.value() == "percent" else None
        return Said(at_s, (FuelLevel(amount.mass_kg, amount.sd_kg, share),))

    def clear_fields(self) -> None:
        self.share.clear()
        self.mass.clear()
        self._show_sure()

    def _wanted(self) -> tuple[PercentField | MassField, ...]:
        return (self.mass,) if self.measure.value() == "mass" else (self.share, self.full)

    def _amount(self) -> FuelAmount | None:
        if self.measure.value() == "mass":
            kg = self.mass.value()
            return weighed(kg) if kg is not None else None
        share, full = self.share.value(), self.full.value()
        return by_eye(share / 100, full) if share is not None and full is not None else None

    def _show_measure(self) -> None:
        measure = self.measure.value()
        self._by_share.setVisible(measure == "percent")
        self._by_full.setVisible(measure == "percent")
        self._by_mass.setVisible(measure == "mass")
        self._show_sure()

    @Slot()
    def _show_sure(self) -> None:
        amount = None if self.measure.value() == "emptied" else self._amount()
        text = ""
        if amount is not None:
            text = self.tr("{mass}, give or take {sd}").format(
                mass=mass(amount.mass_kg, self.units), sd=mass(amount.sd_kg, self.units)
            )
        self.sure.setText(text)

    @Slot(str)
    def _on_typed(self, figure: str) -> None:
        if self.measure.value() != "emptied":
            self._wanted()[0].type(figure)

    @Slot(str)
    def _on_measure(self, measure: str) -> None:
        self._show_measure()
        if measure == "emptied":
            self.record.setFocus()
        else:
            self._wanted()[0].setFocus()
