"""The form for one salt, wood or rub of the stores."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QPlainTextEdit, QWidget

from smokejournal.cook.log.brine_request import CUP_G, Grain
from smokejournal.cook.stores.wares import Ware, WoodForm, form_words, grain_words
from smokejournal.cook.text.quantities import Units
from smokejournal.desk.base.widgets import new_label
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import QuantityField
from smokejournal.desk.stores.form import StoreForm

_GRAINS: tuple[Grain, ...] = ("", "fine", "dense", "flake", "finishing", "coarse")
_FORMS: tuple[WoodForm, ...] = ("", "chunks", "chips", "splits")


class WareForm(StoreForm):
    """See StoreForm. Wood is kept by mass or by pieces, the others by mass."""

    def __init__(self, currency: str, units: Units, parent: QWidget | None = None) -> None:
        super().__init__("ware", currency, units, parent)
        self.name = self.add_text("name", self.tr("N&ame"), "Name", self.tr("Name"))
        of_salt, of_wood, of_rub = self._add_salt(), self._add_wood(), self._add_rub()
        label = self.tr("Bought in all, by mass")
        self.mass = self.add_mass("bought_kg", self.tr("&Bought, in all"), "Mass", label, low=0.0)
        label = self.tr("Bought in all, by pieces")
        words = self.tr("or p&ieces")
        self.count = self.add_number("bought_count", words, "Count", label, low=0.0, high=100_000.0)
        label = self.tr("More bought now, by mass")
        self.more = self.add_mass("more", self.tr("&More now"), "More", label)
        words, label = self.tr("&Price of all"), self.tr("Price of all of it")
        self.price = self.add_number("price", words, "Price", label, currency, low=0.0, high=1e9)
        words, usual = self.tr("Lo&w below"), self.tr("one usual use")
        label = self.tr("Call it low below")
        self.low = self.add_mass("low_below", words, "Low", label, low=0.0, hint=usual)
        words, label = self.tr("Lo&w below, pieces"), self.tr("Call it low below, in pieces")
        self.low_count = self.add_number(
            "low_count", words, "LowCount", label, low=0.0, high=100_000.0, hint=usual
        )
        self.end(self.tr("Retired: no longer offered"))
        self._own = {"salt": of_salt, "wood": (*of_wood, self.count), "rub": of_rub}
        self.count.changed.connect(self._show_measure)
        self.mass.changed.connect(self._show_measure)
        # Whatever is shown later, it is as wide as a salt: the table beside it keeps its place.
        self.show_item(Ware(0, "salt", ""))

    def _add_salt(self) -> tuple[QWidget, ...]:
        label = self.tr("Grain of the salt")
        grains = {grain: grain_words(grain) for grain in _GRAINS}
        grain = self._add_choice("grain", self.tr("&Grain"), "Grain", label, grains)
        words, label = self.tr("A &cup weighs"), self.tr("A cup of it weighs")
        (low, high), hint = CUP_G, self.tr("if weighed")
        self.cup = self.add_number(
            "cup_g", words, "Cup", label, self.tr("g"), low=low, high=high, hint=hint
        )
        why = new_label(
            self,
            self.tr("Weigh a level US cup (237 mL) of it once. Brines then go by that."),
            kind="faint",
            wraps=True,
        )
        self._form.addRow("", why)
        return grain, self.cup, why

    def _add_wood(self) -> tuple[QWidget, ...]:
        label = self.tr("Form of the wood")
        forms = {form: form_words(form) for form in _FORMS}
        return (self._add_choice("form", self.tr("&Form"), "Form_form", label, forms),)

    def _add_rub(self) -> tuple[QWidget, ...]:
        recipe = self.add("recipe", self.tr("&Recipe"), QPlainTextEdit(self))
        recipe.setObjectName("wareRecipe")
        recipe.setAccessibleName(self.tr("Recipe"))
        recipe.setTabChangesFocus(True)
        recipe.setFixedHeight(84)
        words, label = self.tr("Sa&lt in it"), self.tr("Salt in the rub, by mass")
        return recipe, self.add_number("salt_pct", words, "Salt", label, "%", low=0.0, high=100.0)

    def _add_choice(
        self, key: str, words: str, name: str, label: str, choices: Mapping[Any, str]
    ) -> ChoiceBox:
        offered = [(choice_words, choice) for choice, choice_words in choices.items()]
        box = ChoiceBox(self, name=f"ware{name}", hears=label, letters=16, choices=offered)
        return self.add(key, words, box)

    def title(self, item: Ware) -> str:
        new = {
            "salt": self.tr("New salt"),
            "wood": self.tr("New wood"),
            "rub": self.tr("New rub"),
        }
        return item.name or new[item.sort]

    def values(self, item: Ware) -> dict[str, Any]:
        low = {"low_below": None, "low_count": item.low_below} if item.by_count else {}
        return super().values(item) | low

    def typed(self) -> Ware:
        ware: Ware = super().typed()
        ware = replace(ware, low_below=self._low().value())
        if ware.bought_kg is None:
            return ware
        return replace(ware, bought_kg=ware.bought_kg + (self.more.value() or 0.0))

    def clash(self) -> str:
        if self.mass.value() is None or self.count.value() is None:
            return ""
        return self.tr("Give the mass or the pieces, and leave the other empty.")

    def show_item(self, item: Ware, *, fixed_name: bool = False) -> None:
        super().show_item(item, fixed_name=fixed_name)
        hints = {
            "salt": self.tr("coarse, blue tin"),
            "wood": self.tr("cherry, from the garden"),
            "rub": self.tr("pepper and paprika"),
        }
        self.name.edit.setPlaceholderText(hints[item.sort])
        for sort, rows in self._own.items():
            for row in rows:
                self._form.setRowVisible(row, sort == item.sort)
        self._show_measure()

    def field_of(self, key: str) -> QWidget | None:
        return self._low() if key == "low_below" else super().field_of(key)

    def _low(self) -> QuantityField:
        return self.low if self.count.value() is None else self.low_count

    @Slot()
    def _show_measure(self) -> None:
        """It runs low, and more of it comes in, in what it is kept by."""
        self.show_problem("")
        low = self._low()
        for field in (self.low, self.low_count):
            self._form.setRowVisible(field, field is low)
        by_mass = low is self.low
        self._form.setRowVisible(self.more, by_mass and self._item.bought_kg is not None)
