"""Fuel on top of the hopper, and what lies in it: each with the uncertainty its measure implies."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import cast

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QWidget

from smokejournal.cook.fuel.amount import FuelAmount, amount_of, by_eye, weighed
from smokejournal.cook.log.entries import FuelAdded, FuelLevel, FuelMeasure
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.text.quantities import Units, mass
from smokejournal.desk.base.widgets import new_label
from smokejournal.desk.entry.entry_form import EntryForm, Said
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.choice_row import ChoiceRow
from smokejournal.desk.parts.fields import MassField, NumberField, QuantityField
from smokejournal.desk.parts.unit_fields import PercentField


class AmountForm(EntryForm):
    """An amount of pellets, measured in one of several ways; how sure that makes it stands below."""

    def __init__(
        self, name: str, title: str, now_s: Callable[[], float], parent: QWidget | None = None
    ) -> None:
        super().__init__(f"{name}Form", title, now_s, parent)
        self.sure = new_label(self, name=f"{name}Sure", kind="faint", wraps=True)
        self._asked: list[tuple[QuantityField, QWidget, Sequence[str]]] = []

    def add_measure(self, label: str, measure: ChoiceRow) -> None:
        """The ways to measure it."""
        self.measure = measure
        self.add_field(label, measure)
        measure.picked.connect(self._on_measure)
        measure.typed.connect(self._on_typed)

    def add_asked(self, label: str, field: QuantityField, *measures: str) -> None:
        """A field that is asked for where it is measured in one of these ways."""
        self._asked.append((field, self.add_field(label, field), measures))
        field.changed.connect(self._show_sure)

    def amount(self) -> FuelAmount | None:
        """What is typed; None where it isn't said yet."""
        raise NotImplementedError

    def set_units(self, units: Units) -> None:
        super().set_units(units)
        self._show_sure()

    def wanted(self) -> list[QuantityField]:
        """The fields that say it, measured as it is now."""
        return [field for field, _, measures in self._asked if self.measure.value() in measures]

    def show_measure(self) -> None:
        """Ask for what is wanted, and for nothing else."""
        wanted = self.wanted()
        for field, row, _ in self._asked:
            row.setVisible(field in wanted)
        self._show_sure()

    @Slot()
    def _show_sure(self) -> None:
        amount = self.amount()
        text = ""
        if amount is not None:
            text = self.tr("{mass}, give or take {sd}").format(
                mass=mass(amount.mass_kg, self.units), sd=mass(amount.sd_kg, self.units)
            )
        self.sure.setText(text)

    @Slot(str)
    def _on_typed(self, figure: str) -> None:
        for field in self.wanted()[:1]:
            field.type(figure)

    @Slot(str)
    def _on_measure(self, _measure: str) -> None:
        self.show_measure()
        (*self.wanted(), self.record)[0].setFocus()


class FuelForm(AmountForm):
    """Fuel was added: of which lot, and how much."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("fuel", self.tr("Fuel added"), now_s, parent)
        self._lots: tuple[Lot, ...] = ()
        self.lot = ChoiceBox(self, name="fuelLot", hears=self.tr("Lot"))
        self.lot.let_type(self.tr("which bag or batch"))
        measured = self.tr("Measured in")
        measure = ChoiceRow("fuelMeasure", measured, self, columns=2, letters=True)
        measure.set_choices(
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
        self.add_field(self.tr("Lot"), self.lot)
        self.add_measure(measured, measure)
        self.add_asked(self.tr("Mass"), self.mass, "mass")
        self.add_asked(self.tr("Bags"), self.bags, "bags")
        self.add_asked(self.tr("Part of a bag, by eye"), self.part, "fraction")
        self.add_asked(self.tr("One bag holds"), self.bag, "bags", "fraction")
        self.fields.addWidget(self.sure)
        self.lot.currentTextChanged.connect(self._on_lot)
        self.show_measure()

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

    def build(self, at_s: float) -> Said | None:
        name = self.lot.currentText().strip()
        if not self.all_read(*self.wanted()):
            return None
        if not name:
            self.show_trouble(self.tr("Name the lot, for example Oak, second bag."))
            self.lot.setFocus()
            return None
        amount = self.amount()
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
        return cast(FuelMeasure, self.measure.value())

    def _lot(self, name: str) -> Lot | None:
        return next((lot for lot in self._lots if lot.name == name), None)

    def amount(self) -> FuelAmount | None:
        value = self.wanted()[0].value()
        if value is None:
            return None
        measure = self._measure()
        share = value / 100 if measure == "fraction" else value
        return amount_of(measure, share, self.bag.value())

    @Slot(str)
    def _on_lot(self, name: str) -> None:
        lot = self._lot(name.strip())
        if lot is not None and lot.bag_kg is not None:
            self.bag.set_value(lot.bag_kg)
        self._show_sure()


class HopperForm(AmountForm):
    """What lies in the hopper: by mass, as a share of a full one, or nothing."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("hopper", self.tr("Hopper"), now_s, parent)
        read = self.tr("Read as")
        measure = ChoiceRow("hopperMeasure", read, self, columns=2, letters=True)
        measure.set_choices(
            [
                ("percent", self.tr("share of full")),
                ("mass", self.tr("mass")),
                ("emptied", self.tr("emptied")),
            ]
        )
        self.share = PercentField(
            "hopperShare", self.tr("Share of a full hopper"), self, required=True
        )
        self.full = MassField("hopperFull", self.tr("A full hopper holds"), self, required=True)
        self.mass = MassField("hopperMass", self.tr("Mass"), self, required=True, low=0.0)
        self.add_measure(read, measure)
        self.add_asked(self.tr("Share of a full hopper"), self.share, "percent")
        self.add_asked(self.tr("A full hopper holds"), self.full, "percent")
        self.add_asked(self.tr("Mass"), self.mass, "mass")
        self.fields.addWidget(self.sure)
        self.show_measure()

    def set_full(self, full_kg: float | None) -> None:
        """What a full hopper of this pit holds, where that is known."""
        if full_kg is not None and not self.full.text():
            self.full.set_value(full_kg)

    def first_field(self) -> QWidget:
        return self.share if self.measure.value() == "percent" else self.measure

    def build(self, at_s: float) -> Said | None:
        if self.measure.value() == "emptied":
            return Said(at_s, (FuelLevel(0.0, 0.0, 0.0),))
        amount = self.amount() if self.all_read(*self.wanted()) else None
        if amount is None:
            return None
        share = self.share.value() if self.measure.value() == "percent" else None
        return Said(at_s, (FuelLevel(amount.mass_kg, amount.sd_kg, share),))

    def clear_fields(self) -> None:
        self.share.clear()
        self.mass.clear()
        self._show_sure()

    def amount(self) -> FuelAmount | None:
        measure, kg = self.measure.value(), self.mass.value()
        share, full = self.share.value(), self.full.value()
        if measure == "mass":
            return None if kg is None else weighed(kg)
        if measure == "emptied" or share is None or full is None:
            return None
        return by_eye(share / 100, full)
