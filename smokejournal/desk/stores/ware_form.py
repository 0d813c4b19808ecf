"""The form for one salt, wood or rub of the stores."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QLabel,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from smokejournal.cook.log.brine_request import CUP_G, Grain
from smokejournal.cook.log.entries import WareSort
from smokejournal.cook.stores.wares import Ware, WoodForm, form_words, grain_words
from smokejournal.cook.text.problems import SchemaProblem
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import MassField, NumberField, QuantityField, TextField
from smokejournal.desk.parts.unit_fields import ShareField

_GRAINS: tuple[Grain, ...] = ("", "fine", "dense", "flake", "finishing", "coarse")
_FORMS: tuple[WoodForm, ...] = ("", "chunks", "chips", "splits")


class WareForm(QWidget):
    """Shows a ware or a blank one of a sort. `kept(Ware)` when the person wants it written."""

    kept = Signal(object)

    def __init__(self, currency: str, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("wareForm")
        self._currency = currency
        self._ware = Ware(0, "salt", "")
        self._title = QLabel(self)
        self._title.setObjectName("wareTitle")
        self._title.setProperty("kind", "section")
        self._make_fields(units)
        form = self._form = QFormLayout()
        form.setVerticalSpacing(6)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.DontWrapRows)
        for words, widget in (
            (self.tr("N&ame"), cast(QWidget, self.name)),
            (self.tr("&Grain"), self.grain),
            (self.tr("A &cup weighs"), self.cup),
            ("", self.hint),
            (self.tr("&Form"), self.form),
            (self.tr("&Recipe"), self.recipe),
            (self.tr("Sa&lt in it"), self.salt),
            (self.tr("&Bought, in all"), self.mass),
            (self.tr("or p&ieces"), self.count),
            (self.tr("&More now"), self.more),
            (self.tr("&Price of all"), self.price),
            (self.tr("Lo&w below"), self.low),
            (self.tr("Lo&w below, pieces"), self.low_count),
            (self.tr("No&te"), self.note),
        ):
            form.addRow(words, widget)
        form.addRow(self.retired)
        self._problem = QLabel(self)
        self._problem.setObjectName("wareProblem")
        self._problem.setProperty("kind", "problem")
        self._problem.setWordWrap(True)
        self._problem.hide()
        self._keep = QPushButton(self.tr("&Keep"), self)
        self._keep.setObjectName("wareKeep")
        self._keep.setProperty("kind", "ember")
        self._keep.clicked.connect(self._on_keep)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self._title)
        column.addLayout(form)
        column.addWidget(self._problem)
        column.addWidget(self._keep)
        for text in (self.name, self.note):
            text.edit.returnPressed.connect(self._on_keep)
        for number in self._numbers():
            number.edit.returnPressed.connect(self._on_keep)
        self.show_ware(Ware(0, "salt", ""), fixed_name=False)

    def _make_fields(self, units: Units) -> None:
        self.name = TextField("wareName", self.tr("Name"), self)
        self.grain = ChoiceBox(self)
        self.grain.setObjectName("wareGrain")
        self.grain.setAccessibleName(self.tr("Grain of the salt"))
        for grain in _GRAINS:
            self.grain.addItem(grain_words(grain), grain)
        self.form = ChoiceBox(self)
        self.form.setObjectName("wareForm_form")
        self.form.setAccessibleName(self.tr("Form of the wood"))
        for form in _FORMS:
            self.form.addItem(form_words(form), form)
        for box in (self.grain, self.form):
            box.setSizeAdjustPolicy(
                QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
            )
            box.setMinimumContentsLength(16)
        self.cup = NumberField(
            "wareCup",
            self.tr("A cup of it weighs"),
            self,
            low=CUP_G[0],
            high=CUP_G[1],
            hint=self.tr("if weighed"),
        )
        self.cup.unit.setText(self.tr("g"))
        self.cup.unit.show()
        self.hint = QLabel(
            self.tr("Weigh a level US cup (237 mL) of it once: brines go by that then."), self
        )
        self.hint.setProperty("kind", "faint")
        self.hint.setWordWrap(True)
        self.recipe = QPlainTextEdit(self)
        self.recipe.setObjectName("wareRecipe")
        self.recipe.setAccessibleName(self.tr("Recipe"))
        self.recipe.setTabChangesFocus(True)
        self.recipe.setFixedHeight(84)
        self.salt = ShareField(
            "wareSalt", self.tr("Salt in the rub, by mass"), self, low=0.0, high=100.0
        )
        self.mass = MassField(
            "wareMass", self.tr("Bought in all, by mass"), self, units=units, low=0.0, high=5000.0
        )
        self.count = NumberField(
            "wareCount", self.tr("Bought in all, by pieces"), self, low=0.0, high=100_000.0
        )
        self.more = MassField(
            "wareMore", self.tr("More bought now, by mass"), self, units=units, high=5000.0
        )
        self.price = NumberField(
            "warePrice", self.tr("Price of all of it"), self, low=0.0, high=1e9
        )
        self.low = MassField(
            "wareLow", self.tr("Call it low below"), self, units=units, low=0.0, high=5000.0
        )
        self.low_count = NumberField(
            "wareLowCount",
            self.tr("Call it low below, in pieces"),
            self,
            low=0.0,
            high=100_000.0,
            hint=self.tr("one usual use"),
        )
        for field in (self.mass, self.more, self.low):
            field.edit.setFixedWidth(160)
        self.price.unit.setText(self._currency)
        self.price.unit.show()
        self.note = TextField("wareNote", self.tr("Note"), self, longest=500)
        self.retired = QCheckBox(self.tr("Retired: no longer offered"), self)
        self.retired.setObjectName("wareRetired")
        self.count.changed.connect(self._show_measure)
        self.mass.changed.connect(self._show_measure)

    def show_ware(self, ware: Ware, *, fixed_name: bool) -> None:
        """Show this ware. Cooks name it in their logs: once one has, its name stays."""
        self._ware = ware
        self._title.setText(
            ware.name
            if ware.name
            else {
                "salt": self.tr("New salt"),
                "wood": self.tr("New wood"),
                "rub": self.tr("New rub"),
            }[ware.sort]
        )
        self.name.set_text(ware.name)
        self.name.edit.setPlaceholderText(
            {
                "salt": self.tr("coarse, blue tin"),
                "wood": self.tr("cherry, from the garden"),
                "rub": self.tr("pepper and paprika"),
            }[ware.sort]
        )
        self.name.edit.setReadOnly(fixed_name)
        self.name.edit.setToolTip(
            self.tr("Cooks have used this by its name, so it stays.") if fixed_name else ""
        )
        self.grain.setCurrentIndex(max(self.grain.findData(ware.grain), 0))
        self.form.setCurrentIndex(max(self.form.findData(ware.form), 0))
        self.recipe.setPlainText(ware.recipe)
        self.note.set_text(ware.note)
        self.note.edit.setCursorPosition(0)
        for field, value in (
            (self.cup, ware.cup_g),
            (self.salt, ware.salt_pct),
            (self.mass, ware.bought_kg),
            (self.count, ware.bought_count),
            (self.more, None),
            (self.price, ware.price),
            (self.low, None if ware.by_count else ware.low_below),
            (self.low_count, ware.low_below if ware.by_count else None),
        ):
            field.clear()
            field.set_value(value)
        self.price.unit.setText(ware.currency or self._currency)
        self.retired.setChecked(ware.retired)
        for widget, sort in (
            (self.grain, "salt"),
            (self.cup, "salt"),
            (self.hint, "salt"),
            (self.form, "wood"),
            (self.count, "wood"),
            (self.recipe, "rub"),
            (self.salt, "rub"),
        ):
            self._form.setRowVisible(cast(QWidget, widget), ware.sort == sort)
        self._show_measure()
        self._show_problem("")

    def ware(self) -> Ware:
        """The ware that is shown, as it was kept."""
        return self._ware

    def set_units(self, units: Units) -> None:
        """In which units masses are shown and read."""
        for field in (self.mass, self.more, self.low):
            field.set_units(units)
        self.low.edit.setPlaceholderText(self.tr("one usual use"))

    def set_writable(self, writable: bool) -> None:
        """A journal opened for reading only takes nothing."""
        self._keep.setEnabled(writable)

    def refuse(self, problem: SchemaProblem) -> None:
        """Show what the journal would not take, beside its field where it names one."""
        fields = {
            "bought_kg": self.mass,
            "bought_count": self.count,
            "price": self.price,
            "low_below": self.low_count if self._by_count() else self.low,
            "cup_g": self.cup,
            "salt_pct": self.salt,
        }
        if problem.where == "name":
            self.name.refuse(problem.message)
        elif problem.where in fields:
            fields[problem.where].refuse(problem.message)
        else:
            self._show_problem(problem.message)

    def _numbers(self) -> tuple[QuantityField, ...]:
        return (
            self.cup,
            self.salt,
            self.mass,
            self.count,
            self.more,
            self.price,
            self.low,
            self.low_count,
        )

    def _by_count(self) -> bool:
        return self._ware.sort == "wood" and self.count.value() is not None

    def _show_problem(self, message: str) -> None:
        self._problem.setText(message)
        self._problem.setVisible(bool(message))

    @Slot()
    def _show_measure(self) -> None:
        """It runs low, and more of it comes in, in what it is kept by."""
        self._show_problem("")
        by_mass = not self._by_count()
        self._form.setRowVisible(self.low, by_mass)
        self._form.setRowVisible(self.low_count, not by_mass)
        self._form.setRowVisible(self.more, by_mass and self._ware.bought_kg is not None)

    @Slot()
    def _on_keep(self) -> None:
        checks = [field.check() for field in self._numbers()]
        if not self.name.text():
            self.name.refuse(self.tr("Give it a name, as you would call it."))
            return
        if not all(checks) or not self._keep.isEnabled():
            return
        mass_kg = self.mass.value()
        count = self.count.value() if self._by_count() else None
        if mass_kg is not None and count is not None:
            self._show_problem(self.tr("Give the mass or the pieces, and leave the other empty."))
            return
        if mass_kg is not None:
            mass_kg += self.more.value() or 0.0
        price = self.price.value()
        self.kept.emit(
            replace(
                self._ware,
                name=self.name.text(),
                bought_kg=mass_kg,
                bought_count=count,
                price=price,
                currency=(self._ware.currency or self._currency) if price is not None else "",
                low_below=(self.low if count is None else self.low_count).value(),
                grain=cast(Grain, self.grain.currentData()),
                cup_g=self.cup.value(),
                form=cast(WoodForm, self.form.currentData()),
                recipe=self.recipe.toPlainText().strip(),
                salt_pct=self.salt.value(),
                note=self.note.text(),
                retired=self.retired.isChecked(),
            )
        )


def blank(sort: WareSort) -> Ware:
    """A ware of this sort that nothing is said of yet."""
    return Ware(0, sort, "")
