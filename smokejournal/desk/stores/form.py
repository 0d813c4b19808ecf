"""The form for one thing of the stores: what a lot's and a ware's have in common."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, TypeVar

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QPlainTextEdit,
    QWidget,
)

from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.widgets import new_button, new_column, new_label, say
from smokejournal.desk.parts.fields import MassField, NumberField, QuantityField, TextField
from smokejournal.desk.parts.unit_fields import ShareField

AnyField = TypeVar("AnyField", bound=QWidget)


class StoreForm(QWidget):
    """Shows a lot or a ware, or a blank one. `kept(Lot or Ware)` when the person wants it written.

    A subclass lists its fields, each by its key: the name that it has in a Lot or a Ware. Then it says
    `end`.
    """

    kept = Signal(object)
    name: TextField
    price: QuantityField

    def __init__(
        self, kind: str, currency: str, units: Units, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName(f"{kind}Form")
        self._kind = kind
        self._currency = currency
        self._units = units
        self._item: Any = None
        self._fields: dict[str, QWidget] = {}
        self._title = new_label(self, name=f"{kind}Title", kind="section")
        self._form = QFormLayout()
        self._form.setVerticalSpacing(6)
        self._form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.DontWrapRows)

    # for subclasses

    def add(self, key: str, words: str, field: AnyField) -> AnyField:
        """A row with `words` before its field."""
        self._fields[key] = field
        self._form.addRow(words, field)
        if isinstance(field, TextField | QuantityField):
            field.edit.returnPressed.connect(self._on_keep)
        return field

    def add_text(self, key: str, words: str, name: str, label: str, **more: Any) -> TextField:
        """A row for a line of text; `label` is what a screen reader says."""
        return self.add(key, words, TextField(f"{self._kind}{name}", label, self, **more))

    def add_mass(self, key: str, words: str, name: str, label: str, **more: Any) -> MassField:
        """A row for a mass."""
        named = f"{self._kind}{name}"
        field = MassField(named, label, self, units=self._units, high=5000.0, **more)
        field.edit.setFixedWidth(160)
        return self.add(key, words, field)

    def add_number(
        self, key: str, words: str, name: str, label: str, unit: str | None = None, **more: Any
    ) -> NumberField:
        """A row for a number: a share of something, where its unit is a percentage."""
        make = ShareField if unit == "%" else NumberField
        field = make(f"{self._kind}{name}", label, self, **more)
        if unit is not None:
            field.unit.setText(unit)
            field.unit.show()
        return self.add(key, words, field)

    def end(self, retired: str) -> None:
        """What every form ends with."""
        kind = self._kind
        words = self.tr("No&te")
        self.note = self.add_text("note", words, "Note", self.tr("Note"), longest=500)
        self.retired = QCheckBox(retired, self)
        self.retired.setObjectName(f"{kind}Retired")
        self._fields["retired"] = self.retired
        self._form.addRow(self.retired)
        self._problem = new_label(
            self, name=f"{kind}Problem", kind="problem", wraps=True, hidden=True
        )
        self._keep = new_button(
            self, self.tr("&Save"), self._on_keep, name=f"{kind}Keep", kind="ember"
        )
        self._column = new_column(
            self, self._title, self._form, self._problem, self._keep, spacing=8, margins=0
        )

    def title(self, item: Any) -> str:
        """What stands above the fields."""
        raise NotImplementedError

    def nameless(self) -> str:
        """What to do where there is no name."""
        return self.tr("Give it a name, as you would call it.")

    def name_stays(self) -> str:
        """Why a name can't be altered."""
        return self.tr("Cooks have used this by its name, so it stays.")

    def values(self, item: Any) -> dict[str, Any]:
        """What the fields show of it; those of which it knows nothing are empty."""
        return {key: getattr(item, key, None) for key in self._fields}

    def typed(self) -> Any:
        """The lot or ware as it is typed, as far as that can be read."""
        known = {key: _typed(self._fields[key]) for key in self._fields if hasattr(self._item, key)}
        paid = known["price"] is not None
        currency = (self._item.currency or self._currency) if paid else ""
        return replace(self._item, **known, currency=currency)

    def clash(self) -> str:
        """Why what is typed does not go together; empty where it does."""
        return ""

    # for the pane

    def show_item(self, item: Any, *, fixed_name: bool = False) -> None:
        """Show this lot or ware. Cooks name it in their logs: once one has, its name stays."""
        self._item = item
        self._title.setText(self.title(item))
        for key, value in self.values(item).items():
            _show(self._fields[key], value)
        self.name.edit.setReadOnly(fixed_name)
        self.name.edit.setToolTip(self.name_stays() if fixed_name else "")
        self.note.edit.setCursorPosition(0)
        self.price.unit.setText(item.currency or self._currency)
        self.show_problem("")

    def item(self) -> Any:
        """The lot or ware that is shown, as it was kept."""
        return self._item

    def set_units(self, units: Units) -> None:
        """In which units masses are shown and read."""
        self._units = units
        for field in self._fields.values():
            if isinstance(field, MassField):
                field.set_units(units)

    def set_writable(self, writable: bool) -> None:
        """A journal opened for reading only takes nothing."""
        self._keep.setEnabled(writable)

    def refuse(self, problem: SchemaProblem) -> None:
        """Show what the journal would not take, beside its field where it names one."""
        field = self.field_of(problem.where)
        if isinstance(field, TextField | QuantityField):
            field.refuse(problem.message)
        else:
            self.show_problem(problem.message)

    def field_of(self, key: str) -> QWidget | None:
        """Where the person typed what a Lot or a Ware has as `key`."""
        return self._fields.get(key)

    def show_problem(self, message: str) -> None:
        """Show what is wrong with all of it; nothing where that is empty."""
        say(self._problem, message)

    def numbers(self) -> list[QuantityField]:
        """The fields of quantities."""
        return [field for field in self._fields.values() if isinstance(field, QuantityField)]

    @Slot()
    def _on_keep(self) -> None:
        checks = [field.check() for field in self.numbers()]
        if not self.name.text():
            self.name.refuse(self.nameless())
        elif all(checks) and self._keep.isEnabled():
            clash = self.clash()
            if clash:
                self.show_problem(clash)
            else:
                self.kept.emit(self.typed())


def _show(field: QWidget, value: Any) -> None:
    if isinstance(field, TextField):
        field.set_text(value)
    elif isinstance(field, QuantityField):
        field.clear()
        field.set_value(value)
    elif isinstance(field, QComboBox):
        field.setCurrentIndex(max(field.findData(value), 0))
    elif isinstance(field, QPlainTextEdit):
        field.setPlainText(value)
    elif isinstance(field, QCheckBox):
        field.setChecked(value)


def _typed(field: QWidget) -> Any:
    if isinstance(field, TextField):
        return field.text()
    if isinstance(field, QuantityField):
        return field.value()
    if isinstance(field, QComboBox):
        return field.currentData()
    if isinstance(field, QPlainTextEdit):
        return field.toPlainText().strip()
    assert isinstance(field, QCheckBox)
    return field.isChecked()
