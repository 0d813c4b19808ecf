"""The form for one lot of fuel."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QWidget

from smokejournal.cook.stores.lot_energy import energy_words
from smokejournal.cook.stores.lots import NET_MJ_KG, Lot
from smokejournal.cook.text.quantities import Units, mass_number, mass_unit
from smokejournal.desk.base.widgets import new_label, say
from smokejournal.desk.stores.form import StoreForm


class LotForm(StoreForm):
    """See StoreForm; and below it, what the energy of a bag costs."""

    def __init__(self, currency: str, units: Units, parent: QWidget | None = None) -> None:
        super().__init__("lot", currency, units, parent)
        known = self.tr("if known")
        self._usual_kg: float | None = None
        self.name = self.add_text(
            "name", self.tr("L&ot"), "Name", self.tr("Lot"), hint=self.tr("oak, spring")
        )
        hint = self.tr("as the maker calls it")
        self.label = self.add_text(
            "label", self.tr("Bag sa&ys"), "Label", self.tr("The bag says"), hint=hint
        )
        hint = self.tr("oak and cherry")
        self.wood = self.add_text("wood", self.tr("&Wood"), "Wood", self.tr("Wood"), hint=hint)
        self.bag = self.add_mass("bag_kg", self.tr("A &bag holds"), "Bag", self.tr("A bag holds"))
        words = self.tr("Bags bo&ught")
        self.bags = self.add_number(
            "bags_bought", words, "Bags", self.tr("Bags bought"), low=0.0, high=100_000.0
        )
        words = self.tr("&Price of a bag")
        self.price = self.add_number(
            "price", words, "Price", self.tr("Price of a bag"), currency, low=0.0, high=1e9
        )
        label = self.tr("Moisture, of the mass as it came")
        self.add_number(
            "moisture_pct",
            self.tr("Mo&isture"),
            "Moisture",
            label,
            "%",
            low=0.0,
            high=65.0,
            hint=known,
        )
        label = self.tr("Net calorific value, as it came")
        low, high = NET_MJ_KG
        self.add_number(
            "net_mj_kg",
            self.tr("Net &heat"),
            "Net",
            label,
            self.tr("MJ/kg"),
            low=low,
            high=high,
            hint=known,
        )
        label = self.tr("Call it low below")
        self.low = self.add_mass("low_below_kg", self.tr("Low be&low"), "Low", label, low=0.0)
        self.end(self.tr("Retired: no longer offered for fuel"))
        self.energy = new_label(self, name="lotEnergy", kind="faint", wraps=True)
        self._column.addWidget(self.energy)
        for number in self.numbers():
            number.changed.connect(self._show_energy)
        self.set_units(units)

    def title(self, item: Lot) -> str:
        return self.tr("New lot") if item.id == 0 else self.tr("Lot {name}").format(name=item.name)

    def nameless(self) -> str:
        return self.tr("Give the lot a name, as you would call it at the hopper.")

    def name_stays(self) -> str:
        return self.tr("Cooks have used this lot by its name, so it stays.")

    def values(self, item: Lot) -> dict[str, Any]:
        # Whoever writes a lot down has bought a bag of it.
        return super().values(item) | ({} if item.id else {"bags_bought": 1.0})

    def typed(self) -> Lot:
        lot: Lot = super().typed()
        return replace(lot, bags_bought=lot.bags_bought or 0.0)

    def show_item(self, item: Lot, *, fixed_name: bool = False) -> None:
        super().show_item(item, fixed_name=fixed_name)
        self._show_energy()

    def set_units(self, units: Units) -> None:
        super().set_units(units)
        self.set_usual(self._usual_kg)

    def set_usual(self, usual_kg: float | None) -> None:
        """What one usual cook burns: below that a lot is called low while nothing else is said."""
        self._usual_kg = usual_kg
        self.low.edit.setPlaceholderText(
            self.tr("one usual cook")
            if usual_kg is None
            else self.tr("one cook: {mass}").format(
                mass=f"{mass_number(usual_kg, self._units, 1)} {mass_unit(self._units)}"
            )
        )

    @Slot()
    def _show_energy(self) -> None:
        text = energy_words(self.typed())
        say(self.energy, text)
