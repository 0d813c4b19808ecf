"""The form for one lot of fuel."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QCheckBox, QFormLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from smokejournal.cook.stores.lot_energy import energy_words
from smokejournal.cook.stores.lots import NET_MJ_KG, Lot
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import Units, mass_number, mass_unit
from smokejournal.desk.parts.fields import MassField, NumberField, QuantityField, TextField
from smokejournal.desk.parts.unit_fields import ShareField


class LotForm(QWidget):
    """Shows a lot or a blank one. `kept(Lot)` when the person wants it written."""

    kept = Signal(object)

    def __init__(self, currency: str, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("lotForm")
        self._currency = currency
        self._lot = Lot(0, "")
        self._title = QLabel(self)
        self._title.setObjectName("lotTitle")
        self._title.setProperty("kind", "section")
        self.name = TextField("lotName", self.tr("Lot"), self, hint=self.tr("oak, spring"))
        self.label = TextField(
            "lotLabel", self.tr("The bag says"), self, hint=self.tr("as the maker calls it")
        )
        self.wood = TextField("lotWood", self.tr("Wood"), self, hint=self.tr("oak and cherry"))
        self.bag = MassField("lotBag", self.tr("A bag holds"), self, units=units, high=5000.0)
        self.bags = NumberField("lotBags", self.tr("Bags bought"), self, low=0.0, high=100_000.0)
        self.price = NumberField("lotPrice", self.tr("Price of a bag"), self, low=0.0, high=1e9)
        self.bag.edit.setFixedWidth(160)
        self.price.unit.setText(currency)
        self.price.unit.show()
        self.moisture = ShareField(
            "lotMoisture",
            self.tr("Moisture, of the mass as it came"),
            self,
            low=0.0,
            high=65.0,
            hint=self.tr("if known"),
        )
        self.net = NumberField(
            "lotNet",
            self.tr("Net calorific value, as it came"),
            self,
            low=NET_MJ_KG[0],
            high=NET_MJ_KG[1],
            hint=self.tr("if known"),
        )
        self.net.unit.setText(self.tr("MJ/kg"))
        self.net.unit.show()
        self.low = MassField(
            "lotLow", self.tr("Call it low below"), self, units=units, low=0.0, high=5000.0
        )
        self.low.edit.setFixedWidth(160)
        self.low.edit.setPlaceholderText(self.tr("one usual cook"))
        self.energy = QLabel(self)
        self.energy.setObjectName("lotEnergy")
        self.energy.setProperty("kind", "faint")
        self.energy.setWordWrap(True)
        self.note = TextField("lotNote", self.tr("Note"), self, longest=500)
        self.retired = QCheckBox(self.tr("Retired: no longer offered for fuel"), self)
        self.retired.setObjectName("lotRetired")
        form = QFormLayout()
        form.setVerticalSpacing(6)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.DontWrapRows)
        form.addRow(self.tr("L&ot"), self.name)
        form.addRow(self.tr("Bag sa&ys"), self.label)
        form.addRow(self.tr("&Wood"), self.wood)
        form.addRow(self.tr("A &bag holds"), self.bag)
        form.addRow(self.tr("Bags bo&ught"), self.bags)
        form.addRow(self.tr("&Price of a bag"), self.price)
        form.addRow(self.tr("Mo&isture"), self.moisture)
        form.addRow(self.tr("Net &heat"), self.net)
        form.addRow(self.tr("Low be&low"), self.low)
        form.addRow(self.tr("No&te"), self.note)
        form.addRow(self.retired)
        self._problem = QLabel(self)
        self._problem.setObjectName("lotProblem")
        self._problem.setProperty("kind", "problem")
        self._problem.setWordWrap(True)
        self._problem.hide()
        self._keep = QPushButton(self.tr("&Keep"), self)
        self._keep.setObjectName("lotKeep")
        self._keep.setProperty("kind", "ember")
        self._keep.clicked.connect(self._on_keep)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self._title)
        column.addLayout(form)
        column.addWidget(self._problem)
        column.addWidget(self._keep)
        column.addWidget(self.energy)
        for field in (self.name, self.label, self.wood, self.note):
            field.edit.returnPressed.connect(self._on_keep)
        for number in self._numbers():
            number.edit.returnPressed.connect(self._on_keep)
            number.changed.connect(self._show_energy)
        self.show_lot(Lot(0, ""), fixed_name=False)

    def show_lot(self, lot: Lot, *, fixed_name: bool) -> None:
        """Show this lot. Cooks name it in their logs: once one has, its name stays."""
        self._lot = lot
        self._title.setText(
            self.tr("New lot") if lot.id == 0 else self.tr("Lot {name}").format(name=lot.name)
        )
        self.name.set_text(lot.name)
        self.name.edit.setReadOnly(fixed_name)
        self.name.edit.setToolTip(
            self.tr("Cooks have used this lot by its name, so it stays.") if fixed_name else ""
        )
        self.label.set_text(lot.label)
        self.wood.set_text(lot.wood)
        self.note.set_text(lot.note)
        self.note.edit.setCursorPosition(0)
        for field, value in (
            (self.bag, lot.bag_kg),
            (self.bags, lot.bags_bought if lot.id else 1.0),
            (self.price, lot.price),
            (self.moisture, lot.moisture_pct),
            (self.net, lot.net_mj_kg),
            (self.low, lot.low_below_kg),
        ):
            field.clear()
            field.set_value(value)
        self.price.unit.setText(lot.currency or self._currency)
        self.retired.setChecked(lot.retired)
        self._show_problem("")
        self._show_energy()

    def lot(self) -> Lot:
        """The lot that is shown, as it was kept."""
        return self._lot

    def set_units(self, units: Units) -> None:
        """In which units masses are shown and read."""
        self.bag.set_units(units)
        self.low.set_units(units)

    def set_usual(self, usual_kg: float | None, units: Units) -> None:
        """What one usual cook burns: below that a lot is called low while nothing else is said."""
        self.low.edit.setPlaceholderText(
            self.tr("one usual cook")
            if usual_kg is None
            else self.tr("one cook: {mass}").format(
                mass=f"{mass_number(usual_kg, units, 1)} {mass_unit(units)}"
            )
        )

    def set_writable(self, writable: bool) -> None:
        """A journal opened for reading only takes nothing."""
        self._keep.setEnabled(writable)

    def refuse(self, problem: SchemaProblem) -> None:
        """Show what the journal would not take, beside its field where it names one."""
        fields = {
            "bag_kg": self.bag,
            "bags_bought": self.bags,
            "price": self.price,
            "moisture_pct": self.moisture,
            "net_mj_kg": self.net,
            "low_below_kg": self.low,
        }
        if problem.where == "name":
            self.name.refuse(problem.message)
        elif problem.where in fields:
            fields[problem.where].refuse(problem.message)
        else:
            self._show_problem(problem.message)

    def _show_problem(self, message: str) -> None:
        self._problem.setText(message)
        self._problem.setVisible(bool(message))

    def _numbers(self) -> tuple[QuantityField, ...]:
        return (self.bag, self.bags, self.price, self.moisture, self.net, self.low)

    @Slot()
    def _show_energy(self) -> None:
        text = energy_words(self._typed())
        self.energy.setText(text)
        self.energy.setVisible(bool(text))

    def _on_keep(self) -> None:
        checks = [field.check() for field in self._numbers()]
        if not self.name.text():
            self.name.refuse(self.tr("Give the lot a name, as you would call it at the hopper."))
            return
        if not all(checks) or not self._keep.isEnabled():
            return
        self.kept.emit(self._typed())

    def _typed(self) -> Lot:
        """The lot as it is typed, as far as that can be read."""
        price = self.price.value()
        return replace(
            self._lot,
            name=self.name.text(),
            label=self.label.text(),
            wood=self.wood.text(),
            bag_kg=self.bag.value(),
            bags_bought=self.bags.value() or 0.0,
            price=price,
            currency=(self._lot.currency or self._currency) if price is not None else "",
            moisture_pct=self.moisture.value(),
            net_mj_kg=self.net.value(),
            low_below_kg=self.low.value(),
            note=self.note.text(),
            retired=self.retired.isChecked(),
        )
