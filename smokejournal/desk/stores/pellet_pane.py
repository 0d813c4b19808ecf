"""Pellets on Stores: also one more bag of a lot, what is left in the hopper, and the caution."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.stores.lots import Lot
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.widgets import new_button
from smokejournal.desk.fuel.line import FuelLine
from smokejournal.desk.stores.kinds import pellet_kind
from smokejournal.desk.stores.lot_form import LotForm
from smokejournal.desk.stores.pane import StorePane
from smokejournal.services.stores.stores import LotStock, Stores


class PelletPane(StorePane):
    """See the module."""

    form: LotForm

    def __init__(
        self, context: DeskContext, currency: str, stores: Stores, parent: QWidget | None = None
    ) -> None:
        self._stores = stores
        make_form = partial(LotForm, currency, context.units)
        super().__init__(pellet_kind(), context, make_form, stores.keep, parent)
        self.used_by.setObjectName("lotUsedBy")

    def add_buttons(self, row: QHBoxLayout) -> None:
        self._more = new_button(
            self,
            self.tr("One &more bag"),
            self._on_more,
            name="storesMore",
            tip=self.tr("Another bag of the same lot was bought"),
        )
        row.addWidget(self._more)

    def add_below(self, column: QVBoxLayout) -> None:
        caution = QLabel(
            self.tr(
                "Stored wood pellets give off carbon monoxide, which has no smell, and use up "
                "oxygen. Keep them dry, in a place that is aired, never in a sealed room or one "
                "that people sleep in, away from anything hot. Throw out pellets that got wet: "
                "they swell and block the auger. Local fire codes go before this."
            ),
            self,
        )
        caution.setObjectName("storesCaution")
        caution.setProperty("kind", "caution")
        caution.setWordWrap(True)
        self._fuel = FuelLine("stores", self._context, self)
        column.addWidget(self._fuel)
        column.addWidget(caution)

    def problem_of(self, lot: Lot) -> str:
        if any(s.kept.name == lot.name and s.kept.id not in (0, lot.id) for s in self._stock):
            return self.tr("There is a lot of this name already. Add the season or the shop to it.")
        return ""

    @Slot()
    def _on_selection(self) -> None:
        super()._on_selection()
        stock = self.selected()
        self._more.setEnabled(self._new.isEnabled() and stock is not None and stock.kept.id != 0)

    @Slot()
    def _on_more(self) -> None:
        stock = self.selected()
        if isinstance(stock, LotStock):
            self.await_written(self._stores.buy(stock.lot))

    def show_fuel(self) -> None:
        """What is left in the hopper of the cook under way, and for how long."""
        cook_id = self._context.program.under_way()
        if cook_id is None:
            self._fuel.show_cook(None, Schedule())
            return
        plan = plan_of(self._context.live(cook_id).log())
        self._fuel.show_cook(cook_id, plan.schedule, simulated=plan.simulated)
