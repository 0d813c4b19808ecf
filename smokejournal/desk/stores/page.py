"""Stores: pellets by lot, salts, woods and rubs: what each cost, what is left, what runs low."""

from __future__ import annotations

from PySide6.QtCore import QItemSelectionModel, QTimer, Signal
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QCheckBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from smokejournal.cook.log.entries import WareSort
from smokejournal.cook.log.schedule import Schedule
from smokejournal.cook.plan.plan import plan_of
from smokejournal.cook.stores.lots import Lot
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.desk.base.background import in_background
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.fuel.line import FuelLine
from smokejournal.desk.parts.empty_state import EmptyState
from smokejournal.desk.parts.tall_scroll import TallScroll
from smokejournal.desk.stores.lot_form import LotForm
from smokejournal.desk.stores.lot_model import BAG, PRICE, WOOD, StoresModel
from smokejournal.desk.stores.name_table import FORM_PX, NameTable
from smokejournal.desk.stores.used_by import UsedBy
from smokejournal.desk.stores.ware_pane import WarePane
from smokejournal.services.program import settings
from smokejournal.services.stores.stores import Holding, LotStock, Stores

#: The sorts of wares, in the order of their buttons behind that of the pellets.
WARES: tuple[WareSort, ...] = ("salt", "wood", "rub")


