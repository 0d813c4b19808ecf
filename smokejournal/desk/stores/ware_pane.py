"""Salts, woods or rubs on Stores: a table of one sort, and the form for one of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future

from PySide6.QtCore import QItemSelectionModel, Signal, Slot
from PySide6.QtWidgets import (
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
from smokejournal.cook.stores.wares import Ware
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.parts.empty_state import EmptyState
from smokejournal.desk.parts.tall_scroll import TallScroll
from smokejournal.desk.stores.name_table import FORM_PX, NameTable
from smokejournal.desk.stores.used_by import UsedBy
from smokejournal.desk.stores.ware_form import WareForm, blank
from smokejournal.desk.stores.ware_model import ABOUT, PRICE, WareModel
from smokejournal.services.stores.stores import WareStock


class WarePane(QWidget):
    """Writes with `keep`; `written` once it is on disk."""

    written = Signal()

    def __init__(
        self,
        sort: WareSort,
        context: DeskContext,
        currency: str,
        keep: Callable[[Ware], Future[Ware]],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName(f"{sort}Pane")
        self._sort: WareSort = sort
        self._context = context
        self._keep = keep
        self._stock: tuple[WareStock, ...] = ()
        self._select_name = ""
        self._build_left()
        self.form = WareForm(currency, context.units, self)
        self.form.kept.connect(self._on_kept)
        self.used_by = UsedBy(f"{sort}UsedBy", self)
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
        both = QHBoxLayout(self)
        both.setContentsMargins(0, 0, 0, 0)
        both.setSpacing(20)
        both.addLayout(self._left, 1)
        both.addWidget(scroll)
        self.form.show_ware(blank(sort), fixed_name=False)
        self.set_units(context.units)

    def _build_left(self) -> None:
        sort = self._sort
        self._model = WareModel(self)
        title = {"salt": self.tr("Salts"), "wood": self.tr("Woods"), "rub": self.tr("Rubs")}[sort]
        self.table = NameTable(f"{sort}Table", title, self._model, self)
        self.table.selectionModel().selectionChanged.connect(self._on_selection)
        self._empty = EmptyState(f"{sort}Empty", self)
        self._empty.say(*self._empty_words())
        self._stack = QStackedWidget(self)
        self._stack.addWidget(self.table)
        self._stack.addWidget(self._empty)
        self._new = QPushButton(
            {
                "salt": self.tr("&New salt"),
                "wood": self.tr("&New wood"),
                "rub": self.tr("&New rub"),
            }[sort],
            self,
        )
        self._new.setObjectName(f"{sort}New")
        self._new.clicked.connect(self._on_new)
        self._retired = QCheckBox(self.tr("Show retired"), self)
        self._retired.setObjectName(f"{sort}Retired")
        self._retired.toggled.connect(self._show)
        self._why = QLabel(self)
        self._why.setObjectName(f"{sort}Why")
        self._why.setProperty("kind", "faint")
        self._why.setWordWrap(True)
        row = QHBoxLayout()
        row.addWidget(self._new)
        row.addStretch(1)
        row.addWidget(self._retired)
        self._left = QVBoxLayout()
        self._left.setSpacing(10)
        self._left.addLayout(row)
        self._left.addWidget(self._stack, 1)
        self._left.addWidget(self._why)

    def _empty_words(self) -> tuple[str, str]:
        return {
            "salt": (
                self.tr("No salt yet"),
                self.tr(
                    "Write down the salt you brine with and what a cup of it weighs. Brines then go "
                    "by your own salt, not by a table."
                ),
            ),
            "wood": (
                self.tr("No wood yet"),
                self.tr(
                    "Write down chunks, chips or splits, by mass or by pieces. A cook then says what "
                    "it used, and this page what is left."
                ),
            ),
            "rub": (
                self.tr("No rub yet"),
                self.tr(
                    "Write down what you mixed: its recipe, how much of it there is, and how much of "
                    "it is salt."
                ),
            ),
        }[self._sort]

    # what is shown

    def show_stock(self, stock: Sequence[WareStock]) -> None:
        """Of all wares, those of this sort."""
        self._stock = tuple(s for s in stock if s.ware.sort == self._sort)
        self._show()

    def set_units(self, units: Units) -> None:
        """In which units masses are shown and read."""
        self._model.set_units(units)
        self.form.set_units(units)
        self.used_by.set_units(units)

    def set_narrow(self, narrow: bool) -> None:
        """On a small screen what the form shows too makes room for what is left."""
        for column in (ABOUT, PRICE):
            self.table.setColumnHidden(column, narrow)

    @Slot()
    def _show(self) -> None:
        shown = [s for s in self._stock if self._retired.isChecked() or not s.ware.retired]
        chosen = self._selected()
        name = self._select_name or (chosen.ware.name if chosen is not None else "")
        self._select_name = ""
        self._model.show(shown)
        self._retired.setVisible(any(s.ware.retired for s in self._stock))
        self._stack.setCurrentWidget(self.table if shown else self._empty)
        row = self._model.row_of(name)
        if row is not None:
            self.table.selectionModel().select(
                self._model.index(row, 0),
                QItemSelectionModel.SelectionFlag.ClearAndSelect
                | QItemSelectionModel.SelectionFlag.Rows,
            )
        self._on_selection()

    def _selected(self) -> WareStock | None:
        rows = self.table.selectionModel().selectedRows()
        return self._model.stock(rows[0].row()) if rows else None

    @Slot()
    def _on_selection(self) -> None:
        stock = self._selected()
        writable = not self._context.program.journal.read_only
        self._new.setEnabled(writable)
        self.form.set_writable(writable)
        why = stock.line.why if stock is not None else ""
        self._why.setText(why[:1].upper() + why[1:])
        self._why.setVisible(bool(why))
        self.used_by.show_uses(stock.used_by if stock is not None else ())
        # What is being typed stays while others write.
        if stock is not None and stock.ware != self.form.ware():
            self.form.show_ware(stock.ware, fixed_name=bool(stock.used_by))

    # what the person does

    @Slot()
    def _on_new(self) -> None:
        self.table.clearSelection()
        self.form.show_ware(blank(self._sort), fixed_name=False)
        self.form.name.edit.setFocus()

    @Slot(object)
    def _on_kept(self, ware: Ware) -> None:
        try:
            future = self._keep(ware)
        except SchemaProblem as problem:
            self.form.refuse(problem)
            return
        self._context.after(future, self._on_written, self._on_failed)

    def _on_written(self, ware: Ware) -> None:
        self._select_name = ware.name
        self._context.tell(self.tr("Kept: {name}").format(name=ware.name), kind="done")
        self.written.emit()

    def _on_failed(self, error: BaseException) -> None:
        if isinstance(error, SchemaProblem):
            self.form.refuse(error)
            return
        self._context.tell(
            getattr(error, "message", None) or str(error), getattr(error, "cure", "")
        )
