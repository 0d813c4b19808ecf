"""Something of the stores was used: which salt, wood or rub, and how much where that is known."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import cast

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QWidget

from smokejournal.cook.log.entries import StoreUsed, WareSort
from smokejournal.cook.stores.wares import Ware
from smokejournal.desk.entry.entry_form import EntryForm, Said
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.choice_row import ChoiceRow
from smokejournal.desk.parts.fields import MassField, NumberField


class StoreUsedForm(EntryForm):
    """Pellets are told under Fuel: this is for the rest. Without an amount it was some."""

    def __init__(self, now_s: Callable[[], float], parent: QWidget | None = None) -> None:
        super().__init__("storeForm", self.tr("Used from the stores"), now_s, parent)
        self._wares: tuple[Ware, ...] = ()
        self.sort = ChoiceRow("storeSort", self.tr("What"), self, columns=3)
        self.sort.set_choices(
            [("wood", self.tr("wood")), ("rub", self.tr("rub")), ("salt", self.tr("salt"))]
        )
        self.ware = ChoiceBox(self, name="storeWare", hears=self.tr("Which"))
        self.ware.let_type()
        self.mass = MassField("storeMass", self.tr("Mass"), self)
        self.count = NumberField(
            "storeCount",
            self.tr("Pieces"),
            self,
            low=0.01,
            high=100_000.0,
            hint=self.tr("or so many"),
        )
        self.add_field(self.tr("What"), self.sort)
        self.add_field(self.tr("Which"), self.ware)
        self.add_field(self.tr("Mass, if known"), self.mass)
        self._by_count = self.add_field(self.tr("Pieces, if counted"), self.count)
        self.sort.picked.connect(self._on_sort)
        self._offer()

    def set_wares(self, wares: Sequence[Ware]) -> None:
        """The wares to choose from; what is typed already stays."""
        offered = tuple(ware for ware in wares if not ware.retired)
        if offered != self._wares:
            self._wares = offered
            self._offer(self.ware.currentText())

    def build(self, at_s: float) -> Said | None:
        if not self.all_read(self.mass, self.count):
            return None
        name = self.ware.currentText().strip()
        if not name:
            self.show_trouble(self.tr("Name it, as it stands on Stores."))
            self.ware.setFocus()
            return None
        count = self.count.value() if self._sort() == "wood" else None
        if self.mass.value() is not None and count is not None:
            self.show_trouble(self.tr("Give the mass or the pieces, and leave the other empty."))
            self.count.setFocus()
            return None
        return Said(at_s, (StoreUsed(self._sort(), name, self.mass.value(), count),))

    def clear_fields(self) -> None:
        self.mass.clear()
        self.count.clear()

    def _sort(self) -> WareSort:
        return cast(WareSort, self.sort.value() or "wood")

    def _offer(self, typed: str = "") -> None:
        sort = self._sort()
        names = [ware.name for ware in self._wares if ware.sort == sort]
        self.ware.clear()
        self.ware.addItems(names)
        self.ware.setEditText(typed or (names[0] if names else ""))
        self._by_count.setVisible(sort == "wood")

    @Slot(str)
    def _on_sort(self, _sort: str) -> None:
        self._offer()
        self.ware.setFocus()
