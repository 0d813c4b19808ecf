"""What is cooked, and what is done to it before the fire."""

from __future__ import annotations

from dataclasses import replace
from typing import cast, get_args

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from smokejournal.cook.log.entries import (
    FoodClass,
    ItemAdded,
    PrepSort,
    PrepStep,
    item_key,
    step_key,
)
from smokejournal.cook.plan.food_guess import food_of
from smokejournal.cook.plan.plan import Plan
from smokejournal.cook.plan.words import food_words, item_words, prep_sort_words, prep_words
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.widgets import new_button, say
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import (
    CountField,
    DurationField,
    LengthField,
    MassField,
    NumberField,
    QuantityField,
    TextField,
)
from smokejournal.desk.parts.rows import add_row, add_rows
from smokejournal.desk.plan.dish_fields import DishFields
from smokejournal.desk.plan.list_editor import ListLine, RecordsEditor


class ItemsEditor(RecordsEditor):
    """The pieces on the grate. Keys are ids of their entries."""

    def __init__(self, parent: QWidget | None = None, units: Units = METRIC) -> None:
        self._items: dict[int, ItemAdded] = {}
        self._item = ItemAdded("", "red_meat")
        self._plan = Plan()
        self.currency = ""
        super().__init__("items", units, parent)
        self.set_title(self.tr("Food"))
        self.empty.setText(self.tr("Nothing yet. Add what you will cook."))

    def show_plan(self, plan: Plan) -> None:
        """Show what the log has."""
        self._items, self._plan = dict(plan.items), plan
        self.show_lines([ListLine(key, item_words(item, self._units)) for key, item in plan.items])

    def _build_form(self, grid: QGridLayout) -> None:
        self.what = TextField(
            "itemName", self.tr("What"), self, required=True, hint=self.tr("pork shoulder")
        )
        self.food = ChoiceBox(self, name="itemFood", hears=self.tr("Kind of food"), letters=16)
        self.food.currentTextChanged.connect(self.food.setToolTip)
        for food in get_args(FoodClass):
            self.food.addItem(food_words(food), food)
        # The name says it, until the person does.
        self._guesses = False
        self.what.edit.textEdited.connect(self._guess)
        self.food.activated.connect(self._on_food)
        self.mass = MassField("itemMass", self.tr("Mass of all pieces"), self, units=self._units)
        self.thickness = LengthField(
            "itemThickness", self.tr("Thickness"), self, units=self._units, high=1.0
        )
        self.pieces = CountField("itemPieces", self.tr("Pieces"), self, low=1, high=1000)
        self.label = TextField(
            "itemLabel", self.tr("As labeled"), self, hint=self.tr("what the label says")
        )
        self.bought_at = TextField("itemBoughtAt", self.tr("Bought at"), self)
        self.price = NumberField("itemPrice", self.tr("Price"), self, low=0.0, high=1e6)
        add_rows(
            grid,
            (self.tr("What"), self.what),
            (self.tr("Kind"), self.food),
            (self.tr("Mass in all"), self.mass),
            (self.tr("Thickness"), self.thickness),
            (self.tr("Pieces"), self.pieces),
            (self.tr("As labeled"), self.label),
            (self.tr("Bought at"), self.bought_at),
            (self.tr("Price"), self.price),
        )
        self.dish = DishFields(self, self._units)
        self.dish.toggled.connect(self.form_changed)
        grid.addWidget(self.dish, 8, 0, 1, 2)

    def _fill(self, key: object) -> None:
        known = self._items.get(cast(int, key))
        # What has no field here is kept as it was said.
        self._item = (
            ItemAdded("", "red_meat")
            if known is None
            else replace(known, key=item_key(cast(int, key), known))
        )
        item = self._item
        fresh = self._guesses = key is None
        self.what.set_text(item.name)
        self.food.setCurrentIndex(self.food.findData(item.food))
        for field, value in (
            (self.mass, item.mass_kg),
            (self.thickness, item.thickness_m),
            (self.pieces, float(item.pieces)),
            (self.price, item.price),
        ):
            field.clear()
            field.set_units(self._units)
            field.set_value(value)
        self.label.set_text(item.label)
        self.bought_at.set_text(item.bought_at)
        currency = self.currency if fresh or not item.currency else item.currency
        self._currency = currency
        say(self.price.unit, currency)
        self.dish.show_item(item, self._plan, self._units)

    @Slot(str)
    def _guess(self, name: str) -> None:
        food = food_of(name) if self._guesses else None
        if food is not None:
            self.food.setCurrentIndex(self.food.findData(food))

    @Slot()
    def _on_food(self) -> None:
        self._guesses = False

    def _read(self) -> object | None:
        fields: tuple[TextField | QuantityField, ...] = (
            self.what,
            self.mass,
            self.thickness,
            self.pieces,
            self.price,
            *self.dish.fields,
        )
        bad = [field for field in fields if not field.check()]
        if bad:
            self.dish.open.setChecked(self.dish.open.isChecked() or bad[0] in self.dish.fields)
            bad[0].setFocus()
            return None
        price = self.price.value()
        return replace(
            self.dish.said_of(self._item),
            name=self.what.text(),
            food=cast(FoodClass, self.food.currentData()),
            label=self.label.text(),
            mass_kg=self.mass.value(),
            thickness_m=self.thickness.value(),
            pieces=int(self.pieces.value() or 1),
            bought_at=self.bought_at.text(),
            price=price,
            currency=self._currency if price is not None else "",
        )

    def close_untouched(self) -> None:
        """Put away a form for something new in which nothing was typed."""
        if self.is_open and self._editing is None and not self.what.text() and not self.mass.text():
            self.close_form()

    def _first(self) -> QWidget:
        return self.what.edit


