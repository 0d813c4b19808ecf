"""Stores: pellets by lot, salts, woods and rubs: what each cost, what is left, what runs low."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QStackedWidget,
    QWidget,
)

from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.refresher import Refresher
from smokejournal.desk.base.widgets import new_button, new_column, new_label, new_row
from smokejournal.desk.stores.kinds import ware_kinds
from smokejournal.desk.stores.pane import StorePane
from smokejournal.desk.stores.pellet_pane import PelletPane
from smokejournal.desk.stores.ware_form import WareForm
from smokejournal.services.program import settings
from smokejournal.services.stores.stores import Holding, Stores


class StoresPage(QWidget):
    """See the module. `open_asked(cook_id, page)` opens a cook that used something."""

    open_asked = Signal(object, str)

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("storesPage")
        self.title = self.tr("Stores")
        self._context = context
        self._stores = Stores(context.program)
        # Away from the painting thread: it reads every cook.
        self._refresher = Refresher(
            self, context, lambda: self._stores.holding, self._on_holding, soon_ms=200
        )
        self.refresh = self._refresher.refresh
        self._build()
        context.cook_changed.connect(self._on_changed)
        context.units_changed.connect(self._on_units_changed)
        self.refresh()

    def _build(self) -> None:
        currency = settings.load(self._context.program.journal).settings.currency
        make_form = partial(WareForm, currency, self._context.units)
        self._stack = QStackedWidget(self)
        self.pellets = PelletPane(self._context, currency, self._stores, self._stack)
        self.panes: dict[str, StorePane] = {"pellets": self.pellets}
        for sort, kind in ware_kinds().items():
            self.panes[sort] = StorePane(
                kind, self._context, make_form, self._stores.keep_ware, self._stack
            )
        for pane in self.panes.values():
            pane.written.connect(self.refresh)
            pane.used_by.open_asked.connect(self.open_asked)
            self._stack.addWidget(pane)
        self._low = new_label(self, name="storesLow", kind="problem", wraps=True, hidden=True)
        new_column(
            self,
            self._build_kinds(),
            self._low,
            (self._stack, 1),
            spacing=8,
            margins=(16, 10, 16, 12),
        )

    def _build_kinds(self) -> QHBoxLayout:
        row = new_row(None, spacing=4)
        self._kinds = QButtonGroup(self)
        for number, (name, pane) in enumerate(self.panes.items()):
            button = new_button(self, pane.kind.words, name=f"stores_{name}")
            button.setCheckable(True)
            button.setProperty("kind", "quiet")
            self._kinds.addButton(button, number)
            row.addWidget(button)
        row.addStretch(1)
        self._kinds.button(0).setChecked(True)
        self._kinds.idClicked.connect(self._stack.setCurrentIndex)
        return row

    # what is shown

    def _on_holding(self, holding: Holding) -> None:
        self.pellets.form.set_usual(holding.usual_kg)
        for name, pane in self.panes.items():
            wares = [stock for stock in holding.wares if stock.ware.sort == name]
            pane.show_stock(holding.lots if pane is self.pellets else wares)
        names = [line.name for line in holding.lines if line.low]
        self._low.setText(self.tr("Runs low: {names}").format(names=", ".join(names)))
        self._low.setVisible(bool(names))

    # what others did

    def _on_changed(self, change: object) -> None:
        entries = getattr(change, "entries", ())
        if entries and self.isVisible():
            self.pellets.show_fuel()
        fuel = getattr(change, "stores", False) or entries
        if fuel:
            self._refresher.mark()

    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what was written while another page was shown."""
        super().showEvent(event)
        self.pellets.show_fuel()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """More or less room is the tables'."""
        super().resizeEvent(event)
        for pane in self.panes.values():
            pane.set_room(self.width())

    def _on_units_changed(self) -> None:
        for pane in self.panes.values():
            pane.set_units(self._context.units)