class StoresPage(QWidget):
    """See the module. `open_asked(cook_id, page)` opens a cook that used something."""

    open_asked = Signal(object, str)

    def __init__(self, context: DeskContext, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("storesPage")
        self.title = self.tr("Stores")
        self._context = context
        self._stores = Stores(context.program)
        self._stock: tuple[LotStock, ...] = ()
        self._usual_kg: float | None = None
        self._asking = False
        self._stale = True
        self._select_name = ""
        self._build()
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(200)
        self._timer.timeout.connect(self._if_shown)
        context.cook_changed.connect(self._on_changed)
        context.units_changed.connect(self._on_units_changed)
        self.refresh()

    def _build(self) -> None:
        self._model = StoresModel(self)
        self._model.set_units(self._context.units)
        self.table = NameTable("storesTable", self.tr("Lots of pellets"), self._model, self)
        self.table.selectionModel().selectionChanged.connect(self._on_selection)
        self._empty = EmptyState("storesEmpty", self)
        self._empty.say(
            self.tr("No lots yet"),
            self.tr(
                "Write down the bag you are burning: its wood, its mass and what it cost. "
                "Cooks then say which lot they burned, and this page what is left."
            ),
        )
        self._stack = QStackedWidget(self)
        self._stack.addWidget(self.table)
        self._stack.addWidget(self._empty)
        self._new = QPushButton(self.tr("&New lot"), self)
        self._new.setObjectName("storesNew")
        self._new.clicked.connect(self._on_new)
        self._more = QPushButton(self.tr("One &more bag"), self)
        self._more.setObjectName("storesMore")
        self._more.setToolTip(self.tr("Another bag of the same lot was bought"))
        self._more.clicked.connect(self._on_more)
        self._retired = QCheckBox(self.tr("Show retired lots"), self)
        self._retired.setObjectName("storesRetired")
        self._retired.toggled.connect(self._show_stock)
        self._why = QLabel(self)
        self._why.setObjectName("storesWhy")
        self._why.setProperty("kind", "faint")
        self._why.setWordWrap(True)
        row = QHBoxLayout()
        row.addWidget(self._new)
        row.addWidget(self._more)
        row.addStretch(1)
        row.addWidget(self._retired)
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
        left = QVBoxLayout()
        left.setSpacing(10)
        left.addLayout(row)
        left.addWidget(self._stack, 1)
        left.addWidget(self._why)
        self._fuel = FuelLine("stores", self._context, self)
        left.addWidget(self._fuel)
        left.addWidget(caution)
        kept = settings.load(self._context.program.journal).settings
        self.form = LotForm(kept.currency, self._context.units, self)
        self.form.kept.connect(self._on_kept)
        self.used_by = UsedBy("lotUsedBy", self)
        self.used_by.set_units(self._context.units)
        self.used_by.open_asked.connect(self.open_asked)
        scroll = TallScroll(self)
        scroll.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Preferred)
        scroll.setMaximumWidth(FORM_PX)
        holder = QWidget()
        inside = QVBoxLayout(holder)
        inside.setContentsMargins(0, 0, 8, 0)
        inside.addWidget(self.form)
        inside.addWidget(self.used_by)
        inside.addStretch(1)
        scroll.set_content(holder)
        pellets = QWidget(self)
        both = QHBoxLayout(pellets)
        both.setContentsMargins(0, 0, 0, 0)
        both.setSpacing(20)
        both.addLayout(left, 1)
        both.addWidget(scroll)
        self._panes = QStackedWidget(self)
        self._panes.addWidget(pellets)
        self.wares: dict[WareSort, WarePane] = {}
        for sort in WARES:
            pane = WarePane(sort, self._context, kept.currency, self._stores.keep_ware, self._panes)
            pane.written.connect(self.refresh)
            pane.used_by.open_asked.connect(self.open_asked)
            self.wares[sort] = pane
            self._panes.addWidget(pane)
        self._low = QLabel(self)
        self._low.setObjectName("storesLow")
        self._low.setProperty("kind", "problem")
        self._low.setWordWrap(True)
        self._low.hide()
        whole = QVBoxLayout(self)
        whole.setContentsMargins(16, 10, 16, 12)
        whole.setSpacing(8)
        whole.addLayout(self._build_kinds())
        whole.addWidget(self._low)
        whole.addWidget(self._panes, 1)

    def _build_kinds(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(4)
        self._kinds = QButtonGroup(self)
        for number, (name, words) in enumerate(
            (
                ("pellets", self.tr("Pellets")),
                ("salt", self.tr("Salt")),
                ("wood", self.tr("Wood")),
                ("rub", self.tr("Rub")),
            )
        ):
            button = QPushButton(words, self)
            button.setObjectName(f"stores_{name}")
            button.setCheckable(True)
            button.setProperty("kind", "quiet")
            self._kinds.addButton(button, number)
            row.addWidget(button)
        row.addStretch(1)
        self._kinds.button(0).setChecked(True)
        self._kinds.idClicked.connect(self._panes.setCurrentIndex)
        return row

    # what is shown

    def refresh(self) -> None:
        """Ask what there is, away from the painting thread: it reads every cook."""
        self._stale = False
        if self._asking:
            self._stale = True
            return
        self._asking = True
        self._context.after(
            in_background(self._stores.holding), self._on_holding, self._on_stock_failed
        )

    def _on_holding(self, holding: Holding) -> None:
        self._asking = False
        self._stock = holding.lots
        self.form.set_usual(holding.usual_kg, self._context.units)
        self._usual_kg = holding.usual_kg
        self._show_stock()
        for pane in self.wares.values():
            pane.show_stock(holding.wares)
        names = [line.name for line in holding.lines if line.low]
        self._low.setText(self.tr("Runs low: {names}").format(names=", ".join(names)))
        self._low.setVisible(bool(names))
        if self._stale:
            self.refresh()

    def _on_stock_failed(self, error: BaseException) -> None:
        self._asking = False
        self._context.tell(
            getattr(error, "message", None) or str(error), getattr(error, "cure", "")
        )

    def _show_stock(self) -> None:
        shown = [s for s in self._stock if self._retired.isChecked() or not s.lot.retired]
        chosen = self._selected()
        name = self._select_name or (chosen.lot.name if chosen is not None else "")
        self._select_name = ""
        self._model.show(shown)
        self._retired.setVisible(any(s.lot.retired for s in self._stock))
        self._stack.setCurrentWidget(self.table if shown else self._empty)
        row = self._model.row_of(name)
        if row is not None:
            self.table.selectionModel().select(
                self._model.index(row, 0),
                QItemSelectionModel.SelectionFlag.ClearAndSelect
                | QItemSelectionModel.SelectionFlag.Rows,
            )
        self._on_selection()

    def _selected(self) -> LotStock | None:
        rows = self.table.selectionModel().selectedRows()
        return self._model.stock(rows[0].row()) if rows else None

    def _on_selection(self) -> None:
        stock = self._selected()
        writable = not self._context.program.journal.read_only
        self._new.setEnabled(writable)
        self._more.setEnabled(writable and stock is not None and stock.lot.id != 0)
        self.form.set_writable(writable)
        why = stock.why if stock is not None else ""
        self._why.setText(why[:1].upper() + why[1:])
        self._why.setVisible(bool(why))
        self.used_by.show_uses(stock.used_by if stock is not None else ())
        # What is being typed stays while others write.
        if stock is not None and stock.lot != self.form.lot():
            self.form.show_lot(stock.lot, fixed_name=stock.cooks > 0)

    # what the person does

    def _on_new(self) -> None:
        self.table.clearSelection()
        self.form.show_lot(Lot(0, ""), fixed_name=False)
        self.form.name.edit.setFocus()

    def _on_more(self) -> None:
        stock = self._selected()
        if stock is not None:
            self._context.after(self._stores.buy(stock.lot), self._on_written)

    def _on_kept(self, lot: Lot) -> None:
        same = [s for s in self._stock if s.lot.name == lot.name and s.lot.id not in (0, lot.id)]
        if same:
            self.form.name.refuse(
                self.tr("There is a lot of this name already. Add the season or the shop to it.")
            )
            return
        try:
            future = self._stores.keep(lot)
        except SchemaProblem as problem:
            self.form.refuse(problem)
            return
        self._context.after(future, self._on_written)

    def _on_written(self, lot: Lot) -> None:
        self._select_name = lot.name
        self._context.tell(self.tr("Kept: {name}").format(name=lot.name), kind="done")
        self.refresh()

    # what others did

    def _on_changed(self, change: object) -> None:
        entries = getattr(change, "entries", ())
        if entries and self.isVisible():
            self._show_fuel()
        fuel = getattr(change, "stores", False) or entries
        if fuel:
            self._stale = True
            self._timer.start()

    def _if_shown(self) -> None:
        if self._stale and self.isVisible():
            self.refresh()

    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what was written while another page was shown."""
        super().showEvent(event)
        self._if_shown()
        self._show_fuel()

    def _show_fuel(self) -> None:
        """What is left in the hopper of the cook under way, and for how long."""
        cook_id = self._context.program.under_way()
        if cook_id is None:
            self._fuel.show_cook(None, Schedule())
            return
        plan = plan_of(self._context.live(cook_id).log())
        self._fuel.show_cook(cook_id, plan.schedule, simulated=plan.simulated)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """On a small screen what the form shows too makes room for what is left."""
        super().resizeEvent(event)
        for column, needs in ((PRICE, 1090), (BAG, 1010), (WOOD, 960)):
            self.table.setColumnHidden(column, self.width() < needs)
        for pane in self.wares.values():
            pane.set_narrow(self.width() < 960)

    def _on_units_changed(self) -> None:
        self._model.set_units(self._context.units)
        self.form.set_units(self._context.units)
        self.form.set_usual(self._usual_kg, self._context.units)
        self.used_by.set_units(self._context.units)
        for pane in self.wares.values():
            pane.set_units(self._context.units)
