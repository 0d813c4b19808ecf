"""What is asked of a brine or a cure: the line, the food it is for, how it is cured."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast, get_args

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import (
    QCheckBox,
    QGridLayout,
    QLabel,
    QWidget,
)

from smokejournal.cook.brine.cure import method_words, product_words
from smokejournal.cook.brine.words import LONGEST_S, flesh_of, flesh_words
from smokejournal.cook.log.brine_request import (
    BrineAsked,
    CuredProduct,
    CureMethod,
    Flesh,
    Grain,
    ScaleBy,
    Shape,
)
from smokejournal.cook.log.entries import ItemAdded
from smokejournal.cook.stores.wares import Ware, kind_words
from smokejournal.cook.text.quantities import METRIC, Units
from smokejournal.desk.base.widgets import new_column, new_label
from smokejournal.desk.brine.fields import RecipeField
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.desk.parts.fields import (
    DurationField,
    LengthField,
    MassField,
    NumberField,
    QuantityField,
)
from smokejournal.desk.parts.rows import add_row, add_rows, new_grid
from smokejournal.desk.parts.tall_scroll import TallScroll
from smokejournal.desk.parts.unit_fields import ShareField, VolumeField
from smokejournal.science.salt.cure import (
    LEAST_NITRITE_PCT,
    MOST_NITRITE_PCT,
    Method,
    Product,
    methods_for,
)

LABEL_WIDTH = 104


class BrineForm(TallScroll):
    """`changed` with every change by hand."""

    changed = Signal()

    def __init__(
        self,
        items: Sequence[ItemAdded],
        units: Units = METRIC,
        parent: QWidget | None = None,
        salts: Sequence[Ware] = (),
    ) -> None:
        super().__init__(self.tr("What is weighed and asked for"), parent)
        self.setObjectName("brineForm")
        # By index: the grain's own keys are text.
        self._salts = tuple(salts)
        self._items = tuple(items)
        self._units = units
        self._inside = QWidget(self)
        column = new_column(self._inside, spacing=8, margins=(0, 0, 12, 0))
        self.line = RecipeField("brineLine", self.tr("What goes in"), self._inside)
        label = QLabel(self.tr("What goes in, on one line"), self._inside)
        label.setBuddy(self.line.edit)
        column.addWidget(label)
        column.addWidget(self.line)
        column.addLayout(self._build_line())
        column.addWidget(new_label(self._inside, self.tr("For the food"), kind="section"))
        column.addLayout(self._build_food())
        column.addWidget(new_label(self._inside, self.tr("Cure"), kind="section"))
        column.addLayout(self._build_cure())
        column.addStretch(1)
        self.set_content(self._inside)
        self._connect()
        self._show_parts()

    # -- for the dialog -----------------------------------------------------------------------

    def asked(self) -> BrineAsked:
        """What is typed and chosen, as far as it can be read."""
        by = cast(ScaleBy, self.scale_by.currentData())
        scale = self._scale_field(by)
        product = cast(CuredProduct, self.product.currentData())
        shape = cast(Shape, self.shape.currentData())
        salt = self._salt()
        return BrineAsked(
            line=self.line.text(),
            grain=salt.grain if salt is not None else cast(Grain, self.grain.currentData()),
            salt=salt.name if salt is not None else "",
            cup_g=salt.cup_g if salt is not None else None,
            flesh=cast(Flesh, self.flesh.currentData()),
            food_kg=self.food.value(),
            thickness_m=self.thickness.value(),
            shape=shape,
            one_face=shape == "slab" and self.one_face.isChecked(),
            soak_s=self.soak.value(),
            target_pct=self.target.value(),
            finished_pct=self.finished.value(),
            scale_by=by if scale is not None and scale.value() is not None else "",
            scale_to=scale.value() if scale is not None else None,
            product=product,
            method=cast(CureMethod, self.method.currentData() or "") if product else "",
            nitrite_pct=self.nitrite.value() if product else None,
            pickup_pct=self.pickup.value() if self._takes_pickup() else None,
            rind_on=product == "bacon" and self.rind.isChecked(),
        )

    def show_asked(self, asked: BrineAsked) -> None:
        """Fill the form with what was asked before."""
        self.line.set_text(asked.line)
        self.whose.setCurrentIndex(self.whose.findData(-1))
        for box, data in (
            (self.grain, self._grain_data(asked)),
            (self.flesh, asked.flesh),
            (self.shape, asked.shape),
            (self.scale_by, asked.scale_by),
            (self.product, asked.product),
        ):
            box.setCurrentIndex(max(box.findData(data), 0))
        self._offer_methods(asked.method)
        for field, value in (
            (self.food, asked.food_kg),
            (self.thickness, asked.thickness_m),
            (self.soak, asked.soak_s),
            (self.target, asked.target_pct),
            (self.finished, asked.finished_pct),
            (self.nitrite, asked.nitrite_pct),
            (self.pickup, asked.pickup_pct),
        ):
            field.clear()
            field.set_value(value)
        scale = self._scale_field(asked.scale_by)
        if scale is not None:
            scale.set_value(asked.scale_to)
        self.one_face.setChecked(asked.one_face)
        self.rind.setChecked(asked.rind_on)
        self._show_parts()

    def _salt(self) -> Ware | None:
        """The salt of the stores that is chosen, if one is."""
        chosen = self.grain.currentData()
        return self._salts[chosen] if isinstance(chosen, int) else None

    def _grain_data(self, asked: BrineAsked) -> object:
        """What to choose for a brine: its salt as it was weighed then, even if it is gone or changed."""
        if not asked.salt:
            return asked.grain
        for number, salt in enumerate(self._salts):
            if (salt.name, salt.cup_g, salt.grain) == (asked.salt, asked.cup_g, asked.grain):
                return number
        then = Ware(0, "salt", asked.salt, cup_g=asked.cup_g, grain=asked.grain)
        self._salts = (*self._salts, then)
        self.grain.addItem(self._salt_words(then), len(self._salts) - 1)
        return len(self._salts) - 1

    def _salt_words(self, salt: Ware) -> str:
        about = kind_words(salt)
        return f"{salt.name} ({about})" if about else salt.name

    def check(self) -> bool:
        """True where all that is shown can be read; else shows what can't and goes there."""
        for field in self._inside.findChildren(QuantityField):
            if not field.isHidden() and not field.check():
                field.setFocus()
                self.ensureWidgetVisible(field)
                return False
        return True

    # -- building -----------------------------------------------------------------------------

    def _box(self, name: str, label: str, choices: Sequence[tuple[str, object]]) -> ChoiceBox:
        return ChoiceBox(self._inside, name=name, hears=label, letters=22, choices=choices)

    def _build_line(self) -> QGridLayout:
        grid = new_grid(LABEL_WIDTH)
        self.grain = self._box(
            "brineGrain",
            self.tr("Grain of the salt"),
            (
                (self.tr("as the line says"), ""),
                (self.tr("fine: table, pickling, fine sea"), "fine"),
                (self.tr("coarse, dense rolled grains"), "dense"),
                (self.tr("coarse, light hollow flakes"), "flake"),
                (self.tr("large thin flakes"), "finishing"),
                *((self._salt_words(salt), number) for number, salt in enumerate(self._salts)),
            ),
        )
        self.grain.setToolTip(self.tr("Your own salts are at the end, as on Stores."))
        self.scale_by = self._box(
            "brineScaleBy",
            self.tr("How much to make"),
            (
                (self.tr("as much as the line"), ""),
                (self.tr("the line, times"), "times"),
                (self.tr("so much in all"), "mass"),
                (self.tr("a container with the food in it"), "vessel"),
            ),
        )
        self.times = NumberField(
            "brineTimes", self.tr("Times"), self._inside, low=0.01, high=1000.0, hint="1.5"
        )
        self.in_all = MassField("brineInAll", self.tr("In all"), self._inside, units=self._units)
        self.vessel = VolumeField("brineVessel", self.tr("Vessel"), self._inside, units=self._units)
        add_row(grid, 0, self.tr("Salt"), self.grain)
        add_row(grid, 1, self.tr("Make"), self.scale_by)
        for field in (self.times, self.in_all, self.vessel):
            grid.addWidget(field, 2, 1)
        return grid

    def _build_food(self) -> QGridLayout:
        grid = new_grid(LABEL_WIDTH)
        self.whose = self._box(
            "brineItem",
            self.tr("Which food of the plan"),
            [
                *((item.name, number) for number, item in enumerate(self._items)),
                (self.tr("something else"), -1),
            ],
        )
        self.flesh = self._box(
            "brineFlesh",
            self.tr("Kind of flesh"),
            [(flesh_words(flesh), flesh) for flesh in get_args(Flesh)],
        )
        self.food = MassField(
            "brineFood", self.tr("Mass of the food"), self._inside, units=self._units
        )
        self.shape = self._box(
            "brineShape",
            self.tr("Shape"),
            (
                (self.tr("flat: a fillet, belly, chop"), "slab"),
                (self.tr("long and round: a loin"), "cylinder"),
                (self.tr("as wide as it is high"), "sphere"),
            ),
        )
        self.thickness = LengthField(
            "brineThickness",
            self.tr("Thickness"),
            self._inside,
            units=self._units,
            low=0.001,
            high=0.5,
        )
        self.one_face = QCheckBox(self.tr("Salt gets in by one side only"), self._inside)
        self.one_face.setObjectName("brineOneFace")
        self.one_face.setToolTip(self.tr("As with the skin or the rind on."))
        self.soak = DurationField(
            "brineSoak",
            self.tr("Time in it"),
            self._inside,
            units=self._units,
            high=LONGEST_S,
            hint=self.tr("such as 12 h"),
        )
        self.target = ShareField(
            "brineTarget",
            self.tr("Wanted salt in the food"),
            self._inside,
            low=0.1,
            high=10.0,
            hint=self.tr("such as 1.5"),
        )
        self.finished = ShareField(
            "brineFinished",
            self.tr("Finished mass, of the raw mass"),
            self._inside,
            low=10.0,
            high=130.0,
            hint=self.tr("such as 85"),
        )
        add_rows(
            grid,
            (self.tr("Which"), self.whose),
            (self.tr("Kind"), self.flesh),
            (self.tr("Mass"), self.food),
            (self.tr("Shape"), self.shape),
            (self.tr("Thickness"), self.thickness),
            ("", self.one_face),
            (self.tr("Time in it"), self.soak),
            (self.tr("Wanted salt"), self.target),
            (self.tr("Finished"), self.finished),
        )
        return grid

    def _build_cure(self) -> QGridLayout:
        grid = new_grid(LABEL_WIDTH)
        self.product = self._box(
            "brineProduct",
            self.tr("What is cured"),
            [
                (self.tr("no curing salt"), ""),
                *((product_words(product), product) for product in get_args(Product)),
            ],
        )
        self.method = self._box("brineMethod", self.tr("Method"), ())
        self.nitrite = ShareField(
            "brineNitrite",
            self.tr("Nitrite in the curing salt"),
            self._inside,
            low=LEAST_NITRITE_PCT,
            high=MOST_NITRITE_PCT,
            hint=self.tr("by its label"),
        )
        self.pickup = ShareField(
            "brinePickup",
            self.tr("Pumped or picked up"),
            self._inside,
            low=0.1,
            high=100.0,
            hint=self.tr("of raw mass"),
        )
        self.rind = QCheckBox(self.tr("The rind is on"), self._inside)
        self.rind.setObjectName("brineRind")
        self._cure_labels = {
            widget: add_row(grid, row, words, widget)
            for row, (words, widget) in enumerate(
                (
                    (self.tr("Cured"), cast(QWidget, self.product)),
                    (self.tr("Method"), self.method),
                    (self.tr("Nitrite in it"), self.nitrite),
                    (self.tr("Pick-up"), self.pickup),
                    ("", self.rind),
                )
            )
        }
        return grid

    def _connect(self) -> None:
        self.line.changed.connect(self.changed)
        for box in (self.grain, self.flesh, self.shape, self.method):
            box.currentIndexChanged.connect(self._on_choice)
        self.scale_by.currentIndexChanged.connect(self._on_choice)
        self.product.currentIndexChanged.connect(self._on_product)
        self.whose.activated.connect(self._on_item)
        for check in (self.one_face, self.rind):
            check.toggled.connect(self._on_choice)
        for field in self._inside.findChildren(QuantityField):
            field.changed.connect(self.changed)

    # -- what the person does -----------------------------------------------------------------

    def take_item(self, number: int) -> None:
        """Take kind, mass and thickness from a food of the plan."""
        self.whose.setCurrentIndex(max(self.whose.findData(number), 0))
        if not 0 <= number < len(self._items):
            return
        item = self._items[number]
        self.flesh.setCurrentIndex(self.flesh.findData(flesh_of(item.food)))
        for field, value in ((self.food, item.mass_kg), (self.thickness, item.thickness_m)):
            if value is not None:
                field.clear()
                field.set_value(value)

    @Slot(int)
    def _on_item(self, _index: int) -> None:
        self.take_item(int(self.whose.currentData()))
        self.changed.emit()

    @Slot()
    def _on_choice(self) -> None:
        self._show_parts()
        self.changed.emit()

    @Slot()
    def _on_product(self) -> None:
        self._offer_methods(cast(CureMethod, self.method.currentData() or ""))
        self._on_choice()

    def _offer_methods(self, chosen: CureMethod) -> None:
        product = self.product.currentData()
        methods = methods_for(cast(Product, product)) if product else ()
        self.method.offer([(method_words(method), method) for method in methods], chosen)

    def _scale_field(self, by: ScaleBy) -> QuantityField | None:
        fields: dict[str, QuantityField] = {
            "times": self.times,
            "mass": self.in_all,
            "vessel": self.vessel,
        }
        return fields.get(by)

    def _takes_pickup(self) -> bool:
        pickup: tuple[Method, ...] = ("pumped", "immersion_one")
        return bool(self.product.currentData()) and self.method.currentData() in pickup

    @Slot()
    def _show_parts(self) -> None:
        """Only what the choices ask for."""
        scale = self._scale_field(cast(ScaleBy, self.scale_by.currentData()))
        for field in (self.times, self.in_all, self.vessel):
            field.setVisible(field is scale)
        self.one_face.setVisible(self.shape.currentData() == "slab")
        product = self.product.currentData()
        for widget, shown in (
            (self.method, bool(product)),
            (self.nitrite, bool(product)),
            (self.pickup, self._takes_pickup()),
            (self.rind, product == "bacon"),
        ):
            widget.setVisible(shown)
            self._cure_labels[widget].setVisible(shown)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
