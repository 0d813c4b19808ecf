"""One kind of the stores: a table of what there is, the form for one of it, and the cooks that used it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future
from typing import Any

from PySide6.QtCore import QItemSelectionModel, Signal, Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.context import DeskContext
from smokejournal.desk.base.error_words import cure_of, why_of
from smokejournal.desk.base.tables import chosen_row
from smokejournal.desk.base.widgets import FILL, new_button, new_column, new_label, new_row
from smokejournal.desk.parts.empty_state import EmptyState
from smokejournal.desk.parts.tall_scroll import TallScroll
from smokejournal.desk.stores.form import StoreForm
from smokejournal.desk.stores.kinds import Kind
from smokejournal.desk.stores.name_table import FORM_PX, NameTable
from smokejournal.desk.stores.stock_model import StockModel
from smokejournal.desk.stores.used_by import UsedBy
from smokejournal.services.stores.stores import Stock


class StorePane(QWidget):
    """Writes with `keep`; `written` once it is on disk."""

    written = Signal()

    def __init__(
        self,
        kind: Kind,
        context: DeskContext,
        make_form: Callable[[QWidget], StoreForm],
        keep: Callable[[Any], Future[Any]],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setObjectName(f"{kind.name}Pane")
        self.kind = kind
        self._context = context
        self._keep = keep
        self._stock: tuple[Stock, ...] = ()
        self._select_name = ""
        left = self._build_left()
        self.form = make_form(self)
        self.form.kept.connect(self._on_kept)
        self.used_by = UsedBy(f"{kind.name}UsedBy", self)
        scroll = TallScroll(self.tr("What is said of it"), self)
        scroll.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Preferred)
        scroll.setMaximumWidth(FORM_PX)
        holder = QWidget()
        new_column(holder, self.form, self.used_by, FILL, margins=(0, 0, 8, 0))
        scroll.set_content(holder)
        new_row(self, (left, 1), scroll, spacing=20, margins=0)
        self.form.show_item(kind.blank)
        self.set_units(context.units)

    def _build_left(self) -> QVBoxLayout:
        kind = self.kind
        self._model = StockModel(kind.columns, self)
        self.table = NameTable(f"{kind.name}Table", kind.title, self._model, self)
        self.table.selectionModel().selectionChanged.connect(self._on_selection)
        empty = EmptyState(f"{kind.name}Empty", self)
        empty.say(kind.nothing, kind.what_next)
        self._stack = QStackedWidget(self)
        self._stack.addWidget(self.table)
        self._stack.addWidget(empty)
        self._new = new_button(self, kind.new, self._on_new, name=f"{kind.name}New")
        row = new_row(None, self._new)
        self.add_buttons(row)
        self._retired = QCheckBox(kind.show_retired, self)
        self._retired.setObjectName(f"{kind.name}Retired")
        self._retired.toggled.connect(self._show)
        self._why = new_label(self, name=f"{kind.name}Why", kind="faint", wraps=True)
        row.addStretch(1)
        row.addWidget(self._retired)
        left = new_column(None, row, (self._stack, 1), self._why, spacing=10)
        self.add_below(left)
        return left

    # for a kind that has more

    def add_buttons(self, row: QHBoxLayout) -> None:
        """Buttons behind that for a new one."""

    def add_below(self, column: QVBoxLayout) -> None:
        """What stands below the table."""

    def problem_of(self, _item: Any) -> str:
        """Why this can't be kept under its name; empty where it can, or where the journal looks itself."""
        return ""

    # what is shown

    def show_stock(self, stock: Sequence[Stock]) -> None:
        """All there is of this kind."""
        self._stock = tuple(stock)
        self._show()

    def set_units(self, units: Units) -> None:
        """In which units masses are shown and read."""
        self._model.set_units(units)
        self.form.set_units(units)
        self.used_by.set_units(units)

    def set_room(self, width_px: int) -> None:
        """On a small screen what the form shows too makes room for what is left."""
        for number, column in enumerate(self.kind.columns):
            self.table.setColumnHidden(number, width_px < column.needs_px)

    @Slot()
    def _show(self) -> None:
        shown = [s for s in self._stock if self._retired.isChecked() or not s.kept.retired]
        chosen = self.selected()
        name = self._select_name or (chosen.kept.name if chosen is not None else "")
        self._select_name = ""
        self._model.show(shown)
        self._retired.setVisible(any(s.kept.retired for s in self._stock))
        self._stack.setCurrentIndex(0 if shown else 1)
        row = self._model.row_of(name)
        if row is not None:
            self.table.selectionModel().select(
                self._model.index(row, 0),
                QItemSelectionModel.SelectionFlag.ClearAndSelect
                | QItemSelectionModel.SelectionFlag.Rows,
            )
        self._on_selection()

    def selected(self) -> Stock | None:
        """What is chosen in the table."""
        row = chosen_row(self.table)
        return None if row is None else self._model.row(row)

    @Slot()
    def _on_selection(self) -> None:
        stock = self.selected()
        writable = not self._context.program.journal.read_only
        self._new.setEnabled(writable)
        self.form.set_writable(writable)
        why = stock.line.why if stock is not None else ""
        self._why.setText(why[:1].upper() + why[1:])
        self._why.setVisible(bool(why))
        self.used_by.show_uses(stock.used_by if stock is not None else ())
        # What is being typed stays while others write.
        if stock is not None and stock.kept != self.form.item():
            self.form.show_item(stock.kept, fixed_name=bool(stock.used_by))

    # what the person does

    @Slot()
    def _on_new(self) -> None:
        self.table.clearSelection()
        self.form.show_item(self.kind.blank)
        self.form.name.edit.setFocus()

    @Slot(object)
    def _on_kept(self, item: Any) -> None:
        problem = self.problem_of(item)
        if problem:
            self.form.name.refuse(problem)
            return
        try:
            future = self._keep(item)
        except SchemaProblem as error:
            self.form.refuse(error)
            return
        self.await_written(future)

    def await_written(self, future: Future[Any]) -> None:
        """Choose what is written and say so, or say what is wrong with it."""
        self._context.after(future, self._on_written, self._on_failed)

    def _on_written(self, item: Any) -> None:
        self._select_name = item.name
        self._context.tell(self.tr("Saved: {name}").format(name=item.name), kind="done")
        self.written.emit()

    def _on_failed(self, error: BaseException) -> None:
        if isinstance(error, SchemaProblem):
            self.form.refuse(error)
            return
        self._context.tell(why_of(error), cure_of(error))