class PrepEditor(RecordsEditor):
    """Steps before the fire. Keys are ids of their entries.

    `brine_asked(key)`: work out a brine; the chosen one again, or another one where `key` is None.
    """

    brine_asked = Signal(object)

    def __init__(self, parent: QWidget | None = None, units: Units = METRIC) -> None:
        self._steps: dict[int, PrepStep] = {}
        self._step = PrepStep("")
        self._names: list[str] = []
        super().__init__("prep", units, parent)
        self.brine = new_button(self, "", self._on_brine, name="prepBrine")
        self.list.itemSelectionChanged.connect(self._show_brine)
        self.form_changed.connect(self._show_brine)
        self._show_brine()
        column = self.layout()
        assert isinstance(column, QVBoxLayout)
        column.insertWidget(column.count() - 1, self.brine, 0, Qt.AlignmentFlag.AlignLeft)
        self.set_title(self.tr("Before the fire"))
        self.empty.setText(self.tr("No steps. Add brining, drying, a rub, or what else you do."))

    def show_plan(self, plan: Plan) -> None:
        """Show what the log has."""
        self._steps = dict(plan.prep)
        self._names = [item.name for _, item in plan.items]
        self.show_lines([ListLine(key, prep_words(step)) for key, step in plan.prep])
        self._show_brine()

    def _worked_out(self) -> int | None:
        """The chosen step, where its brine was worked out."""
        key = self.chosen() if self.list.selectedItems() else None
        step = self._steps.get(key) if isinstance(key, int) else None
        return cast(int, key) if step is not None and step.brine is not None else None

    @Slot()
    def _show_brine(self) -> None:
        again = self._worked_out() is not None
        self.brine.setText(
            self.tr("Open this brine or cure") if again else self.tr("Work out a brine or cure")
        )
        self.brine.setEnabled(not self.is_open)

    @Slot()
    def _on_brine(self) -> None:
        self.brine_asked.emit(self._worked_out())

    def _build_form(self, grid: QGridLayout) -> None:
        self.step = TextField(
            "prepStep", self.tr("Step"), self, required=True, hint=self.tr("dry brine")
        )
        self.lasts = DurationField(
            "prepTime", self.tr("Takes"), self, units=self._units, high=60 * 86400.0
        )
        self.text = TextField(
            "prepText", self.tr("How"), self, hint=self.tr("salt, sugar, how cold"), longest=1000
        )
        self.sort = ChoiceBox(self, name="prepSort", hears=self.tr("What sort of step"))
        for sort in get_args(PrepSort):
            self.sort.addItem(prep_sort_words(sort), sort)
        self.item = ChoiceBox(self, name="prepItem", hears=self.tr("For which food"), letters=12)
        self.item.currentTextChanged.connect(self.item.setToolTip)
        self.longest = DurationField(
            "prepLongest", self.tr("At most"), self, units=self._units, high=60 * 86400.0
        )
        add_row(grid, 0, self.tr("Step"), self.step)
        add_row(grid, 1, self.tr("Sort"), self.sort)
        add_row(grid, 2, self.tr("For"), self.item)
        add_row(grid, 3, self.tr("Takes"), self.lasts)
        add_row(grid, 4, self.tr("At most"), self.longest)
        add_row(grid, 5, self.tr("How"), self.text)

    def _fill(self, key: object) -> None:
        known = self._steps.get(cast(int, key))
        # What has no field here is kept as it was said.
        self._step = (
            PrepStep("") if known is None else replace(known, key=step_key(cast(int, key), known))
        )
        step = self._step
        self.step.set_text(step.step)
        self.text.set_text(step.text)
        self.sort.setCurrentIndex(max(0, self.sort.findData(step.sort)))
        names = dict.fromkeys([*self._names, *([step.item] if step.item else [])])
        everything = (self.tr("all of it"), "")
        self.item.offer([everything, *((name, name) for name in names)], step.item)
        self.item.setToolTip(self.item.currentText())
        for field, value in ((self.lasts, step.duration_s), (self.longest, step.longest_s)):
            field.clear()
            field.set_value(value)

    def _read(self) -> object | None:
        bad = [field for field in (self.step, self.lasts, self.longest) if not field.check()]
        if bad:
            bad[0].setFocus()
            return None
        return replace(
            self._step,
            step=self.step.text(),
            text=self.text.text(),
            duration_s=self.lasts.value(),
            longest_s=self.longest.value(),
            sort=cast(PrepSort, self.sort.currentData()),
            item=str(self.item.currentData() or ""),
        )

    def _first(self) -> QWidget:
        return self.step.edit
